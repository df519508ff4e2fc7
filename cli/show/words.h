/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How numbers, dates and foreign texts look to a person. */
#ifndef RESEAT_CLI_WORDS_H
#define RESEAT_CLI_WORDS_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include "reseat/reseat.h"

/* Lives to the end of the full expression: `printf("%s", words_days(days).text)`. */
#define TEXT_SIZE 64
typedef struct words {
    char text[TEXT_SIZE];
} words;

/* A length in the unit with the unit's usual digits, or with `more` digits beyond them. */
words words_length(double mm, reseat_unit unit, int more);

/* The width of a column of them: room for a sign, a digit or two, the point, what follows it. */
int words_width(reseat_unit unit, int more);

/* The same with + or -, also before zero; and of both parts, "X +0.0120 Y -0.0050". */
words words_signed(double mm, reseat_unit unit, int more);
words words_pair(reseat_xy mm, reseat_unit unit, int more);

/* With the unit behind: "0.0120 mm", "X +0.0120 Y -0.0050 mm". */
words words_length_in(double mm, reseat_unit unit, int more);
words words_pair_in(reseat_xy mm, reseat_unit unit);

/*
 * How many digits beyond the usual tell an error from the limit, where they would print alike, and
 * show at least two figures of the limit; 0 where none do.
 */
int words_more_digits(double error_mm, double limit_mm, reseat_unit unit);

/* A number for programs, that reads back the same. */
words words_number(double value);

/* A number with so many digits after the point: never by printf, whose point may be a comma. */
words words_decimal(double value, int decimals);

/* The same with no idle 0 at the end. */
words words_brief(double value, int decimals);

/* A chance in per cent, rounded down to a tenth: 100 % only from 0.9995. */
words words_chance(double chance);

/* A confidence in per cent, 95.0 %, with as many digits as it has; and a chance beside it. */
words words_confidence(double confidence);
words words_chance_beside(double chance, double confidence);

words words_days(double days);  /* "less than a day", "1 day", "12 days" */
words words_span(double seconds); /* "52 min", "26 h", "12 days" */
words words_p(double p);        /* "p 0.0312", "p < 0.0001" */
words words_degrees(double deg); /* up to two digits after the point, and the sign of degrees */
words words_date(int64_t at);   /* "2026-03-02" */
words words_time(int64_t at);   /* "2026-03-02T06:00:00Z" */

/* What a noun takes after a count: "" after 1, else "s". */
const char *words_s(uint64_t count);

/* Escapes a text for a place: reseat_text_terminal, reseat_text_html, reseat_text_json. */
typedef size_t text_escape(const char *text, size_t length, char *out, size_t size);

/* Writes a text of any length, escaped for a place. */
void text_put(FILE *out, text_escape *escape, const char *text, size_t length);

/* Closes a stream of open_memstream; whether all that was written to it is there, in *text. */
bool text_close(FILE *stream, char *const *text);

#endif
