/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What comes of touching the same thing again: repeatability, and whether the gauge moved. */
#include <math.h>
#include "reduction.h"

static const double same_place = 0.017453292519943295; /* of the radius: 1 degree */

static bool same_turn(const reduction_work *w, size_t a, size_t b)
{
    return reduction_is_near(w->touches[a].turn_deg, w->touches[b].turn_deg, SAME_TURN_DEG);
}

/* One touch repeats another: the same turn and place, to a degree, in another set. */
static bool repeats(const reduction_work *w, size_t a, size_t b)
{
    const reseat_touch *const p = &w->touches[a];
    const reseat_touch *const q = &w->touches[b];
    if (p->set == q->set || !same_turn(w, a, b))
        return false;
    const double up_mm = w->shape.height ? p->z_mm - q->z_mm : 0;
    const double apart_mm = hypot(hypot(p->x_mm - q->x_mm, p->y_mm - q->y_mm), up_mm);
    return apart_mm <= same_place * w->joint.radius_mm;
}

static bool is_first(const reduction_work *w, size_t touch)
{
    for (size_t i = 0; i < touch; i++)
        if (repeats(w, i, touch))
            return false;
    return true;
}

/* Adds the squares of a touch and its repeats about their mean, and their degrees of freedom. */
static void pool(const reduction_work *w, size_t first, double *squares_mm2, size_t *dof)
{
    double mean_mm = reduction_radius(w, first);
    double n = 1;
    for (size_t i = first + 1; i < w->count; i++) {
        if (!repeats(w, first, i))
            continue;
        const double off_mm = reduction_radius(w, i) - mean_mm;
        n += 1;
        mean_mm += off_mm / n;
        *squares_mm2 += off_mm * off_mm * (n - 1) / n;
        ++*dof;
    }
}

void reduction_repeatability(const reduction_work *w, reseat_reduction *r)
{
    double squares_mm2 = 0;
    size_t dof = 0;
    for (size_t i = 0; i < w->count; i++)
        if (is_first(w, i))
            pool(w, i, &squares_mm2, &dof);
    r->has_repeatability = dof > 0;
    r->repeatability_dof = dof;
    r->repeatability_mm = dof > 0 ? sqrt(squares_mm2 / (double)dof) : 0;
}

/* How far the circle of some touches lies from the fit, its radius kept; false if undetermined. */
static bool shift(const reduction_work *w, size_t begin, size_t end, reseat_xy *shift_mm)
{
    triangle t;
    triangle_column block[3];
    triangle_start(&t, 2);
    for (size_t i = begin; i < end; i++) {
        const reseat_xyz arm = reduction_arm(w, i);
        const double length_mm = hypot(hypot(arm.x, arm.y), arm.z);
        block[0][0] = arm.x / length_mm;
        block[1][0] = arm.y / length_mm;
        block[2][0] = length_mm - w->joint.radius_mm;
        triangle_fold(&t, block, 1);
    }
    if (triangle_rank(&t, 0.1) < 2)
        return false;
    double x[2];
    triangle_solve(&t, 2, x);
    *shift_mm = (reseat_xy){x[0], x[1]};
    return true;
}

/* The touches at the turn of the first one: at the beginning, and when it came again for good. */
void reduction_closure(const reduction_work *w, reseat_reduction *r)
{
    size_t left = 0;
    while (left < w->count && same_turn(w, 0, left))
        left++;
    size_t end = w->count;
    while (end > left && !same_turn(w, 0, end - 1))
        end--;
    size_t back = end;
    while (back > left && same_turn(w, 0, back - 1))
        back--;
    reseat_xy before, after;
    r->has_closure = back < end && shift(w, 0, left, &before) && shift(w, back, end, &after);
    r->closure_mm = r->has_closure ? hypot(after.x - before.x, after.y - before.y) : 0;
}
