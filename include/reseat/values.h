/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Numbers, lengths, times and texts: how people and files write them, the same under every locale.
 */
#ifndef RESEAT_VALUES_H
#define RESEAT_VALUES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A vector of the XY plane. */
typedef struct reseat_xy {
    double x;
    double y;
} reseat_xy;

/* A symmetric 2 by 2 matrix, such as a covariance. */
typedef struct reseat_cov {
    double xx;
    double xy;
    double yy;
} reseat_cov;

/* Numbers as text, in and out, the same under every locale. */

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

/* Lengths, pairs of lengths and shares, as people type them. */

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

/* What a size that a person types is of: each has its own range of what is usual. */
typedef enum reseat_size {
    RESEAT_SIZE_ANY = 0,           /* not judged */
    RESEAT_SIZE_LIMIT = 1,         /* 0.0005 to 0.2 mm */
    RESEAT_SIZE_TOLERANCE = 2,     /* 0.005 to 2 mm */
    RESEAT_SIZE_OFFSET = 3,        /* a pair, up to 1 mm; not both under 0.0001 mm unless both 0 */
    RESEAT_SIZE_PART = 4,          /* a pair, up to 1 mm */
    RESEAT_SIZE_U = 5,             /* up to 0.1 mm: standard uncertainties, lobing */
    RESEAT_SIZE_SHIFT_U = 6,       /* the same; 0 is always refused */
    RESEAT_SIZE_RADIUS = 7,        /* 0.1 to 25 mm */
    RESEAT_SIZE_DIAMETER = 8,      /* of a gauge: 1 to 500 mm */
    RESEAT_SIZE_STYLUS_LENGTH = 9, /* 5 to 1000 mm */
    RESEAT_SIZE_READING = 10,      /* a pair, up to 10 m */
    RESEAT_SIZE_TEMPERATURE = 11,  /* always -10 to 60 degrees Celsius */
    RESEAT_SIZE_CONFIDENCE = 12,   /* always 50 % to below 100 % */
    RESEAT_SIZE_AT = 13,           /* always from 1990 on */
    RESEAT_SIZE_FEATURE = 14       /* the tolerance within the text of a feature */
} reseat_size;

/* Room for what reseat_size_judge notes, with its NUL. */
#define RESEAT_SIZE_NOTE 192

/*
 * Judges a size as a person typed it: a slip in the unit shows as a number that is out of all
 * proportion. A bare length outside its range is refused, with what to type instead; one with its
 * unit at the number is meant so, and is noted. For what is typed alone: what is on record stands.
 *
 *   size   in   what it is the size of
 *   text   in   as typed; one that does not read, or a length that is 0 or less, is no matter of
 *               sizes and left to its reader, but for RESEAT_SIZE_SHIFT_U
 *   unit   in   what a bare number is in
 *   note   out  RESEAT_SIZE_NOTE bytes: what a person is to be told of a size taken, or ""
 *   error  out  may be NULL
 *
 * Returns RESEAT_OK, else note is as it was: RESEAT_ERR_RANGE where it is refused,
 * RESEAT_ERR_ARGUMENT. Held by tests/unit/sizes_test.c.
 */
RESEAT_API reseat_status reseat_size_judge(reseat_size size, const char *text, reseat_unit unit,
                                           char *note, reseat_error *error);

/* Points in time: whole seconds of UTC, as RFC 3339 text. */

/* "2026-03-02T06:00:00Z" and its NUL. */
#define RESEAT_TIME_SIZE 21

/*
 * Reads an RFC 3339 time, `2026-03-02T06:00:00Z` or with an offset such as `+01:00`; the seconds
 * may be left out. The whole text is read. Years 1 to 9999; a fraction of a second is refused, as
 * records hold whole seconds.
 *
 *   seconds  out  since 1970-01-01T00:00:00Z, leap seconds not counted
 *
 * Returns RESEAT_OK, else *seconds is as it was before the call:
 *   RESEAT_ERR_ARGUMENT  text or seconds is NULL
 *   RESEAT_ERR_SYNTAX    not of that form, no zone given, or no such day or hour
 */
RESEAT_API reseat_status reseat_time_parse(const char *text, size_t length, int64_t *seconds,
                                           reseat_error *error);

/*
 * Writes a time in UTC, whole seconds, ending in `Z`.
 *
 *   seconds  in   from year 1 to the end of year 9999
 *   text     out  RESEAT_TIME_SIZE bytes
 *
 * Returns RESEAT_OK, RESEAT_ERR_ARGUMENT or RESEAT_ERR_RANGE.
 */
RESEAT_API reseat_status reseat_time_format(int64_t seconds, char *text);

/* Text from outside, escaped for the place where it is shown. */

/*
 * Each writes the bytes of `text` for one kind of place and returns the length of the whole
 * result without NUL, as snprintf does: a result that does not fit in `size` is cut (at a
 * character) and still ends in NUL, and out may be NULL with size 0.
 *
 *   terminal  control bytes, C1, line and paragraph separators, bidirectional controls, zero-width
 *             characters and bad UTF-8 appear as \xHH or \u{HHHH}
 *   csv       the same, quoted by RFC 4180 where needed and where a semicolon is in it; a text that
 *             begins with = + - @ tab or CR gets a leading '
 *   html      the same, and & < > " ' escaped: for text and for quoted attributes
 *   json      the inside of a JSON string (RFC 8259): the same characters as \uHHHH or \n, \r, \t;
 *             each byte of bad UTF-8 becomes U+FFFD
 *
 * A text that is NULL is an empty one. Nothing is allocated.
 */
RESEAT_API size_t reseat_text_terminal(const char *text, size_t length, char *out, size_t size);
RESEAT_API size_t reseat_text_csv(const char *text, size_t length, char *out, size_t size);
RESEAT_API size_t reseat_text_html(const char *text, size_t length, char *out, size_t size);
RESEAT_API size_t reseat_text_json(const char *text, size_t length, char *out, size_t size);

/*
 * Index of the name nearest to a mistyped word by edit distance (a swap of neighbours counts as
 * one step), or `count` when none is within a third of the word's length, at least 1. Of equally
 * near names the first; words and names of more than 64 bytes are near nothing.
 */
RESEAT_API size_t reseat_text_nearest(const char *word, const char *const *names, size_t count);

#ifdef __cplusplus
}
#endif
#endif
