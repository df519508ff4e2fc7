/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_DISTRIBUTIONS_H
#define RESEAT_MATHS_DISTRIBUTIONS_H

#include "reseat/status.h"

/* Chance that a standard normal value is at least |z| away from 0: erfc(|z| / sqrt 2). */
double normal_two_sided(double z);

/*
 * The value that is exceeded with chance 1 - p, 0 < p < 1. Degrees of freedom are 1 to 1e6 for
 * Student's t, whole or not, for chi-square even, 2 to 100000. Both return RESEAT_OK, or NOT_FINITE
 * or RANGE with the output as it was.
 *
 * Accuracy  1e-12 relative for p from 1e-12 (chi-square: 1e-300), and for 1 - p as its double has
 *           it; t is exactly 0 at 1/2. Held by tests/unit/distributions_test.c.
 */
reseat_status student_quantile(double p, double dof, double *t);
reseat_status chi_square_quantile(double p, unsigned dof, double *x);

#endif
