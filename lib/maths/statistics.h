/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_STATISTICS_H
#define RESEAT_MATHS_STATISTICS_H

#include "reseat/history.h"
#include "reseat/status.h"

/*
 * Mean of n >= 1 values; RESEAT_ERR_TOO_FEW for none.
 *
 * Method    compensated sum, and once more of what is left about the mean.
 * Accuracy  1 ulp of the mean or 1e-16 of the largest value. Held, as that of the standard
 *           deviation, by tests/unit/statistics_test.c on the univariate sets of NIST StRD.
 */
reseat_status sample_mean(const double *values, size_t n, double *mean);

/* Standard deviation with n - 1, n >= 2; RESEAT_ERR_TOO_FEW below. Two passes, compensated. */
reseat_status sample_sd(const double *values, size_t n, double *sd);

/*
 * Median of n >= 1 values in any order; RESEAT_ERR_TOO_FEW for none. Time grows with n alone,
 * whatever the values are.
 */
reseat_status sample_median(const double *values, size_t n, double *median);

/* Mean of |values[i] - values[i - 1]|, n >= 2; RESEAT_ERR_TOO_FEW below. */
reseat_status sample_moving_range(const double *values, size_t n, double *range);

/* Most values that trend_fit takes. */
#define TREND_MAX 1000

/* Doubles of workspace that trend_fit needs for n values. */
size_t trend_workspace(size_t n);

/*
 * Trend of values over time.
 *
 *   times, values  in   n of each; finite; any order, equal times allowed
 *   n              in   2 to TREND_MAX
 *   workspace      out  trend_workspace(n) doubles or more, `room` of them
 *   trend          out  slopes in units of the values over units of the times
 *
 * Returns RESEAT_OK, else *trend is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite, or a slope overflows
 *   RESEAT_ERR_TOO_FEW     n below 2
 *   RESEAT_ERR_RANGE       n above TREND_MAX
 *   RESEAT_ERR_SPACE       workspace too small
 *   RESEAT_ERR_SINGULAR    all times are equal
 *
 * Method    Theil-Sen slope, Mann-Kendall test. Pairs at equal times are left out. p is exact for
 *           n <= 10 without ties, else normal with continuity and Kendall's variance for ties in
 *           both; the interval lies at ranks floor((N - C)/2) and ceil((N + C)/2) + 1 of the N
 *           slopes, C = 1.95996 times the root of that variance. n^2 steps, whatever the values.
 * Accuracy  1e-12 relative. Held by tests/unit/statistics_test.c.
 * Threads   no shared state.      Memory  the caller's workspace.
 */
reseat_status trend_fit(const double *times, const double *values, size_t n,
                                          double *workspace, size_t room, reseat_trend *trend);

#endif
