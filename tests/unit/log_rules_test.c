/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the log does not take: rules that hold between records, and the clock. */
#include "logs.h"
#include "log/record.h"
#include "reseat/history.h"

static void refuses_facts_that_lie_ahead(void **state)
{
    logs_add("mill-2", logs_run("0.004"));
    reseat_record *record = logs_run("0.005");
    logs_set(record, RESEAT_FIELD_AT, "2026-03-02T06:05:01Z");
    logs_refuse("mill-2", record, NULL, RESEAT_ERR_REFUSED,
                "2026-03-02T06:05:01Z lies ahead: the clock says 2026-03-02T06:00:00Z");
    record = logs_run("0.005");
    logs_set(record, RESEAT_FIELD_AT, "2026-03-02T06:05:00Z");
    assert_int_equal(logs_add("mill-2", record), 2);
}

static void a_clock_behind_the_newest_record_demands_a_time(void **state)
{
    logs_add("mill-2", logs_run("0.004"));
    logs_now -= 60;
    logs_refuse("mill-2", logs_run("0.005"), NULL, RESEAT_ERR_REFUSED,
                "the clock says 2026-03-02T05:59:00Z, but record 1 was written at "
                "2026-03-02T06:00:00Z: set the clock");
    reseat_record *record = logs_run("0.005");
    logs_set(record, RESEAT_FIELD_AT, "2026-03-02T05:00Z");
    assert_int_equal(logs_add("mill-2", record), 2);
    record = logs_record(RESEAT_RECORD_POLICY); /* has no time that could be typed */
    logs_set(record, RESEAT_FIELD_LIMIT_MM, "0.005");
    logs_now -= 3600;
    assert_int_equal(logs_add("mill-2", record), 3);
}

static reseat_record *void_of(const char *seq)
{
    reseat_record *record = logs_record(RESEAT_RECORD_VOID);
    logs_set(record, RESEAT_FIELD_VOIDS, seq);
    logs_set(record, RESEAT_FIELD_WHY, "typed twice");
    return record;
}

static void voids_only_what_is_there_and_not_void(void **state)
{
    logs_add("mill-2", logs_run("0.004"));
    logs_add("mill-2", logs_run("0.005"));
    assert_int_equal(logs_add("mill-2", void_of("1")), 3);
    logs_refuse("mill-2", void_of("1"), NULL, RESEAT_ERR_REFUSED,
                "record 1 cannot be voided: it is void already");
    logs_refuse("mill-2", void_of("3"), NULL, RESEAT_ERR_REFUSED,
                "record 3 cannot be voided: only run, reseat, event, verify, policy and gauge "
                "can be");
    logs_refuse("mill-2", void_of("4"), NULL, RESEAT_ERR_REFUSED,
                "record 4 cannot be voided: there is none of that number");
    logs_refuse("mill-2", void_of("99"), NULL, RESEAT_ERR_REFUSED,
                "record 99 cannot be voided: there is none of that number");
    assert_int_equal(logs_add("mill-2", void_of("2")), 4);
}

static reseat_record *void_range(const char *first, const char *last)
{
    reseat_record *record = void_of(first);
    logs_set(record, RESEAT_FIELD_VOIDS_TO, last);
    return record;
}

/* Of a range whatever can be void is, if there is anything. */
static void voids_ranges(void **state)
{
    static const char none[] = "none can be voided: only run, reseat, event, verify and policy "
                               "can be, and only once";
    char text[160];
    for (int i = 1; i <= 4; i++)
        logs_add("mill-2", logs_run("0.004"));
    logs_refuse("mill-2", void_range("2", "5"), NULL, RESEAT_ERR_REFUSED,
                "record 5 cannot be voided: there is none of that number");
    logs_refuse("mill-2", void_range("3", "2"), NULL, RESEAT_ERR_RANGE,
                "lies before voids, the first");
    assert_int_equal(logs_add("mill-2", void_of("3")), 5);
    assert_int_equal(logs_add("mill-2", void_range("2", "3")), 6);
    assert_int_equal(logs_add("mill-2", void_range("1", "6")), 7);
    snprintf(text, sizeof text, "of the records 1 to 7 %s", none);
    logs_refuse("mill-2", void_range("1", "7"), NULL, RESEAT_ERR_REFUSED, text);
    snprintf(text, sizeof text, "of the records 5 to 6 %s", none);
    logs_refuse("mill-2", void_range("5", "6"), NULL, RESEAT_ERR_REFUSED, text);

    static const int64_t by[] = {-1, -1, -1, 7, 5, 6, 7, -1};
    reseat_records *records = NULL;
    reseat_entry entry;
    const reseat_state_request request = {.dir = logs_dir, .spindle = "mill-2"};
    assert_status(reseat_records_open(&request, &records, NULL), RESEAT_OK);
    for (int i = 0; i < 8; i++) {
        assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
        assert_int_equal(entry.voided_by, by[i]);
    }
    reseat_records_close(records);
}

/* What was lost with the beginning of a log cannot be told from what was never there. */
static void voids_nothing_that_is_lost(void **state)
{
    size_t length = 0;
    logs_add("mill-2", logs_run("0.004"));
    logs_add("mill-2", logs_run("0.005"));
    char *bytes = logs_read("mill-2", &length);
    bytes[logs_line(bytes, 1) + 30] ^= 1;
    bytes[logs_line(bytes, 2) + 30] ^= 1;
    logs_write("mill-2", bytes, length);
    free(bytes);
    logs_refuse("mill-2", void_of("1"), NULL, RESEAT_ERR_REFUSED,
                "record 1 cannot be voided: there is none of that number");
    assert_int_equal(logs_add("mill-2", void_of("2")), 3);
}

static reseat_record *policy(const char *limit, const char *seats)
{
    reseat_record *record = logs_record(RESEAT_RECORD_POLICY);
    if (limit != NULL)
        logs_set(record, RESEAT_FIELD_LIMIT_MM, limit);
    if (seats != NULL)
        logs_set(record, RESEAT_FIELD_SEATS, seats);
    return record;
}

static void a_policy_takes_over_what_is_not_said_anew(void **state)
{
    const file_calls calls = logs_calls();
    const reseat_field dropped[] = {RESEAT_FIELD_LIMIT_MM};
    const reseat_append carry = {.begin = true, .carry = true};
    const reseat_append drop = {.carry = true, .drop = dropped, .drop_count = 1};
    reseat_appended done;
    reseat_record *record = policy("0.005", "keys:2");
    logs_set(record, RESEAT_FIELD_NOTE, "not taken over");
    assert_status(logs_append("mill-2", record, &carry, &done, NULL), RESEAT_OK);
    assert_int_equal(done.carried_count, 0);
    record = policy("0.006", NULL);
    assert_status(log_append(&calls, logs_dir, "mill-2", record, &carry, &done, NULL), RESEAT_OK);
    assert_int_equal(done.carried_count, 1);
    assert_int_equal(done.carried[0], RESEAT_FIELD_SEATS);
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_LIMIT_MM, 9.0), 0.006);
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_SEATS), "keys:2");
    assert_false(reseat_record_has(record, RESEAT_FIELD_NOTE));
    reseat_record_free(record);
    record = policy(NULL, NULL); /* nothing new but what is dropped */
    assert_status(log_append(&calls, logs_dir, "mill-2", record, &drop, &done, NULL), RESEAT_OK);
    assert_false(reseat_record_has(record, RESEAT_FIELD_LIMIT_MM));
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_SEATS), "keys:2");
    reseat_record_free(record);
    assert_int_equal(logs_add("mill-2", void_of("3")), 4);
    record = policy(NULL, "any"); /* 3 is void, so 2 is in force */
    assert_status(log_append(&calls, logs_dir, "mill-2", record, &carry, &done, NULL), RESEAT_OK);
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_LIMIT_MM, 9.0), 0.006);
    reseat_record_free(record);
}

/* Whether the degrees of freedom of a scatter are in a new policy of one field. */
static bool takes_over_dof(reseat_field field, const char *value, const reseat_append *how)
{
    const file_calls calls = logs_calls();
    reseat_record *record = policy(NULL, NULL);
    if (value)
        logs_set(record, field, value);
    assert_status(log_append(&calls, logs_dir, "mill-2", record, how, NULL, NULL), RESEAT_OK);
    const bool has = reseat_record_has(record, RESEAT_FIELD_U_SEAT_DOF);
    reseat_record_free(record);
    return has;
}

static void degrees_of_freedom_go_with_the_figure_that_they_are_of(void **state)
{
    const reseat_field dropped[] = {RESEAT_FIELD_U_SEAT_MM};
    const reseat_append begin = {.begin = true, .carry = true}, carry = {.carry = true};
    const reseat_append drop = {.carry = true, .drop = dropped, .drop_count = 1};
    reseat_record *record = policy("0.005", NULL);
    logs_set(record, RESEAT_FIELD_U_SEAT_MM, "0.0012");
    logs_set(record, RESEAT_FIELD_U_SEAT_DOF, "8");
    assert_status(logs_append("mill-2", record, &begin, NULL, NULL), RESEAT_OK);
    assert_true(takes_over_dof(RESEAT_FIELD_LIMIT_MM, "0.006", &carry));
    assert_false(takes_over_dof(RESEAT_FIELD_LIMIT_MM, NULL, &drop));
    assert_true(takes_over_dof(RESEAT_FIELD_U_SEAT_DOF, "8", &carry));
    assert_false(takes_over_dof(RESEAT_FIELD_U_SEAT_MM, "0.0012", &carry));
}

static void a_policy_does_not_take_over_across_damage(void **state)
{
    const reseat_append carry = {.carry = true}, despite = {.carry = true, .despite_damage = true};
    size_t length = 0;
    logs_add("mill-2", policy("0.005", NULL));
    logs_add("mill-2", logs_run("0.004"));
    logs_add("mill-2", logs_run("0.005"));
    char *bytes = logs_read("mill-2", &length);
    bytes[logs_line(bytes, 3) + 3] = 'w';
    logs_write("mill-2", bytes, length);
    free(bytes);
    logs_refuse("mill-2", policy(NULL, "any"), &carry, RESEAT_ERR_DAMAGED,
                "a damaged line of the log of mill-2 may have been a policy: nothing was "
                "recorded; audit the log, or append despite the damage");
    assert_status(logs_append("mill-2", policy(NULL, "any"), &despite, NULL, NULL), RESEAT_OK);
}

static void a_policy_without_anything_is_refused(void **state)
{
    const reseat_append carry = {.carry = true};
    logs_add("mill-2", logs_run("0.004"));
    logs_refuse("mill-2", policy(NULL, NULL), &carry, RESEAT_ERR_SYNTAX,
                "a policy has at least one field");
    logs_refuse("mill-2", policy(NULL, NULL), NULL, RESEAT_ERR_SYNTAX,
                "a policy has at least one field");
}

static void refuses_records_that_are_not_whole_or_not_for_people(void **state)
{
    reseat_error error;
    logs_add("mill-2", logs_run("0.004"));
    reseat_record *record = logs_run("0.004");
    record_clear(record, RESEAT_FIELD_PROBE);
    logs_refuse("mill-2", record, NULL, RESEAT_ERR_SYNTAX, "missing");
    logs_refuse("mill-2", logs_record(RESEAT_RECORD_REPAIR), NULL, RESEAT_ERR_SYNTAX,
                "missing");
    logs_refuse("mill-2", logs_record(RESEAT_RECORD_LOG), NULL, RESEAT_ERR_ARGUMENT,
                "not a record that people make");
    record = logs_run("0");
    assert_status(reseat_log_append(NULL, "mill-2", record, NULL, NULL, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_log_append(logs_dir, NULL, record, NULL, NULL, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_log_append(logs_dir, "mill-2", NULL, NULL, NULL, &error),
                  RESEAT_ERR_ARGUMENT);
    reseat_record_free(record);
}

static void a_later_version_is_not_written_below(void **state)
{
    char above[65] = "", digits[65], line[1024];
    size_t length = 0;
    logs_add("mill-2", logs_run("0.004"));
    char *bytes = logs_read("mill-2", &length);
    memcpy(above, bytes + length - 3 - 64, 64);
    static const char later[] =
        "{\"v\":2,\"seq\":2,\"type\":\"run\",\"recorded_at\":\"2026-03-02T06:00:00Z\",\"x\":1";
    seal_make(above, later, sizeof later - 1, digits);
    const int count = snprintf(line, sizeof line, "%s,\"seal\":\"%s\"}\n", later, digits);
    FILE *file = fopen(logs_path("mill-2"), "ab");
    assert_non_null(file);
    assert_int_equal(fwrite(line, 1, (size_t)count, file), count);
    fclose(file);
    free(bytes);
    logs_refuse("mill-2", logs_run("0"), NULL, RESEAT_ERR_REFUSED,
                "record 2 of mill-2 was written by a later version: use that one");
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(refuses_facts_that_lie_ahead),
        in_folder(a_clock_behind_the_newest_record_demands_a_time),
        in_folder(voids_only_what_is_there_and_not_void),
        in_folder(voids_ranges),
        in_folder(voids_nothing_that_is_lost),
        in_folder(a_policy_takes_over_what_is_not_said_anew),
        in_folder(degrees_of_freedom_go_with_the_figure_that_they_are_of),
        in_folder(a_policy_does_not_take_over_across_damage),
        in_folder(a_policy_without_anything_is_refused),
        in_folder(refuses_records_that_are_not_whole_or_not_for_people),
        in_folder(a_later_version_is_not_written_below),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
