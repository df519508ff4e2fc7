/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How every reader of text says what went wrong, in one line:
 *
 *     return reseat_error_read(error, at + 1, "expected a number", text, length);
 *     return reseat_error_set(error, RESEAT_ERR_RANGE, at + 1, "expected 1 to %d, read %s", most,
 *                             reseat_error_echo(text, length).text);
 *
 * The format takes no floating conversion (%f, %g, %e): those follow the locale. Write numbers with
 * reseat_number_format first. Foreign bytes go through reseat_error_echo, never in by %s alone.
 */
#ifndef RESEAT_ERROR_H
#define RESEAT_ERROR_H

#include <stddef.h>
#include "reseat/status.h"

#if defined(__GNUC__)
#define RESEAT_PRINTF(text, values) __attribute__((format(printf, text, values)))
#else
#define RESEAT_PRINTF(text, values)
#endif

/*
 * Fills *error, unless it is NULL, and returns the status. Line, key and spare are cleared: a
 * caller that knows them sets them afterwards, and adds to the column what stands before its part.
 */
reseat_status reseat_error_set(reseat_error *error, reseat_status status, size_t column,
                               const char *format, ...) RESEAT_PRINTF(4, 5);

/* The usual one: RESEAT_ERR_SYNTAX, `expected a number, read "ten"`. */
reseat_status reseat_error_read(reseat_error *error, size_t column, const char *expected,
                                const char *text, size_t length);

/* A status's own text and no column, for what is no fault of the bytes read. */
reseat_status reseat_error_plain(reseat_error *error, reseat_status status);

/* Foreign bytes as an error text shows them; lives until the end of the full expression. */
typedef struct reseat_echo {
    char text[78];
} reseat_echo;

/* "3,14" with its quotes, made harmless, cut with `...` after 72 bytes; no bytes are `nothing`. */
reseat_echo reseat_error_echo(const char *text, size_t length);

#endif
