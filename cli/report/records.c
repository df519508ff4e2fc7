/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Every record of the log, the newest first, and the cautions that end the page. */

#include "page.h"

#include <inttypes.h>
#include "html.h"

static void write_record(const page *p, const reseat_record *record)
{
    char time[RESEAT_TIME_SIZE] = "";
    FILE *out = p->out;
    const int64_t by = gist_voided_by(&p->log->voids, record);
    const char *type = reseat_record_type_name(reseat_record_type_of(record));
    (void)reseat_time_format(gist_time(record), time);
    fprintf(out, "<tr%s><td>%" PRId64 "<td>%.10s %.5s<td>%s<td>", by >= 0 ? " class=\"void\"" : "",
            reseat_record_integer(record, RESEAT_FIELD_SEQ, -1), time, time[0] ? time + 11 : "",
            type[0] ? type : "unknown");
    if (by >= 0)
        fputs("<s>", out);
    gist_print(out, reseat_text_html, record, p->unit);
    if (by >= 0)
        fprintf(out, "</s> taken back by %" PRId64, by);
    fputs("\n", out);
}

/* One line of the log; what is no record is told of where the log is audited. */
static reseat_status take_line(const page *p, const reseat_log_line *line, uint64_t *listed)
{
    reseat_record *record = NULL;
    if (line->state != RESEAT_LINE_SOUND)
        return RESEAT_OK;
    const reseat_status status = reseat_record_parse(line->text, (size_t)line->length, &record,
                                                     NULL);
    if (status != RESEAT_OK)
        return status == RESEAT_ERR_MEMORY ? status : RESEAT_OK;
    if (gist_counts(record, p->until) && ++*listed <= PAGE_RECORDS_MAX)
        write_record(p, record);
    reseat_record_free(record);
    return RESEAT_OK;
}

reseat_status page_records(const page *p, reseat_error *error)
{
    reseat_log_line line;
    uint64_t listed = 0;
    FILE *out = p->out;
    fputs("<h2 id=\"records\">Every record, the newest first</h2>\n<div class=\"scroll\" "
          "role=\"region\" tabindex=\"0\" aria-labelledby=\"records\"><table class=\"records\" "
          "aria-labelledby=\"records\"><thead><tr><th scope=\"col\">record"
          "<th scope=\"col\">time, UTC"
          "<th scope=\"col\">kind<th scope=\"col\">what it says</thead>\n<tbody>\n", out);
    reseat_status status = page_log_rewind(p->log, error);
    while (status == RESEAT_OK && listed <= PAGE_RECORDS_MAX) {
        status = reseat_log_previous(p->log->open, &line, error);
        if (status == RESEAT_OK && line.state == RESEAT_LINE_NONE)
            break;
        if (status == RESEAT_OK)
            status = take_line(p, &line, &listed);
    }
    fputs("</tbody></table></div>\n", out);
    if (listed > PAGE_RECORDS_MAX) {
        html_print(out, "The newest %d of %" PRIu64 " records are listed; reseat history %s lists "
                        "all of them.", PAGE_RECORDS_MAX, p->log->audit.records, p->spindle);
        fputs("\n", out);
    }
    return status;
}

void page_cautions(FILE *out)
{
    fputs("<h2>Cautions</h2>\n<ul class=\"notes\">\n", out);
    for (size_t i = 0; text_cautions()[i]; i++)
        fprintf(out, "<li>%s</li>\n", text_cautions()[i]);
    fputs("</ul>\n", out);
}
