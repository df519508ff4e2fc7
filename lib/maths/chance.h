/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_CHANCE_H
#define RESEAT_MATHS_CHANCE_H

#include "reseat/values.h"

/*
 * Chance that a plane normal error keeps within a distance: P(|N(mean, covariance)| <= limit). The
 * covariance, positive semidefinite, may be singular or zero; limit > 0. Returns RESEAT_OK, or with
 * *chance as it was NOT_FINITE, or RANGE, also where the matrix is no covariance.
 * A matrix with an eigenvalue below 0 by rounding (1.4e-14 of the other) counts as singular.
 *
 * Accuracy  1e-12 absolute for the numbers as given, for any covariance, mean and scale. Held by
 *           tests/unit/chance_test.c.
 */
reseat_status chance_disc(reseat_xy mean_mm, reseat_cov covariance_mm2, double limit_mm,
                          double *chance);

/*
 * Chance that a normal error in one direction keeps within a limit: P(|N(mean, sd^2)| <= limit),
 * sd and limit >= 0. At sd 0 it is 1 or 0, and the limit itself is in. Returns as chance_disc.
 *
 * Accuracy  1e-15 absolute; small chances, in the tails and of narrow limits, keep a relative
 *           accuracy of 1e-12. Held by tests/unit/chance_test.c.
 */
reseat_status chance_line(double mean_mm, double sd_mm, double limit_mm, double *chance);

#endif
