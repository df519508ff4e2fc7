/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "logs.h"
#include "log/file.h"
#include "log/record.h"

static log_reader *open_log(const char *name)
{
    const file_calls calls = logs_calls();
    static file_calls kept;
    log_reader *log = NULL;
    kept = calls;
    assert_status(log_open_any(&kept, logs_dir, name, &log, NULL), RESEAT_OK);
    assert_status(log_check_head(log, NULL), RESEAT_OK);
    return log;
}

/* The states of all lines: S sound, o sealed off, t torn, D damaged. */
static void read_states(const char *name, bool backwards, char *states, size_t size)
{
    static const char letters[] = " SotD";
    log_reader *log = open_log(name);
    reseat_log_line line;
    size_t count = 0;
    for (;;) {
        assert_status((backwards ? log_previous : log_next)(log, &line, NULL),
                      RESEAT_OK);
        if (line.state == RESEAT_LINE_NONE)
            break;
        assert_true(count + 1 < size);
        assert_int_equal(line.number, backwards ? 0 : count + 1);
        assert_true((line.state == RESEAT_LINE_SOUND) == (line.what[0] == '\0'));
        states[count++] = letters[line.state];
    }
    for (size_t i = 0; backwards && i < count / 2; i++) {
        const char held = states[i];
        states[i] = states[count - 1 - i];
        states[count - 1 - i] = held;
    }
    states[count] = '\0';
    log_close(log);
}

/* Both directions must agree. */
static void assert_states(const char *name, const char *expected)
{
    char states[256];
    read_states(name, false, states, sizeof states);
    assert_string_equal(states, expected);
    read_states(name, true, states, sizeof states);
    assert_string_equal(states, expected);
}

static void reads_reference_logs_both_ways(void **state)
{
    size_t length = 0;
    free(logs_take("case-1", &length));
    assert_states("case-1", "SSSSSSSSSSS");
    log_reader *log = open_log("case-1");
    reseat_log_line line;
    uint64_t number = 0, forward[11];
    for (size_t i = 0; i < 11; i++) {
        assert_status(log_next(log, &line, NULL), RESEAT_OK);
        forward[i] = line.offset;
    }
    for (size_t i = 11; i > 0; i--) {
        assert_status(log_previous(log, &line, NULL), RESEAT_OK);
        assert_int_equal(line.offset, forward[i - 1]);
        assert_status(log_number(log, line.offset, &number, NULL), RESEAT_OK);
        assert_int_equal(number, i);
    }
    assert_status(log_next(log, &line, NULL), RESEAT_OK);
    assert_int_equal(line.offset, 0);
    log_close(log);
}

static void a_changed_byte_is_one_bad_line(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    char *at = strstr(bytes + logs_line(bytes, 5), "offset_x_mm");
    at[0] = 'O';
    logs_write("case-1", bytes, length);
    assert_states("case-1", "SSSSDSSSSSS");
    free(bytes);
}

/* The line below is sealed over the seal as it stands. */
static void a_changed_seal_is_seen_in_the_line_below_too(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    char *digit = bytes + logs_line(bytes, 6) - 4;
    *digit = *digit == '0' ? '1' : '0';
    logs_write("case-1", bytes, length);
    assert_states("case-1", "SSSSDDSSSSS");
    free(bytes);
}

static void a_missing_line_is_seen_in_the_one_below(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    logs_write_without("case-1", bytes, 4);
    assert_states("case-1", "SSSDSSSSSS");
    free(bytes);
}

static void a_line_cut_short_is_torn_unless_only_its_lf_is_missing(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    logs_write("case-1", bytes, length - 2);
    assert_states("case-1", "SSSSSSSSSSt");
    logs_write("case-1", bytes, length - 1);
    assert_states("case-1", "SSSSSSSSSSS");
    bytes[length - 1] = '\r';
    logs_write("case-1", bytes, length);
    assert_states("case-1", "SSSSSSSSSSD");
    free(bytes);
}

static void waits_a_moment_for_the_end_of_a_line(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    log_close(open_log("case-1"));
    assert_int_equal(logs_paused_ms, 0);
    logs_write("case-1", bytes, length - 2);
    log_close(open_log("case-1"));
    assert_int_equal(logs_paused_ms, 200);
    free(bytes);
}

static char *late_end;

/* A writer that ends its line during the third pause. */
static void end_line(unsigned milliseconds)
{
    logs_paused_ms += milliseconds;
    if (logs_paused_ms == 30) {
        FILE *file = fopen(logs_path("case-1"), "ab");
        assert_non_null(file);
        fputs(late_end, file);
        fclose(file);
    }
}

static void reads_the_line_that_a_writer_ends_meanwhile(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    log_reader *log = NULL;
    reseat_log_line line;
    file_calls calls = logs_calls();
    calls.pause = end_line;
    logs_write("case-1", bytes, length - 40);
    late_end = bytes + length - 40;
    assert_status(log_open_any(&calls, logs_dir, "case-1", &log, NULL), RESEAT_OK);
    assert_int_equal(logs_paused_ms, 30);
    assert_status(log_previous(log, &line, NULL), RESEAT_OK);
    assert_int_equal(line.state, RESEAT_LINE_SOUND);
    log_close(log);
    free(bytes);
}

static void a_line_longer_than_any_record_is_read_in_bounded_memory(void **state)
{
    const size_t sizes[] = {RESEAT_RECORD_LINE_MAX - 1, RESEAT_RECORD_LINE_MAX,
                            RESEAT_RECORD_LINE_MAX + 1, 2 * RESEAT_RECORD_LINE_MAX,
                            4 * RESEAT_RECORD_LINE_MAX + 1, 1000000};
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    const size_t at = logs_line(bytes, 4);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        char *longer = malloc(length + sizes[i] + 1);
        assert_non_null(longer);
        memcpy(longer, bytes, at);
        memset(longer + at, 'x', sizes[i]);
        longer[at + sizes[i]] = '\n';
        memcpy(longer + at + sizes[i] + 1, bytes + at, length - at);
        logs_write("case-1", longer, length + sizes[i] + 1);
        assert_states("case-1", "SSSDSSSSSSSS");
        free(longer);
    }
    free(bytes);
}

/* The long line ends as a sealed one does, so the line below is held against it. */
static void a_long_line_that_ends_in_a_seal_counts_as_the_one_above(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    const size_t at = logs_line(bytes, 4), next = logs_line(bytes, 5), more = 300000;
    char *longer = malloc(length + more);
    assert_non_null(longer);
    memcpy(longer, bytes, at);
    memset(longer + at, 'x', more);
    memcpy(longer + at + more, bytes + at, length - at);
    logs_write("case-1", longer, length + more);
    assert_states("case-1", "SSSDSSSSSSS");
    assert_true(next > at);
    free(longer);
    free(bytes);
}

/* More lines than one window keeps, and a seal far above. */
static void many_bad_lines_between_sound_ones_are_passed_over(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    const size_t at = logs_line(bytes, 4), more = 700000;
    char *longer = malloc(length + more);
    assert_non_null(longer);
    memcpy(longer, bytes, at);
    for (size_t i = 0; i < more; i++)
        longer[at + i] = i % 3 == 2 || i + 1 == more ? '\n' : 'x';
    memcpy(longer + at + more, bytes + at, length - at);
    logs_write("case-1", longer, length + more);
    log_reader *log = open_log("case-1");
    for (int backwards = 0; backwards < 2; backwards++) {
        size_t sound = 0, damaged = 0;
        reseat_log_line line;
        do {
            assert_status((backwards ? log_previous : log_next)(log, &line, NULL),
                          RESEAT_OK);
            sound += line.state == RESEAT_LINE_SOUND ? 1 : 0;
            damaged += line.state == RESEAT_LINE_DAMAGED ? 1 : 0;
        } while (line.state != RESEAT_LINE_NONE);
        assert_int_equal(sound, 11);
        assert_int_equal(damaged, (more + 2) / 3);
    }
    log_close(log);
    free(longer);
    free(bytes);
}

static void an_empty_log_has_no_lines(void **state)
{
    logs_write("mill-2", "", 0);
    assert_states("mill-2", "");
    logs_write("mill-2", "\n", 1);
    assert_states("mill-2", "D");
    logs_write("mill-2", "x", 1);
    assert_states("mill-2", "t");
    logs_write("mill-2", "\n\n\nx", 4);
    assert_states("mill-2", "DDDt");
}

static void what_a_repair_record_names_is_sealed_off(void **state)
{
    static const char piece[] = "{\"v\":1,\"se\x01\nzz";
    size_t length = 0;
    logs_add("mill-2", logs_run("0.004"));
    char *bytes = logs_read("mill-2", &length);
    bytes = realloc(bytes, length + sizeof piece);
    assert_non_null(bytes);
    memcpy(bytes + length, piece, sizeof piece - 1);
    logs_write("mill-2", bytes, length + sizeof piece - 1);
    free(bytes);
    assert_states("mill-2", "SSDt");
    assert_int_equal(logs_add("mill-2", logs_run("0.005")), 3);
    assert_states("mill-2", "SSooSS");
    bytes = logs_read("mill-2", &length);
    bytes[logs_line(bytes, 4)] = 'y'; /* the hash no longer fits */
    logs_write("mill-2", bytes, length);
    assert_states("mill-2", "SSDDSS");
    free(bytes);
}

/* The sound line above goes bad later: it is damage, what was sealed off stays so. */
static void a_repair_record_names_its_own_bytes_only(void **state)
{
    size_t length = 0;
    logs_add("mill-2", logs_run("0.004"));
    char *bytes = logs_read("mill-2", &length);
    bytes[length] = 'z'; /* instead of the NUL */
    logs_write("mill-2", bytes, length + 1);
    free(bytes);
    logs_add("mill-2", logs_run("0.005"));
    bytes = logs_read("mill-2", &length);
    bytes[logs_line(bytes, 2)] = '[';
    logs_write("mill-2", bytes, length);
    assert_states("mill-2", "SDoSS");
    free(bytes);
}

/* As after a crash in which nothing of the first write but zeros reached the disk. */
static void a_log_begun_again_seals_off_what_stood_there(void **state)
{
    const char zeros[600] = {0};
    logs_write("mill-2", zeros, sizeof zeros);
    assert_states("mill-2", "t");
    assert_int_equal(logs_add("mill-2", logs_run("0.004")), 2);
    assert_states("mill-2", "oSSS");
    assert_int_equal(logs_add("mill-2", logs_run("0.005")), 3);
    assert_states("mill-2", "oSSSS");
}

static void a_repair_record_cannot_hide_sound_lines(void **state)
{
    size_t length = 0;
    char above[RESEAT_SEAL_SIZE], digits[RESEAT_SEAL_SIZE];
    char *bytes = logs_take("case-1", &length);
    reseat_record *repair = logs_record(RESEAT_RECORD_REPAIR);
    memcpy(above, bytes + length - 3 - 64, 64);
    seal_make(NULL, bytes, length, digits);
    assert_status(reseat_record_set_integer(repair, RESEAT_FIELD_SEQ, 11, NULL), RESEAT_OK);
    assert_status(reseat_record_set_integer(repair, RESEAT_FIELD_RECORDED_AT, 0, NULL), RESEAT_OK);
    assert_status(reseat_record_set_integer(repair, RESEAT_FIELD_OFFSET_BYTES, 0, NULL), RESEAT_OK);
    assert_status(reseat_record_set_number(repair, RESEAT_FIELD_LENGTH_BYTES, (double)length, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_text(repair, RESEAT_FIELD_SHA256, digits, NULL), RESEAT_OK);
    assert_status(record_seal(repair, above, NULL), RESEAT_OK);
    size_t line_length = 0;
    const char *line = reseat_record_line(repair, &line_length);
    char *all = malloc(length + line_length + 1);
    assert_non_null(all);
    memcpy(all, bytes, length);
    memcpy(all + length, line, line_length);
    all[length + line_length] = '\n';
    logs_write("case-1", all, length + line_length + 1);
    assert_states("case-1", "SSSSSSSSSSSS");
    all[logs_line(all, 5) + 3] ^= 1; /* the hash does not fit, nor would the range */
    logs_write("case-1", all, length + line_length + 1);
    assert_states("case-1", "SSSSDSSSSSSS");
    free(all);
    free(bytes);
    reseat_record_free(repair);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(reads_reference_logs_both_ways),
        in_folder(a_changed_byte_is_one_bad_line),
        in_folder(a_changed_seal_is_seen_in_the_line_below_too),
        in_folder(a_missing_line_is_seen_in_the_one_below),
        in_folder(a_line_cut_short_is_torn_unless_only_its_lf_is_missing),
        in_folder(waits_a_moment_for_the_end_of_a_line),
        in_folder(reads_the_line_that_a_writer_ends_meanwhile),
        in_folder(a_line_longer_than_any_record_is_read_in_bounded_memory),
        in_folder(a_long_line_that_ends_in_a_seal_counts_as_the_one_above),
        in_folder(many_bad_lines_between_sound_ones_are_passed_over),
        in_folder(an_empty_log_has_no_lines),
        in_folder(what_a_repair_record_names_is_sealed_off),
        in_folder(a_repair_record_names_its_own_bytes_only),
        in_folder(a_log_begun_again_seals_off_what_stood_there),
        in_folder(a_repair_record_cannot_hide_sound_lines),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
