/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_COVARIANCE_H
#define RESEAT_COVARIANCE_H

#include <math.h>
#include "reseat/plane.h"

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

#endif
