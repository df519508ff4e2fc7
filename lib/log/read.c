/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/named.h"

#define TORN_PAUSES 20 /* of 10 ms, for the end of a line that a writer may be at */
#define TORN_PAUSE_MS 10
#define LOOKED_AT_MAX 1024 /* lines below the head of a log whose beginning failed repeatedly */

/* Length of the file, once its last line has an end or has been waited for. */
static file_fault settled_length(const file_calls *calls, file_handle file, uint64_t *length)
{
    for (int pauses = 0;; pauses++) {
        char last = '\n';
        size_t got = 0;
        file_fault fault = calls->about(file, length);
        if (!fault && *length > 0)
            fault = calls->read(file, &last, 1, *length - 1, &got);
        if (fault || last == '\n' || pauses == TORN_PAUSES)
            return fault;
        calls->pause(TORN_PAUSE_MS);
    }
}

/* Goes to the start, or to the end to read backwards. */
static void restart(log_reader *log, bool backwards)
{
    const uint64_t at = backwards ? log->lines.end : 0;
    log->backwards = backwards;
    log->number = 0;
    log->bad = log->sealed_off = (byte_range){at, at};
    log->lines.at = at;
}

reseat_status log_wrap(const file_calls *calls, file_handle file, const char *name, uint64_t end,
                       log_reader **log, reseat_error *error)
{
    log_reader *opened = malloc(sizeof *opened);
    if (!opened)
        return error_plain(error, RESEAT_ERR_MEMORY);
    memset(opened, 0, offsetof(log_reader, lines)); /* not the window, which is large */
    line_start(&opened->lines, calls, file, end);
    opened->looked_from = end;
    memcpy(opened->name, name, strlen(name) + 1);
    *log = opened;
    return RESEAT_OK;
}

reseat_status log_open_any(const file_calls *calls, const char *dir, const char *name,
                       log_reader **log, reseat_error *error)
{
    char path[FILE_PATH_SIZE];
    file_handle file;
    uint64_t length = 0;
    reseat_status status = log_path(dir, name, path, error);
    if (status != RESEAT_OK)
        return status;
    file_fault fault = calls->open(path, FILE_READ, &file);
    if (fault == FILE_MISSING || fault == FILE_NO_FOLDER)
        return log_missing(calls, dir, name, error);
    if (fault)
        return log_io_error(name, fault, error);
    fault = settled_length(calls, file, &length);
    status = fault ? log_io_error(name, fault, error)
                   : log_wrap(calls, file, name, length, log, error);
    if (status != RESEAT_OK)
        calls->close(file);
    return status;
}

reseat_status log_open(const file_calls *calls, const char *dir, const char *name,
                       log_reader **log, reseat_error *error)
{
    log_reader *opened = NULL;
    if (!dir || !name || !log)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = log_open_any(calls, dir, name, &opened, error);
    if (status == RESEAT_OK)
        status = log_check_head(opened, error);
    if (status == RESEAT_OK)
        *log = opened;
    else
        log_close(opened);
    return status;
}

void log_close(log_reader *log)
{
    if (!log)
        return;
    log->lines.calls->close(log->lines.file);
    free(log->looked_at);
    free(log);
}

file_fault log_seals_off(const log_reader *log, const reseat_record *repair, uint64_t offset,
                         byte_range *named, bool *right)
{
    char digits[SEAL_DIGITS + 1];
    const uint64_t from = (uint64_t)reseat_record_integer(repair, RESEAT_FIELD_OFFSET_BYTES, 0);
    const uint64_t size = (uint64_t)reseat_record_integer(repair, RESEAT_FIELD_LENGTH_BYTES, 0);
    *named = (byte_range){from, from + size};
    *right = named->to <= offset;
    if (!*right)
        return FILE_OK;
    const file_fault fault = line_hash(&log->lines, *named, false, digits);
    *right = !fault && strcmp(digits, reseat_record_text(repair, RESEAT_FIELD_SHA256)) == 0;
    return fault;
}

/* Takes the bytes as sealed off that a repair record names, if they are all bad ones. */
static file_fault judge_repair(log_reader *log, const reseat_record *repair)
{
    byte_range named = {0, 0};
    bool right = false;
    const uint64_t from = (uint64_t)reseat_record_integer(repair, RESEAT_FIELD_OFFSET_BYTES, 0);
    if (from < log->bad.from)
        return FILE_OK;
    const file_fault fault = log_seals_off(log, repair, log->bad.to, &named, &right);
    if (right)
        log->sealed_off = named;
    return fault;
}

static bool is_within(byte_range part, byte_range whole)
{
    return part.from >= whole.from && part.to <= whole.to;
}

/* Keeps the bytes that a sound line seals off, if it is a repair record that says why. */
static file_fault keep_looked_at(log_reader *log, const raw_line *line)
{
    reseat_record *record = NULL;
    byte_range named;
    bool right = false;
    if (record_of_line(line->text, (size_t)line->length, &record, NULL) != RESEAT_OK)
        return FILE_NO_MEMORY;
    file_fault fault = FILE_OK;
    if (reseat_record_type_of(record) == RESEAT_RECORD_REPAIR &&
        reseat_record_has(record, RESEAT_FIELD_WHY))
        fault = log_seals_off(log, record, line->offset, &named, &right);
    reseat_record_free(record);
    if (!right)
        return fault;
    byte_range *grown = grow(log->looked_at, log->looked_count, &log->looked_room, sizeof named);
    if (!grown)
        return FILE_NO_MEMORY;
    log->looked_at = grown;
    grown[log->looked_count++] = named;
    return FILE_OK;
}

static bool may_be_repair(const raw_line *line)
{
    record_glance seen;
    return line->holds && (!log_glance(line->text, (size_t)line->length, &seen) ||
                           seen.type == RESEAT_RECORD_REPAIR);
}

/* Searches the lines from there on for such records, unless that was done; no other is checked. */
static file_fault find_looked_at(log_reader *log, uint64_t from)
{
    line_reader *lines = &log->lines;
    const bool trusting = lines->trusting;
    const uint64_t to = log->looked_from;
    raw_line line = {.there = true};
    file_fault fault = FILE_OK;
    for (lines->at = from; !fault && line.there && lines->at < to;) {
        lines->trusting = true;
        fault = line_next(lines, &line);
        if (fault || !line.there || !may_be_repair(&line))
            continue;
        lines->trusting = false;
        lines->at = line.offset;
        fault = line_next(lines, &line);
        if (!fault && line.holds)
            fault = keep_looked_at(log, &line);
    }
    lines->trusting = trusting;
    log->looked_from = from < to ? from : to;
    return fault;
}

static bool looked_at(const log_reader *log, byte_range bytes)
{
    bool yes = false;
    for (size_t i = 0; i < log->looked_count; i++)
        yes = yes || is_within(bytes, log->looked_at[i]);
    return yes;
}

byte_range line_bytes(const log_reader *log, const reseat_log_line *line)
{
    const uint64_t to = line->offset + line->length;
    return (byte_range){line->offset, to < log->lines.end ? to + 1 : to};
}

reseat_status log_is_looked_at(log_reader *log, const reseat_log_line *line, bool *yes,
                               reseat_error *error)
{
    const byte_range bytes = line_bytes(log, line);
    const uint64_t back_at = log->lines.at;
    const file_fault fault = find_looked_at(log, bytes.to);
    log->lines.at = back_at;
    *yes = looked_at(log, bytes);
    return fault ? log_io_error(log->name, fault, error) : RESEAT_OK;
}

/*
 * Finds out which of the bad lines a repair record seals off: it names their bytes and their hash.
 * It is the record right below them. Where that begins the log, all above it was lost in beginning
 * it before: then one of the repair records that follow does, among which more attempts that failed
 * may stand. Else it is one by a person who says why, farther below.
 */
static reseat_status find_sealed_off(log_reader *log, reseat_error *error)
{
    bool goes_on = true;
    log->sealed_off = (byte_range){log->bad.from, log->bad.from};
    log->lines.at = log->bad.to;
    for (int i = 0; i < LOOKED_AT_MAX && goes_on; i++) {
        raw_line raw;
        reseat_record *record = NULL;
        file_fault fault = line_next(&log->lines, &raw);
        if (!fault && raw.text && record_of_line(raw.text, (size_t)raw.length, &record, NULL))
            fault = FILE_NO_MEMORY;
        const reseat_record_type type = reseat_record_type_of(record);
        if (type == RESEAT_RECORD_REPAIR)
            fault = judge_repair(log, record);
        goes_on = !fault && raw.there && log->sealed_off.from == log->sealed_off.to &&
                  (i == 0 ? type == RESEAT_RECORD_LOG : !record || type == RESEAT_RECORD_REPAIR);
        reseat_record_free(record);
        if (fault)
            return log_io_error(log->name, fault, error);
    }
    const file_fault fault = is_within(log->bad, log->sealed_off)
                                 ? FILE_OK : find_looked_at(log, log->bad.to);
    return fault ? log_io_error(log->name, fault, error) : RESEAT_OK;
}

reseat_status log_read_record(log_reader *log, uint64_t offset, reseat_record **record,
                              reseat_error *error)
{
    raw_line raw;
    log->lines.at = offset;
    *record = NULL;
    const file_fault fault = line_next(&log->lines, &raw);
    if (fault)
        return log_io_error(log->name, fault, error);
    return raw.text ? record_of_line(raw.text, (size_t)raw.length, record, error) : RESEAT_OK;
}

static file_fault next_raw(log_reader *log, raw_line *raw)
{
    return (log->backwards ? line_previous : line_next)(&log->lines, raw);
}

/*
 * Reads on from a bad line to the next sound one, so that log->bad has all bad ones between two
 * sound ones, and comes back to the first, which was read at `at`.
 */
static reseat_status look_past(log_reader *log, uint64_t at, raw_line *raw, reseat_error *error)
{
    file_fault fault = FILE_OK;
    log->bad = (byte_range){raw->offset, raw->end};
    while (!fault && raw->there && !raw->holds) {
        if (log->backwards)
            log->bad.from = raw->offset;
        else
            log->bad.to = raw->end;
        fault = next_raw(log, raw);
    }
    const reseat_status status = fault ? log_io_error(log->name, fault, error)
                                       : find_sealed_off(log, error);
    log->lines.at = at;
    fault = status == RESEAT_OK ? next_raw(log, raw) : FILE_OK;
    return fault ? log_io_error(log->name, fault, error) : status;
}

static void fill_line(const log_reader *log, const raw_line *raw, reseat_log_line *line)
{
    *line = (reseat_log_line){RESEAT_LINE_SOUND, raw->text, raw->length, raw->offset, log->number,
                              ""};
    if (raw->holds)
        return;
    const byte_range bytes = {raw->offset, raw->end};
    if (is_within(bytes, log->sealed_off) || looked_at(log, bytes)) {
        line->state = RESEAT_LINE_SEALED_OFF;
        line->what = "bad, but sealed off by the record below";
    } else if (!raw->ended && !raw->closes) {
        line->state = RESEAT_LINE_TORN;
        line->what = "cut short";
    } else {
        line->state = RESEAT_LINE_DAMAGED;
        line->what = !raw->text ? "longer than any record"
                     : !raw->seal ? "does not end in a seal"
                     : "its seal does not fit its bytes and the seal above";
    }
}

static reseat_status give(log_reader *log, bool backwards, reseat_log_line *line,
                          reseat_error *error)
{
    raw_line raw;
    if (!log || !line)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (log->backwards != backwards)
        restart(log, backwards);
    const uint64_t at = log->lines.at;
    const file_fault fault = next_raw(log, &raw);
    if (fault)
        return log_io_error(log->name, fault, error);
    reseat_status status = RESEAT_OK;
    if (raw.there && !raw.holds && (backwards ? raw.offset < log->bad.from
                                              : raw.offset >= log->bad.to))
        status = look_past(log, at, &raw, error);
    log->number += raw.there && !backwards ? 1 : 0;
    if (status == RESEAT_OK && raw.there)
        fill_line(log, &raw, line);
    else if (status == RESEAT_OK)
        *line = (reseat_log_line){.state = RESEAT_LINE_NONE, .what = ""};
    return status;
}

reseat_status log_next(log_reader *log, reseat_log_line *line, reseat_error *error)
{
    return give(log, false, line, error);
}

reseat_status log_previous(log_reader *log, reseat_log_line *line, reseat_error *error)
{
    return give(log, true, line, error);
}

reseat_status log_number(log_reader *log, uint64_t offset, uint64_t *number, reseat_error *error)
{
    char bytes[16384];
    uint64_t lines = 1;
    size_t got = 1;
    for (uint64_t at = 0; at < offset && got > 0; at += got) {
        const size_t size = offset - at < sizeof bytes ? (size_t)(offset - at) : sizeof bytes;
        const file_fault fault = log->lines.calls->read(log->lines.file, bytes, size, at, &got);
        if (fault)
            return log_io_error(log->name, fault, error);
        for (size_t i = 0; i < got; i++)
            lines += bytes[i] == '\n' ? 1 : 0;
    }
    *number = lines;
    return RESEAT_OK;
}

/* The first sound line; what stands above it is `front` if it is neither sealed off nor damage. */
static reseat_status find_head(log_reader *log, reseat_log_line *line, byte_range *front,
                               reseat_error *error)
{
    bool open = false, damaged = false;
    for (;;) {
        const reseat_status status = log_next(log, line, error);
        if (status != RESEAT_OK || line->state == RESEAT_LINE_NONE)
            return status;
        if (line->state == RESEAT_LINE_SOUND) {
            *front = (byte_range){0, open && !damaged ? line->offset : 0};
            return RESEAT_OK;
        }
        open = open || line->state != RESEAT_LINE_SEALED_OFF;
        damaged = damaged || !line->text || seal_closes(line->text, (size_t)line->length);
    }
}

static reseat_status judge_head(log_reader *log, const reseat_log_line *line, reseat_error *error)
{
    reseat_record *record = NULL;
    log->has_head = false;
    if (line->state != RESEAT_LINE_SOUND)
        return RESEAT_OK;
    reseat_status status = record_of_line(line->text, (size_t)line->length, &record, error);
    const char *spindle = reseat_record_text(record, RESEAT_FIELD_SPINDLE);
    log->has_head = spindle && reseat_record_integer(record, RESEAT_FIELD_SEQ, -1) == 0;
    if (log->has_head && strcmp(spindle, log->name) != 0)
        status = error_set(error, RESEAT_ERR_DAMAGED, 0,
                           "this is the log of %s, not of %s: give the file its name back, "
                           "or move it out of the folder if it is a copy",
                           spindle, log->name);
    reseat_record_free(record);
    return status;
}

/* Whether below the head nothing has been recorded yet but repairs. */
static reseat_status has_repairs_only(log_reader *log, bool *only, reseat_error *error)
{
    walk_step step;
    reseat_status status;
    do {
        status = log_next(log, &step.line, error);
        step.type = RESEAT_RECORD_REPAIR;
        if (status == RESEAT_OK && step.line.state == RESEAT_LINE_SOUND && walk_read(&step))
            status = error_plain(error, RESEAT_ERR_MEMORY);
    } while (status == RESEAT_OK && step.line.state != RESEAT_LINE_NONE &&
             step.type == RESEAT_RECORD_REPAIR);
    *only = status == RESEAT_OK && step.line.state == RESEAT_LINE_NONE;
    return status;
}

reseat_status log_check_head(log_reader *log, reseat_error *error)
{
    reseat_log_line line;
    byte_range front = {0, 0};
    bool only = false;
    restart(log, false);
    reseat_status status = find_head(log, &line, &front, error);
    if (status == RESEAT_OK)
        status = judge_head(log, &line, error);
    if (status == RESEAT_OK && log->has_head && front.to > 0)
        status = has_repairs_only(log, &only, error);
    log->front = status == RESEAT_OK && only ? front : (byte_range){0, 0};
    restart(log, false);
    return status;
}
