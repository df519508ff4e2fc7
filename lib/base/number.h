/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_NUMBER_H
#define RESEAT_BASE_NUMBER_H

#include <float.h>
#include <stddef.h>
#include "reseat/status.h"

/*
 * Two promises rest on every operation being rounded to a double at once: that a result has the
 * same bits everywhere, and the differences taken to twice the precision (maths/chance.c).
 */
#if !defined(FLT_EVAL_METHOD) || FLT_EVAL_METHOD != 0
#error "reseat needs FLT_EVAL_METHOD 0: on 32-bit x86 compile with -msse2 -mfpmath=sse"
#endif

/* Numbers read in one unit and wanted in another. */

#define NUMBER_FACTOR_MAX 999

/*
 * As reseat_number_parse, times factor * 10^power. The digits themselves are multiplied, so that
 * the result is rounded once: 99.73 with power -2 has the bits of 0.9973. (With a factor, digits
 * beyond the 768th may go the wrong way at a tie.)
 *
 *   factor  in  1 to NUMBER_FACTOR_MAX
 *   power   in  -99 to 99
 */
reseat_status number_scaled(const char *text, size_t length, int factor, int power,
                            double *value, reseat_error *error);

/*
 * Writes a number with a fixed count of digits after the point, rounded to nearest, ties to even.
 *
 *   value     in   finite
 *   decimals  in   0 to 17
 *   text      out  RESEAT_NUMBER_SIZE bytes; a result of zero has no minus sign
 *
 * Returns as reseat_number_format, and RESEAT_ERR_RANGE for decimals outside 0 to 17.
 */
reseat_status number_fixed(double value, int decimals, char *text);

/*
 * Reads digits alone, so that no count has a sign, a point, a blank or a zero in front. Returns
 * RESEAT_ERR_SYNTAX, or RESEAT_ERR_RANGE outside least to most, with *value as it was.
 */
static inline reseat_status count_parse(const char *text, size_t length, unsigned least,
                                        unsigned most, unsigned *value)
{
    if (length == 0 || (length > 1 && text[0] == '0'))
        return RESEAT_ERR_SYNTAX;
    unsigned read = 0;
    for (size_t i = 0; i < length; i++) {
        if (text[i] < '0' || text[i] > '9')
            return RESEAT_ERR_SYNTAX;
        if (read <= most)
            read = 10 * read + (unsigned)(text[i] - '0');
    }
    if (read < least || read > most)
        return RESEAT_ERR_RANGE;
    *value = read;
    return RESEAT_OK;
}

#endif
