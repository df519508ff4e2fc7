/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How results look to a person, and how a refusal looks to anybody. */
#ifndef RESEAT_CLI_TEXT_H
#define RESEAT_CLI_TEXT_H

#include "options.h"

struct asking;
struct json;

/* Exit codes; what each means stands in reseat --help. */
enum {
    EXIT_DONE = 0,
    EXIT_RECALIBRATE = 1,
    EXIT_INPUT = 2,
    EXIT_DAMAGED = 3,
    EXIT_IO = 4,
    EXIT_BUSY = 5,
    EXIT_NOTHING = 6
};

#define TEXT_SIZE 64

/* Makes a text harmless for a place: reseat_text_terminal, reseat_text_html, reseat_text_json. */
typedef size_t text_escape(const char *text, size_t length, char *out, size_t size);

/* Writes a text of any length harmless for a place. */
void text_put(FILE *out, text_escape *escape, const char *text, size_t length);

/* Closes a stream of open_memstream; whether all that was written to it is there, in *text. */
bool text_close(FILE *stream, char *const *text);

/* A length in the unit with the unit's usual digits, or with `more` digits beyond them. */
const char *text_length(char *out, double mm, reseat_unit unit, int more);

/* The same with + or -, also before zero. */
const char *text_signed(char *out, double mm, reseat_unit unit, int more);

/*
 * How many digits beyond the usual tell an error from the limit, where they would print alike, and
 * show at least two figures of the limit; 0 where none do.
 */
int text_more_digits(double error_mm, double limit_mm, reseat_unit unit);

/* A number with so many digits after the point: never by printf, whose point may be a comma. */
const char *text_decimal(char *out, double value, int decimals);

/* A chance in per cent, rounded down to a tenth: 100 % only from 0.9995. */
const char *text_chance(char *out, double chance);

/* A confidence in per cent, 95.0 %, with as many digits as it has. */
const char *text_confidence(char *out, double confidence);

/* What a noun takes after a count: "" after 1, else "s". */
const char *text_s(uint64_t count);

/* Days gone by, or to come: "less than a day", "1 day", "12 days". */
const char *text_days(char *out, double days);

/* "p 0.0312", or "p < 0.0001". */
const char *text_p(char *out, double p);

/* Degrees, with the fewest digits up to two after the point, and the sign of degrees. */
const char *text_degrees(char *out, double deg);

/* Why the verdict is not OK, one sentence for each reason. */
const char *text_reason(char *out, size_t size, const struct asking *asked,
                        const reseat_answer *answer, reseat_reason reason, reseat_unit unit);

/* "seat 180°", or "a turn of 180°" where the run's seat is not known. */
const char *text_where(char *out, const reseat_answer *answer, const reseat_outcome *outcome);

/* The caution that every screen with a verdict carries. */
const char *text_caution(void);

/* All cautions, one a text, NULL last; their lines are broken for a screen. */
const char *const *text_cautions(void);

/*
 * Says why nothing was done: one line on stderr, or an error object on stdout with --json. The
 * code is that of the exit; usage tells wrong use from bad input. Returns exit.
 */
int text_fail(const arguments *args, int exit, bool usage, const reseat_error *error);

/* The same for a status of the library, which may have left the text of the error empty. */
int text_fault(const arguments *args, reseat_status status, const reseat_error *error);

/* The same for a fault in a file: `FILE:LINE:COLUMN: KEY: ...`. */
int text_fault_in(const arguments *args, reseat_status status, const char *file,
                  const reseat_error *error);

/* The same from a plain text; key may be "". */
int text_refuse(const arguments *args, int exit, const char *key, const char *text);

/* The same for a status of the library that carries no reseat_error. */
int text_status(const arguments *args, reseat_status status, const char *doing);

/* The member `error` of a JSON object. */
void text_error_json(struct json *j, int exit, bool usage, const char *text);

/* Exit code of a status other than RESEAT_OK. */
int text_exit(reseat_status status);

#endif
