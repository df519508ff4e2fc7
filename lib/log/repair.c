/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "log/file.h"

/* Which bad lines a repair record seals off: it names their bytes and their hash. */

#define LOOKED_AT_MAX 1024 /* lines below the head of a log whose beginning failed repeatedly */

file_fault log_hash(const file_calls *calls, file_handle file, byte_range range, bool with_lf,
                    char *digits)
{
    char bytes[16384];
    struct sha256_ctx context;
    sha256_init(&context);
    while (range.from < range.to) {
        const uint64_t left = range.to - range.from;
        const size_t size = left < sizeof bytes ? (size_t)left : sizeof bytes;
        const file_fault fault = file_read_all(calls, file, bytes, size, range.from);
        if (fault)
            return fault;
        sha256_update(&context, size, (const uint8_t *)bytes);
        range.from += size;
    }
    if (with_lf)
        sha256_update(&context, 1, (const uint8_t *)"\n");
    seal_digits(&context, digits);
    return FILE_OK;
}

/*
 * Reads the line at an offset as a record, and goes to where the next line begins; *record is NULL
 * if it is none.
 */
static reseat_status read_record(const log_reader *log, uint64_t *offset, reseat_record **record,
                                 reseat_error *error)
{
    const uint64_t left = log->end - *offset;
    const size_t most = (size_t)RESEAT_RECORD_LINE_MAX + 1;
    const size_t room = left < most ? (size_t)left : most;
    size_t length = 0;
    *record = NULL;
    char *bytes = malloc(room + 1);
    if (!bytes)
        return error_plain(error, RESEAT_ERR_MEMORY);
    const file_fault fault = log->calls->read(log->file, bytes, room, *offset, &length);
    const char *lf = fault ? NULL : memchr(bytes, '\n', length);
    if (lf)
        length = (size_t)(lf - bytes);
    const reseat_status status = fault ? log_io_error(log->name, fault, error)
                                       : record_of_line(bytes, length, record, error);
    *offset = lf ? *offset + length + 1 : log->end;
    free(bytes);
    return status;
}

/* Takes the bytes as sealed off that a repair record names, if they are all bad ones. */
static reseat_status judge_repair(log_reader *log, const reseat_record *repair,
                                  reseat_error *error)
{
    char digits[SEAL_DIGITS + 1];
    const uint64_t from = (uint64_t)reseat_record_integer(repair, RESEAT_FIELD_OFFSET_BYTES, 0);
    const uint64_t size = (uint64_t)reseat_record_integer(repair, RESEAT_FIELD_LENGTH_BYTES, 0);
    const byte_range claimed = {from, from + size};
    if (claimed.from < log->bad.from || claimed.to > log->bad.to)
        return RESEAT_OK;
    const file_fault fault = log_hash(log->calls, log->file, claimed, false, digits);
    if (fault)
        return log_io_error(log->name, fault, error);
    if (strcmp(digits, reseat_record_text(repair, RESEAT_FIELD_SHA256)) == 0)
        log->sealed_off = claimed;
    return RESEAT_OK;
}

/*
 * The record right below the bad lines seals them off. Where it begins the log, all above it was
 * lost in beginning it before: then one of the repair records that follow does, among which more
 * attempts that failed may stand.
 */
reseat_status log_find_sealed_off(log_reader *log, reseat_error *error)
{
    uint64_t offset = log->bad.to;
    bool goes_on = true;
    reseat_status status = RESEAT_OK;
    log->sealed_off = (byte_range){log->bad.from, log->bad.from};
    for (int i = 0; i < LOOKED_AT_MAX && goes_on && offset < log->end; i++) {
        reseat_record *record = NULL;
        status = read_record(log, &offset, &record, error);
        const bool is_repair = reseat_record_type_of(record) == RESEAT_RECORD_REPAIR;
        if (status == RESEAT_OK && is_repair)
            status = judge_repair(log, record, error);
        goes_on = i == 0 ? reseat_record_type_of(record) == RESEAT_RECORD_LOG
                         : !record || is_repair;
        goes_on = goes_on && status == RESEAT_OK && log->sealed_off.from == log->sealed_off.to;
        reseat_record_free(record);
    }
    return status;
}
