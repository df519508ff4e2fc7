/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "disk.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "log/file.h"

#define LOG_FILE 7

disk_state disk;
const char *disk_name = DISK_NAME;
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

/* Counts a call; whether it is one that fails. */
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
    disk.fired = disk.fired || now;
    return now;
}

static file_fault outcome(disk_call kind)
{
    return strikes(kind) ? disk.fault.fault : FILE_OK;
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

static void must_be_folder(const char *path)
{
    demand(strcmp(path, DISK_DIR) == 0, "no folder: %s", path);
}

static bool is_log(const char *path)
{
    char expected[64];
    snprintf(expected, sizeof expected, DISK_DIR "/%s.jsonl", disk_name);
    return strcmp(path, expected) == 0;
}

static file_fault on_open(const char *path, file_use use, file_handle *file)
{
    demand(is_log(path), "opened %s", path);
    const file_fault fault = outcome(DISK_OPEN);
    if (fault)
        return fault;
    if (!disk.there && use != FILE_BEGIN)
        return FILE_MISSING;
    disk.there = true;
    disk.open_files++;
    *file = LOG_FILE;
    return FILE_OK;
}

static void on_close(file_handle file)
{
    demand(file == LOG_FILE, "closed file %d", (int)file);
    disk.open_files--;
}

static file_fault on_about(file_handle file, uint64_t *length)
{
    demand(file == LOG_FILE, "asked of file %d", (int)file);
    *length = disk.length;
    return outcome(DISK_ABOUT);
}

static file_fault on_try_lock(file_handle file, const char *path)
{
    (void)file, (void)path;
    return outcome(DISK_TRY_LOCK);
}

static file_fault on_read(file_handle file, void *bytes, size_t count, uint64_t offset,
                          size_t *got)
{
    demand(file == LOG_FILE, "read from file %d", (int)file);
    const file_fault fault = outcome(DISK_READ);
    if (fault)
        return fault;
    *got = offset < disk.length ? disk.length - (size_t)offset : 0;
    if (*got > count)
        *got = count;
    if (*got > 0)
        memcpy(bytes, disk.bytes + offset, *got);
    return FILE_OK;
}

static file_fault on_append(file_handle file, const void *bytes, size_t count, size_t *written)
{
    demand(file == LOG_FILE, "written to file %d", (int)file);
    const file_fault fault = outcome(DISK_APPEND);
    *written = !fault ? count : fault != FILE_PART ? 0
               : count > disk.fault.part ? disk.fault.part : count - 1;
    disk.bytes = grow(disk.bytes, disk.length + *written);
    memcpy(disk.bytes + disk.length, bytes, *written);
    disk.length += *written;
    return fault;
}

/* No sync may follow one that failed. */
static file_fault sync_outcome(disk_call kind)
{
    disk.syncs_after_failure += disk.syncs_failed > 0 ? 1 : 0;
    const file_fault fault = outcome(kind);
    disk.syncs_failed += fault ? 1 : 0;
    return fault;
}

static file_fault on_sync(file_handle file)
{
    demand(file == LOG_FILE, "synced file %d", (int)file);
    const file_fault fault = sync_outcome(DISK_SYNC);
    if (fault)
        return fault;
    disk.synced = grow(disk.synced, disk.length);
    memcpy(disk.synced, disk.bytes, disk.length);
    disk.synced_length = disk.length;
    return FILE_OK;
}

static file_fault on_sync_folder(const char *dir)
{
    must_be_folder(dir);
    const file_fault fault = sync_outcome(DISK_SYNC_FOLDER);
    disk.entry_synced = disk.entry_synced || !fault;
    return fault;
}

static file_fault on_cut(file_handle file, uint64_t length)
{
    demand(file == LOG_FILE, "cut file %d", (int)file);
    const file_fault fault = outcome(DISK_CUT);
    if (fault || disk.append_only)
        return fault ? fault : FILE_NO_PERMISSION;
    disk.length = (size_t)length;
    return FILE_OK;
}

static file_fault on_remove(const char *path)
{
    demand(is_log(path), "removed %s", path);
    demand(disk.length == 0, "removed what was recorded");
    const file_fault fault = outcome(DISK_REMOVE);
    disk.there = disk.there && fault;
    return fault;
}

static file_fault on_share(file_handle file, const char *dir)
{
    demand(file == LOG_FILE && disk.length == 0, "shared too late");
    must_be_folder(dir);
    disk.shared = true;
    return outcome(DISK_SHARE);
}

static file_fault on_folder(const char *dir)
{
    must_be_folder(dir);
    return outcome(DISK_FOLDER);
}

static file_fault on_list(const char *dir, bool (*found)(void *context, const char *name),
                          void *context)
{
    static const char *const entries[] = {".", "mill-2.jsonl", "notes.txt", "hmc-1.jsonl",
                                          "hmc-2.jsonl"};
    const size_t count = sizeof entries / sizeof entries[0];
    must_be_folder(dir);
    const file_fault fault = outcome(DISK_LIST);
    const size_t given = fault && disk.fault.part < count ? disk.fault.part : count;
    for (size_t i = 0; i < given; i++)
        if (!found(context, entries[i]))
            return FILE_NO_MEMORY;
    return fault;
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
    .open = on_open, .close = on_close, .about = on_about, .try_lock = on_try_lock,
    .read = on_read, .append = on_append, .cut = on_cut, .remove = on_remove,
    .sync = on_sync, .share = on_share,
    .folder = on_folder, .sync_folder = on_sync_folder, .list = on_list, .clock = on_clock,
    .pause = on_pause,
};

void disk_put(const char *bytes, size_t length)
{
    free(disk.bytes);
    free(disk.synced);
    disk_name = DISK_NAME;
    disk = (disk_state){.there = bytes != NULL, .entry_synced = bytes != NULL};
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

size_t disk_faults(disk_call kind, const file_fault **faults)
{
    static const file_fault opens[] = {FILE_NO_PERMISSION, FILE_TOO_MANY_OPEN, FILE_BROKEN,
                                       FILE_LINK, FILE_READ_ONLY, FILE_FULL, FILE_QUOTA,
                                       FILE_SIGNAL, FILE_NO_MEMORY};
    static const file_fault asked[] = {FILE_BROKEN, FILE_NO_PERMISSION, FILE_NO_MEMORY};
    static const file_fault locks[] = {FILE_BUSY, FILE_NO_LOCKS, FILE_BROKEN, FILE_NO_MEMORY};
    static const file_fault reads[] = {FILE_BROKEN, FILE_SIGNAL};
    static const file_fault appends[] = {FILE_FULL, FILE_QUOTA, FILE_BROKEN, FILE_TOO_LARGE,
                                         FILE_SIGNAL, FILE_PART};
    static const file_fault syncs[] = {FILE_BROKEN, FILE_FULL, FILE_QUOTA, FILE_SIGNAL};
    static const file_fault cuts[] = {FILE_NO_PERMISSION, FILE_BROKEN, FILE_SIGNAL};
    static const file_fault shares[] = {FILE_NO_PERMISSION, FILE_BROKEN, FILE_READ_ONLY};
    static const file_fault lists[] = {FILE_NO_PERMISSION, FILE_TOO_MANY_OPEN, FILE_BROKEN,
                                       FILE_NO_MEMORY, FILE_MISSING};
#define FAULTS(list) (*faults = (list), sizeof(list) / sizeof(list)[0])
    switch (kind) {
    case DISK_OPEN: return FAULTS(opens);
    case DISK_ABOUT:
    case DISK_FOLDER: return FAULTS(asked);
    case DISK_TRY_LOCK: return FAULTS(locks);
    case DISK_READ: return FAULTS(reads);
    case DISK_APPEND: return FAULTS(appends);
    case DISK_CUT:
    case DISK_REMOVE: return FAULTS(cuts);
    case DISK_SYNC:
    case DISK_SYNC_FOLDER: return FAULTS(syncs);
    case DISK_SHARE: return FAULTS(shares);
    case DISK_LIST: return FAULTS(lists);
    case DISK_CALL_COUNT: break;
    }
    return 0;
}

const char *disk_call_name(disk_call kind)
{
    static const char *const names[DISK_CALL_COUNT] = {"open", "about", "try_lock", "read",
        "append", "cut", "sync", "share", "folder", "sync_folder", "list", "remove"};
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

reseat_record *record_gauge(const char *gauge_id)
{
    reseat_record *record = record_new(RESEAT_RECORD_GAUGE);
    must(reseat_record_set_text(record, RESEAT_FIELD_GAUGE_ID, gauge_id, NULL));
    must(reseat_record_set_text(record, RESEAT_FIELD_GAUGE, "ring", NULL));
    must(reseat_record_set_number(record, RESEAT_FIELD_GAUGE_DIAMETER_MM, 50.0021, NULL));
    return record;
}

reseat_record *record_void(int64_t seq)
{
    reseat_record *record = record_new(RESEAT_RECORD_VOID);
    must(reseat_record_set_integer(record, RESEAT_FIELD_VOIDS, seq, NULL));
    must(reseat_record_set_text(record, RESEAT_FIELD_WHY, "typed twice", NULL));
    return record;
}

reseat_record *record_repair(void)
{
    reseat_record *record = record_new(RESEAT_RECORD_REPAIR);
    must(reseat_record_set_text(record, RESEAT_FIELD_WHY, "looked at", NULL));
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
    const reseat_status status = log_append(&disk_calls, DISK_DIR, disk_name, record, &how, NULL,
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
