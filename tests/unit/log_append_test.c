/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "logs.h"

#include <fcntl.h>
#include <sys/file.h>

static void assert_text(const char *bytes, const char *expected)
{
    if (bytes == NULL || strstr(bytes, expected) == NULL) {
        print_error("expected %s in %s\n", expected, bytes != NULL ? bytes : "nothing");
        fail();
    }
}

static void begins_a_log_with_its_head_and_the_record(void **state)
{
    const reseat_append how = {.begin = true};
    reseat_appended done;
    size_t length = 0;
    reseat_record *record = logs_run("0.004");
    logs_set(record, RESEAT_FIELD_BY, "tech-2");
    assert_status(logs_append("mill-2", record, &how, &done, NULL), RESEAT_OK);
    assert_int_equal(done.seq, 1);
    assert_true(done.began);
    assert_int_equal(done.repaired_bytes, 0);
    char *bytes = logs_read("mill-2", &length);
    assert_text(bytes,
                "{\"v\":1,\"seq\":0,\"type\":\"log\",\"recorded_at\":\"2026-03-02T06:00:00Z\","
                "\"spindle\":\"mill-2\",\"format\":\"reseat-log\",\"by\":\"tech-2\",\"seal\":\"");
    assert_text(bytes,
                "\n{\"v\":1,\"seq\":1,\"type\":\"run\",\"recorded_at\":\"2026-03-02T06:00:00Z\","
                "\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\",\"seat_deg\":0,"
                "\"offset_x_mm\":0.004,\"offset_y_mm\":-0.0011,\"by\":\"tech-2\",\"seal\":\"");
    assert_memory_equal(bytes + length - 3 - 64, done.seal, 64);
    assert_int_equal(bytes[length - 1], '\n');
    free(bytes);
}

static void goes_on_below_what_others_wrote(void **state)
{
    size_t before = 0, after = 0;
    char *old = logs_take("case-1", &before);
    logs_now = 1784700000; /* July */
    assert_int_equal(logs_add("case-1", logs_run("0.0101")), 11);
    char *bytes = logs_read("case-1", &after);
    assert_memory_equal(bytes, old, before);
    assert_true(after > before);
    free(bytes);
    free(old);
}

static void completes_the_record_of_the_caller(void **state)
{
    const file_calls calls = logs_calls();
    const reseat_append how = {.begin = true};
    reseat_appended done;
    size_t length = 0, line_length = 0;
    reseat_record *record = logs_run("0.004");
    assert_status(log_append(&calls, logs_dir, "mill-2", record, &how, &done, NULL), RESEAT_OK);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_SEQ, -1), 1);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_AT, -1), LOGS_NOW);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, -1), LOGS_NOW);
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_SEAL), done.seal);
    const char *line = reseat_record_line(record, &line_length);
    char *bytes = logs_read("mill-2", &length);
    assert_memory_equal(bytes + length - 1 - line_length, line, line_length);
    free(bytes);
    reseat_record_free(record);
}

static void a_dry_run_gives_the_line_and_writes_nothing(void **state)
{
    const file_calls calls = logs_calls();
    const reseat_append dry = {.begin = true, .dry_run = true};
    struct stat about;
    reseat_appended would, done;
    reseat_record *record = logs_run("0.004");
    assert_status(log_append(&calls, logs_dir, "mill-2", record, &dry, &would, NULL), RESEAT_OK);
    assert_int_equal(stat(logs_path("mill-2"), &about), -1);
    assert_true(would.began);
    assert_int_equal(would.seq, 1);
    logs_add("mill-2", logs_run("0.004"));
    assert_status(log_append(&calls, logs_dir, "mill-2", record, &dry, &would, NULL), RESEAT_OK);
    assert_status(logs_append("mill-2", logs_run("0.004"), NULL, &done, NULL), RESEAT_OK);
    assert_int_equal(would.seq, 2);
    assert_int_equal(done.seq, 2);
    assert_string_equal(would.seal, done.seal);
    reseat_record_free(record);
}

static void a_log_that_is_not_there_must_be_begun(void **state)
{
    struct stat about;
    const reseat_append how = {.begin = true};
    reseat_error error;
    assert_status(logs_append("mill-9", logs_run("0"), NULL, NULL, &error), RESEAT_ERR_NOT_FOUND);
    assert_int_equal(error.code, RESEAT_CODE_NO_LOG);
    assert_int_equal(stat(logs_path("mill-9"), &about), -1);
    logs_write("mill-9", "", 0);
    assert_status(logs_append("mill-9", logs_run("0"), NULL, NULL, &error), RESEAT_ERR_NOT_FOUND);
    assert_int_equal(error.code, RESEAT_CODE_EMPTY_LOG);
    logs_refuse("mill-9", logs_run("0"), NULL, RESEAT_ERR_NOT_FOUND,
                "the log of mill-9 is empty: it has yet to be begun");
    assert_status(logs_append("Mill", logs_run("0"), &how, NULL, &error), RESEAT_ERR_SYNTAX);
    const file_calls calls = logs_calls();
    reseat_record *record = logs_run("0");
    assert_status(log_append(&calls, "/nowhere", "mill-9", record, &how, NULL, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text,
                        "the log folder \"/nowhere\" is not there: make it, or name another");
    reseat_record_free(record);
}

static void adds_the_lf_that_the_last_record_lacks(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    logs_write("case-1", bytes, length - 1);
    free(bytes);
    logs_now = 1784700000;
    reseat_appended done;
    assert_status(logs_append("case-1", logs_run("0.01"), NULL, &done, NULL), RESEAT_OK);
    assert_int_equal(done.seq, 11);
    assert_int_equal(done.repaired_bytes, 0);
    bytes = logs_read("case-1", &length);
    assert_int_equal(logs_line(bytes, 12), strstr(bytes, "{\"v\":1,\"seq\":11,") - bytes);
    free(bytes);
}

/* The expected hash is that of the piece and its LF, by Python's hashlib. */
static void seals_off_a_line_cut_short(void **state)
{
    size_t length = 0;
    char expected[200];
    logs_add("mill-2", logs_run("0.004"));
    char *bytes = logs_read("mill-2", &length);
    char *torn = malloc(length + 8);
    assert_non_null(torn);
    memcpy(torn, bytes, length);
    memcpy(torn + length, "{\"v\":1,", 7);
    logs_write("mill-2", torn, length + 7);
    free(torn);
    free(bytes);
    reseat_appended done;
    assert_status(logs_append("mill-2", logs_run("0.005"), NULL, &done, NULL), RESEAT_OK);
    assert_int_equal(done.seq, 3);
    assert_int_equal(done.repaired_bytes, 8);
    bytes = logs_read("mill-2", &length);
    snprintf(expected, sizeof expected,
             "\"offset_bytes\":%zu,\"length_bytes\":8,\"sha256\":"
             "\"a25dc8f27cc9cae3f22f87c1993beb626c17928a8f6bf2004a77aa83b7d8e940\"",
             logs_line(bytes, 3));
    assert_text(bytes, "\n{\"v\":1,\n{\"v\":1,\"seq\":2,\"type\":\"repair\",");
    assert_text(bytes, expected);
    free(bytes);
}

/* A last record whose end was spoiled, or all of them, is damage: no cut leaves a whole seal. */
static void what_was_a_whole_record_is_not_sealed_off(void **state)
{
    static const struct {
        size_t back; /* from the end of the file */
        const char *instead;
    } cases[] = {{1, "\r\n"}, {1, " \n"}, {2, "|\n"}, {3, "#}\n"}, {1, "\r"}, {1, " "}};
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    logs_now = 1784700000;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char spoiled[1 << 16];
        assert_true(length + 4 < sizeof spoiled);
        memcpy(spoiled, bytes, length);
        memcpy(spoiled + length - cases[i].back, cases[i].instead, strlen(cases[i].instead));
        logs_write("case-1", spoiled, length - cases[i].back + strlen(cases[i].instead));
        logs_refuse("case-1", logs_run("0.01"), NULL, RESEAT_ERR_DAMAGED,
                    "the end of the log of case-1 is damaged: nothing was recorded; audit it, put "
                    "back a copy, or append despite the damage");
    }
    free(bytes);
}

/* Wherever a last line is cut, and whatever zeros a file system fills in. */
static void a_cut_anywhere_is_sealed_off(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    const size_t begin = logs_line(bytes, 11);
    logs_now = 1784700000;
    for (size_t cut = begin + 1; cut < length - 1; cut++) {
        char torn[1 << 16] = "";
        const size_t zeros = cut % 3 == 0 ? 7 : 0;
        assert_true(length + zeros < sizeof torn);
        memcpy(torn, bytes, cut);
        logs_write("case-1", torn, cut + zeros);
        reseat_appended done;
        assert_status(logs_append("case-1", logs_run("0.01"), NULL, &done, NULL), RESEAT_OK);
        assert_int_equal(done.repaired_bytes, cut + zeros + 1 - begin);
    }
    reseat_appended done;
    memcpy(bytes + length - 3, "##", 2); /* as a crash may leave it: nothing of the end is there */
    logs_write("case-1", bytes, length);
    assert_status(logs_append("case-1", logs_run("0.01"), NULL, &done, NULL), RESEAT_OK);
    assert_int_equal(done.repaired_bytes, length - begin);
    free(bytes);
}

static void refuses_a_damaged_end_unless_told_otherwise(void **state)
{
    const reseat_append despite = {.despite_damage = true};
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    bytes[logs_line(bytes, 11) + 9] = 'Q';
    logs_write("case-1", bytes, length);
    free(bytes);
    logs_now = 1784700000;
    logs_refuse("case-1", logs_run("0.01"), NULL, RESEAT_ERR_DAMAGED,
                "the end of the log of case-1 is damaged: nothing was recorded; audit it, put "
                "back a copy, or append despite the damage");
    reseat_appended done;
    assert_status(logs_append("case-1", logs_run("0.01"), &despite, &done, NULL), RESEAT_OK);
    assert_int_equal(done.seq, 11); /* the damaged line was 10 */
    assert_int_equal(done.repaired_bytes, 0);
    assert_int_equal(logs_add("case-1", logs_run("0.011")), 12);
    bytes = logs_read("case-1", &length);
    assert_null(strstr(bytes, "repair"));
    free(bytes);
}

static void refuses_a_file_without_any_sound_record(void **state)
{
    size_t length = 0, filled = 0;
    char turned[1 << 16];
    char *bytes = logs_take("case-1", &length);
    for (size_t i = 0; i < length; i++) {
        if (bytes[i] == '\n')
            turned[filled++] = '\r';
        turned[filled++] = bytes[i];
        assert_true(filled + 2 < sizeof turned);
    }
    free(bytes);
    logs_write("case-1", turned, filled);
    logs_refuse("case-1", logs_run("0"), NULL, RESEAT_ERR_DAMAGED,
                "the log of case-1 holds no sound record: nothing was recorded; put back a copy, "
                "or move the file away and begin a new log");
    const reseat_append how = {.begin = true, .despite_damage = true};
    logs_write("mill-2", "{\"a\":\"b\"}\n", 10);
    logs_refuse("mill-2", logs_run("0"), &how, RESEAT_ERR_DAMAGED,
                "the log of mill-2 holds no sound record: nothing was recorded; put back a "
                "copy, or move the file away and begin a new log");
}

static void refuses_the_log_of_another_spindle(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    logs_write("mill-2", bytes, length);
    free(bytes);
    logs_refuse("mill-2", logs_run("0"), NULL, RESEAT_ERR_DAMAGED,
                "this is the log of case-1, not of mill-2: give the file its name back, "
                "or move it out of the folder if it is a copy");
}

static void gives_up_after_ten_seconds_of_another_writer(void **state)
{
    logs_add("mill-2", logs_run("0.004"));
    const int file = open(logs_path("mill-2"), O_RDONLY);
    assert_int_equal(flock(file, LOCK_EX), 0);
    logs_refuse("mill-2", logs_run("0.005"), NULL, RESEAT_ERR_BUSY,
                "another writer kept the log of mill-2 locked for 10 s: nothing was recorded, "
                "try again");
    assert_int_equal(logs_paused_ms, 10000);
    close(file);
    assert_int_equal(logs_add("mill-2", logs_run("0.005")), 2);
}

/* The file that was opened is renamed away before it is locked, and another takes its place. */
static file_fault replace_and_lock(file_handle file, const char *path)
{
    static int calls;
    char away[600];
    if (calls++ == 0) {
        snprintf(away, sizeof away, "%s.away", logs_path("mill-2"));
        assert_int_equal(rename(logs_path("mill-2"), away), 0);
        size_t length = 0;
        char *bytes = logs_read_path(away, &length);
        logs_write("mill-2", bytes, length);
        free(bytes);
    }
    return file_system_calls.try_lock(file, path);
}

static void writes_to_the_file_that_has_the_name_once_it_is_locked(void **state)
{
    size_t length = 0, away_length = 0;
    char away[600];
    logs_add("mill-2", logs_run("0.004"));
    file_calls calls = logs_calls();
    calls.try_lock = replace_and_lock;
    reseat_record *record = logs_run("0.005");
    assert_status(log_append(&calls, logs_dir, "mill-2", record, NULL, NULL, NULL), RESEAT_OK);
    reseat_record_free(record);
    snprintf(away, sizeof away, "%s.away", logs_path("mill-2"));
    free(logs_read_path(away, &away_length));
    free(logs_read("mill-2", &length));
    assert_true(length > away_length);
}

static void a_symbolic_link_is_not_written_through(void **state)
{
    char target[600];
    reseat_error error;
    logs_add("mill-2", logs_run("0.004"));
    snprintf(target, sizeof target, "%s", logs_path("mill-2"));
    assert_int_equal(symlink(target, logs_path("mill-3")), 0);
    assert_status(logs_append("mill-3", logs_run("0"), NULL, NULL, &error), RESEAT_ERR_IO);
    assert_string_equal(error.text, "cannot write the log of mill-3: it is a symbolic link; "
                                    "nothing was recorded");
}

static mode_t mode_of(const char *name)
{
    struct stat about;
    assert_int_equal(stat(logs_path(name), &about), 0);
    return about.st_mode & 07777;
}

static void new_logs_follow_the_umask_and_the_group_of_the_folder(void **state)
{
    const mode_t old = umask(022);
    logs_add("mill-1", logs_run("0.004"));
    assert_int_equal(chmod(logs_dir, 0755 | S_ISGID), 0);
    logs_add("mill-2", logs_run("0.004"));
    umask(077);
    logs_add("mill-3", logs_run("0.004"));
    umask(old);
    assert_int_equal(mode_of("mill-1"), 0644);
    assert_int_equal(mode_of("mill-2"), 0664);
    assert_int_equal(mode_of("mill-3"), 0660);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(begins_a_log_with_its_head_and_the_record),
        in_folder(goes_on_below_what_others_wrote),
        in_folder(completes_the_record_of_the_caller),
        in_folder(a_dry_run_gives_the_line_and_writes_nothing),
        in_folder(a_log_that_is_not_there_must_be_begun),
        in_folder(adds_the_lf_that_the_last_record_lacks),
        in_folder(seals_off_a_line_cut_short),
        in_folder(what_was_a_whole_record_is_not_sealed_off),
        in_folder(a_cut_anywhere_is_sealed_off),
        in_folder(refuses_a_damaged_end_unless_told_otherwise),
        in_folder(refuses_a_file_without_any_sound_record),
        in_folder(refuses_the_log_of_another_spindle),
        in_folder(gives_up_after_ten_seconds_of_another_writer),
        in_folder(writes_to_the_file_that_has_the_name_once_it_is_locked),
        in_folder(a_symbolic_link_is_not_written_through),
        in_folder(new_logs_follow_the_umask_and_the_group_of_the_folder),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
