/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/values.h"

#include <stdio.h>

static const int64_t untouched = -77;

static int64_t parse(const char *text)
{
    int64_t seconds = untouched;
    reseat_error error;
    if (reseat_time_parse(text, strlen(text), &seconds, &error) != RESEAT_OK) {
        print_error("%s\n", error.text);
        fail();
    }
    return seconds;
}

static void assert_refused(const char *text, size_t column, const char *what)
{
    int64_t seconds = untouched;
    reseat_error error;
    char message[sizeof error.text];
    snprintf(message, sizeof message, "%s, read \"%s\"", what, text);
    assert_status(reseat_time_parse(text, strlen(text), &seconds, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, message);
    assert_int_equal(error.column, column);
    assert_true(seconds == untouched);
    assert_status(reseat_time_parse(text, strlen(text), &seconds, NULL), RESEAT_ERR_SYNTAX);
}

/* Values of `date -u -d TEXT +%s`. */
static void counts_the_seconds_since_1970(void **state)
{
    assert_true(parse("1970-01-01T00:00:00Z") == 0);
    assert_true(parse("2026-03-02T06:00:00Z") == 1772431200);
    assert_true(parse("1969-12-31T23:59:59Z") == -1);
    assert_true(parse("2000-02-29T12:34:56Z") == 951827696);
    assert_true(parse("2038-01-19T03:14:08Z") == 2147483648);
    assert_true(parse("0001-01-01T00:00:00Z") == -62135596800);
    assert_true(parse("9999-12-31T23:59:59Z") == 253402300799);
}

static void takes_offsets_short_seconds_and_small_letters(void **state)
{
    const int64_t six = parse("2026-03-02T06:00:00Z");
    assert_true(parse("2026-03-02T07:00:00+01:00") == six);
    assert_true(parse("2026-03-01T22:30:00-07:30") == six);
    assert_true(parse("2026-03-03T05:59:00+23:59") == six);
    assert_true(parse("2026-03-02T06:00:00-00:00") == six);
    assert_true(parse("2026-03-02T06:00Z") == six);
    assert_true(parse("2026-03-02t06:00:00z") == six);
    assert_true(parse("2026-03-02T07:00+01:00") == six);
}

static void reads_no_further_than_the_length(void **state)
{
    int64_t seconds = untouched;
    assert_status(reseat_time_parse("2026-03-02T06:00Zabc", 17, &seconds, NULL), RESEAT_OK);
    assert_true(seconds == 1772431200);
    assert_status(reseat_time_parse("2026-03-02T06:00Z\0", 18, &seconds, NULL),
                  RESEAT_ERR_SYNTAX);
}

static void says_what_is_wrong(void **state)
{
    static const char form[] = "expected a time such as 2026-03-02T06:00:00Z";
    static const char zone[] = "expected a zone: Z or an offset such as +01:00";
    static const char clock[] = "expected a time of day such as 06:00";
    assert_refused("today", 1, form);
    assert_refused("2026-3-02T06:00Z", 7, form);
    assert_refused("26-03-02T06:00Z", 3, form);
    assert_refused("02.03.2026", 3, form);
    assert_status(reseat_time_parse("2026\r03-02T06:00Z", 17, &(int64_t){0}, NULL),
                  RESEAT_ERR_SYNTAX);
    assert_refused("2026-03-02", 11, "expected T and a time of day after the date, such as T06:00");
    assert_refused("2026-03-02 06:00Z", 11,
                   "expected T and a time of day after the date, such as T06:00");
    assert_refused("2026-03-02T6:00Z", 13, clock);
    assert_refused("2026-03-02T0600Z", 14, clock);
    assert_refused("2026-03-02T06:00:0Z", 19, "expected two digits of seconds");
    assert_refused("2026-03-02T06:00:00.5Z", 20, "expected whole seconds");
    assert_refused("2026-03-02T06:00:00,5Z", 20, "expected whole seconds");
    assert_refused("2026-03-02T06:00:00", 20, zone);
    assert_refused("2026-03-02T06:00", 17, zone);
    assert_refused("2026-03-02T06:00 Z", 17, zone);
    assert_refused("2026-03-02T06:00CET", 17, zone);
    assert_refused("2026-03-02T06:00+01", 20, "expected an offset such as +01:00");
    assert_refused("2026-03-02T06:00+0100", 20, "expected an offset such as +01:00");
    assert_refused("2026-03-02T06:00Z ", 18, "expected nothing after the zone");
}

static void points_at_the_byte_that_is_wrong(void **state)
{
    static const char sound[] = "2026-03-02T06:00:00+01:00";
    for (size_t i = 0; i + 1 < sizeof sound; i++) {
        char text[sizeof sound];
        int64_t seconds = untouched;
        reseat_error error;
        memcpy(text, sound, sizeof sound);
        text[i] = 'x';
        assert_status(reseat_time_parse(text, sizeof sound - 1, &seconds, &error),
                      RESEAT_ERR_SYNTAX);
        assert_int_equal(error.column, i + 1);
        assert_status(reseat_time_parse(sound, i, &seconds, &error),
                      RESEAT_ERR_SYNTAX);
        assert_true(error.column <= i + 1);
        assert_true(seconds == untouched);
    }
}

static void knows_which_days_and_hours_there_are(void **state)
{
    assert_refused("0000-01-01T00:00Z", 1, "no such year");
    assert_refused("2026-00-02T06:00Z", 6, "no such month");
    assert_refused("2026-13-02T06:00Z", 6, "no such month");
    assert_refused("2026-03-00T06:00Z", 9, "no such day");
    assert_refused("2026-04-31T06:00Z", 9, "no such day");
    assert_refused("2026-12-32T06:00Z", 9, "no such day");
    assert_refused("2026-02-29T06:00Z", 9, "no such day");
    assert_refused("1900-02-29T06:00Z", 9, "no such day");
    assert_true(parse("2024-02-29T06:00Z") == 1709186400);
    assert_refused("2026-03-02T24:00Z", 12, "no hour 24, write 00:00 of the next day");
    assert_refused("2026-03-02T25:00Z", 12, "no such hour");
    assert_refused("2026-03-02T06:60Z", 15, "no such minute");
    assert_refused("2026-03-02T06:00:60Z", 18, "leap seconds are not counted, write 59");
    assert_refused("2026-03-02T06:00:61Z", 18, "no such second");
    assert_refused("2026-03-02T06:00+24:00", 18, "no such offset");
    assert_refused("2026-03-02T06:00+01:60", 18, "no such offset");
    assert_refused("0001-01-01T00:00+00:01", 1, "outside the years 1 to 9999 of UTC");
    assert_refused("9999-12-31T23:59-00:01", 1, "outside the years 1 to 9999 of UTC");
    assert_true(parse("0001-01-01T00:01+00:01") == -62135596800);
}

static void parse_checks_its_arguments(void **state)
{
    int64_t seconds = untouched;
    reseat_error error;
    assert_status(reseat_time_parse(NULL, 0, &seconds, &error), RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, reseat_status_text(RESEAT_ERR_ARGUMENT));
    assert_status(reseat_time_parse("2026-03-02T06:00Z", 17, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_time_parse("", 0, &seconds, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, "expected a time such as 2026-03-02T06:00:00Z, read nothing");
    assert_true(seconds == untouched);
}

static void format_checks_its_arguments(void **state)
{
    char text[RESEAT_TIME_SIZE] = "kept";
    assert_status(reseat_time_format(0, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_time_format(-62135596801, text), RESEAT_ERR_RANGE);
    assert_status(reseat_time_format(253402300800, text), RESEAT_ERR_RANGE);
    assert_status(reseat_time_format(INT64_MIN, text), RESEAT_ERR_RANGE);
    assert_status(reseat_time_format(INT64_MAX, text), RESEAT_ERR_RANGE);
    assert_string_equal(text, "kept");
}

static void writes_utc(void **state)
{
    char text[RESEAT_TIME_SIZE];
    assert_status(reseat_time_format(1772431200, text), RESEAT_OK);
    assert_string_equal(text, "2026-03-02T06:00:00Z");
    assert_status(reseat_time_format(-62135596800, text), RESEAT_OK);
    assert_string_equal(text, "0001-01-01T00:00:00Z");
    assert_status(reseat_time_format(253402300799, text), RESEAT_OK);
    assert_string_equal(text, "9999-12-31T23:59:59Z");
}

/* Steps a calendar of its own, day by day, through all 9999 years. */
static void every_day_of_the_calendar_comes_back(void **state)
{
    int year = 1, month = 1, day = 1;
    int64_t seconds = -62135596800 + 86399;
    for (; year <= 9999; seconds += 86400) {
        char expected[64], text[RESEAT_TIME_SIZE];
        snprintf(expected, sizeof expected, "%04d-%02d-%02dT23:59:59Z", year, month, day);
        assert_status(reseat_time_format(seconds, text), RESEAT_OK);
        assert_memory_equal(text, expected, RESEAT_TIME_SIZE);
        assert_true(parse(text) == seconds);
        const int leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
        const int last = month == 2 ? 28 + leap
                       : month == 4 || month == 6 || month == 9 || month == 11 ? 30 : 31;
        if (++day > last) {
            day = 1;
            if (++month > 12) {
                month = 1;
                year++;
            }
        }
    }
    assert_true(seconds == 253402300799 + 86400);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(counts_the_seconds_since_1970),
        cmocka_unit_test(takes_offsets_short_seconds_and_small_letters),
        cmocka_unit_test(reads_no_further_than_the_length),
        cmocka_unit_test(says_what_is_wrong),
        cmocka_unit_test(points_at_the_byte_that_is_wrong),
        cmocka_unit_test(knows_which_days_and_hours_there_are),
        cmocka_unit_test(parse_checks_its_arguments),
        cmocka_unit_test(format_checks_its_arguments),
        cmocka_unit_test(writes_utc),
        cmocka_unit_test(every_day_of_the_calendar_comes_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
