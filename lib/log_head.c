/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include <string.h>
#include "error.h"
#include "log_file.h"

static bool closes(const reseat_log_line *line)
{
    return line->text == NULL || seal_closes(line->text, (size_t)line->length);
}

/* The first sound line; what stands above it is `front` if it is neither sealed off nor damage. */
static reseat_status find_head(reseat_log *log, reseat_log_line *line, byte_range *front,
                               reseat_error *error)
{
    bool open = false, damaged = false;
    for (;;) {
        const reseat_status status = reseat_log_next(log, line, error);
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
static bool is_plain_head(const reseat_log *log, const reseat_log_line *line)
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

static reseat_status judge_head(reseat_log *log, const reseat_log_line *line, reseat_error *error)
{
    reseat_record *record = NULL;
    reseat_status status = RESEAT_OK;
    log->has_head = is_plain_head(log, line);
    if (log->has_head)
        return RESEAT_OK;
    if (line->state == RESEAT_LINE_SOUND &&
        reseat_record_parse(line->text, (size_t)line->length, &record, NULL) == RESEAT_ERR_MEMORY)
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    const char *spindle = reseat_record_text(record, RESEAT_FIELD_SPINDLE);
    log->has_head = spindle != NULL && reseat_record_integer(record, RESEAT_FIELD_SEQ, -1) == 0;
    if (log->has_head && strcmp(spindle, log->name) != 0)
        status = reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                                  "this is the log of %s, not of %s: give the file its name back, "
                                  "or move it out of the folder if it is a copy",
                                  spindle, log->name);
    reseat_record_free(record);
    return status;
}

/* Whether below the head nothing has been recorded yet but repairs. */
static reseat_status has_repairs_only(reseat_log *log, bool *only, reseat_error *error)
{
    for (;;) {
        reseat_log_line line;
        reseat_record *record = NULL;
        const reseat_status status = reseat_log_next(log, &line, error);
        if (status != RESEAT_OK)
            return status;
        *only = line.state == RESEAT_LINE_NONE;
        if (*only)
            return RESEAT_OK;
        if (line.state != RESEAT_LINE_SOUND)
            continue;
        if (reseat_record_parse(line.text, (size_t)line.length, &record, NULL) ==
            RESEAT_ERR_MEMORY)
            return reseat_error_plain(error, RESEAT_ERR_MEMORY);
        const bool is_repair = reseat_record_type_of(record) == RESEAT_RECORD_REPAIR;
        reseat_record_free(record);
        if (!is_repair)
            return RESEAT_OK;
    }
}

reseat_status log_check_head(reseat_log *log, reseat_error *error)
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
