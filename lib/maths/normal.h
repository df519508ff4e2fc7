/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_NORMAL_H
#define RESEAT_MATHS_NORMAL_H

#include <math.h>

/* The standard normal distribution, as the chances need it. */

static inline double normal_density(double t)
{
    return 0x1.9884533d43651p-2 * exp(-t * t / 2); /* 1 / sqrt(2 pi) */
}

/* P(X > t), with its relative accuracy where t > 0. */
static inline double normal_above(double t)
{
    return erfc(0x1.6a09e667f3bcdp-1 * t) / 2; /* 1 / sqrt 2 */
}

/* P(low <= X <= high), low <= 0 and low <= high; one in a tail keeps its digits. */
static inline double normal_between(double low, double high)
{
    if (high < 0)
        return normal_above(-high) - normal_above(-low);
    return 1 - (normal_above(high) + normal_above(-low));
}

#endif
