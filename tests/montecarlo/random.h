/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Random numbers that are the same everywhere: xorshift64* (Vigna 2016), and normals from it. */
#ifndef RESEAT_TESTS_MONTECARLO_RANDOM_H
#define RESEAT_TESTS_MONTECARLO_RANDOM_H

#include <math.h>
#include <stdint.h>

typedef struct random_source {
    uint64_t state; /* not 0 */
} random_source;

/* Above 0 and below 1. */
static inline double random_uniform(random_source *source)
{
    source->state ^= source->state >> 12;
    source->state ^= source->state << 25;
    source->state ^= source->state >> 27;
    const uint64_t bits = source->state * UINT64_C(2685821657736338717) >> 12;
    return ((double)bits + 0.5) / 4503599627370496.0;
}

/* Standard normal (Box and Muller 1958). */
static inline double random_normal(random_source *source)
{
    const double radius = sqrt(-2 * log(random_uniform(source)));
    return radius * cos(6.28318530717958647693 * random_uniform(source));
}

#endif
