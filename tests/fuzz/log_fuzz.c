/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as a log. A byte 0x01 in the input stands for a seal that fits, so that lines can be
 * sound too. Forwards and backwards must say the same of every line, the audit must agree, and
 * what is appended, where that is allowed, must read back below bytes that are as they were. The
 * file is in memory: a table of system calls reads and writes it there.
 */
#define _XOPEN_SOURCE 700 /* S_IFREG */
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include "log/append.h"
#include "log/audit.h"
#include "log/file.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define FILE_MAX (1u << 20)

static char file_bytes[FILE_MAX];
static size_t file_length;

static void demand(int holds)
{
    if (!holds)
        abort();
}

static int file_there(const char *path, int flags, mode_t mode)
{
    (void)path, (void)flags, (void)mode;
    return 7;
}

static int about_file(int file, struct stat *about)
{
    (void)file;
    memset(about, 0, sizeof *about);
    about->st_mode = S_IFREG | 0644;
    about->st_size = (off_t)file_length;
    return 0;
}

static int about_path(const char *path, struct stat *about)
{
    (void)path;
    return about_file(7, about);
}

static ssize_t read_file(int file, void *bytes, size_t count, off_t offset)
{
    (void)file;
    const size_t left = (size_t)offset < file_length ? file_length - (size_t)offset : 0;
    const size_t got = count < left ? count : left;
    memcpy(bytes, file_bytes + offset, got);
    return (ssize_t)got;
}

static ssize_t write_file(int file, const void *bytes, size_t count)
{
    (void)file;
    demand(count <= FILE_MAX - file_length);
    memcpy(file_bytes + file_length, bytes, count);
    file_length += count;
    return (ssize_t)count;
}

static int lock_file(int file, int operation)
{
    (void)file, (void)operation;
    return 0;
}

static int cut_file(int file, off_t length)
{
    (void)file, (void)length;
    return -1;
}

static int done(int file)
{
    (void)file;
    return 0;
}

static int mode_of_file(int file, mode_t mode)
{
    (void)file, (void)mode;
    return 0;
}

static int64_t some_time(void)
{
    return 1772431200;
}

static void no_pause(unsigned milliseconds)
{
    (void)milliseconds;
}

static const file_calls in_memory = {
    .open = file_there, .fstat = about_file, .stat = about_path, .fchmod = mode_of_file,
    .flock = lock_file, .pread = read_file, .write = write_file, .fsync = done,
    .ftruncate = cut_file, .close = done, .clock = some_time, .pause = no_pause,
};

/* Puts the input into the file, a seal for each 0x01: the one that fits, over all since the LF. */
static void make_file(const uint8_t *data, size_t size)
{
    char above[SEAL_DIGITS + 1] = "", digits[SEAL_DIGITS + 1];
    size_t line = 0;
    file_length = 0;
    for (size_t i = 0; i < size && file_length + 2 * SEAL_TAIL < FILE_MAX / 2; i++) {
        if (data[i] == 1) {
            seal_make(above[0] != '\0' ? above : NULL, file_bytes + line, file_length - line,
                      digits);
            write_file(7, SEAL_MARK, sizeof SEAL_MARK - 1);
            write_file(7, digits, SEAL_DIGITS);
            write_file(7, SEAL_END, sizeof SEAL_END - 1);
            memcpy(above, digits, sizeof above);
        } else {
            file_bytes[file_length++] = (char)data[i];
        }
        if (data[i] == '\n')
            line = file_length;
    }
}

typedef struct seen {
    uint64_t offset;
    reseat_line_state state;
} seen;

static seen *forward;
static size_t forward_count;

static void see_forward(log_reader *log)
{
    reseat_log_line line;
    forward_count = 0;
    for (uint64_t end = 0;; end = line.offset + line.length + 1) {
        demand(log_next(log, &line, NULL) == RESEAT_OK);
        if (line.state == RESEAT_LINE_NONE)
            return;
        demand(line.offset == end && line.number == forward_count + 1);
        if ((forward_count & (forward_count - 1)) == 0)
            forward = realloc(forward, (2 * forward_count + 1) * sizeof *forward);
        demand(forward != NULL);
        forward[forward_count++] = (seen){line.offset, line.state};
    }
}

static void compare_backward(log_reader *log)
{
    reseat_log_line line;
    for (size_t left = forward_count;; left--) {
        demand(log_previous(log, &line, NULL) == RESEAT_OK);
        if (line.state == RESEAT_LINE_NONE) {
            demand(left == 0);
            return;
        }
        demand(left > 0 && line.offset == forward[left - 1].offset &&
               line.state == forward[left - 1].state);
    }
}

static size_t count_of(reseat_line_state state)
{
    size_t count = 0;
    for (size_t i = 0; i < forward_count; i++)
        count += forward[i].state == state ? 1 : 0;
    return count;
}

static void read_and_compare(void)
{
    log_reader *log = NULL;
    reseat_audit audit;
    demand(log_open_any(&in_memory, "d", "mill-2", &log, NULL) == RESEAT_OK);
    see_forward(log);
    compare_backward(log);
    log_check_head(log, NULL);
    log_close(log);
    demand(log_audit(&in_memory, "d", "mill-2", NULL, NULL, NULL, &audit, NULL) == RESEAT_OK);
    demand(audit.sealed_off == count_of(RESEAT_LINE_SEALED_OFF));
    demand(audit.records <= count_of(RESEAT_LINE_SOUND));
    demand(audit.bad >= count_of(RESEAT_LINE_TORN) + count_of(RESEAT_LINE_DAMAGED));
}

static void append_one(bool despite_damage)
{
    static char before[FILE_MAX];
    const reseat_append how = {.begin = true, .despite_damage = despite_damage, .carry = true};
    const size_t length = file_length;
    reseat_record *record = NULL;
    reseat_appended appended;
    memcpy(before, file_bytes, length);
    demand(reseat_record_new(RESEAT_RECORD_POLICY, &record) == RESEAT_OK);
    demand(reseat_record_set_number(record, RESEAT_FIELD_LIMIT_MM, 0.005, NULL) == RESEAT_OK);
    const reseat_status status = log_append(&in_memory, "d", "mill-2", record, &how, &appended,
                                            NULL);
    demand(memcmp(before, file_bytes, length) == 0);
    if (status == RESEAT_OK) {
        size_t line_length = 0;
        const char *line = reseat_record_line(record, &line_length);
        demand(memcmp(file_bytes + file_length - 1 - line_length, line, line_length) == 0);
        read_and_compare();
        demand(forward[forward_count - 1].state == RESEAT_LINE_SOUND);
        demand(appended.repaired_bytes == 0 || count_of(RESEAT_LINE_SEALED_OFF) > 0);
    } else {
        demand(file_length == length);
    }
    reseat_record_free(record);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    make_file(data, size);
    read_and_compare();
    append_one(false);
    append_one(true);
    append_one(false);
    return 0;
}
