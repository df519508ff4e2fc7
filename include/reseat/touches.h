/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Reading the touches of a calibration from CSV. */
#ifndef RESEAT_TOUCHES_H
#define RESEAT_TOUCHES_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/fit.h"
#include "reseat/status.h"
#include "reseat/units.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_TOUCHES_MAX 2048 /* in one file and in one reduction */

/* What a file of touches has. */
typedef struct reseat_touches {
    size_t count;
    reseat_unit unit; /* of its lengths; the touches themselves are in mm */
    bool has_turn;
    bool has_dir;
    bool has_z;
    bool has_set;
} reseat_touches;

/*
 * Reads touches: a header line with the columns in any order, then a row for each touch.
 *
 *   turn_deg             spindle turned by; 0 where there is no such column
 *   dir_deg              direction of machine motion; found from the geometry if not given
 *   x_mm, y_mm, z_mm     spindle position; z only for a sphere; or all with _in, or all with _um
 *   set                  repeat number, a whole one
 *
 *   text, length  in   the file's bytes (see reseat/csv.h); empty rows are passed over
 *   list          out  `room` touches; no file has more than RESEAT_TOUCHES_MAX
 *   touches       out  how many there are, and which columns
 *   error         out  line, column and name of the column that is wrong; may be NULL
 *
 * Returns RESEAT_OK, else the list and *touches are as they were:
 *   RESEAT_ERR_ARGUMENT    text, list or touches is NULL
 *   RESEAT_ERR_SYNTAX      a column unknown, missing, twice or in another unit; a field that is no
 *                          number or too many of them in a row; quotes out of place
 *   RESEAT_ERR_NOT_FINITE  a number is too large
 *   RESEAT_ERR_RANGE       a repeat number that is not whole, or beyond a million; more touches
 *                          than RESEAT_TOUCHES_MAX
 *   RESEAT_ERR_TOO_FEW     no row below the header
 *   RESEAT_ERR_SPACE       more touches than `room`
 *
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_touches_read(const char *text, size_t length, reseat_touch *list,
                                             size_t room, reseat_touches *touches,
                                             reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
