/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What has become of the probe in other spindles: their logs stand in the same folder. */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "log_file.h"
#include "reseat/text.h"
#include "reseat/time.h"
#include "standing_parts.h"

typedef struct look {
    const reseat_standing_query *query;
    const char *probe;
    fact since;
    char before[RESEAT_TIME_SIZE]; /* what was written before then is earlier than `since` */
    const char *name; /* of the log */
    seq_list voided;
    reseat_standing_event *event;
    uint64_t *bad_lines;
} look;

/* Whether a record says that the probe was measured, hit or restyled there since. */
static bool tells(const look *l, const reseat_record *record)
{
    const reseat_record_type type = reseat_record_type_of(record);
    const fact f = fact_of(record);
    if (!standing_says(record, RESEAT_FIELD_PROBE, l->probe) || f.at <= l->since.at ||
        f.at > standing_horizon(l->query) || seq_list_has(&l->voided, f.seq))
        return false;
    return type == RESEAT_RECORD_RUN ||
           (type == RESEAT_RECORD_EVENT &&
            (standing_says(record, RESEAT_FIELD_KIND, "collision") ||
             standing_says(record, RESEAT_FIELD_KIND, "stylus-change")));
}

/* Keeps the first that tells something; false where there is no memory. */
static bool take(look *l, const reseat_record *record)
{
    const fact f = fact_of(record);
    if (reseat_record_type_of(record) == RESEAT_RECORD_VOID)
        return seq_list_add(&l->voided, reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1));
    if (tells(l, record) && (l->event->seq < 0 || f.at < l->event->at ||
                             (f.at == l->event->at && strcmp(l->name, l->event->log) == 0))) {
        *l->event = (reseat_standing_event){.seq = f.seq, .at = f.at};
        memcpy(l->event->log, l->name, strlen(l->name) + 1);
    }
    return true;
}

/* *done: all that is above was written before the run. */
static reseat_status take_line(look *l, reseat_log *log, const reseat_log_line *line, bool *done,
                               reseat_error *error)
{
    record_glance seen;
    if (log_glance(line->text, (size_t)line->length, &seen)) {
        *done = l->before[0] != '\0' && memcmp(seen.recorded_at, l->before, GLANCE_TIME) < 0;
        if (*done || (seen.type != RESEAT_RECORD_RUN && seen.type != RESEAT_RECORD_EVENT &&
                      seen.type != RESEAT_RECORD_VOID))
            return RESEAT_OK;
    }
    reseat_record *record = NULL;
    const reseat_status status = standing_parse(l->query, log, line, l->bad_lines, &record, error);
    if (status != RESEAT_OK || !record)
        return status;
    const bool taken = take(l, record);
    reseat_record_free(record);
    return taken ? RESEAT_OK : reseat_error_plain(error, RESEAT_ERR_MEMORY);
}

static reseat_status read_back(look *l, reseat_log *log, reseat_error *error)
{
    reseat_log_line line;
    bool done = false;
    reseat_status status = RESEAT_OK;
    while (status == RESEAT_OK && !done) {
        status = reseat_log_previous(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        if (line.state == RESEAT_LINE_SOUND)
            status = take_line(l, log, &line, &done, error);
        else if (line.state != RESEAT_LINE_SEALED_OFF && !l->query->despite_damage)
            status = standing_bad_line(log, log->name, &line, error);
        else
            *l->bad_lines += line.state != RESEAT_LINE_SEALED_OFF;
    }
    return status;
}

static reseat_status look_into(look *l, const char *name, reseat_error *error)
{
    reseat_log *log = NULL;
    reseat_status status = reseat_log_open(l->query->dir, name, &log, error);
    if (status == RESEAT_ERR_DAMAGED && l->query->despite_damage) {
        ++*l->bad_lines; /* a file under another log's name */
        return RESEAT_OK;
    }
    l->voided.count = 0;
    l->name = name;
    if (status == RESEAT_OK)
        status = read_back(l, log, error);
    reseat_log_close(log);
    return status;
}

/* Adds what follows from it to the error about another log than the one asked for. */
static void explain(reseat_error *error, const char *probe)
{
    const size_t length = strlen(error->text);
    char shown[RESEAT_RECORD_NAME_MAX + 1];
    if (length + sizeof shown + 64 > sizeof error->text)
        return;
    reseat_text_terminal(probe, strlen(probe), shown, sizeof shown);
    snprintf(error->text + length, sizeof error->text - length,
             "; so whether %s was used there is not known", shown);
}

reseat_status standing_elsewhere(const reseat_standing_query *query, const char *probe, fact since,
                                 reseat_standing_event *event, uint64_t *bad_lines,
                                 reseat_error *error)
{
    look l = {.query = query, .probe = probe, .since = since, .event = event,
              .bad_lines = bad_lines};
    reseat_log_names list;
    if (reseat_time_format(since.at - RESEAT_LOG_AHEAD_SECONDS, l.before) != RESEAT_OK)
        l.before[0] = '\0';
    reseat_status status = reseat_log_list(query->dir, &list, error);
    if (status != RESEAT_OK)
        return status;
    for (size_t i = 0; status == RESEAT_OK && i < list.count; i++) {
        if (strcmp(list.names[i], query->spindle) != 0)
            status = look_into(&l, list.names[i], error);
        if (status == RESEAT_ERR_DAMAGED && event->seq >= 0)
            status = RESEAT_OK; /* that the probe was used is known, whatever else was there */
    }
    if (status != RESEAT_OK && status != RESEAT_ERR_MEMORY && error)
        explain(error, probe);
    reseat_log_names_free(&list);
    free(l.voided.seqs);
    return status;
}
