/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "log_append.h"
#include "record_values.h"

/* Gives a record its number and time, seals it below the seal that stands at `above`, and puts the
 * record's own there. */
static reseat_status seal_next(reseat_record *record, int64_t seq, int64_t now, bool *has_above,
                               char *above, reseat_error *error)
{
    reseat_status status = reseat_record_set_integer(record, RESEAT_FIELD_SEQ, seq, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(record, RESEAT_FIELD_RECORDED_AT, now, error);
    if (status == RESEAT_OK)
        status = reseat_record_seal(record, *has_above ? above : NULL, error);
    if (status != RESEAT_OK)
        return status;
    memcpy(above, reseat_record_text(record, RESEAT_FIELD_SEAL), SEAL_DIGITS);
    *has_above = true;
    return RESEAT_OK;
}

/* The record that begins a log. */
static reseat_status make_head(const append_work *work, reseat_record **head, reseat_error *error)
{
    reseat_status status = reseat_record_new(RESEAT_RECORD_LOG, head);
    if (status != RESEAT_OK)
        return reseat_error_plain(error, status);
    const char *by = reseat_record_text(work->record, RESEAT_FIELD_BY);
    status = reseat_record_set_text(*head, RESEAT_FIELD_SPINDLE, work->name, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(*head, RESEAT_FIELD_FORMAT, "reseat-log", error);
    if (status == RESEAT_OK && by != NULL)
        status = reseat_record_set_text(*head, RESEAT_FIELD_BY, by, error);
    return status;
}

/* The record that seals off what stands behind the last sound one, with the LF it may lack. */
static reseat_status make_repair(append_work *work, reseat_record **repair, reseat_error *error)
{
    char digits[SEAL_DIGITS + 1];
    const log_tail *tail = &work->tail;
    if (log_hash(work->calls, work->log->file, tail->rest, tail->lacks_lf, digits) != 0)
        return log_io_error(work->name, errno, error);
    reseat_status status = reseat_record_new(RESEAT_RECORD_REPAIR, repair);
    if (status != RESEAT_OK)
        return reseat_error_plain(error, status);
    work->done.repaired_bytes = tail->rest.to - tail->rest.from + (tail->lacks_lf ? 1 : 0);
    status = reseat_record_set_integer(*repair, RESEAT_FIELD_OFFSET_BYTES,
                                       (int64_t)tail->rest.from, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(*repair, RESEAT_FIELD_LENGTH_BYTES,
                                           (int64_t)work->done.repaired_bytes, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(*repair, RESEAT_FIELD_SHA256, digits, error);
    return status;
}

static size_t line_length(const reseat_record *record)
{
    size_t length = 0;
    return reseat_record_line(record, &length) != NULL ? length + 1 : 0;
}

static char *put_line(char *at, const reseat_record *record)
{
    size_t length = 0;
    const char *line = reseat_record_line(record, &length);
    if (line == NULL)
        return at;
    memcpy(at, line, length);
    at[length] = '\n';
    return at + length + 1;
}

static reseat_status join(append_work *work, const reseat_record *head, const reseat_record *repair,
                          reseat_error *error)
{
    const size_t lf = work->tail.lacks_lf ? 1 : 0;
    work->count = lf + line_length(head) + line_length(repair) + line_length(work->record);
    work->bytes = malloc(work->count);
    if (work->bytes == NULL)
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    work->bytes[0] = '\n';
    put_line(put_line(put_line(work->bytes + lf, head), repair), work->record);
    return RESEAT_OK;
}

reseat_status append_build(append_work *work, reseat_error *error)
{
    log_tail *tail = &work->tail;
    reseat_record *head = NULL, *repair = NULL;
    const bool torn = tail->rest.from < tail->rest.to && tail->rest_records == 0;
    int64_t seq = tail->has_last ? tail->seq + 1 + (int64_t)tail->rest_records : 0;
    reseat_status status = RESEAT_OK;
    work->done.began = !tail->has_last;
    if (!tail->has_last)
        status = make_head(work, &head, error);
    if (status == RESEAT_OK && head != NULL)
        status = seal_next(head, seq++, work->now, &tail->has_above, tail->above, error);
    if (status == RESEAT_OK && torn)
        status = make_repair(work, &repair, error);
    if (status == RESEAT_OK && torn)
        status = seal_next(repair, seq++, work->now, &tail->has_above, tail->above, error);
    if (status == RESEAT_OK)
        status = seal_next(work->record, seq, work->now, &tail->has_above, tail->above, error);
    if (status == RESEAT_OK)
        status = join(work, head, repair, error);
    work->done.seq = seq;
    memcpy(work->done.seal, tail->above, SEAL_DIGITS);
    reseat_record_free(head);
    reseat_record_free(repair);
    return status;
}
