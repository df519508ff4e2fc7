/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Lines as no version of this library writes them: their fields in another order, or no record. */
#include "log/file.h"
#include "reseat/history.h"
#include "states.h"

#define WHEN "\"recorded_at\":\"2026-03-02T06:00:00Z\""
#define AT ",\"at\":\"2026-03-02T06:00:00Z\""

static const reseat_append CARRY = {.carry = true};

/* Of every part of a line but the whole nothing is taken, and nothing behind its end is read. */
static void a_glance_needs_all_that_it_reads(void **state)
{
    static const char line[] = "{\"v\":1,\"seq\":12,\"type\":\"run\"," WHEN;
    static const char *const others[] = {
        "{\"v\":2,\"seq\":12,\"type\":\"run\"," WHEN, "{\"v\":1,\"seq\":,\"type\":\"run\"," WHEN,
        "{\"v\":1,\"seq\":012,\"type\":\"run\"," WHEN, "{\"v\":1,\"seq\":x,\"type\":\"run\"," WHEN,
        "{\"v\":1,\"seq\":1:,\"type\":\"run\"," WHEN,
        "{\"v\":1,\"seq\":12345678901234567,\"type\":\"run\"," WHEN,
        "{\"v\":1,\"seq\":12,\"type\":\"rum\"," WHEN, "{\"v\":1,\"seq\":12,\"type\":\"runs\"," WHEN,
        "{\"v\":1,\"seq\":12,\"type\":\"run\",\"recorded_at\":\"2026-03-02T06:00:0xZ\"",
        "{\"v\":1,\"seq\":12,\"type\":\"run\",\"recorded_at\":\"2026-03-02T06:00:0:Z\"",
        "{\"v\":1,\"seq\":12,\"type\":\"run\",\"recorded_at\":\"2026-03-02 06:00:00Z\"",
        "{\"v\":1,\"seq\":12,\"type\":\"run\",\"recorded_at\":\"2026-03-02T06:00:00Zx"};
    record_glance seen = {.seq = 7};
    for (size_t length = 0; length + 1 < sizeof line; length++) {
        char *part = malloc(length > 0 ? length : 1); /* where a sanitizer sees its end */
        assert_non_null(part);
        memcpy(part, line, length);
        assert_false(log_glance(part, length, &seen));
        free(part);
    }
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        assert_false(log_glance(others[i], strlen(others[i]), &seen));
    assert_int_equal(seen.seq, 7);
    assert_true(log_glance(line, sizeof line - 1, &seen));
    assert_int_equal(seen.seq, 12);
    static const char cut[] = "{\"v\":1,\"seq\":12,\"type\":\"run\"," WHEN ",\"probe\":\"P1\"";
    assert_true(log_glance(cut, sizeof cut - 1, &seen));
    assert_int_equal(seen.probe_length, 2);
    assert_true(log_glance(cut, sizeof cut - 2, &seen));
    assert_null(seen.probe);
    static const char first[] = "{\"v\":1,\"seq\":0,\"type\":\"log\"," WHEN;
    assert_true(log_glance(first, sizeof first - 1, &seen));
    assert_int_equal(seen.seq, 0);
}

/* A head, a run, a policy and a void of the run. */
static void make_log(void)
{
    static const char *const bodies[] = {
        "{\"seq\":0,\"v\":1,\"type\":\"log\"," WHEN ",\"spindle\":\"mill-1\","
        "\"format\":\"reseat-log\"",
        "{\"seq\":1,\"v\":1,\"type\":\"run\"," WHEN AT ",\"probe\":\"P1\",\"seat_deg\":0,"
        "\"offset_x_mm\":0.004,\"offset_y_mm\":0.0",
        "{\"seq\":2,\"v\":1,\"type\":\"policy\"," WHEN ",\"limit_mm\":0.005",
        "{\"seq\":3,\"v\":1,\"type\":\"run\"," WHEN AT ",\"probe\":\"P1\",\"seat_deg\":0,"
        "\"offset_x_mm\":0.005,\"offset_y_mm\":0.0",
        "{\"seq\":4,\"v\":1,\"type\":\"void\"," WHEN ",\"voids\":1,\"why\":\"slip\""};
    logs_write("mill-1", "", 0);
    for (size_t i = 0; i < sizeof bodies / sizeof bodies[0]; i++)
        put_raw("mill-1", bodies[i]);
}

/* The runs of P1 in all of the log, and the bad lines. */
static reseat_status count_runs(bool despite_damage, size_t *runs, uint64_t *bad_lines)
{
    const replay_request all = {.calls = &file_system_calls, .dir = logs_dir,
                                .spindle = "mill-1", .horizon = INT64_MAX,
                                .depth = REPLAY_WHOLE};
    replay *read = NULL;
    assert_status(replay_read(&all, &read, NULL), RESEAT_OK);
    free(state_runs(read, "P1", "main", runs));
    const reseat_status status = replay_check(read, 0, despite_damage, bad_lines, NULL);
    replay_free(read);
    return status;
}

static void fields_may_stand_in_any_order(void **state)
{
    const file_calls calls = logs_calls();
    reseat_audit audit;
    size_t runs = 0;
    uint64_t bad_lines = 0;
    make_log();
    assert_status(reseat_log_audit(logs_dir, "mill-1", NULL, NULL, NULL, &audit, NULL), RESEAT_OK);
    assert_true(audit.whole);
    assert_int_equal(audit.records, 5);
    assert_status(count_runs(false, &runs, &bad_lines), RESEAT_OK);
    assert_int_equal(bad_lines, 0);
    assert_int_equal(runs, 1);
    reseat_record *policy = logs_record(POLICY);
    fill(policy, "seats=any");
    assert_status(log_append(&calls, logs_dir, "mill-1", policy, &CARRY, NULL, NULL), RESEAT_OK);
    assert_near(reseat_record_number(policy, RESEAT_FIELD_LIMIT_MM, 9), 0.005, 0);
    assert_int_equal(reseat_record_integer(policy, RESEAT_FIELD_SEQ, 0), 5);
    reseat_record_free(policy);
    assert_int_equal(put_void(0, 3), 6);
}

static void a_sealed_line_that_is_no_record_is_a_bad_line(void **state)
{
    size_t runs = 0;
    uint64_t bad_lines = 0;
    reseat_error error;
    reseat_audit audit;
    make_log();
    put_raw("mill-1", "{\"seq\":5,\"v\":1,\"type\":\"run\"," WHEN);
    put_raw("mill-1", "{\"seq\":6,,");
    assert_status(count_runs(false, &runs, &bad_lines), RESEAT_ERR_DAMAGED);
    assert_int_equal(bad_lines, 0);
    assert_status(count_runs(true, &runs, &bad_lines), RESEAT_OK);
    assert_int_equal(runs, 1);
    assert_int_equal(bad_lines, 2);
    assert_status(reseat_log_audit(logs_dir, "mill-1", NULL, NULL, NULL, &audit, NULL), RESEAT_OK);
    assert_int_equal(audit.bad, 2);
    assert_status(logs_append("mill-1", logs_run("0.004"), NULL, NULL, &error),
                  RESEAT_ERR_DAMAGED);
    assert_string_equal(error.text, "the last line is sealed but is no record: nothing was "
                                    "recorded; audit the log");
}

/* The number sought may be one of the lines that are no record; a policy may be one of them. */
static void rules_pass_over_what_is_no_record(void **state)
{
    const reseat_append despite = {.carry = true, .despite_damage = true};
    reseat_error error;
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"seq\":2,\"v\":1,\"type\":\"policy\"," WHEN);
    put_raw("mill-1", "{\"v\":1,\"seq\":3,\"type\":\"event\"," WHEN AT ",\"kind\":\"other\"");
    reseat_record *policy = logs_record(POLICY);
    fill(policy, "seats=any");
    assert_status(logs_append("mill-1", policy, &CARRY, NULL, &error), RESEAT_ERR_DAMAGED);
    assert_non_null(strstr(error.text, "may have been a policy"));
    policy = logs_record(POLICY);
    fill(policy, "seats=any");
    assert_status(logs_append("mill-1", policy, &despite, NULL, NULL), RESEAT_OK);
    reseat_record *record = logs_record(VOID);
    fill(record, "voids=2 why=slip");
    assert_status(logs_append("mill-1", record, NULL, NULL, &error), RESEAT_ERR_REFUSED);
    assert_non_null(strstr(error.text, "there is none of that number"));
    assert_int_equal(put_void(0, 1), 5);
}

/* The newest line that says to be a policy is none, as its limit cannot be. */
static void a_policy_takes_over_from_none_that_is_no_record(void **state)
{
    const reseat_append despite = {.carry = true, .despite_damage = true};
    put(RUN, 0, P1_RUN);
    put(POLICY, 0, "limit_mm=0.005");
    put_raw("mill-1", "{\"v\":1,\"seq\":3,\"type\":\"policy\"," WHEN ",\"limit_mm\":-1");
    reseat_record *policy = logs_record(POLICY);
    fill(policy, "seats=any");
    logs_refuse("mill-1", policy, &CARRY, RESEAT_ERR_DAMAGED,
                "a damaged line of the log of mill-1 may have been a policy: nothing was "
                "recorded; audit the log, or append despite the damage");
    policy = logs_record(POLICY);
    fill(policy, "seats=any");
    assert_status(reseat_log_append(logs_dir, "mill-1", policy, &despite, NULL, NULL), RESEAT_OK);
    assert_near(reseat_record_number(policy, RESEAT_FIELD_LIMIT_MM, 9), 0.005, 0);
    reseat_record_free(policy);
}

/* Nothing of it is read that a glance would tell: its time is of a month that there is not. */
static void a_last_line_of_no_time_is_no_record(void **state)
{
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"event\",\"recorded_at\":"
                      "\"2026-13-02T06:00:00Z\"" AT ",\"kind\":\"other\"");
    logs_refuse("mill-1", logs_run("0.004"), NULL, RESEAT_ERR_DAMAGED,
                "the last line is sealed but is no record: nothing was recorded; audit the log");
}

static void a_log_record_of_another_number_begins_no_log(void **state)
{
    reseat_audit audit;
    logs_write("mill-1", "", 0);
    put_raw("mill-1", "{\"v\":1,\"seq\":1,\"type\":\"log\"," WHEN ",\"spindle\":\"mill-1\","
                      "\"format\":\"reseat-log\"");
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"event\"," WHEN AT ",\"kind\":\"other\"");
    const reseat_state_request query = asked_on(1);
    refuse(&query, RESEAT_ERR_DAMAGED, "does not begin with a sound `log` record");
    assert_status(reseat_log_audit(logs_dir, "mill-1", NULL, NULL, NULL, &audit, NULL), RESEAT_OK);
    assert_int_equal(audit.bad, 1);
    assert_int_equal(audit.records, 2);
}

static void of_a_log_that_is_not_there_nothing_is_void_or_carried(void **state)
{
    const reseat_append dry = {.begin = true, .dry_run = true, .carry = true};
    reseat_error error;
    reseat_record *record = logs_record(VOID);
    fill(record, "voids=2 why=slip");
    assert_status(logs_append("mill-1", record, &dry, NULL, &error), RESEAT_ERR_REFUSED);
    assert_non_null(strstr(error.text, "there is none of that number"));
    record = logs_record(POLICY);
    fill(record, "limit_mm=0.005");
    assert_status(logs_append("mill-1", record, &dry, NULL, NULL), RESEAT_OK);
    assert_status(logs_append("mill-1", logs_run("0.004"), &dry, NULL, NULL), RESEAT_OK);
    const reseat_append not_begun = {.dry_run = true};
    char expected[128];
    snprintf(expected, sizeof expected, "there is no log of mill-1 in \"%s\"", logs_dir);
    assert_status(logs_append("mill-1", logs_run("0.004"), &not_begun, NULL, &error),
                  RESEAT_ERR_NOT_FOUND);
    assert_string_equal(error.text, expected);
}

/* The longest name is longer than the seal that stands there instead. */
static void a_first_record_that_names_no_spindle_is_no_head(void **state)
{
    char name[RESEAT_RECORD_NAME_MAX + 1];
    memset(name, 'a', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    logs_write(name, "", 0);
    put_raw(name, "{\"v\":1,\"seq\":0,\"type\":\"log\"," WHEN);
    reseat_state_request query = asked_on(1);
    query.spindle = name;
    query.despite_damage = true;
    refuse(&query, RESEAT_ERR_NOT_FOUND, "no run is on record");
    put_late(name, 0, RUN, 0, P1_RUN);
    reseat_state s = stand(&query);
    assert_int_equal(s.bad_lines, 1);
    reseat_state_free(&s);
}

/* No number above 2^53 is one that JSON keeps. */
static void numbers_of_records_come_to_an_end(void **state)
{
    reseat_error error;
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"v\":1,\"seq\":9007199254740991,\"type\":\"event\"," WHEN AT
                      ",\"kind\":\"other\"");
    assert_status(logs_append("mill-1", logs_run("0.004"), NULL, NULL, NULL), RESEAT_OK);
    assert_status(logs_append("mill-1", logs_run("0.004"), NULL, NULL, &error), RESEAT_ERR_RANGE);
    assert_string_equal(error.key, "seq");
    assert_string_equal(error.text, "larger than 2^53");
}

static void a_clock_beyond_all_years_writes_nothing(void **state)
{
    reseat_error error;
    reseat_record *policy = logs_record(POLICY);
    fill(policy, "limit_mm=0.005");
    put(RUN, 0, P1_RUN);
    logs_now = 253402300800; /* the first second of the year 10000 */
    assert_status(logs_append("mill-1", policy, NULL, NULL, &error), RESEAT_ERR_RANGE);
    assert_string_equal(error.key, "recorded_at");
    assert_string_equal(error.text, "outside the years 1 to 9999");
}

static void a_clock_beyond_all_years_is_said_in_words(void **state)
{
    reseat_error error;
    put(RUN, 0, P1_RUN);
    logs_now = -62135596801; /* the last second of the year 0 */
    assert_status(logs_append("mill-1", logs_run("0.004"), NULL, NULL, &error),
                  RESEAT_ERR_REFUSED);
    assert_int_equal(error.code, RESEAT_CODE_CLOCK_BEHIND);
    assert_string_equal(error.key, "at");
    assert_non_null(strstr(error.text, "the clock says an unknown time, but record 1 was written"));
}

static void a_name_too_long_for_a_log_is_not_listed(void **state)
{
    reseat_log_names names;
    char name[RESEAT_RECORD_NAME_MAX + 2];
    memset(name, 'a', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    logs_write(name, "", 0);
    logs_write(name + 1, "", 0);
    assert_status(reseat_log_list(logs_dir, &names, NULL), RESEAT_OK);
    assert_int_equal(names.count, 1);
    assert_string_equal(names.names[0], name + 1);
    reseat_log_names_free(&names);
}

static void marks_are_refused(void **state)
{
    static const char *const wrong[] = {"1:0123456789a:", "1:0123456789aG", "1:0123456789a/",
                                        ":0123456789ab", "1;0123456789ab", "1x:0123456789ab",
                                        "/:0123456789ab", "1234567890123456:0123456789ab"};
    reseat_log_mark mark = {.seq = 7};
    char longest[8 + SEAL_DIGITS] = "1:";
    memset(longest + 2, 'a', SEAL_DIGITS + 1);
    longest[2 + SEAL_DIGITS + 1] = '\0';
    assert_status(reseat_log_mark_parse(longest, strlen(longest), &mark, NULL),
                  RESEAT_ERR_SYNTAX);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_status(reseat_log_mark_parse(wrong[i], strlen(wrong[i]), &mark, NULL),
                      RESEAT_ERR_SYNTAX);
    assert_int_equal(mark.seq, 7);
    assert_status(reseat_log_mark_parse(longest, strlen(longest) - 1, &mark, NULL), RESEAT_OK);
    assert_int_equal(mark.seq, 1);
    reseat_audit audit;
    assert_status(reseat_log_audit(NULL, "a", NULL, NULL, NULL, &audit, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_log_audit("a", NULL, NULL, NULL, NULL, &audit, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_log_audit("a", "a", NULL, NULL, NULL, NULL, NULL), RESEAT_ERR_ARGUMENT);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_glance_needs_all_that_it_reads),
        in_folder(fields_may_stand_in_any_order),
        in_folder(a_sealed_line_that_is_no_record_is_a_bad_line),
        in_folder(a_policy_takes_over_from_none_that_is_no_record),
        in_folder(rules_pass_over_what_is_no_record),
        in_folder(a_last_line_of_no_time_is_no_record),
        in_folder(a_log_record_of_another_number_begins_no_log),
        in_folder(of_a_log_that_is_not_there_nothing_is_void_or_carried),
        in_folder(a_first_record_that_names_no_spindle_is_no_head),
        in_folder(numbers_of_records_come_to_an_end),
        in_folder(a_clock_beyond_all_years_writes_nothing),
        in_folder(a_clock_beyond_all_years_is_said_in_words),
        in_folder(a_name_too_long_for_a_log_is_not_listed),
        cmocka_unit_test(marks_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
