/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_DOUBLE_DOUBLE_H
#define RESEAT_MATHS_DOUBLE_DOUBLE_H

#include <math.h>
#include "base/error.h"

/*
 * Numbers of twice the precision, as a sum of two doubles whose second is the rounding of the
 * first: some 106 bits (Dekker 1971; Knuth, The Art of Computer Programming 2, 4.2.2). For the few
 * differences that would otherwise lose what decides.
 */

typedef struct double_double {
    double high;
    double low;
} double_double;

/* a + b without loss. */
static inline double_double double_sum(double a, double b)
{
    const double sum = a + b;
    const double part = sum - a;
    return (double_double){sum, (a - (sum - part)) + (b - part)};
}

/* a b without loss. */
static inline double_double double_product(double a, double b)
{
    const double product = a * b;
    return (double_double){product, fma(a, b, -product)};
}

static inline double_double double_negative(double_double a)
{
    return (double_double){-a.high, -a.low};
}

static inline double_double double_add(double_double a, double_double b)
{
    const double_double high = double_sum(a.high, b.high);
    const double_double low = double_sum(a.low, b.low);
    const double_double sum = double_sum(high.high, high.low + low.high);
    return double_sum(sum.high, sum.low + low.low);
}

static inline double_double double_subtract(double_double a, double_double b)
{
    return double_add(a, double_negative(b));
}

static inline double_double double_multiply(double_double a, double_double b)
{
    const double_double product = double_product(a.high, b.high);
    return double_sum(product.high, product.low + (a.high * b.low + a.low * b.high));
}

static inline double_double double_divide(double_double a, double_double b)
{
    const double first = a.high / b.high;
    const double_double rest = double_subtract(a, double_multiply(b, (double_double){first, 0}));
    const double second = rest.high / b.high;
    const double_double last =
        double_subtract(rest, double_multiply(b, (double_double){second, 0}));
    return double_add(double_sum(first, second), (double_double){last.high / b.high, 0});
}

/* a > 0 */
static inline double_double double_sqrt(double_double a)
{
    const double root = sqrt(a.high);
    if (impossible(!(root > 0))) /* what is round has no axes that it would be taken of */
        return (double_double){0, 0};
    const double_double rest = double_subtract(a, double_product(root, root));
    return double_sum(root, rest.high / (2 * root));
}

#endif
