/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MEASURE_REDUCE_H
#define RESEAT_MEASURE_REDUCE_H

#include "maths/fit.h"
#include "reseat/touches.h"

/* The steps of a reduction. Private to the library. */

/* Touches and the fit through them. */
typedef struct reduction_work {
    const reseat_touch *touches;
    size_t count;
    const reseat_reduce_setup *setup;
    double diameter_mm; /* at its temperature */
    fit_setup sought;
    fit fit;
    joint_fit joint;
} reduction_work;

/* From the centre to the ball's centre at a touch, the offset taken off. */
reseat_xyz reduction_arm(const reduction_work *w, size_t touch);

/* Its length. */
double reduction_reach(const reduction_work *w, size_t touch);

/* Effective radius that a touch shows. */
double reduction_radius(const reduction_work *w, size_t touch);

/* Direction of machine motion at a touch: as given, or from where the surface is; [0, 360). */
double reduction_dir(const reduction_work *w, size_t touch);

/* Whether a touch tells of a direction: any on a ring or plug, near the equator of a sphere. */
bool reduction_is_level(const reduction_work *w, size_t touch);

/* Turns closer than this are one: far above rounding, far below any spindle stop. */
#define SAME_TURN_DEG 1e-9

/* Two directions or turns are within `within_deg` of each other. */
bool reduction_is_near(double a_deg, double b_deg, double within_deg);

/* Fails if the touches lie within 90 degrees, or one comes from where its surface is not. */
reseat_status reduction_check_dirs(const reduction_work *w, reseat_error *error);

/* Distinct turns, radii by direction and their curve. */
reseat_status reduction_turns(const reduction_work *w, reseat_reduction *r, reseat_error *error);
reseat_status reduction_radii(const reduction_work *w, reseat_reduction *r);

/*
 * The touch without which all others lie within `within_mm` of one gauge, and it does not; how far
 * off it is, infinity included. False where no touch is the only one to blame.
 */
bool reduction_find_gross(const reduction_work *w, double within_mm, size_t *touch,
                          double *off_mm);

void reduction_repeatability(const reduction_work *w, reseat_reduction *r);
void reduction_closure(const reduction_work *w, reseat_reduction *r);

/* Fills in the results, needs the curve; then `outliers` and `outliers_tested`. */
void reduction_outliers(const reduction_work *w, reseat_touch_result *results,
                        reseat_reduction *r);

/* Fills in line, column and key of a touch; returns the status. */
reseat_status reduction_error(const reseat_touch *touch, const char *key, reseat_status status,
                              reseat_error *error);

#endif
