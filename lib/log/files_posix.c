/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <sys/file.h>
#include <time.h>
#include <unistd.h>
#include "log/files.h"

static int call_open(const char *path, int flags, mode_t mode)
{
    return open(path, flags, mode);
}

static int call_fstat(int file, struct stat *about)
{
    return fstat(file, about);
}

static int call_stat(const char *path, struct stat *about)
{
    return stat(path, about);
}

static int64_t call_clock(void)
{
    return (int64_t)time(NULL);
}

static void call_pause(unsigned milliseconds)
{
    const struct timespec length = {(time_t)(milliseconds / 1000),
                                    (long)(milliseconds % 1000) * 1000000};
    nanosleep(&length, NULL);
}

const file_calls file_system_calls = {
    .open = call_open,
    .fstat = call_fstat,
    .stat = call_stat,
    .fchmod = fchmod,
    .flock = flock,
    .pread = pread,
    .write = write,
    .fsync = fsync,
    .ftruncate = ftruncate,
    .close = close,
    .opendir = opendir,
    .readdir = readdir,
    .closedir = closedir,
    .clock = call_clock,
    .pause = call_pause,
};

/* Whether a call that failed should be made once more: a signal came, but not without end. */
static bool again(int *tries)
{
    return errno == EINTR && ++*tries < 100;
}

int file_open(const file_calls *calls, const char *path, int flags, mode_t mode)
{
    int file, tries = 0;
    do
        file = calls->open(path, flags | O_CLOEXEC | O_NOCTTY, mode);
    while (file < 0 && again(&tries));
    return file;
}

ssize_t file_read(const file_calls *calls, int file, char *bytes, size_t count, uint64_t offset)
{
    size_t filled = 0;
    int tries = 0;
    while (filled < count) {
        const ssize_t got = calls->pread(file, bytes + filled, count - filled,
                                         (off_t)(offset + filled));
        if (got < 0 && again(&tries))
            continue;
        if (got < 0)
            return -1;
        if (got == 0)
            break;
        filled += (size_t)got;
    }
    return (ssize_t)filled;
}

ssize_t file_write(const file_calls *calls, int file, const char *bytes, size_t count)
{
    ssize_t written;
    int tries = 0;
    do
        written = calls->write(file, bytes, count);
    while (written < 0 && again(&tries));
    return written;
}

int file_cut(const file_calls *calls, int file, uint64_t length)
{
    int failed, tries = 0;
    do
        failed = calls->ftruncate(file, (off_t)length);
    while (failed != 0 && again(&tries));
    return failed;
}

const char *file_reason(int number)
{
    switch (number) {
    case EACCES:
    case EPERM: return "no permission";
    case ENOENT: return "not there";
    case ENOSPC: return "the disk is full";
    case EDQUOT: return "the disk quota is used up";
    case EFBIG: return "the file would grow too large";
    case EIO: return "the disk reports an error";
    case EROFS: return "the disk is read-only";
    case EISDIR: return "it is no plain file";
    case ENOTDIR: return "a part of the path is no folder";
    case ELOOP: return "it is a symbolic link";
    case EMFILE:
    case ENFILE: return "too many files are open";
    case ENOLCK:
    case EOPNOTSUPP: return "the disk cannot lock files; logs belong on a local disk";
    case ENOMEM: return "out of memory";
    case EAGAIN: return "it changed while it was read; try again";
    case EINTR: return "a signal came";
    default: return "the system refuses";
    }
}

bool file_log_path(const char *dir, const char *name, char *path)
{
    const int length = snprintf(path, FILE_PATH_SIZE, "%s/%s.jsonl", dir, name);
    return (size_t)length < FILE_PATH_SIZE; /* what failed is below 0, and so too large */
}
