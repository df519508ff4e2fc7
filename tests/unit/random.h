/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Random numbers that are the same on every machine: SplitMix64 (Steele, Lea & Flood 2014). */
#ifndef RESEAT_TESTS_RANDOM_H
#define RESEAT_TESTS_RANDOM_H

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static inline uint64_t random_bits(uint64_t *state)
{
    uint64_t z = (*state += UINT64_C(0x9E3779B97F4A7C15));
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

/* low <= value < high, up to rounding. */
static inline double random_between(uint64_t *state, double low, double high)
{
    return low + (high - low) * ldexp((double)(random_bits(state) >> 11), -53);
}

/* Evenly spread over the powers of ten. */
static inline double random_log(uint64_t *state, double low_exponent, double high_exponent)
{
    return pow(10, random_between(state, low_exponent, high_exponent));
}

/*
 * How many of so many random cases to try where they take seconds: a quarter, or all of them if
 * RESEAT_TEST_ROUNDS is "all". Says so, and the seed.
 */
static inline int random_rounds(uint64_t seed, int all)
{
    const char *asked = getenv("RESEAT_TEST_ROUNDS");
    const int rounds = asked && strcmp(asked, "all") == 0 ? all : all / 4;
    printf("seed %llu, %d of %d random cases\n", (unsigned long long)seed, rounds, all);
    return rounds;
}

#endif
