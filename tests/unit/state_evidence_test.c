/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Records that show that a probe was out, though nobody recorded a reseat of it. */

#include "states.h"

#define P2_RUN "probe=P2 seat_deg=0" XY

static reseat_state stand_P1(double on)
{
    reseat_state_request query = asked_on(on);
    query.probe = "P1";
    query.tip = "main";
    return stand(&query);
}

/* What is known of the seat of P1 on a day, from where, and the record that says so. */
static void assert_known(double on, const char *seat, reseat_seat_source source, int64_t seq)
{
    char text[RESEAT_SEAT_SIZE];
    reseat_state_question asked;
    const reseat_state_typed typed = {.no_limit = true};
    reseat_state s = stand_P1(on);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_OK);
    assert_status(reseat_seat_format(&asked.seat, text), RESEAT_OK);
    assert_string_equal(text, seat);
    assert_int_equal(asked.source, source);
    assert_int_equal(asked.source_seq, seq);
    if (source != RESEAT_SOURCE_VERIFY)
        assert_int_equal(s.evidence.seq, source == RESEAT_SOURCE_EVIDENCE ? seq : -1);
    reseat_state_free(&s);
}

static void another_probe_in_the_spindle_shows_that_this_one_was_out(void **state)
{
    static const struct {
        reseat_record_type type;
        const char *fields;
        bool shows;
    } facts[] = {{RUN, P2_RUN, true},
                 {RESEATED, "probe=P2 seat_deg=0", true},
                 {VERIFY, "probe=P2 shift_x_mm=0 shift_y_mm=0 shift_u_mm=0.001", true},
                 {EVENT, "kind=collision probe=P2", false}, /* perhaps in its drawer */
                 {EVENT, "kind=other", false},
                 {RESEAT_RECORD_VERDICT, "probe=P2 verdict=OK run_seq=1 seat=same limit_mm=0.005 "
                                         "error_mm=0.001 chance=99%", false}};
    put(POLICY, 0, "seats=keys:2");
    const int64_t run = put(RUN, 1, P1_RUN);
    for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
        assert_known(9, "same", RESEAT_SOURCE_RUN, run);
        const int64_t seq = put(facts[i].type, 2, facts[i].fields);
        if (!facts[i].shows)
            continue;
        assert_known(1.9, "same", RESEAT_SOURCE_RUN, run);
        assert_known(9, "keys:2", RESEAT_SOURCE_EVIDENCE, seq);
        reseat_state s = stand_P1(9);
        assert_string_equal(s.evidence.probe, "P2");
        assert_string_equal(s.evidence.log, "");
        assert_int_equal(s.evidence.type, facts[i].type);
        assert_int_equal(s.evidence.at, day(2));
        reseat_state_free(&s);
        put_void(2, seq);
    }
    assert_known(9, "same", RESEAT_SOURCE_RUN, run);
}

/* A changer takes probes out at every tool change, and keeps their angles. */
static void in_a_shop_with_a_changer_two_probes_stay_as_they_sat(void **state)
{
    put(POLICY, 0, "reseats=changer");
    const int64_t run = put(RUN, 1, P1_RUN);
    put(RUN, 2, P2_RUN);
    put(VERIFY, 3, "probe=P2 shift_x_mm=0 shift_y_mm=0 shift_u_mm=0.001");
    assert_known(9, "same", RESEAT_SOURCE_RUN, run);
    put(POLICY, 4, "reseats=logged"); /* from then on the log says all */
    assert_known(3.9, "same", RESEAT_SOURCE_RUN, run);
    assert_known(9, "any", RESEAT_SOURCE_EVIDENCE, 4);
    put(POLICY, 5, "reseats=changer");
    put_late("hmc-1", 6, VERIFY, 6, P1_CHECK); /* no changer reaches that far */
    assert_known(9, "any", RESEAT_SOURCE_EVIDENCE, 1);
}

static void a_probe_that_wandered_and_was_calibrated_here_sits_as_it_did(void **state)
{
    put(RUN, 0, P1_RUN);
    put_late("hmc-1", 2, RUN, 2, P1_RUN);
    put_late("hmc-1", 3, RESEATED, 3, "probe=P1 seat_deg=0");
    put_late("hmc-1", 3, RUN, 3, P2_RUN);
    assert_known(4, "any", RESEAT_SOURCE_EVIDENCE, 2);
    const int64_t run = put(RUN, 5, P1_RUN);
    assert_known(6, "same", RESEAT_SOURCE_RUN, run);
    put_late("hmc-1", 7, RUN, 7, P2_RUN); /* stays there without it */
    assert_known(8, "same", RESEAT_SOURCE_RUN, run);
    const int64_t back = put_late("mill-1", 9, RESEATED, 9, "probe=P1 seat_deg=30");
    assert_known(10, "30", RESEAT_SOURCE_RESEAT, back);
}

/* Whatever it is that names the probe there. */
static void any_record_of_the_probe_in_another_log_shows_that_it_was_out(void **state)
{
    static const struct {
        reseat_record_type type;
        const char *fields;
    } facts[] = {{RUN, P1_RUN}, {RESEATED, "probe=P1 seat_deg=30"}, {VERIFY, P1_CHECK},
                 {EVENT, "kind=other probe=P1"},
                 {RESEAT_RECORD_VERDICT, "probe=P1 verdict=OK run_seq=1 seat=same limit_mm=0.005 "
                                         "error_mm=0.001 chance=99%"}};
    for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
        const double on = 10 * (double)i;
        const int64_t run = put(RUN, on, P1_RUN);
        const int64_t seq = put_late("hmc-1", on + 2, facts[i].type, on + 2, facts[i].fields);
        put_late("hmc-1", on + 2, EVENT, on + 2, "kind=service"); /* of its spindle */
        assert_known(on + 1, "same", RESEAT_SOURCE_RUN, run);
        assert_known(on + 3, "any", RESEAT_SOURCE_EVIDENCE, seq);
        reseat_state s = stand_P1(on + 3);
        assert_string_equal(s.evidence.log, "hmc-1");
        assert_string_equal(s.evidence.probe, "");
        assert_int_equal(s.evidence.at, day(on + 2));
        reseat_state_free(&s);
    }
}

/* In one log the numbers order what has one time; between two logs nothing does. */
static void at_equal_times_another_log_counts_as_later(void **state)
{
    put(RUN, 0, P2_RUN);
    const int64_t run = put(RUN, 0, P1_RUN);
    assert_known(1, "same", RESEAT_SOURCE_RUN, run);
    const int64_t here = put(RESEATED, 0, "probe=P2 seat_deg=0");
    assert_known(1, "any", RESEAT_SOURCE_EVIDENCE, here);
    const int64_t back = put(RESEATED, 0, "probe=P1 seat_deg=30");
    assert_known(1, "30", RESEAT_SOURCE_RESEAT, back);
    put_late("hmc-1", 1, EVENT, -1, "kind=other probe=P1");
    assert_known(2, "30", RESEAT_SOURCE_RESEAT, back);
    const int64_t there = put_late("hmc-1", 1, RESEATED, 0, "probe=P1 seat_deg=30");
    assert_known(2, "any", RESEAT_SOURCE_EVIDENCE, there);
}

/* The check in force on day 9; -1: none. */
static void assert_check(int64_t check)
{
    reseat_state s = stand_P1(9);
    assert_int_equal(seq_of(s.check), check);
    reseat_state_free(&s);
}

static void a_gauge_check_counts_where_it_is_later_than_all_evidence(void **state)
{
    put(RUN, 0, P1_RUN);
    const int64_t first = put(VERIFY, 2, P1_CHECK);
    put(RUN, 1, P2_RUN);
    assert_check(first);
    put_late("hmc-1", 1.5, RESEATED, 1.5, "probe=P1 seat_deg=0");
    assert_check(first);
    put_late("hmc-1", 3, RESEATED, 2, "probe=P1 seat_deg=0"); /* at its very time */
    assert_check(-1);
    const int64_t second = put(VERIFY, 4, P1_CHECK);
    assert_check(second);
    put(RESEATED, 4, "probe=P2 seat_deg=0");
    assert_check(-1);
    const int64_t third = put(VERIFY, 4, P1_CHECK);
    assert_check(third);
    put_late("hmc-2", 5, EVENT, 5, "kind=other probe=P1");
    assert_check(-1);
    const int64_t last = put(VERIFY, 6, P1_CHECK);
    assert_check(last);
    assert_known(9, "unknown", RESEAT_SOURCE_VERIFY, last);
}

/* All tips leave the spindle together, and each run tells the seat of all. */
static void a_run_of_another_tip_at_another_seat_is_a_reseat(void **state)
{
    const int64_t run = put(RUN, 0, P1_RUN);
    put(RUN, 1, P1_RUN " tip=left");
    assert_known(9, "same", RESEAT_SOURCE_RUN, run);
    put(RUN, 1, "probe=P1 tip=left seat_deg=unknown" XY); /* nobody wrote down where it went */
    assert_known(9, "any", RESEAT_SOURCE_DEFAULT, -1);
    const int64_t there = put(RUN, 2, "probe=P1 tip=left seat_deg=210" XY);
    assert_known(9, "210", RESEAT_SOURCE_RESEAT, there);
    put(RUN, 3, "probe=P1 tip=right seat_deg=210" XY);
    assert_known(9, "210", RESEAT_SOURCE_RESEAT, there);
    const int64_t back = put(RUN, 4, P1_RUN " tip=left"); /* as at the run, but it was out */
    assert_known(9, "30", RESEAT_SOURCE_RESEAT, back);
    const int64_t again = put(RESEATED, 5, "probe=P1 seat_deg=unknown");
    assert_known(9, "any", RESEAT_SOURCE_DEFAULT, -1);
    put(RUN, 6, P1_RUN " tip=right");
    assert_known(9, "30", RESEAT_SOURCE_RESEAT, again + 1);
    assert_known(3.5, "210", RESEAT_SOURCE_RESEAT, there);
    const int64_t last = put(RUN, 7, P1_RUN);
    assert_known(9, "same", RESEAT_SOURCE_RUN, last);
}

/* Where another tip was calibrated, evidence from before no longer counts, nor does a check. */
static void a_run_of_another_tip_at_another_seat_settles_evidence(void **state)
{
    put(RUN, 0, P1_RUN);
    put(RUN, 1, P2_RUN);
    put(VERIFY, 2, P1_CHECK);
    const int64_t there = put(RUN, 3, "probe=P1 tip=left seat_deg=210" XY);
    assert_known(9, "210", RESEAT_SOURCE_RESEAT, there);
    assert_check(-1);
    reseat_state s = stand_P1(9);
    assert_int_equal(reseat_record_type_of(s.last_reseat), RUN);
    reseat_state_free(&s);
}

/* Another program may put the time of a line elsewhere. */
static void a_line_with_its_time_elsewhere_shows_it_too(void **state)
{
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"reseat\",\"recorded_at\":"
                      "\"2026-03-04T06:00:00Z\",\"probe\":\"P2\",\"seat_deg\":0,\"at\":"
                      "\"2026-03-04T06:00:00Z\"");
    assert_known(9, "any", RESEAT_SOURCE_EVIDENCE, 2);
}

/* Nobody was logging reseats when a run was made that was imported four days later. */
static void a_run_imported_long_after_tells_nothing_of_the_time_since(void **state)
{
    put(POLICY, 0, "seats=keys:2");
    const int64_t soon = put_late("mill-1", 3, RUN, 0, P1_RUN " import_row=7");
    assert_known(9, "same", RESEAT_SOURCE_RUN, soon);
    put_late("mill-1", 13.01, RUN, 10, P1_RUN); /* typed late by somebody who knows */
    assert_known(15, "same", RESEAT_SOURCE_RUN, 3);
    const int64_t late = put_late("mill-1", 23.01, RUN, 20, P1_RUN " import_row=8");
    assert_known(25, "keys:2", RESEAT_SOURCE_LATE, late);
    reseat_state_question asked;
    const reseat_state_typed typed = {.seat = &(reseat_seat){.kind = RESEAT_SEAT_SAME},
                                      .no_limit = true};
    reseat_state s = stand_P1(25);
    assert_true(s.late);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_OK); /* who knows may say so */
    assert_int_equal(asked.source, RESEAT_SOURCE_TYPED);
    reseat_state_free(&s);
    const int64_t back = put(RESEATED, 26, "probe=P1 seat_deg=210");
    assert_known(27, "210", RESEAT_SOURCE_RESEAT, back);
    put_void(28, back);
    put(POLICY, 28, "seats=keys:2 reseats=changer");
    assert_known(29, "same", RESEAT_SOURCE_RUN, late);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(another_probe_in_the_spindle_shows_that_this_one_was_out),
        TEST(in_a_shop_with_a_changer_two_probes_stay_as_they_sat),
        TEST(a_probe_that_wandered_and_was_calibrated_here_sits_as_it_did),
        TEST(any_record_of_the_probe_in_another_log_shows_that_it_was_out),
        TEST(at_equal_times_another_log_counts_as_later),
        TEST(a_gauge_check_counts_where_it_is_later_than_all_evidence),
        TEST(a_run_of_another_tip_at_another_seat_is_a_reseat),
        TEST(a_run_of_another_tip_at_another_seat_settles_evidence),
        TEST(a_line_with_its_time_elsewhere_shows_it_too),
        TEST(a_run_imported_long_after_tells_nothing_of_the_time_since),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
