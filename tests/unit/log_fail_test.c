/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Logs whose reading fails at one call after another, or that shrink while they are read. */
#include "states.h"

#include "log/file.h"
#include "reseat/history.h"
#include "history/state.h"

#define LONG_LINE (5 * RESEAT_RECORD_LINE_MAX)

static long reads, fails_at; /* the read of this number fails; 0: none */
static bool shrinks;         /* then it, and all later ones, read nothing: the file has shrunk */
static bool failed;

static file_fault failing_read(file_handle file, void *bytes, size_t count, uint64_t offset,
                               size_t *got)
{
    reads++;
    if (fails_at == 0 || reads < fails_at || (!shrinks && reads > fails_at))
        return file_system_calls.read(file, bytes, count, offset, got);
    failed = true;
    *got = 0;
    return shrinks ? FILE_OK : FILE_BROKEN;
}

static file_calls failing_calls(long at, bool shrink)
{
    file_calls calls = logs_calls();
    calls.read = failing_read;
    reads = 0;
    fails_at = at;
    shrinks = shrink;
    failed = false;
    return calls;
}

static reseat_status read_log(const file_calls *calls, bool backwards, reseat_error *error)
{
    log_reader *log = NULL;
    reseat_log_line line = {.state = RESEAT_LINE_SOUND};
    uint64_t number = 0, offset = 0;
    reseat_status status = log_open_any(calls, logs_dir, "mill-1", &log, error);
    if (status == RESEAT_OK)
        status = log_check_head(log, error);
    while (status == RESEAT_OK && line.state != RESEAT_LINE_NONE) {
        offset = line.offset;
        status = (backwards ? log_previous : log_next)(log, &line, error);
    }
    if (status == RESEAT_OK)
        status = log_number(log, offset, &number, error);
    log_close(log);
    return status;
}

static reseat_status read_forwards(const file_calls *calls, reseat_error *error)
{
    return read_log(calls, false, error);
}

static reseat_status read_backwards(const file_calls *calls, reseat_error *error)
{
    return read_log(calls, true, error);
}

static reseat_status read_whole(const file_calls *calls, reseat_error *error)
{
    const replay_request all = {.calls = calls, .dir = logs_dir, .spindle = "mill-1",
                                .horizon = INT64_MAX, .depth = REPLAY_WHOLE};
    replay *read = NULL;
    const reseat_status status = replay_read(&all, &read, error);
    assert_true((status == RESEAT_OK) == (read != NULL));
    replay_free(read);
    return status;
}

static reseat_status audit(const file_calls *calls, reseat_error *error)
{
    reseat_audit found;
    return log_audit(calls, logs_dir, "mill-1", NULL, NULL, NULL, &found, error);
}

static reseat_status append_dry(const file_calls *calls, reseat_record_type type,
                                const char *fields, reseat_error *error)
{
    const reseat_append how = {.dry_run = true, .despite_damage = true, .carry = true};
    reseat_record *record = logs_record(type);
    fill(record, fields);
    const reseat_status status = log_append(calls, logs_dir, "mill-1", record, &how, NULL, error);
    reseat_record_free(record);
    return status;
}

/* No policy is found, so that all lines are looked at. */
static reseat_status append_policy(const file_calls *calls, reseat_error *error)
{
    return append_dry(calls, POLICY, "limit_mm=0.005", error);
}

static reseat_status append_void(const file_calls *calls, reseat_error *error)
{
    return append_dry(calls, VOID, "voids=1 why=slip", error);
}

/* A read that fails is an error of the disk. A file that shrinks is one, or just shorter. */
static void fail_each_read(reseat_status (*act)(const file_calls *calls, reseat_error *error))
{
    for (int shrink = 0; shrink < 2; shrink++)
        for (long at = 1;; at++) {
            reseat_error error = {0};
            const file_calls calls = failing_calls(at, shrink);
            const reseat_status status = act(&calls, &error);
            if (!failed)
                break;
            if (!shrink || status != RESEAT_OK)
                assert_status(status, RESEAT_ERR_IO);
            if (status == RESEAT_ERR_IO)
                assert_non_null(strstr(error.text, shrink ? "it changed while it was read"
                                                          : "the disk reports an error"));
            reads = 0;
            assert_status(act(&calls, NULL), status); /* nobody has to ask for the error */
        }
}

static void add_bytes(char byte, size_t count)
{
    FILE *file = fopen(logs_path("mill-1"), "ab");
    assert_non_null(file);
    for (size_t i = 0; i < count; i++)
        fputc(byte, file);
    fputc('\n', file);
    assert_int_equal(fclose(file), 0);
}

/* Bad lines, more of them than one read holds, and one sealed off. */
static void make_log(void)
{
    const reseat_append despite = {.despite_damage = true};
    put(RUN, 0, P1_RUN);
    add_bytes('x', 40);
    assert_status(logs_append("mill-1", logs_run("0.004"), &despite, NULL, NULL), RESEAT_OK);
    add_bytes('y', 6000);
    add_bytes('z', 6000);
}

static void every_read_of_a_log_may_fail(void **state)
{
    make_log();
    fail_each_read(read_forwards);
    fail_each_read(read_backwards);
    fail_each_read(read_whole);
    fail_each_read(audit);
    fail_each_read(append_policy);
    fail_each_read(append_void);
}

/* Then what stands below the head is read too, to see whether it can still be sealed off. */
static void every_read_below_a_beginning_that_failed_may_fail(void **state)
{
    logs_write("mill-1", "x\n", 2);
    put_raw("mill-1", "{\"v\":1,\"seq\":0,\"type\":\"log\",\"recorded_at\":"
                      "\"2026-03-02T06:00:00Z\",\"spindle\":\"mill-1\","
                      "\"format\":\"reseat-log\"");
    add_bytes('y', 6000);
    fail_each_read(read_forwards);
    fail_each_read(append_policy);
}

static void every_read_of_a_line_longer_than_any_record_may_fail(void **state)
{
    const reseat_append despite = {.despite_damage = true};
    put(RUN, 0, P1_RUN);
    add_bytes('x', LONG_LINE);
    add_bytes('y', LONG_LINE);
    assert_status(logs_append("mill-1", logs_run("0.004"), &despite, NULL, NULL), RESEAT_OK);
    fail_each_read(read_forwards);
    fail_each_read(read_backwards);
}

static void a_long_line_may_begin_the_file(void **state)
{
    log_reader *log = NULL;
    reseat_log_line line;
    logs_write("mill-1", "", 0);
    add_bytes('x', LONG_LINE);
    const file_calls calls = failing_calls(0, false);
    assert_status(log_open_any(&calls, logs_dir, "mill-1", &log, NULL), RESEAT_OK);
    assert_status(log_previous(log, &line, NULL), RESEAT_OK);
    assert_int_equal(line.state, RESEAT_LINE_DAMAGED);
    assert_int_equal(line.offset, 0);
    assert_int_equal(line.length, LONG_LINE);
    assert_status(log_previous(log, &line, NULL), RESEAT_OK);
    assert_int_equal(line.state, RESEAT_LINE_NONE);
    log_close(log);
}

/* The line is bad, and on the way to its number a read fails. */
static void a_bad_line_may_have_no_number(void **state)
{
    const file_calls calls = failing_calls(0, false);
    const replay_request all = {.calls = &calls, .dir = logs_dir, .spindle = "mill-1",
                                .horizon = INT64_MAX, .depth = REPLAY_WHOLE};
    replay *read = NULL;
    uint64_t bad_lines = 0;
    reseat_error error;
    put(RUN, 0, P1_RUN);
    add_bytes('x', 40);
    assert_status(replay_read(&all, &read, &error), RESEAT_OK);
    const long before = reads;
    assert_status(replay_check(read, 0, false, &bad_lines, &error), RESEAT_ERR_DAMAGED);
    fails_at = 2 * reads - before; /* the last read of the same again */
    assert_status(replay_check(read, 0, false, &bad_lines, &error), RESEAT_ERR_IO);
    assert_true(failed);
    assert_int_equal(bad_lines, 0);
    replay_free(read);
}

static void reading_may_turn_back_and_again(void **state)
{
    log_reader *log = NULL;
    reseat_log_line line;
    const int64_t last = put(RUN, 0, P1_RUN);
    assert_int_equal(last, 1);
    assert_status(log_open(&file_system_calls, logs_dir, "mill-1", &log, NULL), RESEAT_OK);
    for (int i = 0; i < 2; i++) {
        assert_status(log_previous(log, &line, NULL), RESEAT_OK);
        assert_true(line.offset > 0);
        assert_status(log_next(log, &line, NULL), RESEAT_OK);
        assert_int_equal(line.offset, 0);
    }
    assert_status(log_next(log, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(log_previous(log, NULL, NULL), RESEAT_ERR_ARGUMENT);
    log_close(log);
}

static void every_fault_is_put_in_words(void **state)
{
    assert_string_equal(file_reason(FILE_BROKEN), "the disk reports an error");
    for (int a = FILE_OK + 1; a < FILE_REFUSED; a++) {
        assert_string_not_equal(file_reason((file_fault)a), "the system refuses");
        for (int b = FILE_OK + 1; b < a; b++)
            assert_string_not_equal(file_reason((file_fault)a), file_reason((file_fault)b));
    }
    assert_string_equal(file_reason(FILE_REFUSED), "the system refuses");
}

/* A path must fit the room that there is for it. */
static void a_folder_with_too_long_a_name_is_refused(void **state)
{
    static char dir[FILE_PATH_SIZE];
    const file_calls calls = logs_calls();
    const reseat_append how = {.begin = true};
    log_reader *log = NULL;
    reseat_error error;
    memset(dir, 'a', sizeof dir - 1);
    assert_status(log_open_any(&calls, dir, "mill-1", &log, &error), RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, "the log folder's name is too long");
    assert_null(log);
    reseat_record *record = logs_run("0.004");
    assert_status(log_append(&calls, dir, "mill-1", record, &how, NULL, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, "the log folder's name is too long");
    reseat_record_free(record);
}

static void a_plain_file_is_no_folder_to_append_in(void **state)
{
    const file_calls calls = logs_calls();
    const reseat_append how = {.begin = true};
    reseat_error error;
    char expected[640];
    logs_write("mill-1", "", 0);
    reseat_record *record = logs_run("0.004");
    assert_status(log_append(&calls, logs_path("mill-1"), "mill-1", record, &how, NULL, &error),
                  RESEAT_ERR_ARGUMENT);
    snprintf(expected, sizeof expected,
             "the log folder \"%s\" is no folder: name the one with the logs", logs_path("mill-1"));
    assert_string_equal(error.text, expected);
    reseat_record_free(record);
}

static void a_pipe_is_no_log_to_append_to(void **state)
{
    reseat_error error;
    assert_int_equal(mkfifo(logs_path("mill-1"), 0600), 0);
    assert_status(logs_append("mill-1", logs_run("0.004"), NULL, NULL, &error), RESEAT_ERR_IO);
    assert_string_equal(error.text, "cannot write the log of mill-1: it is no plain file; nothing "
                                    "was recorded");
}

/* As if so many bytes, zero but for the log at their start, stood above the log. */
#define BETWEEN (UINT64_C(1) << 53)

static file_fault far_about(file_handle file, uint64_t *length)
{
    const file_fault fault = file_system_calls.about(file, length);
    *length += BETWEEN;
    return fault;
}

static file_fault far_read(file_handle file, void *bytes, size_t count, uint64_t offset,
                           size_t *got)
{
    if (offset >= BETWEEN)
        return file_system_calls.read(file, bytes, count, offset - BETWEEN, got);
    const size_t size = BETWEEN - offset < count ? (size_t)(BETWEEN - offset) : count;
    memset(bytes, 0, size);
    file_fault fault = file_system_calls.read(file, bytes, size, offset, got);
    *got = 0;
    if (!fault && size < count)
        fault = file_system_calls.read(file, (char *)bytes + size, count - size, 0, got);
    *got += size;
    return fault;
}

static void what_is_torn_beyond_all_numbers_cannot_be_sealed_off(void **state)
{
    file_calls calls = logs_calls();
    size_t length = 0;
    reseat_error error;
    put(RUN, 0, P1_RUN);
    put(RUN, 0, P1_RUN);
    char *bytes = logs_read("mill-1", &length);
    logs_write("mill-1", bytes, length - 20);
    free(bytes);
    calls.about = far_about;
    calls.read = far_read;
    reseat_record *record = logs_run("0.004");
    assert_status(log_append(&calls, logs_dir, "mill-1", record, NULL, NULL, &error),
                  RESEAT_ERR_RANGE);
    assert_string_equal(error.key, "offset_bytes");
    assert_string_equal(error.text, "larger than 2^53");
    reseat_record_free(record);
    assert_int_equal(put(RUN, 0, P1_RUN), 3); /* and nothing was written */
}

static int locks;

/* The file is not there while it is locked, the first time. */
static file_fault lock_while_away(file_handle file, const char *path)
{
    char away[600];
    if (locks++ > 0)
        return file_system_calls.try_lock(file, path);
    snprintf(away, sizeof away, "%s.away", path);
    assert_int_equal(rename(path, away), 0);
    const file_fault fault = file_system_calls.try_lock(file, path);
    assert_int_equal(rename(away, path), 0);
    return fault;
}

static void a_file_away_under_the_lock_is_opened_again(void **state)
{
    file_calls calls = logs_calls();
    put(RUN, 0, P1_RUN);
    calls.try_lock = lock_while_away;
    locks = 0;
    reseat_record *record = logs_run("0.004");
    assert_status(log_append(&calls, logs_dir, "mill-1", record, NULL, NULL, NULL), RESEAT_OK);
    reseat_record_free(record);
    assert_int_equal(locks, 2);
    assert_int_equal(logs_paused_ms, 50);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(every_read_of_a_log_may_fail),
        in_folder(every_read_below_a_beginning_that_failed_may_fail),
        in_folder(every_read_of_a_line_longer_than_any_record_may_fail),
        in_folder(a_long_line_may_begin_the_file),
        in_folder(a_bad_line_may_have_no_number),
        in_folder(reading_may_turn_back_and_again),
        cmocka_unit_test(every_fault_is_put_in_words),
        in_folder(a_folder_with_too_long_a_name_is_refused),
        in_folder(a_plain_file_is_no_folder_to_append_in),
        in_folder(a_pipe_is_no_log_to_append_to),
        in_folder(what_is_torn_beyond_all_numbers_cannot_be_sealed_off),
        in_folder(a_file_away_under_the_lock_is_opened_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
