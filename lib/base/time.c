/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/time.h"

#include "base/text.h"
#include "reseat/values.h"

#define EPOCH_DAY 719162 /* 1970-01-01 counted from 0001-01-01 */

/* Days before the first of January of a year, from 0001-01-01 in today's calendar. */
static int64_t days_before_year(int64_t year)
{
    const int64_t past = year - 1;
    return 365 * past + past / 4 - past / 100 + past / 400;
}

static int days_in_month(int64_t year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap ? 1 : 0);
}

/* What is being read, how far, and what is wrong there; nothing is read once something is. */
typedef struct cursor {
    const char *text;
    size_t length;
    size_t at;
    const char *wrong;
} cursor;

static bool take(cursor *from, char wanted)
{
    const bool there = from->at < from->length && from->text[from->at] == wanted;
    from->at += there;
    return there;
}

static void fail(cursor *from, size_t back, const char *wrong)
{
    if (!from->wrong) {
        from->at -= back;
        from->wrong = wrong;
    }
}

/* So many digits after a separator, none if 0; `none` says that there is no such value. */
static void take_part(cursor *from, char separator, int digits, int least, int most, int *value,
                      const char *form, const char *none)
{
    if (from->wrong)
        return;
    if (separator && !take(from, separator)) {
        fail(from, 0, form);
        return;
    }
    *value = 0;
    for (int i = 0; i < digits; i++, from->at++) {
        const char c = from->at < from->length ? from->text[from->at] : '\0';
        if (!is_digit(c)) {
            fail(from, 0, form);
            return;
        }
        *value = 10 * *value + (c - '0');
    }
    if (*value < least || *value > most)
        fail(from, (size_t)digits, none);
}

static int64_t take_date(cursor *from)
{
    static const char form[] = "expected a time such as 2026-03-02T06:00:00Z";
    int year = 1, month = 1, day = 1;
    take_part(from, 0, 4, 1, 9999, &year, form, "no such year");
    take_part(from, '-', 2, 1, 12, &month, form, "no such month");
    if (from->wrong)
        return 0;
    take_part(from, '-', 2, 1, days_in_month(year, month), &day, form, "no such day");
    int64_t days = days_before_year(year) + day - 1 - EPOCH_DAY;
    for (int before = 1; before < month; before++)
        days += days_in_month(year, before);
    return days;
}

static int64_t take_clock(cursor *from)
{
    static const char form[] = "expected a time of day such as 06:00";
    int hour = 0, minute = 0, second = 0;
    if (!from->wrong && !take(from, 'T') && !take(from, 't'))
        fail(from, 0, "expected T and a time of day after the date, such as T06:00");
    take_part(from, 0, 2, 0, 24, &hour, form, "no such hour");
    if (hour == 24)
        fail(from, 2, "no hour 24, write 00:00 of the next day");
    take_part(from, ':', 2, 0, 59, &minute, form, "no such minute");
    if (!from->wrong && take(from, ':')) {
        take_part(from, 0, 2, 0, 60, &second, "expected two digits of seconds", "no such second");
        if (second == 60)
            fail(from, 2, "leap seconds are not counted, write 59");
        if (from->at < from->length && (from->text[from->at] == '.' || from->text[from->at] == ','))
            fail(from, 0, "expected whole seconds");
    }
    return hour * 3600 + minute * 60 + second;
}

/* Seconds by which the time that was read is ahead of UTC. */
static int64_t take_zone(cursor *from)
{
    static const char form[] = "expected an offset such as +01:00";
    int hour = 0, minute = 0;
    if (from->wrong || take(from, 'Z') || take(from, 'z'))
        return 0;
    const bool behind = take(from, '-');
    if (!behind && !take(from, '+'))
        fail(from, 0, "expected a zone: Z or an offset such as +01:00");
    take_part(from, 0, 2, 0, 99, &hour, form, "");
    take_part(from, ':', 2, 0, 99, &minute, form, "");
    if (hour > 23 || minute > 59)
        fail(from, 5, "no such offset");
    const int seconds = hour * 3600 + minute * 60;
    return behind ? -seconds : seconds;
}

reseat_status reseat_time_parse(const char *text, size_t length, int64_t *seconds,
                                reseat_error *error)
{
    if (!text || !seconds)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    cursor from = {text, length, 0, NULL};
    int64_t result = take_date(&from) * SECONDS_A_DAY;
    result += take_clock(&from);
    result -= take_zone(&from);
    if (!from.wrong && from.at < length)
        fail(&from, 0, "expected nothing after the zone");
    if (result < FIRST_SECOND || result > LAST_SECOND)
        fail(&from, from.at, "outside the years 1 to 9999 of UTC");
    if (from.wrong)
        return error_read(error, from.at + 1, from.wrong, text, length);
    *seconds = result;
    return RESEAT_OK;
}

/* Writes a number with leading zeros and what follows it; returns where to go on. */
static char *put(char *text, int64_t value, int digits, char next)
{
    for (int i = digits - 1; i >= 0; i--, value /= 10)
        text[i] = (char)('0' + value % 10);
    text[digits] = next;
    return text + digits + 1;
}

reseat_status reseat_time_format(int64_t seconds, char *text)
{
    if (!text)
        return RESEAT_ERR_ARGUMENT;
    if (seconds < FIRST_SECOND || seconds > LAST_SECOND)
        return RESEAT_ERR_RANGE;
    const int64_t since_first = seconds - FIRST_SECOND;
    int64_t day = since_first / SECONDS_A_DAY; /* from 0001-01-01 */
    const int64_t clock = since_first % SECONDS_A_DAY;
    int64_t year = day / 366 + 1; /* at most 7 years too early */
    while (days_before_year(year + 1) <= day)
        year++;
    day -= days_before_year(year);
    int month = 1;
    for (; day >= days_in_month(year, month); month++)
        day -= days_in_month(year, month);
    text = put(text, year, 4, '-');
    text = put(text, month, 2, '-');
    text = put(text, day + 1, 2, 'T');
    text = put(text, clock / 3600, 2, ':');
    text = put(text, clock / 60 % 60, 2, ':');
    text = put(text, clock % 60, 2, 'Z');
    *text = '\0';
    return RESEAT_OK;
}
