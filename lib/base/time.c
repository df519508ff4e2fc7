/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/time.h"

#include <stdbool.h>
#include <stddef.h>
#include "base/error.h"
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

/* What is being read, and how far. */
typedef struct cursor {
    const char *text;
    size_t length;
    size_t at;
} cursor;

static bool take(cursor *from, char wanted)
{
    if (from->at >= from->length || from->text[from->at] != wanted)
        return false;
    from->at++;
    return true;
}

static bool take_digits(cursor *from, int count, int *value)
{
    int read = 0;
    for (int i = 0; i < count; i++, from->at++) {
        if (from->at >= from->length || from->text[from->at] < '0' || from->text[from->at] > '9')
            return false;
        read = 10 * read + (from->text[from->at] - '0');
    }
    *value = read;
    return true;
}

/* Says what is wrong with the digits just taken, and goes back to them. */
static const char *no_such(cursor *from, size_t digits, const char *what)
{
    from->at -= digits;
    return what;
}

/* The readers below return NULL, or what is wrong at from->at. */

static const char *read_date(cursor *from, int64_t *days)
{
    static const char form[] = "expected a time such as 2026-03-02T06:00:00Z";
    int year, month, day;
    if (!take_digits(from, 4, &year))
        return form;
    if (year == 0)
        return no_such(from, 4, "no such year");
    if (!take(from, '-') || !take_digits(from, 2, &month))
        return form;
    if (month < 1 || month > 12)
        return no_such(from, 2, "no such month");
    if (!take(from, '-') || !take_digits(from, 2, &day))
        return form;
    if (day < 1 || day > days_in_month(year, month))
        return no_such(from, 2, "no such day");
    *days = days_before_year(year) + day - 1 - EPOCH_DAY;
    for (int before = 1; before < month; before++)
        *days += days_in_month(year, before);
    return NULL;
}

static const char *read_clock(cursor *from, int64_t *seconds)
{
    int hour, minute, second = 0;
    if (!take(from, 'T') && !take(from, 't'))
        return "expected T and a time of day after the date, such as T06:00";
    if (!take_digits(from, 2, &hour))
        return "expected a time of day such as 06:00";
    if (hour > 23)
        return no_such(from, 2, hour == 24 ? "no hour 24, write 00:00 of the next day"
                                           : "no such hour");
    if (!take(from, ':') || !take_digits(from, 2, &minute))
        return "expected a time of day such as 06:00";
    if (minute > 59)
        return no_such(from, 2, "no such minute");
    if (take(from, ':')) {
        if (!take_digits(from, 2, &second))
            return "expected two digits of seconds";
        if (second > 59)
            return no_such(from, 2, second == 60 ? "leap seconds are not counted, write 59"
                                                 : "no such second");
        if (from->at < from->length && (from->text[from->at] == '.' || from->text[from->at] == ','))
            return "expected whole seconds";
    }
    *seconds = hour * 3600 + minute * 60 + second;
    return NULL;
}

/* Seconds by which the time that was read is ahead of UTC. */
static const char *read_zone(cursor *from, int64_t *ahead)
{
    int hour, minute;
    *ahead = 0;
    if (take(from, 'Z') || take(from, 'z'))
        return NULL;
    const bool behind = take(from, '-');
    if (!behind && !take(from, '+'))
        return "expected a zone: Z or an offset such as +01:00";
    if (!take_digits(from, 2, &hour) || !take(from, ':') || !take_digits(from, 2, &minute))
        return "expected an offset such as +01:00";
    if (hour > 23 || minute > 59)
        return no_such(from, 5, "no such offset");
    const int seconds = hour * 3600 + minute * 60;
    *ahead = behind ? -seconds : seconds;
    return NULL;
}

static const char *read_time(cursor *from, int64_t *seconds)
{
    int64_t days = 0, clock = 0, ahead = 0;
    const char *wrong = read_date(from, &days);
    if (!wrong)
        wrong = read_clock(from, &clock);
    if (!wrong)
        wrong = read_zone(from, &ahead);
    if (wrong)
        return wrong;
    if (from->at < from->length)
        return "expected nothing after the zone";
    *seconds = days * SECONDS_A_DAY + clock - ahead;
    if (*seconds < FIRST_SECOND || *seconds > LAST_SECOND)
        return no_such(from, from->at, "outside the years 1 to 9999 of UTC");
    return NULL;
}

reseat_status reseat_time_parse(const char *text, size_t length, int64_t *seconds,
                                reseat_error *error)
{
    if (!text || !seconds)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    cursor from = {text, length, 0};
    int64_t result = 0;
    const char *wrong = read_time(&from, &result);
    if (wrong)
        return error_read(error, from.at + 1, wrong, text, length);
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
