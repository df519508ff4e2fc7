/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/values.h"

#include <float.h>
#include <stdio.h>
#include <stdlib.h>

static const double untouched = 12345.678;

static double length(const char *text, reseat_unit unit)
{
    double mm = untouched;
    reseat_error error;
    if (reseat_length_parse(text, strlen(text), unit, &mm, &error) != RESEAT_OK) {
        print_error("%s\n", error.text);
        fail();
    }
    return mm;
}

static void assert_length_refused(const char *text, reseat_status status, size_t column,
                                  const char *message)
{
    double mm = untouched;
    reseat_error error;
    assert_status(reseat_length_parse(text, strlen(text), RESEAT_MM, &mm, &error), status);
    assert_string_equal(error.text, message);
    assert_int_equal(error.column, column);
    assert_same_bits(mm, untouched);
    assert_status(reseat_length_parse(text, strlen(text), RESEAT_MM, &mm, NULL), status);
}

static void assert_pair(const char *text, reseat_unit unit, double x, double y)
{
    reseat_xy mm = {untouched, untouched};
    assert_status(reseat_length_pair_parse(text, strlen(text), unit, &mm, NULL), RESEAT_OK);
    assert_same_bits(mm.x, x);
    assert_same_bits(mm.y, y);
}

static void assert_pair_refused(const char *text, reseat_status status, size_t column,
                                const char *message)
{
    reseat_xy mm = {untouched, untouched};
    reseat_error error;
    assert_status(reseat_length_pair_parse(text, strlen(text), RESEAT_MM, &mm, &error), status);
    assert_string_equal(error.text, message);
    assert_int_equal(error.column, column);
    assert_same_bits(mm.x, untouched);
    assert_same_bits(mm.y, untouched);
    assert_status(reseat_length_pair_parse(text, strlen(text), RESEAT_MM, &mm, NULL), status);
}

static double share(const char *text)
{
    double value = untouched;
    assert_status(reseat_share_parse(text, strlen(text), &value, NULL), RESEAT_OK);
    return value;
}

static void assert_share_refused(const char *text, reseat_status status, size_t column,
                                 const char *message)
{
    double value = untouched;
    reseat_error error;
    assert_status(reseat_share_parse(text, strlen(text), &value, &error), status);
    assert_string_equal(error.text, message);
    assert_int_equal(error.column, column);
    assert_same_bits(value, untouched);
    assert_status(reseat_share_parse(text, strlen(text), &value, NULL), status);
}

static void reads_every_unit_by_its_name(void **state)
{
    static const struct {
        const char *text;
        reseat_unit unit;
    } cases[] = {
        {"mm", RESEAT_MM},          {"um", RESEAT_UM},   {"\xC2\xB5m", RESEAT_UM},
        {"\xCE\xBCm", RESEAT_UM},   {"in", RESEAT_INCH}, {"thou", RESEAT_THOU},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        reseat_unit unit = (reseat_unit)99;
        const char *text = cases[i].text;
        assert_status(reseat_unit_parse(text, strlen(text), &unit, NULL), RESEAT_OK);
        assert_int_equal(unit, cases[i].unit);
    }
    for (int unit = RESEAT_MM; unit <= RESEAT_THOU; unit++) {
        const char *name = reseat_unit_name((reseat_unit)unit);
        reseat_unit read = (reseat_unit)99;
        assert_status(reseat_unit_parse(name, strlen(name), &read, NULL), RESEAT_OK);
        assert_int_equal(read, unit);
    }
}

static void refuses_other_units_by_name(void **state)
{
    static const char *const cases[] = {"cm", "MM", "m", "mmm", "inch", "\"", "\xB5m", "mm "};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        reseat_unit unit = (reseat_unit)99;
        reseat_error error;
        const size_t size = strlen(cases[i]);
        assert_status(reseat_unit_parse(cases[i], size, &unit, &error), RESEAT_ERR_SYNTAX);
        assert_int_equal(unit, 99);
        assert_int_equal(error.column, 1);
        assert_non_null(strstr(error.text, ": use mm, um, in or thou"));
    }
    reseat_unit unit = (reseat_unit)99;
    reseat_error error;
    assert_status(reseat_unit_parse("cm", 2, &unit, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, "unknown unit \"cm\": use mm, um, in or thou");
    assert_status(reseat_unit_parse("", 0, &unit, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, "expected mm, um, in or thou, read nothing");
    assert_int_equal(error.column, 1);
    assert_status(reseat_unit_parse(NULL, 0, &unit, &error), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_unit_parse("mm", 2, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_int_equal(unit, 99);
}

static void no_unit_has_no_name_and_no_value(void **state)
{
    assert_string_equal(reseat_unit_name((reseat_unit)4), "");
    assert_string_equal(reseat_unit_name((reseat_unit)-1), "");
    assert_int_equal(reseat_unit_decimals((reseat_unit)4), 0);
    assert_true(isnan(reseat_unit_to_mm(1, (reseat_unit)4)));
    assert_true(isnan(reseat_unit_from_mm(1, (reseat_unit)4)));
}

static void shows_a_tenth_of_a_micrometre(void **state)
{
    assert_int_equal(reseat_unit_decimals(RESEAT_MM), 4);
    assert_int_equal(reseat_unit_decimals(RESEAT_UM), 1);
    assert_int_equal(reseat_unit_decimals(RESEAT_INCH), 6);
    assert_int_equal(reseat_unit_decimals(RESEAT_THOU), 3);
    for (int unit = RESEAT_MM; unit <= RESEAT_THOU; unit++) {
        const double step = pow(10, -reseat_unit_decimals((reseat_unit)unit));
        assert_true(reseat_unit_to_mm(step, (reseat_unit)unit) <= 0.0001 * (1 + DBL_EPSILON));
    }
}

static void converts_there_and_back(void **state)
{
    assert_same_bits(reseat_unit_to_mm(5, RESEAT_UM), 0.005);
    assert_same_bits(reseat_unit_to_mm(5, RESEAT_THOU), 0.127);
    assert_same_bits(reseat_unit_to_mm(3, RESEAT_INCH), 76.2);
    assert_same_bits(reseat_unit_to_mm(0.1, RESEAT_INCH), 2.54);
    assert_same_bits(reseat_unit_to_mm(-0.0, RESEAT_MM), -0.0);
    assert_same_bits(reseat_unit_from_mm(0.005, RESEAT_UM), 5);
    assert_same_bits(reseat_unit_from_mm(0.127, RESEAT_THOU), 5);
    assert_same_bits(reseat_unit_from_mm(25.4, RESEAT_INCH), 1);
    for (int unit = RESEAT_MM; unit <= RESEAT_THOU; unit++) {
        for (int i = -1000; i <= 1000; i++) {
            const double mm = reseat_unit_to_mm(i, (reseat_unit)unit);
            const double back = reseat_unit_from_mm(mm, (reseat_unit)unit);
            assert_near(back, i, 2 * DBL_EPSILON * fabs((double)i));
        }
    }
}

/* Whole inches and thou, which stand exactly in units of 1e-4 mm. */
static void whole_inches_and_thou_are_the_nearest_doubles(void **state)
{
    for (int i = 1; i <= 10000; i++) {
        assert_same_bits(reseat_unit_to_mm(i, RESEAT_INCH), i * 254 / 10.0);
        assert_same_bits(reseat_unit_to_mm(i, RESEAT_THOU), i * 254 / 10000.0);
        assert_same_bits(reseat_unit_to_mm(i, RESEAT_UM), i / 1000.0);
    }
}

/* n/10^k inches are n * 254 / 10^(k+1) mm: whatever the unit, the bits are those of the mm text. */
static void a_length_reads_as_if_typed_in_mm(void **state)
{
    static const struct {
        const char *unit;
        int factor, power;
    } cases[] = {{"um", 1, -3}, {"in", 254, -1}, {"thou", 254, -4}};
    for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
        for (int n = 1; n <= 50000; n++) {
            const int k = n % 7;
            char typed[64], in_mm[64];
            snprintf(typed, sizeof typed, "%de%d%s", n, -k, cases[c].unit);
            snprintf(in_mm, sizeof in_mm, "%de%d", n * cases[c].factor, cases[c].power - k);
            assert_same_bits(length(typed, RESEAT_MM), read_number(in_mm, NULL));
        }
    }
}

static void reads_lengths(void **state)
{
    assert_same_bits(length("5um", RESEAT_MM), 0.005);
    assert_same_bits(length("5\xC2\xB5m", RESEAT_MM), 0.005);
    assert_same_bits(length("5\xCE\xBCm", RESEAT_INCH), 0.005);
    assert_same_bits(length("5thou", RESEAT_MM), 0.127);
    assert_same_bits(length("-.5in", RESEAT_MM), -12.7);
    assert_same_bits(length("1e1mm", RESEAT_INCH), 10);
    assert_same_bits(length("20.mm", RESEAT_INCH), 20);
    assert_same_bits(length("0.004", RESEAT_MM), 0.004);
    assert_same_bits(length("4", RESEAT_UM), 0.004);
    assert_same_bits(length("2", RESEAT_INCH), 50.8);
    assert_same_bits(length("-0", RESEAT_THOU), -0.0);
    assert_same_bits(length("999999999999999999999in", RESEAT_MM), 25399999999999999999974.6);
}

static void says_what_is_wrong_with_a_length(void **state)
{
    const reseat_status syntax = RESEAT_ERR_SYNTAX;
    assert_length_refused("", syntax, 1, "expected a number, read nothing");
    assert_length_refused("mm", syntax, 1, "expected a number, read \"mm\"");
    assert_length_refused("-mm", syntax, 2, "expected a number, read \"-mm\"");
    assert_length_refused("inf", syntax, 1, "expected a finite number, read \"inf\"");
    assert_length_refused("-nan", syntax, 2, "expected a finite number, read \"-nan\"");
    assert_length_refused("5cm", syntax, 2, "unknown unit \"cm\": use mm, um, in or thou");
    assert_length_refused("5\"", syntax, 2, "unknown unit \"\"\": use mm, um, in or thou");
    assert_length_refused("0x10", syntax, 2, "unknown unit \"x10\": use mm, um, in or thou");
    assert_length_refused("5mm ", syntax, 2, "unknown unit \"mm \": use mm, um, in or thou");
    assert_length_refused("5 mm", syntax, 2, "expected no blank after the number, read \"5 mm\"");
    assert_length_refused("5 ", syntax, 2, "expected no blank after the number, read \"5 \"");
    assert_length_refused(" 5", syntax, 1, "expected a number, read \" 5\" (no blanks)");
    assert_length_refused("3,14mm", syntax, 2, "expected a number, read \"3,14\" (use a point)");
    assert_length_refused("1e999mm", RESEAT_ERR_NOT_FINITE, 1,
                          "expected a finite number, read \"1e999\"");
    assert_length_refused("1e308in", RESEAT_ERR_NOT_FINITE, 1,
                          "expected a finite number, read \"1e308\"");
    assert_length_refused("5\x1Bmm", syntax, 2,
                          "unknown unit \"\\x1Bmm\": use mm, um, in or thou");
}

static void length_checks_its_arguments(void **state)
{
    double mm = untouched;
    reseat_xy pair = {untouched, untouched};
    const reseat_status argument = RESEAT_ERR_ARGUMENT;
    assert_status(reseat_length_parse(NULL, 0, RESEAT_MM, &mm, NULL), argument);
    assert_status(reseat_length_parse("1", 1, RESEAT_MM, NULL, NULL), argument);
    assert_status(reseat_length_parse("1", 1, (reseat_unit)4, &mm, NULL), argument);
    assert_status(reseat_length_parse("1mm", 3, (reseat_unit)-1, &mm, NULL), argument);
    assert_status(reseat_length_pair_parse(NULL, 0, RESEAT_MM, &pair, NULL), argument);
    assert_status(reseat_length_pair_parse("1,2", 3, RESEAT_MM, NULL, NULL), argument);
    assert_status(reseat_length_pair_parse("1,2", 3, (reseat_unit)4, &pair, NULL), argument);
    assert_same_bits(mm, untouched);
    assert_same_bits(pair.x, untouched);
}

static void reads_no_further_than_the_length(void **state)
{
    double mm = untouched;
    reseat_xy pair;
    assert_status(reseat_length_parse("5mm", 1, RESEAT_UM, &mm, NULL), RESEAT_OK);
    assert_same_bits(mm, 0.005);
    assert_status(reseat_length_parse("5\0", 2, RESEAT_UM, &mm, NULL), RESEAT_ERR_SYNTAX);
    assert_status(reseat_length_pair_parse("1,23", 3, RESEAT_MM, &pair, NULL), RESEAT_OK);
    assert_same_bits(pair.y, 2);
    assert_status(reseat_share_parse("1%", 1, &mm, NULL), RESEAT_OK);
    assert_same_bits(mm, 1);
}

static void reads_pairs(void **state)
{
    assert_pair("0.0040,-0.0011", RESEAT_MM, 0.004, -0.0011);
    assert_pair("4um,-1.1um", RESEAT_MM, 0.004, -0.0011);
    assert_pair("4um,1thou", RESEAT_MM, 0.004, 0.0254);
    assert_pair("4,5", RESEAT_UM, 0.004, 0.005);
    assert_pair("0,5", RESEAT_MM, 0, 5); /* a pair by the letter: whoever asked shows it as read */
    assert_pair("0,0", RESEAT_MM, 0, 0);
}

static void says_what_is_wrong_with_a_pair(void **state)
{
    const reseat_status syntax = RESEAT_ERR_SYNTAX;
    static const char both[] = "expected a length on both sides of the comma, read ";
    char message[128];
    assert_pair_refused("", syntax, 1, "expected a pair X,Y, read nothing");
    assert_pair_refused("0.004", syntax, 6, "expected a pair X,Y, read \"0.004\"");
    assert_pair_refused("0.004;0.001", syntax, 12, "expected a pair X,Y, read \"0.004;0.001\"");
    snprintf(message, sizeof message, "%s\",5\"", both);
    assert_pair_refused(",5", syntax, 1, message);
    snprintf(message, sizeof message, "%s\"5,\"", both);
    assert_pair_refused("5,", syntax, 3, message);
    assert_pair_refused("1,2,3", syntax, 4,
                        "expected one comma (decimals take a point), read \"1,2,3\"");
    assert_pair_refused("1,,2", syntax, 3,
                        "expected one comma (decimals take a point), read \"1,,2\"");
    assert_pair_refused("0,004,0,001", syntax, 6,
                        "expected one comma (decimals take a point), read \"0,004,0,001\"");
    assert_pair_refused("0,003", syntax, 3,
                        "expected a number, read \"003\" (no zero before another digit; write "
                        "decimals with a point, as in 0.003)");
    assert_pair_refused("0.004, 0.001", syntax, 7,
                        "expected a number, read \" 0.001\" (no blanks)");
    assert_pair_refused("5um,3", syntax, 1,
                        "expected a unit on both parts or on neither, read \"5um,3\"");
    assert_pair_refused("5,3.um", syntax, 1,
                        "expected a unit on both parts or on neither, read \"5,3.um\"");
    assert_pair_refused("5cm,3cm", syntax, 2, "unknown unit \"cm\": use mm, um, in or thou");
    assert_pair_refused("5mm,3cm", syntax, 6, "unknown unit \"cm\": use mm, um, in or thou");
    assert_pair_refused("1,1e999", RESEAT_ERR_NOT_FINITE, 3,
                        "expected a finite number, read \"1e999\"");
}

static void reads_shares(void **state)
{
    assert_same_bits(share("95%"), 0.95);
    assert_same_bits(share("0.95"), 0.95);
    assert_same_bits(share("99.73%"), 0.9973);
    assert_same_bits(share("1"), 1);
    assert_same_bits(share("100%"), 1);
    assert_same_bits(share("0"), 0);
    assert_same_bits(share("1%"), 0.01);
    for (int percent = 0; percent <= 100; percent++) {
        char typed[16], exact[16];
        snprintf(typed, sizeof typed, "%d%%", percent);
        snprintf(exact, sizeof exact, "%de-2", percent);
        assert_same_bits(share(typed), read_number(exact, NULL));
    }
}

static void says_what_is_wrong_with_a_share(void **state)
{
    const reseat_status syntax = RESEAT_ERR_SYNTAX, range = RESEAT_ERR_RANGE;
    static const char limits[] = "expected a share from 0 to 1, or 0% to 100%, read ";
    char message[128];
    static const char *const outside[] = {"95", "1.01", "-0.1", "101%", "-1%", "100.00001%"};
    for (size_t i = 0; i < sizeof outside / sizeof outside[0]; i++) {
        snprintf(message, sizeof message, "%s\"%s\"", limits, outside[i]);
        assert_share_refused(outside[i], range, 1, message);
    }
    assert_share_refused("", syntax, 1, "expected a number, read nothing");
    assert_share_refused("%", syntax, 1, "expected a number, read \"%\"");
    assert_share_refused("95 %", syntax, 3, "expected no blank after the number, read \"95 %\"");
    assert_share_refused("95%%", syntax, 3, "expected a share such as 0.95 or 95%, read \"95%%\"");
    assert_share_refused("95p", syntax, 3, "expected a share such as 0.95 or 95%, read \"95p\"");
    assert_share_refused("95pc", syntax, 3, "expected a share such as 0.95 or 95%, read \"95pc\"");
    assert_share_refused("0,95", syntax, 2, "expected a number, read \"0,95\" (use a point)");
    assert_share_refused("nan", syntax, 1, "expected a finite number, read \"nan\"");
    assert_share_refused("1e999%", RESEAT_ERR_NOT_FINITE, 1,
                         "expected a finite number, read \"1e999\"");
    double value = untouched;
    assert_status(reseat_share_parse(NULL, 0, &value, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_share_parse("1", 1, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_same_bits(value, untouched);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_every_unit_by_its_name),
        cmocka_unit_test(refuses_other_units_by_name),
        cmocka_unit_test(no_unit_has_no_name_and_no_value),
        cmocka_unit_test(shows_a_tenth_of_a_micrometre),
        cmocka_unit_test(converts_there_and_back),
        cmocka_unit_test(whole_inches_and_thou_are_the_nearest_doubles),
        cmocka_unit_test(a_length_reads_as_if_typed_in_mm),
        cmocka_unit_test(reads_lengths),
        cmocka_unit_test(says_what_is_wrong_with_a_length),
        cmocka_unit_test(length_checks_its_arguments),
        cmocka_unit_test(reads_no_further_than_the_length),
        cmocka_unit_test(reads_pairs),
        cmocka_unit_test(says_what_is_wrong_with_a_pair),
        cmocka_unit_test(reads_shares),
        cmocka_unit_test(says_what_is_wrong_with_a_share),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
