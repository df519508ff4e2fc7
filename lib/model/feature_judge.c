/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "maths/chance.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/feature.h"
#include "model/radius.h"
#include "model/verdict.h"
#include "reseat/probe.h"

/* How far the errors of a feature scatter, and the chance that they stay within a tolerance. */

#define ACCURACY_MM 1e-12

/* A feature at one turn. */
typedef struct measure {
    reseat_effect effect;
    feature_effect reported; /* the lobes on record included */
    feature_effect plain;    /* as chances take it: where few directions are on record, without */
    reseat_cov plane_mm2;    /* scatter of the point in the plane */
} measure;

feature_source feature_source_of(const reseat_feature *feature, reseat_reported quantity)
{
    static const feature_source sources[RESEAT_REPORTED_COUNT] = {
        [RESEAT_REPORTED_POSITION] = FEATURE_ALONG,
        [RESEAT_REPORTED_CENTRE] = FEATURE_ALONG,
        [RESEAT_REPORTED_WIDTH] = FEATURE_SIZE,
        [RESEAT_REPORTED_DIAMETER] = FEATURE_SIZE,
        [RESEAT_REPORTED_CENTRE_X] = FEATURE_PLANE_X,
        [RESEAT_REPORTED_CORNER_X] = FEATURE_PLANE_X,
        [RESEAT_REPORTED_CENTRE_Y] = FEATURE_PLANE_Y,
        [RESEAT_REPORTED_CORNER_Y] = FEATURE_PLANE_Y,
        [RESEAT_REPORTED_CORNER] = FEATURE_PLANE_LENGTH,
        [RESEAT_REPORTED_DISTANCE] = FEATURE_NOTHING,
        [RESEAT_REPORTED_HEIGHT] = FEATURE_NOTHING,
    };
    const feature_source from = sources[quantity];
    return from == FEATURE_ALONG && feature_is_round(feature) ? FEATURE_PLANE_LENGTH : from;
}

/* The position of a bore is the diameter of its zone: twice a length. */
static bool is_zone(const reseat_feature *feature, reseat_reported quantity)
{
    return quantity == RESEAT_REPORTED_POSITION && feature_is_round(feature);
}

/* Of a zone that is a diameter or a difference its share is allowed, of others half of it. */
static double allowed_of(const reseat_feature *feature, double share)
{
    const reseat_reported q = feature->quantity;
    const bool both_ways = q == RESEAT_REPORTED_WIDTH || q == RESEAT_REPORTED_DIAMETER ||
                           q == RESEAT_REPORTED_DISTANCE || is_zone(feature, q);
    return share * feature->tolerance_mm / (both_ways ? 1 : 2);
}

/* J C J', given what a unit of error in X and one in Y do. */
static reseat_cov carry(reseat_cov c, reseat_xy by_x, reseat_xy by_y)
{
    const reseat_xy first = {by_x.x, by_y.x}, second = {by_x.y, by_y.y};
    return (reseat_cov){covariance_along(c, first),
                        first.x * second.x * c.xx + first.y * second.y * c.yy +
                            (first.x * second.y + first.y * second.x) * c.xy,
                        covariance_along(c, second)};
}

/* Difference quotient of a feature's point, by the error along an axis. */
static reseat_status slope(const reseat_feature *feature, const reseat_radius_curve *curve,
                           const reseat_effect *at, reseat_xy step_mm, reseat_xy *by_axis)
{
    feature_effect ahead, behind;
    const reseat_xy e = at->error_mm;
    reseat_status status = feature_effect_at(
        feature, curve, (reseat_xy){e.x + step_mm.x, e.y + step_mm.y}, at->turn_deg, &ahead);
    if (status == RESEAT_OK)
        status = feature_effect_at(feature, curve, xy_less(e, step_mm), at->turn_deg, &behind);
    if (status != RESEAT_OK)
        return status;
    const double apart_mm = 2 * (step_mm.x + step_mm.y); /* one of the two is 0 */
    *by_axis = (reseat_xy){(ahead.plane_mm.x - behind.plane_mm.x) / apart_mm,
                           (ahead.plane_mm.y - behind.plane_mm.y) / apart_mm};
    return RESEAT_OK;
}

/*
 * A corner moves as the error does; so does the centre of a bore or boss while the error is small
 * against the room that the ball has, and else as its own slope says.
 */
static reseat_status scatter_plane(const reseat_feature *feature, const reseat_radius_curve *curve,
                                   const reseat_effect *effect, reseat_cov *plane_mm2)
{
    *plane_mm2 = effect->covariance_mm2;
    if (!feature_is_round(feature))
        return RESEAT_OK;
    /*
     * A thousandth of that room, and of the wall's radius, which may be less where a large ball
     * goes round a small boss: the slope is then off by less than a millionth of itself while the
     * error is below a quarter of the size.
     */
    const double room_mm = feature_room(feature, curve, effect->error_mm, effect->turn_deg);
    const double step_mm = fmin(room_mm, feature->size_mm / 2) / 1024;
    reseat_xy by_x, by_y;
    reseat_status status = slope(feature, curve, effect, (reseat_xy){step_mm, 0}, &by_x);
    if (status == RESEAT_OK)
        status = slope(feature, curve, effect, (reseat_xy){0, step_mm}, &by_y);
    if (status == RESEAT_OK)
        *plane_mm2 = carry(effect->covariance_mm2, by_x, by_y);
    return status;
}

static reseat_status measure_at(const reseat_estimate *estimate, const reseat_feature *feature,
                                double turn_deg, measure *out)
{
    reseat_status status = reseat_estimate_effect(estimate, turn_deg, &out->effect);
    const reseat_effect *const effect = &out->effect;
    const reseat_radius_curve *const curve = estimate->curve;
    if (status == RESEAT_OK)
        status = feature_effect_at(feature, curve, effect->error_mm, effect->turn_deg,
                                   &out->reported);
    if (status != RESEAT_OK)
        return status;
    out->plain = out->reported;
    if (curve && !radius_shows_lobes(estimate->curve)) {
        const reseat_radius_curve round = {.mean_mm = curve->mean_mm};
        status = feature_effect_at(feature, &round, effect->error_mm, effect->turn_deg,
                                   &out->plain);
    }
    if (status == RESEAT_OK)
        status = scatter_plane(feature, curve, effect, &out->plane_mm2);
    if (!(effect->turn_deg < 0) && !(effect->turn_deg > 0))
        out->effect.radius_u_mm = 0; /* lobes that are not turned do no harm, fitted or not */
    const reseat_cov lobes = feature_lobe_covariance(feature);
    const double u2 = out->effect.radius_u_mm * out->effect.radius_u_mm;
    out->plane_mm2.xx += u2 * lobes.xx;
    out->plane_mm2.xy += u2 * lobes.xy;
    out->plane_mm2.yy += u2 * lobes.yy;
    return status;
}

/* The value itself, and where in the plane it points. */
static double value_of(const reseat_feature *feature, feature_source from,
                       const feature_effect *effect, reseat_xy *toward_mm)
{
    const reseat_xy u = reseat_plane_unit(feature->dir_deg);
    *toward_mm = (reseat_xy){0, 0};
    switch (from) {
    case FEATURE_ALONG:
        *toward_mm = (reseat_xy){effect->along_mm * u.x, effect->along_mm * u.y};
        return effect->along_mm;
    case FEATURE_SIZE: return effect->size_mm;
    case FEATURE_PLANE_X:
        toward_mm->x = effect->plane_mm.x;
        return effect->plane_mm.x;
    case FEATURE_PLANE_Y:
        toward_mm->y = effect->plane_mm.y;
        return effect->plane_mm.y;
    case FEATURE_PLANE_LENGTH:
        *toward_mm = effect->plane_mm;
        return reseat_plane_length(effect->plane_mm);
    case FEATURE_NOTHING: break;
    }
    return 0;
}

/*
 * Of the length of a vector: along it. One of no length, or of rounding alone, points nowhere, so
 * that the direction in which it scatters most counts.
 */
static double length_variance(reseat_cov c, reseat_xy v)
{
    if (reseat_plane_length(v) < ACCURACY_MM)
        return covariance_largest(c);
    return covariance_along(c, reseat_plane_unit(reseat_plane_bearing(v)));
}

static double variance_of(const reseat_estimate *estimate, const reseat_feature *feature,
                          feature_source from, const measure *at)
{
    const double radius_u = at->effect.radius_u_mm;
    const double lobes = feature_lobe_variance(feature, from) * radius_u * radius_u;
    const double axial = estimate->terms.u_axial_mm;
    switch (from) {
    case FEATURE_ALONG:
        return lobes + covariance_along(at->effect.covariance_mm2,
                                        reseat_plane_unit(feature->dir_deg));
    case FEATURE_SIZE: return lobes;
    case FEATURE_PLANE_X: return at->plane_mm2.xx;
    case FEATURE_PLANE_Y: return at->plane_mm2.yy;
    case FEATURE_PLANE_LENGTH: return length_variance(at->plane_mm2, at->reported.plane_mm);
    case FEATURE_NOTHING: break;
    }
    const bool scatters = feature->kind == RESEAT_FEATURE_HEIGHT && estimate->out;
    return scatters ? 2 * axial * axial : 0; /* two seatings */
}

/* A length in the plane is within if both its components together are. */
static reseat_status chance_of(const reseat_feature *feature, feature_source from,
                               const measure *at, double hidden_mm, double u_mm, double limit_mm,
                               double *chance)
{
    reseat_xy plain_mm;
    const double value_mm = fabs(value_of(feature, from, &at->plain, &plain_mm)) + hidden_mm;
    if (from != FEATURE_PLANE_LENGTH)
        return chance_line(value_mm, u_mm, limit_mm, chance);
    const reseat_xy u = reseat_plane_unit(reseat_plane_bearing(plain_mm));
    const reseat_xy longer_mm = {value_mm * u.x, value_mm * u.y};
    return chance_disc(longer_mm, at->plane_mm2, limit_mm, chance);
}

static reseat_status check_feature(const reseat_feature *feature, reseat_reported quantity,
                                   double share)
{
    const reseat_feature *const f = feature;
    if (!feature_has(f->kind, quantity) || (f->judged && !feature_has(f->kind, f->quantity)))
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(f->size_mm) || !isfinite(f->dir_deg) || !isfinite(f->other_deg) ||
        !isfinite(f->tolerance_mm) || !isfinite(share))
        return RESEAT_ERR_NOT_FINITE;
    const bool sized = feature_is_round(f) || f->kind == RESEAT_FEATURE_SLOT ||
                       f->kind == RESEAT_FEATURE_RIDGE;
    const bool counted = f->touches >= RESEAT_FEATURE_TOUCHES_MIN &&
                         f->touches <= RESEAT_FEATURE_TOUCHES_MAX;
    if ((sized && !(f->size_mm > 0)) || (feature_is_round(f) && !counted) ||
        (f->judged && !(f->tolerance_mm > 0)) || !(share > 0 && share <= 1))
        return RESEAT_ERR_RANGE;
    const bool corner = f->kind == RESEAT_FEATURE_CORNER;
    return corner && feature_is_parallel(f->dir_deg, f->other_deg) ? RESEAT_ERR_RANGE : RESEAT_OK;
}

reseat_status feature_at(const reseat_estimate *estimate, const reseat_feature *feature,
                         reseat_reported quantity, double turn_deg, double share,
                         reseat_feature_row *row)
{
    measure at;
    reseat_status status = check_feature(feature, quantity, share);
    if (status == RESEAT_OK)
        status = measure_at(estimate, feature, turn_deg, &at);
    if (status != RESEAT_OK)
        return status;

    const feature_source from = feature_source_of(feature, quantity);
    const double scale = is_zone(feature, quantity) ? 2 : 1;
    const double hidden_mm = feature_lobe_reach(feature, from) * at.effect.hidden_mm;
    const double u_mm = covariance_deviation(variance_of(estimate, feature, from, &at));
    reseat_feature_row result = {.quantity = quantity, .turn_deg = at.effect.turn_deg,
                                 .u_mm = scale * u_mm, .hidden_mm = scale * hidden_mm,
                                 .judged = feature->judged && feature->quantity == quantity,
                                 .chance_within = 1, .ok = true};
    /* + 0.0: no -0 */
    result.error_mm = scale * value_of(feature, from, &at.reported, &result.toward_mm) + 0.0;
    result.toward_mm.x *= scale;
    result.toward_mm.y *= scale;
    if (result.judged) {
        result.allowed_mm = allowed_of(feature, share);
        status = chance_of(feature, from, &at, hidden_mm, u_mm, result.allowed_mm / scale,
                           &result.chance_within);
    }
    if (status == RESEAT_OK && !isfinite(result.error_mm + result.u_mm + result.hidden_mm))
        status = RESEAT_ERR_NOT_FINITE;
    if (status == RESEAT_OK)
        *row = result;
    return status;
}

/* What is asked of every possible turn. */
typedef struct asked {
    const reseat_question *question;
    const reseat_feature *feature;
    reseat_reported quantity;
    double share;
} asked;

static reseat_outcome outcome_at(const void *context, double turn_deg, reseat_status *status)
{
    const asked *const a = context;
    reseat_feature_row row = {.turn_deg = turn_deg};
    if (*status == RESEAT_OK)
        *status = feature_at(&a->question->estimate, a->feature, a->quantity, turn_deg, a->share,
                             &row);
    /* what is rounding alone must not choose the seat that is named */
    const double length_mm = fabs(row.error_mm);
    return (reseat_outcome){.turn_deg = row.turn_deg,
                            .error_length_mm = length_mm < ACCURACY_MM ? 0 : length_mm,
                            .chance_within = row.chance_within};
}

reseat_status reseat_feature_worst(const reseat_question *question, const reseat_feature *feature,
                                   reseat_reported quantity, double share,
                                   reseat_feature_row *row)
{
    if (!question || !feature || !row)
        return RESEAT_ERR_ARGUMENT;
    const asked what = {question, feature, quantity, share};
    seat_search search = {.outcome_at = outcome_at, .context = &what,
                          .by_error = !feature->judged || feature->quantity != quantity};
    reseat_feature_row worst;
    reseat_status status = verdict_check_confidence(question->confidence);
    if (status == RESEAT_OK)
        status = worst_turn(question, &search);
    if (status == RESEAT_OK)
        status = feature_at(&question->estimate, feature, quantity, search.worst.turn_deg, share,
                            &worst);
    if (status != RESEAT_OK)
        return status;
    const unsigned in_log = question->reasons & ~(1u << RESEAT_REASON_DAMAGE_IGNORED);
    worst.seat_deg = seat_named(&question->turns, worst.turn_deg);
    worst.ok = !worst.judged || (worst.chance_within >= question->confidence && !in_log);
    *row = worst;
    return RESEAT_OK;
}
