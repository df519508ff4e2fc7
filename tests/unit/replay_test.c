/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* One reading of a log: what is not void, in the order of time; its tips; its bad lines. */
#include "log/file.h"
#include "states.h"

/* All of a log up to a time. */
static replay *read_until(const char *spindle, int64_t horizon)
{
    const replay_request all = {.calls = &file_system_calls, .dir = logs_dir, .spindle = spindle,
                                .horizon = horizon, .depth = REPLAY_WHOLE};
    replay *read = NULL;
    assert_status(replay_read(&all, &read, NULL), RESEAT_OK);
    return read;
}

/* The numbers of the runs of a tip must be these, which end with 0. */
static void check_runs(const replay *read, const char *probe, const char *tip,
                       const uint64_t *seqs)
{
    size_t count = 0;
    reseat_drift_run *runs = state_runs(read, probe, tip, &count);
    for (size_t i = 0; i < count; i++)
        assert_int_equal(runs[i].seq, seqs[i]);
    assert_int_equal(seqs[count], 0);
    free(runs);
}

static void check_breaks(const replay *read, const char *probe, const uint64_t *seqs)
{
    size_t count = 0;
    reseat_drift_event *breaks = state_breaks(read, probe, &count);
    for (size_t i = 0; i < count; i++)
        assert_int_equal(breaks[i].seq, seqs[i]);
    assert_int_equal(seqs[count], 0);
    free(breaks);
}

/* A log in which P1's main tip has the runs 2, 6 and 9; 9 is of an earlier time than 6. */
static void make_log(void)
{
    put(EVENT, -1, "kind=service");
    put(RUN, 0, P1_RUN " offset_u_mm=0.0004 radius_mm=2.99 stylus_length_mm=150");
    put(RUN, 1, "probe=P1 tip=left seat_deg=0 offset_x_mm=0.02 offset_y_mm=0");
    put(RUN, 2, "probe=P2 seat_deg=0 offset_x_mm=0.03 offset_y_mm=0");
    put(RUN, 3, "probe=P1 seat_deg=0 offset_x_mm=4 offset_y_mm=0");
    put(RUN, 6, "probe=P1 tip=main seat_deg=unknown offset_x_mm=0.005 offset_y_mm=0");
    put_void(7, 5);
    put(EVENT, 7, "kind=collision probe=P2");
    put_late("mill-1", 7, RUN, 5, "probe=P1 seat_deg=0 offset_x_mm=0.006 offset_y_mm=0");
    put(EVENT, 8, "kind=stylus-change probe=P1");
    put(EVENT, 9, "kind=other");
    put(EVENT, 10, "kind=collision probe=P1");
    assert_int_equal(put_void(11, 12), 13);
}

static void runs_and_breaks_of_a_tip_come_in_the_order_of_time(void **state)
{
    size_t count = 0;
    make_log();
    replay *read = read_until("mill-1", INT64_MAX);
    check_runs(read, "P1", "main", (uint64_t[]){2, 9, 6, 0});
    check_runs(read, "P1", "left", (uint64_t[]){3, 0});
    check_runs(read, "P2", "main", (uint64_t[]){4, 0});
    check_runs(read, "P3", "main", (uint64_t[]){0});
    check_breaks(read, "P1", (uint64_t[]){1, 10, 0});
    check_breaks(read, "P2", (uint64_t[]){1, 8, 0});
    check_breaks(read, "P3", (uint64_t[]){1, 0});
    reseat_drift_run *runs = state_runs(read, "P1", "main", &count);
    assert_true(runs[0].seat_known && runs[0].offset_u_known && runs[0].radius_known);
    assert_true(runs[0].stylus_length_known);
    assert_int_equal(runs[0].at, day(0));
    assert_near(runs[0].seat_deg, 30, 0);
    assert_near(runs[0].offset_mm.x, 0.004, 0);
    assert_near(runs[0].offset_mm.y, -0.0011, 0);
    assert_near(runs[0].offset_u_mm, 0.0004, 0);
    assert_near(runs[0].radius_mm, 2.99, 0);
    assert_near(runs[0].stylus_length_mm, 150, 0);
    assert_false(runs[2].seat_known || runs[2].offset_u_known);
    assert_false(runs[2].radius_known || runs[2].stylus_length_known);
    free(runs);
    replay_free(read);
}

/* Those of the whole spindle take their places among those of a probe. */
static void facts_of_a_probe_and_of_the_spindle_come_in_one_order(void **state)
{
    const int64_t of_p1[] = {1, 2, 3, 9, 6, 10, 11}, of_none[] = {1, 11};
    const replay_fact *fact;
    make_log();
    replay *read = read_until("mill-1", INT64_MAX);
    replay_cursor cursor = {.read = read, .probe = replay_find(read, "P1")};
    for (size_t i = 0; i < sizeof of_p1 / sizeof of_p1[0]; i++) {
        assert_true(replay_next(&cursor, &fact));
        assert_int_equal(fact->seq, of_p1[i]);
    }
    assert_false(replay_next(&cursor, &fact));
    assert_null(replay_find(read, "P3"));
    cursor = (replay_cursor){.read = read};
    for (size_t i = 0; i < 2; i++) {
        assert_true(replay_next(&cursor, &fact));
        assert_int_equal(fact->seq, of_none[i]);
    }
    assert_false(replay_next(&cursor, &fact));
    replay_free(read);
}

static void later_facts_are_left_out_but_not_later_voids(void **state)
{
    make_log();
    replay *read = read_until("mill-1", day(4)); /* 5, of day 3, was voided on day 7 */
    check_runs(read, "P1", "main", (uint64_t[]){2, 0});
    check_breaks(read, "P1", (uint64_t[]){1, 0});
    replay_free(read);
}

static void a_fact_of_the_last_moment_that_is_asked_for_counts(void **state)
{
    put(RUN, 0, P1_RUN);
    for (int before = 0; before <= 1; before++) {
        replay *read = read_until("mill-1", day(0) - before);
        check_runs(read, "P1", "main", (uint64_t[]){before == 0, 0});
        replay_free(read);
    }
}

static void what_a_run_does_not_say_is_0(void **state)
{
    reseat_record *record = NULL;
    assert_status(reseat_record_new(RESEAT_RECORD_RUN, &record), RESEAT_OK);
    const reseat_drift_run run = fact_of(record).run;
    reseat_record_free(record);
    assert_int_equal(run.seq, 0);
    assert_true(run.at == 0 && !run.seat_known && !run.offset_u_known && !run.radius_known);
    assert_false(run.stylus_length_known);
    assert_same_bits(run.offset_mm.x, 0.0);
    assert_same_bits(run.offset_mm.y, 0.0);
    assert_same_bits(run.seat_deg, 0.0);
    assert_same_bits(run.offset_u_mm, 0.0);
    assert_same_bits(run.radius_mm, 0.0);
    assert_same_bits(run.stylus_length_mm, 0.0);
}

static void there_is_room_for_many_runs(void **state)
{
    size_t count = 0;
    for (int i = 0; i < 1003; i++)
        put(RUN, 0, P1_RUN);
    replay *read = read_until("mill-1", INT64_MAX);
    free(state_runs(read, "P1", "main", &count));
    assert_int_equal(count, 1003);
    replay_free(read);
}

/* The tips that a folder lists of mill-1 must be these, "probe tip", which end with NULL. */
static void check_tips(const char *const *expected)
{
    reseat_state_request request = asked_on(100);
    const reseat_tip *tips;
    size_t count = 0;
    assert_status(reseat_folder_open(logs_dir, &request.folder), RESEAT_OK);
    assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
    for (size_t i = 0; i < count; i++) {
        char name[2 * RESEAT_RECORD_NAME_MAX + 2];
        snprintf(name, sizeof name, "%s %s", tips[i].probe, tips[i].tip);
        assert_non_null(expected[i]);
        assert_string_equal(name, expected[i]);
    }
    assert_null(expected[count]);
    reseat_folder_close(request.folder);
}

static void tips_are_listed_by_their_names(void **state)
{
    make_log();
    check_tips((const char *[]){"P1 left", "P1 main", "P2 main", NULL});
}

/* A tip whose only run is void is none. */
static void a_tip_without_runs_does_not_count(void **state)
{
    const int64_t run = put(RUN, 0, P1_RUN);
    check_tips((const char *[]){"P1 main", NULL});
    put_void(1, run);
    check_tips((const char *[]){NULL});
    put(RUN, 2, "probe=P2 seat_deg=0" XY);
    check_tips((const char *[]){"P2 main", NULL});
}

/* The only runs of the first, the third and the last tip are void. */
static void tips_without_runs_are_not_listed_among_those_with_some(void **state)
{
    for (int i = 0; i < 5; i++) {
        char fields[64];
        snprintf(fields, sizeof fields, "probe=P%d seat_deg=0" XY, i);
        assert_int_equal(put(RUN, 0, fields), i + 1);
    }
    for (int i = 1; i <= 5; i += 2)
        put_void(0, i);
    check_tips((const char *[]){"P1 main", "P3 main", NULL});
}

/* A name longer than any on record is that of no probe, and of no log. */
static void a_name_too_long_names_nothing(void **state)
{
    char name[RESEAT_RECORD_NAME_MAX + 2];
    memset(name, 'p', sizeof name);
    name[sizeof name - 1] = '\0';
    char fields[256];
    snprintf(fields, sizeof fields, "probe=%s tip=%s seat_deg=0" XY, name + 1, name + 1);
    put(RUN, 0, fields);
    reseat_state_request request = asked_on(1);
    request.probe = name + 1;
    request.tip = name + 1;
    reseat_state s = stand(&request);
    assert_string_equal(s.probe, name + 1);
    reseat_state_free(&s);
    request.tip = name;
    refuse(&request, RESEAT_ERR_NOT_FOUND, "no run of that tip is on record");
    request.probe = name;
    refuse(&request, RESEAT_ERR_NOT_FOUND, "no run of that probe is on record");
    request.spindle = name;
    refuse(&request, RESEAT_ERR_SYNTAX, "a spindle's name");
}

/* The runs of case-1, and what its bad lines are. */
static reseat_status count_runs(bool despite_damage, size_t *runs, uint64_t *bad_lines,
                                reseat_error *error)
{
    replay *read = read_until("case-1", INT64_MAX);
    free(state_runs(read, "P1", "main", runs));
    const reseat_status status = replay_check(read, 0, despite_damage, bad_lines, error);
    replay_free(read);
    return status;
}

static void a_whole_log_has_no_bad_line(void **state)
{
    size_t length = 0, runs = 0;
    uint64_t bad_lines = 0;
    free(logs_take("case-1", &length));
    assert_status(count_runs(false, &runs, &bad_lines, NULL), RESEAT_OK);
    assert_int_equal(runs, 9);
    assert_int_equal(bad_lines, 0);
}

/* One changed digit in the line of run 5, which stands in line 6, breaks that line's seal alone. */
static void a_bad_line_is_an_error_unless_it_is_to_be_passed_over(void **state)
{
    size_t length = 0, runs = 0;
    uint64_t bad_lines = 0;
    reseat_error error;
    char *bytes = logs_take("case-1", &length);
    char *digit = strstr(bytes + logs_line(bytes, 6), "0.00967");
    assert_non_null(digit);
    digit[6] = '8';
    logs_write("case-1", bytes, length);
    assert_status(count_runs(false, &runs, &bad_lines, &error), RESEAT_ERR_DAMAGED);
    assert_non_null(strstr(error.text, "line 6 of the log of case-1 is damaged"));
    assert_int_equal(bad_lines, 0);
    assert_status(count_runs(true, &runs, &bad_lines, &error), RESEAT_OK);
    assert_int_equal(runs, 8);
    assert_int_equal(bad_lines, 1);
    free(bytes);
}

static void a_last_line_cut_short_is_a_bad_line(void **state)
{
    size_t length = 0, runs = 0;
    uint64_t bad_lines = 0;
    reseat_error error;
    char *bytes = logs_take("case-1", &length);
    logs_write("case-1", bytes, length - 20);
    assert_status(count_runs(false, &runs, &bad_lines, &error), RESEAT_ERR_DAMAGED);
    assert_non_null(strstr(error.text, "was cut short"));
    assert_status(count_runs(true, &runs, &bad_lines, &error), RESEAT_OK);
    assert_int_equal(runs, 8);
    assert_int_equal(bad_lines, 1);
    free(bytes);
}

static void what_is_no_log_cannot_be_read(void **state)
{
    replay *read = NULL;
    reseat_error error;
    replay_request request = {.calls = &file_system_calls, .dir = logs_dir, .spindle = "mill-1"};
    assert_status(replay_read(&request, &read, &error), RESEAT_ERR_NOT_FOUND);
    request.spindle = "..";
    assert_status(replay_read(&request, &read, &error), RESEAT_ERR_SYNTAX);
    request.dir = "/nowhere";
    request.spindle = "mill-1";
    assert_status(replay_read(&request, &read, &error), RESEAT_ERR_ARGUMENT);
    assert_null(read);
    replay_free(NULL);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(runs_and_breaks_of_a_tip_come_in_the_order_of_time),
        in_folder(facts_of_a_probe_and_of_the_spindle_come_in_one_order),
        in_folder(later_facts_are_left_out_but_not_later_voids),
        in_folder(a_fact_of_the_last_moment_that_is_asked_for_counts),
        in_folder(what_a_run_does_not_say_is_0),
        in_folder(there_is_room_for_many_runs),
        in_folder(tips_are_listed_by_their_names),
        in_folder(a_tip_without_runs_does_not_count),
        in_folder(tips_without_runs_are_not_listed_among_those_with_some),
        in_folder(a_name_too_long_names_nothing),
        in_folder(a_whole_log_has_no_bad_line),
        in_folder(a_bad_line_is_an_error_unless_it_is_to_be_passed_over),
        in_folder(a_last_line_cut_short_is_a_bad_line),
        in_folder(what_is_no_log_cannot_be_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
