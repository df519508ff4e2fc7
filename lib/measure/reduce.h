/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MEASURE_REDUCE_H
#define RESEAT_MEASURE_REDUCE_H

#include "maths/fit.h"
#include "reseat/touches.h"

/* Touches and the fit through them. */
typedef struct reduction_work {
    const reseat_touch *touches;
    size_t count;
    const reseat_reduce_setup *setup;
    reseat_error *error;
    double diameter_mm; /* at its temperature */
    fit fit;
    joint_fit joint;
} reduction_work;

/* From the centre to the ball's centre at a touch, the offset taken off; and how long that is. */
reseat_xyz reduction_arm(const reduction_work *w, size_t touch);
double reduction_reach(const reduction_work *w, size_t touch);

/* Effective radius that a touch shows. */
double reduction_radius(const reduction_work *w, size_t touch);

/* Direction of machine motion at a touch: as given, or from where the surface is; [0, 360). */
double reduction_dir(const reduction_work *w, size_t touch);

/* Whether two touches were taken at one turn. */
bool reduction_same_turn(const reduction_work *w, size_t a, size_t b);

/* Whether a touch tells of a direction: any on a ring or plug, near the equator of a sphere. */
bool reduction_is_level(const reduction_work *w, size_t touch);

/*
 * The touch without which all others lie within `within_mm` of one gauge, and it does not; how far
 * off it is, infinity included. False where no touch is the only one to blame.
 */
bool reduction_find_gross(const reduction_work *w, double within_mm, size_t *touch, double *off_mm);

/* Repeatability and closure, and whether the gauge moved. */
void reduction_movement(const reduction_work *w, reseat_reduction *r);

/* Fills in the results, needs the curve; then `outliers` and `outliers_tested`. */
void reduction_outliers(const reduction_work *w, reseat_touch_result *results, reseat_reduction *r);

#endif
