/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How numbers, dates and foreign texts look to a person. */
#ifndef RESEAT_CLI_WORDS_H
#define RESEAT_CLI_WORDS_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include "reseat/reseat.h"

typedef reseat_words words;
#define TEXT_SIZE sizeof(words)

static inline words words_chance(double chance)
{
    return reseat_words_value(chance, RESEAT_WORDS_CHANCE);
}

static inline words words_confidence(double confidence)
{
    return reseat_words_value(confidence, RESEAT_WORDS_CONFIDENCE);
}

static inline words words_days(double days)
{
    return reseat_words_value(days, RESEAT_WORDS_DAYS);
}

static inline words words_degrees(double deg)
{
    return reseat_words_value(deg, RESEAT_WORDS_DEGREES);
}

/* A length with + or -, also before zero; and both parts of a pair, "X +0.0120 Y -0.0050". */
words words_signed(double mm, reseat_unit unit, int more);
words words_pair(reseat_xy mm, reseat_unit unit, int more);

/* "seat 180°", or "a turn of 180°" where the run's seat is not known. */
words words_place(bool seat_named, double seat_deg, double turn_deg);

words words_p(double p);      /* "p 0.0312", "p < 0.0001" */
words words_date(int64_t at); /* "2026-03-02" */
words words_time(int64_t at); /* "2026-03-02T06:00:00Z" */

/* What a noun takes after a count: "" after 1, else "s". */
const char *words_s(uint64_t count);

/* Escapes a text for a place: reseat_text_terminal, reseat_text_html, reseat_text_json. */
typedef size_t text_escape(const char *text, size_t length, char *out, size_t size);

/* Writes a text of any length, escaped for a place. */
void text_put(FILE *out, text_escape *escape, const char *text, size_t length);

/* Closes a stream of open_memstream; whether all that was written to it is there, in *text. */
bool text_close(FILE *stream, char *const *text);

#endif
