/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The records of a log, the newest first. */

#include "states.h"

static reseat_records *open_records(void)
{
    reseat_records *records = NULL;
    assert_status(reseat_records_open(logs_dir, "mill-1", &records, NULL), RESEAT_OK);
    return records;
}

/* The next entry is a record of that number, void by another or by none. */
static void assert_record(reseat_records *records, int64_t seq, int64_t voided_by)
{
    reseat_entry entry;
    reseat_error error;
    assert_status(reseat_records_next(records, &entry, &error), RESEAT_OK);
    assert_int_equal(seq_of(entry.record), seq);
    assert_int_equal(entry.voided_by, voided_by);
    assert_int_equal(entry.line.state, RESEAT_LINE_SOUND);
}

/* At the start of the log there is nothing more, however often it is asked for. */
static void assert_end(reseat_records *records)
{
    reseat_entry entry, before;
    memset(&entry, 0x5a, sizeof entry);
    memset(&before, 0x5a, sizeof before);
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_ERR_NOT_FOUND);
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_ERR_NOT_FOUND);
    assert_memory_equal(&entry, &before, sizeof entry);
    reseat_records_close(records);
}

static void the_newest_come_first_with_what_voids_them(void **state)
{
    put(RUN, 0, P1_RUN);
    const int64_t wrong = put(RUN, 1, P1_RUN);
    put(RESEATED, 2, "probe=P1 seat_deg=0");
    const int64_t taken_back = put_void(3, wrong);
    reseat_records *records = open_records();
    assert_record(records, taken_back, -1);
    assert_record(records, taken_back - 1, -1);
    assert_record(records, wrong, taken_back);
    assert_record(records, wrong - 1, -1);
    assert_record(records, 0, -1); /* that of the log itself */
    assert_end(records);
}

/* A line whose seal holds may be no record, and then it is told why. */
static void bad_lines_are_no_records(void **state)
{
    reseat_entry entry;
    put(RUN, 0, P1_RUN);
    put_raw("mill-1", "{\"v\":1,\"seq\":2,\"type\":\"run\",\"recorded_at\":"
                      "\"2026-03-02T06:00:00Z\",\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\","
                      "\"seat_deg\":0,\"offset_x_mm\":0.1,\"offset_y_mm\":\"x\"");
    FILE *file = fopen(logs_path("mill-1"), "ab");
    assert_non_null(file);
    fputs("no record\n", file);
    assert_int_equal(fclose(file), 0);
    reseat_records *records = open_records();
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
    assert_null(entry.record);
    assert_int_equal(entry.line.state, RESEAT_LINE_DAMAGED);
    assert_string_not_equal(entry.line.what, "");
    assert_status(reseat_records_next(records, &entry, NULL), RESEAT_OK);
    assert_null(entry.record);
    assert_int_equal(entry.line.state, RESEAT_LINE_SOUND);
    assert_string_equal(entry.why.key, "offset_y_mm");
    assert_record(records, 1, -1);
    assert_record(records, 0, -1);
    assert_end(records);
}

/* A last line that was cut short is sealed off by the next record, and is no more told of. */
static void what_was_sealed_off_is_passed_over(void **state)
{
    put(RUN, 0, P1_RUN);
    FILE *file = fopen(logs_path("mill-1"), "ab");
    assert_non_null(file);
    fputs("{\"v\":1,\"se", file);
    assert_int_equal(fclose(file), 0);
    const int64_t last = put(RUN, 1, P1_RUN);
    reseat_records *records = open_records();
    assert_record(records, last, -1);
    assert_record(records, last - 1, -1); /* the repair */
    assert_record(records, 1, -1);
    assert_record(records, 0, -1);
    assert_end(records);
}

static void leaves_output_alone_on_failure(void **state)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    reseat_error error;
    assert_status(reseat_records_open(logs_dir, "mill-1", &records, &error),
                  RESEAT_ERR_NOT_FOUND);
    assert_int_equal(error.code, RESEAT_CODE_NO_LOG);
    assert_status(reseat_records_open(logs_dir, "Mill 1", &records, &error), RESEAT_ERR_SYNTAX);
    assert_status(reseat_records_open(NULL, "mill-1", &records, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_records_open(logs_dir, NULL, &records, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_records_open(logs_dir, "mill-1", NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_null(records);
    assert_status(reseat_records_next(NULL, &entry, NULL), RESEAT_ERR_ARGUMENT);
    put(RUN, 0, P1_RUN);
    records = open_records();
    assert_status(reseat_records_next(records, NULL, NULL), RESEAT_ERR_ARGUMENT);
    reseat_records_close(records);
    reseat_records_close(NULL);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(the_newest_come_first_with_what_voids_them),
        in_folder(bad_lines_are_no_records),
        in_folder(what_was_sealed_off_is_passed_over),
        in_folder(leaves_output_alone_on_failure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
