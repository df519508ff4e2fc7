/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as a log. A byte 0x01 in the input stands for a seal that fits, so that lines can be
 * sound too. Forwards and backwards must say the same of every line, the audit must agree, and
 * what is appended, where that is allowed, must read back below bytes that are as they were. The
 * file is in memory: a table of its own reads and writes it there.
 */
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
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

static file_fault open_file(const char *path, file_use use, file_handle *file)
{
    (void)path, (void)use;
    *file = 7;
    return FILE_OK;
}

static void close_file(file_handle file)
{
    (void)file;
}

static file_fault about_file(file_handle file, uint64_t *length)
{
    (void)file;
    *length = file_length;
    return FILE_OK;
}

static file_fault lock_file(file_handle file, const char *path)
{
    (void)file, (void)path;
    return FILE_OK;
}

static file_fault read_file(file_handle file, void *bytes, size_t count, uint64_t offset,
                            size_t *got)
{
    (void)file;
    const size_t left = offset < file_length ? file_length - (size_t)offset : 0;
    *got = count < left ? count : left;
    if (*got > 0)
        memcpy(bytes, file_bytes + offset, *got);
    return FILE_OK;
}

static file_fault append_file(file_handle file, const void *bytes, size_t count, size_t *written)
{
    (void)file;
    demand(count <= FILE_MAX - file_length);
    memcpy(file_bytes + file_length, bytes, count);
    file_length += count;
    *written = count;
    return FILE_OK;
}

static void write_file(const char *bytes, size_t count)
{
    size_t written;
    append_file(7, bytes, count, &written);
}

static file_fault cut_file(file_handle file, uint64_t length)
{
    (void)file, (void)length;
    return FILE_REFUSED;
}

static file_fault sync_file(file_handle file)
{
    (void)file;
    return FILE_OK;
}

static file_fault share_file(file_handle file, const char *dir)
{
    (void)file, (void)dir;
    return FILE_OK;
}

static file_fault any_folder(const char *dir)
{
    (void)dir;
    return FILE_OK;
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
    .open = open_file, .close = close_file, .about = about_file, .try_lock = lock_file,
    .read = read_file, .append = append_file, .cut = cut_file, .sync = sync_file,
    .share = share_file, .folder = any_folder, .sync_folder = any_folder, .clock = some_time,
    .pause = no_pause,
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
            write_file(SEAL_MARK, sizeof SEAL_MARK - 1);
            write_file(digits, SEAL_DIGITS);
            write_file(SEAL_END, sizeof SEAL_END - 1);
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
