/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Values as sentences show them. */

#include "check.h"
#include "base/words.h"

static void assert_number(double value, int decimals, const char *expected)
{
    assert_string_equal(reseat_words_number(value, decimals).text, expected);
}

static void a_number_has_the_digits_asked_for(void **state)
{
    assert_number(3.14159, 2, "3.14");
    assert_number(-0.00001, 4, "0.0000");
    assert_number(12, 0, "12");
    assert_number(123456789012345, 4, "123456789012345.0000");
    assert_number(1e15, 4, "1e15"); /* of 21 characters */
    assert_number((double)NAN, 2, "out of range");
    assert_number((double)INFINITY, 2, "out of range");
    assert_number(1, 18, "out of range");
}

static void a_length_has_the_digits_of_its_unit_and_more(void **state)
{
    assert_string_equal(reseat_words_length(0.0083, RESEAT_MM, 0).text, "0.0083");
    assert_string_equal(reseat_words_length(0.0083, RESEAT_UM, 0).text, "8.3");
    assert_string_equal(reseat_words_length(25.4, RESEAT_INCH, 0).text, "1.000000");
    assert_string_equal(reseat_words_length(0.0083, RESEAT_MM, 2).text, "0.008300");
    assert_string_equal(words_signed(0, RESEAT_MM).text, "+0.0000");
    assert_string_equal(words_signed(-0.5, RESEAT_UM).text, "-500.0");
    assert_string_equal(words_pair((reseat_xy){0.012, -0.005}, RESEAT_MM).text,
                        "X +0.0120 Y -0.0050");
}

/* What would look alike gets as many digits as tell it apart. */
static void an_error_is_told_from_its_limit(void **state)
{
    assert_int_equal(reseat_words_more_digits(0.0083, 0.005, RESEAT_MM), 0);
    assert_int_equal(reseat_words_more_digits(0.005001, 0.005, RESEAT_MM), 2);
    assert_int_equal(reseat_words_more_digits(0.005001, 0.005, RESEAT_UM), 2);
    assert_int_equal(reseat_words_more_digits(1, 0.0001, RESEAT_MM), 1); /* two figures of it */
    assert_int_equal(reseat_words_more_digits(0.005, 0.005, RESEAT_MM), 0);
}

static void assert_value(reseat_words_kind kind, double value, const char *expected)
{
    assert_string_equal(reseat_words_value(value, kind).text, expected);
}

/* A chance that is shown is never larger than it is. */
static void chances_are_rounded_down(void **state)
{
    assert_value(RESEAT_WORDS_CHANCE, 0.94999, "94.9 %");
    assert_value(RESEAT_WORDS_CHANCE, 0, "0.0 %");
    assert_value(RESEAT_WORDS_CHANCE, 0.99949, "99.9 %");
    assert_value(RESEAT_WORDS_CHANCE, 0.9995, "100 %");
    assert_value(RESEAT_WORDS_CONFIDENCE, 0.95, "95.0 %");
    assert_value(RESEAT_WORDS_CONFIDENCE, 0.9973, "99.73 %");
    assert_string_equal(words_chance_beside(0.99729, 0.9973).text, "99.72 %");
    assert_string_equal(words_chance_beside(1, 0.95).text, "100.0 %");
}

static void days_are_whole_ones(void **state)
{
    assert_value(RESEAT_WORDS_DAYS, 0.99, "less than a day");
    assert_value(RESEAT_WORDS_DAYS, 1.99, "1 day");
    assert_value(RESEAT_WORDS_DAYS, 41.2, "41 days");
    assert_string_equal(words_date(1772431200).text, "2026-03-02");
    assert_string_equal(words_s(0), "s");
    assert_string_equal(words_s(1), "");
}

static void an_angle_has_no_idle_digits(void **state)
{
    assert_value(RESEAT_WORDS_DEGREES, 180, "180°");
    assert_value(RESEAT_WORDS_DEGREES, 100, "100°");
    assert_value(RESEAT_WORDS_DEGREES, -7.5, "-7.5°");
    assert_value(RESEAT_WORDS_DEGREES, 0, "0°");
    assert_value(RESEAT_WORDS_DEGREES, 359.999, "0°");
    assert_value(RESEAT_WORDS_SEAT, 120.25, "seat 120.25°");
    assert_value(RESEAT_WORDS_TURN, -90, "a turn of -90°");
    assert_value((reseat_words_kind)99, 1, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_number_has_the_digits_asked_for),
        cmocka_unit_test(a_length_has_the_digits_of_its_unit_and_more),
        cmocka_unit_test(an_error_is_told_from_its_limit),
        cmocka_unit_test(chances_are_rounded_down),
        cmocka_unit_test(days_are_whole_ones),
        cmocka_unit_test(an_angle_has_no_idle_digits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
