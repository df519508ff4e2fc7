/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the page says of a log as a whole. */

#include "page.h"

#include <stdlib.h>
#include <string.h>

typedef bool taker(page_log *log, const reseat_record *record, int64_t until);

static bool note_event(page_log *log, const reseat_record *record)
{
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
    event->seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1);
    snprintf(event->kind, sizeof event->kind, "%s", kind ? kind : "event");
    return true;
}

static bool take_newest(page_log *log, const reseat_record *record, int64_t until)
{
    (void)until;
    const int64_t at = reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0);
    if (at > log->newest)
        log->newest = at;
    return true;
}

static bool take_whole(page_log *log, const reseat_record *record, int64_t until)
{
    if (!gist_counts(record, until))
        log->later++;
    if (reseat_record_type_of(record) == RESEAT_RECORD_EVENT && !note_event(log, record))
        return false;
    return gist_note_void(&log->voids, record);
}

/* A change of direction begins anew. */
reseat_status page_log_rewind(page_log *log, reseat_error *error)
{
    reseat_log_line first;
    return reseat_log_next(log->open, &first, error);
}

/* Hands all sound records over, the newest first. */
static reseat_status each(page_log *log, taker *take, int64_t until, reseat_error *error)
{
    reseat_log_line line;
    reseat_status status = page_log_rewind(log, error);
    while (status == RESEAT_OK) {
        reseat_record *record = NULL;
        status = reseat_log_previous(log->open, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        if (line.state != RESEAT_LINE_SOUND)
            continue;
        const reseat_status parsed = reseat_record_parse(line.text, (size_t)line.length, &record,
                                                         NULL);
        if (parsed == RESEAT_ERR_MEMORY || (parsed == RESEAT_OK && !take(log, record, until)))
            status = RESEAT_ERR_MEMORY;
        reseat_record_free(record);
    }
    return status;
}

reseat_status page_log_newest(page_log *log, reseat_error *error)
{
    return each(log, take_newest, 0, error);
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
    const reseat_status status = reseat_log_audit(dir, spindle, NULL, note_bad, log, &log->audit,
                                                  error);
    return status == RESEAT_OK ? each(log, take_whole, until, error) : status;
}

void page_log_end(page_log *log)
{
    reseat_log_close(log->open);
    gist_voids_free(&log->voids);
    free(log->events);
}
