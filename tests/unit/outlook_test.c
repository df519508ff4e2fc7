/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "states.h"
#include "log/record.h"

#define DAY 86400
#define HEAD_SEAL "85da4e8c50004914d1fb89748ccb118b2902b8ccb1498531c2b6ea16074423a7"

/* The state of P1 in one of the logs of random numbers, which end in May at the latest. */
static reseat_state stand_at(const char *spindle, int64_t as_of)
{
    const reseat_state_request query = {.dir = logs_dir, .spindle = spindle, .as_of = as_of};
    return stand_alone(&query);
}

static reseat_status find(const char *spindle, const reseat_state *probe_state,
                          reseat_outlook *outlook)
{
    const reseat_state_request query = {.dir = logs_dir, .spindle = spindle,
                                        .as_of = probe_state->as_of};
    return reseat_outlook_find(&query, probe_state, outlook, NULL);
}

/* Last of June 2026, after all runs. */
static const int64_t LATER = 1782799200;

static reseat_outlook look(const char *spindle, int64_t as_of)
{
    reseat_state probe_state = stand_at(spindle, as_of);
    reseat_outlook outlook;
    assert_status(find(spindle, &probe_state, &outlook), RESEAT_OK);
    reseat_state_free(&probe_state);
    return outlook;
}

static bool is_ok_at(const char *spindle, int64_t as_of)
{
    static const reseat_seat same = {.kind = RESEAT_SEAT_SAME};
    const reseat_state_typed typed = {.seat = &same};
    reseat_state probe_state = stand_at(spindle, as_of);
    reseat_state_question asked;
    reseat_answer answer;
    assert_status(reseat_state_ask(&probe_state, &typed, &asked), RESEAT_OK);
    assert_status(reseat_verdict_decide(&asked.question, &answer), RESEAT_OK);
    reseat_state_free(&probe_state);
    return answer.ok;
}

static void the_verdict_turns_on_the_day_that_is_due(void **state)
{
    static const char *const names[] = {"case-1", "case-2"};
    for (size_t i = 0; i < 2; i++) {
        size_t length = 0;
        free(logs_take(names[i], &length));
        reseat_outlook outlook = look(names[i], LATER);
        assert_true(outlook.due_known && !outlook.due_by_age);
        assert_false(is_ok_at(names[i], outlook.due_at));
        assert_true(is_ok_at(names[i], outlook.due_at - DAY));
        reseat_outlook_free(&outlook);
    }
}

static void days_are_counted_from_as_of(void **state)
{
    size_t length = 0;
    free(logs_take("case-2", &length));
    reseat_outlook outlook = look("case-2", LATER);
    const int64_t due = outlook.due_at;
    assert_near(outlook.due_days, (double)(due - LATER) / DAY, 1e-9);
    reseat_outlook_free(&outlook);
    outlook = look("case-2", due + 30 * DAY);
    assert_true(outlook.due_at == due);
    assert_same_bits(outlook.due_days, 0.0);
    reseat_outlook_free(&outlook);
}

/* Runs of one value each do not drift, so that nothing but age is left. */
static void without_drift_the_age_allowed_is_what_counts(void **state)
{
    for (int i = 0; i < 9; i++) {
        logs_add("mill-1", logs_run("0.004"));
        logs_now += DAY;
    }
    reseat_record *policy = logs_record(RESEAT_RECORD_POLICY);
    logs_set(policy, RESEAT_FIELD_LIMIT_MM, "0.01");
    logs_set(policy, RESEAT_FIELD_MAX_AGE_DAYS, "100");
    logs_add("mill-1", policy);
    reseat_outlook outlook = look("mill-1", logs_now);
    assert_true(outlook.due_known && outlook.due_by_age);
    assert_true(outlook.due_at == LOGS_NOW + 108 * DAY);
    assert_near(outlook.due_days, 99, 1e-9);
    reseat_outlook_free(&outlook);
}

static void a_collision_is_due_when_it_happened(void **state)
{
    logs_add("mill-1", logs_run("0.004"));
    reseat_record *policy = logs_record(RESEAT_RECORD_POLICY);
    logs_set(policy, RESEAT_FIELD_LIMIT_MM, "0.01");
    logs_add("mill-1", policy);
    logs_now += 3 * DAY;
    reseat_record *event = logs_record(RESEAT_RECORD_EVENT);
    logs_set(event, RESEAT_FIELD_KIND, "collision");
    logs_add("mill-1", event);
    reseat_outlook outlook = look("mill-1", logs_now + DAY);
    assert_true(outlook.due_known && !outlook.due_by_age);
    assert_true(outlook.due_at == logs_now);
    assert_same_bits(outlook.due_days, 0.0);
    reseat_outlook_free(&outlook);
}

/* Whatever befell the probe later, here or there: from the first on the verdict says so. */
static void what_befell_it_first_is_what_is_due(void **state)
{
    logs_add("mill-1", logs_run("0.004"));
    const int64_t begun = logs_now;
    reseat_record *policy = logs_record(RESEAT_RECORD_POLICY);
    logs_set(policy, RESEAT_FIELD_LIMIT_MM, "0.01");
    logs_add("mill-1", policy);
    for (int which = 0; which < 4; which++) {
        logs_now += 3 * DAY;
        if (which % 2 == 0) {
            logs_add("hmc-1", logs_run("0.005"));
        } else {
            reseat_record *event = logs_record(RESEAT_RECORD_EVENT);
            logs_set(event, RESEAT_FIELD_KIND, "collision");
            logs_add("mill-1", event);
        }
        const reseat_state_request query = {.dir = logs_dir, .spindle = "mill-1",
                                             .as_of = logs_now + DAY};
        reseat_state probe_state;
        reseat_outlook outlook;
        assert_status(reseat_state_read(&query, &probe_state, NULL), RESEAT_OK);
        assert_status(find("mill-1", &probe_state, &outlook), RESEAT_OK);
        assert_true(outlook.due_known && !outlook.due_by_age);
        assert_true(outlook.due_at == begun + 3 * DAY);
        reseat_state_free(&probe_state);
        reseat_outlook_free(&outlook);
    }
}

static void without_a_limit_nothing_is_due(void **state)
{
    logs_add("mill-1", logs_run("0.004"));
    reseat_outlook outlook = look("mill-1", logs_now);
    assert_false(outlook.due_known);
    assert_int_equal(outlook.drift.point_count, 1);
    assert_near(outlook.input.limit_mm, 0, 0);
    reseat_outlook_free(&outlook);
    static const reseat_outlook nothing = {0};
    assert_memory_equal(&outlook, &nothing, sizeof outlook);
}

static void what_a_policy_leaves_out_is_0(void **state)
{
    logs_add("mill-1", logs_run("0.004"));
    reseat_record *policy = logs_record(RESEAT_RECORD_POLICY);
    logs_set(policy, RESEAT_FIELD_MAX_AGE_DAYS, "100");
    logs_add("mill-1", policy);
    reseat_outlook outlook = look("mill-1", logs_now);
    assert_false(outlook.input.spindle_known || outlook.due_known);
    assert_same_bits(outlook.input.spindle_mm.x, 0.0);
    assert_same_bits(outlook.input.spindle_mm.y, 0.0);
    assert_same_bits(outlook.input.limit_mm, 0.0);
    reseat_outlook_free(&outlook);
}

static void the_policy_says_limit_and_spindle_part(void **state)
{
    logs_add("mill-1", logs_run("0.004"));
    reseat_record *policy = logs_record(RESEAT_RECORD_POLICY);
    logs_set(policy, RESEAT_FIELD_LIMIT_MM, "0.01");
    logs_set(policy, RESEAT_FIELD_SPINDLE_X_MM, "0.003");
    logs_set(policy, RESEAT_FIELD_SPINDLE_Y_MM, "-0.0011");
    logs_add("mill-1", policy);
    reseat_outlook outlook = look("mill-1", logs_now);
    assert_near(outlook.input.limit_mm, 0.01, 0);
    assert_true(outlook.input.spindle_known);
    assert_near(outlook.drift.points[0].value[RESEAT_SERIES_X], 0.001, 1e-18);
    assert_near(outlook.drift.points[0].value[RESEAT_SERIES_Y], 0, 1e-18);
    reseat_outlook_free(&outlook);
}

/* A run of P1 in case-1, whose last one is 10 of 2026-03-17. */
static reseat_record *run_of(const char *probe, const char *at, const char *x)
{
    char line[512];
    reseat_record *record = NULL;
    snprintf(line, sizeof line,
             "{\"v\":1,\"seq\":11,\"type\":\"run\",\"recorded_at\":\"%s\",\"probe\":\"%s\","
             "\"at\":\"%s\",\"seat_deg\":0,\"offset_x_mm\":%s,\"offset_y_mm\":-0.0005,\"seal\":\""
             HEAD_SEAL "\"}", at, probe, at, x);
    assert_status(record_parse(line, strlen(line), &record, NULL), RESEAT_OK);
    return record;
}

static reseat_status compare(const char *probe, const char *at, const char *x,
                             reseat_drift_newest *newest)
{
    reseat_record *record = run_of(probe, at, x);
    const reseat_status status = reseat_outlook_newest(logs_dir, "case-1", record, newest);
    reseat_record_free(record);
    return status;
}

static void a_new_run_is_held_against_those_before_it(void **state)
{
    size_t length = 0;
    reseat_drift_newest newest = {0};
    free(logs_take("case-1", &length));
    assert_status(compare("P1", "2026-04-01T06:00:00Z", "0.0098", &newest), RESEAT_OK);
    assert_true(newest.p > 0.5 && newest.before == 9 && newest.seq == 11);
    assert_status(compare("P1", "2026-04-01T06:00:00Z", "-0.0098", &newest), RESEAT_OK);
    assert_true(newest.p < 1e-4);
}

static void a_run_with_nothing_to_hold_it_against_is_said(void **state)
{
    size_t length = 0;
    reseat_drift_newest newest = {.p = 7};
    free(logs_take("case-1", &length));
    assert_status(compare("P2", "2026-04-01T06:00:00Z", "0.01", &newest), RESEAT_ERR_TOO_FEW);
    assert_status(compare("P1", "2026-02-01T06:00:00Z", "0.01", &newest), RESEAT_ERR_TOO_FEW);
    reseat_record *record = run_of("P1", "2026-04-01T06:00:00Z", "0.01");
    assert_status(reseat_outlook_newest(NULL, "case-1", record, &newest), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_outlook_newest(logs_dir, NULL, record, &newest), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_outlook_newest(logs_dir, "case-1", NULL, &newest), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_outlook_newest(logs_dir, "case-1", record, NULL), RESEAT_ERR_ARGUMENT);
    assert_near(newest.p, 7, 0);
    reseat_record_free(record);
}

static reseat_status append_and_compare(reseat_record *run, reseat_drift_newest *newest)
{
    const file_calls calls = logs_calls();
    const reseat_append how = {0};
    assert_status(log_append(&calls, logs_dir, "mill-1", run, &how, NULL, NULL), RESEAT_OK);
    const reseat_status status = reseat_outlook_newest(logs_dir, "mill-1", run, newest);
    reseat_record_free(run);
    return status;
}

/* One that is in the log already does not count twice. */
static void a_run_in_the_log_is_held_against_the_others(void **state)
{
    reseat_drift_newest newest = {0};
    for (int i = 0; i < 8; i++) {
        reseat_record *run = logs_run(i % 2 == 0 ? "0.0040" : "0.0045");
        logs_set(run, RESEAT_FIELD_OFFSET_Y_MM, i % 3 == 0 ? "0.001" : "0.0013");
        logs_add("mill-1", run);
        logs_now += DAY;
    }
    assert_status(append_and_compare(logs_run("0.014"), &newest), RESEAT_OK);
    assert_int_equal(newest.before, 8);
    assert_true(newest.p < 1e-4);
}

/* What was found differs in X alone: the newest has no distance from it, one before it none. */
static void runs_on_one_line_have_no_distance(void **state)
{
    reseat_drift_newest newest = {.p = 7};
    for (int i = 0; i < 9; i++) {
        logs_add("mill-1", logs_run(i % 2 == 0 ? "0.0040" : "0.0045"));
        logs_now += DAY;
    }
    assert_status(append_and_compare(logs_run("0.0042"), &newest), RESEAT_ERR_SINGULAR);
    reseat_record *late = logs_run("0.0043");
    logs_set(late, RESEAT_FIELD_AT, "2026-01-01T00:00:00Z");
    assert_status(append_and_compare(late, &newest), RESEAT_ERR_TOO_FEW);
    assert_near(newest.p, 7, 0);
}

static void outlook_refuses_what_it_cannot_take(void **state)
{
    size_t length = 0;
    free(logs_take("case-1", &length));
    free(logs_take("case-2", &length));
    reseat_state probe_state = stand_at("case-1", LATER);
    reseat_state_request query = {.dir = logs_dir, .spindle = "case-1", .as_of = LATER};
    reseat_outlook outlook = {.due_days = 7};
    reseat_error error;
    assert_status(reseat_outlook_find(NULL, &probe_state, &outlook, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_outlook_find(&query, NULL, &outlook, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_outlook_find(&query, &probe_state, NULL, NULL), RESEAT_ERR_ARGUMENT);
    const reseat_state without_run = {.run = NULL};
    assert_status(reseat_outlook_find(&query, &without_run, &outlook, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_true(error.text[0] != '\0');
    query.spindle = "case-9";
    assert_status(reseat_outlook_find(&query, &probe_state, &outlook, NULL), RESEAT_ERR_NOT_FOUND);
    query.spindle = NULL;
    assert_status(reseat_outlook_find(&query, &probe_state, &outlook, NULL), RESEAT_ERR_ARGUMENT);
    query.spindle = "case-1";
    query.dir = NULL;
    assert_status(reseat_outlook_find(&query, &probe_state, &outlook, NULL), RESEAT_ERR_ARGUMENT);
    assert_near(outlook.due_days, 7, 0);
    reseat_outlook_free(NULL);
    reseat_state_free(&probe_state);
}

/* One changed digit in line 6 breaks that line's seal alone; the state was read before it broke. */
static void a_bad_line_stops_an_outlook_unless_it_is_to_be_passed_over(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    reseat_state probe_state = stand_at("case-1", LATER);
    reseat_state_request query = {.dir = logs_dir, .spindle = "case-1", .as_of = LATER};
    reseat_outlook outlook = {.due_days = 7};
    reseat_error error;
    bytes[logs_line(bytes, 6) + 30] ^= 1;
    logs_write("case-1", bytes, length);
    assert_status(reseat_outlook_find(&query, &probe_state, &outlook, &error), RESEAT_ERR_DAMAGED);
    assert_non_null(strstr(error.text, "line 6 of the log of case-1 is damaged"));
    assert_near(outlook.due_days, 7, 0);
    query.despite_damage = true;
    assert_status(reseat_outlook_find(&query, &probe_state, &outlook, &error), RESEAT_OK);
    assert_int_equal(outlook.bad_lines, 1);
    assert_int_equal(outlook.input.run_count, 8);
    reseat_outlook_free(&outlook);
    reseat_state_free(&probe_state);
    free(bytes);
}

static void add_policy(const char *limit, const char *days)
{
    reseat_record *policy = logs_record(RESEAT_RECORD_POLICY);
    logs_set(policy, RESEAT_FIELD_LIMIT_MM, limit);
    logs_set(policy, RESEAT_FIELD_MAX_AGE_DAYS, days);
    logs_add("mill-1", policy);
}

/* A run, a gauge check ten days after it, and what is due by an age allowed. */
static reseat_outlook look_after_check(const char *age_days)
{
    logs_add("mill-1", logs_run("0.004"));
    add_policy("0.01", age_days);
    logs_now += 10 * DAY;
    reseat_record *check = logs_record(RESEAT_RECORD_VERIFY);
    logs_set(check, RESEAT_FIELD_PROBE, "P1");
    logs_set(check, RESEAT_FIELD_SHIFT_X_MM, "0.0002");
    logs_set(check, RESEAT_FIELD_SHIFT_Y_MM, "0");
    logs_set(check, RESEAT_FIELD_SHIFT_U_MM, "0.0005");
    logs_add("mill-1", check);
    return look("mill-1", logs_now);
}

static void a_gauge_check_is_what_days_are_counted_from(void **state)
{
    reseat_outlook outlook = look_after_check("100");
    assert_true(outlook.due_known && outlook.due_by_age);
    assert_true(outlook.due_at == LOGS_NOW + 100 * DAY);
    assert_near(outlook.due_days, 90, 1e-9);
    reseat_outlook_free(&outlook);
}

static void an_age_that_ran_out_before_the_gauge_check_is_due_with_it(void **state)
{
    reseat_outlook outlook = look_after_check("5");
    assert_true(outlook.due_known && outlook.due_by_age);
    assert_true(outlook.due_at == LOGS_NOW + 10 * DAY);
    reseat_outlook_free(&outlook);
}

static void what_is_due_before_a_collision_stays_so(void **state)
{
    logs_add("mill-1", logs_run("0.004"));
    add_policy("0.01", "2");
    for (int days = 3; days >= 2; days--) { /* the second entered late: of the moment itself */
        reseat_record *event = logs_record(RESEAT_RECORD_EVENT);
        logs_set(event, RESEAT_FIELD_KIND, days == 3 ? "collision" : "service");
        logs_now = LOGS_NOW + 3 * DAY;
        assert_status(reseat_record_set_integer(event, RESEAT_FIELD_AT, LOGS_NOW + days * DAY,
                                                NULL), RESEAT_OK);
        logs_add("mill-1", event);
        reseat_outlook outlook = look("mill-1", logs_now);
        assert_true(outlook.due_known && outlook.due_by_age);
        assert_true(outlook.due_at == LOGS_NOW + 2 * DAY);
        reseat_outlook_free(&outlook);
    }
}

static void a_day_beyond_the_calendar_is_not_known(void **state)
{
    logs_add("mill-1", logs_run("0.004"));
    add_policy("10", "1e9");
    reseat_outlook outlook = look("mill-1", logs_now);
    assert_false(outlook.due_known);
    assert_same_bits(outlook.due_days, 0.0);
    reseat_outlook_free(&outlook);
    reseat_record *event = logs_record(RESEAT_RECORD_EVENT);
    logs_set(event, RESEAT_FIELD_KIND, "collision");
    logs_now += DAY;
    logs_add("mill-1", event);
    outlook = look("mill-1", logs_now + DAY);
    assert_true(outlook.due_known);
    assert_true(outlook.due_at == logs_now);
    reseat_outlook_free(&outlook);
}

/* Each tip has its own runs. */
static void an_outlook_is_of_the_tip_that_was_asked_for(void **state)
{
    for (int i = 0; i < 3; i++) {
        reseat_record *run = logs_run("0.004");
        logs_set(run, RESEAT_FIELD_TIP, i == 0 ? "left" : "main");
        logs_add("mill-1", run);
    }
    reseat_outlook outlook = look("mill-1", logs_now);
    assert_int_equal(outlook.drift.point_count, 2);
    reseat_outlook_free(&outlook);
}

static void an_outlook_is_of_the_probe_that_was_asked_for(void **state)
{
    for (int i = 0; i < 3; i++) {
        reseat_record *run = logs_run("0.004");
        logs_set(run, RESEAT_FIELD_PROBE, i == 0 ? "P0" : "P1");
        logs_add("mill-1", run);
    }
    const reseat_state_request query = {.dir = logs_dir, .spindle = "mill-1", .probe = "P1",
                                         .as_of = logs_now};
    reseat_state probe_state;
    reseat_outlook outlook;
    assert_status(reseat_state_read(&query, &probe_state, NULL), RESEAT_OK);
    assert_status(find("mill-1", &probe_state, &outlook), RESEAT_OK);
    assert_int_equal(outlook.drift.point_count, 2);
    reseat_outlook_free(&outlook);
    reseat_state_free(&probe_state);
}

/* A scatter or a length that no double holds. */
static void what_overflows_has_no_outlook(void **state)
{
    reseat_outlook outlook = {.due_days = 7};
    reseat_record *run = logs_run("0.004");
    logs_set(run, RESEAT_FIELD_OFFSET_U_MM, "1e200");
    logs_add("mill-1", run);
    add_policy("0.01", "100");
    for (int i = 0; i < 2; i++) {
        reseat_state probe_state = stand_at("mill-1", logs_now);
        assert_status(find("mill-1", &probe_state, &outlook), RESEAT_ERR_NOT_FINITE);
        assert_near(outlook.due_days, 7, 0);
        reseat_state_free(&probe_state);
        for (int k = 0; k < 8; k++)
            logs_add("mill-1", logs_run(k % 2 ? "1.7e308" : "-1.7e308"));
    }
}

static void a_new_run_is_compared_only_where_it_is_the_newest(void **state)
{
    reseat_drift_newest newest = {.p = 7};
    const file_calls calls = logs_calls();
    const reseat_append how = {0};
    for (int i = 0; i < 9; i++) {
        logs_add("mill-1", logs_run(i % 2 ? "1.7e308" : "-1.7e308"));
        logs_now += DAY;
    }
    reseat_record *late = logs_run("0.004");
    logs_set(late, RESEAT_FIELD_AT, "2026-01-01T00:00:00Z");
    assert_status(append_and_compare(late, &newest), RESEAT_ERR_TOO_FEW);
    reseat_record *run = logs_run("0.004");
    assert_status(log_append(&calls, logs_dir, "mill-1", run, &how, NULL, NULL), RESEAT_OK);
    assert_status(reseat_outlook_newest(logs_dir, "mill-1", run, &newest), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_outlook_newest(logs_dir, "..", run, &newest), RESEAT_ERR_SYNTAX);
    reseat_record_free(run);
    assert_near(newest.p, 7, 0);
}

/* Ten runs of one second, of which the last is the newest, and at first all alike. */
static void of_runs_of_one_second_the_last_is_the_newest(void **state)
{
    const file_calls calls = logs_calls();
    const reseat_append how = {.begin = true};
    reseat_record *runs[10];
    reseat_drift_newest newest = {.p = 7};
    for (int i = 0; i < 10; i++) {
        runs[i] = logs_run(i < 9 ? "0.004" : "0.005");
        assert_status(log_append(&calls, logs_dir, "mill-1", runs[i], &how, NULL, NULL), RESEAT_OK);
        if (i == 6 || i == 8)
            assert_status(reseat_outlook_newest(logs_dir, "mill-1", runs[i], &newest),
                          i == 6 ? RESEAT_ERR_TOO_FEW : RESEAT_ERR_SINGULAR);
    }
    assert_status(reseat_outlook_newest(logs_dir, "mill-1", runs[4], &newest), RESEAT_ERR_TOO_FEW);
    assert_near(newest.p, 7, 0);
    for (int i = 0; i < 10; i++)
        reseat_record_free(runs[i]);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(the_verdict_turns_on_the_day_that_is_due),
        in_folder(days_are_counted_from_as_of),
        in_folder(without_drift_the_age_allowed_is_what_counts),
        in_folder(a_collision_is_due_when_it_happened),
        in_folder(what_befell_it_first_is_what_is_due),
        in_folder(without_a_limit_nothing_is_due),
        in_folder(what_a_policy_leaves_out_is_0),
        in_folder(the_policy_says_limit_and_spindle_part),
        in_folder(a_new_run_is_held_against_those_before_it),
        in_folder(a_run_with_nothing_to_hold_it_against_is_said),
        in_folder(a_run_in_the_log_is_held_against_the_others),
        in_folder(runs_on_one_line_have_no_distance),
        in_folder(outlook_refuses_what_it_cannot_take),
        in_folder(a_bad_line_stops_an_outlook_unless_it_is_to_be_passed_over),
        in_folder(a_gauge_check_is_what_days_are_counted_from),
        in_folder(an_age_that_ran_out_before_the_gauge_check_is_due_with_it),
        in_folder(what_is_due_before_a_collision_stays_so),
        in_folder(a_day_beyond_the_calendar_is_not_known),
        in_folder(an_outlook_is_of_the_tip_that_was_asked_for),
        in_folder(an_outlook_is_of_the_probe_that_was_asked_for),
        in_folder(what_overflows_has_no_outlook),
        in_folder(a_new_run_is_compared_only_where_it_is_the_newest),
        in_folder(of_runs_of_one_second_the_last_is_the_newest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
