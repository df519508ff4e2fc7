/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "point_locale.h"
#include "random.h"
#include "reseat/values.h"
#include "base/number.h"

#include <float.h>
#include <stdio.h>
#include <stdlib.h>

static const double untouched = 12345.678;

static double parse(const char *text)
{
    double value = untouched;
    reseat_error error;
    if (reseat_number_parse(text, strlen(text), &value, &error) != RESEAT_OK) {
        print_error("%s\n", error.text);
        fail();
    }
    return value;
}

static void assert_refused(const char *text, reseat_status status, size_t column,
                           const char *message)
{
    double value = untouched;
    reseat_error error;
    memset(&error, 0x55, sizeof error);
    assert_status(reseat_number_parse(text, strlen(text), &value, &error), status);
    assert_same_bits(value, untouched);
    assert_string_equal(error.text, message);
    assert_int_equal(error.column, column);
    assert_int_equal(error.line, 0);
    assert_string_equal(error.key, "");
    assert_status(reseat_number_parse(text, strlen(text), &value, NULL), status);
}

static void reads_every_form_of_the_grammar(void **state)
{
    assert_same_bits(parse("0"), 0.0);
    assert_same_bits(parse("-0"), -0.0);
    assert_same_bits(parse("-0.000e7"), -0.0);
    assert_same_bits(parse("0.005"), 0.005);
    assert_same_bits(parse("+.5"), 0.5);
    assert_same_bits(parse("5."), 5.0);
    assert_same_bits(parse("-12.25"), -12.25);
    assert_same_bits(parse("1e3"), 1000.0);
    assert_same_bits(parse("1E+3"), 1000.0);
    assert_same_bits(parse("25e-03"), 0.025);
    assert_same_bits(parse("0e999"), 0.0);
    assert_same_bits(parse("0.1e1"), 1.0);
}

static void rounds_to_the_nearest_double(void **state)
{
    assert_same_bits(parse("0.1"), 0.1);
    assert_same_bits(parse("0.30000000000000004"), 0x1.3333333333334p-2);
    assert_same_bits(parse("9007199254740993"), 9007199254740992.0); /* 2^53 + 1, a tie: to even */
    assert_same_bits(parse("9007199254740993.0000000000000000000000001"), 9007199254740994.0);
    assert_same_bits(parse("1.7976931348623157e308"), DBL_MAX);
    assert_same_bits(parse("1.7976931348623158e308"), DBL_MAX); /* below the half-way point */
    assert_same_bits(parse("2.2250738585072014e-308"), DBL_MIN);
    assert_same_bits(parse("2.2250738585072011e-308"), 0x0.fffffffffffffp-1022);
    assert_same_bits(parse("5e-324"), 0x1p-1074);
    assert_same_bits(parse("2.4703282292062328e-324"), 0x1p-1074); /* just over half of it */
    assert_same_bits(parse("2.4703282292062327e-324"), 0.0);
    assert_same_bits(parse("-1e-999999999999999999999999"), -0.0);
}

/* 1 + 2^-53 lies half-way between two doubles; 52 zeros short of it nothing may be forgotten. */
static void does_not_forget_the_last_of_many_digits(void **state)
{
    static const char tie[] = "1.00000000000000011102230246251565404236316680908203125";
    char text[3000];
    memcpy(text, tie, sizeof tie);
    memset(text + sizeof tie - 1, '0', 2500);
    text[sizeof tie + 2499] = '\0';
    assert_same_bits(parse(text), 1.0);
    text[sizeof tie + 2498] = '1';
    assert_same_bits(parse(text), 1 + DBL_EPSILON);
}

static void reads_numbers_of_any_length(void **state)
{
    enum { LENGTH = 5000 };
    char text[LENGTH + 16];
    memset(text, '0', sizeof text);
    text[1] = '.';
    memcpy(text + LENGTH, "25e4999", 8);
    assert_same_bits(parse(text), 2.5);
    memset(text, '9', LENGTH);
    memcpy(text + LENGTH, "e-4999", 7);
    assert_same_bits(parse(text), 10.0);
}

static void reads_no_further_than_the_length(void **state)
{
    double value = 0;
    assert_status(reseat_number_parse("12.5e3", 4, &value, NULL), RESEAT_OK);
    assert_same_bits(value, 12.5);
    assert_status(reseat_number_parse("1\0", 2, &value, NULL), RESEAT_ERR_SYNTAX);
}

static void says_what_was_expected_and_read(void **state)
{
    const reseat_status syntax = RESEAT_ERR_SYNTAX;
    assert_refused("", syntax, 1, "expected a number, read nothing");
    assert_refused("-", syntax, 2, "expected a number, read \"-\"");
    assert_refused(".", syntax, 2, "expected a number, read \".\"");
    assert_refused("-.", syntax, 3, "expected a number, read \"-.\"");
    assert_refused("ten", syntax, 1, "expected a number, read \"ten\"");
    assert_refused("5mm", syntax, 2, "expected a number, read \"5mm\"");
    assert_refused("1.2.3", syntax, 4, "expected a number, read \"1.2.3\"");
    assert_refused("+-1", syntax, 2, "expected a number, read \"+-1\"");
    assert_refused("e5", syntax, 1, "expected a number, read \"e5\"");
    assert_refused("1e", syntax, 3, "expected a number, read \"1e\"");
    assert_refused("1e+", syntax, 4, "expected a number, read \"1e+\"");
    assert_refused("1e1.5", syntax, 4, "expected a number, read \"1e1.5\"");
    assert_refused("0x1p3", syntax, 2, "expected a number, read \"0x1p3\"");
    assert_refused("1_000", syntax, 2, "expected a number, read \"1_000\"");
}

static void names_the_usual_slips(void **state)
{
    const reseat_status syntax = RESEAT_ERR_SYNTAX;
    assert_refused("3,14", syntax, 2, "expected a number, read \"3,14\" (use a point)");
    assert_refused("1,234.5", syntax, 2, "expected a number, read \"1,234.5\"");
    assert_refused(" 1", syntax, 1, "expected a number, read \" 1\" (no blanks)");
    assert_refused("1 ", syntax, 2, "expected a number, read \"1 \" (no blanks)");
    assert_refused("\xE2\x88\x92" "1", syntax, 1,
                   "expected a number, read \"\xE2\x88\x92" "1\" (type the minus sign as -)");
    assert_refused("\xE2\x88\x92", syntax, 1,
                   "expected a number, read \"\xE2\x88\x92\" (type the minus sign as -)");
    assert_refused("5e\xE2\x88\x92" "3", syntax, 3,
                   "expected a number, read \"5e\xE2\x88\x92" "3\" (type the minus sign as -)");
    assert_refused("003", syntax, 1, "expected a number, read \"003\" (no zero before another "
                                     "digit; write decimals with a point, as in 0.003)");
    assert_refused("-00.5", syntax, 2, "expected a number, read \"-00.5\" (no zero before another "
                                       "digit; write decimals with a point, as in 0.003)");
}

static void refuses_what_is_not_finite(void **state)
{
    assert_refused("nan", RESEAT_ERR_SYNTAX, 1, "expected a finite number, read \"nan\"");
    assert_refused("-Inf", RESEAT_ERR_SYNTAX, 2, "expected a finite number, read \"-Inf\"");
    assert_refused("INFINITY", RESEAT_ERR_SYNTAX, 1, "expected a finite number, read \"INFINITY\"");
    assert_refused("infinite", RESEAT_ERR_SYNTAX, 1, "expected a number, read \"infinite\"");
    assert_refused("in", RESEAT_ERR_SYNTAX, 1, "expected a number, read \"in\"");
    const reseat_status not_finite = RESEAT_ERR_NOT_FINITE;
    assert_refused("1e999", not_finite, 1, "expected a finite number, read \"1e999\"");
    assert_refused("-1e99999999999999999999", not_finite, 1,
                   "expected a finite number, read \"-1e99999999999999999999\"");
    assert_refused("1.7976931348623159e308", not_finite, 1,
                   "expected a finite number, read \"1.7976931348623159e308\"");
}

static void shows_foreign_bytes_harmless_and_short(void **state)
{
    assert_refused("\x1B[2J", RESEAT_ERR_SYNTAX, 1, "expected a number, read \"\\x1B[2J\"");
    char text[5000];
    memset(text, 'x', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    double value = untouched;
    reseat_error error;
    assert_status(reseat_number_parse(text, 4999, &value, &error), RESEAT_ERR_SYNTAX);
    assert_true(strlen(error.text) < 120);
    assert_non_null(strstr(error.text, "xxx...\""));
}

static void a_factor_is_multiplied_before_anything_is_rounded(void **state)
{
    double value = untouched;
    assert_status(number_scaled("3.5", 3, 2, 0, &value, NULL), RESEAT_OK);
    assert_same_bits(value, 7);
    assert_status(number_scaled("999", 3, 254, -1, &value, NULL), RESEAT_OK);
    assert_same_bits(value, 25374.6);
}

static void parse_checks_its_arguments(void **state)
{
    double value = untouched;
    reseat_error error = {.line = 1};
    assert_status(reseat_number_parse(NULL, 0, &value, &error), RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, reseat_status_text(RESEAT_ERR_ARGUMENT));
    assert_status(reseat_number_parse("1", 1, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_same_bits(value, untouched);
}

static void leaves_the_error_alone_on_success(void **state)
{
    double value = 0;
    reseat_error error = {.line = 3, .column = 4, .key = "x_mm", .text = "kept"};
    const reseat_error before = error;
    assert_status(reseat_number_parse("1", 1, &value, &error), RESEAT_OK);
    assert_memory_equal(&error, &before, sizeof error);
}

/* The parser never shows strtod the text itself, so strtod on the text is a peer. */
static void random_texts_read_as_strtod_reads_them(void **state)
{
    uint64_t random = 41;
    for (int i = 0; i < 200000; i++) {
        char text[64];
        const int length = snprintf(text, sizeof text, "%s%llu.%020llue%d",
                                    random_bits(&random) & 1 ? "-" : "",
                                    (unsigned long long)random_bits(&random) >> (i % 64),
                                    (unsigned long long)random_bits(&random),
                                    (int)(random_bits(&random) % 640) - 345);
        assert_true(length > 0 && length < 64);
        double value = untouched;
        const double expected = strtod(text, NULL);
        const reseat_status status = reseat_number_parse(text, (size_t)length, &value, NULL);
        assert_status(status, isfinite(expected) ? RESEAT_OK : RESEAT_ERR_NOT_FINITE);
        assert_same_bits(value, isfinite(expected) ? expected : untouched);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_every_form_of_the_grammar),
        cmocka_unit_test(rounds_to_the_nearest_double),
        cmocka_unit_test(does_not_forget_the_last_of_many_digits),
        cmocka_unit_test(reads_numbers_of_any_length),
        cmocka_unit_test(reads_no_further_than_the_length),
        cmocka_unit_test(says_what_was_expected_and_read),
        cmocka_unit_test(names_the_usual_slips),
        cmocka_unit_test(refuses_what_is_not_finite),
        cmocka_unit_test(shows_foreign_bytes_harmless_and_short),
        cmocka_unit_test(a_factor_is_multiplied_before_anything_is_rounded),
        cmocka_unit_test(parse_checks_its_arguments),
        cmocka_unit_test(leaves_the_error_alone_on_success),
        cmocka_unit_test_setup_teardown(random_texts_read_as_strtod_reads_them, enter_point_locale,
                                        leave_point_locale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
