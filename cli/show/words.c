/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "words.h"

#include <errno.h>
#include <math.h>
#include <string.h>

#define WIDTH_MAX 20 /* what is longer, a slip in typing, is shown with an exponent */

words words_number(double value)
{
    words out = {""};
    (void)reseat_number_format(value, out.text);
    return out;
}

words words_decimal(double value, int decimals)
{
    words out;
    char number[RESEAT_NUMBER_SIZE] = "out of range";
    if (reseat_number_fixed(value, decimals, number) == RESEAT_OK && strlen(number) > WIDTH_MAX)
        (void)reseat_number_format(value, number);
    snprintf(out.text, sizeof out.text, "%.*s", (int)sizeof out.text - 1, number);
    return out;
}

words words_length(double mm, reseat_unit unit, int more)
{
    return words_decimal(reseat_unit_from_mm(mm, unit), reseat_unit_decimals(unit) + more);
}

int words_width(reseat_unit unit, int more)
{
    const int width = reseat_unit_decimals(unit) + more + 4;
    return width > 8 ? width : 8;
}

words words_signed(double mm, reseat_unit unit, int more)
{
    words out;
    const words plain = words_length(mm, unit, more);
    snprintf(out.text, sizeof out.text, "%s%.28s", plain.text[0] == '-' ? "" : "+", plain.text);
    return out;
}

words words_pair(reseat_xy mm, reseat_unit unit, int more)
{
    words out;
    snprintf(out.text, sizeof out.text, "X %.28s Y %.28s", words_signed(mm.x, unit, more).text,
             words_signed(mm.y, unit, more).text);
    return out;
}

static words with_unit(words out, reseat_unit unit)
{
    const size_t length = strlen(out.text);
    snprintf(out.text + length, sizeof out.text - length, " %s", reseat_unit_name(unit));
    return out;
}

words words_length_in(double mm, reseat_unit unit, int more)
{
    return with_unit(words_length(mm, unit, more), unit);
}

words words_pair_in(reseat_xy mm, reseat_unit unit)
{
    return with_unit(words_pair(mm, unit, 0), unit);
}

/* 0.0100 has three figures, 0.0000 none. */
static size_t figures(const char *number)
{
    return strlen(number + strspn(number, "-0."));
}

int words_more_digits(double error_mm, double limit_mm, reseat_unit unit)
{
    const int most = 12 - reseat_unit_decimals(unit);
    for (int more = 0; more <= most; more++) {
        const words limit = words_length(limit_mm, unit, more);
        if (strcmp(words_length(error_mm, unit, more).text, limit.text) != 0 &&
            figures(limit.text) >= 2)
            return more;
    }
    return 0;
}

static words with_per_cent(words number)
{
    words out;
    snprintf(out.text, sizeof out.text, "%.40s %%", number.text);
    return out;
}

/* Rounded down. */
static words percent(double share, int decimals)
{
    const double scale = pow(10, decimals);
    return with_per_cent(words_decimal(floor(share * 100 * scale) / scale, decimals));
}

words words_chance(double chance)
{
    return chance < 0.9995 ? percent(chance, 1) : (words){"100 %"};
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

words words_confidence(double confidence)
{
    return with_per_cent(words_decimal(confidence * 100, confidence_decimals(confidence)));
}

words words_chance_beside(double chance, double confidence)
{
    return percent(chance, confidence_decimals(confidence));
}

words words_days(double days)
{
    words out = {"less than a day"};
    const double full = floor(days);
    if (full >= 1)
        snprintf(out.text, sizeof out.text, "%.0f day%s", full, full > 1 ? "s" : "");
    return out;
}

words words_span(double seconds)
{
    words out;
    const double minutes = floor(seconds / 60), hours = floor(seconds / 3600);
    if (hours >= 48)
        return words_days(hours / 24);
    if (minutes >= 120)
        snprintf(out.text, sizeof out.text, "%.0f h", hours);
    else
        snprintf(out.text, sizeof out.text, "%.0f min", minutes);
    return out;
}

words words_p(double p)
{
    words out = {"p < 0.0001"};
    if (!(p < 0.0001))
        snprintf(out.text, sizeof out.text, "p %.40s", words_decimal(p, 4).text);
    return out;
}

words words_brief(double value, int decimals)
{
    words out = words_decimal(value, decimals);
    char *end = out.text + strlen(out.text);
    if (!strchr(out.text, '.') || strchr(out.text, 'e'))
        return out;
    while (end[-1] == '0')
        end--;
    end[end[-1] == '.' ? -1 : 0] = '\0';
    return out;
}

words words_degrees(double deg)
{
    words out = words_brief(deg, 2);
    if (strcmp(out.text, "360") == 0) /* a seat a hair below it */
        strcpy(out.text, "0");
    strcat(out.text, "°");
    return out;
}

words words_time(int64_t at)
{
    words out = {""};
    (void)reseat_time_format(at, out.text);
    return out;
}

words words_date(int64_t at)
{
    words out = words_time(at);
    out.text[strlen("2026-03-02")] = '\0';
    return out;
}

const char *words_s(uint64_t count)
{
    return count == 1 ? "" : "s";
}

#define PIECE 64 /* bytes of a text that are escaped at a time; one may become eight */

/* Where a piece may end: a byte that goes on with a character has its first within three. */
static size_t piece_of(const char *text, size_t length)
{
    if (length <= PIECE)
        return length;
    for (size_t back = 0; back <= 3; back++)
        if (((unsigned char)text[PIECE - back] & 0xC0) != 0x80)
            return PIECE - back;
    return PIECE; /* it goes on with nothing, and is bad wherever it stands */
}

void text_put(FILE *out, text_escape *escape, const char *text, size_t length)
{
    char piece[8 * PIECE + 1];
    while (length > 0) {
        const size_t taken = piece_of(text, length);
        escape(text, taken, piece, sizeof piece);
        fputs(piece, out);
        text += taken;
        length -= taken;
    }
}

/*
 * A piece that found no room may have been left out without an error of the stream, and the whole
 * lost in closing it: what is left of either is that some allocation failed.
 */
bool text_close(FILE *stream, char *const *text)
{
    const bool kept = !ferror(stream) && errno != ENOMEM;
    return fclose(stream) == 0 && kept && *text;
}
