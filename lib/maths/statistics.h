/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_STATISTICS_H
#define RESEAT_MATHS_STATISTICS_H

#include "reseat/history.h"

/*
 * Mean of 1 value or more; compensated sum, and once more of what is left about the mean. Both
 * return RESEAT_OK, or TOO_FEW or NOT_FINITE with the output as it was.
 * Accuracy  1 ulp of the mean or 1e-16 of the largest value. Held by tests/unit/statistics_test.c
 *           on the univariate sets of NIST StRD.
 */
reseat_status sample_mean(const double *values, size_t n, double *mean);

/* Of 2 or more: mean of |values[i] - values[i - 1]|. */
reseat_status sample_moving_range(const double *values, size_t n, double *range);

/* Most values that trend_fit takes. */
#define TREND_MAX 1000

/* Doubles of workspace that trend_fit needs for n values. */
size_t trend_workspace(size_t n);

/*
 * Trend of 2 to TREND_MAX values over times in any order, equal ones allowed; trend_workspace(n)
 * doubles or more of workspace. *trend is as it was with NOT_FINITE (a slope that overflows, too),
 * TOO_FEW, RANGE, SPACE, and SINGULAR where all times are equal.
 *
 * Method    Theil-Sen slope, Mann-Kendall test. Pairs at equal times are left out. p is exact for
 *           n <= 10 without ties, else normal with continuity and Kendall's variance for ties in
 *           both; the interval lies at ranks floor((N - C)/2) and ceil((N + C)/2) + 1 of the N
 *           slopes, C = 1.95996 times the root of that variance. The slopes are sorted.
 * Accuracy  1e-12 relative. Held by tests/unit/statistics_test.c.
 */
reseat_status trend_fit(const double *times, const double *values, size_t n, double *workspace,
                        size_t room, reseat_trend *trend);

#endif
