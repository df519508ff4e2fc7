/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Many probes of a folder's logs, each log read once; the tips and the only probe of a log. */
#include <errno.h>
#include "states.h"

#define P2_RUN "probe=P2 seat_deg=0" XY

static reseat_state_request asked_of(reseat_folder *folder, const char *spindle)
{
    reseat_state_request request = asked_on(300);
    request.spindle = spindle;
    request.folder = folder;
    return request;
}

/* Two logs with three tips each; P1 is used in both, and P2 is measured again and again. */
static void make_logs(void)
{
    put(POLICY, 0, "limit_mm=0.005");
    put_late("hmc-1", 0, RUN, 0, "probe=P3 seat_deg=0" XY);
    put_late("hmc-1", 1, RUN, 1, "probe=P1 tip=left seat_deg=0" XY);
    put(RUN, 2, P1_RUN);
    put(RUN, 2, "probe=P2 tip=left seat_deg=0" XY);
    for (int i = 3; i < 120; i++)
        put(RUN, i, P2_RUN);
    put(EVENT, 120, "kind=collision");
    put_late("hmc-1", 121, RUN, 121, P1_RUN);
}

static void a_folder_gives_the_states_that_its_logs_give_one_by_one(void **state)
{
    static const struct {
        const char *spindle, *probe, *tip;
    } rows[] = {{"mill-1", "P1", NULL}, {"hmc-1", "P1", "left"}, {"mill-1", "P2", "main"},
                {"hmc-1", "P3", NULL}, {"mill-1", "P2", "left"}, {"hmc-1", "P1", NULL},
                {"mill-1", "P1", "main"}, {"mill-1", "P1", NULL}};
    make_logs();
    for (int whole = 0; whole < 2; whole++) {
        reseat_folder *folder = NULL;
        assert_status(reseat_folder_open(logs_dir, &folder), RESEAT_OK);
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            reseat_state_request request = asked_of(folder, rows[i].spindle);
            request.probe = rows[i].probe;
            request.tip = rows[i].tip;
            request.whole = whole == 1;
            request.as_of = day(i % 3 == 0 ? 300 : 50); /* another time, another reading */
            reseat_state shared = stand(&request);
            request.folder = NULL;
            reseat_state alone = stand(&request);
            check_same(&shared, &alone);
            reseat_state_free(&alone);
            reseat_state_free(&shared);
        }
        reseat_folder_close(folder);
    }
}

static int opened, reads_left;

static file_fault counting_open(const char *path, file_use use, file_handle *file)
{
    opened += strstr(path, ".jsonl") != NULL;
    return file_system_calls.open(path, use, file);
}

static file_fault failing_read(file_handle file, void *bytes, size_t count, uint64_t offset,
                               size_t *got)
{
    return reads_left-- > 0 ? file_system_calls.read(file, bytes, count, offset, got)
                            : FILE_BROKEN;
}

static void each_log_is_opened_once(void **state)
{
    static const char *const spindles[] = {"hmc-1", "mill-1"};
    file_calls calls = logs_calls();
    reseat_folder *folder = NULL;
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    size_t states = 0;
    make_logs();
    put_late("tc-1", 0, RUN, 0, "probe=P9 seat_deg=0" XY);
    calls.open = counting_open;
    opened = 0;
    assert_status(folder_open(&calls, logs_dir, &folder), RESEAT_OK);
    for (int i = 0; i < 2; i++) {
        reseat_state_request request = asked_of(folder, spindles[i]);
        const reseat_tip *tips;
        size_t count = 0;
        request.whole = true;
        assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
        for (size_t k = 0; k < count; k++) {
            request.probe = tips[k].probe;
            request.tip = tips[k].tip;
            reseat_state s = stand(&request);
            reseat_outlook outlook;
            reseat_suspect suspect;
            reseat_state_question asked;
            const reseat_state_typed typed = {.limit_mm = 1};
            assert_status(reseat_outlook_find(&request, &s, &outlook, NULL), RESEAT_OK);
            assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_OK);
            assert_status(reseat_suspect_read(&request, &s, &asked, &suspect, NULL), RESEAT_OK);
            reseat_outlook_free(&outlook);
            reseat_suspect_free(&suspect);
            reseat_state_free(&s);
            states++;
        }
    }
    assert_int_equal(states, 6);
    reseat_state_request request = asked_of(folder, "tc-1"); /* which was looked into */
    request.whole = true;
    assert_status(reseat_state_probe(&request, probe, NULL), RESEAT_OK);
    assert_string_equal(probe, "P9");
    assert_int_equal(opened, 3);
    reseat_folder_close(folder);
}

static void tips_may_be_narrowed(void **state)
{
    const reseat_tip *tips;
    size_t count = 0;
    reseat_folder *folder = NULL;
    make_logs();
    assert_status(reseat_folder_open(logs_dir, &folder), RESEAT_OK);
    reseat_state_request request = asked_of(folder, "mill-1");
    request.probe = "P2";
    assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
    assert_int_equal(count, 2);
    assert_string_equal(tips[0].tip, "left");
    assert_string_equal(tips[1].tip, "main");
    request.tip = "main";
    assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
    assert_int_equal(count, 1);
    request.probe = NULL;
    assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
    assert_int_equal(count, 2);
    assert_string_equal(tips[0].probe, "P1");
    assert_string_equal(tips[1].probe, "P2");
    request.probe = "P9";
    assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
    assert_int_equal(count, 0);
    request.probe = NULL;
    request.as_of = day(-1);
    assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
    assert_int_equal(count, 0);
    reseat_folder_close(folder);
}

/* Listing must fail so and leave the outputs alone. */
static void refuse_tips(const reseat_state_request *request, reseat_status status)
{
    static const reseat_tip tip;
    const reseat_tip *tips = &tip;
    size_t count = 7;
    reseat_error error = {0};
    assert_status(reseat_folder_tips(request, &tips, &count, &error), status);
    assert_true(error.text[0] != '\0');
    assert_status(reseat_folder_tips(request, &tips, &count, NULL), status);
    assert_ptr_equal(tips, &tip);
    assert_int_equal(count, 7);
}

static void what_cannot_be_listed_is_refused(void **state)
{
    const reseat_tip *tips;
    size_t count;
    reseat_folder *folder = NULL;
    make_logs();
    assert_status(reseat_folder_open(logs_dir, &folder), RESEAT_OK);
    reseat_state_request request = asked_of(folder, "mill-1");
    refuse_tips(NULL, RESEAT_ERR_ARGUMENT);
    assert_status(reseat_folder_tips(&request, NULL, &count, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_folder_tips(&request, &tips, NULL, NULL), RESEAT_ERR_ARGUMENT);
    request.spindle = NULL;
    refuse_tips(&request, RESEAT_ERR_ARGUMENT);
    request.spindle = "..";
    refuse_tips(&request, RESEAT_ERR_SYNTAX);
    request.spindle = "mill-9";
    refuse_tips(&request, RESEAT_ERR_NOT_FOUND);
    logs_damage("mill-1", 4);
    request.spindle = "mill-1";
    refuse_tips(&request, RESEAT_ERR_DAMAGED);
    request.despite_damage = true;
    assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
    assert_int_equal(count, 2); /* the line was the only run of a tip */
    request.folder = NULL;
    refuse_tips(&request, RESEAT_ERR_ARGUMENT);
    reseat_folder_close(folder);
}

static void a_folder_must_have_a_name(void **state)
{
    reseat_folder *folder = NULL;
    assert_status(reseat_folder_open(NULL, &folder), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_folder_open(logs_dir, NULL), RESEAT_ERR_ARGUMENT);
    assert_null(folder);
    reseat_folder_close(NULL);
    assert_status(reseat_folder_open("/nowhere", &folder), RESEAT_OK);
    const reseat_state_request request = asked_of(folder, "mill-1");
    refuse(&request, RESEAT_ERR_ARGUMENT, "/nowhere\" is not there");
    refuse_tips(&request, RESEAT_ERR_ARGUMENT);
    reseat_folder_close(folder);
}

/* There must be no only probe for this reason; the output is left alone. */
static void refuse_probe(const reseat_state_request *request, reseat_status status,
                         const char *text)
{
    char probe[RESEAT_RECORD_NAME_MAX + 1] = "as it was";
    reseat_error error = {0};
    assert_status(reseat_state_probe(request, probe, &error), status);
    assert_non_null(strstr(error.text, text));
    assert_status(reseat_state_probe(request, probe, NULL), status);
    assert_string_equal(probe, "as it was");
}

/* Each read of both logs fails in turn: that is an error of the disk, and nothing is kept of it. */
static void every_read_of_a_folder_may_fail(void **state)
{
    file_calls calls = logs_calls();
    make_logs();
    calls.read = failing_read;
    int fails = 0;
    for (reseat_status status = RESEAT_ERR_IO; status != RESEAT_OK; fails++) {
        reseat_folder *folder = NULL;
        reseat_state s;
        reseat_error error = {0};
        assert_status(folder_open(&calls, logs_dir, &folder), RESEAT_OK);
        reseat_state_request request = asked_of(folder, "mill-1");
        request.probe = "P1";
        reads_left = fails;
        status = reseat_state_read(&request, &s, &error);
        if (status == RESEAT_OK) {
            reseat_state_free(&s);
        } else {
            assert_status(status, RESEAT_ERR_IO);
            assert_non_null(strstr(error.text, "the disk reports an error"));
            reads_left = fails > 0 ? 1 : 0;
            refuse_tips(&request, RESEAT_ERR_IO);
            refuse_probe(&request, RESEAT_ERR_IO, "the disk reports an error");
            reads_left = 1000;
            s = stand(&request); /* what failed has left nothing behind */
            reseat_state_free(&s);
        }
        reseat_folder_close(folder);
        assert_true(fails < 40);
    }
    assert_true(fails > 4);
}

static void check_probe(const reseat_state_request *request, const char *expected)
{
    char probe[RESEAT_RECORD_NAME_MAX + 1] = "";
    assert_status(reseat_state_probe(request, probe, NULL), RESEAT_OK);
    assert_string_equal(probe, expected);
}

static void the_only_probe_with_runs_is_told(void **state)
{
    reseat_state_request request = asked_on(300);
    const int64_t void_one = put(RUN, 0, P2_RUN);
    put_void(0, void_one);
    put(RUN, 1, P1_RUN);
    put(RUN, 1, "probe=P1 tip=left seat_deg=0" XY);
    put(RESEATED, 2, "probe=P3 seat_deg=0");
    check_probe(&request, "P1");
    request.probe = "P9"; /* not read */
    check_probe(&request, "P1");
    request.whole = true;
    check_probe(&request, "P1");
    put(RUN, 400, P2_RUN); /* of a later time */
    check_probe(&request, "P1");
}

static void where_there_is_no_only_probe_that_is_said(void **state)
{
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    reseat_state_request request = asked_on(300);
    refuse_probe(NULL, RESEAT_ERR_ARGUMENT, "a required argument is missing");
    assert_status(reseat_state_probe(&request, NULL, NULL), RESEAT_ERR_ARGUMENT);
    refuse_probe(&request, RESEAT_ERR_NOT_FOUND, "there is no log of mill-1");
    put(EVENT, 0, "kind=other");
    request.probe = "P9"; /* not read */
    refuse_probe(&request, RESEAT_ERR_NOT_FOUND, "no run is on record for mill-1 by that time");
    put(RUN, 0, P1_RUN);
    assert_status(reseat_state_probe(&request, probe, NULL), RESEAT_OK);
    put(RUN, 0, P2_RUN);
    refuse_probe(&request, RESEAT_ERR_REFUSED, "say which probe with --probe, as several have "
                                               "runs: P1, P2");
    request.spindle = "..";
    refuse_probe(&request, RESEAT_ERR_SYNTAX, "a spindle's name");
    request.spindle = NULL;
    refuse_probe(&request, RESEAT_ERR_ARGUMENT, "a required argument is missing");
    request.spindle = "mill-1";
    request.dir = NULL;
    refuse_probe(&request, RESEAT_ERR_ARGUMENT, "a required argument is missing");
}

/* Line 3 is the only run of P2: damaged it names P2 at a glance, and none where seals are read. */
static void a_bad_line_may_leave_open_which_probe_is_the_only_one(void **state)
{
    reseat_state_request request = asked_on(300);
    size_t length = 0;
    put(RUN, 0, P1_RUN);
    put(RUN, 0, P2_RUN);
    char *bytes = logs_read("mill-1", &length);
    char *digit = strstr(bytes + logs_line(bytes, 3), "0.004");
    assert_non_null(digit);
    digit[4] = '5';
    logs_write("mill-1", bytes, length);
    free(bytes);
    refuse_probe(&request, RESEAT_ERR_DAMAGED, "line 3 of the log of mill-1 is damaged");
    refuse(&request, RESEAT_ERR_DAMAGED, "line 3 of the log of mill-1 is damaged");
    request.despite_damage = true;
    check_probe(&request, "P1");
    reseat_state s = stand(&request);
    assert_string_equal(s.probe, "P1");
    assert_int_equal(s.bad_lines, 1);
    reseat_state_free(&s);
}

/* The log beside was read whole, for its own probes, before a probe of this one was asked for. */
static void old_bad_lines_of_a_log_read_whole_do_not_count_for_a_probe_of_another(void **state)
{
    for (int late = 0; late < 2; late++) {
        reseat_folder *folder = NULL;
        const reseat_tip *tips;
        size_t count = 0;
        put(RUN, 100, P1_RUN);
        put_late("hmc-1", 0, EVENT, 0, "kind=service probe=P1"); /* it has been there at all */
        for (int i = 1; i < 5; i++)
            put_late("hmc-1", i, RUN, i, P2_RUN);
        put_late("hmc-1", late ? 101 : 5, RUN, late ? 101 : 5, P2_RUN);
        put_late("hmc-1", late ? 102 : 6, RUN, late ? 102 : 6, P2_RUN);
        logs_damage("hmc-1", late ? 7 : 3);
        assert_status(reseat_folder_open(logs_dir, &folder), RESEAT_OK);
        reseat_state_request request = asked_of(folder, "hmc-1");
        request.despite_damage = true;
        assert_status(reseat_folder_tips(&request, &tips, &count, NULL), RESEAT_OK);
        request = asked_of(folder, "mill-1");
        if (late) {
            refuse(&request, RESEAT_ERR_DAMAGED, "so whether P1 was used there is not known");
        } else {
            reseat_state s = stand(&request);
            assert_int_equal(s.bad_lines, 0);
            reseat_state_free(&s);
        }
        reseat_folder_close(folder);
        assert_int_equal(remove(logs_path("hmc-1")), 0);
    }
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(a_folder_gives_the_states_that_its_logs_give_one_by_one),
        in_folder(each_log_is_opened_once),
        in_folder(tips_may_be_narrowed),
        in_folder(what_cannot_be_listed_is_refused),
        in_folder(a_folder_must_have_a_name),
        in_folder(every_read_of_a_folder_may_fail),
        in_folder(the_only_probe_with_runs_is_told),
        in_folder(where_there_is_no_only_probe_that_is_said),
        in_folder(a_bad_line_may_leave_open_which_probe_is_the_only_one),
        in_folder(old_bad_lines_of_a_log_read_whole_do_not_count_for_a_probe_of_another),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
