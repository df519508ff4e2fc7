/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a fit of touches found, in millimetres. */
#include <float.h>
#include <math.h>
#include "joint.h"

/* Largest and smallest residual, from the equations at the solution. */
static void residuals(const joint_points *points, joint_shape shape, const joint_state *state,
                      reseat_joint *joint)
{
    const size_t unknowns = joint_unknowns(shape);
    double low = DBL_MAX;
    double high = -DBL_MAX;
    for (size_t first = 0; first < points->count; first += TRIANGLE_ROWS) {
        triangle_column block[JOINT_UNKNOWNS_MAX + 1];
        const size_t rows = joint_rows(points, first);
        joint_equations(points, shape, state, first, rows, block);
        for (size_t i = 0; i < rows; i++) {
            const double residual_mm = block[unknowns][i] / points->scale;
            low = fmin(low, residual_mm);
            high = fmax(high, residual_mm);
            if (fabs(residual_mm) > fabs(joint->worst_mm)) {
                joint->worst = first + i;
                joint->worst_mm = residual_mm;
            }
        }
    }
    joint->form_mm = high - low;
}

/* Results in millimetres. The cofactors are those of lengths by lengths, and have no scale. */
static reseat_joint unscaled(const joint_points *points, joint_shape shape,
                             const joint_state *state, const triangle *equations)
{
    const size_t n = joint_unknowns(shape);
    const size_t o = n - 3; /* the offset stands before the radius */
    reseat_joint joint = {.unknowns = n, .dof = points->count - n};
    joint.centre_mm = joint_centre(points, state);
    joint.radius_mm = state->radius / points->scale;
    joint.radius_cofactor = triangle_cofactor(equations, n - 1, n - 1);
    if (shape.offset) {
        joint.offset_mm.x = state->offset[0] / points->scale;
        joint.offset_mm.y = state->offset[1] / points->scale;
        joint.offset_cofactor = (reseat_cov){triangle_cofactor(equations, o, o),
                                             triangle_cofactor(equations, o, o + 1),
                                             triangle_cofactor(equations, o + 1, o + 1)};
    }
    if (joint.dof > 0)
        joint.residual_sd_mm =
            sqrt(triangle_residual2(equations, n) / (double)joint.dof) / points->scale;
    residuals(points, shape, state, &joint);
    return joint;
}

static bool is_finite(const reseat_joint *joint)
{
    return isfinite(joint->centre_mm.x + joint->centre_mm.y + joint->centre_mm.z +
                    joint->offset_mm.x + joint->offset_mm.y + joint->radius_mm + joint->form_mm +
                    joint->offset_cofactor.xx + joint->offset_cofactor.yy +
                    joint->radius_cofactor);
}

reseat_status joint_report(const joint_points *points, joint_shape shape, const joint_state *state,
                           const triangle *equations, size_t steps, reseat_joint *joint)
{
    reseat_joint found = unscaled(points, shape, state, equations);
    found.steps = steps;
    const bool finite = is_finite(&found);
    if (finite)
        *joint = found;
    return finite ? RESEAT_OK : RESEAT_ERR_NOT_FINITE;
}
