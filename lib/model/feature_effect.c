/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "maths/plane.h"
#include "model/feature.h"
#include "model/radius.h"

/* The true ball goes to contact, and the stored calibration reports it. */

/*
 * Less room than this share of the size is rounding: whether the ball gets there cannot be told,
 * nor how the centre moves, and no verdict may depend on either.
 */
static const double ROOM_SHARE = 1e-9;

/* The ball at the touches of a feature. */
typedef struct contact {
    const reseat_feature *feature;
    const reseat_radius_curve *curve; /* NULL: the ball is a point */
    reseat_xy error_mm;
    double turn_deg;
} contact;

/* The true radius along an approach, and how wrongly the stored one stands for it. */
static double radius_along(const contact *c, double dir_deg)
{
    return c->curve ? reseat_radius_at(c->curve, dir_deg - c->turn_deg) : 0;
}

static double change_along(const contact *c, double dir_deg)
{
    return c->curve ? radius_change(c->curve, dir_deg, c->turn_deg) : 0;
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

/* A slot is touched outwards on both sides, a ridge inwards: its width errs the other way. */
static reseat_status touch_both_sides(const contact *c, feature_effect *effect)
{
    const bool slot = c->feature->kind == RESEAT_FEATURE_SLOT;
    const double there_deg = c->feature->dir_deg, back_deg = reseat_plane_turn(there_deg) + 180;
    const double along = dot(c->error_mm, reseat_plane_unit(there_deg));
    const double half_mm = c->feature->size_mm / 2;
    const double there_room = half_mm - radius_along(c, there_deg) + along;
    const double back_room = half_mm - radius_along(c, back_deg) - along;
    if (slot && !(there_room > 0 && back_room > 0))
        return RESEAT_ERR_RANGE;
    const double there = change_along(c, there_deg), back = change_along(c, back_deg);
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

static side side_of(const contact *c, unsigned i)
{
    const bool bore = c->feature->kind == RESEAT_FEATURE_BORE;
    const double side_deg = feature_side(c->feature, i);
    const double dir_deg = bore ? side_deg : side_deg + 180;
    const double ball_mm = radius_along(c, dir_deg), half_mm = c->feature->size_mm / 2;
    side result = {.u = reseat_plane_unit(side_deg), .dir_deg = dir_deg};
    result.b_mm = bore ? half_mm - ball_mm : half_mm + ball_mm;
    result.across_mm = fabs(cross(result.u, c->error_mm));
    /* in a bore the ball must not stand in the wall before it starts */
    result.room_mm = result.b_mm - (bore ? reseat_plane_length(c->error_mm) : result.across_mm);
    return result;
}

double feature_room(const reseat_feature *feature, const reseat_radius_curve *curve,
                    reseat_xy error_mm, double turn_deg)
{
    const contact c = {feature, curve, error_mm, turn_deg};
    double least_mm = (double)INFINITY;
    for (unsigned i = 0; i < feature->touches; i++)
        least_mm = fmin(least_mm, side_of(&c, i).room_mm);
    return least_mm;
}

/*
 * By how much farther out than it stands a wall is reported. To contact the ball goes
 * e u + sqrt(b^2 - s^2), s across the approach; what the root lacks to b does not cancel here.
 */
static double beyond(const contact *c, const side *at)
{
    const double s = at->across_mm, b = at->b_mm;
    const double lacking_mm = s * s / (sqrt(b - s) * sqrt(b + s) + b);
    const double change_mm = change_along(c, at->dir_deg);
    return dot(c->error_mm, at->u) - lacking_mm +
           (c->feature->kind == RESEAT_FEATURE_BORE ? change_mm : -change_mm);
}

static reseat_status touch_round(const contact *c, feature_effect *effect)
{
    const double size_mm = c->feature->size_mm;
    reseat_xy walls_mm[RESEAT_FEATURE_TOUCHES_MAX];
    bool true_to_size = true;
    for (unsigned i = 0; i < c->feature->touches; i++) {
        const side at = side_of(c, i);
        if (!(at.room_mm > ROOM_SHARE * size_mm))
            return RESEAT_ERR_RANGE;
        const double beyond_mm = beyond(c, &at), wall_mm = size_mm / 2 + beyond_mm;
        walls_mm[i] = (reseat_xy){wall_mm * at.u.x, wall_mm * at.u.y};
        true_to_size = true_to_size && !(fabs(beyond_mm) > 0);
    }
    if (true_to_size)
        return RESEAT_OK; /* exactly, which a fit would round */
    round_fit circle;
    const reseat_status status = fit_round(fit_plane(walls_mm, c->feature->touches), &circle);
    if (status != RESEAT_OK)
        return status;
    effect->plane_mm = (reseat_xy){circle.centre_mm.x, circle.centre_mm.y};
    effect->size_mm = 2 * circle.radius_mm - size_mm;
    return RESEAT_OK;
}

/* Both walls move with the error; what their radii change moves the point where they meet. */
static void touch_corner(const contact *c, feature_effect *effect)
{
    const reseat_xy first = feature_corner_weight(c->feature, 0);
    const reseat_xy second = feature_corner_weight(c->feature, 1);
    const double first_mm = change_along(c, c->feature->dir_deg);
    const double second_mm = change_along(c, c->feature->other_deg);
    effect->plane_mm = (reseat_xy){c->error_mm.x + first_mm * first.x + second_mm * second.x,
                                   c->error_mm.y + first_mm * first.y + second_mm * second.y};
}

reseat_status feature_effect_at(const reseat_feature *feature, const reseat_radius_curve *curve,
                                reseat_xy error_mm, double turn_deg, feature_effect *effect)
{
    const contact c = {feature, curve, error_mm, turn_deg};
    feature_effect result = {0};
    reseat_status status = RESEAT_OK;
    switch (feature->kind) {
    case RESEAT_FEATURE_SURFACE:
        result.along_mm = dot(error_mm, reseat_plane_unit(feature->dir_deg)) +
                          change_along(&c, feature->dir_deg);
        break;
    case RESEAT_FEATURE_SLOT:
    case RESEAT_FEATURE_RIDGE: status = touch_both_sides(&c, &result); break;
    case RESEAT_FEATURE_BORE:
    case RESEAT_FEATURE_BOSS: status = touch_round(&c, &result); break;
    case RESEAT_FEATURE_CORNER: touch_corner(&c, &result); break;
    case RESEAT_FEATURE_PAIR:
    case RESEAT_FEATURE_HEIGHT: break;
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
        return fmax(hypot(first.x + second.x, first.y + second.y),
                    hypot(first.x - second.x, first.y - second.y));
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
