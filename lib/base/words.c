/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "base/number.h"

#define WIDTH_MAX 20 /* what is longer, a slip in typing, is shown with an exponent */

reseat_words reseat_words_number(double value, int decimals)
{
    reseat_words out;
    char number[RESEAT_NUMBER_SIZE] = "out of range";
    if (number_fixed(value, decimals, number) == RESEAT_OK && strlen(number) > WIDTH_MAX)
        (void)reseat_number_format(value, number);
    snprintf(out.text, sizeof out.text, "%.*s", (int)sizeof out.text - 1, number);
    return out;
}

reseat_words reseat_words_length(double mm, reseat_unit unit, int more)
{
    return reseat_words_number(reseat_unit_from_mm(mm, unit), reseat_unit_decimals(unit) + more);
}

reseat_words words_signed(double mm, reseat_unit unit)
{
    reseat_words out;
    const reseat_words plain = reseat_words_length(mm, unit, 0);
    snprintf(out.text, sizeof out.text, "%s%.28s", plain.text[0] == '-' ? "" : "+", plain.text);
    return out;
}

reseat_words words_pair(reseat_xy mm, reseat_unit unit)
{
    reseat_words out;
    snprintf(out.text, sizeof out.text, "X %.28s Y %.28s", words_signed(mm.x, unit).text,
             words_signed(mm.y, unit).text);
    return out;
}

/* 0.0100 has three figures, 0.0000 none. */
static size_t figures(const char *number)
{
    return strlen(number + strspn(number, "-0."));
}

int reseat_words_more_digits(double error_mm, double limit_mm, reseat_unit unit)
{
    const int most = 12 - reseat_unit_decimals(unit);
    for (int more = 0; more <= most; more++) {
        const reseat_words limit = reseat_words_length(limit_mm, unit, more);
        if (strcmp(reseat_words_length(error_mm, unit, more).text, limit.text) != 0 &&
            figures(limit.text) >= 2)
            return more;
    }
    return 0;
}

static reseat_words with_per_cent(reseat_words number)
{
    reseat_words out;
    snprintf(out.text, sizeof out.text, "%.40s %%", number.text);
    return out;
}

/* Rounded down. */
static reseat_words percent(double share, int decimals)
{
    const double scale = pow(10, decimals);
    return with_per_cent(reseat_words_number(floor(share * 100 * scale) / scale, decimals));
}

/* Decimals that show a confidence as it was typed, 99.99 % too. */
static int confidence_decimals(double confidence)
{
    int decimals = 1;
    double scaled = confidence * 1000;
    for (; decimals < 9 && fabs(scaled - rint(scaled)) > 1e-9 * scaled; decimals++)
        scaled *= 10;
    return decimals;
}

reseat_words words_chance_beside(double chance, double confidence)
{
    return percent(chance, confidence_decimals(confidence));
}

static reseat_words days(double value)
{
    reseat_words out = {"less than a day"};
    const double full = floor(value);
    if (full >= 1)
        snprintf(out.text, sizeof out.text, "%.0f day%s", full, full > 1 ? "s" : "");
    return out;
}

static reseat_words degrees(const char *before, double deg)
{
    reseat_words number = reseat_words_number(deg, 2), out;
    size_t length = strlen(number.text);
    while (length > 1 && number.text[length - 1] == '0')
        length--;
    if (length > 1 && number.text[length - 1] == '.')
        length--;
    number.text[length] = '\0';
    if (strcmp(number.text, "360") == 0) /* a seat a hair below it */
        strcpy(number.text, "0");
    snprintf(out.text, sizeof out.text, "%s%.40s°", before, number.text);
    return out;
}

reseat_words reseat_words_value(double value, reseat_words_kind kind)
{
    switch (kind) {
    case RESEAT_WORDS_CHANCE: return value < 0.9995 ? percent(value, 1) : (reseat_words){"100 %"};
    case RESEAT_WORDS_CONFIDENCE:
        return with_per_cent(reseat_words_number(value * 100, confidence_decimals(value)));
    case RESEAT_WORDS_DAYS: return days(value);
    case RESEAT_WORDS_DEGREES: return degrees("", value);
    case RESEAT_WORDS_SEAT: return degrees("seat ", value);
    case RESEAT_WORDS_TURN: return degrees("a turn of ", value);
    }
    return (reseat_words){""};
}

reseat_words words_date(int64_t at)
{
    reseat_words out = {""};
    char time[RESEAT_TIME_SIZE] = "";
    (void)reseat_time_format(at, time);
    snprintf(out.text, sizeof out.text, "%.10s", time);
    return out;
}

const char *words_s(uint64_t count)
{
    return count == 1 ? "" : "s";
}
