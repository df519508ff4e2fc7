/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/number.h"

#include <float.h>
#include <locale.h>
#include <pthread.h>
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

static void assert_written(double value, const char *expected)
{
    char text[RESEAT_NUMBER_SIZE];
    assert_status(reseat_number_format(value, text), RESEAT_OK);
    assert_string_equal(text, expected);
}

static void assert_fixed(double value, int decimals, const char *expected)
{
    char text[RESEAT_NUMBER_SIZE];
    assert_status(reseat_number_fixed(value, decimals, text), RESEAT_OK);
    assert_string_equal(text, expected);
}

/* Deterministic random bits (the 64-bit xorshift of Marsaglia, 2003). */
static uint64_t next_random(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

static double random_double(uint64_t *state)
{
    double value;
    do {
        const uint64_t bits = next_random(state);
        memcpy(&value, &bits, sizeof value);
    } while (!isfinite(value));
    return value;
}

static void reads_every_form_of_the_grammar(void **state)
{
    (void)state;
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
    (void)state;
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
    (void)state;
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
    (void)state;
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
    (void)state;
    double value = 0;
    assert_status(reseat_number_parse("12.5e3", 4, &value, NULL), RESEAT_OK);
    assert_same_bits(value, 12.5);
    assert_status(reseat_number_parse("1\0", 2, &value, NULL), RESEAT_ERR_SYNTAX);
}

static void says_what_was_expected_and_read(void **state)
{
    (void)state;
    const reseat_status syntax = RESEAT_ERR_SYNTAX;
    assert_refused("", syntax, 1, "expected a number, read nothing");
    assert_refused("-", syntax, 2, "expected a number, read \"-\"");
    assert_refused(".", syntax, 2, "expected a number, read \".\"");
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
    (void)state;
    const reseat_status syntax = RESEAT_ERR_SYNTAX;
    assert_refused("3,14", syntax, 2, "expected a number, read \"3,14\" (use a point)");
    assert_refused("1,234.5", syntax, 2, "expected a number, read \"1,234.5\"");
    assert_refused(" 1", syntax, 1, "expected a number, read \" 1\" (no blanks)");
    assert_refused("1 ", syntax, 2, "expected a number, read \"1 \" (no blanks)");
    assert_refused("\xE2\x88\x92" "1", syntax, 1,
                   "expected a number, read \"\xE2\x88\x92" "1\" (type the minus sign as -)");
    assert_refused("003", syntax, 1, "expected a number, read \"003\" (no zero before another "
                                     "digit; write decimals with a point, as in 0.003)");
    assert_refused("-00.5", syntax, 2, "expected a number, read \"-00.5\" (no zero before another "
                                       "digit; write decimals with a point, as in 0.003)");
}

static void refuses_what_is_not_finite(void **state)
{
    (void)state;
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
    (void)state;
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

static void parse_checks_its_arguments(void **state)
{
    (void)state;
    double value = untouched;
    reseat_error error = {.line = 1};
    assert_status(reseat_number_parse(NULL, 0, &value, &error), RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, reseat_status_text(RESEAT_ERR_ARGUMENT));
    assert_status(reseat_number_parse("1", 1, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_same_bits(value, untouched);
}

static void leaves_the_error_alone_on_success(void **state)
{
    (void)state;
    double value = 0;
    reseat_error error = {.line = 3, .column = 4, .key = "x_mm", .text = "kept"};
    const reseat_error before = error;
    assert_status(reseat_number_parse("1", 1, &value, &error), RESEAT_OK);
    assert_memory_equal(&error, &before, sizeof error);
}

static void writes_as_few_digits_as_read_back(void **state)
{
    (void)state;
    assert_written(0.0, "0");
    assert_written(-0.0, "-0");
    assert_written(0.1, "0.1");
    assert_written(0.1 + 0.2, "0.30000000000000004");
    assert_written(1e-9, "1e-9");
    assert_written(-0.00123, "-0.00123");
    assert_written(0.0001, "0.0001");
    assert_written(0.00001, "1e-5");
    assert_written(1.5e-7, "1.5e-7");
    assert_written(41, "41");
    assert_written(100000, "100000");
    assert_written(123456.75, "123456.75");
    assert_written(1e14, "100000000000000");
    assert_written(1e15, "1e15");
    assert_written(9007199254740992.0, "9007199254740992"); /* 16 digits */
    assert_written(1.0 / 3, "0.3333333333333333");
    assert_written(DBL_MAX, "1.7976931348623157e308");
    assert_written(-DBL_MIN, "-2.2250738585072014e-308");
    assert_written(0x1p-1074, "4.94065645841247e-324");
}

static void format_checks_its_arguments(void **state)
{
    (void)state;
    char text[RESEAT_NUMBER_SIZE] = "kept";
    assert_status(reseat_number_format(1, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_number_format((double)NAN, text), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_number_format((double)-INFINITY, text), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_number_fixed(1, 2, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_number_fixed((double)NAN, 2, text), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_number_fixed((double)INFINITY, 2, text), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_number_fixed(1, -1, text), RESEAT_ERR_RANGE);
    assert_status(reseat_number_fixed(1, 18, text), RESEAT_ERR_RANGE);
    assert_string_equal(text, "kept");
}

/* For tests that ask strtod and printf: these read and write a point under the locale "C" alone. */
static int enter_point_locale(void **state)
{
    *state = strdup(setlocale(LC_NUMERIC, NULL));
    return *state != NULL && setlocale(LC_NUMERIC, "C") != NULL ? 0 : -1;
}

static int leave_point_locale(void **state)
{
    const char *left = setlocale(LC_NUMERIC, *state);
    free(*state);
    return left != NULL ? 0 : -1;
}

static size_t fewest_digits(double value)
{
    char text[64];
    for (int digits = 15; digits < 17; digits++) {
        snprintf(text, sizeof text, "%.*e", digits - 1, value);
        const double read = strtod(text, NULL);
        if (memcmp(&read, &value, sizeof read) == 0)
            return (size_t)digits;
    }
    return 17;
}

static size_t count_digits(const char *text)
{
    size_t count = 0;
    for (const char *at = text + strspn(text, "-0."); *at != '\0' && *at != 'e'; at++)
        count += *at != '.' ? 1 : 0;
    return count;
}

static void check_round_trip(double value)
{
    char text[RESEAT_NUMBER_SIZE];
    assert_status(reseat_number_format(value, text), RESEAT_OK);
    assert_same_bits(parse(text), value);
    assert_same_bits(strtod(text, NULL), value);
    assert_true(count_digits(text) <= fewest_digits(value));
    assert_true(strlen(text) <= 24);
}

static void a_million_doubles_keep_their_bits(void **state)
{
    (void)state;
    const uint64_t seed = 20260302;
    print_message("seed %llu\n", (unsigned long long)seed);
    uint64_t random = seed;
    for (int i = 0; i < 1000000; i++)
        check_round_trip(random_double(&random));
    for (int i = 0; i < 100000; i++) {
        const uint64_t bits = next_random(&random) >> 12; /* subnormal */
        double value;
        memcpy(&value, &bits, sizeof value);
        check_round_trip(value);
        check_round_trip((double)(int64_t)(next_random(&random) >> 44) / 1e5 - 5); /* as measured */
    }
}

/* The parser never shows strtod the text itself, so strtod on the text is a peer. */
static void random_texts_read_as_strtod_reads_them(void **state)
{
    (void)state;
    uint64_t random = 41;
    for (int i = 0; i < 200000; i++) {
        char text[64];
        const int length = snprintf(text, sizeof text, "%s%llu.%020llue%d",
                                    next_random(&random) & 1 ? "-" : "",
                                    (unsigned long long)next_random(&random) >> (i % 64),
                                    (unsigned long long)next_random(&random),
                                    (int)(next_random(&random) % 640) - 345);
        assert_true(length > 0 && length < 64);
        double value = untouched;
        const double expected = strtod(text, NULL);
        const reseat_status status = reseat_number_parse(text, (size_t)length, &value, NULL);
        assert_status(status, isfinite(expected) ? RESEAT_OK : RESEAT_ERR_NOT_FINITE);
        assert_same_bits(value, isfinite(expected) ? expected : untouched);
    }
}

static void fixed_rounds_to_nearest_and_never_writes_minus_zero(void **state)
{
    (void)state;
    assert_fixed(0.0049, 4, "0.0049");
    assert_fixed(-0.00826, 4, "-0.0083");
    assert_fixed(0.125, 2, "0.12"); /* a tie: to even */
    assert_fixed(2.5, 0, "2");
    assert_fixed(-0.00004, 4, "0.0000");
    assert_fixed(-0.0, 1, "0.0");
    assert_fixed(-0.4, 0, "0");
    assert_fixed(-0.6, 0, "-1");
    assert_fixed(-10.0, 0, "-10");
    assert_fixed(-100.0, 2, "-100.00");
    assert_fixed(0.1, 17, "0.10000000000000001");
    assert_fixed(1e22, 1, "10000000000000000000000.0");
}

static void fixed_has_room_for_any_double(void **state)
{
    (void)state;
    char text[RESEAT_NUMBER_SIZE];
    assert_status(reseat_number_fixed(-DBL_MAX, 17, text), RESEAT_OK);
    assert_int_equal(strlen(text), 1 + 309 + 1 + 17);
    assert_same_bits(parse(text), -DBL_MAX);
}

/* Returns how many of its numbers came back changed. */
static void *read_and_write(void *seed)
{
    uintptr_t changed = 0;
    uint64_t random = *(const uint64_t *)seed;
    for (int i = 0; i < 20000; i++) {
        const double value = random_double(&random);
        char text[RESEAT_NUMBER_SIZE];
        double read = 0;
        if (reseat_number_format(value, text) != RESEAT_OK ||
            reseat_number_parse(text, strlen(text), &read, NULL) != RESEAT_OK ||
            memcmp(&read, &value, sizeof read) != 0)
            changed++;
    }
    return (void *)changed;
}

static void eight_threads_do_not_disturb_one_another(void **state)
{
    (void)state;
    pthread_t threads[8];
    uint64_t seeds[8];
    for (size_t i = 0; i < 8; i++) {
        seeds[i] = 1000 + i;
        assert_int_equal(pthread_create(&threads[i], NULL, read_and_write, &seeds[i]), 0);
    }
    for (size_t i = 0; i < 8; i++) {
        void *changed;
        assert_int_equal(pthread_join(threads[i], &changed), 0);
        assert_null(changed);
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
        cmocka_unit_test(parse_checks_its_arguments),
        cmocka_unit_test(leaves_the_error_alone_on_success),
        cmocka_unit_test(writes_as_few_digits_as_read_back),
        cmocka_unit_test(format_checks_its_arguments),
        cmocka_unit_test_setup_teardown(a_million_doubles_keep_their_bits, enter_point_locale,
                                        leave_point_locale),
        cmocka_unit_test_setup_teardown(random_texts_read_as_strtod_reads_them, enter_point_locale,
                                        leave_point_locale),
        cmocka_unit_test(fixed_rounds_to_nearest_and_never_writes_minus_zero),
        cmocka_unit_test(fixed_has_room_for_any_double),
        cmocka_unit_test(eight_threads_do_not_disturb_one_another),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
