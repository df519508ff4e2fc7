/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "log_append.h"
#include "record_values.h"

/* Seals a record below the seal above, and puts its own there. */
static reseat_status seal_next(reseat_record *record, int64_t seq, int64_t now, log_tail *tail,
                               reseat_error *error)
{
    reseat_status status = reseat_record_set_integer(record, RESEAT_FIELD_SEQ, seq, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(record, RESEAT_FIELD_RECORDED_AT, now, error);
    if (status == RESEAT_OK)
        status = reseat_record_seal(record, tail->has_above ? tail->above : NULL, error);
    if (status != RESEAT_OK)
        return status;
    memcpy(tail->above, reseat_record_text(record, RESEAT_FIELD_SEAL), SEAL_DIGITS);
    tail->has_above = true;
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

/* The record that seals off a range, with an LF behind it that it lacks. */
static reseat_status make_repair(append_work *work, byte_range range, bool with_lf,
                                 reseat_record **repair, reseat_error *error)
{
    char digits[SEAL_DIGITS + 1];
    if (log_hash(work->calls, work->log->file, range, with_lf, digits) != 0)
        return log_io_error(work->name, errno, error);
    reseat_status status = reseat_record_new(RESEAT_RECORD_REPAIR, repair);
    if (status != RESEAT_OK)
        return reseat_error_plain(error, status);
    const uint64_t length = range.to - range.from + (with_lf ? 1 : 0);
    work->done.repaired_bytes += length;
    status = reseat_record_set_integer(*repair, RESEAT_FIELD_OFFSET_BYTES, (int64_t)range.from,
                                       error);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(*repair, RESEAT_FIELD_LENGTH_BYTES, (int64_t)length,
                                           error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(*repair, RESEAT_FIELD_SHA256, digits, error);
    return status;
}

static reseat_status add_bytes(append_work *work, const char *bytes, size_t count,
                               reseat_error *error)
{
    char *grown = realloc(work->bytes, work->count + count);
    if (grown == NULL)
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    memcpy(grown + work->count, bytes, count);
    work->bytes = grown;
    work->count += count;
    return RESEAT_OK;
}

/* Gives a record the next number, seals it, and adds its line. */
static reseat_status add_record(append_work *work, reseat_record *record, reseat_error *error)
{
    size_t length = 0;
    reseat_status status = seal_next(record, ++work->done.seq, work->now, &work->tail, error);
    const char *line = reseat_record_line(record, &length);
    if (status == RESEAT_OK)
        status = add_bytes(work, line, length, error);
    return status == RESEAT_OK ? add_bytes(work, "\n", 1, error) : status;
}

static reseat_status add_head(append_work *work, reseat_error *error)
{
    reseat_record *head = NULL;
    reseat_status status = make_head(work, &head, error);
    if (status == RESEAT_OK)
        status = add_record(work, head, error);
    reseat_record_free(head);
    return status;
}

static reseat_status add_repair(append_work *work, byte_range range, bool with_lf,
                                reseat_error *error)
{
    reseat_record *repair = NULL;
    if (range.from >= range.to)
        return RESEAT_OK;
    reseat_status status = make_repair(work, range, with_lf, &repair, error);
    if (status == RESEAT_OK)
        status = add_record(work, repair, error);
    reseat_record_free(repair);
    return status;
}

reseat_status append_build(append_work *work, reseat_error *error)
{
    static const byte_range none = {0, 0};
    const log_tail tail = work->tail;
    work->done.began = !tail.has_last;
    work->done.seq = tail.has_last ? tail.seq + (int64_t)tail.rest_records : -1;
    reseat_status status = RESEAT_OK;
    if (tail.lacks_lf)
        status = add_bytes(work, "\n", 1, error);
    if (status == RESEAT_OK && !tail.has_last)
        status = add_head(work, error);
    if (status == RESEAT_OK) /* right below what it seals off, or below the head */
        status = add_repair(work, tail.rest_records == 0 ? tail.rest : none, tail.lacks_lf, error);
    if (status == RESEAT_OK && work->log != NULL && tail.rest_records == 0)
        status = add_repair(work, work->log->front, false, error);
    if (status == RESEAT_OK)
        status = add_record(work, work->record, error);
    memcpy(work->done.seal, work->tail.above, SEAL_DIGITS);
    return status;
}
