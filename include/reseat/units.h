/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Lengths, pairs of lengths and shares, as people type them. */
#ifndef RESEAT_UNITS_H
#define RESEAT_UNITS_H

#include <stdbool.h>
#include "reseat/plane.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum reseat_unit {
    RESEAT_MM = 0,
    RESEAT_UM = 1,
    RESEAT_INCH = 2,
    RESEAT_THOU = 3
} reseat_unit;

/* Reads `mm`, `um`, `µm` (either code point), `in` or `thou`: the whole text, lower case. */
RESEAT_API reseat_status reseat_unit_parse(const char *text, size_t length, reseat_unit *unit,
                                           reseat_error *error);

/* "mm", "um", "in", "thou"; "" for a value that is no unit. */
RESEAT_API const char *reseat_unit_name(reseat_unit unit);

/* Digits after the point that show a tenth of a micrometre: 4, 1, 6, 3. */
RESEAT_API int reseat_unit_decimals(reseat_unit unit);

/*
 * A length in mm, from a value in the unit; and back; NaN for a unit that is none. One rounding for
 * um, two for in and thou, of which the first is exact for whole values: 3in is the double 76.2.
 */
RESEAT_API double reseat_unit_to_mm(double value, reseat_unit unit);
RESEAT_API double reseat_unit_from_mm(double mm, reseat_unit unit);

/*
 * Reads a length: a number (reseat_number_parse) and directly after it a unit or nothing.
 *
 *   text, length  in   the bytes; the whole text is read
 *   unit          in   what a bare number is in
 *   mm            out  the length; finite; any sign
 *   error         out  what was expected and read; may be NULL
 *
 * Returns RESEAT_OK, else *mm is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    text or mm is NULL, or unit is no unit
 *   RESEAT_ERR_SYNTAX      no number, or what follows it is no unit
 *   RESEAT_ERR_NOT_FINITE  too large for a double
 *
 * Accuracy  correctly rounded: the bits are those of the same length typed in mm. (A length in or
 *           thou of more than 768 digits may go the wrong way at a tie.)
 *           Held by tests/unit/units_test.c.
 */
RESEAT_API reseat_status reseat_length_parse(const char *text, size_t length, reseat_unit unit,
                                             double *mm, reseat_error *error);

/*
 * Reads a pair of lengths `X,Y`: exactly one comma, a unit on both parts or on neither.
 * Arguments and errors as reseat_length_parse.
 */
RESEAT_API reseat_status reseat_length_pair_parse(const char *text, size_t length, reseat_unit unit,
                                                  reseat_xy *mm, reseat_error *error);

/*
 * Reads a share: a number from 0 to 1, or the same in per cent (`0.95`, `95%`), to the same bits.
 * Returns as reseat_number_parse, and RESEAT_ERR_RANGE outside 0 to 1.
 */
RESEAT_API reseat_status reseat_share_parse(const char *text, size_t length, double *share,
                                            reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
