/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the chance of the disc is made of: private to lib/chance*.c and their tests. */
#ifndef RESEAT_CHANCE_PARTS_H
#define RESEAT_CHANCE_PARTS_H

#include <stdbool.h>
#include "reseat/chance.h"
#include "twofold.h"

/* The error in the frame of its covariance's own axes, all scaled by the same power of two. */
typedef struct principal {
    twofold major;   /* mean along the axis of the larger scatter ... */
    twofold minor;   /* ... and across it */
    double major_sd; /* > 0 */
    double minor_sd; /* >= 0, <= major_sd */
    double limit;    /* from 0.5 to below 1 */
} principal;

/* Chance by going round the disc; nodes grow with limit / minor_sd. minor_sd > 0 */
double reseat_chance_around(const principal *error);

/* Chance by strips across the disc, however narrow the scatter. */
double reseat_chance_across(const principal *error);

#endif
