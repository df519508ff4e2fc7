/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Directions, turns and radii of touches whose fit is known. */
#include <math.h>
#include <stdio.h>
#include "directions.h"
#include "error.h"
#include "reduction.h"

static const double level_sine = 0.17364817766693034885; /* sin 10 degrees */
static const double least_arc_deg = 90;

reseat_xyz reduction_arm(const reduction_work *w, size_t touch)
{
    const reseat_touch *const t = &w->touches[touch];
    const reseat_xy o = reseat_plane_rotate(w->joint.offset_mm, t->turn_deg);
    return (reseat_xyz){t->x_mm - w->joint.centre_mm.x + o.x, t->y_mm - w->joint.centre_mm.y + o.y,
                        w->shape.height ? t->z_mm - w->joint.centre_mm.z : 0};
}

static double length(reseat_xyz v)
{
    return hypot(hypot(v.x, v.y), v.z);
}

double reduction_reach(const reduction_work *w, size_t touch)
{
    return length(reduction_arm(w, touch));
}

double reduction_radius(const reduction_work *w, size_t touch)
{
    const double reach_mm = reduction_reach(w, touch);
    const double half_mm = w->diameter_mm / 2;
    return w->setup->gauge.kind == RESEAT_GAUGE_RING ? half_mm - reach_mm : reach_mm - half_mm;
}

/* A ring is touched going outwards, the others going inwards. */
static double dir_of_surface(const reduction_work *w, size_t touch)
{
    const reseat_xyz arm = reduction_arm(w, touch);
    const double outwards_deg = reseat_plane_bearing((reseat_xy){arm.x, arm.y});
    return w->setup->gauge.kind == RESEAT_GAUGE_RING ? outwards_deg : outwards_deg + 180;
}

double reduction_dir(const reduction_work *w, size_t touch)
{
    return reseat_plane_seat(w->touches[touch].has_dir ? w->touches[touch].dir_deg
                                                       : dir_of_surface(w, touch));
}

bool reduction_is_level(const reduction_work *w, size_t touch)
{
    const reseat_xyz arm = reduction_arm(w, touch);
    return fabs(arm.z) <= level_sine * length(arm);
}

bool reduction_is_near(double a_deg, double b_deg, double within_deg)
{
    return fabs(reseat_plane_turn(a_deg - b_deg)) <= within_deg;
}

reseat_status reduction_error(const reseat_touch *touch, const char *key, reseat_status status,
                              reseat_error *error)
{
    if (error != NULL) {
        error->line = touch->line;
        error->column = touch->column;
        snprintf(error->key, sizeof error->key, "%s", key);
    }
    return status;
}

/* The pole of a sphere has no direction: what is beyond 80 degrees does not count. */
static double arc_of_touches(const reduction_work *w)
{
    direction list[RESEAT_TOUCHES_MAX];
    size_t count = 0;
    for (size_t i = 0; i < w->count; i++) {
        const reseat_xyz arm = reduction_arm(w, i);
        if (hypot(arm.x, arm.y) > level_sine * length(arm))
            list[count++] = (direction){dir_of_surface(w, i), 0};
    }
    return count > 0 ? directions_arc(list, count) : 0;
}

reseat_status reduction_check_dirs(const reduction_work *w, reseat_error *error)
{
    for (size_t i = 0; i < w->count; i++) {
        if (reduction_is_level(w, i) &&
            !reduction_is_near(reduction_dir(w, i), dir_of_surface(w, i), 90)) {
            reseat_error_set(error, RESEAT_ERR_RANGE, 0, "expected a motion towards the surface "
                             "of the %s; is this the side touched, or another gauge?",
                             reseat_gauge_kind_name(w->setup->gauge.kind));
            return reduction_error(&w->touches[i], "dir_deg", RESEAT_ERR_RANGE, error);
        }
    }
    if (arc_of_touches(w) > least_arc_deg)
        return RESEAT_OK;
    reseat_error_set(error, RESEAT_ERR_SINGULAR, 0, "expected touches from all round; all of them "
                     "up to this one come from within 90 degrees");
    return reduction_error(&w->touches[w->count - 1], "dir_deg", RESEAT_ERR_SINGULAR, error);
}

reseat_status reduction_turns(const reduction_work *w, reseat_reduction *r, reseat_error *error)
{
    r->turns = 0;
    for (size_t i = 0; i < w->count; i++) {
        const double turn_deg = reseat_plane_seat(w->touches[i].turn_deg);
        size_t at = 0;
        while (at < r->turns && !reduction_is_near(turn_deg, r->turns_deg[at], SAME_TURN_DEG))
            at++;
        if (at < r->turns)
            continue;
        if (r->turns == RESEAT_REDUCE_TURNS_MAX) {
            reseat_error_set(error, RESEAT_ERR_RANGE, 0, "expected at most %d different turns",
                             RESEAT_REDUCE_TURNS_MAX);
            return reduction_error(&w->touches[i], "turn_deg", RESEAT_ERR_RANGE, error);
        }
        for (at = r->turns++; at > 0 && r->turns_deg[at - 1] > turn_deg; at--)
            r->turns_deg[at] = r->turns_deg[at - 1];
        r->turns_deg[at] = turn_deg;
    }
    return RESEAT_OK;
}

reseat_status reduction_radii(const reduction_work *w, reseat_reduction *r)
{
    direction list[RESEAT_TOUCHES_MAX];
    size_t count = 0;
    for (size_t i = 0; i < w->count; i++)
        if (reduction_is_level(w, i))
            list[count++] = (direction){reduction_dir(w, i) - w->touches[i].turn_deg,
                                        reduction_radius(w, i)};
    r->dirs = count > 0 ? directions_merge(list, count) : 0;
    for (size_t i = 0; i < r->dirs; i++) {
        r->dirs_deg[i] = list[i].dir_deg;
        r->radii_mm[i] = list[i].radius_mm;
    }
    return r->dirs > 0 ? reseat_radius_fit(r->dirs_deg, r->radii_mm, r->dirs, &r->curve)
                       : RESEAT_OK;
}
