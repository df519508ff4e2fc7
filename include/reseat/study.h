/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Repeated reseats: the scatter of one seating, and which part of the offset stays with the
 * spindle (handbook sections 3 and 7).
 */
#ifndef RESEAT_STUDY_H
#define RESEAT_STUDY_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/plane.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_STUDY_MAX 2048     /* seatings in one study */
#define RESEAT_STUDY_DOF_NEEDED 3 /* for a scatter that is more than a guess */

/* One seating and what was found of it: an offset, or the reading of a gauge's centre. */
typedef struct reseat_seating {
    double seat_deg;
    reseat_xy found_mm;
    size_t line; /* in the file it was read from, from 1; 0 if none */
} reseat_seating;

typedef struct reseat_study {
    size_t seatings;
    size_t seats;         /* different ones */
    size_t dof;           /* of u_seat: 2 seatings less 4 unknowns, or 2 with one seat alone */
    double u_seat_mm;     /* scatter of one seating, per axis */
    bool has_probe;       /* two or more seats */
    reseat_xy probe_mm;   /* b, the part that turns with the probe, at seat 0 */
    double probe_u_mm;    /* standard, per axis, the worse one; widened for few seatings */
    bool has_spindle;     /* two or more seats, and offsets rather than readings */
    reseat_xy spindle_mm; /* a, the part that stays with the spindle */
    double spindle_u_mm;
    bool assumed;         /* dof below RESEAT_STUDY_DOF_NEEDED: u from 0.002 mm a seating */
} reseat_study;

/*
 * Least squares o = a + R(seat) b over seatings.
 *
 *   seatings  in   count of them, 2 to RESEAT_STUDY_MAX; finite
 *   readings  in   false: offsets o, each found by a whole run; true: readings m of the centre of a
 *                  gauge that stayed where it is, with the same offset in use. By the sign of
 *                  section 3, m = gauge + in use - o: b is found, a is not.
 *   study     out
 *
 * Returns RESEAT_OK, else *study is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE  an input or the result is not finite
 *   RESEAT_ERR_RANGE       more than RESEAT_STUDY_MAX
 *   RESEAT_ERR_TOO_FEW     fewer than 2
 *   RESEAT_ERR_SINGULAR    seats so close together that their difference is lost in rounding
 *
 * Method    Householder QR, the seatings less their middle; u = sqrt(largest eigenvalue of the
 *           part's covariance * dof / (dof - 2)).
 * Accuracy  1e-12 of the largest coordinate's range. Held by tests/unit/study_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_study_solve(const reseat_seating *seatings, size_t count,
                                            bool readings, reseat_study *study);

/*
 * Reads seatings from CSV: `seat_deg` and either `offset_x_mm`, `offset_y_mm` or, for readings,
 * `x_mm`, `y_mm`; or all with _in, or all with _um. Arguments and errors as reseat_touches_read
 * (reseat/touches.h), and a table with columns of both kinds is a RESEAT_ERR_SYNTAX.
 */
RESEAT_API reseat_status reseat_study_read(const char *text, size_t length, reseat_seating *list,
                                           size_t room, size_t *count, bool *readings,
                                           reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
