/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Logs in a folder of their own, under a clock that stands still, for tests of what uses them. */
#ifndef RESEAT_TESTS_LOGS_H
#define RESEAT_TESTS_LOGS_H

#include "check.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>
#include "log/file.h"
#include "reseat/log.h"
#include "reseat/values.h"

#define LOGS_NOW 1772431200 /* 2026-03-02T06:00:00Z */

static char logs_dir[64];
static int64_t logs_now;
static unsigned logs_paused_ms;

static inline int64_t logs_clock(void)
{
    return logs_now;
}

static inline void logs_pause(unsigned milliseconds)
{
    logs_paused_ms += milliseconds;
}

/* The system's calls, but for clock and pauses. */
static inline file_calls logs_calls(void)
{
    file_calls calls = file_system_calls;
    calls.clock = logs_clock;
    calls.pause = logs_pause;
    return calls;
}

static inline int logs_setup(void **state)
{
    strcpy(logs_dir, "/tmp/reseat-test-XXXXXX");
    logs_now = LOGS_NOW;
    logs_paused_ms = 0;
    return mkdtemp(logs_dir) != NULL ? 0 : -1;
}

static inline int logs_teardown(void **state)
{
    DIR *folder = opendir(logs_dir);
    if (folder == NULL)
        return -1;
    for (const struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        char path[512];
        snprintf(path, sizeof path, "%s/%s", logs_dir, entry->d_name);
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0 &&
            remove(path) != 0)
            return -1;
    }
    closedir(folder);
    return rmdir(logs_dir);
}

static inline const char *logs_path(const char *name)
{
    static char path[512];
    snprintf(path, sizeof path, "%s/%s.jsonl", logs_dir, name);
    return path;
}

static inline void logs_write(const char *name, const char *bytes, size_t length)
{
    FILE *file = fopen(logs_path(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

/* The file's bytes with a NUL behind them; to be freed. */
static inline char *logs_read_path(const char *path, size_t *length)
{
    struct stat about;
    assert_int_equal(stat(path, &about), 0);
    char *bytes = malloc((size_t)about.st_size + 1);
    FILE *file = fopen(path, "rb");
    assert_true(bytes != NULL && file != NULL);
    *length = fread(bytes, 1, (size_t)about.st_size, file);
    assert_int_equal(*length, about.st_size);
    bytes[*length] = '\0';
    fclose(file);
    return bytes;
}

static inline char *logs_read(const char *name, size_t *length)
{
    return logs_read_path(logs_path(name), length);
}

/* Copies a reference log into the folder. */
static inline char *logs_take(const char *name, size_t *length)
{
    char path[512];
    snprintf(path, sizeof path, "%s/drift/%s.jsonl", getenv("RESEAT_TEST_DATA"), name);
    char *bytes = logs_read_path(path, length);
    logs_write(name, bytes, *length);
    return bytes;
}

/* The offset at which line `number` (from 1) begins. */
static inline size_t logs_line(const char *bytes, unsigned number)
{
    const char *at = bytes;
    for (unsigned i = 1; i < number; i++)
        at = strchr(at, '\n') + 1;
    return (size_t)(at - bytes);
}

/* Changes a byte of line `number` of a log, so that its seal no longer holds. */
static inline void logs_damage(const char *name, unsigned number)
{
    size_t length = 0;
    char *bytes = logs_read(name, &length);
    bytes[logs_line(bytes, number) + 5] ^= 1;
    logs_write(name, bytes, length);
    free(bytes);
}

/* Writes a log less line `number`. */
static inline void logs_write_without(const char *name, const char *bytes, unsigned number)
{
    const size_t length = strlen(bytes), from = logs_line(bytes, number);
    const size_t to = logs_line(bytes, number + 1);
    char *rest = malloc(length);
    assert_non_null(rest);
    memcpy(rest, bytes, from);
    memcpy(rest + from, bytes + to, length - to);
    logs_write(name, rest, length - (to - from));
    free(rest);
}

static inline void logs_set(reseat_record *record, reseat_field field, const char *typed)
{
    reseat_error error;
    if (reseat_record_set_typed(record, field, typed, RESEAT_MM, &error) != RESEAT_OK) {
        print_error("%s: %s\n", error.key, error.text);
        fail();
    }
}

static inline reseat_record *logs_record(reseat_record_type type)
{
    reseat_record *record = NULL;
    assert_status(reseat_record_new(type, &record), RESEAT_OK);
    return record;
}

/* A run of P1 at seat 0 with that offset in X; at now. */
static inline reseat_record *logs_run(const char *x)
{
    reseat_record *record = logs_record(RESEAT_RECORD_RUN);
    logs_set(record, RESEAT_FIELD_PROBE, "P1");
    logs_set(record, RESEAT_FIELD_SEAT_DEG, "0");
    logs_set(record, RESEAT_FIELD_OFFSET_X_MM, x);
    logs_set(record, RESEAT_FIELD_OFFSET_Y_MM, "-0.0011");
    return record;
}

/* Appends under the test's clock, and lets the record go; the status. */
static inline reseat_status logs_append(const char *name, reseat_record *record,
                                        const reseat_append *how, reseat_appended *done,
                                        reseat_error *error)
{
    const file_calls calls = logs_calls();
    const reseat_status status = log_append(&calls, logs_dir, name, record, how, done, error);
    reseat_record_free(record);
    return status;
}

/* Appends, which must succeed, beginning the log where there is none; the record's number. */
static inline int64_t logs_add(const char *name, reseat_record *record)
{
    const reseat_append how = {.begin = true};
    reseat_appended done;
    reseat_error error;
    if (logs_append(name, record, &how, &done, &error) != RESEAT_OK) {
        print_error("%s: %s\n", error.key, error.text);
        fail();
    }
    return done.seq;
}

/* Appends, which must be refused, and leaves every byte of the log as it was. */
static inline void logs_refuse(const char *name, reseat_record *record, const reseat_append *how,
                               reseat_status status, const char *message)
{
    size_t before = 0, after = 0;
    reseat_appended done, same;
    reseat_error error;
    memset(&done, 0x55, sizeof done);
    same = done;
    char *bytes = logs_read(name, &before);
    assert_status(logs_append(name, record, how, &done, &error), status);
    assert_string_equal(error.text, message);
    assert_memory_equal(&done, &same, sizeof done);
    char *left = logs_read(name, &after);
    assert_int_equal(before, after);
    assert_memory_equal(bytes, left, before);
    free(bytes);
    free(left);
}

#endif
