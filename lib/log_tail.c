/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log_tail.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "reseat/time.h"

/* Takes a line into account that stands behind the last sound record. */
static void take_rest(log_tail *tail, const raw_line *line)
{
    tail->rest.from = line->offset;
    if (line->closes)
        tail->rest_records++;
}

/* Mostly the first bytes of the line say all that is needed. */
static bool glance_at_last(log_tail *tail, const raw_line *line)
{
    record_glance glance;
    if (!log_glance(line->text, (size_t)line->length, &glance) ||
        reseat_time_parse(glance.recorded_at, GLANCE_TIME, &tail->recorded_at, NULL) != RESEAT_OK)
        return false;
    tail->v = RESEAT_RECORD_VERSION;
    tail->seq = glance.seq;
    tail->has_last = true;
    return true;
}

static reseat_status take_last(log_tail *tail, const raw_line *line, reseat_error *error)
{
    reseat_record *record = NULL;
    if (glance_at_last(tail, line))
        return RESEAT_OK;
    const reseat_status status = reseat_record_parse(line->text, (size_t)line->length, &record,
                                                     error);
    if (status == RESEAT_ERR_MEMORY)
        return status;
    if (status != RESEAT_OK)
        return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                                "the last line is sealed but is no record: nothing was recorded; "
                                "audit the log");
    tail->has_last = true;
    tail->v = reseat_record_integer(record, RESEAT_FIELD_V, 0);
    tail->seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, 0);
    tail->recorded_at = reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0);
    reseat_record_free(record);
    return RESEAT_OK;
}

static reseat_status read_back(line_backward *lines, const char *name, log_tail *tail,
                               reseat_error *error)
{
    raw_line line;
    for (;;) {
        const int more = line_backward_next(lines, &line);
        if (more < 0)
            return log_io_error(name, errno, error);
        if (more == 0)
            return RESEAT_OK;
        const uint64_t end = line.offset + line.length + (line.ended ? 1 : 0);
        if (end == tail->end)
            tail->lacks_lf = !line.ended;
        if (line.seal != NULL && !tail->has_above) {
            tail->has_above = true;
            memcpy(tail->above, line.seal, SEAL_DIGITS);
        }
        if (line.holds)
            return take_last(tail, &line, error);
        take_rest(tail, &line);
    }
}

reseat_status log_find_tail(const reseat_log *log, log_tail *tail, reseat_error *error)
{
    log_tail found = {.end = log->end, .rest = {log->end, log->end}};
    line_backward *lines = malloc(sizeof *lines);
    if (lines == NULL)
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    line_backward_start(lines, log->calls, log->file, log->end);
    const reseat_status status = read_back(lines, log->name, &found, error);
    free(lines);
    if (status == RESEAT_OK)
        *tail = found;
    return status;
}
