/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "log/file.h"

#define TORN_PAUSES 20 /* of 10 ms, for the end of a line that a writer may be at */
#define TORN_PAUSE_MS 10

reseat_status log_io_error(const char *name, int number, reseat_error *error)
{
    if (number == ENOMEM)
        return error_plain(error, RESEAT_ERR_MEMORY);
    return error_set(error, RESEAT_ERR_IO, 0, "cannot read the log of %s: %s", name,
                     file_reason(number));
}

/* Length of the file, once its last line has an end or has been waited for. */
static int settled_length(const file_calls *calls, int file, uint64_t *length)
{
    for (int pauses = 0;; pauses++) {
        struct stat about;
        char last = '\n';
        if (calls->fstat(file, &about) != 0)
            return -1;
        if (!S_ISREG(about.st_mode)) {
            errno = EISDIR;
            return -1;
        }
        *length = (uint64_t)about.st_size;
        if (*length > 0 && file_read(calls, file, &last, 1, *length - 1) < 0)
            return -1;
        if (last == '\n' || pauses == TORN_PAUSES)
            return 0;
        calls->pause(TORN_PAUSE_MS);
    }
}

reseat_status log_wrap(const file_calls *calls, int file, const char *name, uint64_t end,
                       log_reader **log, reseat_error *error)
{
    log_reader *opened = calloc(1, sizeof *opened);
    if (opened == NULL)
        return error_plain(error, RESEAT_ERR_MEMORY);
    opened->calls = calls;
    opened->file = file;
    opened->end = end;
    memcpy(opened->name, name, strlen(name) + 1);
    *log = opened;
    return RESEAT_OK;
}

reseat_status log_missing(const file_calls *calls, const char *dir, const char *name,
                          reseat_error *error)
{
    struct stat about;
    if (calls->stat(dir, &about) != 0)
        return log_folder_missing(dir, errno, error);
    if (!S_ISDIR(about.st_mode))
        return log_folder_missing(dir, ENOTDIR, error);
    return error_code(error, error_set(error, RESEAT_ERR_NOT_FOUND, 0,
                                       "there is no log of %s in %s", name,
                                       error_echo(dir, strlen(dir)).text), RESEAT_CODE_NO_LOG, "");
}

reseat_status log_open_any(const file_calls *calls, const char *dir, const char *name,
                           log_reader **log, reseat_error *error)
{
    char path[FILE_PATH_SIZE];
    reseat_status status = log_check_name(name, error);
    if (status != RESEAT_OK)
        return status;
    if (!file_log_path(dir, name, path))
        return error_set(error, RESEAT_ERR_ARGUMENT, 0, "the log folder's name is too long");
    const int file = file_open(calls, path, O_RDONLY | O_NONBLOCK, 0);
    if (file < 0 && (errno == ENOENT || errno == ENOTDIR))
        return log_missing(calls, dir, name, error);
    if (file < 0)
        return log_io_error(name, errno, error);
    uint64_t length = 0;
    if (settled_length(calls, file, &length) == 0)
        status = log_wrap(calls, file, name, length, log, error);
    else
        status = log_io_error(name, errno, error);
    if (status != RESEAT_OK)
        calls->close(file);
    return status;
}

void log_close(log_reader *log)
{
    if (log == NULL)
        return;
    log->calls->close(log->file);
    free(log->forward);
    free(log->backward);
    free(log);
}

static void fill_line(const log_reader *log, const raw_line *raw, uint64_t number,
                      reseat_log_line *line)
{
    *line = (reseat_log_line){RESEAT_LINE_SOUND, raw->text, raw->length, raw->offset, number, ""};
    if (raw->holds)
        return;
    const uint64_t end = raw->offset + raw->length + (raw->ended ? 1 : 0);
    if (raw->offset >= log->sealed_off.from && end <= log->sealed_off.to) {
        line->state = RESEAT_LINE_SEALED_OFF;
        line->what = "bad, but sealed off by the record below";
    } else if (!raw->ended && !raw->closes) {
        line->state = RESEAT_LINE_TORN;
        line->what = "cut short";
    } else {
        line->state = RESEAT_LINE_DAMAGED;
        line->what = raw->text == NULL ? "longer than any record"
                     : raw->seal == NULL ? "does not end in a seal"
                     : "its seal does not fit its bytes and the seal above";
    }
}

/* Reads on to the sound line below a bad one, and comes back to it. */
static reseat_status look_ahead(log_reader *log, const line_mark *mark, raw_line *raw,
                                reseat_error *error)
{
    int more = 1;
    while (more == 1 && !raw->holds) {
        log->bad.to = raw->offset + raw->length + (raw->ended ? 1 : 0);
        more = line_forward_next(log->forward, raw);
    }
    log->bad.from = mark->offset;
    reseat_status status = more < 0 ? log_io_error(log->name, errno, error)
                                    : log_find_sealed_off(log, error);
    line_forward_seek(log->forward, mark);
    if (status == RESEAT_OK && line_forward_next(log->forward, raw) < 0)
        status = log_io_error(log->name, errno, error);
    return status;
}

void log_restart(log_reader *log)
{
    if (log->forward != NULL)
        line_forward_start(log->forward, log->calls, log->file, log->end);
    log->bad = log->sealed_off = (byte_range){0, 0};
    log->backwards = false;
}

static reseat_status begin_forward(log_reader *log, reseat_error *error)
{
    if (log->forward != NULL && !log->backwards)
        return RESEAT_OK;
    if (log->forward == NULL)
        log->forward = malloc(sizeof *log->forward);
    if (log->forward == NULL)
        return error_plain(error, RESEAT_ERR_MEMORY);
    log_restart(log);
    return RESEAT_OK;
}

reseat_status log_next(log_reader *log, reseat_log_line *line, reseat_error *error)
{
    raw_line raw;
    if (log == NULL || line == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = begin_forward(log, error);
    if (status != RESEAT_OK)
        return status;
    const line_mark mark = log->forward->next;
    const int more = line_forward_next(log->forward, &raw);
    if (more < 0)
        return log_io_error(log->name, errno, error);
    if (more == 0) {
        *line = (reseat_log_line){.state = RESEAT_LINE_NONE, .what = ""};
        return RESEAT_OK;
    }
    if (!raw.holds && raw.offset >= log->bad.to)
        status = look_ahead(log, &mark, &raw, error);
    if (status == RESEAT_OK)
        fill_line(log, &raw, mark.number, line);
    return status;
}

/* Reads on to the sound line above a bad one, and comes back to it. */
static reseat_status look_back(log_reader *log, raw_line *raw, reseat_error *error)
{
    int more = 1;
    log->bad.to = raw->offset + raw->length + (raw->ended ? 1 : 0);
    while (more == 1 && !raw->holds) {
        log->bad.from = raw->offset;
        more = line_backward_next(log->backward, raw);
    }
    reseat_status status = more < 0 ? log_io_error(log->name, errno, error)
                                    : log_find_sealed_off(log, error);
    line_backward_seek(log->backward, log->bad.to);
    if (status == RESEAT_OK && line_backward_next(log->backward, raw) < 0)
        status = log_io_error(log->name, errno, error);
    return status;
}

static reseat_status begin_backward(log_reader *log, reseat_error *error)
{
    if (log->backward != NULL && log->backwards)
        return RESEAT_OK;
    if (log->backward == NULL)
        log->backward = malloc(sizeof *log->backward);
    if (log->backward == NULL)
        return error_plain(error, RESEAT_ERR_MEMORY);
    line_backward_start(log->backward, log->calls, log->file, log->end);
    log->bad = log->sealed_off = (byte_range){log->end, log->end};
    log->backwards = true;
    return RESEAT_OK;
}

reseat_status log_previous(log_reader *log, reseat_log_line *line, reseat_error *error)
{
    raw_line raw;
    if (log == NULL || line == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = begin_backward(log, error);
    if (status != RESEAT_OK)
        return status;
    const int more = line_backward_next(log->backward, &raw);
    if (more < 0)
        return log_io_error(log->name, errno, error);
    if (more == 0) {
        *line = (reseat_log_line){.state = RESEAT_LINE_NONE, .what = ""};
        return RESEAT_OK;
    }
    const bool known = raw.offset >= log->bad.from; /* what lies behind `to` has been given */
    if (!raw.holds && !known)
        status = look_back(log, &raw, error);
    if (status == RESEAT_OK)
        fill_line(log, &raw, 0, line);
    return status;
}

reseat_status log_number(log_reader *log, uint64_t offset, uint64_t *number,
                         reseat_error *error)
{
    if (log == NULL || number == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    char bytes[16384];
    uint64_t lines = 1;
    for (uint64_t at = 0; at < offset;) {
        const size_t size = offset - at < sizeof bytes ? (size_t)(offset - at) : sizeof bytes;
        const ssize_t got = file_read(log->calls, log->file, bytes, size, at);
        if (got < 0)
            return log_io_error(log->name, errno, error);
        if (got == 0)
            break;
        for (ssize_t i = 0; i < got; i++)
            lines += bytes[i] == '\n' ? 1 : 0;
        at += (uint64_t)got;
    }
    *number = lines;
    return RESEAT_OK;
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
