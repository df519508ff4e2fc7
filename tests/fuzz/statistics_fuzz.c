/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a row of numbers says, against the definitions in long double: mean, moving range, and
 * the trend by all pairs. Values and times are small whole numbers of a step, so that they often
 * tie.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "input.h"
#include "reseat/history.h"
#include "maths/statistics.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define VALUES_MAX 48

typedef struct row {
    size_t n;
    double times[VALUES_MAX], values[VALUES_MAX];
} row;

static int by_size(const void *a, const void *b)
{
    const long double x = *(const long double *)a, y = *(const long double *)b;
    return (x > y) - (x < y);
}

static void require_near(double actual, long double expected, long double size)
{
    require(fabsl(actual - expected) <= 1e-12L * fabsl(expected) + size);
}

static void check_moments(const row *r)
{
    long double sum = 0, moves = 0, most = 0;
    const size_t n = r->n;
    double mean, range;
    for (size_t i = 0; i < n; i++) {
        sum += r->values[i];
        most = fmaxl(most, fabsl(r->values[i]));
        moves += i > 0 ? fabsl((long double)r->values[i] - r->values[i - 1]) : 0;
    }
    require(sample_mean(r->values, n, &mean) == RESEAT_OK);
    require_near(mean, sum / n, 2e-16L * most);
    require(sample_moving_range(r->values, n, &range) ==
            (n < 2 ? RESEAT_ERR_TOO_FEW : RESEAT_OK));
    if (n < 2)
        return;
    require_near(range, moves / (n - 1), 4e-16L * most);
}

/* Sum over the groups of equal numbers of a product of their count. */
typedef struct ties {
    long double pairs, triples, kendall; /* t(t-1), t(t-1)(t-2), t(t-1)(2t+5) */
} ties;

static ties ties_of(const double *x, size_t n)
{
    ties sum = {0, 0, 0};
    for (size_t i = 0; i < n; i++) {
        long double same = 0;
        bool first = true;
        for (size_t j = 0; j < n; j++) {
            const bool equal = !(x[j] < x[i]) && !(x[j] > x[i]);
            same += equal;
            first = first && !(equal && j < i);
        }
        if (!first)
            continue;
        sum.pairs += same * (same - 1);
        sum.triples += same * (same - 1) * (same - 2);
        sum.kendall += same * (same - 1) * (2 * same + 5);
    }
    return sum;
}

static long double kendall_variance(const row *r)
{
    const long double n = r->n;
    const ties t = ties_of(r->times, r->n), v = ties_of(r->values, r->n);
    const long double base = (n * (n - 1) * (2 * n + 5) - t.kendall - v.kendall) / 18;
    const long double threes =
        n > 2 ? t.triples * v.triples / (9 * n * (n - 1) * (n - 2)) : 0;
    /* where all is tied the terms cancel but for their rounding */
    return fmaxl(0, base + threes + t.pairs * v.pairs / (2 * n * (n - 1)));
}

/* Chance of |S| or more without a trend: of the orders of n, as many have so many inversions. */
static long double exact_p(size_t n, long s)
{
    long double ways[46] = {1}, total = 1, tail = 0;
    const long most = (long)(n * (n - 1) / 2);
    for (size_t k = 2; k <= n; k++) {
        long double next[46] = {0};
        for (long i = 0; i <= most; i++)
            for (long j = 0; j < (long)k && i + j <= most; j++)
                next[i + j] += ways[i];
        memcpy(ways, next, sizeof ways);
        total *= k;
    }
    for (long i = 0; i <= most; i++)
        tail += labs(most - 2 * i) >= labs(s) ? ways[i] / total : 0;
    return tail;
}

static long double normal_p(long s, long double variance)
{
    const long double z = s == 0 ? 0 : (labs(s) - 1) / sqrtl(variance);
    return variance > 0 ? erfcl(z / sqrtl(2)) : 1;
}

static void check_interval(const long double *slopes, size_t pairs, long double variance,
                           const reseat_trend *trend)
{
    const long double c = 1.95996L * sqrtl(variance);
    const long double low = ((long double)pairs - c) / 2, high = ((long double)pairs + c) / 2;
    if (fabsl(low - roundl(low)) < 1e-6L || fabsl(high - roundl(high)) < 1e-6L)
        return; /* rounding decides the rank */
    const long first = (long)floorl(low), last = (long)ceill(high) + 1, all = (long)pairs;
    require_near(trend->low, slopes[(first < 1 ? 1 : first) - 1], 0);
    require_near(trend->high, slopes[(last > all ? all : last) - 1], 0);
}

static void check_trend(const row *r)
{
    static long double slopes[VALUES_MAX * VALUES_MAX];
    static double room[VALUES_MAX * VALUES_MAX * 4];
    size_t pairs = 0;
    long s = 0;
    for (size_t i = 0; i < r->n; i++)
        for (size_t j = 0; j < r->n; j++) {
            const long double run = (long double)r->times[j] - r->times[i];
            const long double rise = (long double)r->values[j] - r->values[i];
            if (!(run > 0))
                continue;
            slopes[pairs++] = rise / run;
            s += (rise > 0) - (rise < 0);
        }
    reseat_trend trend;
    const size_t doubles = trend_workspace(r->n);
    require(doubles <= sizeof room / sizeof room[0]);
    const reseat_status status =
        trend_fit(r->times, r->values, r->n, room, doubles, &trend);
    if (r->n < 2 || pairs == 0) {
        require(status == (r->n < 2 ? RESEAT_ERR_TOO_FEW : RESEAT_ERR_SINGULAR));
        return;
    }
    require(status == RESEAT_OK && trend.s == s && trend.pairs == pairs);
    qsort(slopes, pairs, sizeof slopes[0], by_size);
    require_near(trend.slope, (slopes[(pairs - 1) / 2] + slopes[pairs / 2]) / 2, 1e-16L);
    const bool tied = ties_of(r->times, r->n).pairs > 0 || ties_of(r->values, r->n).pairs > 0;
    const long double variance = kendall_variance(r);
    require_near(trend.p, r->n <= 10 && !tied ? exact_p(r->n, s) : normal_p(s, variance), 0);
    check_interval(slopes, pairs, variance, &trend);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    row r = {.n = 0};
    input in = {data, size};
    const unsigned bits = take_byte(&in);
    const double level = bits & 1 ? take_size(&in, -3, 6) : 0, step = take_size(&in, -9, 0);
    while (in.left > 0 && r.n < VALUES_MAX) {
        r.times[r.n] = bits & 2 ? (double)r.n : (double)take_byte(&in) / 4;
        r.values[r.n++] = level + step * (double)take_byte(&in);
    }
    if (r.n == 0)
        return 0;
    check_moments(&r);
    check_trend(&r);
    return 0;
}
