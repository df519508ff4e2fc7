/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MODEL_FEATURE_H
#define RESEAT_MODEL_FEATURE_H

#include "maths/fit.h"
#include "reseat/probe.h"

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

/*
 * Moves the ball, a point where the curve is NULL, to every touch of a feature. RANGE where it does
 * not get to one, or as fit_round; *effect is then as it was.
 */
reseat_status feature_effect_at(const reseat_feature *feature, const reseat_radius_curve *curve,
                                reseat_xy error_mm, double turn_deg, feature_effect *effect);

/* Direction in which side i of a bore or boss lies, seen from its middle. */
double feature_side(const reseat_feature *feature, unsigned i);

/* By how much the point of a corner moves when the touch of its wall 0 or 1 comes out 1 longer. */
reseat_xy feature_corner_weight(const reseat_feature *feature, int wall);

/* What changes of the radius by 1 do to a source, each touch on its own, in its worse sign. */
double feature_lobe_reach(const reseat_feature *feature, feature_source from);

/*
 * What one quantity of a feature is off by after one turn. The estimate's curve, where there is
 * one, is taken for the radius by direction (a known radius alone is a curve with nothing but
 * mean_mm), else the ball is a point: bores and bosses are then off by a little less. share, of a
 * tolerance that probing may use, is above 0 and at most 1.
 *
 * Returns and works as reseat_feature_worst does at its seat. Scatter reaches a quantity through
 * its first derivative by the error; width, diameter and distance have none of it. What the fit of
 * the lobes left, and lobes that are not on record, come from every touch on its own, the latter
 * each in the worse sign. Scatter of bores and bosses is accurate to a millionth of itself, held by
 * tests/unit/feature_judge_test.c.
 */
reseat_status feature_at(const reseat_estimate *estimate, const reseat_feature *feature,
                         reseat_reported quantity, double turn_deg, double share,
                         reseat_feature_row *row);

#endif
