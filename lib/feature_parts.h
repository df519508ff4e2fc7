/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the parts of the features share: what is touched, and what comes of it. */
#ifndef RESEAT_FEATURE_PARTS_H
#define RESEAT_FEATURE_PARTS_H

#include "reseat/feature.h"

bool feature_has(reseat_feature_kind kind, reseat_reported quantity);

/* Whether two directions are parallel, either way, or so nearly that they make no corner. */
bool feature_is_parallel(double dir_deg, double other_deg);

/* A bore or a boss. */
static inline bool feature_is_round(const reseat_feature *feature)
{
    return feature->kind == RESEAT_FEATURE_BORE || feature->kind == RESEAT_FEATURE_BOSS;
}

/* What a feature is off by; each kind fills its own, the rest is 0. */
typedef struct feature_effect {
    double along_mm;    /* surface, slot, ridge: position or centre, along DIR */
    double size_mm;     /* width, diameter */
    reseat_xy plane_mm; /* centre of bore and boss, point of a corner */
} feature_effect;

/* Which of them a quantity comes from. */
typedef enum feature_source {
    FEATURE_ALONG,
    FEATURE_SIZE,
    FEATURE_PLANE_X,
    FEATURE_PLANE_Y,
    FEATURE_PLANE_LENGTH,
    FEATURE_NOTHING /* it is 0 */
} feature_source;

feature_source feature_source_of(const reseat_feature *feature, reseat_reported quantity);

/*
 * Moves the ball to every touch of a feature.
 *
 *   curve     radius by direction; NULL: the ball is a point
 *   error_mm  of every position
 *
 * Returns RESEAT_OK, RESEAT_ERR_RANGE where the ball does not get to a touch, or as
 * reseat_fit_circle; *effect is then as it was.
 */
reseat_status feature_effect_at(const reseat_feature *feature, const reseat_radius_curve *curve,
                                reseat_xy error_mm, double turn_deg, feature_effect *effect);

/* How far the ball of a bore or boss may still move before it does not get to a touch. */
double feature_room(const reseat_feature *feature, const reseat_radius_curve *curve,
                    reseat_xy error_mm, double turn_deg);

/* Direction in which side i of a bore or boss lies, seen from its middle. */
double feature_side(const reseat_feature *feature, unsigned i);

/* By how much the point of a corner moves when the touch of its wall 0 or 1 comes out 1 longer. */
reseat_xy feature_corner_weight(const reseat_feature *feature, int wall);

/* What changes of the radius by 1 do to a source: each touch on its own, in its worse sign; ... */
double feature_lobe_reach(const reseat_feature *feature, feature_source from);

/* ... and at random: variance of along and size, covariance of the plane's point. */
double feature_lobe_variance(const reseat_feature *feature, feature_source from);
reseat_cov feature_lobe_covariance(const reseat_feature *feature);

#endif
