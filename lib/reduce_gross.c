/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The one touch that spoils a fit. A gross error draws circle and offset to itself until good
 * touches are farther off than it: so each touch in turn is left out, and the others tried alone.
 */
#include <math.h>
#include "reduction.h"

/* How far a fit leaves its touches. */
typedef struct misfit {
    double squares_mm2;
    double worst_mm;
} misfit;

static misfit misfit_of(const joint_points *points, joint_shape shape, const joint_state *state)
{
    triangle_column block[JOINT_UNKNOWNS_MAX + 1];
    const double *const residual = block[joint_unknowns(shape)];
    misfit m = {0, 0};
    for (size_t first = 0; first < points->count; first += TRIANGLE_ROWS) {
        const size_t rows = joint_rows(points, first);
        joint_equations(points, shape, state, first, rows, block);
        for (size_t i = 0; i < rows; i++) {
            const double residual_mm = residual[i] / points->scale;
            m.squares_mm2 += residual_mm * residual_mm;
            m.worst_mm = fmax(m.worst_mm, fabs(residual_mm));
        }
    }
    return m;
}

/* What the linear start through all touches but the last leaves of them, and of the last. */
static bool without_last(const reduction_work *w, const reseat_touch *touches, misfit *others,
                         double *last_mm)
{
    const reseat_xy *const centre_mm = w->setup->centre_known ? &w->setup->centre_mm : NULL;
    joint_points points = {.touches = touches, .count = w->count - 1};
    joint_state state;
    if (joint_frame(&points, w->shape, centre_mm) != RESEAT_OK ||
        joint_start(&points, w->shape, &state) != RESEAT_OK)
        return false;
    *others = misfit_of(&points, w->shape, &state);
    points.touches = &touches[points.count];
    points.count = 1;
    *last_mm = misfit_of(&points, w->shape, &state).worst_mm;
    return true;
}

static void swap(reseat_touch *a, reseat_touch *b)
{
    const reseat_touch kept = *a;
    *a = *b;
    *b = kept;
}

bool reduction_find_gross(const reduction_work *w, double within_mm, size_t *touch, double *off_mm)
{
    double least_mm2 = HUGE_VAL;
    if (w->count < joint_unknowns(w->shape) + 2) /* else any may be left out */
        return false;
    reseat_touch touches[RESEAT_TOUCHES_MAX];
    for (size_t i = 0; i < w->count; i++)
        touches[i] = w->touches[i];
    reseat_touch *const last = &touches[w->count - 1];
    for (size_t i = 0; i < w->count; i++) {
        misfit others;
        double last_mm = 0;
        swap(&touches[i], last);
        if (without_last(w, touches, &others, &last_mm) && others.worst_mm <= within_mm &&
            last_mm > within_mm && others.squares_mm2 < least_mm2) {
            least_mm2 = others.squares_mm2;
            *touch = i;
            *off_mm = last_mm;
        }
        swap(&touches[i], last);
    }
    return least_mm2 < HUGE_VAL;
}
