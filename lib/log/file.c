/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/file.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/grow.h"
#include "log/record.h"

reseat_status log_check_name(const char *name, reseat_error *error)
{
    if (log_is_name(name))
        return RESEAT_OK;
    return error_set(error, RESEAT_ERR_SYNTAX, 0,
                     "a spindle's name is at most %d characters, a-z 0-9 . _ -, and begins "
                     "with a-z 0-9, read %s", RESEAT_RECORD_NAME_MAX,
                     error_echo(name, strlen(name)).text);
}

reseat_status log_folder_missing(const char *dir, int number, reseat_error *error)
{
    const error_echoed echo = error_echo(dir, strlen(dir));
    if (number != ENOENT && number != ENOTDIR)
        return error_set(error, RESEAT_ERR_IO, 0, "cannot read the log folder %s: %s", echo.text,
                         file_reason(number));
    const reseat_status status = error_set(error, RESEAT_ERR_ARGUMENT, 0,
                                           number == ENOENT
                                               ? "the log folder %s is not there: make it, or "
                                                 "name another"
                                               : "the log folder %s is no folder: name the one "
                                                 "with the logs", echo.text);
    return error_code(error, status, RESEAT_CODE_NO_FOLDER, "");
}

/* The name in `NAME.jsonl`; false for any other file. */
static bool take_name(const char *entry, char *name)
{
    static const char ending[] = ".jsonl";
    const size_t length = strlen(entry), tail = sizeof ending - 1;
    if (length <= tail || length - tail > RESEAT_RECORD_NAME_MAX ||
        strcmp(entry + length - tail, ending) != 0)
        return false;
    memcpy(name, entry, length - tail);
    name[length - tail] = '\0';
    return log_is_name(name);
}

static reseat_status add_name(reseat_log_names *names, size_t *room, const char *name)
{
    void *grown = grow(names->names, names->count, room, sizeof names->names[0]);
    if (grown == NULL)
        return RESEAT_ERR_MEMORY;
    names->names = grown;
    memcpy(names->names[names->count++], name, strlen(name) + 1);
    return RESEAT_OK;
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(a, b);
}

/* Reads the folder through; errno tells a failure from the end. */
static reseat_status read_names(const file_calls *calls, DIR *folder, const char *dir,
                                reseat_log_names *names, reseat_error *error)
{
    size_t room = 0;
    char name[RESEAT_LOG_NAME_SIZE];
    for (;;) {
        errno = 0;
        const struct dirent *entry = calls->readdir(folder);
        if (entry == NULL)
            return errno == 0 ? RESEAT_OK : log_folder_missing(dir, errno, error);
        if (take_name(entry->d_name, name) && add_name(names, &room, name) != RESEAT_OK)
            return error_plain(error, RESEAT_ERR_MEMORY);
    }
}

reseat_status log_list(const file_calls *calls, const char *dir, reseat_log_names *names,
                       reseat_error *error)
{
    reseat_log_names found = {NULL, 0};
    DIR *folder = calls->opendir(dir);
    if (folder == NULL)
        return log_folder_missing(dir, errno, error);
    const reseat_status status = read_names(calls, folder, dir, &found, error);
    calls->closedir(folder);
    if (status != RESEAT_OK) {
        reseat_log_names_free(&found);
        return status;
    }
    if (found.count > 1)
        qsort(found.names, found.count, sizeof found.names[0], compare_names);
    *names = found;
    return RESEAT_OK;
}

reseat_status reseat_log_list(const char *dir, reseat_log_names *names, reseat_error *error)
{
    if (dir == NULL || names == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return log_list(&file_system_calls, dir, names, error);
}

void reseat_log_names_free(reseat_log_names *names)
{
    if (names == NULL)
        return;
    free(names->names);
    *names = (reseat_log_names){NULL, 0};
}

static bool closes(const reseat_log_line *line)
{
    return line->text == NULL || seal_closes(line->text, (size_t)line->length);
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
        damaged = damaged || closes(line);
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
    if (line->state != RESEAT_LINE_SOUND || line->offset > 0 ||
        !log_glance(line->text, (size_t)line->length, &glance) ||
        glance.type != RESEAT_RECORD_LOG || glance.seq != 0)
        return false;
    const int length = snprintf(expected, sizeof expected, ",\"spindle\":\"%s\"", log->name);
    const size_t left = (size_t)(line->text + line->length - glance.rest);
    return left > (size_t)length && memcmp(glance.rest, expected, (size_t)length) == 0;
}

static reseat_status judge_head(log_reader *log, const reseat_log_line *line, reseat_error *error)
{
    reseat_record *record = NULL;
    reseat_status status = RESEAT_OK;
    log->has_head = is_plain_head(log, line);
    if (log->has_head)
        return RESEAT_OK;
    if (line->state == RESEAT_LINE_SOUND &&
        record_parse(line->text, (size_t)line->length, &record, NULL) == RESEAT_ERR_MEMORY)
        return error_plain(error, RESEAT_ERR_MEMORY);
    const char *spindle = reseat_record_text(record, RESEAT_FIELD_SPINDLE);
    log->has_head = spindle != NULL && reseat_record_integer(record, RESEAT_FIELD_SEQ, -1) == 0;
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
    for (;;) {
        reseat_log_line line;
        reseat_record *record = NULL;
        const reseat_status status = log_next(log, &line, error);
        if (status != RESEAT_OK)
            return status;
        *only = line.state == RESEAT_LINE_NONE;
        if (*only)
            return RESEAT_OK;
        if (line.state != RESEAT_LINE_SOUND)
            continue;
        if (record_parse(line.text, (size_t)line.length, &record, NULL) ==
            RESEAT_ERR_MEMORY)
            return error_plain(error, RESEAT_ERR_MEMORY);
        const bool is_repair = reseat_record_type_of(record) == RESEAT_RECORD_REPAIR;
        reseat_record_free(record);
        if (!is_repair)
            return RESEAT_OK;
    }
}

reseat_status log_check_head(log_reader *log, reseat_error *error)
{
    reseat_log_line line;
    bool only = false;
    log->front = (byte_range){0, 0};
    reseat_status status = find_head(log, &line, &log->front, error);
    if (status == RESEAT_OK)
        status = judge_head(log, &line, error);
    if (status == RESEAT_OK && log->has_head && log->front.to > 0)
        status = has_repairs_only(log, &only, error);
    if (!only)
        log->front = (byte_range){0, 0};
    log_restart(log);
    return status;
}
