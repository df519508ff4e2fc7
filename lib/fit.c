/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/fit.h"
#include <math.h>
#include "joint.h"

reseat_status reseat_fit_circle(const reseat_xy *points_mm, size_t count, reseat_circle *circle)
{
    if (points_mm == NULL || circle == NULL)
        return RESEAT_ERR_ARGUMENT;
    joint_points points = {.plane = points_mm, .count = count};
    joint_state state;
    triangle equations;
    size_t steps;
    const reseat_status status =
        joint_solve(&points, (joint_shape){.centre = true}, NULL, &state, &equations, &steps);
    if (status != RESEAT_OK)
        return status;
    const reseat_circle fitted = {
        {points.origin_mm.x + state.centre[0] / points.scale,
         points.origin_mm.y + state.centre[1] / points.scale},
        state.radius / points.scale,
        sqrt(triangle_residual2(&equations, 3) / (double)count) / points.scale, steps};
    if (!isfinite(fitted.centre_mm.x + fitted.centre_mm.y + fitted.radius_mm))
        return RESEAT_ERR_NOT_FINITE;
    *circle = fitted;
    return RESEAT_OK;
}

reseat_status reseat_fit_sphere(const reseat_xyz *points_mm, size_t count, reseat_sphere *sphere)
{
    if (points_mm == NULL || sphere == NULL)
        return RESEAT_ERR_ARGUMENT;
    joint_points points = {.space = points_mm, .count = count};
    joint_state state;
    triangle equations;
    size_t steps;
    const reseat_status status =
        joint_solve(&points, (joint_shape){.centre = true, .height = true}, NULL, &state,
                    &equations, &steps);
    if (status != RESEAT_OK)
        return status;
    const reseat_sphere fitted = {
        {points.origin_mm.x + state.centre[0] / points.scale,
         points.origin_mm.y + state.centre[1] / points.scale,
         points.origin_mm.z + state.centre[2] / points.scale},
        state.radius / points.scale,
        sqrt(triangle_residual2(&equations, 4) / (double)count) / points.scale, steps};
    if (!isfinite(fitted.centre_mm.x + fitted.centre_mm.y + fitted.centre_mm.z + fitted.radius_mm))
        return RESEAT_ERR_NOT_FINITE;
    *sphere = fitted;
    return RESEAT_OK;
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
