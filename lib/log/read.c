/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "log/file.h"

#define TORN_PAUSES 20 /* of 10 ms, for the end of a line that a writer may be at */
#define TORN_PAUSE_MS 10

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

reseat_status log_wrap(const file_calls *calls, file_handle file, const char *name, uint64_t end,
                       log_reader **log, reseat_error *error)
{
    log_reader *opened = calloc(1, sizeof *opened);
    if (!opened)
        return error_plain(error, RESEAT_ERR_MEMORY);
    opened->calls = calls;
    opened->file = file;
    opened->end = end;
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
    reseat_status status = log_check_name(name, error);
    if (status != RESEAT_OK)
        return status;
    if (!file_log_path(dir, name, path))
        return error_set(error, RESEAT_ERR_ARGUMENT, 0, "the log folder's name is too long");
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
    log->calls->close(log->file);
    free(log->forward);
    free(log->backward);
    free(log);
}

/* Goes to the start, or to the end to read backwards. */
static void restart(log_reader *log, bool backwards)
{
    const uint64_t at = backwards ? log->end : 0;
    log->backwards = backwards;
    log->bad = log->sealed_off = (byte_range){at, at};
    if (backwards && log->backward)
        line_backward_start(log->backward, log->calls, log->file, log->end);
    if (!backwards && log->forward)
        line_forward_start(log->forward, log->calls, log->file, log->end);
}

/* Begins at that end, unless reading goes that way already. */
static reseat_status turn(log_reader *log, bool backwards, reseat_error *error)
{
    const bool begun = backwards ? !!log->backward : !!log->forward;
    if (begun && log->backwards == backwards)
        return RESEAT_OK;
    if (!begun && backwards)
        log->backward = malloc(sizeof *log->backward);
    if (!begun && !backwards)
        log->forward = malloc(sizeof *log->forward);
    if (backwards ? !log->backward : !log->forward)
        return error_plain(error, RESEAT_ERR_MEMORY);
    restart(log, backwards);
    return RESEAT_OK;
}

static file_fault next_raw(const log_reader *log, raw_line *raw)
{
    return log->backwards ? line_backward_next(log->backward, raw)
                          : line_forward_next(log->forward, raw);
}

/*
 * Reads on from a bad line to the next sound one, so that log->bad has all bad ones between two
 * sound ones, and comes back to it, which was read at the mark.
 */
static reseat_status look_past(log_reader *log, const line_mark *mark, raw_line *raw,
                               reseat_error *error)
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
    reseat_status status = fault ? log_io_error(log->name, fault, error)
                                 : log_find_sealed_off(log, error);
    if (log->backwards)
        line_backward_seek(log->backward, log->bad.to);
    else
        line_forward_seek(log->forward, mark);
    fault = status == RESEAT_OK ? next_raw(log, raw) : FILE_OK;
    return fault ? log_io_error(log->name, fault, error) : status;
}

static void fill_line(const log_reader *log, const raw_line *raw, uint64_t number,
                      reseat_log_line *line)
{
    *line = (reseat_log_line){RESEAT_LINE_SOUND, raw->text, raw->length, raw->offset, number, ""};
    if (raw->holds)
        return;
    if (raw->offset >= log->sealed_off.from && raw->end <= log->sealed_off.to) {
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
    reseat_status status = turn(log, backwards, error);
    if (status != RESEAT_OK)
        return status;
    const line_mark mark = backwards ? (line_mark){.number = 0} : log->forward->next;
    const file_fault fault = next_raw(log, &raw);
    if (fault)
        return log_io_error(log->name, fault, error);
    if (raw.there && !raw.holds && (backwards ? raw.offset < log->bad.from
                                              : raw.offset >= log->bad.to))
        status = look_past(log, &mark, &raw, error);
    if (status == RESEAT_OK && raw.there)
        fill_line(log, &raw, mark.number, line);
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
        const file_fault fault = log->calls->read(log->file, bytes, size, at, &got);
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

/*
 * Whether the first bytes of the file show the head of this log, as the library writes it. Where
 * something stands above it, all of it is read, as those do who look for what is sealed off there.
 */
static bool is_plain_head(const log_reader *log, const reseat_log_line *line)
{
    char expected[RESEAT_LOG_NAME_SIZE + 16];
    record_glance glance;
    if (line->offset > 0 || !log_glance(line->text, (size_t)line->length, &glance) ||
        glance.type != RESEAT_RECORD_LOG || glance.seq != 0)
        return false;
    const int length = snprintf(expected, sizeof expected, ",\"spindle\":\"%s\"", log->name);
    const size_t left = (size_t)(line->text + line->length - glance.rest);
    return left > (size_t)length && memcmp(glance.rest, expected, (size_t)length) == 0;
}

static reseat_status judge_head(log_reader *log, const reseat_log_line *line, reseat_error *error)
{
    reseat_record *record = NULL;
    log->has_head = line->state == RESEAT_LINE_SOUND && is_plain_head(log, line);
    if (log->has_head || line->state != RESEAT_LINE_SOUND)
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
    *only = true;
    for (;;) {
        reseat_log_line line;
        reseat_record *record = NULL;
        reseat_status status = log_next(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            return status;
        if (line.state != RESEAT_LINE_SOUND)
            continue;
        status = record_of_line(line.text, (size_t)line.length, &record, error);
        *only = reseat_record_type_of(record) == RESEAT_RECORD_REPAIR;
        reseat_record_free(record);
        if (!*only)
            return status;
    }
}

reseat_status log_check_head(log_reader *log, reseat_error *error)
{
    reseat_log_line line;
    byte_range front = {0, 0};
    bool only = false;
    reseat_status status = find_head(log, &line, &front, error);
    if (status == RESEAT_OK)
        status = judge_head(log, &line, error);
    if (status == RESEAT_OK && log->has_head && front.to > 0)
        status = has_repairs_only(log, &only, error);
    log->front = status == RESEAT_OK && only ? front : (byte_range){0, 0};
    restart(log, false);
    return status;
}
