/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "maths/statistics.h"

#include <math.h>
#include <stdlib.h>
#include "base/error.h"
#include "maths/distributions.h"
#include "maths/plane.h"

/* A sum and what rounding took from it (Neumaier's way: the larger of the two is known). */
typedef struct sum {
    double total;
    double lost;
} sum;

static void sum_add(sum *s, double value)
{
    const double total = s->total + value;
    if (fabs(s->total) >= fabs(value))
        s->lost += (s->total - total) + value;
    else
        s->lost += (value - total) + s->total;
    s->total = total;
}

/* Sum of values about a centre; NaN if it overflows. */
static double sum_about(const double *values, size_t n, double centre)
{
    sum s = {0, 0};
    for (size_t i = 0; i < n; i++)
        sum_add(&s, values[i] - centre);
    return s.total + s.lost;
}

static double mean_of(const double *values, size_t n)
{
    const double first = sum_about(values, n, 0) / (double)n;
    return first + sum_about(values, n, first) / (double)n;
}

static double moving_range_of(const double *values, size_t n)
{
    sum s = {0, 0};
    for (size_t i = 1; i < n; i++)
        sum_add(&s, fabs(values[i] - values[i - 1]));
    return (s.total + s.lost) / (double)(n - 1);
}

static int compare_numbers(const void *a, const void *b)
{
    const double *const first = a, *const second = b;
    return (*first > *second) - (*first < *second);
}

/* Of a sorted list. */
static double median_of(const double *sorted, size_t n)
{
    const double upper = sorted[n / 2];
    return n % 2 == 1 ? upper : sorted[n / 2 - 1] / 2 + upper / 2;
}

/* What `least` values or more say. */
static reseat_status take(double (*of)(const double *values, size_t n), size_t least,
                          const double *values, size_t n, double *out)
{
    if (n < least)
        return RESEAT_ERR_TOO_FEW;
    const double value = numbers_are_finite(values, n) ? of(values, n) : (double)NAN;
    if (!isfinite(value))
        return RESEAT_ERR_NOT_FINITE;
    *out = value;
    return RESEAT_OK;
}

reseat_status sample_mean(const double *values, size_t n, double *mean)
{
    return take(mean_of, 1, values, n, mean);
}

reseat_status sample_moving_range(const double *values, size_t n, double *range)
{
    return take(moving_range_of, 2, values, n, range);
}

/* Sums over groups of t equal values, as Kendall's variance needs them. */
typedef struct ties {
    double two;       /* t (t - 1) */
    double three;     /* t (t - 1) (t - 2) */
    double weighted;  /* t (t - 1) (2 t + 5) */
} ties;

static bool same(double a, double b)
{
    return !(a < b) && !(a > b);
}

/* Each value counts its equals: t values of a group, each with t, make the sum over groups. */
static ties count_ties(const double *values, size_t n)
{
    ties all = {0, 0, 0};
    for (size_t i = 0; i < n; i++) {
        double t = 0;
        for (size_t j = 0; j < n; j++)
            t += same(values[i], values[j]) ? 1 : 0;
        all.two += t - 1;
        all.three += (t - 1) * (t - 2);
        all.weighted += (t - 1) * (2 * t + 5);
    }
    return all;
}

/* Variance of S where there is no trend, with ties in times and values. */
static double kendall_variance(size_t count, const ties *times, const ties *values)
{
    const double n = (double)count;
    double variance = (n * (n - 1) * (2 * n + 5) - times->weighted - values->weighted) / 18;
    variance += times->two * values->two / (2 * n * (n - 1));
    if (count > 2)
        variance += times->three * values->three / (9 * n * (n - 1) * (n - 2));
    return variance;
}

/*
 * Chance of |S| or more, either way, over all orders of n <= 10 different values. An order with k
 * pairs that fall has S = n(n - 1)/2 - 2k; their number grows value by value, as the next one can
 * be put before 0, 1, ... of those there.
 */
static double kendall_exact(size_t n, int64_t s)
{
    assert(n <= 10);
    double orders[46] = {1};
    double all = 1;
    for (size_t m = 2; m <= n; m++) {
        all *= (double)m;
        for (size_t k = m * (m - 1) / 2; k > 0; k--)
            for (size_t put = 1; put < m && put <= k; put++)
                orders[k] += orders[k - put];
    }
    const int64_t pairs = (int64_t)(n * (n - 1) / 2);
    const int64_t most = (pairs - (s < 0 ? -s : s)) / 2;
    double tail = 0;
    for (int64_t k = 0; k <= most; k++)
        tail += orders[k];
    return fmin(1, 2 * tail / all);
}

static double kendall_normal(int64_t s, double variance)
{
    if (s == 0 || impossible(!(variance > 0))) /* of values that differ, at different times */
        return 1;
    return normal_two_sided(((double)(s < 0 ? -s : s) - 1) / sqrt(variance));
}

/* Slopes of all pairs at different times into `slopes`; false if one overflows. */
static bool pair_up(const double *times, const double *values, size_t n, double *slopes,
                    reseat_trend *trend)
{
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < i; j++) {
            if (same(times[i], times[j]))
                continue;
            const double rise = values[i] - values[j];
            const double slope = rise / (times[i] - times[j]);
            if (!isfinite(slope))
                return false;
            slopes[trend->pairs++] = slope + 0.0; /* no -0 */
            const int sign = (rise > 0) - (rise < 0);
            trend->s += times[i] > times[j] ? sign : -sign;
        }
    }
    return true;
}

/* Slope and its interval: ranks are from 1 and clipped to the slopes there are. */
static void fit_slope(double *slopes, double variance, reseat_trend *trend)
{
    qsort(slopes, trend->pairs, sizeof *slopes, compare_numbers);
    const double n = (double)trend->pairs;
    const double c = 1.95996 * sqrt(variance);
    const double low = fmax(floor((n - c) / 2), 1);
    const double high = fmin(ceil((n + c) / 2) + 1, n);
    trend->slope = median_of(slopes, trend->pairs);
    trend->low = slopes[(size_t)low - 1];
    trend->high = slopes[(size_t)high - 1];
}

size_t trend_workspace(size_t n)
{
    return n < 2 || n > TREND_MAX ? 0 : n * (n - 1) / 2;
}

reseat_status trend_fit(const double *times, const double *values, size_t n, double *workspace,
                        size_t room, reseat_trend *trend)
{
    if (n < 2)
        return RESEAT_ERR_TOO_FEW;
    if (n > TREND_MAX)
        return RESEAT_ERR_RANGE;
    if (room < trend_workspace(n))
        return RESEAT_ERR_SPACE;
    reseat_trend found = {0};
    if (!numbers_are_finite(times, n) || !numbers_are_finite(values, n) ||
        !pair_up(times, values, n, workspace, &found))
        return RESEAT_ERR_NOT_FINITE;
    if (found.pairs == 0)
        return RESEAT_ERR_SINGULAR;
    const ties in_times = count_ties(times, n);
    const ties in_values = count_ties(values, n);
    const double variance = kendall_variance(n, &in_times, &in_values);
    const bool tied = in_times.two > 0 || in_values.two > 0;
    found.p = n <= 10 && !tied ? kendall_exact(n, found.s) : kendall_normal(found.s, variance);
    fit_slope(workspace, variance, &found);
    *trend = found;
    return RESEAT_OK;
}
