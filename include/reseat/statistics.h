/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Distributions, and what a row of numbers says: mean, scatter, median, trend. */
#ifndef RESEAT_STATISTICS_H
#define RESEAT_STATISTICS_H

#include <stddef.h>
#include <stdint.h>
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * The functions below share no state and allocate nothing. Each returns RESEAT_OK, else its output
 * is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite, or the result overflows
 *   RESEAT_ERR_RANGE       an input lies outside the range stated
 * and what is stated beside it.
 */

/* Chance that a standard normal value is at least |z| away from 0: erfc(|z| / sqrt 2). */
RESEAT_API reseat_status reseat_normal_two_sided(double z, double *p);

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
RESEAT_API reseat_status reseat_student_tail(double t, double dof, double *p);

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
 * Example   99.5 % point for 10 degrees of freedom: reseat_student_quantile(0.995, 10, &t)
 */
RESEAT_API reseat_status reseat_student_quantile(double p, double dof, double *t);

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
RESEAT_API reseat_status reseat_chi_square_tail(double x, unsigned dof, double *p);

/*
 * Quantile of chi-square for an even number of degrees of freedom: exceeded with chance 1 - p.
 *
 *   p    in   lower tail, above 0 and below 1
 *   dof  in   even, 2 to 100000
 *
 * Accuracy  1e-12 relative for p from 1e-300, and for 1 - p as its double has it. Held by
 *           tests/unit/distributions_test.c.
 */
RESEAT_API reseat_status reseat_chi_square_quantile(double p, unsigned dof, double *x);

/*
 * Mean of n >= 1 values; RESEAT_ERR_TOO_FEW for none.
 *
 * Method    compensated sum, and once more of what is left about the mean.
 * Accuracy  1 ulp of the mean or 1e-16 of the largest value. Held, as that of the standard
 *           deviation, by tests/unit/statistics_test.c on the univariate sets of NIST StRD.
 */
RESEAT_API reseat_status reseat_sample_mean(const double *values, size_t n, double *mean);

/* Standard deviation with n - 1, n >= 2; RESEAT_ERR_TOO_FEW below. Two passes, compensated. */
RESEAT_API reseat_status reseat_sample_sd(const double *values, size_t n, double *sd);

/*
 * Median of n >= 1 values in any order; RESEAT_ERR_TOO_FEW for none. Time grows with n alone,
 * whatever the values are.
 */
RESEAT_API reseat_status reseat_sample_median(const double *values, size_t n, double *median);

/* Mean of |values[i] - values[i - 1]|, n >= 2; RESEAT_ERR_TOO_FEW below. */
RESEAT_API reseat_status reseat_sample_moving_range(const double *values, size_t n, double *range);

/* Most values that reseat_trend_fit takes. */
#define RESEAT_TREND_MAX 1000

/* A trend without assumptions about the scatter: Mann-Kendall and Theil-Sen. */
typedef struct reseat_trend {
    double slope; /* median of the slopes of all pairs at different times */
    double low;   /* 95 % interval of the slope */
    double high;
    double p;     /* chance of so much order, either way, where there is no trend */
    int64_t s;    /* pairs that rise less pairs that fall */
    size_t pairs; /* at different times */
} reseat_trend;

/* Doubles of workspace that reseat_trend_fit needs for n values. */
RESEAT_API size_t reseat_trend_workspace(size_t n);

/*
 * Trend of values over time.
 *
 *   times, values  in   n of each; finite; any order, equal times allowed
 *   n              in   2 to RESEAT_TREND_MAX
 *   workspace      out  reseat_trend_workspace(n) doubles or more, `room` of them
 *   trend          out  slopes in units of the values over units of the times
 *
 * Returns RESEAT_OK, else *trend is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite, or a slope overflows
 *   RESEAT_ERR_TOO_FEW     n below 2
 *   RESEAT_ERR_RANGE       n above RESEAT_TREND_MAX
 *   RESEAT_ERR_SPACE       workspace too small
 *   RESEAT_ERR_SINGULAR    all times are equal
 *
 * Method    handbook section 11. Pairs at equal times are left out. p is exact for n <= 10 without
 *           ties, else normal with continuity and Kendall's variance for ties in both; the
 *           interval lies at ranks floor((N - C)/2) and ceil((N + C)/2) + 1 of the N slopes, C =
 *           1.95996 times the root of that variance. n^2 steps, whatever the values are.
 * Accuracy  1e-12 relative. Held by tests/unit/statistics_test.c.
 * Threads   no shared state.      Memory  the caller's workspace.
 */
RESEAT_API reseat_status reseat_trend_fit(const double *times, const double *values, size_t n,
                                          double *workspace, size_t room, reseat_trend *trend);

#ifdef __cplusplus
}
#endif
#endif
