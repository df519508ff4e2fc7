/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "maths/fit.h"
#include "maths/plane.h"
#include "model/feature.h"
#include "model/radius.h"
#include "reseat/touches.h"

/* The true ball goes to contact, and the stored calibration reports it. */

/*
 * Less room than this share of the size is rounding: whether the ball gets there cannot be told,
 * nor how the centre moves, and no verdict may depend on either.
 */
static const double ROOM_SHARE = 1e-9;

static double radius_at(const reseat_radius_curve *curve, double dir_deg)
{
    return curve ? reseat_radius_at(curve, dir_deg) : 0;
}

static double change_along(const reseat_radius_curve *curve, double dir_deg, double turn_deg)
{
    return curve ? radius_change(curve, dir_deg, turn_deg) : 0;
}

static double dot(reseat_xy a, reseat_xy b)
{
    return a.x * b.x + a.y * b.y;
}

static double cross(reseat_xy a, reseat_xy b)
{
    return a.x * b.y - a.y * b.x;
}

double feature_side(const reseat_feature *feature, unsigned i)
{
    return reseat_plane_turn(feature->dir_deg) + 360.0 * i / feature->touches;
}

reseat_xy feature_corner_weight(const reseat_feature *feature, int wall)
{
    const reseat_xy first = reseat_plane_unit(feature->dir_deg);
    const reseat_xy second = reseat_plane_unit(feature->other_deg);
    const double sine = cross(first, second);
    if (wall == 0)
        return (reseat_xy){second.y / sine, -second.x / sine};
    return (reseat_xy){-first.y / sine, first.x / sine};
}

static void touch_surface(const reseat_feature *feature, const reseat_radius_curve *curve,
                          reseat_xy error_mm, double turn_deg, feature_effect *effect)
{
    effect->along_mm = dot(error_mm, reseat_plane_unit(feature->dir_deg)) +
                       change_along(curve, feature->dir_deg, turn_deg);
}

/* A slot is touched outwards on both sides, a ridge inwards: its width errs the other way. */
static reseat_status touch_both_sides(const reseat_feature *feature,
                                      const reseat_radius_curve *curve, reseat_xy error_mm,
                                      double turn_deg, feature_effect *effect)
{
    const bool slot = feature->kind == RESEAT_FEATURE_SLOT;
    const double there_deg = feature->dir_deg, back_deg = reseat_plane_turn(there_deg) + 180;
    const double along = dot(error_mm, reseat_plane_unit(there_deg));
    const double half_mm = feature->size_mm / 2;
    const double there_room = half_mm - radius_at(curve, there_deg - turn_deg) + along;
    const double back_room = half_mm - radius_at(curve, back_deg - turn_deg) - along;
    if (slot && !(there_room > 0 && back_room > 0))
        return RESEAT_ERR_RANGE;
    const double there = change_along(curve, there_deg, turn_deg);
    const double back = change_along(curve, back_deg, turn_deg);
    effect->along_mm = along + (there - back) / 2;
    effect->size_mm = slot ? there + back : -(there + back);
    return RESEAT_OK;
}

/* One side of a bore or boss: the ball's centre is b from the middle when it touches. */
typedef struct side {
    reseat_xy u;      /* towards the side */
    double dir_deg;   /* of approach: out to the wall of a bore, in to that of a boss */
    double b_mm;
    double across_mm; /* what the error has across the approach */
    double room_mm;   /* 0 or less where the ball does not get there */
} side;

static side side_of(const reseat_feature *feature, const reseat_radius_curve *curve,
                    reseat_xy error_mm, double turn_deg, unsigned i)
{
    const bool bore = feature->kind == RESEAT_FEATURE_BORE;
    const double side_deg = feature_side(feature, i);
    const double dir_deg = bore ? side_deg : side_deg + 180;
    const double ball_mm = radius_at(curve, dir_deg - turn_deg);
    side result = {.u = reseat_plane_unit(side_deg), .dir_deg = dir_deg};
    result.b_mm = bore ? feature->size_mm / 2 - ball_mm : feature->size_mm / 2 + ball_mm;
    result.across_mm = fabs(cross(result.u, error_mm));
    /* in a bore the ball must not stand in the wall before it starts */
    result.room_mm = result.b_mm - (bore ? reseat_plane_length(error_mm) : result.across_mm);
    return result;
}

double feature_room(const reseat_feature *feature, const reseat_radius_curve *curve,
                    reseat_xy error_mm, double turn_deg)
{
    double least_mm = (double)INFINITY;
    for (unsigned i = 0; i < feature->touches; i++)
        least_mm = fmin(least_mm, side_of(feature, curve, error_mm, turn_deg, i).room_mm);
    return least_mm;
}

/*
 * By how much farther out than it stands a wall is reported. To contact the ball goes
 * e u + sqrt(b^2 - s^2), s across the approach; what the root lacks to b does not cancel here.
 */
static double beyond(const side *at, const reseat_feature *feature,
                     const reseat_radius_curve *curve, reseat_xy error_mm, double turn_deg)
{
    const double s = at->across_mm, b = at->b_mm;
    const double lacking_mm = s * s / (sqrt(b - s) * sqrt(b + s) + b);
    const double change_mm = change_along(curve, at->dir_deg, turn_deg);
    return dot(error_mm, at->u) - lacking_mm +
           (feature->kind == RESEAT_FEATURE_BORE ? change_mm : -change_mm);
}

static reseat_status touch_round(const reseat_feature *feature, const reseat_radius_curve *curve,
                                 reseat_xy error_mm, double turn_deg, feature_effect *effect)
{
    reseat_xy walls_mm[RESEAT_FEATURE_TOUCHES_MAX];
    bool true_to_size = true;
    for (unsigned i = 0; i < feature->touches; i++) {
        const side at = side_of(feature, curve, error_mm, turn_deg, i);
        if (!(at.room_mm > ROOM_SHARE * feature->size_mm))
            return RESEAT_ERR_RANGE;
        const double beyond_mm = beyond(&at, feature, curve, error_mm, turn_deg);
        const double wall_mm = feature->size_mm / 2 + beyond_mm;
        walls_mm[i] = (reseat_xy){wall_mm * at.u.x, wall_mm * at.u.y};
        true_to_size = true_to_size && !(beyond_mm < 0) && !(beyond_mm > 0);
    }
    if (true_to_size)
        return RESEAT_OK; /* exactly, which a fit would round */
    round_fit circle;
    const reseat_status status = fit_round(fit_plane(walls_mm, feature->touches), &circle);
    if (status != RESEAT_OK)
        return status;
    effect->plane_mm = (reseat_xy){circle.centre_mm.x, circle.centre_mm.y};
    effect->size_mm = 2 * circle.radius_mm - feature->size_mm;
    return RESEAT_OK;
}

/* Both walls move with the error; what their radii change moves the point where they meet. */
static void touch_corner(const reseat_feature *feature, const reseat_radius_curve *curve,
                         reseat_xy error_mm, double turn_deg, feature_effect *effect)
{
    const reseat_xy first = feature_corner_weight(feature, 0);
    const reseat_xy second = feature_corner_weight(feature, 1);
    const double first_mm = change_along(curve, feature->dir_deg, turn_deg);
    const double second_mm = change_along(curve, feature->other_deg, turn_deg);
    effect->plane_mm = (reseat_xy){error_mm.x + first_mm * first.x + second_mm * second.x,
                                   error_mm.y + first_mm * first.y + second_mm * second.y};
}

reseat_status feature_effect_at(const reseat_feature *feature, const reseat_radius_curve *curve,
                                reseat_xy error_mm, double turn_deg, feature_effect *effect)
{
    feature_effect result = {0};
    reseat_status status = RESEAT_OK;
    switch (feature->kind) {
    case RESEAT_FEATURE_SURFACE:
        touch_surface(feature, curve, error_mm, turn_deg, &result);
        break;
    case RESEAT_FEATURE_SLOT:
    case RESEAT_FEATURE_RIDGE:
        status = touch_both_sides(feature, curve, error_mm, turn_deg, &result);
        break;
    case RESEAT_FEATURE_BORE:
    case RESEAT_FEATURE_BOSS:
        status = touch_round(feature, curve, error_mm, turn_deg, &result);
        break;
    case RESEAT_FEATURE_CORNER:
        touch_corner(feature, curve, error_mm, turn_deg, &result);
        break;
    case RESEAT_FEATURE_PAIR:
    case RESEAT_FEATURE_HEIGHT:
        break;
    }
    if (status == RESEAT_OK)
        *effect = result;
    return status;
}

/*
 * How a feature answers to its touches when each comes out a little longer or shorter on its own.
 * The least-squares circle through n walls that are evenly spread answers with its centre by 2/n
 * of each along its direction, and with its diameter by 2/n of each.
 */

static double larger_length(reseat_xy a, reseat_xy b)
{
    return fmax(hypot(a.x + b.x, a.y + b.y), hypot(a.x - b.x, a.y - b.y));
}

/*
 * Longest sum of n evenly spread unit vectors, each taken either way: those of one half plane, as
 * a chain of chords. With an odd n they lie half as far apart, opposite ones filling the gaps.
 */
static double longest_sum(unsigned n)
{
    double sine, cosine;
    plane_sincos((n % 2 == 0 ? 180.0 : 90.0) / n, &sine, &cosine);
    return (n % 2 == 0 ? 2 : 1) / sine;
}

static double round_reach(const reseat_feature *feature, feature_source from)
{
    const double each = 2.0 / feature->touches;
    if (from == FEATURE_PLANE_LENGTH)
        return each * longest_sum(feature->touches);
    double sum = 0;
    for (unsigned i = 0; i < feature->touches; i++) {
        const reseat_xy u = reseat_plane_unit(feature_side(feature, i));
        sum += fabs(from == FEATURE_PLANE_X ? u.x : u.y);
    }
    return each * sum;
}

static double corner_reach(const reseat_feature *feature, feature_source from)
{
    const reseat_xy first = feature_corner_weight(feature, 0);
    const reseat_xy second = feature_corner_weight(feature, 1);
    if (from == FEATURE_PLANE_LENGTH)
        return larger_length(first, second);
    return from == FEATURE_PLANE_X ? fabs(first.x) + fabs(second.x)
                                   : fabs(first.y) + fabs(second.y);
}

double feature_lobe_reach(const reseat_feature *feature, feature_source from)
{
    switch (from) {
    case FEATURE_ALONG: return 1;
    case FEATURE_SIZE: return 2;
    case FEATURE_PLANE_X:
    case FEATURE_PLANE_Y:
    case FEATURE_PLANE_LENGTH:
        return feature_is_round(feature) ? round_reach(feature, from)
                                         : corner_reach(feature, from);
    case FEATURE_NOTHING: break;
    }
    return 0;
}

double feature_lobe_variance(const reseat_feature *feature, feature_source from)
{
    if (from == FEATURE_SIZE)
        return feature_is_round(feature) ? 4.0 / feature->touches : 2;
    if (from == FEATURE_ALONG) /* the middle of two sides has half the variance of one */
        return feature->kind == RESEAT_FEATURE_SLOT || feature->kind == RESEAT_FEATURE_RIDGE ? 0.5
                                                                                             : 1;
    return 0;
}

reseat_cov feature_lobe_covariance(const reseat_feature *feature)
{
    if (feature_is_round(feature))
        return (reseat_cov){2.0 / feature->touches, 0, 2.0 / feature->touches};
    if (feature->kind != RESEAT_FEATURE_CORNER)
        return (reseat_cov){0, 0, 0};
    const reseat_xy first = feature_corner_weight(feature, 0);
    const reseat_xy second = feature_corner_weight(feature, 1);
    return (reseat_cov){first.x * first.x + second.x * second.x,
                        first.x * first.y + second.x * second.y,
                        first.y * first.y + second.y * second.y};
}
