/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the page says of a log as a whole, and every record of it, the newest first. */

#include "page.h"

#include <inttypes.h>
#include <stdlib.h>

/* Shows the sound records to `visit`, the newest first; it returns whether memory was enough. */
static reseat_status each_record(const char *dir, const char *spindle,
                                 bool (*visit)(void *context, const reseat_entry *entry),
                                 void *context, reseat_error *error)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    reseat_status status = reseat_records_open(dir, spindle, &records, error);
    if (status != RESEAT_OK)
        return status;
    while ((status = reseat_records_next(records, &entry, error)) == RESEAT_OK)
        if (entry.record && !visit(context, &entry))
            break;
    reseat_records_close(records);
    return status == RESEAT_OK ? RESEAT_ERR_MEMORY : status == RESEAT_ERR_NOT_FOUND ? RESEAT_OK
                                                                                    : status;
}

static bool take_newest(void *context, const reseat_entry *entry)
{
    int64_t *newest = context;
    const int64_t at = reseat_record_integer(entry->record, RESEAT_FIELD_RECORDED_AT, 0);
    *newest = at > *newest ? at : *newest;
    return true;
}

reseat_status page_log_newest(const char *dir, const char *spindle, int64_t *recorded_at,
                              reseat_error *error)
{
    *recorded_at = 0;
    return each_record(dir, spindle, take_newest, recorded_at, error);
}

static void note_bad(void *context, const reseat_log_bad *bad)
{
    page_log *log = context;
    if (log->bad_count < PAGE_BAD_MAX)
        log->bad[log->bad_count++] = *bad;
}

static bool take_record(void *context, const reseat_entry *entry)
{
    page_log *log = context;
    log->later += !record_counts(entry->record, log->until);
    log->voided += entry->voided_by >= 0;
    if (reseat_record_type_of(entry->record) != RESEAT_RECORD_EVENT)
        return true;
    struct page_event *more = realloc(log->events, (log->event_count + 1) * sizeof *more);
    if (!more)
        return false;
    const char *kind = reseat_record_text(entry->record, RESEAT_FIELD_KIND);
    struct page_event *event = &more[log->event_count++];
    log->events = more;
    event->seq = (uint64_t)reseat_record_integer(entry->record, RESEAT_FIELD_SEQ, -1);
    snprintf(event->kind, sizeof event->kind, "%s", kind ? kind : "event");
    return true;
}

reseat_status page_log_read(page_log *log, const char *dir, const char *spindle, int64_t until,
                            reseat_error *error)
{
    const reseat_status status =
        reseat_log_audit(dir, spindle, NULL, note_bad, log, &log->audit, error);
    log->dir = dir;
    log->spindle = spindle;
    log->until = until;
    return status == RESEAT_OK ? each_record(dir, spindle, take_record, log, error) : status;
}

int64_t page_run(const page *p)
{
    return reseat_record_integer(p->asked->state.run, RESEAT_FIELD_SEQ, -1);
}

shown page_baseline(const page *p, size_t baseline)
{
    const uint64_t seq = p->outlook->drift.baselines[baseline].begun_by_seq;
    const char *kind = "event";
    if (seq == 0)
        return shown_print("baseline %zu", baseline + 1);
    for (size_t i = 0; i < p->log.event_count; i++)
        if (p->log.events[i].seq == seq)
            kind = p->log.events[i].kind;
    return shown_print("baseline %zu, after %s %" PRIu64, baseline + 1, kind, seq);
}

/* A row; the oldest of too many are counted alone. */
static bool write_record(void *context, const reseat_entry *entry)
{
    page *p = context;
    const reseat_record *record = entry->record;
    const int64_t by = entry->voided_by;
    const char *type = reseat_record_type_name(reseat_record_type_of(record));
    if (!record_counts(record, p->log.until) || ++p->listed > PAGE_RECORDS_MAX)
        return true;
    fprintf(p->out, "<tr%s><td>%" PRId64 "<td>%s<td>%s<td>", by >= 0 ? " class=\"void\"" : "",
            reseat_record_integer(record, RESEAT_FIELD_SEQ, -1),
            shown_minute(record_time(record)).text, type[0] ? type : "unknown");
    if (by >= 0)
        fputs("<s>", p->out);
    record_summary(p->out, reseat_text_html, record, p->unit);
    if (by >= 0)
        fprintf(p->out, "</s> taken back by %" PRId64, by);
    fputs("\n", p->out);
    return true;
}

void page_records(page *p, reseat_error *error)
{
    fputs("<h2 id=\"records\">Every record, the newest first</h2>\n<div class=\"scroll\" "
          "role=\"region\" tabindex=\"0\" aria-labelledby=\"records\"><table class=\"records\" "
          "aria-labelledby=\"records\"><thead><tr><th scope=\"col\">record"
          "<th scope=\"col\">time, UTC"
          "<th scope=\"col\">kind<th scope=\"col\">what it says</thead>\n<tbody>\n", p->out);
    p->status = each_record(p->log.dir, p->log.spindle, write_record, p, error);
    fputs("</tbody></table></div>\n", p->out);
    if (p->listed > PAGE_RECORDS_MAX)
        html_write(p->out, "The newest %s records are listed; reseat history %s lists all of them."
                           "\n", shown_print("%d of %" PRIu64, PAGE_RECORDS_MAX,
                                             p->log.audit.records).text, p->log.spindle);
}
