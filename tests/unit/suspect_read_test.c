/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Windows found in logs. */
#include "reseat/history.h"
#include "states.h"

#define FOUND_WRONG "probe=P1 seat_deg=0 offset_x_mm=0.004 offset_y_mm=0 found_x_mm=0.024 " \
    "found_y_mm=0"

/* Small uncertainties, so that what is off decides. */
#define SURE "limit_mm=0.005 seats=keys:2 u_seat_mm=0.0002 u_spindle_mm=0.0002 lobing_mm=0.0001"

static reseat_suspect read_on(double on)
{
    reseat_state_request query = asked_on(on);
    query.probe = "P1";
    query.tip = "main";
    reseat_state probe_state = stand(&query);
    reseat_state_question asked;
    reseat_suspect suspect;
    reseat_error error;
    const reseat_state_typed typed = {.limit_mm = 0.005};
    assert_status(reseat_state_ask(&probe_state, &typed, &asked, NULL), RESEAT_OK);
    if (reseat_suspect_read(&query, &probe_state, &asked, &suspect, &error) != RESEAT_OK)
        fail_msg("%s", error.text);
    reseat_state_free(&probe_state);
    return suspect;
}

static void assert_nothing(double on)
{
    reseat_suspect suspect = read_on(on);
    assert_int_equal(suspect.count, 0);
    reseat_suspect_free(&suspect);
}

/* Only what is known of this probe and tip counts, and nothing that is void or lies ahead. */
static void facts_of_the_probe_and_tip_make_windows(void **state)
{
    const int64_t first = put(RUN, 0, P1_RUN);
    put(POLICY, 0, SURE);
    put(RUN, 1, "probe=P2 seat_deg=0 offset_x_mm=0.5 offset_y_mm=0");
    put(RUN, 1, "probe=P1 tip=left seat_deg=0 offset_x_mm=0.5 offset_y_mm=0");
    put(EVENT, 1, "kind=service probe=P2");
    put(EVENT, 1, "kind=collision");
    put_void(2, put(RUN, 2, "probe=P1 seat_deg=0 offset_x_mm=0.3 offset_y_mm=0"));
    put_void(2, put(EVENT, 2, "kind=other probe=P1"));
    const int64_t check = put(VERIFY, 3, P1_CHECK);
    const int64_t wrong = put(RUN, 4, FOUND_WRONG);
    put(RESEATED, 5, "probe=P1 seat_deg=0");
    put_late("mill-1", 9, RUN, 9, FOUND_WRONG);
    put_late("mill-1", 9, EVENT, 0.5, "kind=other probe=P1");

    reseat_suspect suspect = read_on(6);
    assert_int_equal(suspect.count, 1);
    assert_int_equal(suspect.windows[0].from_seq, check);
    assert_int_equal(suspect.windows[0].to_seq, wrong);
    assert_near(suspect.windows[0].found_mm.x, 0.024, 0);
    assert_near(suspect.windows[0].error_mm.x, -0.020, 1e-17);
    assert_int_equal(suspect.bad_lines, 0);
    assert_true(first < check);
    reseat_suspect_free(&suspect);
    assert_null(suspect.windows);
    assert_int_equal(suspect.count, 0);
}

static void assert_window(double on, int64_t from_seq, int64_t to_seq)
{
    reseat_suspect suspect = read_on(on);
    assert_int_equal(suspect.count, 1);
    assert_int_equal(suspect.windows[0].from_seq, from_seq);
    assert_int_equal(suspect.windows[0].to_seq, to_seq);
    reseat_suspect_free(&suspect);
}

/* The last fact is of the moment that is asked for. */
static void facts_count_in_the_order_of_their_times(void **state)
{
    const int64_t wrong = put(RUN, 4, FOUND_WRONG);
    put(POLICY, 4, SURE); /* a log's first counts from the beginning */
    const int64_t first = put_late("mill-1", 5, RUN, 0, P1_RUN);
    assert_window(4, first, wrong);
    const int64_t check = put_late("mill-1", 5, VERIFY, 2, P1_CHECK);
    assert_window(4, check, wrong);
}

static void of_two_facts_at_one_time_the_first_written_comes_first(void **state)
{
    put(RUN, 0, P1_RUN);
    put(POLICY, 0, SURE);
    const int64_t check = put(VERIFY, 4, P1_CHECK);
    const int64_t wrong = put(RUN, 4, FOUND_WRONG);
    assert_window(4, check, wrong);
}

static void a_new_stylus_begins_a_window_and_a_service_does_not(void **state)
{
    put(RUN, 0, P1_RUN);
    put(EVENT, 1, "kind=service");
    put(EVENT, 2, "kind=stylus-change probe=P2");
    const int64_t changed = put(EVENT, 3, "kind=stylus-change probe=P1");
    put(EVENT, 4, "kind=other");
    const int64_t found = put(RUN, 5, FOUND_WRONG);
    assert_window(6, changed, found);
    put(EVENT, 7, "kind=service");
    put(RUN, 8, FOUND_WRONG);
    reseat_suspect suspect = read_on(9);
    assert_int_equal(suspect.count, 2);
    assert_int_equal(suspect.windows[1].from_seq, found);
    reseat_suspect_free(&suspect);
}

/* The window that a check on day 2 holds open, by its error; a length of 0: it shows none. */
static void assert_check(const char *fields, double x, double y)
{
    const int64_t check = put(VERIFY, 2, fields);
    reseat_suspect suspect = read_on(3);
    const reseat_window *w = suspect.windows;
    const bool some = suspect.count > 0 && w->reason != RESEAT_REASON_UNEXPLAINED_SHIFT;
    assert_int_equal(some, fabs(x) + fabs(y) > 0);
    if (some) {
        assert_int_equal(w->from_seq, 1);
        assert_int_equal(w->cause_seq, check);
        assert_true(w->open && w->measured);
        assert_near(w->error_mm.x, x, 1e-17);
        assert_near(w->error_mm.y, y, 1e-17);
        assert_near(w->found_mm.x, 0.006 - x, 1e-17);
        assert_near(w->found_mm.y, -y, 1e-17);
    }
    reseat_suspect_free(&suspect);
    put_void(2, check);
}

/*
 * The run found (0.004, -0.001) and left (0.006, 0) in use: 2 and 1 um wrong from the start, which
 * no shift shows. Less was in use at the check than the run's, so the reading moved by as much.
 */
static void a_check_counts_what_was_in_use_then_and_at_the_run(void **state)
{
#define SHIFT(x, y) "probe=P1 shift_u_mm=0.0005 shift_x_mm=" x " shift_y_mm=" y
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=0.004 offset_y_mm=-0.001 in_use_x_mm=0.006 "
                "in_use_y_mm=0");
    put(POLICY, 0, SURE);
    assert_check(SHIFT("0", "0"), 0, 0);           /* 2.2 um: within 5 */
    assert_check(SHIFT("0.002", "0"), 0.004, 0.001); /* within 5, but not with 95 % */
    assert_check(SHIFT("0.003", "0"), 0.005, 0.001);
    assert_check(SHIFT("-0.008", "0"), -0.006, 0.001);
    assert_check(SHIFT("-0.002", "-0.001"), 0, 0); /* exactly right */
    assert_check(SHIFT("0.003", "0") " in_use_x_mm=0.009 in_use_y_mm=0", 0, 0);
    assert_check(SHIFT("0", "0") " in_use_x_mm=0.002 in_use_y_mm=0.001", 0.006, 0);
}

static void assert_open(double on, reseat_reason reason, int64_t from_seq, int64_t cause_seq)
{
    reseat_suspect suspect = read_on(on);
    assert_true(suspect.count > 0);
    bool found = false;
    for (size_t i = 0; i < suspect.count; i++) {
        const reseat_window *w = &suspect.windows[i];
        assert_true(i == 0 || w->open <= suspect.windows[i - 1].open); /* open ones first */
        if (!w->open || w->reason != reason)
            continue;
        found = true;
        assert_int_equal(w->from_seq, from_seq);
        assert_int_equal(w->to_seq, -1);
        assert_int_equal(w->cause_seq, cause_seq);
        assert_false(w->measured);
    }
    assert_true(found);
    reseat_suspect_free(&suspect);
}

/* Whatever the verdict holds against the probe, from the last known good before it. */
static void what_is_held_against_the_probe_is_open(void **state)
{
    const int64_t run = put(RUN, 0, P1_RUN " offset_u_mm=0.0003");
    put(POLICY, 0, SURE);
    assert_nothing(1);
    const int64_t check = put(VERIFY, 1, P1_CHECK);
    const int64_t collision = put(EVENT, 2, "kind=collision");
    assert_open(3, RESEAT_REASON_COLLISION, check, collision);
    put(VERIFY, 3, P1_CHECK); /* which clears no collision */
    assert_open(4, RESEAT_REASON_COLLISION, check, collision);
    const int64_t service = put(EVENT, 0.5, "kind=service");
    assert_open(4, RESEAT_REASON_SERVICE, run, service);
    const int64_t changed = put(EVENT, 5, "kind=stylus-change probe=P1");
    assert_open(6, RESEAT_REASON_STYLUS_CHANGE, changed, changed);
}

static void an_unknown_seat_is_open_and_age_and_scatter_are_not(void **state)
{
    const int64_t run = put(RUN, 0, P1_RUN " offset_u_mm=0.0003");
    put(POLICY, 0, SURE " max_age_days=20");
    assert_nothing(30); /* too old */
    const int64_t out = put(RESEATED, 10, "probe=P1 seat_deg=unknown");
    assert_open(11, RESEAT_REASON_ERROR_EXCEEDS_LIMIT, run, out);
    put(RESEATED, 12, "probe=P1 seat_deg=30");
    assert_nothing(13);
    put(POLICY, 13, "limit_mm=0.005 u_seat_mm=0.01"); /* even unturned beyond the limit */
    assert_nothing(14);
}

static void use_elsewhere_is_open_from_the_last_known_good(void **state)
{
    const int64_t run = put(RUN, 0, P1_RUN " offset_u_mm=0.0003");
    put(POLICY, 0, SURE);
    const int64_t there = put_late("mill-2", 2, RUN, 2, P1_RUN);
    assert_open(3, RESEAT_REASON_ELSEWHERE, run, there);
    reseat_suspect suspect = read_on(3);
    assert_string_equal(suspect.windows[suspect.count - 1].cause_log, "mill-2");
    reseat_suspect_free(&suspect);
}

static void facts_are_taken_in_order_however_many(void **state)
{
    for (int i = 99; i >= 0; i--) {
        put_late("mill-1", 100, RUN, i, P1_RUN);
        put_late("mill-1", 100, RUN, i, i == 50 ? FOUND_WRONG : P1_RUN);
    }
    for (int i = 0; i < 70; i++)
        put_void(100, 1 + 2 * i);
    reseat_suspect suspect = read_on(101);
    assert_int_equal(suspect.count, 1);
    assert_int_equal(suspect.windows[0].to, day(50));
    reseat_suspect_free(&suspect);
}

static void a_bad_line_stops_it_unless_it_is_to_be_passed_over(void **state)
{
    size_t length = 0;
    reseat_error error;
    reseat_suspect suspect = {.count = 7};
    put(RUN, 0, P1_RUN);
    put(RUN, 1, FOUND_WRONG);
    put_raw("mill-1", "{\"v\":1,\"seq\":3,\"type\":\"run\","
                      "\"recorded_at\":\"2026-03-04T06:00:00Z\"");
    put(RUN, 3, P1_RUN);
    char *bytes = logs_read("mill-1", &length);
    bytes[logs_line(bytes, 2) + 30] ^= 1;
    logs_write("mill-1", bytes, length - 3);
    free(bytes);
    reseat_state_request query = asked_on(4);
    query.despite_damage = true;
    reseat_state probe_state = stand(&query);
    reseat_state_question asked;
    const reseat_state_typed typed = {.limit_mm = 0.005};
    assert_status(reseat_state_ask(&probe_state, &typed, &asked, NULL), RESEAT_OK);
    assert_status(reseat_suspect_read(&query, &probe_state, &asked, &suspect, &error), RESEAT_OK);
    assert_int_equal(suspect.bad_lines, 3);
    assert_int_equal(suspect.count, 0);
    reseat_suspect_free(&suspect);
    suspect.count = 7;
    query.despite_damage = false;
    assert_status(reseat_suspect_read(&query, &probe_state, &asked, &suspect, &error),
                  RESEAT_ERR_DAMAGED);
    assert_non_null(strstr(error.text, "line 5 of the log of mill-1 was cut short"));
    assert_int_equal(suspect.count, 7);
    reseat_state_free(&probe_state);
}

static void refuses_what_it_cannot_read(void **state)
{
    reseat_error error;
    reseat_suspect suspect = {.count = 7};
    put(RUN, 0, P1_RUN);
    reseat_state_request query = asked_on(1);
    reseat_state probe_state = stand(&query);
    reseat_state_question asked;
    const reseat_state_typed none = {.no_limit = true};
    assert_status(reseat_state_ask(&probe_state, &none, &asked, NULL), RESEAT_OK);
    assert_status(reseat_suspect_read(NULL, &probe_state, &asked, &suspect, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_suspect_read(&query, NULL, &asked, &suspect, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_suspect_read(&query, &probe_state, NULL, &suspect, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_suspect_read(&query, &probe_state, &asked, NULL, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_suspect_read(&query, &probe_state, &asked, &suspect, &error),
                  RESEAT_ERR_RANGE); /* without a limit */
    assert_string_equal(error.text, reseat_status_text(RESEAT_ERR_RANGE));
    query.spindle = "mill-2";
    assert_status(reseat_suspect_read(&query, &probe_state, &asked, &suspect, &error),
                  RESEAT_ERR_NOT_FOUND);
    assert_int_equal(suspect.count, 7);
    reseat_state_free(&probe_state);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(facts_of_the_probe_and_tip_make_windows),
        in_folder(facts_count_in_the_order_of_their_times),
        in_folder(of_two_facts_at_one_time_the_first_written_comes_first),
        in_folder(a_new_stylus_begins_a_window_and_a_service_does_not),
        in_folder(a_check_counts_what_was_in_use_then_and_at_the_run),
        in_folder(what_is_held_against_the_probe_is_open),
        in_folder(an_unknown_seat_is_open_and_age_and_scatter_are_not),
        in_folder(use_elsewhere_is_open_from_the_last_known_good),
        in_folder(facts_are_taken_in_order_however_many),
        in_folder(a_bad_line_stops_it_unless_it_is_to_be_passed_over),
        in_folder(refuses_what_it_cannot_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
