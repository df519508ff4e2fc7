/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "base/error.h"
#include "reseat/values.h"
#include "base/text.h"

static void fills_every_field(void **state)
{
    reseat_error error;
    memset(&error, 0x55, sizeof error);
    assert_status(error_set(&error, RESEAT_ERR_RANGE, 3, "expected 1 to %d", 9),
                  RESEAT_ERR_RANGE);
    assert_int_equal(error.line, 0);
    assert_int_equal(error.column, 3);
    assert_int_equal(error.code, RESEAT_CODE_NONE);
    assert_string_equal(error.key, "");
    assert_string_equal(error.other_key, "");
    assert_string_equal(error.text, "expected 1 to 9");
    for (size_t i = 0; i < sizeof error.spare; i++)
        assert_int_equal(error.spare[i], 0);
}

static void carries_a_code_and_two_keys(void **state)
{
    reseat_error error;
    char longer[200];
    memset(longer, 'k', sizeof longer - 1);
    longer[sizeof longer - 1] = '\0';
    assert_status(error_at(&error, RESEAT_ERR_SYNTAX, "x", "missing, as %s is there", "y"),
                  RESEAT_ERR_SYNTAX);
    assert_int_equal(error.code, RESEAT_CODE_NONE);
    assert_status(error_code(&error, RESEAT_ERR_SYNTAX, RESEAT_CODE_MISSING_PARTNER, "y"),
                  RESEAT_ERR_SYNTAX);
    assert_int_equal(error.code, RESEAT_CODE_MISSING_PARTNER);
    assert_string_equal(error.key, "x");
    assert_string_equal(error.other_key, "y");
    assert_string_equal(error.text, "missing, as y is there");
    assert_int_equal(error.column, 0);
    assert_status(error_key(&error, RESEAT_OK, "z"), RESEAT_OK);
    assert_string_equal(error.key, "x");
    assert_status(error_key(&error, RESEAT_ERR_IO, longer), RESEAT_ERR_IO);
    assert_int_equal(strlen(error.key), sizeof error.key - 1);
    assert_string_equal(error.other_key, "y");
}

static void nobody_has_to_ask_for_the_error(void **state)
{
    assert_status(error_set(NULL, RESEAT_ERR_IO, 0, "%s", "x"), RESEAT_ERR_IO);
    assert_status(error_plain(NULL, RESEAT_ERR_BUSY), RESEAT_ERR_BUSY);
    assert_status(error_at(NULL, RESEAT_ERR_IO, "x", "y"), RESEAT_ERR_IO);
    assert_status(error_key(NULL, RESEAT_ERR_IO, "x"), RESEAT_ERR_IO);
    assert_status(error_code(NULL, RESEAT_ERR_IO, RESEAT_CODE_NONE, "y"), RESEAT_ERR_IO);
    assert_status(error_read(NULL, 1, "expected a day", "x", 1), RESEAT_ERR_SYNTAX);
}

static void the_usual_ones_take_one_line(void **state)
{
    reseat_error error;
    assert_status(error_read(&error, 2, "expected a day", "x\n", 2), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, "expected a day, read \"x\\x0A\"");
    assert_int_equal(error.column, 2);
    assert_status(error_plain(&error, RESEAT_ERR_BUSY), RESEAT_ERR_BUSY);
    assert_string_equal(error.text, "another writer has the log");
    assert_int_equal(error.column, 0);
}

static void a_long_text_is_cut_at_a_character(void **state)
{
    char name[1000];
    for (size_t i = 0; i + 1 < sizeof name; i += 2)
        memcpy(name + i, "\xC3\xA4", 2);
    name[998] = '\0';
    for (int shift = 0; shift < 2; shift++) {
        reseat_error error;
        assert_status(error_set(&error, RESEAT_ERR_IO, 0, "%s%s", shift ? "x" : "", name),
                      RESEAT_ERR_IO);
        assert_int_equal(strlen(error.text), sizeof error.text - 1 - (shift ? 0 : 1));
        assert_true(text_is_utf8(error.text, strlen(error.text)));
    }
}

static void an_echo_is_quoted_harmless_and_short(void **state)
{
    char text[200];
    memset(text, '7', sizeof text);
    assert_string_equal(error_echo("", 0).text, "nothing");
    assert_string_equal(error_echo("3,14", 4).text, "\"3,14\"");
    assert_string_equal(error_echo("\0\xFF", 2).text, "\"\\x00\\xFF\"");
    assert_int_equal(strlen(error_echo(text, 72).text), 74);
    const error_echoed cut = error_echo(text, 200);
    assert_int_equal(strlen(cut.text), 77);
    assert_string_equal(cut.text + 73, "...\"");
    text[70] = '\x1B';
    assert_string_equal(error_echo(text, 200).text + 69, "77...\"");
}

static void a_text_without_one_whole_character_is_empty(void **state)
{
    char stray[1000];
    reseat_error error;
    memset(stray, 0x80, sizeof stray - 1);
    stray[sizeof stray - 1] = '\0';
    assert_status(error_set(&error, RESEAT_ERR_IO, 0, "%s", stray), RESEAT_ERR_IO);
    assert_string_equal(error.text, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fills_every_field),
        cmocka_unit_test(carries_a_code_and_two_keys),
        cmocka_unit_test(nobody_has_to_ask_for_the_error),
        cmocka_unit_test(the_usual_ones_take_one_line),
        cmocka_unit_test(a_long_text_is_cut_at_a_character),
        cmocka_unit_test(an_echo_is_quoted_harmless_and_short),
        cmocka_unit_test(a_text_without_one_whole_character_is_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
