/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* States at the ends of time, of numbers and of the room for names. */
#include "question.h"
#include "states.h"

static reseat_seat read_seat(const char *text)
{
    reseat_seat seat;
    assert_status(reseat_seat_parse(text, strlen(text), &seat, NULL), RESEAT_OK);
    return seat;
}

/* By a limit that the check does not fail: else it would stand whatever was typed. */
static void assert_verified(const reseat_state *s, const char *typed_seat, bool verified)
{
    reseat_state_question asked;
    const reseat_seat seat = read_seat(typed_seat);
    const reseat_state_typed typed = {.seat = &seat, .limit_mm = 0.02};
    assert_status(reseat_state_ask(s, &typed, &asked, NULL), RESEAT_OK);
    if (asked.question.estimate.verified != verified)
        fail_msg("%s", typed_seat);
}

static void a_gauge_check_holds_for_every_turn_within_what_was_known(void **state)
{
    put(RUN, 0, P1_RUN);
    put(RESEATED, 1, "probe=P1 seat_deg=90 within_deg=5");
    put(VERIFY, 2, P1_CHECK);
    reseat_state s = stand_on(3);
    assert_verified(&s, "90", true);
    assert_verified(&s, "92+-3", true);
    assert_verified(&s, "92+-4", false);
    assert_verified(&s, "88+-4", false);
    assert_verified(&s, "90+-6", false);
    assert_verified(&s, "any", false);
    reseat_state_free(&s);
    put(RESEATED, 4, "probe=P1 seat_deg=unknown");
    put(VERIFY, 5, P1_CHECK);
    s = stand_on(6);
    assert_verified(&s, "90+-6", true);
    assert_verified(&s, "any", true);
    assert_verified(&s, "keys:4", true);
    reseat_state_free(&s);
}

static void a_question_needs_no_limit_where_none_is_asked_for(void **state)
{
    put(RUN, 0, P1_RUN);
    reseat_state s = stand_on(3);
    reseat_state_question asked;
    const reseat_xy in_use = {0, (double)NAN};
    reseat_state_typed typed = {.no_limit = true};
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_OK);
    assert_near(asked.question.limit_mm, 0, 0);
    typed.in_use_mm = &in_use;
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_ERR_NOT_FINITE);
    reseat_state_free(&s);
}

/* Numbers that a record holds, and of which nothing follows. */
static void what_overflows_makes_no_question(void **state)
{
    reseat_state_question asked;
    const reseat_state_typed typed = {.limit_mm = 0.005};
    put(POLICY, 0, "spindle_x_mm=-1.7e308 spindle_y_mm=0");
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=1.7e308 offset_y_mm=0");
    reseat_state s = stand_on(3);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_ERR_NOT_FINITE);
    reseat_state_free(&s);

    const reseat_seat any = {.kind = RESEAT_SEAT_ANY};
    const reseat_xy in_use = {1.7e308, 0};
    const reseat_state_typed far = {.limit_mm = 0.005, .seat = &any, .in_use_mm = &in_use};
    put(POLICY, 4, "u_seat_mm=0.001");
    put(RUN, 4, "probe=P1 seat_deg=0 offset_x_mm=0 offset_y_mm=0 in_use_x_mm=-1.7e308 "
                "in_use_y_mm=0");
    put(VERIFY, 5, P1_CHECK);
    s = stand_on(6);
    assert_status(reseat_state_ask(&s, &far, &asked, NULL), RESEAT_ERR_NOT_FINITE);
    reseat_state_free(&s);
}

/* Radii that a record holds, and whose curve no double does. */
static void radii_that_overflow_make_no_question(void **state)
{
    reseat_state_question asked;
    const reseat_state_typed typed = {.limit_mm = 0.005};
    put(RUN, 0, P1_RUN " dirs_deg=0,120,240 radii_mm=1.7e308,1.7e308,1.7e308");
    reseat_state s = stand_on(3);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_OK);
    assert_near(asked.curve.mean_mm, 1.7e308, 1e293);
    reseat_state_free(&s);
    put(RUN, 1, P1_RUN " dirs_deg=0,120,240 radii_mm=1.7e308,1,1");
    s = stand_on(3);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_ERR_NOT_FINITE);
    reseat_state_free(&s);
}

/* No time lies before the year 1 that what was written could be held against. */
static void a_run_of_the_first_second_of_all_stands(void **state)
{
    reseat_record *run = logs_run("0.004");
    logs_set(run, RESEAT_FIELD_AT, "0001-01-01T00:00:00Z");
    const int64_t seq = logs_add("mill-1", run);
    put(EVENT, 0, "kind=collision");
    put_late("mill-2", 0, RUN, 0, "probe=P2 seat_deg=0" XY);
    reseat_state s = stand_on(1);
    assert_int_equal(seq_of(s.run), seq);
    assert_true(s.reasons & BIT(COLLISION));
    reseat_state_free(&s);
}

static void names_that_there_is_no_room_for_are_left_out(void **state)
{
    char fields[256];
    for (int i = 0; i < 9; i++) {
        snprintf(fields, sizeof fields,
                 "probe=%d-of-many-probes-with-a-long-name-each seat_deg=0" XY, i);
        put(RUN, 0, fields);
    }
    reseat_state_request query = asked_on(1);
    reseat_state s;
    reseat_error error;
    assert_status(reseat_state_read(&query, &s, &error), RESEAT_ERR_REFUSED);
    assert_non_null(strstr(error.text, "0-of-many"));
    assert_string_equal(error.text + strlen(error.text) - 5, ", ...");
}

static void a_probe_with_several_tips_is_named_once(void **state)
{
    put(RUN, 0, "probe=P1 tip=left seat_deg=0" XY);
    put(RUN, 0, "probe=P1 tip=right seat_deg=0" XY);
    put(RUN, 0, "probe=P2 seat_deg=0" XY);
    reseat_state_request query = asked_on(1);
    query.probe = "P3";
    refuse(&query, RESEAT_ERR_NOT_FOUND, "with runs: P1, P2");
    query.probe = "P1";
    refuse(&query, RESEAT_ERR_REFUSED, "have runs: left, right");
}

/* 46 + 2 + 46 + 2 + 46 + 2 + 50 bytes of names, then ", ..." and the end of the text: 200. */
static void names_that_just_fit_are_all_there(void **state)
{
    static const char z[] = "zzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzz"; /* 49 of them */
    char fields[256];
    for (int i = 0; i < 4; i++) {
        snprintf(fields, sizeof fields, "probe=%d%.*s seat_deg=0" XY, i, i < 3 ? 45 : 49, z);
        put(RUN, 0, fields);
    }
    reseat_state_request query = asked_on(1);
    reseat_state s;
    reseat_error error;
    assert_status(reseat_state_read(&query, &s, &error), RESEAT_ERR_REFUSED);
    assert_string_equal(error.text + strlen(error.text) - 49, z);
    put(RUN, 0, "probe=9 seat_deg=0" XY);
    assert_status(reseat_state_read(&query, &s, &error), RESEAT_ERR_REFUSED);
    assert_string_equal(error.text + strlen(error.text) - 7, "zz, ...");
}

static void one_letter_is_a_name_and_one_second_is_ahead(void **state)
{
    reseat_state_request query = asked_on(1);
    reseat_state s;
    reseat_error error;
    put(RUN, 0, "probe=P seat_deg=0" XY);
    put(RUN, 0, "probe=Q seat_deg=0" XY);
    assert_status(reseat_state_read(&query, &s, &error), RESEAT_ERR_REFUSED);
    assert_string_equal(error.text, "say which probe with --probe, as several have runs: P, Q");
    assert_int_equal(error.column, 0);
    query.as_of = day(-1);
    query.ahead = 1;
    assert_status(reseat_state_read(&query, &s, &error), RESEAT_ERR_NOT_FOUND);
    assert_string_equal(error.text, "no run is on record for mill-1");
    assert_int_equal(error.column, 0);
}

/* In the log of another spindle: sealed off, no record, and a type that says nothing of use. */
static void another_log_may_hold_what_does_not_count(void **state)
{
    size_t length = 0;
    put(RUN, 0, P1_RUN);
    put_late("mill-2", -1, RUN, -1, "probe=P2 seat_deg=0" XY);
    char *bytes = logs_read("mill-2", &length);
    logs_write("mill-2", bytes, length - 20);
    free(bytes);
    put_late("mill-2", -1, RUN, -1, "probe=P2 seat_deg=0" XY); /* seals the rest off */
    put_raw("mill-2", "{\"seq\":3,\"v\":1,\"type\":\"reseat\",\"recorded_at\":"
                      "\"2026-03-03T06:00:00Z\",\"at\":\"2026-03-03T06:00:00Z\","
                      "\"probe\":\"P1\",\"seat_deg\":0");
    reseat_state s = stand_on(2);
    assert_int_equal(s.reasons, 0);
    assert_int_equal(s.bad_lines, 0);
    reseat_state_free(&s);
    put_raw("mill-2", "{\"seq\":4,\"v\":1,\"type\":\"run\"");
    reseat_state_request query = asked_on(2);
    query.despite_damage = true;
    s = stand(&query);
    assert_int_equal(s.bad_lines, 1);
    assert_int_equal(s.reasons, BIT(DAMAGE_IGNORED));
    reseat_state_free(&s);
}

/* Then what is wrong is said, and what follows from it is not. */
static void a_long_name_leaves_room_for_what_is_wrong_alone(void **state)
{
    static const char *const names[] = {"mill-2", "a-log-of-a-spindle-with-a-name-as-long-as-any-"
                                                  "name-may-be-here"};
    for (size_t i = 0; i < 2; i++) {
        size_t length = 0;
        char name[RESEAT_RECORD_NAME_MAX + 1];
        snprintf(name, sizeof name, "%s", names[i]);
        put(RUN, 0, P1_RUN);
        put_late(name, -1, RUN, -1, "probe=P1 seat_deg=0" XY);
        put_late(name, 0, RUN, 0, "probe=P2 seat_deg=0" XY);
        char *bytes = logs_read(name, &length);
        bytes[logs_line(bytes, 3) + 30] ^= 1;
        logs_write(name, bytes, length);
        free(bytes);
        const reseat_state_request query = asked_on(1);
        reseat_state s;
        reseat_error error;
        assert_status(reseat_state_read(&query, &s, &error), RESEAT_ERR_DAMAGED);
        assert_non_null(strstr(error.text, name));
        assert_int_equal(strstr(error.text, "so whether P1 was used") != NULL, i == 0);
        assert_int_equal(remove(logs_path(name)), 0);
    }
}

static void a_bad_head_below_another_bad_line_is_counted_once(void **state)
{
    size_t length = 0;
    put(RUN, 0, P1_RUN);
    put(EVENT, 1, "kind=other");
    put(EVENT, 1, "kind=other");
    char *bytes = logs_read("mill-1", &length);
    bytes[logs_line(bytes, 1) + 30] ^= 1;
    bytes[logs_line(bytes, 4) + 30] ^= 1;
    logs_write("mill-1", bytes, length);
    free(bytes);
    reseat_state_request query = asked_on(2);
    query.despite_damage = true;
    reseat_state s = stand(&query);
    assert_int_equal(s.bad_lines, 2);
    reseat_state_free(&s);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(a_gauge_check_holds_for_every_turn_within_what_was_known),
        in_folder(a_question_needs_no_limit_where_none_is_asked_for),
        in_folder(what_overflows_makes_no_question),
        in_folder(radii_that_overflow_make_no_question),
        in_folder(a_run_of_the_first_second_of_all_stands),
        in_folder(names_that_there_is_no_room_for_are_left_out),
        in_folder(names_that_just_fit_are_all_there),
        in_folder(one_letter_is_a_name_and_one_second_is_ahead),
        in_folder(a_probe_with_several_tips_is_named_once),
        in_folder(another_log_may_hold_what_does_not_count),
        in_folder(a_long_name_leaves_room_for_what_is_wrong_alone),
        in_folder(a_bad_head_below_another_bad_line_is_counted_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
