/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_FILES_H
#define RESEAT_LOG_FILES_H

#include <dirent.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/stat.h>
#include <sys/types.h>

/*
 * Every system call that touches a log, in one table: the library uses file_system_calls, tests
 * hand in tables that fail. What a call fails with is in errno.
 */

typedef struct file_calls {
    int (*open)(const char *path, int flags, mode_t mode);
    int (*fstat)(int file, struct stat *about);
    int (*stat)(const char *path, struct stat *about);
    int (*fchmod)(int file, mode_t mode);
    int (*flock)(int file, int operation);
    ssize_t (*pread)(int file, void *bytes, size_t count, off_t offset);
    ssize_t (*write)(int file, const void *bytes, size_t count);
    int (*fsync)(int file);
    int (*ftruncate)(int file, off_t length);
    int (*close)(int file);
    DIR *(*opendir)(const char *path);
    struct dirent *(*readdir)(DIR *folder);
    int (*closedir)(DIR *folder);
    int64_t (*clock)(void);       /* seconds since 1970 */
    void (*pause)(unsigned milliseconds);
} file_calls;

extern const file_calls file_system_calls;

/* As the calls of these names, tried again after a signal; a short write is left short. */
int file_open(const file_calls *calls, const char *path, int flags, mode_t mode);
ssize_t file_write(const file_calls *calls, int file, const char *bytes, size_t count);
int file_cut(const file_calls *calls, int file, uint64_t length);

/*
 * Reads `count` bytes from `offset` on, fewer only at the end of the file; returns how many, or -1.
 */
ssize_t file_read(const file_calls *calls, int file, char *bytes, size_t count, uint64_t offset);

/* Why a call failed, in a few words that fit after a colon; `number` as in errno. */
const char *file_reason(int number);

/* Room for a path, with its NUL. */
#define FILE_PATH_SIZE 4096

/* Writes DIR/NAME.jsonl; false if it is too long. */
bool file_log_path(const char *dir, const char *name, char *path);

#endif
