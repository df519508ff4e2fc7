/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Numbers out of the bytes of an input, for targets that compare a computation with a slow plain
 * one: in ranges where both are meant to work. Past the end of the input every byte is 0.
 */
#ifndef RESEAT_TESTS_FUZZ_INPUT_H
#define RESEAT_TESTS_FUZZ_INPUT_H

#include <math.h>
#include <stddef.h>
#include <stdint.h>

typedef struct input {
    const uint8_t *at;
    size_t left;
} input;

static inline unsigned take_byte(input *in)
{
    if (in->left == 0)
        return 0;
    in->left--;
    return *in->at++;
}

/* 65,536 values, both ends among them. */
static inline double take_between(input *in, double low, double high)
{
    const unsigned first = take_byte(in);
    return low + (high - low) * (256 * first + take_byte(in)) / 65535;
}

/* A size from 10^low to 10^high. */
static inline double take_size(input *in, double low, double high)
{
    return pow(10, take_between(in, low, high));
}

#endif
