/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MODEL_FEATURE_H
#define RESEAT_MODEL_FEATURE_H

#include "maths/fit.h"
#include "reseat/probe.h"

/* What the parts of the features share: what is touched, and what comes of it. */

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
 * fit_round; *effect is then as it was.
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

/*
 * What one quantity of a feature is off by after one turn.
 *
 *   estimate  in   what is believed of the probe; its curve, where there is one, is taken for the
 *                  radius by direction (a known radius alone is a curve with nothing but mean_mm),
 *                  else the ball is a point: bores and bosses are then off by a little less
 *   feature   in   as reseat_feature_parse leaves it
 *   quantity  in   one of its quantities
 *   turn_deg  in   seat now minus seat at the run; any finite value
 *   share     in   of a tolerance that probing may use; above 0, at most 1
 *   row       out
 *
 * Returns RESEAT_OK, else *row is as it was before the call:
 *   RESEAT_ERR_ARGUMENT       a pointer is NULL, or the feature has no such quantity
 *   RESEAT_ERR_NOT_FINITE     an input is NaN or infinite, or the result overflows
 *   RESEAT_ERR_RANGE          a value outside its range; or the ball does not get to the touches: a
 *                             bore or slot no wider than the ball and its error, a boss passed by;
 *                             for bore and boss to within a 1e-9th of their size
 *   RESEAT_ERR_NO_CONVERGENCE, _SINGULAR  the circle through the touches could not be found
 *
 * Method    exact: the true ball is moved to contact along each approach, and what the stored
 *           calibration reports of it goes through the feature, for bore and boss the
 *           least-squares circle. Scatter reaches a quantity through its first derivative by the
 *           error; width, diameter and distance have none of it. Lengths in the plane are judged
 *           in the plane: by the chance that the two components together stay within. What the
 *           fit of the lobes left, and lobes that are not on record, come from every touch on its
 *           own, the latter each in the worse sign.
 * Accuracy  1e-12 mm for features up to 100 mm; scatter of bores and bosses a millionth of itself.
 *           Held by tests/unit/feature_test.c and feature_judge_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
reseat_status feature_at(const reseat_estimate *estimate,
                         const reseat_feature *feature,
                         reseat_reported quantity, double turn_deg,
                         double share, reseat_feature_row *row);

#endif
