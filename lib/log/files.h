/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_FILES_H
#define RESEAT_LOG_FILES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/*
 * What is done to the files of logs, in one table: each system fills one, and tests hand in tables
 * that fail. Nothing else in the library touches a file.
 */

typedef intptr_t file_handle;

/* Why it failed. */
typedef enum file_fault {
    FILE_OK = 0,
    FILE_MISSING,
    FILE_NO_FOLDER, /* a part of the path, or what should be a folder, is none */
    FILE_NOT_PLAIN, /* a folder, a pipe, a device */
    FILE_LINK,
    FILE_NO_PERMISSION,
    FILE_READ_ONLY,
    FILE_FULL,
    FILE_QUOTA,
    FILE_TOO_LARGE,
    FILE_PART, /* not all was written */
    FILE_BROKEN,
    FILE_TOO_MANY_OPEN,
    FILE_NO_LOCKS,
    FILE_BUSY,
    FILE_NO_MEMORY,
    FILE_CHANGED, /* while it was read */
    FILE_SIGNAL,
    FILE_REFUSED /* for any other reason */
} file_fault;

typedef enum file_use {
    FILE_READ,
    FILE_APPEND,
    FILE_BEGIN /* to append, and made where it is not there */
} file_use;

typedef struct file_calls {
    /* A file to append to is no link. Nothing waits; a signal is no reason to fail. */
    file_fault (*open)(const char *path, file_use use, file_handle *file);
    void (*close)(file_handle file);
    file_fault (*about)(file_handle file, uint64_t *length); /* FILE_NOT_PLAIN if it is not */

    /* Locks out other writers until it is closed. FILE_BUSY: there is one, or the file that has the
       path by now is another one: open it again. */
    file_fault (*try_lock)(file_handle file, const char *path);

    /* Reads all of [offset, offset + count), less what lies beyond the end. */
    file_fault (*read)(file_handle file, void *bytes, size_t count, uint64_t offset, size_t *got);

    /* Writes all at the end in one piece; how much of it was written, also where that failed. */
    file_fault (*append)(file_handle file, const void *bytes, size_t count, size_t *written);

    file_fault (*cut)(file_handle file, uint64_t length);
    file_fault (*remove)(const char *path);
    file_fault (*sync)(file_handle file);

    /* Gives a new file the access that its folder is set up for. */
    file_fault (*share)(file_handle file, const char *dir);

    file_fault (*folder)(const char *dir); /* whether it is one */
    file_fault (*sync_folder)(const char *dir);

    /* Calls found for each entry; one that returns false stops it with FILE_NO_MEMORY. */
    file_fault (*list)(const char *dir, bool (*found)(void *context, const char *name),
                       void *context);

    int64_t (*clock)(void); /* seconds since 1970 */
    void (*pause)(unsigned milliseconds);
} file_calls;

extern const file_calls file_system_calls;

/* Reads all of it, or fails with FILE_CHANGED where the file ends before. */
file_fault file_read_all(const file_calls *calls, file_handle file, void *bytes, size_t count,
                         uint64_t offset);

/* A few words that fit after a colon; static. */
const char *file_reason(file_fault fault);

#endif
