/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_ERROR_H
#define RESEAT_BASE_ERROR_H

#include <assert.h>
#include <stdbool.h>
#include <stddef.h>
#include "reseat/status.h"

/*
 * How every reader of text says what went wrong, in one line:
 *
 *     return error_read(error, at + 1, "expected a number", text, length);
 *     return error_set(error, RESEAT_ERR_RANGE, at + 1, "expected 1 to %d, read %s", most,
 *                             error_echo(text, length).text);
 *
 * The format takes no floating conversion (%f, %g, %e): those follow the locale. Write numbers with
 * reseat_number_format first. Foreign bytes go through error_echo, never in by %s alone.
 */

#if defined(__GNUC__)
#define PRINTF_LIKE(text, values) __attribute__((format(printf, text, values)))
#else
#define PRINTF_LIKE(text, values)
#endif

/*
 * Fills *error, unless it is NULL, and returns the status. Line, key and spare are cleared: a
 * caller that knows them sets them afterwards, and adds to the column what stands before its part.
 */
reseat_status error_set(reseat_error *error, reseat_status status, size_t column,
                        const char *format, ...) PRINTF_LIKE(4, 5);

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
 * impossible(condition): what other code here rules out and what is guarded against all the same,
 * so that a mistake there does no harm. The comment beside it says what rules it out. Tests stop
 * where it comes true, a release goes on to the guard, and a build that measures coverage (tests/
 * coverage.sh) has no such branch, since no test can reach it. The condition has no side effect.
 */

#ifdef RESEAT_COVERAGE
#define impossible(condition) (false && (condition))
#else
#define impossible(condition) (assert(!(condition)), (condition))
#endif

#endif
