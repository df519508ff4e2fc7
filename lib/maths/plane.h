/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_PLANE_H
#define RESEAT_MATHS_PLANE_H

#include <math.h>
#include "reseat/seat.h"

static inline bool xy_is_finite(reseat_xy v)
{
    return isfinite(v.x) && isfinite(v.y);
}

/* Whether all values of a list are finite. */
static inline bool numbers_are_finite(const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i]))
            return false;
    return true;
}

/* RESEAT_OK where all values of a list are finite and >= 0, else NOT_FINITE or RANGE. */
static inline reseat_status numbers_check(const double *values, size_t count)
{
    if (!numbers_are_finite(values, count))
        return RESEAT_ERR_NOT_FINITE;
    for (size_t i = 0; i < count; i++)
        if (values[i] < 0)
            return RESEAT_ERR_RANGE;
    return RESEAT_OK;
}

static inline reseat_xy xy_less(reseat_xy a, reseat_xy b)
{
    return (reseat_xy){a.x - b.x, a.y - b.y};
}

/* Variance in the direction in which it is largest. */
static inline double covariance_largest(reseat_cov c)
{
    return (c.xx + c.yy) / 2 + hypot((c.xx - c.yy) / 2, c.xy);
}

/* Standard deviation of a variance that rounding may have put below 0; a NaN stays one. */
static inline double covariance_deviation(double variance)
{
    return variance < 0 ? 0 : sqrt(variance);
}

/* Variance along a unit vector. */
static inline double covariance_along(reseat_cov c, reseat_xy u)
{
    return u.x * u.x * c.xx + 2 * u.x * u.y * c.xy + u.y * u.y * c.yy;
}

/* The same angle in [0, 360); exact but for negative angles, which round once. */
double plane_seat(double deg);

/*
 * Turn from one seat to another, in (-180, 180]: both are reduced first, so whole degrees stay
 * exact and a whole turn added to a whole-degree seat changes no bit.
 */
double plane_turn_between(double from_deg, double to_deg);

/*
 * Sine and cosine of an angle in degrees, reduced in degrees: exact at every multiple of 90 and,
 * for the halves they contain, at multiples of 30; elsewhere within 2 ulp for any finite angle.
 */
void plane_sincos(double deg, double *sine, double *cosine);

/* v turned counterclockwise by an angle. */
reseat_xy plane_rotate(reseat_xy v, double deg);

#endif
