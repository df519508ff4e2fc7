/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the page says of a log as a whole, and every record of it, the newest first. */

#include "page.h"

#include <inttypes.h>
#include <stdlib.h>

/* The sound record above the last one, as reseat_records_next. */
static reseat_status above(reseat_records *records, reseat_entry *entry, reseat_error *error)
{
    reseat_status status;
    do
        status = reseat_records_next(records, entry, error);
    while (status == RESEAT_OK && !entry->record);
    return status;
}

static reseat_status at_start(reseat_status status)
{
    return status == RESEAT_ERR_NOT_FOUND ? RESEAT_OK : status;
}

reseat_status page_log_newest(const char *dir, const char *spindle, int64_t *recorded_at,
                              reseat_error *error)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    reseat_status status = reseat_records_open(dir, spindle, &records, error);
    if (status != RESEAT_OK)
        return status;
    *recorded_at = 0;
    while ((status = above(records, &entry, error)) == RESEAT_OK) {
        const int64_t at = reseat_record_integer(entry.record, RESEAT_FIELD_RECORDED_AT, 0);
        *recorded_at = at > *recorded_at ? at : *recorded_at;
    }
    reseat_records_close(records);
    return at_start(status);
}

static bool note_event(page_log *log, const reseat_record *record)
{
    if (reseat_record_type_of(record) != RESEAT_RECORD_EVENT)
        return true;
    if (log->event_count == log->event_space) {
        const size_t space = log->event_space ? 2 * log->event_space : 16;
        struct page_event *more = realloc(log->events, space * sizeof *more);
        if (!more)
            return false;
        log->events = more;
        log->event_space = space;
    }
    struct page_event *event = &log->events[log->event_count++];
    const char *kind = reseat_record_text(record, RESEAT_FIELD_KIND);
    event->seq = (uint64_t)reseat_record_integer(record, RESEAT_FIELD_SEQ, -1);
    snprintf(event->kind, sizeof event->kind, "%s", kind ? kind : "event");
    return true;
}

static void note_bad(void *context, const reseat_log_bad *bad)
{
    page_log *log = context;
    if (log->bad_count < PAGE_BAD_MAX)
        log->bad[log->bad_count++] = *bad;
}

reseat_status page_log_read(page_log *log, const char *dir, const char *spindle, int64_t until,
                            reseat_error *error)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    reseat_status status = reseat_log_audit(dir, spindle, NULL, note_bad, log, &log->audit, error);
    log->dir = dir;
    if (status == RESEAT_OK)
        status = reseat_records_open(dir, spindle, &records, error);
    while (status == RESEAT_OK && (status = above(records, &entry, error)) == RESEAT_OK) {
        log->later += !record_counts(entry.record, until);
        log->voided += entry.voided_by >= 0;
        if (!note_event(log, entry.record))
            status = RESEAT_ERR_MEMORY;
    }
    reseat_records_close(records);
    return at_start(status);
}

void page_log_end(page_log *log)
{
    free(log->events);
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
    for (size_t i = 0; i < p->log->event_count; i++)
        if (p->log->events[i].seq == seq)
            kind = p->log->events[i].kind;
    return shown_print("baseline %zu, after %s %" PRIu64, baseline + 1, kind, seq);
}

static void write_record(const page *p, const reseat_record *record, int64_t by)
{
    FILE *out = p->out;
    const char *type = reseat_record_type_name(reseat_record_type_of(record));
    fprintf(out, "<tr%s><td>%" PRId64 "<td>%s<td>%s<td>", by >= 0 ? " class=\"void\"" : "",
            reseat_record_integer(record, RESEAT_FIELD_SEQ, -1),
            shown_minute(record_time(record)).text, type[0] ? type : "unknown");
    if (by >= 0)
        fputs("<s>", out);
    record_summary(out, reseat_text_html, record, p->unit);
    if (by >= 0)
        fprintf(out, "</s> taken back by %" PRId64, by);
    fputs("\n", out);
}

void page_records(page *p, reseat_error *error)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    uint64_t listed = 0;
    FILE *out = p->out;
    fputs("<h2 id=\"records\">Every record, the newest first</h2>\n<div class=\"scroll\" "
          "role=\"region\" tabindex=\"0\" aria-labelledby=\"records\"><table class=\"records\" "
          "aria-labelledby=\"records\"><thead><tr><th scope=\"col\">record"
          "<th scope=\"col\">time, UTC"
          "<th scope=\"col\">kind<th scope=\"col\">what it says</thead>\n<tbody>\n", out);
    reseat_status status = reseat_records_open(p->log->dir, p->spindle, &records, error);
    while (status == RESEAT_OK && listed <= PAGE_RECORDS_MAX &&
           (status = above(records, &entry, error)) == RESEAT_OK)
        if (record_counts(entry.record, p->until) && ++listed <= PAGE_RECORDS_MAX)
            write_record(p, entry.record, entry.voided_by);
    reseat_records_close(records);
    p->status = at_start(status);
    fputs("</tbody></table></div>\n", out);
    if (listed > PAGE_RECORDS_MAX)
        html_write(out, "The newest %s records are listed; reseat history %s lists all of them.\n",
                   shown_print("%d of %" PRIu64, PAGE_RECORDS_MAX, p->log->audit.records).text,
                   p->spindle);
}
