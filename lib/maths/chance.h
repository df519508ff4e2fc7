/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_CHANCE_H
#define RESEAT_MATHS_CHANCE_H

#include "reseat/status.h"
#include "reseat/values.h"

/* What the chance of the disc is made of: private to lib/chance*.c. */

/* A mean this many standard deviations away from the limit has a chance of 0 or 1 to 1e-17. */
#define CHANCE_REACH 9.0

/* The error along one of its covariance's own axes; a mirror image has the same chance. */
typedef struct chance_axis {
    double mean;  /* >= 0 */
    double sd;    /* >= 0 */
    double chord; /* limit^2 - mean^2, below 0 beyond the limit */
} chance_axis;

/*
 * The error in the frame of its covariance's axes, scaled by a power of two. The three differences
 * of squares are rounded once: where the scatter is narrow they decide, and no digit of them could
 * be got back from the lengths.
 */
typedef struct chance_error {
    chance_axis major; /* sd > 0 */
    chance_axis minor; /* sd at most that of major */
    double limit;      /* from 0.5 to below 1 */
    double inside;     /* limit^2 - |mean|^2 */
} chance_error;

/* Chance by going round the disc; nodes grow with limit / minor.sd. minor.sd > 0 */
double reseat_chance_around(const chance_error *error);

/* Chance by strips across the disc, however narrow the scatter. */
double reseat_chance_across(const chance_error *error);

/*
 * Chance that a plane normal error keeps within a distance: P(|N(mean, covariance)| <= limit).
 *
 *   mean_mm         in   centre (x, y); mm; finite
 *   covariance_mm2  in   positive semidefinite; mm^2; finite; may be singular or zero
 *   limit_mm        in   > 0; mm
 *   chance          out  0 to 1
 *
 * Returns RESEAT_OK, else *chance is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    chance is NULL
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite
 *   RESEAT_ERR_RANGE       limit not above 0, or the matrix is no covariance
 *
 * Method    in standard deviations the disc is an ellipse, whose boundary is gone round in polar
 *           coordinates about the mean: P = (1/2 pi) contour integral of (1 - exp(-rho^2/2))
 *           d alpha. Scatter that is narrow against the limit is taken by strips across the disc
 *           instead. Both by the trapezoid rule, which converges
 *           geometrically here, with the step halved until it settles. A singular matrix is a
 *           one-dimensional chance; one with an eigenvalue below 0 by rounding (1.4e-14 of the
 *           other) counts as singular.
 * Accuracy  1e-12 absolute for the numbers as given, for any covariance, mean and scale. Held by
 *           tests/unit/chance_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
reseat_status chance_disc(reseat_xy mean_mm, reseat_cov covariance_mm2,
                                            double limit_mm, double *chance);

/*
 * Chance that a normal error in one direction keeps within a limit: P(|N(mean, sd^2)| <= limit).
 *
 *   mean_mm   in   mm; finite
 *   sd_mm     in   standard deviation; mm; >= 0; at 0 the chance is 1 or 0, the limit itself is in
 *   limit_mm  in   >= 0; mm
 *   chance    out  0 to 1
 *
 * Returns as chance_disc.
 *
 * Accuracy  1e-15 absolute; small chances, in the tails and of narrow limits, keep a relative
 *           accuracy of 1e-12. Held by tests/unit/chance_test.c.
 */
reseat_status chance_line(double mean_mm, double sd_mm, double limit_mm,
                                            double *chance);

#endif
