/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which touches come from the same direction. Private to the library. */
#ifndef RESEAT_LIB_DIRECTIONS_H
#define RESEAT_LIB_DIRECTIONS_H

#include <stddef.h>

#define DIRECTIONS_MAX 360 /* no more can be farther apart than 1 degree */

/* A radius found in a direction. */
typedef struct direction {
    double dir_deg;
    double radius_mm;
} direction;

/*
 * Makes one of those that lie within 1 degree of each other, also across 0: direction and radius
 * are averaged. The list, of 1 or more, is overwritten with the distinct ones, at most
 * DIRECTIONS_MAX, by rising direction in [0, 360); returns how many. The order of the list as it
 * was makes no difference, not even in rounding.
 *
 * A direction reaches 1 degree on from the first of its touches and no further, so that evenly
 * close touches do not chain into one; the first of all is that after the widest gap.
 */
size_t directions_merge(direction *list, size_t count);

/* The shortest arc that holds all directions, degrees; the list, of 1 or more, is sorted. */
double directions_arc(direction *list, size_t count);

#endif
