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

static void a_policy_is_in_force_from_when_it_was_recorded(void **state)
{
    const int64_t first = put(POLICY, 2, "limit_mm=0.005");
    const int64_t run = put_late("mill-1", 2, RUN, 0, P1_RUN);
    assert_in_force(1, run, -1, -1, first); /* a log's first, from the beginning */
    const int64_t second = put(POLICY, 5, "limit_mm=0.01");
    const int64_t third = put(POLICY, 8, "limit_mm=0.02");
    assert_in_force(1, run, -1, -1, first);
    assert_in_force(4.99, run, -1, -1, first);
    assert_in_force(5, run, -1, -1, second);
    assert_in_force(7.99, run, -1, -1, second);
    assert_in_force(9, run, -1, -1, third);
    put_void(9, third);
    assert_in_force(9, run, -1, -1, second);
    put_void(9, first);
    assert_in_force(1, run, -1, -1, second); /* the first that is left */
    put_void(9, second);
    assert_in_force(9, run, -1, -1, -1);
}

/* A clock set back: what was recorded last replaces what was there. */
static void of_two_policies_the_one_written_last_is_in_force(void **state)
{
    put(POLICY, 1, "limit_mm=0.005");
    const int64_t run = put(RUN, 1, P1_RUN);
    const int64_t ahead = put(POLICY, 20, "limit_mm=0.01");
    const int64_t last = put(POLICY, 6, "limit_mm=0.02");
    assert_in_force(30, run, -1, -1, last);
    assert_in_force(7, run, -1, -1, last);
    assert_in_force(5, run, -1, -1, 1);
    assert_true(ahead < last);
}

/* What was on record on a day: facts, voids and policies that were written later do not count. */
static void only_what_was_known_on_a_day_counts(void **state)
{
    const int64_t policy = put(POLICY, 0, "limit_mm=0.005");
    const int64_t run = put(RUN, 0, P1_RUN);
    const int64_t slip = put(RESEATED, 1, "probe=P1 seat_deg=0");
    put_late("mill-1", 6, RUN, 2, P1_RUN);
    put_void(7, slip);
    put(POLICY, 7, "limit_mm=0.01");
    const int64_t late = put_late("mill-1", 8, VERIFY, 3, P1_CHECK);
    put_late("mill-1", 8, RUN, 1, "probe=P2 seat_deg=0" XY);
    reseat_state_request query = asked_on(9);
    const struct {
        double known;
        int64_t run, last_reseat, check, policy;
    } cases[] = {{5, run, slip, -1, policy}, {6, 4, -1, -1, policy}, {7, 4, -1, -1, 6},
                 {8, 4, -1, late, 6}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        query.as_known = day(cases[i].known);
        query.probe = i < 3 ? NULL : "P1"; /* then P2 has a run too */
        reseat_state s = stand(&query);
        assert_int_equal(seq_of(s.run), cases[i].run);
        assert_int_equal(seq_of(s.last_reseat), cases[i].last_reseat);
        assert_int_equal(seq_of(s.check), cases[i].check);
        assert_int_equal(seq_of(s.policy), cases[i].policy);
        reseat_state_free(&s);
    }
    query.probe = NULL;
    refuse(&query, RESEAT_ERR_REFUSED, "as several have runs: P1, P2");
    query.as_known = day(-1);
    refuse(&query, RESEAT_ERR_NOT_FOUND, "no run is on record for mill-1");
}

/* P2 was known by its run alone that day; that this was void was not. */
static void the_probe_is_chosen_by_what_was_known(void **state)
{
    const int64_t slip = put(RUN, 0, "probe=P2 seat_deg=0" XY);
    put_void(2, slip);
    put(RUN, 3, P1_RUN);
    reseat_state_request query = asked_on(4);
    query.as_known = day(1);
    reseat_state s = stand(&query);
    assert_string_equal(s.probe, "P2");
    reseat_state_free(&s);
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

/* The probe of the request is not read: another may be typed instead of it. */
static void the_only_probe_with_runs_is_given(void **state)
{
    char probe[RESEAT_RECORD_NAME_MAX + 1] = "before";
    reseat_error error;
    reseat_state_request query = asked_on(5);
    put(RESEATED, 0, "probe=P3 seat_deg=0");
    assert_status(reseat_state_probe(&query, probe, &error), RESEAT_ERR_NOT_FOUND);
    put(RUN, 0, P1_RUN);
    query.probe = "P2";
    assert_status(reseat_state_probe(&query, probe, &error), RESEAT_OK);
    assert_string_equal(probe, "P1");
    put(RUN, 1, "probe=P2 seat_deg=0" XY);
    assert_status(reseat_state_probe(&query, probe, &error), RESEAT_ERR_REFUSED);
    assert_non_null(strstr(error.text, "as several have runs: P1, P2"));
    assert_string_equal(probe, "P1");
    assert_status(reseat_state_probe(NULL, probe, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_state_probe(&query, NULL, NULL), RESEAT_ERR_ARGUMENT);
}

/* The number of the policy that is given; -1: none is. */
static int64_t policy_by(const reseat_state_request *query)
{
    reseat_record *policy = NULL;
    reseat_error error;
    const reseat_status status = reseat_state_policy(query, &policy, &error);
    if (status != RESEAT_OK)
        print_error("%s\n", error.text);
    assert_status(status, RESEAT_OK);
    const int64_t seq = reseat_record_integer(policy, RESEAT_FIELD_SEQ, -1);
    reseat_record_free(policy);
    return seq;
}

static void a_policy_is_given_before_there_is_a_run(void **state)
{
    reseat_state_request query = asked_on(5);
    assert_int_equal(policy_by(&query), -1); /* no log */
    put(EVENT, 0, "kind=service");
    assert_int_equal(policy_by(&query), -1);
    const int64_t first = put(POLICY, 1, "lobing_mm=0.002");
    const int64_t second = put(POLICY, 3, "lobing_mm=0.004");
    assert_int_equal(policy_by(&query), second);
    query.as_of = day(2);
    assert_int_equal(policy_by(&query), first);
    query.as_of = day(5);
    put_void(4, second);
    assert_int_equal(policy_by(&query), first);
    query.as_known = day(3.5);
    assert_int_equal(policy_by(&query), second);
}

static void a_damaged_line_may_have_been_the_policy(void **state)
{
    reseat_state_request query = asked_on(5);
    reseat_record *policy = (reseat_record *)&query, *const before = policy;
    reseat_error error;
    const int64_t first = put(POLICY, 1, "lobing_mm=0.002");
    put(EVENT, 2, "kind=service");
    put(EVENT, 3, "kind=other");
    logs_damage("mill-1", 3);
    assert_status(reseat_state_policy(&query, &policy, &error), RESEAT_ERR_DAMAGED);
    assert_non_null(strstr(error.text, "mill-1 may have been a policy"));
    query.spindle = "Mill-1";
    assert_status(reseat_state_policy(&query, &policy, &error), RESEAT_ERR_SYNTAX);
    assert_status(reseat_state_policy(NULL, &policy, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_state_policy(&query, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_ptr_equal(policy, before);
    query.spindle = "mill-1";
    query.despite_damage = true;
    assert_int_equal(policy_by(&query), first);
    query.despite_damage = false;
    const int64_t above = put(POLICY, 4, "lobing_mm=0.004");
    assert_int_equal(policy_by(&query), above); /* the damage lies below it */
    FILE *file = fopen(logs_path("mill-1"), "ab");
    assert_non_null(file);
    fputs("{\"v\":1,\"seq\":5,\"ty", file);
    assert_int_equal(fclose(file), 0);
    assert_int_equal(policy_by(&query), above);
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

/* The latest fact of this probe, if more than five minutes ahead of the clock, whatever it is. */
static void assert_ahead(int64_t as_of, int64_t seq, int64_t at)
{
    const reseat_state_request query = {.dir = logs_dir, .spindle = "mill-1", .probe = "P1",
                                        .as_of = as_of, .ahead = INT64_MAX};
    reseat_state s = stand(&query);
    assert_int_equal(s.ahead.seq, seq);
    if (seq >= 0)
        assert_int_equal(s.ahead.at, at);
    reseat_state_free(&s);
}

static void a_fact_ahead_of_the_clock_counts_and_is_told(void **state)
{
    put(POLICY, 0, "reseats=changer");
    const int64_t run = put(RUN, 1, P1_RUN);
    assert_ahead(day(1) - RESEAT_LOG_AHEAD_SECONDS, -1, 0);
    assert_ahead(day(1) - RESEAT_LOG_AHEAD_SECONDS - 1, run, day(1));
    const struct {
        reseat_record_type type;
        const char *fields;
    } facts[] = {{RESEATED, "probe=P1 seat_deg=0"}, {VERIFY, P1_CHECK},
                 {EVENT, "kind=other"}, {EVENT, "kind=service probe=P1"},
                 {RUN, P1_RUN " tip=left"}};
    for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
        const double on = 2 + (double)i;
        const int64_t seq = put(facts[i].type, on, facts[i].fields);
        assert_ahead(day(0), seq, day(on));
        assert_ahead(day(on), -1, 0);
    }
    put(EVENT, 10, "kind=service probe=P2"); /* says nothing of P1 */
    assert_ahead(day(0), 7, day(6));
    put_late("hmc-1", 11, RESEATED, 11, "probe=P1 seat_deg=0");
    assert_ahead(day(0), 1, day(11)); /* evidence that it was out */
    reseat_state s = stand_on(0.5 + 1); /* with --as-of, what is ahead does not count */
    assert_int_equal(s.ahead.seq, -1);
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
    static const char *const names[] = {"run",     "reseat", "verify",   "policy",
                                        "default", "typed",  "evidence", "late"};
    for (int source = RESEAT_SOURCE_RUN; source <= RESEAT_SOURCE_LATE; source++)
        assert_string_equal(reseat_seat_source_name((reseat_seat_source)source), names[source]);
    assert_string_equal(reseat_seat_source_name((reseat_seat_source)8), "");
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
        TEST(a_policy_is_in_force_from_when_it_was_recorded),
        TEST(of_two_policies_the_one_written_last_is_in_force),
        TEST(only_what_was_known_on_a_day_counts),
        TEST(the_probe_is_chosen_by_what_was_known),
        TEST(a_fact_ahead_of_the_clock_counts_and_is_told),
        TEST(each_probe_stands_for_itself),
        TEST(the_only_probe_with_runs_is_given),
        TEST(a_policy_is_given_before_there_is_a_run),
        TEST(a_damaged_line_may_have_been_the_policy),
        TEST(a_probe_without_runs_is_none),
        TEST(each_tip_stands_for_itself),
        TEST(later_facts_count_as_far_ahead_as_was_asked),
        TEST(a_run_ahead_of_the_clock_is_no_day_old),
        TEST(state_refuses_what_it_cannot_read),
        TEST(every_source_of_a_seat_has_a_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
