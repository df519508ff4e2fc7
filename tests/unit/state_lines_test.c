/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Lines that are not what this version writes, and logs that others have written. */

#include "reseat/history.h"
#include "states.h"

/* How a record of day 5 begins; its type is what is tested. */
#define DAY_5 "\"recorded_at\":\"2026-03-07T06:00:00Z\",\"at\":\"2026-03-07T06:00:00Z\""

static void a_last_line_cut_short_stops_it(void **state)
{
    size_t length = 0;
    put(RUN, 0, P1_RUN);
    put(EVENT, 1, "kind=collision");
    char *bytes = logs_read("mill-1", &length);
    logs_write("mill-1", bytes, length - 20);
    free(bytes);
    reseat_state_request query = asked_on(9);
    refuse(&query, RESEAT_ERR_DAMAGED, "line 3 of the log of mill-1 was cut short; record it "
                                       "again, then check");
    query.despite_damage = true;
    reseat_state s = stand(&query);
    assert_int_equal(s.bad_lines, 1);
    assert_int_equal(s.reasons, 1u << RESEAT_REASON_DAMAGE_IGNORED); /* not the collision */
    reseat_state_free(&s);
    put(EVENT, 1, "kind=service"); /* seals the rest of the line off */
    query.despite_damage = false;
    s = stand(&query);
    assert_int_equal(s.bad_lines, 0);
    assert_int_equal(s.reasons, 1u << RESEAT_REASON_SERVICE | 1u << RESEAT_REASON_LOST_RECORDS);
    reseat_state_free(&s);
}

static void a_sealed_line_that_is_no_record_stops_it(void **state)
{
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"run\"," DAY_5 ",\"probe\":\"P1\"");
    put_raw("mill-1", "{\"v\":1,\"seq\":3,\"type\":\"event\"," DAY_5 ",\"kind\":\"other\"");
    reseat_state_request query = asked_on(9);
    refuse(&query, RESEAT_ERR_DAMAGED,
           "line 3 of the log of mill-1 is damaged: its seal holds, but it is no record; "
           "reseat history mill-1 shows all");
    query.despite_damage = true;
    reseat_state s = stand(&query);
    assert_int_equal(seq_of(s.run), 1);
    assert_int_equal(s.bad_lines, 1);
    reseat_state_free(&s);
}

static void records_of_an_unknown_type_since_the_run_are_counted(void **state)
{
    put(EVENT, -1, "kind=other");
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"wear\"," DAY_5 ",\"depth_mm\":0.2");
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"v\":1,\"seq\":4,\"type\":\"wear\"," DAY_5 ",\"depth_mm\":0.3");
    put_raw("mill-1", "{\"v\":1,\"seq\":5,\"type\":\"tea\",\"recorded_at\":"
                      "\"2026-03-07T06:00:00Z\",\"cups\":[1,[2]]");
    reseat_state s = stand_on(9);
    assert_int_equal(s.unknown_types, 2);
    reseat_state_free(&s);
    s = stand_on(3); /* the first is of a later time, the second of none */
    assert_int_equal(s.unknown_types, 1);
    reseat_state_free(&s);
}

static void unknown_fields_do_not_matter(void **state)
{
    put(EVENT, -1, "kind=other");
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"run\"," DAY_5 ",\"colour\":\"blue\","
                      "\"probe\":\"P1\",\"seat_deg\":0,\"offset_x_mm\":1,\"offset_y_mm\":2,"
                      "\"wind\":{\"bearing\":[3]}");
    reseat_state s = stand_on(9);
    assert_int_equal(seq_of(s.run), 2);
    assert_near(s.runs[0].offset_mm.x, 1, 0);
    reseat_state_free(&s);
}

/* Fields in another order and with blanks: no other program need write as this one does. */
static void the_order_of_fields_does_not_matter(void **state)
{
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{ \"kind\":\"collision\", " DAY_5 ", \"type\":\"event\",\"seq\":2, \"v\":1");
    reseat_state s = stand_on(9);
    assert_int_equal(s.reasons, 1u << RESEAT_REASON_COLLISION);
    reseat_state_free(&s);
}

/* Runs of a probe in mill-1, as drift reads them. */
static size_t runs_of(const char *probe)
{
    const replay_request all = {.calls = &file_system_calls, .dir = logs_dir,
                                .spindle = "mill-1", .probe = probe, .horizon = INT64_MAX,
                                .depth = REPLAY_WHOLE};
    replay *read = NULL;
    size_t count = 0;
    assert_status(replay_read(&all, &read, NULL), RESEAT_OK);
    free(state_runs(read, probe, "main", &count));
    replay_free(read);
    return count;
}

#define GLANCED "\"recorded_at\":\"2026-03-07T06:00:00Z\",\"probe\":"
#define AT_DAY_5 ",\"at\":\"2026-03-07T06:00:00Z\",\"seat_deg\":0"

/* Lines of other probes are passed over by their first bytes, and "P\u0031" is P1 all the same. */
static void a_name_written_with_an_escape_is_the_same_name(void **state)
{
    put(EVENT, -1, "kind=other");
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"run\"," GLANCED "\"P\\u0031\"" AT_DAY_5
                      ",\"offset_x_mm\":1,\"offset_y_mm\":2");
    put_raw("mill-1", "{\"v\":1,\"seq\":3,\"type\":\"reseat\"," GLANCED "\"P\\u0031\"" AT_DAY_5);
    put_raw("mill-1", "{\"v\":1,\"seq\":4,\"type\":\"reseat\"," GLANCED "\"P10\"" AT_DAY_5);
    put_raw("mill-1", "{\"v\":1,\"seq\":5,\"type\":\"run\"," GLANCED "\"P10\"" AT_DAY_5
                      ",\"offset_x_mm\":1,\"offset_y_mm\":2");
    put(RUN, 0, P1_RUN);
    reseat_state_request query = asked_on(9);
    refuse(&query, RESEAT_ERR_REFUSED, "as several have runs: P1, P10");
    query.probe = "P1";
    reseat_state s = stand(&query);
    assert_int_equal(seq_of(s.run), 2);
    assert_int_equal(seq_of(s.last_reseat), 3);
    assert_int_equal(s.run_count, 2);
    reseat_state_free(&s);
    assert_int_equal(runs_of("P1"), 2);
    assert_int_equal(runs_of("P10"), 1);
}

/* Above all that counts only names are read, from the first bytes of a line where they say one. */
static void a_name_that_stands_elsewhere_in_an_old_line_is_read(void **state)
{
    put(EVENT, -200, "kind=other");
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"run\",\"recorded_at\":"
                      "\"2025-12-02T06:00:00Z\",\"at\":\"2025-12-02T06:00:00Z\","
                      "\"probe\":\"P2\",\"seat_deg\":0,\"offset_x_mm\":1,\"offset_y_mm\":2");
    put(POLICY, 0, "limit_mm=0.005");
    for (int i = 0; i <= RESEAT_STATE_RUNS_MAX; i++)
        put(RUN, i, P1_RUN);
    reseat_state_request query = asked_on(RESEAT_STATE_RUNS_MAX + 1);
    refuse(&query, RESEAT_ERR_REFUSED, "as several have runs: P1, P2");
    query.probe = "P1";
    reseat_state s = stand(&query);
    assert_int_equal(s.run_count, RESEAT_STATE_RUNS_MAX);
    reseat_state_free(&s);
}

static void a_record_of_a_later_version_stops_it(void **state)
{
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"v\":2,\"seq\":2,\"type\":\"event\"," DAY_5 ",\"kind\":\"collision\"");
    put_raw("mill-1", "{\"v\":1,\"seq\":3,\"type\":\"event\"," DAY_5 ",\"kind\":\"other\"");
    reseat_state_request query = asked_on(1); /* whatever the time: its `at` may mean another */
    refuse(&query, RESEAT_ERR_DAMAGED, "record 2 of mill-1 was written by a later version");
    query.despite_damage = true;
    refuse(&query, RESEAT_ERR_DAMAGED, "record 2 of mill-1 was written by a later version");
}

static void the_log_of_another_spindle_is_refused(void **state)
{
    size_t length = 0;
    put(RUN, 0, P1_RUN);
    char *bytes = logs_read("mill-1", &length);
    logs_write("mill-2", bytes, length);
    free(bytes);
    reseat_state_request query = asked_on(1);
    query.spindle = "mill-2";
    refuse(&query, RESEAT_ERR_DAMAGED, "this is the log of mill-1, not of mill-2");
}

static void a_log_must_begin_with_its_first_record(void **state)
{
    char digits[SEAL_DIGITS + 1], line[512];
    const char *body = "{\"v\":1,\"seq\":0,\"type\":\"run\"," DAY_5 ",\"probe\":\"P1\","
                       "\"seat_deg\":0,\"offset_x_mm\":0.004,\"offset_y_mm\":0.001";
    seal_make(NULL, body, strlen(body), digits);
    snprintf(line, sizeof line, "%s" SEAL_MARK "%s" SEAL_END "\n", body, digits);
    logs_write("mill-1", line, strlen(line));
    reseat_state_request query = asked_on(9);
    refuse(&query, RESEAT_ERR_DAMAGED, "does not begin with a sound `log` record");
    query.despite_damage = true;
    reseat_state s = stand(&query);
    assert_int_equal(s.bad_lines, 1);
    reseat_state_free(&s);
    logs_write("mill-1", "", 0);
    refuse(&query, RESEAT_ERR_NOT_FOUND, "no run is on record for mill-1");
}

static void reference_logs_can_be_decided_on(void **state)
{
    static const struct {
        const char *name;
        int64_t last;
        size_t runs;
    } logs[] = {{"case-1", 10, 9}, {"case-2", 25, 24}, {"case-3", 61, 60}};
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        size_t length = 0;
        reseat_state_request query = asked_on(900);
        reseat_state_question asked;
        reseat_answer answer;
        free(logs_take(logs[i].name, &length));
        query.spindle = logs[i].name;
        reseat_state s = stand_alone(&query);
        assert_int_equal(seq_of(s.run), logs[i].last);
        assert_int_equal(seq_of(s.policy), 1);
        assert_int_equal(s.run_count, logs[i].runs);
        assert_int_equal(s.reasons, 1u << RESEAT_REASON_TOO_OLD);
        assert_status(reseat_state_ask(&s, NULL, &asked, NULL), RESEAT_OK);
        assert_int_equal(asked.growth.runs, logs[i].runs);
        assert_status(reseat_verdict_decide(&asked.question, &answer), RESEAT_OK);
        reseat_state_free(&s);
    }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_last_line_cut_short_stops_it),
        TEST(a_sealed_line_that_is_no_record_stops_it),
        TEST(records_of_an_unknown_type_since_the_run_are_counted),
        TEST(unknown_fields_do_not_matter),
        TEST(the_order_of_fields_does_not_matter),
        TEST(a_name_written_with_an_escape_is_the_same_name),
        TEST(a_name_that_stands_elsewhere_in_an_old_line_is_read),
        TEST(a_record_of_a_later_version_stops_it),
        TEST(the_log_of_another_spindle_is_refused),
        TEST(a_log_must_begin_with_its_first_record),
        TEST(reference_logs_can_be_decided_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
