/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * A slow peer for the chance of the disc that shares nothing with it: in long double, over the
 * coordinate along the larger axis, the density times the difference of two error functions, by
 * adaptive Gauss-Legendre quadrature between breaks at everything that is narrow.
 */
#ifndef RESEAT_TESTS_DISC_PEER_H
#define RESEAT_TESTS_DISC_PEER_H

#include <math.h>
#include <stdlib.h>
#include "random.h"
#include "reseat/seat.h"
#include "maths/plane.h"

typedef struct disc_peer {
    long double major, minor, major_sd, minor_sd, limit;
} disc_peer;

static inline long double disc_normal_between(long double low, long double high)
{
    const long double root_half = 0.707106781186547524400844362104849039L;
    if (low > 0)
        return (erfcl(low * root_half) - erfcl(high * root_half)) / 2;
    if (high < 0)
        return (erfcl(-high * root_half) - erfcl(-low * root_half)) / 2;
    return (erfl(high * root_half) - erfl(low * root_half)) / 2;
}

/* In the angle that makes the position limit * sin(angle), so that no root is left at the ends. */
static inline long double disc_integrand(const disc_peer *d, long double angle)
{
    const long double x = d->limit * sinl(angle), half = d->limit * cosl(angle);
    const long double t = (x - d->major) / d->major_sd;
    const long double inner = disc_normal_between((-half - d->minor) / d->minor_sd,
                                                  (half - d->minor) / d->minor_sd);
    return 0.398942280401432677939946059934381868L * expl(-t * t / 2) / d->major_sd * half * inner;
}

static inline long double disc_gauss(const disc_peer *d, long double from, long double to)
{
    static const long double nodes[5] = {
        0.148874338981631210884826001129719985L, 0.433395394129247190799265943165784162L,
        0.679409568299024406234327365114873576L, 0.865063366688984510732096688423493049L,
        0.973906528517171720077964012084452053L};
    static const long double weights[5] = {
        0.295524224714752870173815619188769299L, 0.269266719309996355091226921569469353L,
        0.219086362515982043995534934228163192L, 0.149451349150580593145863396957697720L,
        0.066671344308688137593568809893331793L};
    const long double middle = (from + to) / 2, half = (to - from) / 2;
    long double sum = 0;
    for (int i = 0; i < 5; i++)
        sum += weights[i] * (disc_integrand(d, middle - half * nodes[i]) +
                             disc_integrand(d, middle + half * nodes[i]));
    return sum * half;
}

static inline long double disc_adaptive(const disc_peer *d, long double from, long double to,
                                        long double whole, int depth)
{
    const long double middle = (from + to) / 2;
    const long double left = disc_gauss(d, from, middle), right = disc_gauss(d, middle, to);
    if (depth <= 0 || fabsl(left + right - whole) < 1e-17L)
        return left + right;
    return disc_adaptive(d, from, middle, left, depth - 1) +
           disc_adaptive(d, middle, to, right, depth - 1);
}

static inline int disc_compare(const void *a, const void *b)
{
    const long double x = *(const long double *)a, y = *(const long double *)b;
    return (x > y) - (x < y);
}

/* Breaks at steps about the mean, and where an end of the strip passes the mean. */
static inline size_t disc_breaks(const disc_peer *d, long double *breaks)
{
    static const long double steps[] = {-12, -6, -3, -1, 0, 1, 3, 6, 12};
    const long double quarter = 1.570796326794896619231321691639751442L;
    size_t n = 0;
    breaks[n++] = -quarter;
    breaks[n++] = quarter;
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        const long double x = (d->major + steps[i] * d->major_sd) / d->limit;
        const long double w = (fabsl(d->minor) + steps[i] * d->minor_sd) / d->limit;
        if (fabsl(x) < 1)
            breaks[n++] = asinl(x);
        if (fabsl(w) < 1) {
            breaks[n++] = acosl(fabsl(w));
            breaks[n] = -breaks[n - 1];
            n++;
        }
    }
    qsort(breaks, n, sizeof *breaks, disc_compare);
    return n;
}

typedef struct disc_case {
    reseat_xy mean;
    reseat_cov covariance;
    double limit;
} disc_case;

static inline reseat_cov disc_covariance(double major_sd, double minor_sd, double axis_deg)
{
    const reseat_xy u = reseat_plane_unit(axis_deg);
    const double major = major_sd * major_sd, minor = minor_sd * minor_sd;
    return (reseat_cov){major * u.x * u.x + minor * u.y * u.y, (major - minor) * u.x * u.y,
                        major * u.y * u.y + minor * u.x * u.x};
}

/* P(|N(mean, covariance)| <= limit); positive definite. Good to 1e-13 while every scatter is at
   least 1e-8 of the limit. */
static inline double disc_chance(const disc_case *question)
{
    const long double x = (long double)question->mean.x, y = (long double)question->mean.y;
    const long double xx = (long double)question->covariance.xx;
    const long double xy = (long double)question->covariance.xy;
    const long double yy = (long double)question->covariance.yy;
    const long double angle = atan2l(2 * xy, xx - yy) / 2, co = cosl(angle), si = sinl(angle);
    const long double major = (xx + yy + hypotl(xx - yy, 2 * xy)) / 2;
    const long double square = xy * xy; /* the determinant may be a 1e-14th of its terms */
    const long double determinant = fmal(xx, yy, -square) - fmal(xy, xy, -square);
    const disc_peer d = {.major = x * co + y * si,
                         .minor = y * co - x * si,
                         .major_sd = sqrtl(major),
                         .minor_sd = sqrtl(determinant / major),
                         .limit = (long double)question->limit};
    long double breaks[32], sum = 0;
    const size_t n = disc_breaks(&d, breaks);
    for (size_t i = 0; i + 1 < n; i++)
        sum += disc_adaptive(&d, breaks[i], breaks[i + 1],
                             disc_gauss(&d, breaks[i], breaks[i + 1]), 40);
    return (double)sum;
}

/* Scatter from 1e-8 to 30 of the limit, round to thin; means on the limit, near it in the smaller
   or the larger scatter, or anywhere; in any direction or nearly along an axis of the scatter. */
static inline disc_case disc_random(uint64_t *seed)
{
    const double limit = random_log(seed, -4, 1);
    const double major = limit * random_log(seed, -3, 1.5);
    const double thin[] = {1, random_log(seed, -1, 0), random_log(seed, -5, 0)};
    const double minor = major * thin[random_bits(seed) % 3];
    const double axis_deg = random_between(seed, -180, 180);
    const double away[] = {limit, limit + minor * random_between(seed, -4, 4),
                           limit + major * random_between(seed, -4, 4),
                           limit * random_between(seed, 0, 3)};
    const double along_deg = axis_deg + 90 * (double)(random_bits(seed) % 4);
    const double toward[] = {random_between(seed, -180, 180), along_deg,
                             along_deg + random_log(seed, -6, 1)};
    const reseat_xy far = {away[random_bits(seed) % 4], 0};
    return (disc_case){plane_rotate(far, toward[random_bits(seed) % 3]),
                       disc_covariance(major, minor, axis_deg), limit};
}

#endif
