/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/file.h>
#include "error.h"
#include "log_append.h"

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
    return reseat_error_set(error, RESEAT_ERR_IO, 0,
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
    return reseat_error_set(error, RESEAT_ERR_BUSY, 0,
                            "another writer kept the log of %s locked for 10 s: nothing was "
                            "recorded, try again", work->name);
}

/* A dry run reads as anybody does. */
static reseat_status open_dry(append_work *work, reseat_error *error)
{
    const reseat_status status = log_open(work->calls, work->dir, work->name, &work->log, error);
    return status == RESEAT_ERR_NOT_FOUND && work->how->begin ? RESEAT_OK : status;
}

reseat_status append_open(append_work *work, reseat_error *error)
{
    return work->how->dry_run ? open_dry(work, error) : open_locked(work, error);
}
