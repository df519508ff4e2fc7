/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Numbers of twice the precision, as a sum of two doubles whose second is the rounding of the
 * first: some 106 bits (Dekker 1971; Knuth, The Art of Computer Programming 2, 4.2.2). For the few
 * differences that would otherwise lose what decides.
 */
#ifndef RESEAT_TWOFOLD_H
#define RESEAT_TWOFOLD_H

#include <math.h>
#include "impossible.h"

typedef struct twofold {
    double high;
    double low;
} twofold;

/* a + b without loss. */
static inline twofold twofold_sum(double a, double b)
{
    const double sum = a + b;
    const double part = sum - a;
    return (twofold){sum, (a - (sum - part)) + (b - part)};
}

/* a b without loss. */
static inline twofold twofold_product(double a, double b)
{
    const double product = a * b;
    return (twofold){product, fma(a, b, -product)};
}

static inline twofold twofold_negative(twofold a)
{
    return (twofold){-a.high, -a.low};
}

static inline twofold twofold_add(twofold a, twofold b)
{
    const twofold high = twofold_sum(a.high, b.high);
    const twofold low = twofold_sum(a.low, b.low);
    const twofold sum = twofold_sum(high.high, high.low + low.high);
    return twofold_sum(sum.high, sum.low + low.low);
}

static inline twofold twofold_subtract(twofold a, twofold b)
{
    return twofold_add(a, twofold_negative(b));
}

static inline twofold twofold_multiply(twofold a, twofold b)
{
    const twofold product = twofold_product(a.high, b.high);
    return twofold_sum(product.high, product.low + (a.high * b.low + a.low * b.high));
}

static inline twofold twofold_divide(twofold a, twofold b)
{
    const double first = a.high / b.high;
    const twofold rest = twofold_subtract(a, twofold_multiply(b, (twofold){first, 0}));
    const double second = rest.high / b.high;
    const twofold last = twofold_subtract(rest, twofold_multiply(b, (twofold){second, 0}));
    return twofold_add(twofold_sum(first, second), (twofold){last.high / b.high, 0});
}

/* a > 0 */
static inline twofold twofold_sqrt(twofold a)
{
    const double root = sqrt(a.high);
    if (impossible(!(root > 0))) /* what is round has no axes that it would be taken of */
        return (twofold){0, 0};
    const twofold rest = twofold_subtract(a, twofold_product(root, root));
    return twofold_sum(root, rest.high / (2 * root));
}

#endif
