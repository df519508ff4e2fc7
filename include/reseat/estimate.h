/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What is believed of a probe in the spindle, and the error that follows at one turn: mean,
 * scatter, and the chance that no touch is wrong by more than a limit (handbook section 6).
 */
#ifndef RESEAT_ESTIMATE_H
#define RESEAT_ESTIMATE_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/plane.h"
#include "reseat/radius.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* The terms of the uncertainty budget, in the order in which they are shown. */
typedef enum reseat_term {
    RESEAT_TERM_RUN = 0,
    RESEAT_TERM_SEAT = 1,
    RESEAT_TERM_TURN = 2,
    RESEAT_TERM_SPINDLE = 3,
    RESEAT_TERM_TOUCH = 4,
    RESEAT_TERM_DRIFT = 5,
    RESEAT_TERM_LOBING = 6,
    RESEAT_TERM_AXIAL = 7,
    RESEAT_TERM_SHIFT = 8 /* of a gauge check's shift; never assumed */
} reseat_term;
#define RESEAT_TERM_COUNT 9

/* "u_run", "u_seat" ... "u_drift", "lobing", "u_axial", "shift_u"; "" where there is no term. */
RESEAT_API const char *reseat_term_name(reseat_term term);

/* Standard uncertainties; each finite and >= 0. */
typedef struct reseat_terms {
    double u_run_mm;     /* of the stored offset, per axis */
    double u_seat_mm;    /* scatter of one seating, per axis, at the ball */
    double u_turn_deg;   /* scatter of the orientation stop and key play */
    double u_spindle_mm; /* how well the spindle's part is known, per axis */
    double u_touch_mm;   /* probe repeatability, per axis */
    double u_drift_mm;   /* growth since the run, per axis */
    double u_axial_mm;   /* Z scatter of one seating */
    double lobing_mm;    /* largest radius change by a turn where lobes are not on record, unless
                            the radii that are there spread more */
    unsigned assumed;    /* bit 1u << reseat_term: the handbook's figure stands in */
} reseat_terms;

/* The handbook's figures, every term marked assumed but u_drift_mm, which is 0 and not. */
RESEAT_API reseat_terms reseat_terms_assumed(void);

/*
 * Gives a term a value, which is then no longer assumed.
 *   value  in   mm, or degrees for RESEAT_TERM_TURN; finite; >= 0
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT (NULL; RESEAT_TERM_SHIFT, which is no part of the
 * terms), _NOT_FINITE, _RANGE with *terms as it was.
 */
RESEAT_API reseat_status reseat_terms_give(reseat_terms *terms, reseat_term term, double value);

typedef struct reseat_estimate {
    reseat_xy offset_mm;  /* found by the run */
    reseat_xy in_use_mm;  /* subtracted by the control; the run's unless said otherwise */
    reseat_xy spindle_mm; /* part that stays with the spindle; {0, 0} if unknown */
    reseat_terms terms;
    bool out;             /* the probe has, or may have, been out since the run: two seatings */

    /* Radius by direction on record; curve NULL if there is none. */
    const reseat_radius_curve *curve;
    const double *dirs_deg; /* the directions on record, dirs of them; may be NULL with 0 */
    size_t dirs;

    /* A gauge check passed on since the last reseat: its shift replaces error and scatter. */
    bool verified;
    reseat_xy shift_mm;
    double shift_u_mm;    /* standard uncertainty per axis, >= 0 */
} reseat_estimate;

/*
 * Gives the part of the offset that stays with the spindle. An assumed u_spindle falls to 0.0002
 * mm with it, and stays assumed. Returns RESEAT_OK, RESEAT_ERR_ARGUMENT or RESEAT_ERR_NOT_FINITE.
 */
RESEAT_API reseat_status reseat_estimate_give_spindle(reseat_estimate *estimate,
                                                      reseat_xy spindle_mm);

typedef struct reseat_effect {
    double turn_deg;          /* (-180, 180] */
    reseat_xy error_mm;       /* reported minus true */
    reseat_cov covariance_mm2;
    double hidden_mm;         /* radius change either way, where lobes are not on record; else 0 */
    double radius_u_mm;       /* rms residual of the curve, where they are; else 0 */
} reseat_effect;

/*
 * Error of every position at one turn, and its covariance.
 *
 *   estimate  in   finite; terms >= 0
 *   turn_deg  in   seat now minus seat at the run; any finite value
 *   effect    out
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *effect as it was.
 *
 * Method    C = (u_run^2 + n u_seat^2 + u_drift^2 + u_touch^2 + 4 sin^2(turn/2) u_spindle^2) I
 *           + 2 (|q| u_turn)^2 t t', t the unit vector across R(turn) q; handbook section 6.
 */
RESEAT_API reseat_status reseat_estimate_effect(const reseat_estimate *estimate, double turn_deg,
                                                reseat_effect *effect);

/*
 * Chance that the error stays within the limit at one turn: the smaller of that of the disc and,
 * if the probe is turned, of surfaces touched from every 15 degrees, the directions on record and
 * the bearing of the error, lobes included, hidden ones in the worse sign.
 *
 *   limit_mm  in   > 0; mm
 *   chance    out  0 to 1; 1e-12 absolute
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *chance as it was.
 */
RESEAT_API reseat_status reseat_estimate_chance(const reseat_estimate *estimate, double turn_deg,
                                                double limit_mm, double *chance);

#ifdef __cplusplus
}
#endif
#endif
