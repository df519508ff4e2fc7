/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_ERROR_H
#define RESEAT_BASE_ERROR_H

#include <assert.h>
#include <stdbool.h>
#include <stddef.h>
#include "reseat/status.h"

/*
 * What went wrong, in one line:
 *
 *     return error_read(error, at + 1, "expected a number", text, length);
 *     return error_set(error, RESEAT_ERR_RANGE, at + 1, "expected 1 to %d, read %s", most,
 *                      error_echo(text, length).text);
 *
 * Each fills *error, unless it is NULL, and returns the status. No %f, %g, %e, which follow the
 * locale: write numbers with reseat_number_format. Foreign bytes only through error_echo.
 */

#if defined(__GNUC__)
#define PRINTF_LIKE(text, values) __attribute__((format(printf, text, values)))
#else
#define PRINTF_LIKE(text, values)
#endif

/* Clears line, code and keys: who knows more sets it afterwards, as the next ones do. */
reseat_status error_set(reseat_error *error, reseat_status status, size_t column,
                        const char *format, ...) PRINTF_LIKE(4, 5);

/* About a field, column or option. */
reseat_status error_at(reseat_error *error, reseat_status status, const char *key,
                       const char *format, ...) PRINTF_LIKE(4, 5);

/* Names the key that an error is about; nothing for RESEAT_OK. */
reseat_status error_key(reseat_error *error, reseat_status status, const char *key);

/* Gives an error its code, and the other key that this speaks of, or "". */
reseat_status error_code(reseat_error *error, reseat_status status, reseat_error_code code,
                         const char *other_key);

/* The usual one: RESEAT_ERR_SYNTAX, `expected a number, read "ten"`. */
reseat_status error_read(reseat_error *error, size_t column, const char *expected,
                         const char *text, size_t length);

/* A status's own text and no column, for what is no fault of the bytes read. */
reseat_status error_plain(reseat_error *error, reseat_status status);

/* Foreign bytes as an error text shows them; lives until the end of the full expression. */
typedef struct error_echoed {
    char text[78];
} error_echoed;

/* "3,14" with its quotes, escaped, cut with `...` after 72 bytes; no bytes are `nothing`. */
error_echoed error_echo(const char *text, size_t length);

/*
 * impossible(condition): what other code rules out, as the comment beside it says, and what is
 * guarded against all the same. Tests stop there, a release goes on to the guard, and a build that
 * measures coverage has no such branch. The condition has no side effect.
 */

#ifdef RESEAT_COVERAGE
#define impossible(condition) (false && (condition))
#else
#define impossible(condition) (assert(!(condition)), (condition))
#endif

#endif
