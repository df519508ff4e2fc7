/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/append.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include "base/error.h"
#include "log/record.h"
#include "log/walk.h"
#include "reseat/values.h"

/* Whether the end of the log lets a record be appended at all. */
static reseat_status check_tail(const append_work *work, reseat_error *error)
{
    const log_tail *tail = &work->tail;
    if (!tail->has_last && tail->rest_records > 0)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "the log of %s holds no sound record: nothing was recorded; put "
                         "back a copy, or move the file away and begin a new log",
                         work->name);
    if (!tail->has_last && !work->how->begin)
        return error_code(error, error_set(error, RESEAT_ERR_NOT_FOUND, 0,
                                           "the log of %s is empty: it has yet to be begun",
                                           work->name), RESEAT_CODE_EMPTY_LOG, "");
    if (tail->rest_records > 0 && !work->how->despite_damage)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "the end of the log of %s is damaged: nothing was recorded; audit "
                         "it, put back a copy, or append despite the damage", work->name);
    if (tail->has_last && tail->v > RESEAT_RECORD_VERSION)
        return error_set(error, RESEAT_ERR_REFUSED, 0,
                         "record %" PRId64 " of %s was written by a later version: use that "
                         "one", tail->seq, work->name);
    return RESEAT_OK;
}

static reseat_status read_tail(append_work *work, reseat_error *error)
{
    reseat_status status = RESEAT_OK;
    if (work->log != NULL)
        status = log_find_tail(work->log, &work->tail, error);
    if (status == RESEAT_OK && work->tail.has_last)
        status = log_check_head(work->log, error);
    return status == RESEAT_OK ? check_tail(work, error) : status;
}

/* In a folder whose files belong to its group, the group may read and write a new log too. */
static reseat_status open_to_group(const append_work *work, reseat_error *error)
{
    const mode_t group = S_IRGRP | S_IWGRP;
    struct stat folder, file;
    if (work->log->end > 0)
        return RESEAT_OK;
    int failed = work->calls->stat(work->dir, &folder);
    if (failed == 0 && (folder.st_mode & S_ISGID) != 0) {
        failed = work->calls->fstat(work->log->file, &file);
        if (failed == 0 && (file.st_mode & group) != group)
            failed = work->calls->fchmod(work->log->file, (file.st_mode & 07777) | group);
        if (failed != 0 && errno == EPERM) /* somebody else made it, and died before writing */
            failed = 0;
    }
    if (failed == 0)
        return RESEAT_OK;
    return error_set(error, RESEAT_ERR_IO, 0,
                     "cannot set up the log of %s: %s; nothing was recorded", work->name,
                     file_reason(errno));
}

static reseat_status say_not_written(const append_work *work, ssize_t written, int number,
                                     reseat_error *error)
{
    const char *why = written >= 0 ? "only a part could be written, the disk may be full"
                                   : file_reason(number);
    const int cut = file_cut(work->calls, work->log->file, work->log->end);
    if (cut == 0 || written <= 0)
        return error_set(error, RESEAT_ERR_IO, 0,
                         "nothing was recorded in the log of %s: %s; mend that, then record "
                         "it again", work->name, why);
    if ((size_t)written + 1 < work->count)
        return error_set(error, RESEAT_ERR_IO, 0,
                         "nothing was recorded in the log of %s: %s; the piece that is left "
                         "will be sealed off by the next record", work->name, why);
    return error_set(error, RESEAT_ERR_IO, 0,
                     "record %" PRId64 " of %s lacks its end: %s; whether it lasts is not "
                     "known, look before it is recorded again", work->done.seq, work->name,
                     why);
}

static reseat_status write_bytes(const append_work *work, reseat_error *error)
{
    const ssize_t written = file_write(work->calls, work->log->file, work->bytes, work->count);
    if (written >= 0 && (size_t)written == work->count)
        return RESEAT_OK;
    return say_not_written(work, written, errno, error);
}

static int sync_folder(const append_work *work)
{
    const int folder = file_open(work->calls, work->dir, O_RDONLY | O_DIRECTORY, 0);
    if (folder < 0)
        return -1;
    const int failed = work->calls->fsync(folder);
    const int number = errno;
    work->calls->close(folder);
    errno = number;
    return failed;
}

/* A failed sync may have dropped the bytes: a second one would report success all the same. */
static reseat_status sync_bytes(const append_work *work, reseat_error *error)
{
    int failed = work->calls->fsync(work->log->file);
    if (failed == 0 && work->done.began)
        failed = sync_folder(work);
    if (failed == 0)
        return RESEAT_OK;
    return error_set(error, RESEAT_ERR_IO, 0,
                     "record %" PRId64 " of %s was written, but the disk did not confirm "
                     "it: %s; check the disk, then look whether it is there before it is "
                     "recorded again", work->done.seq, work->name, file_reason(errno));
}

static reseat_status commit(append_work *work, reseat_error *error)
{
    reseat_status status = open_to_group(work, error);
    if (status == RESEAT_OK)
        status = write_bytes(work, error);
    return status == RESEAT_OK ? sync_bytes(work, error) : status;
}

/* All that comes before the write, under the lock. */
static reseat_status prepare(append_work *work, reseat_error *error)
{
    static const char addition[] = "; nothing was recorded";
    reseat_status status = read_tail(work, error);
    if (status == RESEAT_OK)
        status = append_check_rules(work, error);
    if (status == RESEAT_OK)
        status = append_build(work, error);
    if (status == RESEAT_ERR_IO && error != NULL) /* says only that something cannot be read */
        strncat(error->text, addition, sizeof error->text - strlen(error->text) - 1);
    return status;
}

static reseat_status append(append_work *work, reseat_error *error)
{
    reseat_status status = append_open(work, error);
    work->now = work->calls->clock();
    if (status == RESEAT_OK)
        status = prepare(work, error);
    if (status == RESEAT_OK && !work->how->dry_run)
        status = commit(work, error);
    return status;
}

static bool is_recorded_by_people(reseat_record_type type)
{
    return walk_can_void(type) || type == RESEAT_RECORD_VERDICT || type == RESEAT_RECORD_VOID;
}

/* All that can be said of a record before the log is touched. */
static reseat_status check_before(const append_work *work, const reseat_record *record,
                                  reseat_error *error)
{
    if (!is_recorded_by_people(record->type))
        return error_set(error, RESEAT_ERR_ARGUMENT, 0, "not a record that people make");
    const reseat_status status = log_check_name(work->name, error);
    if (status != RESEAT_OK)
        return status;
    if (work->how->carry && record->type == RESEAT_RECORD_POLICY)
        return RESEAT_OK; /* it may become whole by what it takes over */
    return record_check(record, RESEAT_FIELD_AT, false, error);
}

reseat_status log_append(const file_calls *calls, const char *dir, const char *name,
                         reseat_record *record, const reseat_append *how,
                         reseat_appended *appended, reseat_error *error)
{
    static const reseat_append ordinary = {0};
    append_work work = {.calls = calls, .dir = dir, .name = name};
    work.how = how != NULL ? how : &ordinary;
    reseat_status status = check_before(&work, record, error);
    if (status == RESEAT_OK && !file_log_path(dir, name, work.path))
        status = error_set(error, RESEAT_ERR_ARGUMENT, 0,
                           "the log folder's name is too long");
    if (status == RESEAT_OK && record_copy(record, &work.record) != RESEAT_OK)
        status = error_plain(error, RESEAT_ERR_MEMORY);
    if (status == RESEAT_OK)
        status = append(&work, error);
    if (status == RESEAT_OK) {
        record_swap(record, work.record);
        if (appended != NULL)
            *appended = work.done;
    }
    log_close(work.log);
    reseat_record_free(work.record);
    free(work.bytes);
    return status;
}

reseat_status reseat_log_append(const char *dir, const char *name, reseat_record *record,
                                const reseat_append *how, reseat_appended *appended,
                                reseat_error *error)
{
    if (dir == NULL || name == NULL || record == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return log_append(&file_system_calls, dir, name, record, how, appended, error);
}

#define LOCK_TRIES 200 /* 50 ms apart: 10 s */
#define LOCK_PAUSE_MS 50

typedef enum lock_result {
    LOCK_GOT,
    LOCK_HELD,  /* by another writer, or the file was replaced meanwhile: open it again */
    LOCK_FAILED /* with errno */
} lock_result;

static reseat_status say_failed(const append_work *work, int number, reseat_error *error)
{
    if (number == ENOENT || number == ENOTDIR)
        return log_missing(work->calls, work->dir, work->name, error);
    return error_set(error, RESEAT_ERR_IO, 0,
                     "cannot write the log of %s: %s; nothing was recorded", work->name,
                     file_reason(number));
}

/* Locks an open file, and makes sure that it is still the one of that path. */
static lock_result lock(const append_work *work, int file, uint64_t *length)
{
    struct stat here, there;
    if (work->calls->flock(file, LOCK_EX | LOCK_NB) != 0)
        return errno == EWOULDBLOCK || errno == EINTR ? LOCK_HELD : LOCK_FAILED;
    if (work->calls->fstat(file, &here) != 0)
        return LOCK_FAILED;
    if (!S_ISREG(here.st_mode)) {
        errno = EISDIR;
        return LOCK_FAILED;
    }
    if (work->calls->stat(work->path, &there) != 0)
        return errno == ENOENT ? LOCK_HELD : LOCK_FAILED;
    if (here.st_dev != there.st_dev || here.st_ino != there.st_ino)
        return LOCK_HELD;
    *length = (uint64_t)here.st_size;
    return LOCK_GOT;
}

static reseat_status open_locked(append_work *work, reseat_error *error)
{
    const int flags = O_RDWR | O_APPEND | O_NOFOLLOW | O_NONBLOCK;
    for (int i = 0; i < LOCK_TRIES; i++) {
        uint64_t length = 0;
        const int file = file_open(work->calls, work->path,
                                   work->how->begin ? flags | O_CREAT : flags, 0664);
        if (file < 0)
            return say_failed(work, errno, error);
        const lock_result result = lock(work, file, &length);
        reseat_status status = RESEAT_OK;
        if (result == LOCK_GOT)
            status = log_wrap(work->calls, file, work->name, length, &work->log, error);
        if (result == LOCK_FAILED)
            status = say_failed(work, errno, error);
        if (work->log != NULL)
            return status;
        work->calls->close(file);
        if (status != RESEAT_OK)
            return status;
        work->calls->pause(LOCK_PAUSE_MS);
    }
    return error_set(error, RESEAT_ERR_BUSY, 0,
                     "another writer kept the log of %s locked for 10 s: nothing was "
                     "recorded, try again", work->name);
}

/* A dry run reads as anybody does. */
static reseat_status open_dry(append_work *work, reseat_error *error)
{
    const reseat_status status =
        log_open_any(work->calls, work->dir, work->name, &work->log, error);
    return status == RESEAT_ERR_NOT_FOUND && work->how->begin ? RESEAT_OK : status;
}

reseat_status append_open(append_work *work, reseat_error *error)
{
    return work->how->dry_run ? open_dry(work, error) : open_locked(work, error);
}

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
    const reseat_status status = record_parse(line->text, (size_t)line->length, &record,
                                              error);
    if (status == RESEAT_ERR_MEMORY)
        return status;
    if (status != RESEAT_OK)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
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

reseat_status log_find_tail(const log_reader *log, log_tail *tail, reseat_error *error)
{
    log_tail found = {.end = log->end, .rest = {log->end, log->end}};
    line_backward *lines = malloc(sizeof *lines);
    if (lines == NULL)
        return error_plain(error, RESEAT_ERR_MEMORY);
    line_backward_start(lines, log->calls, log->file, log->end);
    const reseat_status status = read_back(lines, log->name, &found, error);
    free(lines);
    if (status == RESEAT_OK)
        *tail = found;
    return status;
}
