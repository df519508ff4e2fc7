/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/fit.h"
#include <math.h>
#include "joint.h"

/* Centre and radius of the points of a circle or sphere, and what is left. */
static reseat_status fit_round(joint_points *points, bool in_space, reseat_sphere *fitted)
{
    const joint_shape shape = {.centre = true, .height = in_space};
    joint_state state;
    triangle equations;
    size_t steps;
    const reseat_status status = joint_solve(points, shape, NULL, &state, &equations, &steps);
    if (status != RESEAT_OK)
        return status;
    const double squares = triangle_residual2(&equations, joint_unknowns(shape));
    *fitted = (reseat_sphere){joint_centre(points, &state), state.radius / points->scale,
                              sqrt(squares / (double)points->count) / points->scale, steps};
    return isfinite(fitted->centre_mm.x + fitted->centre_mm.y + fitted->centre_mm.z +
                    fitted->radius_mm + fitted->residual_mm) ? RESEAT_OK : RESEAT_ERR_NOT_FINITE;
}

reseat_status reseat_fit_circle(const reseat_xy *points_mm, size_t count, reseat_circle *circle)
{
    if (points_mm == NULL || circle == NULL)
        return RESEAT_ERR_ARGUMENT;
    joint_points points = {.plane = points_mm, .count = count};
    reseat_sphere fitted;
    const reseat_status status = fit_round(&points, false, &fitted);
    if (status == RESEAT_OK)
        *circle = (reseat_circle){{fitted.centre_mm.x, fitted.centre_mm.y}, fitted.radius_mm,
                                  fitted.residual_mm, fitted.steps};
    return status;
}

reseat_status reseat_fit_sphere(const reseat_xyz *points_mm, size_t count, reseat_sphere *sphere)
{
    if (points_mm == NULL || sphere == NULL)
        return RESEAT_ERR_ARGUMENT;
    joint_points points = {.space = points_mm, .count = count};
    reseat_sphere fitted;
    const reseat_status status = fit_round(&points, true, &fitted);
    if (status == RESEAT_OK)
        *sphere = fitted;
    return status;
}

reseat_status reseat_fit_joint(const reseat_touch *touches, size_t count,
                               const reseat_fit_setup *setup, reseat_joint *joint)
{
    if (touches == NULL || setup == NULL || joint == NULL)
        return RESEAT_ERR_ARGUMENT;
    const joint_shape shape = {!setup->centre_known, setup->sphere, setup->offset};
    joint_points points = {.touches = touches, .count = count};
    joint_state state;
    triangle equations;
    size_t steps;
    const reseat_status status =
        joint_solve(&points, shape, setup->centre_known ? &setup->centre_mm : NULL, &state,
                    &equations, &steps);
    if (status != RESEAT_OK)
        return status;
    return joint_report(&points, shape, &state, &equations, steps, joint);
}
