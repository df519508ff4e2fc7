/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "point_locale.h"
#include "random.h"
#include "reseat/values.h"

#include <float.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include "base/number.h"

static double random_double(uint64_t *state)
{
    double value;
    do {
        const uint64_t bits = random_bits(state);
        memcpy(&value, &bits, sizeof value);
    } while (!isfinite(value));
    return value;
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
    assert_status(number_fixed(value, decimals, text), RESEAT_OK);
    assert_string_equal(text, expected);
}

static void writes_as_few_digits_as_read_back(void **state)
{
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
    char text[RESEAT_NUMBER_SIZE] = "kept";
    assert_status(reseat_number_format(1, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_number_format((double)NAN, text), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_number_format((double)-INFINITY, text), RESEAT_ERR_NOT_FINITE);
    assert_status(number_fixed(1, 2, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(number_fixed((double)NAN, 2, text), RESEAT_ERR_NOT_FINITE);
    assert_status(number_fixed((double)INFINITY, 2, text), RESEAT_ERR_NOT_FINITE);
    assert_status(number_fixed(1, -1, text), RESEAT_ERR_RANGE);
    assert_status(number_fixed(1, 18, text), RESEAT_ERR_RANGE);
    assert_string_equal(text, "kept");
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
    double read = 0;
    assert_status(reseat_number_parse(text, strlen(text), &read, NULL), RESEAT_OK);
    assert_same_bits(read, value);
    assert_same_bits(strtod(text, NULL), value);
    assert_true(count_digits(text) <= fewest_digits(value));
    assert_true(strlen(text) <= 24);
}

static void random_doubles_keep_their_bits(void **state)
{
    const uint64_t seed = 20260302;
    const int rounds = random_rounds(seed, 1000000);
    uint64_t random = seed;
    for (int i = 0; i < rounds; i++)
        check_round_trip(random_double(&random));
    for (int i = 0; i < rounds / 10; i++) {
        const uint64_t bits = random_bits(&random) >> 12; /* subnormal */
        double value;
        memcpy(&value, &bits, sizeof value);
        check_round_trip(value);
        check_round_trip((double)(int64_t)(random_bits(&random) >> 44) / 1e5 - 5); /* as measured */
    }
}

static void fixed_rounds_to_nearest_and_never_writes_minus_zero(void **state)
{
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
    char text[RESEAT_NUMBER_SIZE];
    assert_status(number_fixed(-DBL_MAX, 17, text), RESEAT_OK);
    assert_int_equal(strlen(text), 1 + 309 + 1 + 17);
    double read = 0;
    assert_status(reseat_number_parse(text, strlen(text), &read, NULL), RESEAT_OK);
    assert_same_bits(read, -DBL_MAX);
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
        cmocka_unit_test(writes_as_few_digits_as_read_back),
        cmocka_unit_test(format_checks_its_arguments),
        cmocka_unit_test_setup_teardown(random_doubles_keep_their_bits, enter_point_locale,
                                        leave_point_locale),
        cmocka_unit_test(fixed_rounds_to_nearest_and_never_writes_minus_zero),
        cmocka_unit_test(fixed_has_room_for_any_double),
        cmocka_unit_test(eight_threads_do_not_disturb_one_another),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
