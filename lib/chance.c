/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/chance.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include "chance_parts.h"
#include "normal.h"
#include "twofold.h"

/* An eigenvalue below zero by no more than this share of the largest is a rounding of zero. */
static const double ROUNDING = 0x1p-46;

/*
 * Powers of two against the limit. Scatter below the smallest acts as there: limit^2 less the
 * squares of the mean is zero or has its last bit far above. Beyond the largest scatter the chance
 * is 0, and so it is beyond that mean, which not even the largest scatter reaches.
 */
static const int SMALLEST_SCATTER = -200;
static const int LARGEST_SCATTER = 300;
static const int LARGEST_MEAN = 310;

/* Up to this limit in standard deviations, with at most 102 nodes, going round is faster. */
static const double AROUND_RATIO = 10;

static bool is_zero(reseat_cov c)
{
    return !(fabs(c.xx) > 0) && !(fabs(c.xy) > 0) && !(fabs(c.yy) > 0);
}

/* Whether the axes of a matrix near 1 are of no account, or too close to round to be found. */
static bool is_round(reseat_cov c)
{
    return fabs(c.xx - c.yy) + 2 * fabs(c.xy) < 0x1p-120;
}

/* value < 2^exponent, the least that holds; 0 has that of the least double. */
static int exponent_of(double value)
{
    int exponent = DBL_MIN_EXP - DBL_MANT_DIG;
    if (value > 0)
        frexp(value, &exponent);
    return exponent;
}

static twofold square(twofold a)
{
    return twofold_multiply(a, a);
}

/* limit^2 - |mean|^2, the larger square first: what is left is no larger than the other */
static twofold inside_disc(reseat_xy mean, double limit)
{
    const double large = fmax(fabs(mean.x), fabs(mean.y));
    const double small = fmin(fabs(mean.x), fabs(mean.y));
    return twofold_subtract(
        twofold_subtract(twofold_product(limit, limit), twofold_product(large, large)),
        twofold_product(small, small));
}

/*
 * Eigenvalues, the smaller through the determinant, which may be a 1e-30th of its two terms. False
 * if the matrix is no covariance.
 */
static bool find_scatter(reseat_cov c, double *major_variance, double *minor_variance)
{
    const double major = (c.xx + c.yy + hypot(c.xx - c.yy, 2 * c.xy)) / 2;
    const double minor =
        twofold_subtract(twofold_product(c.xx, c.yy), twofold_product(c.xy, c.xy)).high / major;
    if (!(major > 0) || !(minor >= -ROUNDING * major))
        return false;
    *major_variance = major;
    *minor_variance = fmin(fmax(minor, 0), major);
    return true;
}

/* A vector along the larger axis, by the half of the formula that does not cancel. */
static void find_major_axis(reseat_cov c, twofold *x, twofold *y)
{
    const twofold difference = twofold_sum(c.xx, -c.yy);
    const twofold cross = {2 * c.xy, 0};
    const twofold spread = twofold_sqrt(twofold_add(square(difference), square(cross)));
    *x = cross;
    *y = cross;
    if (difference.high >= 0)
        *x = twofold_add(spread, difference);
    else
        *y = twofold_subtract(spread, difference);
}

/*
 * The mean in the frame of the axes. To twice the precision, since where narrow scatter touches the
 * disc the last bit of a double decides between a chance of 0 and one of 1e-8.
 */
static void turn_to_axes(reseat_xy mean, reseat_cov c, twofold *major, twofold *minor)
{
    twofold x, y;
    find_major_axis(c, &x, &y);
    const twofold mean_x = {mean.x, 0}, mean_y = {mean.y, 0};
    const twofold length = twofold_sqrt(twofold_add(square(x), square(y)));
    *major = twofold_divide(
        twofold_add(twofold_multiply(mean_x, x), twofold_multiply(mean_y, y)), length);
    *minor = twofold_divide(
        twofold_subtract(twofold_multiply(mean_y, x), twofold_multiply(mean_x, y)), length);
}

static void place_mean(reseat_xy mean, reseat_cov c, chance_error *error)
{
    twofold major = {hypot(mean.x, mean.y), 0}, minor = {0, 0};
    if (!is_round(c)) /* else any axis will do: the one through the mean has a mirror image */
        turn_to_axes(mean, c, &major, &minor);
    const twofold inside = inside_disc(mean, error->limit);
    error->inside = inside.high;
    error->major.mean = fabs(major.high);
    error->minor.mean = fabs(minor.high);
    /* each from the other: the sum is as good as inside where the other is small */
    error->major.chord = twofold_add(inside, square(minor)).high;
    error->minor.chord = twofold_add(inside, square(major)).high;
}

/* Whether the mean lies so far outside the band of one axis that nothing reaches into it. */
static bool is_beyond(const chance_axis *axis, double limit)
{
    return -axis->chord > CHANCE_REACH * axis->sd * (axis->mean + limit);
}

static double chance_of_scatter(const chance_error *e)
{
    const double reach = CHANCE_REACH * e->major.sd *
                         (hypot(e->major.mean, e->minor.mean) + e->limit);
    if (is_beyond(&e->major, e->limit) || is_beyond(&e->minor, e->limit) || -e->inside > reach)
        return 0;
    if (e->inside > reach)
        return 1;
    const double chance = e->limit <= AROUND_RATIO * e->minor.sd ? reseat_chance_around(e)
                                                                  : reseat_chance_across(e);
    return fmin(fmax(chance, 0), 1);
}

static reseat_cov scale_covariance(reseat_cov c, int exponent)
{
    return (reseat_cov){ldexp(c.xx, exponent), ldexp(c.xy, exponent), ldexp(c.yy, exponent)};
}

/* The mean and limit near 1; false if the mean is so far away that no scatter reaches the disc. */
static bool scale_lengths(reseat_xy *mean, double *limit)
{
    const int exponent = exponent_of(*limit);
    if (exponent_of(fmax(fabs(mean->x), fabs(mean->y))) - exponent > LARGEST_MEAN)
        return false;
    *mean = (reseat_xy){ldexp(mean->x, -exponent), ldexp(mean->y, -exponent)};
    *limit = ldexp(*limit, -exponent);
    return true;
}

/* Without scatter it is certain whether the error keeps the limit, which itself is in. */
static double chance_of_point(reseat_xy mean, double limit)
{
    return scale_lengths(&mean, &limit) && inside_disc(mean, limit).high >= 0 ? 1 : 0;
}

/*
 * The chance, or false if the matrix, not zero, is no covariance. Powers of two bring its largest
 * entry and the limit near 1 first, so that no square overflows or vanishes.
 */
static bool find_chance(reseat_xy mean, reseat_cov c, double limit, double *chance)
{
    const int half = exponent_of(fmax(fabs(c.xy), fmax(fabs(c.xx), fabs(c.yy)))) / 2;
    const reseat_cov scatter = scale_covariance(c, -2 * half);
    double major_variance, minor_variance;
    if (!find_scatter(scatter, &major_variance, &minor_variance))
        return false;

    int ratio = half - exponent_of(limit);
    *chance = 0;
    if (ratio > LARGEST_SCATTER || !scale_lengths(&mean, &limit))
        return true;
    if (ratio < SMALLEST_SCATTER)
        ratio = SMALLEST_SCATTER;
    chance_error error = {.major = {.sd = ldexp(sqrt(major_variance), ratio)},
                          .minor = {.sd = ldexp(sqrt(minor_variance), ratio)},
                          .limit = limit};
    place_mean(mean, scatter, &error);
    *chance = chance_of_scatter(&error);
    return true;
}

reseat_status reseat_chance_disc(reseat_xy mean_mm, reseat_cov covariance_mm2, double limit_mm,
                                 double *chance)
{
    const reseat_cov c = covariance_mm2;
    if (chance == NULL)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(mean_mm.x) || !isfinite(mean_mm.y) || !isfinite(limit_mm) ||
        !isfinite(c.xx) || !isfinite(c.xy) || !isfinite(c.yy))
        return RESEAT_ERR_NOT_FINITE;
    if (!(limit_mm > 0))
        return RESEAT_ERR_RANGE;
    if (is_zero(c)) {
        *chance = chance_of_point(mean_mm, limit_mm);
        return RESEAT_OK;
    }
    return find_chance(mean_mm, c, limit_mm, chance) ? RESEAT_OK : RESEAT_ERR_RANGE;
}

/*
 * Whether the difference of two tails would lose more digits of P(c - h <= X <= c + h) than its
 * Taylor series. c >= 0; beyond 40 the chance is 0, but the powers of c need not be finite.
 */
static bool is_narrow(double c, double h)
{
    return c < 40 && h * (1 + c) < 0.05;
}

/* The series about the middle, to h^7. */
static double chance_of_narrow(double c, double h)
{
    const double c2 = c * c, h2 = h * h;
    const double fourth = c2 * (c2 - 6) + 3;
    const double sixth = c2 * (c2 * (c2 - 15) + 45) - 15;
    return 2 * h * normal_density(c) *
           (1 + h2 * ((c2 - 1) / 6 + h2 * (fourth / 120 + h2 * sixth / 5040)));
}

reseat_status reseat_chance_line(double mean_mm, double sd_mm, double limit_mm, double *chance)
{
    if (chance == NULL)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(mean_mm) || !isfinite(sd_mm) || !isfinite(limit_mm))
        return RESEAT_ERR_NOT_FINITE;
    if (!(sd_mm >= 0) || !(limit_mm >= 0))
        return RESEAT_ERR_RANGE;
    const double mean = fabs(mean_mm);
    if (!(sd_mm > 0))
        *chance = mean <= limit_mm ? 1 : 0;
    else if (is_narrow(mean / sd_mm, limit_mm / sd_mm))
        *chance = chance_of_narrow(mean / sd_mm, limit_mm / sd_mm);
    else
        *chance = normal_between((-limit_mm - mean) / sd_mm, (limit_mm - mean) / sd_mm);
    return RESEAT_OK;
}
