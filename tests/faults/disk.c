/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#define _XOPEN_SOURCE 700 /* S_IFREG, S_IFDIR */
#include "disk.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "log/append.h"

#define LOG_FILE 7
#define FOLDER_FILE 9

disk_state disk;
bool library_at_work;

void demand_failed(const char *what, const char *file, int line, const char *format, ...)
{
    va_list arguments;
    fprintf(stderr, "%s:%d: does not hold: %s\n    ", file, line, what);
    va_start(arguments, format);
    vfprintf(stderr, format, arguments);
    va_end(arguments);
    fputc('\n', stderr);
    exit(EXIT_FAILURE);
}

/* Counts a call; whether it is one that fails, with errno, or is cut short, with 0. */
static bool strikes(disk_call kind)
{
    const disk_fault *fault = &disk.fault;
    if (disk.calls < DISK_CALLS_MAX)
        disk.kinds[disk.calls] = kind;
    disk.calls++;
    if (fault->at == disk.calls)
        disk.fired_kind = kind;
    const bool now = fault->at == disk.calls ||
                     (fault->at > 0 && fault->for_ever && disk.calls > fault->at &&
                      kind == disk.fired_kind);
    if (now) {
        disk.fired = true;
        errno = fault->error;
    }
    return now;
}

static char *grow(char *bytes, size_t length)
{
    const bool held = library_at_work;
    library_at_work = false;
    char *grown = realloc(bytes, length > 0 ? length : 1);
    library_at_work = held;
    demand(grown != NULL, "out of memory in the test itself");
    return grown;
}

static bool is_folder(const char *path)
{
    return strcmp(path, DISK_DIR) == 0;
}

static int on_open(const char *path, int flags, mode_t mode)
{
    if (strikes(DISK_OPEN))
        return -1;
    if (!is_folder(path) && !disk.there && (flags & O_CREAT) == 0) {
        errno = ENOENT;
        return -1;
    }
    if (!is_folder(path) && !disk.there) {
        disk.there = true;
        disk.mode = mode & ~(mode_t)022;
    }
    disk.open_files++;
    return is_folder(path) ? FOLDER_FILE : LOG_FILE;
}

static void describe(bool folder, struct stat *about)
{
    memset(about, 0, sizeof *about);
    about->st_mode = folder ? S_IFDIR | 0755 | (disk.group_folder ? S_ISGID : 0)
                            : S_IFREG | disk.mode;
    about->st_size = folder ? 0 : (off_t)disk.length;
    about->st_ino = folder ? 2 : 3;
}

static int on_fstat(int file, struct stat *about)
{
    if (strikes(DISK_FSTAT))
        return -1;
    describe(file == FOLDER_FILE, about);
    return 0;
}

static int on_stat(const char *path, struct stat *about)
{
    if (strikes(DISK_STAT))
        return -1;
    if (!is_folder(path) && !disk.there) {
        errno = ENOENT;
        return -1;
    }
    describe(is_folder(path), about);
    return 0;
}

static int on_fchmod(int file, mode_t mode)
{
    (void)file;
    if (strikes(DISK_FCHMOD))
        return -1;
    disk.mode = mode;
    return 0;
}

static int on_flock(int file, int operation)
{
    (void)file, (void)operation;
    return strikes(DISK_FLOCK) ? -1 : 0;
}

static ssize_t on_pread(int file, void *bytes, size_t count, off_t offset)
{
    (void)file;
    size_t got = (size_t)offset < disk.length ? disk.length - (size_t)offset : 0;
    if (got > count)
        got = count;
    if (strikes(DISK_PREAD)) {
        if (disk.fault.error != 0)
            return -1;
        if (got > disk.fault.part && disk.fault.part > 0)
            got = disk.fault.part;
    }
    memcpy(bytes, disk.bytes + offset, got);
    return (ssize_t)got;
}

static ssize_t on_write(int file, const void *bytes, size_t count)
{
    demand(file == LOG_FILE, "written to file %d", file);
    if (strikes(DISK_WRITE)) {
        if (disk.fault.error != 0)
            return -1;
        count = count > disk.fault.part ? disk.fault.part : count - 1;
    }
    disk.bytes = grow(disk.bytes, disk.length + count);
    memcpy(disk.bytes + disk.length, bytes, count);
    disk.length += count;
    return (ssize_t)count;
}

static int on_fsync(int file)
{
    if (disk.syncs_failed > 0)
        disk.syncs_after_failure++;
    if (strikes(DISK_FSYNC)) {
        disk.syncs_failed++;
        return -1;
    }
    if (file == FOLDER_FILE) {
        disk.entry_synced = true;
        return 0;
    }
    disk.synced = grow(disk.synced, disk.length);
    memcpy(disk.synced, disk.bytes, disk.length);
    disk.synced_length = disk.length;
    return 0;
}

static int on_ftruncate(int file, off_t length)
{
    (void)file;
    if (strikes(DISK_FTRUNCATE))
        return -1;
    if (disk.append_only) {
        errno = EPERM;
        return -1;
    }
    disk.length = (size_t)length;
    return 0;
}

static int on_close(int file)
{
    (void)file;
    disk.open_files--; /* the descriptor is gone whatever close says */
    return strikes(DISK_CLOSE) ? -1 : 0;
}

static size_t listed; /* entries of the folder read so far */

static DIR *on_opendir(const char *path)
{
    demand(is_folder(path), "listed %s", path);
    if (strikes(DISK_OPENDIR))
        return NULL;
    disk.open_files++;
    listed = 0;
    return (DIR *)(void *)&listed;
}

static struct dirent *on_readdir(DIR *folder)
{
    static const char *const entries[] = {".", "mill-2.jsonl", "notes.txt", "hmc-1.jsonl",
                                          "hmc-2.jsonl"};
    static struct dirent entry;
    (void)folder;
    if (strikes(DISK_READDIR))
        return NULL;
    if (listed == sizeof entries / sizeof entries[0])
        return NULL;
    strcpy(entry.d_name, entries[listed++]);
    return &entry;
}

static int on_closedir(DIR *folder)
{
    (void)folder;
    disk.open_files--;
    return strikes(DISK_CLOSEDIR) ? -1 : 0;
}

static int64_t on_clock(void)
{
    return DISK_NOW;
}

static void on_pause(unsigned milliseconds)
{
    (void)milliseconds;
}

const file_calls disk_calls = {
    .open = on_open, .fstat = on_fstat, .stat = on_stat, .fchmod = on_fchmod, .flock = on_flock,
    .pread = on_pread, .write = on_write, .fsync = on_fsync, .ftruncate = on_ftruncate,
    .close = on_close, .opendir = on_opendir, .readdir = on_readdir, .closedir = on_closedir,
    .clock = on_clock, .pause = on_pause,
};

void disk_put(const char *bytes, size_t length)
{
    free(disk.bytes);
    free(disk.synced);
    disk = (disk_state){.mode = 0644, .there = bytes != NULL, .entry_synced = bytes != NULL};
    disk.bytes = grow(NULL, length);
    disk.synced = grow(NULL, length);
    if (bytes != NULL && length > 0) {
        memcpy(disk.bytes, bytes, length);
        memcpy(disk.synced, bytes, length);
    }
    disk.length = disk.synced_length = length;
}

void disk_put_more(size_t less, const char *more)
{
    const size_t kept = disk.length - less, added = strlen(more);
    char *all = grow(NULL, kept + added);
    memcpy(all, disk.bytes, kept);
    memcpy(all + kept, more, added);
    disk_put(all, kept + added);
    free(all);
}

void disk_reset_calls(void)
{
    disk.fault = (disk_fault){0};
    disk.fired = false;
    disk.calls = 0;
    disk.syncs_failed = disk.syncs_after_failure = 0;
}

size_t disk_errors(disk_call kind, const int **errors)
{
    static const int open_errors[] = {EACCES, EMFILE, EIO, ELOOP, EROFS, ENOSPC, EDQUOT, EINTR};
    static const int about_errors[] = {EIO, EACCES, ENOMEM};
    static const int mode_errors[] = {EPERM, EIO, EROFS};
    static const int lock_errors[] = {EWOULDBLOCK, EINTR, ENOLCK};
    static const int read_errors[] = {EIO, EINTR, 0};
    static const int write_errors[] = {ENOSPC, EDQUOT, EIO, EFBIG, EINTR, 0};
    static const int sync_errors[] = {EIO, ENOSPC, EDQUOT, EINTR};
    static const int cut_errors[] = {EPERM, EIO, EINTR};
    static const int close_errors[] = {EIO, EINTR};
    static const int list_errors[] = {EACCES, EMFILE, EIO, ENOMEM, ENOENT};
    static const int entry_errors[] = {EIO, EBADF};
#define ERRORS(list) (*errors = (list), sizeof(list) / sizeof(list)[0])
    switch (kind) {
    case DISK_OPEN: return ERRORS(open_errors);
    case DISK_FSTAT:
    case DISK_STAT: return ERRORS(about_errors);
    case DISK_FCHMOD: return ERRORS(mode_errors);
    case DISK_FLOCK: return ERRORS(lock_errors);
    case DISK_PREAD: return ERRORS(read_errors);
    case DISK_WRITE: return ERRORS(write_errors);
    case DISK_FSYNC: return ERRORS(sync_errors);
    case DISK_FTRUNCATE: return ERRORS(cut_errors);
    case DISK_CLOSE:
    case DISK_CLOSEDIR: return ERRORS(close_errors);
    case DISK_OPENDIR: return ERRORS(list_errors);
    case DISK_READDIR: return ERRORS(entry_errors);
    case DISK_CALL_COUNT: break;
    }
    return 0;
}

const char *disk_call_name(disk_call kind)
{
    static const char *const names[DISK_CALL_COUNT] = {"open", "fstat", "stat", "fchmod", "flock",
        "pread", "write", "fsync", "ftruncate", "close", "opendir", "readdir",
        "closedir"};
    return names[kind];
}

static void must(reseat_status status)
{
    demand(status == RESEAT_OK, "%s", reseat_status_text(status));
}

static reseat_record *record_new(reseat_record_type type)
{
    reseat_record *record = NULL;
    must(reseat_record_new(type, &record));
    return record;
}

reseat_record *record_run(double x_mm)
{
    reseat_record *record = record_new(RESEAT_RECORD_RUN);
    must(reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", NULL));
    must(reseat_record_set_number(record, RESEAT_FIELD_SEAT_DEG, 0.0, NULL));
    must(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM, x_mm, NULL));
    must(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_Y_MM, -0.0011, NULL));
    return record;
}

reseat_record *record_void(int64_t seq)
{
    reseat_record *record = record_new(RESEAT_RECORD_VOID);
    must(reseat_record_set_integer(record, RESEAT_FIELD_VOIDS, seq, NULL));
    must(reseat_record_set_text(record, RESEAT_FIELD_WHY, "typed twice", NULL));
    return record;
}

reseat_record *record_policy(void)
{
    reseat_record *record = record_new(RESEAT_RECORD_POLICY);
    must(reseat_record_set_number(record, RESEAT_FIELD_LIMIT_MM, 0.005, NULL));
    return record;
}

reseat_record *record_verdict(void)
{
    reseat_record *record = record_new(RESEAT_RECORD_VERDICT);
    must(reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", NULL));
    must(reseat_record_set_text(record, RESEAT_FIELD_VERDICT, "RECALIBRATE", NULL));
    must(reseat_record_set_integer(record, RESEAT_FIELD_RUN_SEQ, 3, NULL));
    must(reseat_record_set_text(record, RESEAT_FIELD_SEAT, "keys:2", NULL));
    must(reseat_record_set_number(record, RESEAT_FIELD_LIMIT_MM, 0.005, NULL));
    must(reseat_record_set_number(record, RESEAT_FIELD_ERROR_MM, 0.008, NULL));
    must(reseat_record_set_number(record, RESEAT_FIELD_CHANCE, 0.2, NULL));
    must(reseat_record_add_text(record, RESEAT_FIELD_REASONS, "collision", NULL));
    must(reseat_record_add_text(record, RESEAT_FIELD_REASONS, "too-old", NULL));
    return record;
}

void disk_append(reseat_record *record)
{
    const reseat_append how = {.begin = true};
    reseat_error error = {0};
    const reseat_status status = log_append(&disk_calls, DISK_DIR, DISK_NAME, record, &how, NULL,
                                            &error);
    demand(status == RESEAT_OK, "%s", error.text);
    reseat_record_free(record);
}

double faults_seconds(void)
{
    const char *said = getenv("RESEAT_FAULTS_SECONDS");
    const double seconds = said != NULL ? strtod(said, NULL) : 3;
    demand(seconds > 0, "RESEAT_FAULTS_SECONDS is %s", said);
    return seconds;
}

uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}
