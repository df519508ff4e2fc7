/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "logs.h"
#include "log/file.h"

static void refuses_the_log_of_another_spindle(void **state)
{
    size_t length = 0;
    log_reader *log = NULL;
    reseat_error error;
    char *bytes = logs_take("case-1", &length);
    logs_write("mill-2", bytes, length);
    assert_status(log_open(&file_system_calls, logs_dir, "mill-2", &log, &error),
                  RESEAT_ERR_DAMAGED);
    assert_string_equal(error.text,
                        "this is the log of case-1, not of mill-2: give the file its name back, "
                "or move it out of the folder if it is a copy");
    assert_null(log);
    free(bytes);
}

static void says_what_is_not_there(void **state)
{
    char expected[256];
    log_reader *log = NULL;
    reseat_error error;
    assert_status(log_open(&file_system_calls, logs_dir, "mill-9", &log, &error),
                  RESEAT_ERR_NOT_FOUND);
    snprintf(expected, sizeof expected, "there is no log of mill-9 in \"%s\"", logs_dir);
    assert_string_equal(error.text, expected);
    assert_int_equal(error.code, RESEAT_CODE_NO_LOG);
    assert_status(log_open(&file_system_calls, "/nowhere", "mill-9", &log, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text,
                        "the log folder \"/nowhere\" is not there: make it, or name another");
    assert_int_equal(error.code, RESEAT_CODE_NO_FOLDER);
    assert_status(log_open(&file_system_calls, "/dev/null", "mill-9", &log, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_int_equal(error.code, RESEAT_CODE_NO_FOLDER);
    assert_status(log_open(&file_system_calls, logs_dir, "Mill 9", &log, &error),
                  RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, "a spindle's name is at most 64 characters, a-z 0-9 . _ -, and "
                                    "begins with a-z 0-9, read \"Mill 9\"");
    assert_status(log_open(&file_system_calls, logs_dir, "../mill", &log, &error),
                  RESEAT_ERR_SYNTAX);
    assert_status(log_open(&file_system_calls, NULL, "mill-9", &log, &error), RESEAT_ERR_ARGUMENT);
    assert_status(log_open(&file_system_calls, logs_dir, NULL, &log, &error), RESEAT_ERR_ARGUMENT);
    assert_status(log_open(&file_system_calls, logs_dir, "mill-9", NULL, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_null(log);
}

static void a_folder_or_a_pipe_is_no_log(void **state)
{
    log_reader *log = NULL;
    reseat_error error;
    assert_int_equal(mkdir(logs_path("mill-1"), 0700), 0);
    assert_status(log_open(&file_system_calls, logs_dir, "mill-1", &log, &error), RESEAT_ERR_IO);
    assert_string_equal(error.text, "cannot read the log of mill-1: it is no plain file");
    assert_int_equal(mkfifo(logs_path("mill-2"), 0600), 0);
    assert_status(log_open(&file_system_calls, logs_dir, "mill-2", &log, &error), RESEAT_ERR_IO);
    assert_string_equal(error.text, "cannot read the log of mill-2: it is no plain file");
}

static void names_begin_with_letter_or_digit(void **state)
{
    char name[70];
    assert_true(log_is_name("mill-2"));
    assert_true(log_is_name("2"));
    assert_true(log_is_name("hmc.1_a-b"));
    assert_false(log_is_name(""));
    assert_false(log_is_name(NULL));
    assert_false(log_is_name(".mill"));
    assert_false(log_is_name("-mill"));
    assert_false(log_is_name("Mill"));
    assert_false(log_is_name("a/b"));
    assert_false(log_is_name("m\xC3\xBCll"));
    assert_false(log_is_name("mill."));
    assert_false(log_is_name("gauges"));
    assert_true(log_is_name("gauges-2"));
    assert_false(log_is_name("con"));
    assert_false(log_is_name("nul.a.b"));
    assert_false(log_is_name("com0"));
    assert_false(log_is_name("lpt9.x"));
    assert_true(log_is_name("com10"));
    assert_true(log_is_name("coma"));
    assert_true(log_is_name("a.con"));
    memset(name, 'a', sizeof name);
    name[64] = '\0';
    assert_true(log_is_name(name));
    name[64] = 'a';
    name[65] = '\0';
    assert_false(log_is_name(name));
}

static void lists_logs_sorted(void **state)
{
    reseat_log_names names = {.count = 77};
    reseat_error error;
    assert_status(reseat_log_list(logs_dir, &names, &error), RESEAT_OK);
    assert_int_equal(names.count, 0);
    for (int i = 20; i > 0; i--) {
        char name[16];
        snprintf(name, sizeof name, "mill-%02d", i);
        logs_write(name, "", 0);
    }
    logs_write("Upper", "", 0);
    logs_write(".hidden", "", 0);
    logs_write("gauges", "", 0);
    logs_write("con", "", 0);
    assert_status(reseat_log_list(logs_dir, &names, &error), RESEAT_OK);
    assert_int_equal(names.count, 20);
    assert_int_equal(names.alike_count, 2);
    assert_string_equal(names.alike[0], "Upper.jsonl");
    assert_string_equal(names.alike[1], "con.jsonl");
    assert_string_equal(names.names[0], "mill-01");
    assert_string_equal(names.names[19], "mill-20");
    reseat_log_names_free(&names);
    assert_null(names.names);
    assert_status(reseat_log_list("/nowhere", &names, &error), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_log_list(NULL, &names, &error), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_log_list(logs_dir, NULL, &error), RESEAT_ERR_ARGUMENT);
    assert_int_equal(names.count, 0);
    reseat_log_names_free(NULL);
}

static void leaves_output_alone_on_failure(void **state)
{
    reseat_log_line line = {RESEAT_LINE_TORN, "x", 1, 2, 3, "y"};
    assert_status(log_next(NULL, &line, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(log_previous(NULL, &line, NULL), RESEAT_ERR_ARGUMENT);
    assert_int_equal(line.state, RESEAT_LINE_TORN);
    log_close(NULL);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(refuses_the_log_of_another_spindle),
        in_folder(says_what_is_not_there),
        in_folder(a_folder_or_a_pipe_is_no_log),
        in_folder(names_begin_with_letter_or_digit),
        in_folder(lists_logs_sorted),
        in_folder(leaves_output_alone_on_failure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
