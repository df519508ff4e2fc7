/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the chance of the disc is made of: private to lib/chance*.c. */
#ifndef RESEAT_CHANCE_PARTS_H
#define RESEAT_CHANCE_PARTS_H

/* A mean this many standard deviations away from the limit has a chance of 0 or 1 to 1e-17. */
#define CHANCE_REACH 9.0

/* The error along one of its covariance's own axes; a mirror image has the same chance. */
typedef struct chance_axis {
    double mean;  /* >= 0 */
    double sd;    /* >= 0 */
    double chord; /* limit^2 - mean^2, below 0 beyond the limit */
} chance_axis;

/*
 * The error in the frame of its covariance's axes, scaled by a power of two. The three differences
 * of squares are rounded once: where the scatter is narrow they decide, and no digit of them could
 * be got back from the lengths.
 */
typedef struct chance_error {
    chance_axis major; /* sd > 0 */
    chance_axis minor; /* sd at most that of major */
    double limit;      /* from 0.5 to below 1 */
    double inside;     /* limit^2 - |mean|^2 */
} chance_error;

/* Chance by going round the disc; nodes grow with limit / minor.sd. minor.sd > 0 */
double reseat_chance_around(const chance_error *error);

/* Chance by strips across the disc, however narrow the scatter. */
double reseat_chance_across(const chance_error *error);

#endif
