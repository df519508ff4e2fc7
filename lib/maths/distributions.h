/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_DISTRIBUTIONS_H
#define RESEAT_MATHS_DISTRIBUTIONS_H

#include "reseat/status.h"

/* Chance that a standard normal value is at least |z| away from 0: erfc(|z| / sqrt 2). */
reseat_status normal_two_sided(double z, double *p);

/*
 * Upper tail of Student's t: the chance of more than t.
 *
 *   t    in   finite
 *   dof  in   degrees of freedom, 1 to 1e6, whole or not
 *   p    out  0 to 1; 0 where it is too small for a double
 *
 * Method    incomplete beta function, as a series of positive terms in the middle and as a
 *           continued fraction outside.
 * Accuracy  1e-12 relative down to p of 1e-300. Held by tests/unit/distributions_test.c.
 */
reseat_status student_tail(double t, double dof, double *p);

/*
 * Quantile of Student's t: the value that is exceeded with chance 1 - p.
 *
 *   p    in   lower tail, above 0 and below 1
 *   dof  in   degrees of freedom, 1 to 1e6, whole or not
 *   t    out  negative for p below 1/2, exactly 0 at 1/2
 *
 * Method    Newton on the logarithm of the tail outside, on the middle area inside.
 * Accuracy  1e-12 relative for p from 1e-12, and for 1 - p as its double has it. Held by
 *           tests/unit/distributions_test.c.
 * Example   99.5 % point for 10 degrees of freedom: student_quantile(0.995, 10, &t)
 */
reseat_status student_quantile(double p, double dof, double *t);

/*
 * Upper tail of chi-square for an even number of degrees of freedom: the chance of more than x.
 *
 *   x    in   >= 0
 *   dof  in   even, 2 to 100000
 *   p    out  0 to 1; 0 where it is too small for a double
 *
 * Method    exp(-x/2) (1 + (x/2) + ... + (x/2)^(dof/2 - 1) / (dof/2 - 1)!), a sum of Poisson
 *           chances, of which those of the smaller side are added up from the largest on.
 * Accuracy  1e-12 relative down to p of 1e-300. Held by tests/unit/distributions_test.c.
 */
reseat_status chi_square_tail(double x, unsigned dof, double *p);

/*
 * Quantile of chi-square for an even number of degrees of freedom: exceeded with chance 1 - p.
 *
 *   p    in   lower tail, above 0 and below 1
 *   dof  in   even, 2 to 100000
 *
 * Accuracy  1e-12 relative for p from 1e-300, and for 1 - p as its double has it. Held by
 *           tests/unit/distributions_test.c.
 */
reseat_status chi_square_quantile(double p, unsigned dof, double *x);

#endif
