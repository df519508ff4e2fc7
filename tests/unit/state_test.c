/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which run, reseat, gauge check and policy are in force. */

#include "states.h"

/* The run, reseat, gauge check and policy in force on a day; -1 for none. */
static void assert_in_force(double on, int64_t run, int64_t outing, int64_t check, int64_t policy)
{
    reseat_state s = stand_on(on);
    assert_int_equal(seq_of(s.run), run);
    assert_int_equal(seq_of(s.last_reseat), outing);
    assert_int_equal(seq_of(s.check), check);
    assert_int_equal(seq_of(s.policy), policy);
    reseat_state_free(&s);
}

static void the_only_run_is_in_force(void **state)
{
    put(RUN, 0, P1_RUN);
    reseat_state s = stand_on(41.5);
    assert_string_equal(s.spindle, "mill-1");
    assert_string_equal(s.probe, "P1");
    assert_string_equal(s.tip, "main");
    assert_int_equal(seq_of(s.run), 1);
    assert_true(!s.last_reseat && !s.check && !s.policy);
    assert_near(s.age_days, 41.5, 0);
    assert_int_equal(s.as_of, day(41.5));
    assert_int_equal(s.reasons, 0);
    assert_int_equal(s.unknown_types + s.bad_lines, 0);
    assert_int_equal(s.run_count, 1);
    assert_int_equal(s.runs[0].seq, 1);
    assert_int_equal(s.baseline_count, 0);
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++)
        assert_int_equal(s.events[reason].seq, -1);
    reseat_state_free(&s);
}

static void the_latest_run_by_time_is_in_force(void **state)
{
    const int64_t first = put(RUN, 0, P1_RUN);
    const int64_t second = put(RUN, 10, P1_RUN);
    const int64_t late = put_late("mill-1", 12, RUN, 5, P1_RUN);
    assert_in_force(20, second, -1, -1, -1);
    assert_in_force(7, late, -1, -1, -1);
    assert_in_force(3, first, -1, -1, -1);
}

static void of_facts_at_one_time_the_one_written_last_is_later(void **state)
{
    put(RUN, 0, P1_RUN);
    const int64_t again = put(RUN, 0, P1_RUN);
    assert_in_force(1, again, -1, -1, -1);
    const int64_t out = put(RESEATED, 0, "probe=P1 seat_deg=30");
    assert_in_force(1, again, out, -1, -1);
    const int64_t check = put(VERIFY, 0, P1_CHECK);
    assert_in_force(1, again, out, check, -1);
    const int64_t last = put(RUN, 0, P1_RUN);
    assert_in_force(1, last, -1, -1, -1);
}

static void a_reseat_counts_where_it_is_later_than_the_run(void **state)
{
    put(RESEATED, -5, "probe=P1 seat_deg=0");
    const int64_t run = put(RUN, 0, P1_RUN);
    assert_in_force(1, run, -1, -1, -1);
    put_late("mill-1", 2, RESEATED, -1, "probe=P1 seat_deg=0");
    assert_in_force(3, run, -1, -1, -1);
    const int64_t late = put_late("mill-1", 4, RESEATED, 1, "probe=P1 seat_deg=0");
    assert_in_force(5, run, late, -1, -1);
    const int64_t last = put_late("mill-1", 5, RESEATED, 3, "probe=P1 seat_deg=unknown");
    put_late("mill-1", 6, RESEATED, 2, "probe=P1 seat_deg=90");
    assert_in_force(7, run, last, -1, -1);
    assert_in_force(2.5, run, 6, -1, -1);
}

/* `at` may lie 5 minutes ahead of the clock that `recorded_at` is from. */
static void a_reseat_written_before_the_run_and_dated_after_it_counts(void **state)
{
    const double minute = 1.0 / 1440;
    const int64_t early = put_late("mill-1", 0, RESEATED, 4 * minute, "probe=P1 seat_deg=0");
    const int64_t run = put(RUN, minute, P1_RUN);
    put(RUN, -1, P1_RUN);
    assert_in_force(1, run, early, -1, -1);
}

static void a_gauge_check_counts_where_it_is_later_than_run_and_reseats(void **state)
{
    put(VERIFY, -1, P1_CHECK);
    const int64_t run = put(RUN, 0, P1_RUN);
    assert_in_force(1, run, -1, -1, -1);
    const int64_t check = put(VERIFY, 2, P1_CHECK);
    assert_in_force(3, run, -1, check, -1);
    const int64_t out = put(RESEATED, 4, "probe=P1 seat_deg=unknown");
    assert_in_force(5, run, out, -1, -1);
    assert_in_force(3, run, -1, check, -1);
    put_late("mill-1", 6, VERIFY, 3, P1_CHECK);
    assert_in_force(7, run, out, -1, -1);
    const int64_t late = put_late("mill-1", 8, VERIFY, 5, P1_CHECK);
    assert_in_force(9, run, out, late, -1);
    const int64_t between = put_late("mill-1", 10, RESEATED, 6, "probe=P1 seat_deg=0");
    assert_in_force(11, run, between, -1, -1);
}

static void what_is_void_does_not_count(void **state)
{
    const int64_t policy = put(POLICY, -1, "limit_mm=0.005");
    const int64_t run = put(RUN, 0, P1_RUN);
    const int64_t out = put(RESEATED, 1, "probe=P1 seat_deg=0");
    const int64_t check = put(VERIFY, 2, P1_CHECK);
    const int64_t slip[] = {put(RUN, 3, P1_RUN), put(RESEATED, 4, "probe=P1 seat_deg=unknown"),
                            put(EVENT, 5, "kind=collision probe=P1"), put(VERIFY, 6, P1_CHECK),
                            put(POLICY, 7, "limit_mm=1")};
    assert_in_force(10, slip[0], slip[1], slip[3], slip[4]);
    put_void(8, slip[0]);
    assert_in_force(10, run, slip[1], slip[3], slip[4]);
    put_void(8, slip[1]);
    put_void(8, slip[3]);
    assert_in_force(10, run, out, check, slip[4]);
    put_void(8, slip[4]);
    assert_in_force(10, run, out, check, policy);
    reseat_state s = stand_on(10);
    assert_int_equal(s.reasons, 1u << RESEAT_REASON_COLLISION);
    reseat_state_free(&s);
    put_void(8, slip[2]);
    s = stand_on(10);
    assert_int_equal(s.reasons, 0);
    assert_int_equal(s.baseline_count, 0);
    reseat_state_free(&s);
    put_void(8, policy);
    put_void(9, run);
    const reseat_state_request query = asked_on(10);
    refuse(&query, RESEAT_ERR_NOT_FOUND, "no run is on record for mill-1");
}

/* A policy is of no time: what is known of spindle and seats holds for earlier days too. */
static void the_newest_policy_is_in_force_at_any_time(void **state)
{
    put(POLICY, -1, "limit_mm=0.005");
    const int64_t run = put(RUN, 0, P1_RUN);
    const int64_t policy = put(POLICY, 5, "limit_mm=0.01");
    assert_in_force(1, run, -1, -1, policy);
    assert_in_force(6, run, -1, -1, policy);
}

static void each_probe_stands_for_itself(void **state)
{
    const int64_t run = put(RUN, 0, P1_RUN);
    const int64_t other = put(RUN, 1, "probe=P2 seat_deg=0" XY);
    const int64_t out = put(RESEATED, 2, "probe=P1 seat_deg=0");
    put(RESEATED, 3, "probe=P2 seat_deg=0");
    put(VERIFY, 4, P1_CHECK);
    reseat_state_request query = asked_on(5);
    refuse(&query, RESEAT_ERR_REFUSED, "--probe, as several have runs: P1, P2");
    query.probe = "P1";
    reseat_state s = stand(&query);
    assert_string_equal(s.probe, "P1");
    assert_int_equal(seq_of(s.run), run);
    assert_int_equal(seq_of(s.last_reseat), out);
    assert_int_equal(seq_of(s.check), 5);
    assert_int_equal(s.run_count, 1);
    reseat_state_free(&s);
    query.probe = "P2";
    s = stand(&query);
    assert_int_equal(seq_of(s.run), other);
    assert_int_equal(seq_of(s.last_reseat), 4);
    assert_null(s.check);
    reseat_state_free(&s);
    query.probe = "P";
    refuse(&query, RESEAT_ERR_NOT_FOUND,
           "no run of that probe is on record; probes with runs: P1, P2");
    put_void(5, other);
    assert_in_force(5, run, out, 5, -1); /* the only one with runs left */
}

/* Whichever the request names. */
static void the_only_probe_with_runs_is_found(void **state)
{
    char probe[RESEAT_RECORD_NAME_MAX + 1] = "as it was";
    reseat_state_request query = asked_on(5);
    reseat_error error;
    assert_status(reseat_state_probe(&query, probe, &error), RESEAT_ERR_NOT_FOUND);
    put(RESEATED, 0, "probe=P2 seat_deg=0");
    assert_status(reseat_state_probe(&query, probe, &error), RESEAT_ERR_NOT_FOUND);
    assert_string_equal(probe, "as it was");
    put(RUN, 1, P1_RUN " tip=left");
    put(RUN, 1, P1_RUN " tip=right");
    query.probe = "P2";
    assert_status(reseat_state_probe(&query, probe, &error), RESEAT_OK);
    assert_string_equal(probe, "P1");
    put(RUN, 2, "probe=P2 seat_deg=0" XY);
    assert_status(reseat_state_probe(&query, probe, &error), RESEAT_ERR_REFUSED);
    assert_status(reseat_state_probe(NULL, probe, &error), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_state_probe(&query, NULL, &error), RESEAT_ERR_ARGUMENT);
    assert_string_equal(probe, "P1");
}

static void a_probe_without_runs_is_none(void **state)
{
    put(RESEATED, 0, "probe=P1 seat_deg=0");
    put(VERIFY, 1, P1_CHECK);
    const reseat_state_request query = asked_on(5);
    refuse(&query, RESEAT_ERR_NOT_FOUND, "no run is on record for mill-1");
    const int64_t run = put(RUN, 2, "probe=P2 seat_deg=0" XY);
    assert_in_force(5, run, -1, -1, -1);
}

static void each_tip_stands_for_itself(void **state)
{
    put(RUN, 0, P1_RUN " tip=left");
    reseat_state_request query = asked_on(9);
    reseat_state s = stand(&query);
    assert_string_equal(s.tip, "left"); /* the only one */
    reseat_state_free(&s);
    put(RUN, 1, P1_RUN " tip=right");
    refuse(&query, RESEAT_ERR_REFUSED, "--tip, as several have runs: left, right");
    const int64_t run = put(RUN, 0.5, P1_RUN);
    const int64_t check = put(VERIFY, 2, P1_CHECK " tip=left");
    assert_in_force(9, run, -1, -1, -1); /* main, where it has runs */
    query.tip = "left";
    s = stand(&query);
    assert_int_equal(seq_of(s.run), 1);
    assert_int_equal(seq_of(s.check), check);
    reseat_state_free(&s);
    query.tip = "lef";
    refuse(&query, RESEAT_ERR_NOT_FOUND,
           "no run of that tip is on record; tips with runs: left, main, right");
    const int64_t out = put(RESEATED, 3, "probe=P1 seat_deg=0");
    query.tip = "right"; /* all tips leave the spindle together */
    s = stand(&query);
    assert_int_equal(seq_of(s.run), 2);
    assert_int_equal(seq_of(s.last_reseat), out);
    assert_int_equal(s.run_count, 1);
    reseat_state_free(&s);
    query.tip = "main";
    s = stand(&query);
    assert_int_equal(seq_of(s.run), run);
    reseat_state_free(&s);
}

static void later_facts_count_as_far_ahead_as_was_asked(void **state)
{
    const int64_t run = put(RUN, 0, P1_RUN);
    const int64_t out = put(RESEATED, 1, "probe=P1 seat_deg=0");
    reseat_state_request query = asked_on(1);
    query.as_of -= RESEAT_LOG_AHEAD_SECONDS;
    reseat_state s = stand(&query);
    assert_int_equal(seq_of(s.run), run);
    assert_null(s.last_reseat);
    reseat_state_free(&s);
    query.ahead = RESEAT_LOG_AHEAD_SECONDS;
    s = stand(&query);
    assert_int_equal(seq_of(s.last_reseat), out);
    reseat_state_free(&s);
    query.ahead--;
    s = stand(&query);
    assert_null(s.last_reseat);
    reseat_state_free(&s);
    query.as_of = day(-1);
    refuse(&query, RESEAT_ERR_NOT_FOUND, "no run is on record for mill-1");
    query.ahead = 0;
    refuse(&query, RESEAT_ERR_NOT_FOUND, "no run is on record for mill-1 by that time");
    query.as_of = INT64_MAX;
    query.ahead = INT64_MAX;
    s = stand(&query);
    assert_int_equal(seq_of(s.last_reseat), out);
    reseat_state_free(&s);
}

static void a_run_ahead_of_the_clock_is_no_day_old(void **state)
{
    put(RUN, 0, P1_RUN);
    reseat_state_request query = asked_on(0);
    query.as_of -= 60;
    query.ahead = RESEAT_LOG_AHEAD_SECONDS;
    reseat_state s = stand(&query);
    assert_near(s.age_days, 0, 0);
    reseat_state_free(&s);
}

static void state_refuses_what_it_cannot_read(void **state)
{
    put(RUN, 0, P1_RUN);
    reseat_state probe_state;
    reseat_state_request query = asked_on(1);
    assert_status(reseat_state_read(NULL, &probe_state, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_state_read(&query, NULL, NULL), RESEAT_ERR_ARGUMENT);
    query.spindle = NULL;
    refuse(&query, RESEAT_ERR_ARGUMENT, "a required argument is missing");
    query.spindle = "../mill-1";
    refuse(&query, RESEAT_ERR_SYNTAX, "a spindle's name");
    query.spindle = "mill-2";
    refuse(&query, RESEAT_ERR_NOT_FOUND, "there is no log of mill-2");
    query.dir = NULL;
    refuse(&query, RESEAT_ERR_ARGUMENT, "a required argument is missing");
    query.dir = "/nowhere";
    refuse(&query, RESEAT_ERR_ARGUMENT, "/nowhere\" is not there");
    reseat_state_free(NULL);
}

static void every_source_of_a_seat_has_a_name(void **state)
{
    static const char *const names[] = {"run", "reseat", "verify", "policy", "default", "typed"};
    for (int source = RESEAT_SOURCE_RUN; source <= RESEAT_SOURCE_TYPED; source++)
        assert_string_equal(reseat_seat_source_name((reseat_seat_source)source), names[source]);
    assert_string_equal(reseat_seat_source_name((reseat_seat_source)6), "");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_only_run_is_in_force),
        TEST(the_latest_run_by_time_is_in_force),
        TEST(of_facts_at_one_time_the_one_written_last_is_later),
        TEST(a_reseat_counts_where_it_is_later_than_the_run),
        TEST(a_reseat_written_before_the_run_and_dated_after_it_counts),
        TEST(a_gauge_check_counts_where_it_is_later_than_run_and_reseats),
        TEST(what_is_void_does_not_count),
        TEST(the_newest_policy_is_in_force_at_any_time),
        TEST(each_probe_stands_for_itself),
        TEST(the_only_probe_with_runs_is_found),
        TEST(a_probe_without_runs_is_none),
        TEST(each_tip_stands_for_itself),
        TEST(later_facts_count_as_far_ahead_as_was_asked),
        TEST(a_run_ahead_of_the_clock_is_no_day_old),
        TEST(state_refuses_what_it_cannot_read),
        TEST(every_source_of_a_seat_has_a_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
