/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>
#include "log/files.h"

static file_fault fault_of(int number)
{
    switch (number) {
    case ENOENT: return FILE_MISSING;
    case ENOTDIR: return FILE_NO_FOLDER;
    case EISDIR: return FILE_NOT_PLAIN;
    case ELOOP: return FILE_LINK;
    case EACCES:
    case EPERM: return FILE_NO_PERMISSION;
    case EROFS: return FILE_READ_ONLY;
    case ENOSPC: return FILE_FULL;
    case EDQUOT: return FILE_QUOTA;
    case EFBIG: return FILE_TOO_LARGE;
    case EIO: return FILE_BROKEN;
    case EMFILE:
    case ENFILE: return FILE_TOO_MANY_OPEN;
    case ENOLCK:
    case EOPNOTSUPP: return FILE_NO_LOCKS;
    case EWOULDBLOCK: return FILE_BUSY;
    case ENOMEM: return FILE_NO_MEMORY;
    case EINTR: return FILE_SIGNAL;
    default: return FILE_REFUSED;
    }
}

/* For calls that return less than 0, with errno, where they fail. */
static file_fault outcome(long result)
{
    return result < 0 ? fault_of(errno) : FILE_OK;
}

/* Whether a call that failed should be made once more: a signal came, but not without end. */
static bool again(long result, int *tries)
{
    return result < 0 && errno == EINTR && ++*tries < 100;
}

static file_fault open_any(const char *path, int flags, file_handle *file)
{
    int opened, tries = 0;
    do
        opened = open(path, flags | O_CLOEXEC | O_NOCTTY, 0664);
    while (again(opened, &tries));
    *file = opened;
    return outcome(opened);
}

static file_fault open_file(const char *path, file_use use, file_handle *file)
{
    const int flags = use == FILE_READ ? O_RDONLY : O_RDWR | O_APPEND | O_NOFOLLOW;
    return open_any(path, flags | O_NONBLOCK | (use == FILE_BEGIN ? O_CREAT : 0), file);
}

static void close_file(file_handle file)
{
    close((int)file);
}

static file_fault about_file(file_handle file, uint64_t *length)
{
    struct stat about;
    if (fstat((int)file, &about) != 0)
        return fault_of(errno);
    *length = (uint64_t)about.st_size;
    return S_ISREG(about.st_mode) ? FILE_OK : FILE_NOT_PLAIN;
}

static file_fault try_lock(file_handle file, const char *path)
{
    struct stat here, there;
    if (flock((int)file, LOCK_EX | LOCK_NB) != 0)
        return errno == EINTR ? FILE_BUSY : fault_of(errno);
    if (fstat((int)file, &here) != 0)
        return fault_of(errno);
    if (stat(path, &there) != 0)
        return errno == ENOENT ? FILE_BUSY : fault_of(errno);
    return here.st_dev == there.st_dev && here.st_ino == there.st_ino ? FILE_OK : FILE_BUSY;
}

static file_fault read_file(file_handle file, void *bytes, size_t count, uint64_t offset,
                            size_t *got)
{
    int tries = 0;
    ssize_t more = 1;
    for (*got = 0; *got < count && more != 0; *got += (size_t)more) {
        do
            more = pread((int)file, (char *)bytes + *got, count - *got, (off_t)(offset + *got));
        while (again(more, &tries));
        if (more < 0)
            return fault_of(errno);
    }
    return FILE_OK;
}

static file_fault append_file(file_handle file, const void *bytes, size_t count, size_t *written)
{
    ssize_t done;
    int tries = 0;
    do
        done = write((int)file, bytes, count);
    while (again(done, &tries));
    *written = done < 0 ? 0 : (size_t)done;
    return done >= 0 && *written < count ? FILE_PART : outcome(done);
}

static file_fault cut_file(file_handle file, uint64_t length)
{
    int failed, tries = 0;
    do
        failed = ftruncate((int)file, (off_t)length);
    while (again(failed, &tries));
    return outcome(failed);
}

/* Not tried again: a failed sync may have dropped the bytes, and the next would succeed. */
static file_fault remove_file(const char *path)
{
    return outcome(unlink(path));
}

static file_fault sync_file(file_handle file)
{
    return outcome(fsync((int)file));
}

/* In a folder whose files belong to its group, the group may read and write them. */
static file_fault share_file(file_handle file, const char *dir)
{
    const mode_t group = S_IRGRP | S_IWGRP;
    struct stat folder, about;
    if (stat(dir, &folder) != 0)
        return fault_of(errno);
    if ((folder.st_mode & S_ISGID) == 0)
        return FILE_OK;
    int failed = fstat((int)file, &about);
    if (failed == 0 && (about.st_mode & group) != group)
        failed = fchmod((int)file, (about.st_mode & 07777) | group);
    /* it may be another's, who died before writing */
    return failed != 0 && errno == EPERM ? FILE_OK : outcome(failed);
}

static file_fault about_folder(const char *dir)
{
    struct stat about;
    if (stat(dir, &about) != 0)
        return fault_of(errno);
    return S_ISDIR(about.st_mode) ? FILE_OK : FILE_NO_FOLDER;
}

static file_fault sync_folder(const char *dir)
{
    file_handle folder;
    file_fault fault = open_any(dir, O_RDONLY | O_DIRECTORY, &folder);
    if (fault)
        return fault;
    fault = sync_file(folder);
    close_file(folder);
    return fault;
}

static file_fault list_folder(const char *dir, bool (*found)(void *context, const char *name),
                              void *context)
{
    file_fault fault = FILE_OK;
    DIR *folder = opendir(dir);
    if (!folder)
        return fault_of(errno);
    for (;;) {
        errno = 0;
        const struct dirent *entry = readdir(folder);
        if (!entry && errno != 0)
            fault = fault_of(errno);
        else if (entry && !found(context, entry->d_name))
            fault = FILE_NO_MEMORY;
        if (!entry || fault)
            break;
    }
    closedir(folder);
    return fault;
}

static int64_t seconds_now(void)
{
    return (int64_t)time(NULL);
}

static void pause_for(unsigned milliseconds)
{
    const struct timespec length = {(time_t)(milliseconds / 1000),
                                    (long)(milliseconds % 1000) * 1000000};
    nanosleep(&length, NULL);
}

const file_calls file_system_calls = {
    .open = open_file,
    .close = close_file,
    .about = about_file,
    .try_lock = try_lock,
    .read = read_file,
    .append = append_file,
    .cut = cut_file,
    .remove = remove_file,
    .sync = sync_file,
    .share = share_file,
    .folder = about_folder,
    .sync_folder = sync_folder,
    .list = list_folder,
    .clock = seconds_now,
    .pause = pause_for,
};
