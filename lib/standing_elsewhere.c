/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What has become of the probe in other spindles: their logs stand in the same folder. */

#include <string.h>
#include "error.h"
#include "log_file.h"
#include "reseat/time.h"
#include "standing_parts.h"

#define VOIDS_MAX 256 /* of the time since the run; more than that are not looked for */

typedef struct look {
    const reseat_standing_query *query;
    const char *probe;
    fact since;
    char since_text[RESEAT_TIME_SIZE];
    int64_t voided[VOIDS_MAX];
    size_t voided_count;
} look;

static bool is_text(const reseat_record *record, reseat_field field, const char *text)
{
    const char *has = reseat_record_text(record, field);
    return has && strcmp(has, text) == 0;
}

static bool is_voided(const look *l, int64_t seq)
{
    for (size_t i = 0; i < l->voided_count; i++)
        if (l->voided[i] == seq)
            return true;
    return false;
}

/* Whether a record says that the probe was measured, hit or restyled there since. */
static bool tells(look *l, const reseat_record *record)
{
    const reseat_record_type type = reseat_record_type_of(record);
    const fact f = fact_of(record);
    if (type == RESEAT_RECORD_VOID && l->voided_count < VOIDS_MAX)
        l->voided[l->voided_count++] = reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1);
    if (!is_text(record, RESEAT_FIELD_PROBE, l->probe) || f.at <= l->since.at ||
        f.at > l->query->as_of + l->query->ahead || is_voided(l, f.seq))
        return false;
    return type == RESEAT_RECORD_RUN ||
           (type == RESEAT_RECORD_EVENT && (is_text(record, RESEAT_FIELD_KIND, "collision") ||
                                            is_text(record, RESEAT_FIELD_KIND, "stylus-change")));
}

/* A sound line; *done when it tells, or was written so early that none above it can. */
static reseat_status read_line(look *l, const reseat_log_line *line, reseat_standing_event *event,
                               bool *done)
{
    record_glance seen;
    if (log_glance(line->text, (size_t)line->length, &seen)) {
        *done = memcmp(seen.recorded_at, l->since_text, GLANCE_TIME) < 0;
        if (*done || (seen.type != RESEAT_RECORD_RUN && seen.type != RESEAT_RECORD_EVENT &&
                      seen.type != RESEAT_RECORD_VOID))
            return RESEAT_OK;
    }
    reseat_record *record = NULL;
    const reseat_status status = reseat_record_parse(line->text, (size_t)line->length, &record,
                                                     NULL);
    if (status != RESEAT_OK) /* sealed, but no record: it tells nothing of this probe */
        return status == RESEAT_ERR_MEMORY ? status : RESEAT_OK;
    *done = tells(l, record);
    if (*done)
        *event = (reseat_standing_event){.seq = fact_of(record).seq, .at = fact_of(record).at};
    reseat_record_free(record);
    return RESEAT_OK;
}

static reseat_status look_into(look *l, const char *name, reseat_standing_event *event,
                               uint64_t *bad_lines, reseat_error *error)
{
    reseat_log *log;
    reseat_log_line line;
    reseat_status status = reseat_log_open(l->query->dir, name, &log, error);
    if (status != RESEAT_OK)
        return status;
    bool done = false;
    l->voided_count = 0;
    while (!done) {
        status = reseat_log_previous(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        if (line.state == RESEAT_LINE_SOUND) {
            status = read_line(l, &line, event, &done);
            if (status != RESEAT_OK) {
                reseat_error_plain(error, status);
                break;
            }
        } else if (line.state != RESEAT_LINE_SEALED_OFF) {
            status = l->query->despite_damage ? RESEAT_OK
                                              : standing_bad_line(log, name, &line, error);
            if (status != RESEAT_OK)
                break;
            ++*bad_lines;
        }
    }
    reseat_log_close(log);
    return status;
}

reseat_status standing_elsewhere(const reseat_standing_query *query, const char *probe, fact since,
                                 reseat_standing_event *event, uint64_t *bad_lines,
                                 reseat_error *error)
{
    look l = {.query = query, .probe = probe, .since = since};
    reseat_log_names list;
    reseat_status status = reseat_time_format(since.at - RESEAT_LOG_AHEAD_SECONDS, l.since_text);
    if (status == RESEAT_OK)
        status = reseat_log_list(query->dir, &list, error);
    if (status != RESEAT_OK)
        return status;
    for (size_t i = 0; status == RESEAT_OK && i < list.count && event->seq < 0; i++) {
        if (strcmp(list.names[i], query->spindle) == 0)
            continue;
        status = look_into(&l, list.names[i], event, bad_lines, error);
        if (event->seq >= 0)
            memcpy(event->log, list.names[i], strlen(list.names[i]) + 1);
    }
    reseat_log_names_free(&list);
    return status;
}
