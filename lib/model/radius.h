/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MODEL_RADIUS_H
#define RESEAT_MODEL_RADIUS_H

#include <stddef.h>
#include "reseat/probe.h"

#define DIRECTIONS_MAX 360 /* no more can be farther apart than 1 degree */

/* A radius found in a direction. */
typedef struct directed_radius {
    double dir_deg;
    double radius_mm;
} directed_radius;

/*
 * Makes one of those that lie within 1 degree of each other, also across 0: direction and radius
 * are averaged. The list, of 1 or more, is overwritten with the distinct ones, at most
 * DIRECTIONS_MAX, by rising direction in [0, 360); returns how many. The order of the list as it
 * was makes no difference, not even in rounding.
 *
 * A direction reaches 1 degree on from the first of its touches and no further, so that evenly
 * close touches do not chain into one; the first of all is that after the widest gap.
 */
size_t directions_merge(directed_radius *list, size_t count);

/* The shortest arc that holds all directions, degrees; the list, of 1 or more, is sorted. */
double directions_arc(directed_radius *list, size_t count);

/* rho = r(dir) - r(dir - turn): how wrongly a turned probe touches along dir; exactly 0 at 0. */
double radius_change(const reseat_radius_curve *curve, double dir_deg, double turn_deg);

/* No turn of up to so many degrees, 0 to 180, changes the radius by more in any direction. */
double radius_change_within(const reseat_radius_curve *curve, double within_deg);

/*
 * Largest radius change by a turn that radii on record show, where their directions do not put
 * lobes on record: the curve's own, at most the sum over k of 2 A_k |sin(k turn / 2)|; and once the
 * radii spread by more than lobing_mm their spread, for lobes of whatever order up to the highest:
 * spread * sin(min(RESEAT_RADIUS_ORDER_MAX / 2 |turn|, 90 degrees)).
 */
double radius_seen_change(const reseat_radius_curve *curve, double lobing_mm, double turn_deg);

/*
 * Standard uncertainty of a radius change by a turn, where lobes are on record: that of two radii,
 * sqrt(2) residual * sin(min(1.5 |turn|, 90 degrees)).
 */
double radius_change_u(const reseat_radius_curve *curve, double turn_deg);

/*
 * Largest radius change by a turn for which lobes are said to be, where they are not on record:
 * lobing * sin(min(1.5 |turn|, 90 degrees)).
 */
double radius_hidden_change(double lobing_mm, double turn_deg);

/*
 * Whether the curve puts lobes on record: from RESEAT_RADIUS_LOBES_SHOWN directions or more, so
 * spread that it has order RESEAT_RADIUS_LOBES_ORDER or more, and that it scatters nowhere by more
 * than RESEAT_RADIUS_LOBES_SCATTER radii. False for NULL.
 */
bool radius_shows_lobes(const reseat_radius_curve *curve);

#endif
