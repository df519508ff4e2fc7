/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* On which lines of a log, and of those beside it, a decision rests. */
#include "logs.h"

#include "reseat/history.h"
#include "log/seal.h"

#define DAY 86400
#define RUNS 120

static reseat_status stand(bool despite_damage, reseat_state *probe_state, reseat_error *error)
{
    const reseat_state_request query = {.dir = logs_dir, .spindle = "mill-2", .as_of = logs_now,
                                         .despite_damage = despite_damage};
    return reseat_state_read(&query, probe_state, error);
}

/* Line 1 the head, 2 to 121 a run a day, 122 the policy: more than a decision reads. */
static void make_long_log(void)
{
    for (int i = 0; i < RUNS; i++) {
        logs_add("mill-2", logs_run("0.004"));
        logs_now += DAY;
    }
    reseat_record *policy = logs_record(RESEAT_RECORD_POLICY);
    logs_set(policy, RESEAT_FIELD_LIMIT_MM, "0.005");
    logs_add("mill-2", policy);
}

static void damage_above_all_that_is_used_stops_nothing(void **state)
{
    reseat_state probe_state;
    reseat_error error = {0};
    make_long_log();
    logs_damage("mill-2", 5);
    assert_status(stand(false, &probe_state, &error), RESEAT_OK);
    assert_int_equal(probe_state.run_count, RESEAT_STATE_RUNS_MAX);
    assert_int_equal(probe_state.bad_lines, 0);
    assert_int_equal(probe_state.reasons & 1u << RESEAT_REASON_DAMAGE_IGNORED, 0);
    reseat_state_free(&probe_state);
}

/* Nor do lines there that do not end in a seal, or are longer than any record. */
static void what_is_no_record_above_all_that_is_used_stops_nothing(void **state)
{
    static char line[RESEAT_RECORD_LINE_MAX + 2];
    reseat_state probe_state;
    size_t length = 0;
    make_long_log();
    char *bytes = logs_read("mill-2", &length);
    const size_t begin = logs_line(bytes, 5), end = logs_line(bytes, 6);
    memset(line, 'a', sizeof line - 1);
    memcpy(line + sizeof line - 1 - SEAL_TAIL, SEAL_MARK, sizeof SEAL_MARK - 1);
    memcpy(line + sizeof line - sizeof SEAL_END, SEAL_END "\n", sizeof SEAL_END);
    bytes[end - 2] = 'x'; /* the brace */
    FILE *file = fopen(logs_path("mill-2"), "wb");
    assert_non_null(file);
    fwrite(bytes, 1, begin, file);
    fwrite(line, 1, sizeof line, file);
    fwrite(bytes + begin, 1, length - begin, file);
    assert_int_equal(fclose(file), 0);
    free(bytes);
    assert_status(stand(false, &probe_state, NULL), RESEAT_OK);
    assert_int_equal(probe_state.run_count, RESEAT_STATE_RUNS_MAX);
    assert_int_equal(probe_state.bad_lines, 0);
    reseat_state_free(&probe_state);
}

static void damage_among_what_is_used_stops_the_decision(void **state)
{
    reseat_state probe_state;
    reseat_error error;
    make_long_log();
    logs_damage("mill-2", 60);
    assert_status(stand(false, &probe_state, &error), RESEAT_ERR_DAMAGED);
    assert_string_equal(error.text, "line 60 of the log of mill-2 is damaged: its seal does not "
                        "fit its bytes and the seal above; reseat audit mill-2 shows all");
    assert_status(stand(true, &probe_state, &error), RESEAT_OK);
    assert_int_equal(probe_state.bad_lines, 1);
    assert_int_not_equal(probe_state.reasons & 1u << RESEAT_REASON_DAMAGE_IGNORED, 0);
    reseat_state_free(&probe_state);
}

/* Reading stops long before it; it is looked at all the same. */
static void a_damaged_first_record_stops_the_decision(void **state)
{
    reseat_state probe_state;
    reseat_error error;
    make_long_log();
    logs_damage("mill-2", 1);
    assert_status(stand(false, &probe_state, &error), RESEAT_ERR_DAMAGED);
    assert_string_equal(error.text, "the log of mill-2 does not begin with a sound `log` record; "
                                    "reseat audit mill-2 shows all");
    assert_status(stand(true, &probe_state, &error), RESEAT_OK);
    assert_int_equal(probe_state.bad_lines, 1);
    reseat_state_free(&probe_state);
}

/* A fact may lie five minutes ahead of its writing: it may follow a run it was written before. */
static void a_run_elsewhere_counts_though_written_before_this_one(void **state)
{
    reseat_state probe_state;
    reseat_record *elsewhere = logs_run("0.001");
    logs_set(elsewhere, RESEAT_FIELD_AT, "2026-03-02T06:04:00Z");
    logs_add("hmc-1", elsewhere);
    logs_now += 120;
    logs_add("mill-2", logs_run("0.004"));
    logs_now += DAY;
    assert_status(stand(false, &probe_state, NULL), RESEAT_OK);
    assert_int_equal(probe_state.reasons, 1u << RESEAT_REASON_ELSEWHERE);
    assert_string_equal(probe_state.events[RESEAT_REASON_ELSEWHERE].log, "hmc-1");
    reseat_state_free(&probe_state);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(damage_above_all_that_is_used_stops_nothing),
        in_folder(what_is_no_record_above_all_that_is_used_stops_nothing),
        in_folder(damage_among_what_is_used_stops_the_decision),
        in_folder(a_damaged_first_record_stops_the_decision),
        in_folder(a_run_elsewhere_counts_though_written_before_this_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
