/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The records of a log, the newest first, with what is void. */

#include "states.h"

static reseat_records *open_known(int64_t as_known)
{
    reseat_records *records = NULL;
    const reseat_state_request request = {.dir = logs_dir, .spindle = "mill-1",
                                          .as_known = as_known};
    assert_status(reseat_records_open(&request, &records, NULL), RESEAT_OK);
    return records;
}

static reseat_records *open_records(void)
{
    return open_known(0);
}

/* What was written later is not there, and takes nothing back. */
static void what_was_not_known_yet_is_passed_over(void **state)
{
    static const int64_t seqs[] = {2, 1, 0};
    reseat_entry entry;
    put(RUN, 0, P1_RUN);
    put(RESEATED, 1, "probe=P1 seat_deg=90");
    put_void(2, 2);
    put_late("mill-1", 3, RUN, 0.5, P1_RUN);
    reseat_records *records = open_known(day(1));
    for (size_t i = 0; i < 3; i++) {
        assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
        assert_int_equal(seq_of(entry.record), seqs[i]);
        assert_int_equal(entry.voided_by, -1);
    }
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_ERR_NOT_FOUND);
    reseat_records_close(records);
    records = open_known(day(2));
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
    assert_int_equal(seq_of(entry.record), 3);
    reseat_records_close(records);
}

static void records_come_newest_first_with_what_voids_them(void **state)
{
    static const int64_t voided_by[] = {-1, 3, -1, -1};
    reseat_entry entry;
    put(RUN, 0, P1_RUN);
    put(RESEATED, 1, "probe=P1 seat_deg=90");
    put_void(2, 2);
    reseat_records *records = open_records();
    for (int64_t seq = 3; seq >= 0; seq--) {
        assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
        assert_int_equal(seq_of(entry.record), seq);
        assert_int_equal(entry.voided_by, voided_by[3 - seq]);
        assert_int_equal(entry.line.state, RESEAT_LINE_SOUND);
    }
    memset(&entry, 0x5a, sizeof entry);
    const reseat_entry before = entry;
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_ERR_NOT_FOUND);
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_ERR_NOT_FOUND);
    assert_memory_equal(&entry, &before, sizeof entry);
    reseat_records_close(records);
}

static void a_bad_line_is_told_and_the_rest_is_read_on(void **state)
{
    reseat_entry entry;
    put(RUN, 0, P1_RUN);
    put(RUN, 1, P1_RUN);
    logs_damage("mill-1", 2);
    reseat_records *records = open_records();
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
    assert_int_equal(seq_of(entry.record), 2);
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
    assert_null(entry.record);
    assert_int_equal(entry.line.state, RESEAT_LINE_DAMAGED);
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
    assert_int_equal(seq_of(entry.record), 0);
    reseat_records_close(records);
}

static void a_sealed_line_that_is_no_record_says_why(void **state)
{
    reseat_entry entry;
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"run\","
                      "\"recorded_at\":\"2026-03-03T06:00:00Z\"");
    reseat_records *records = open_records();
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
    assert_null(entry.record);
    assert_int_equal(entry.line.state, RESEAT_LINE_SOUND);
    assert_string_equal(entry.why.key, "probe");
    assert_true(entry.why.text[0] != '\0');
    reseat_records_close(records);
}

static void records_refuse_what_is_no_log(void **state)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    reseat_error error = {0};
    put(RUN, 0, P1_RUN);
    reseat_state_request request = {.spindle = "mill-1"};
    assert_status(reseat_records_open(NULL, &records, &error), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_records_open(&request, &records, &error), RESEAT_ERR_ARGUMENT);
    request.dir = logs_dir;
    assert_status(reseat_records_open(&request, NULL, &error), RESEAT_ERR_ARGUMENT);
    request.spindle = NULL;
    assert_status(reseat_records_open(&request, &records, &error), RESEAT_ERR_ARGUMENT);
    request.spindle = "../x";
    assert_status(reseat_records_open(&request, &records, &error), RESEAT_ERR_SYNTAX);
    request.spindle = "mill-9";
    assert_status(reseat_records_open(&request, &records, &error), RESEAT_ERR_NOT_FOUND);
    assert_null(records);
    assert_status(reseat_records_next(NULL, &entry, &error), RESEAT_ERR_ARGUMENT);
    records = open_records();
    assert_status(reseat_records_next(records, NULL, &error), RESEAT_ERR_ARGUMENT);
    reseat_records_close(records);
    reseat_records_close(NULL);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(records_come_newest_first_with_what_voids_them),
        in_folder(what_was_not_known_yet_is_passed_over),
        in_folder(a_bad_line_is_told_and_the_rest_is_read_on),
        in_folder(a_sealed_line_that_is_no_record_says_why),
        in_folder(records_refuse_what_is_no_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
