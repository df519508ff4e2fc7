/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/chance.h"

#include <math.h>
#include "chance_parts.h"
#include "normal.h"

/* An eigenvalue below zero by no more than this share of the largest is a rounding of zero. */
static const double ROUNDING = 0x1p-46;

/* A mean this many standard deviations away from the limit has a chance of 0 or 1 to 1e-17. */
static const double FAR_SDS = 9;

/*
 * Scatter below the limit by this power of two or more acts like this much: nothing that doubles
 * can tell about the limit is as small. Above it the chance is 0 to far below 1e-12.
 */
static const int SMALLEST_RATIO = -200;
static const int LARGEST_RATIO = 300;

/* Nodes that are enough round the disc: below it, at most 130, it is the fastest way. */
static const double AROUND_RATIO = 15;

static bool same_value(double a, double b)
{
    return !(a < b) && !(a > b);
}

static int exponent_of(double value)
{
    int exponent = 0;
    frexp(value, &exponent);
    return exponent;
}

/* Chance of an error without scatter: whether it keeps the limit, which is in. */
static double chance_of_point(reseat_xy mean, double limit)
{
    const twofold inside = twofold_subtract(
        twofold_product(limit, limit),
        twofold_add(twofold_product(mean.x, mean.x), twofold_product(mean.y, mean.y)));
    return inside.high >= 0 ? 1 : 0;
}

/*
 * Mean along and across the larger axis of the covariance. To twice the precision, since at a
 * narrow scatter that touches the disc the last bit of a double decides between 0 and 1e-8.
 */
static void turn_to_axes(reseat_xy mean, reseat_cov c, principal *error)
{
    const twofold difference = twofold_sum(c.xx, -c.yy);
    const twofold cross = {2 * c.xy, 0};
    const twofold spread = twofold_sqrt(twofold_add(twofold_multiply(difference, difference),
                                                    twofold_multiply(cross, cross)));
    /* the axis' direction, from the half of the formula that does not cancel */
    twofold x = cross, y = cross;
    if (difference.high >= 0)
        x = twofold_add(spread, difference);
    else
        y = twofold_subtract(spread, difference);
    twofold length = twofold_sqrt(twofold_add(twofold_multiply(x, x), twofold_multiply(y, y)));
    if (!(length.high > 0)) {
        x = length = (twofold){1, 0};
        y = (twofold){0, 0};
    }
    const twofold mean_x = {mean.x, 0}, mean_y = {mean.y, 0};
    error->major = twofold_divide(
        twofold_add(twofold_multiply(mean_x, x), twofold_multiply(mean_y, y)), length);
    error->minor = twofold_divide(
        twofold_subtract(twofold_multiply(mean_y, x), twofold_multiply(mean_x, y)), length);
}

/* Eigenvalues, the smaller through the determinant without cancellation; false if it is none. */
static bool find_scatter(reseat_cov c, double *major_variance, double *minor_variance)
{
    const double major = (c.xx + c.yy + hypot(c.xx - c.yy, 2 * c.xy)) / 2;
    const double square = c.xy * c.xy;
    const double determinant = fma(c.xx, c.yy, -square) - fma(c.xy, c.xy, -square);
    const double minor = determinant / major;
    if (!(major > 0) || !(minor >= -ROUNDING * major))
        return false;
    *major_variance = major;
    *minor_variance = fmin(fmax(minor, 0), major);
    return true;
}

/* Where the chance is 0 or 1 to far below its accuracy; false where it has to be worked out. */
static bool is_far(const principal *error, double *chance)
{
    const double major = fabs(error->major.high), minor = fabs(error->minor.high);
    if (major - error->limit >= FAR_SDS * error->major_sd ||
        minor - error->limit >= FAR_SDS * error->minor_sd ||
        hypot(major, minor) - error->limit >= FAR_SDS * error->major_sd) {
        *chance = 0;
        return true;
    }
    *chance = 1;
    return error->limit - hypot(major, minor) >= FAR_SDS * error->major_sd;
}

static double chance_of_scatter(const principal *error)
{
    double chance;
    if (is_far(error, &chance))
        return chance;
    if (error->limit <= AROUND_RATIO * error->minor_sd)
        chance = reseat_chance_around(error);
    else
        chance = reseat_chance_across(error);
    return fmin(fmax(chance, 0), 1);
}

static bool is_zero(reseat_cov c)
{
    return same_value(c.xx, 0) && same_value(c.xy, 0) && same_value(c.yy, 0);
}

static reseat_cov scale_covariance(reseat_cov c, int exponent)
{
    return (reseat_cov){ldexp(c.xx, exponent), ldexp(c.xy, exponent), ldexp(c.yy, exponent)};
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

    /* Powers of two bring the limit and the largest entry near 1, so that no square overflows. */
    const int limit_exponent = exponent_of(limit_mm);
    const double largest = fmax(fabs(c.xy), fmax(fabs(c.xx), fabs(c.yy)));
    const int sd_exponent = exponent_of(largest) / 2;
    const int mean_ratio =
        exponent_of(fmax(fabs(mean_mm.x), fabs(mean_mm.y))) - limit_exponent;
    int ratio = sd_exponent - limit_exponent;

    double major_variance = 0, minor_variance = 0;
    const reseat_cov scaled = scale_covariance(c, -2 * sd_exponent);
    if (!is_zero(c) && !find_scatter(scaled, &major_variance, &minor_variance))
        return RESEAT_ERR_RANGE;
    if (mean_ratio > LARGEST_RATIO + 10 || ratio > LARGEST_RATIO) {
        *chance = 0;
        return RESEAT_OK;
    }
    principal error = {.limit = ldexp(limit_mm, -limit_exponent)};
    const reseat_xy mean = {ldexp(mean_mm.x, -limit_exponent), ldexp(mean_mm.y, -limit_exponent)};
    if (is_zero(c)) {
        *chance = chance_of_point(mean, error.limit);
        return RESEAT_OK;
    }
    if (ratio < SMALLEST_RATIO)
        ratio = SMALLEST_RATIO;
    error.major_sd = ldexp(sqrt(major_variance), ratio);
    error.minor_sd = ldexp(sqrt(minor_variance), ratio);
    turn_to_axes(mean, scaled, &error);
    *chance = chance_of_scatter(&error);
    return RESEAT_OK;
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
    *chance = sd_mm > 0 ? normal_between((-limit_mm - mean) / sd_mm, (limit_mm - mean) / sd_mm)
                        : mean <= limit_mm;
    return RESEAT_OK;
}
