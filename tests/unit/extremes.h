/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Puts numbers that nobody measures, one and two at a time, in every place of an input. Whatever
 * stands there: what is returned with RESEAT_OK is finite, and a failure leaves the output alone.
 */
#ifndef RESEAT_TESTS_EXTREMES_H
#define RESEAT_TESTS_EXTREMES_H

#include <float.h>
#include <stdbool.h>
#include "check.h"
#include "reseat/status.h"

#define EXTREMES_PLACES_MAX 64

typedef struct extremes {
    double *places[EXTREMES_PLACES_MAX];
    size_t count;
    reseat_status (*call)(void); /* asserts the above and returns the status */
    unsigned long passed;
    unsigned long refused;
} extremes;

static const double extreme_values[] = {
    (double)NAN, (double)INFINITY, -(double)INFINITY, 0, -1, DBL_MIN, DBL_MAX, -DBL_MAX, 1e200,
    -1e160,
};
#define EXTREME_VALUES (sizeof extreme_values / sizeof extreme_values[0])

static inline void extremes_add(extremes *e, double *first, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        assert_true(e->count < EXTREMES_PLACES_MAX);
        e->places[e->count++] = first + i;
    }
}

static inline void extremes_call(extremes *e)
{
    *(e->call() == RESEAT_OK ? &e->passed : &e->refused) += 1;
}

/* Every extreme in one place, and with each finite one every extreme in each later place. */
static inline void extremes_at(extremes *e, size_t first, bool two)
{
    const double held = *e->places[first];
    for (size_t v = 0; v < EXTREME_VALUES; v++) {
        *e->places[first] = extreme_values[v];
        extremes_call(e);
        if (two && isfinite(extreme_values[v]))
            for (size_t second = first + 1; second < e->count; second++)
                extremes_at(e, second, false);
    }
    *e->places[first] = held;
}

/* As they stand they must be accepted, and some of the extremes refused. */
static inline void extremes_try(extremes *e, bool two)
{
    assert_status(e->call(), RESEAT_OK);
    for (size_t i = 0; i < e->count; i++)
        extremes_at(e, i, two);
    assert_status(e->call(), RESEAT_OK);
    assert_true(e->refused > 0);
}

static inline void assert_finite(const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i]))
            fail_msg("value %zu is %g", i, values[i]);
}

/* Calls with an output of that type and checks it; its value is the status. */
#define EXTREMES_CALL(type, out, called)                      \
    type out, out##_before;                                   \
    memset(&out, 0x5A, sizeof out);                           \
    memcpy(&out##_before, &out, sizeof out);                  \
    const reseat_status status = (called);                    \
    if (status != RESEAT_OK) {                                \
        assert_memory_equal(&out, &out##_before, sizeof out); \
        return status;                                        \
    }

#endif
