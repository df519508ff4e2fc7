/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Numbers as text, in and out, the same under every locale. */
#ifndef RESEAT_NUMBER_H
#define RESEAT_NUMBER_H

#include <stddef.h>
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Room for any number that reseat_number_format or reseat_number_fixed writes, with its NUL. */
#define RESEAT_NUMBER_SIZE 352

/*
 * Reads a decimal number that fills the whole text.
 *
 *   text, length  in   the bytes; need not end in NUL; length 0 is a syntax error
 *   value         out  the nearest double
 *   error         out  what was expected and read; may be NULL
 *
 * Grammar: optional sign; digits with at most one point, at least one digit; optional exponent
 * `e` or `E`, optional sign, digits. No zero before another digit, so that the two halves of
 * `0,003` are refused rather than taken for a pair. No blanks, no hexadecimal, no `nan`, `inf`.
 *
 * Returns RESEAT_OK, else *value is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    text or value is NULL
 *   RESEAT_ERR_SYNTAX      the text is not a number; a decimal comma is named as such
 *   RESEAT_ERR_NOT_FINITE  the number is too large for a double (`1e999`)
 *
 * Accuracy  correctly rounded, whatever the count of digits, in the default rounding direction; too
 *           small for a double gives 0 or a subnormal. Held by tests/unit/number_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_number_parse(const char *text, size_t length, double *value,
                                             reseat_error *error);

/*
 * Writes a number with the fewest of 15, 16 or 17 significant digits that read back the same bits.
 *
 *   value  in   finite
 *   text   out  RESEAT_NUMBER_SIZE bytes; a point whatever the locale; `-0` for minus zero;
 *               very large and small values as `1e15`, `-2.5e-7`
 *
 * Returns RESEAT_OK, else text is as it was:
 *   RESEAT_ERR_ARGUMENT    text is NULL
 *   RESEAT_ERR_NOT_FINITE  value is NaN or infinite
 */
RESEAT_API reseat_status reseat_number_format(double value, char *text);

/*
 * Writes a number with a fixed count of digits after the point, rounded to nearest, ties to even.
 *
 *   value     in   finite
 *   decimals  in   0 to 17
 *   text      out  RESEAT_NUMBER_SIZE bytes; a result of zero has no minus sign
 *
 * Returns as reseat_number_format, and RESEAT_ERR_RANGE for decimals outside 0 to 17.
 */
RESEAT_API reseat_status reseat_number_fixed(double value, int decimals, char *text);

#ifdef __cplusplus
}
#endif
#endif
