/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Numbers read in one unit and wanted in another. */
#ifndef RESEAT_SCALED_H
#define RESEAT_SCALED_H

#include <stddef.h>
#include "reseat/status.h"

#define RESEAT_FACTOR_MAX 999

/*
 * As reseat_number_parse, times factor * 10^power. The digits themselves are multiplied, so that
 * the result is rounded once: 99.73 with power -2 has the bits of 0.9973. (With a factor, digits
 * beyond the 768th may go the wrong way at a tie.)
 *
 *   factor  in  1 to RESEAT_FACTOR_MAX
 *   power   in  -99 to 99
 */
reseat_status reseat_number_scaled(const char *text, size_t length, int factor, int power,
                                   double *value, reseat_error *error);

#endif
