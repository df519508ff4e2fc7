/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How far back a log is read: no earlier line may count, whatever clocks were set back. */
#include "states.h"

#define BIT(reason) (1u << RESEAT_REASON_##reason)
#define MANY 120 /* runs: more than a state keeps */

/* Runs of P1, one a day from day 1 on. */
static void put_runs(const char *log, int count)
{
    for (int i = 1; i <= count; i++)
        put_late(log, i, RUN, i, P1_RUN);
}

static void cut_last_line(const char *log)
{
    size_t length = 0;
    char *bytes = logs_read(log, &length);
    logs_write(log, bytes, length - 20);
    free(bytes);
}

/* Written on a day to come, long above all runs that count, and dated so. */
static void what_a_clock_ahead_wrote_counts_when_it_was_set_back(void **state)
{
    put(POLICY, 0, "limit_mm=0.005");
    const int64_t ahead = put(EVENT, 200, "kind=collision");
    put_late("mill-1", 201, RESEATED, 150, "probe=P1 seat_deg=90");
    put_runs("mill-1", MANY);
    const reseat_state_request request = asked_on(300);
    reseat_state s = stand(&request);
    assert_int_equal(s.reasons, BIT(COLLISION));
    assert_int_equal(s.events[RESEAT_REASON_COLLISION].seq, ahead);
    assert_int_equal(seq_of(s.last_reseat), ahead + 1);
    assert_int_equal(s.run_count, RESEAT_STATE_RUNS_MAX);
    check_whole(&request, &s);
    reseat_state_free(&s);
}

/* The fact is old; the line below it alone was written on a day to come: it may void the fact. */
static void what_stands_below_a_line_of_a_clock_ahead_is_read_too(void **state)
{
    put(POLICY, 0, "limit_mm=0.005");
    const int64_t collision = put_late("mill-1", 0, EVENT, 0, "kind=other");
    put(EVENT, 200, "kind=other");
    const int64_t late = put_late("mill-1", 1, EVENT, 1, "kind=other probe=P1");
    put_runs("mill-1", MANY);
    logs_damage("mill-1", (unsigned)late + 1);
    reseat_state_request request = asked_on(300);
    refuse(&request, RESEAT_ERR_DAMAGED, "line 5 of the log of mill-1 is damaged");
    request.whole = true;
    refuse(&request, RESEAT_ERR_DAMAGED, "line 5 of the log of mill-1 is damaged");
    assert_int_equal(collision, 2);
}

static void so_it_does_in_another_log(void **state)
{
    put(RUN, 100, P1_RUN);
    put_late("hmc-1", 0, RUN, 0, "probe=P2 seat_deg=0" XY);
    const int64_t use = put_late("hmc-1", 200, RUN, 150, P1_RUN);
    for (int i = 1; i < 50; i++)
        put_late("hmc-1", i, RUN, i, "probe=P2 seat_deg=0" XY);
    const reseat_state_request request = asked_on(300);
    reseat_state s = stand(&request);
    assert_int_equal(s.reasons, BIT(ELSEWHERE));
    assert_int_equal(s.events[RESEAT_REASON_ELSEWHERE].seq, use);
    check_whole(&request, &s);
    reseat_state_free(&s);
}

/* A run in another order of fields, so that it has to be read whole to be known. */
static void put_turned_run(int seq, double on, double happened)
{
    char line[512], written[RESEAT_TIME_SIZE], at[RESEAT_TIME_SIZE];
    assert_status(reseat_time_format(day(on), written), RESEAT_OK);
    assert_status(reseat_time_format(day(happened), at), RESEAT_OK);
    snprintf(line, sizeof line, "{\"seq\":%d,\"v\":1,\"probe\":\"P1\",\"at\":\"%s\","
             "\"recorded_at\":\"%s\",\"type\":\"run\",\"seat_deg\":0,\"offset_x_mm\":0.004,"
             "\"offset_y_mm\":0.001", seq, at, written);
    put_raw("mill-1", line);
}

/* The run in force stands first, and was written on a day to come. */
static void lines_that_must_be_read_whole_are_held_to_the_same(void **state)
{
    put(POLICY, 0, "limit_mm=0.005");
    put_turned_run(2, 200, 190);
    for (int i = 1; i <= MANY; i++)
        put_turned_run(2 + i, i, i);
    reseat_state_request request = asked_on(300);
    reseat_state s = stand(&request);
    assert_int_equal(seq_of(s.run), 2);
    check_whole(&request, &s);
    reseat_state_free(&s);
}

static void reading_such_lines_stops_early_too(void **state)
{
    put(EVENT, 0, "kind=other");
    for (int i = 1; i <= MANY; i++)
        put_turned_run(1 + i, i, i);
    put(POLICY, MANY, "limit_mm=0.005");
    logs_damage("mill-1", 10);
    reseat_state_request request = asked_on(300);
    reseat_state s = stand(&request);
    assert_int_equal(s.run_count, RESEAT_STATE_RUNS_MAX);
    assert_int_equal(s.bad_lines, 0);
    check_whole(&request, &s);
    reseat_state_free(&s);
}

/* Lines 3 to 122 are the runs of days 1 to 120: those of days 21 to 120 are kept. */
static void bad_lines_above_all_that_counts_stop_nothing_however_much_is_read(void **state)
{
    reseat_state_request request = asked_on(300);
    put(EVENT, 0, "kind=other");
    put_runs("mill-1", MANY);
    put(POLICY, MANY, "limit_mm=0.005");
    logs_damage("mill-1", 5);
    for (int whole = 0; whole < 2; whole++) {
        request.whole = whole == 1;
        reseat_state s = stand(&request);
        assert_int_equal(s.bad_lines, 0);
        reseat_state_free(&s);
        request.tip = "main";
        s = stand(&request);
        reseat_state_free(&s);
        request.tip = NULL;
    }
}

/* When it was written is not known: it may be a late entry. */
static void a_bad_line_right_above_the_first_that_counts_stops_it(void **state)
{
    reseat_state_request request = asked_on(300);
    put(EVENT, 0, "kind=other");
    put_runs("mill-1", MANY);
    put(POLICY, MANY, "limit_mm=0.005");
    logs_damage("mill-1", 20);
    logs_damage("mill-1", 21);
    logs_damage("mill-1", 22);
    logs_damage("mill-1", 5);
    for (int whole = 0; whole < 2; whole++) {
        request.whole = whole == 1;
        request.despite_damage = false;
        refuse(&request, RESEAT_ERR_DAMAGED, "line 22 of the log of mill-1 is damaged");
        request.despite_damage = true;
        reseat_state s = stand(&request);
        assert_int_equal(s.bad_lines, 3);
        reseat_state_free(&s);
    }
}

/* It may be a policy: the newest counts, however old it is. */
static void bad_lines_below_the_policy_in_force_count(void **state)
{
    reseat_state_request request = asked_on(300);
    put(EVENT, 0, "kind=other");
    put(EVENT, 0, "kind=other");
    put(EVENT, 0, "kind=other");
    put(POLICY, 0, "limit_mm=0.005");
    put_runs("mill-1", MANY);
    logs_damage("mill-1", 3);
    for (int bad = 0; bad < 2; bad++) {
        for (int whole = 0; whole < 2; whole++) {
            request.whole = whole == 1;
            if (bad == 0) {
                reseat_state s = stand(&request);
                reseat_state_free(&s);
            } else {
                refuse(&request, RESEAT_ERR_DAMAGED, "line 8 of the log of mill-1 is damaged");
            }
        }
        logs_damage("mill-1", 8);
    }
}

/* The only tip with runs is meant as long as no line may be a run of another. */
static void a_tip_that_was_not_named_rests_on_every_line(void **state)
{
    reseat_state_request request = asked_on(300);
    put(EVENT, 0, "kind=other");
    for (int i = 1; i <= MANY; i++)
        put(RUN, i, "probe=P1 tip=left seat_deg=0" XY);
    put(POLICY, MANY, "limit_mm=0.005");
    logs_damage("mill-1", 5);
    for (int whole = 0; whole < 2; whole++) {
        request.whole = whole == 1;
        request.tip = NULL;
        refuse(&request, RESEAT_ERR_DAMAGED, "line 5 of the log of mill-1 is damaged");
        request.tip = "left";
        reseat_state s = stand(&request);
        assert_int_equal(s.run_count, RESEAT_STATE_RUNS_MAX);
        reseat_state_free(&s);
    }
}

/* The newest line of another log, below lines that are older than the run: it may be newer. */
static void a_bad_last_line_of_another_log_counts(void **state)
{
    for (int torn = 0; torn < 2; torn++) {
        put(RUN, 100, P1_RUN);
        put_late("hmc-1", 0, EVENT, 0, "kind=service probe=P1"); /* it has been there at all */
        for (int i = 1; i < 3; i++)
            put_late("hmc-1", i, RUN, i, "probe=P2 seat_deg=0" XY);
        put_late("hmc-1", 101, RUN, 101, P1_RUN);
        if (torn)
            cut_last_line("hmc-1");
        else
            logs_damage("hmc-1", 5);
        reseat_state_request request = asked_on(300);
        refuse(&request, RESEAT_ERR_DAMAGED, "so whether P1 was used there is not known");
        request.despite_damage = true;
        reseat_state s = stand(&request);
        assert_int_equal(s.bad_lines, 1);
        assert_int_equal(s.reasons, BIT(DAMAGE_IGNORED));
        reseat_state_free(&s);
        assert_int_equal(remove(logs_path("hmc-1")), 0);
    }
}

/* Above a line that was written before the run no bad line of another log counts. */
static void older_bad_lines_of_another_log_do_not_count(void **state)
{
    put(RUN, 100, P1_RUN);
    for (int i = 0; i < 5; i++)
        put_late("hmc-1", i, RUN, i, "probe=P2 seat_deg=0" XY);
    logs_damage("hmc-1", 3);
    reseat_state s = stand_on(300);
    assert_int_equal(s.bad_lines, 0);
    assert_int_equal(s.reasons, 0);
    reseat_state_free(&s);
}

/* No policy is found, so that all is read; far more facts than are kept without a thought. */
static void of_many_facts_those_that_count_are_kept(void **state)
{
    static const char *const tips[] = {"main", "left"};
    for (int i = 1; i <= 900; i++) {
        put(RUN, i, P1_RUN);
        if (i % 50 == 0)
            put_late("mill-1", i, RUN, i - 40.5, "probe=P1 tip=left seat_deg=0" XY);
        if (i % 60 == 0)
            put_late("mill-1", i, EVENT, i - 100, "kind=service probe=P1");
        if (i % 70 == 0)
            put_late("mill-1", i, RUN, i - 500.5, P1_RUN);
    }
    for (int i = 0; i < 4; i++) {
        reseat_state_request request = asked_on(i < 2 ? 1000 : 611.25);
        request.tip = tips[i % 2];
        reseat_state s = stand(&request);
        assert_int_equal(s.run_count, i == 1 ? 18 : i == 3 ? 13 : RESEAT_STATE_RUNS_MAX);
        check_whole(&request, &s);
        reseat_state_free(&s);
    }
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(what_a_clock_ahead_wrote_counts_when_it_was_set_back),
        in_folder(what_stands_below_a_line_of_a_clock_ahead_is_read_too),
        in_folder(so_it_does_in_another_log),
        in_folder(lines_that_must_be_read_whole_are_held_to_the_same),
        in_folder(reading_such_lines_stops_early_too),
        in_folder(bad_lines_above_all_that_counts_stop_nothing_however_much_is_read),
        in_folder(a_bad_line_right_above_the_first_that_counts_stops_it),
        in_folder(bad_lines_below_the_policy_in_force_count),
        in_folder(a_tip_that_was_not_named_rests_on_every_line),
        in_folder(a_bad_last_line_of_another_log_counts),
        in_folder(older_bad_lines_of_another_log_do_not_count),
        in_folder(of_many_facts_those_that_count_are_kept),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
