/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "logs.h"
#include "reseat/history.h"

/* Gathers all of case-1; the runs there were. */
static reseat_status gather(bool despite_damage, size_t *runs, uint64_t *bad_lines,
                            reseat_error *error)
{
    reseat_log *log = NULL;
    reseat_gather *all = NULL;
    reseat_drift_input input = {0};
    assert_status(reseat_log_open(logs_dir, "case-1", &log, NULL), RESEAT_OK);
    assert_status(reseat_gather_new(NULL, NULL, INT64_MAX, &all), RESEAT_OK);
    const reseat_status status = reseat_gather_log(all, log, despite_damage, bad_lines, error);
    if (status == RESEAT_OK) {
        assert_status(reseat_gather_get(all, 0, NULL, NULL, &input), RESEAT_OK);
        *runs = input.run_count;
    }
    reseat_gather_free(all);
    reseat_log_close(log);
    return status;
}

static void a_whole_log_is_gathered(void **state)
{
    size_t length = 0;
    size_t runs = 0;
    uint64_t bad_lines = 7;
    free(logs_take("case-1", &length));
    assert_status(gather(false, &runs, &bad_lines, NULL), RESEAT_OK);
    assert_int_equal(runs, 9);
    assert_int_equal(bad_lines, 0);
}

/* One changed digit in the line of run 5, which stands in line 6, breaks that line's seal alone. */
static void a_bad_line_stops_it_unless_it_is_to_be_passed_over(void **state)
{
    size_t length = 0;
    size_t runs = 0;
    uint64_t bad_lines = 7;
    reseat_error error;
    char *bytes = logs_take("case-1", &length);
    char *digit = strstr(bytes + logs_line(bytes, 6), "0.00967");
    assert_non_null(digit);
    digit[6] = '8';
    logs_write("case-1", bytes, length);
    assert_status(gather(false, &runs, &bad_lines, &error), RESEAT_ERR_DAMAGED);
    assert_non_null(strstr(error.text, "line 6 of the log of case-1 is damaged"));
    assert_int_equal(bad_lines, 7);
    assert_status(gather(true, &runs, &bad_lines, &error), RESEAT_OK);
    assert_int_equal(runs, 8);
    assert_int_equal(bad_lines, 1);
    free(bytes);
}

static void a_last_line_cut_short_is_a_bad_line(void **state)
{
    size_t length = 0;
    size_t runs = 0;
    uint64_t bad_lines = 0;
    reseat_error error;
    char *bytes = logs_take("case-1", &length);
    logs_write("case-1", bytes, length - 20);
    assert_status(gather(false, &runs, &bad_lines, &error), RESEAT_ERR_DAMAGED);
    assert_non_null(strstr(error.text, "was cut short"));
    assert_status(gather(true, &runs, &bad_lines, &error), RESEAT_OK);
    assert_int_equal(runs, 8);
    assert_int_equal(bad_lines, 1);
    free(bytes);
}

static void gathering_refuses_no_log(void **state)
{
    reseat_gather *all = NULL;
    assert_status(reseat_gather_new(NULL, NULL, INT64_MAX, &all), RESEAT_OK);
    assert_status(reseat_gather_log(all, NULL, false, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gather_log(NULL, NULL, false, NULL, NULL), RESEAT_ERR_ARGUMENT);
    reseat_gather_free(all);
    const reseat_drift_run none = reseat_gather_run(NULL);
    assert_int_equal(none.seq, 0);
    assert_false(none.seat_known);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(a_whole_log_is_gathered),
        in_folder(a_bad_line_stops_it_unless_it_is_to_be_passed_over),
        in_folder(a_last_line_cut_short_is_a_bad_line),
        in_folder(gathering_refuses_no_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
