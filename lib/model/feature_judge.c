/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "maths/chance.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/feature.h"
#include "model/radius.h"
#include "model/verdict.h"

/* How far the errors of a feature scatter, and the chance that they stay within a tolerance. */

#define ACCURACY_MM 1e-12

/* A feature at one turn; nothing is worked out once the status is not RESEAT_OK. */
typedef struct measure {
    const reseat_estimate *estimate;
    const reseat_feature *feature;
    reseat_status status;
    reseat_effect effect;
    feature_effect reported; /* the lobes on record included */
    feature_effect plain;    /* as chances take it: where few directions are on record, without */
    reseat_cov plane_mm2;    /* scatter of the point in the plane */
} measure;

static feature_source source_of(const reseat_feature *feature, reseat_reported quantity)
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

/* What the feature is off by where every position is off by so much. */
static feature_effect touched(measure *m, const reseat_radius_curve *curve, reseat_xy error_mm)
{
    feature_effect effect = {0};
    if (m->status == RESEAT_OK)
        m->status =
            feature_effect_at(m->feature, curve, error_mm, m->effect.turn_deg, &effect);
    return effect;
}

/* Difference quotient of a feature's point, by the error along an axis. */
static reseat_xy slope(measure *m, reseat_xy step_mm)
{
    const reseat_xy e = m->effect.error_mm;
    const double apart_mm = 2 * (step_mm.x + step_mm.y); /* one of the two is 0 */
    const feature_effect ahead = touched(m, m->estimate->curve,
                                         (reseat_xy){e.x + step_mm.x, e.y + step_mm.y});
    const feature_effect behind = touched(m, m->estimate->curve, xy_less(e, step_mm));
    return (reseat_xy){(ahead.plane_mm.x - behind.plane_mm.x) / apart_mm,
                       (ahead.plane_mm.y - behind.plane_mm.y) / apart_mm};
}

/*
 * A corner moves as the error does; so does the centre of a bore or boss while the error is small
 * against the room that the ball has, and else as its own slope says.
 */
static reseat_cov scatter_plane(measure *m)
{
    const reseat_effect *const effect = &m->effect;
    if (!feature_is_round(m->feature) || m->status != RESEAT_OK)
        return effect->covariance_mm2;
    /*
     * A thousandth of that room, and of the wall's radius, which may be less where a large ball
     * goes round a small boss: the slope is then off by less than a millionth of itself while the
     * error is below a quarter of the size.
     */
    const double room_mm =
        feature_room(m->feature, m->estimate->curve, effect->error_mm, effect->turn_deg);
    const double step_mm = fmin(room_mm, m->feature->size_mm / 2) / 1024;
    const reseat_xy by_x = slope(m, (reseat_xy){step_mm, 0});
    const reseat_xy by_y = slope(m, (reseat_xy){0, step_mm});
    return carry(effect->covariance_mm2, by_x, by_y);
}

static void measure_at(measure *m, double turn_deg)
{
    const reseat_radius_curve *const curve = m->estimate->curve;
    if (m->status == RESEAT_OK)
        m->status = reseat_estimate_effect(m->estimate, turn_deg, &m->effect);
    m->plain = m->reported = touched(m, curve, m->effect.error_mm);
    if (curve && !radius_shows_lobes(curve)) {
        const reseat_radius_curve round = {.mean_mm = curve->mean_mm};
        m->plain = touched(m, &round, m->effect.error_mm);
    }
    m->plane_mm2 = scatter_plane(m);
    if (!(fabs(m->effect.turn_deg) > 0))
        m->effect.radius_u_mm = 0; /* lobes that are not turned do no harm, fitted or not */
    const reseat_cov lobes = feature_lobe_covariance(m->feature);
    const double u2 = m->effect.radius_u_mm * m->effect.radius_u_mm;
    m->plane_mm2.xx += u2 * lobes.xx;
    m->plane_mm2.xy += u2 * lobes.xy;
    m->plane_mm2.yy += u2 * lobes.yy;
}

/* The value itself, and where in the plane it points. */
static double value_of(const reseat_feature *feature, feature_source from,
                       const feature_effect *effect, reseat_xy *toward_mm)
{
    const reseat_xy u = reseat_plane_unit(feature->dir_deg);
    const reseat_xy plane_mm = effect->plane_mm;
    *toward_mm = (reseat_xy){0, 0};
    switch (from) {
    case FEATURE_ALONG:
        *toward_mm = (reseat_xy){effect->along_mm * u.x, effect->along_mm * u.y};
        return effect->along_mm;
    case FEATURE_SIZE: return effect->size_mm;
    case FEATURE_PLANE_X: return toward_mm->x = plane_mm.x;
    case FEATURE_PLANE_Y: return toward_mm->y = plane_mm.y;
    case FEATURE_PLANE_LENGTH:
        *toward_mm = plane_mm;
        return reseat_plane_length(plane_mm);
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

static double variance_of(const measure *m, feature_source from)
{
    const reseat_feature *const feature = m->feature;
    const double radius_u = m->effect.radius_u_mm;
    const double lobes = feature_lobe_variance(feature, from) * radius_u * radius_u;
    const double axial = m->estimate->terms.u_axial_mm;
    switch (from) {
    case FEATURE_ALONG:
        return lobes + covariance_along(m->effect.covariance_mm2,
                                        reseat_plane_unit(feature->dir_deg));
    case FEATURE_SIZE: return lobes;
    case FEATURE_PLANE_X: return m->plane_mm2.xx;
    case FEATURE_PLANE_Y: return m->plane_mm2.yy;
    case FEATURE_PLANE_LENGTH: return length_variance(m->plane_mm2, m->reported.plane_mm);
    case FEATURE_NOTHING: break;
    }
    const bool scatters = feature->kind == RESEAT_FEATURE_HEIGHT && m->estimate->out;
    return scatters ? 2 * axial * axial : 0; /* two seatings */
}

/* A length in the plane is within if both its components together are. */
static reseat_status chance_of(const measure *m, feature_source from, double hidden_mm,
                               double u_mm, double limit_mm, double *chance)
{
    reseat_xy plain_mm;
    const double value_mm = fabs(value_of(m->feature, from, &m->plain, &plain_mm)) + hidden_mm;
    if (from != FEATURE_PLANE_LENGTH)
        return chance_line(value_mm, u_mm, limit_mm, chance);
    const reseat_xy u = reseat_plane_unit(reseat_plane_bearing(plain_mm));
    const reseat_xy longer_mm = {value_mm * u.x, value_mm * u.y};
    return chance_disc(longer_mm, m->plane_mm2, limit_mm, chance);
}

static reseat_status check_feature(const reseat_feature *feature, reseat_reported quantity,
                                   double share)
{
    const reseat_feature *const f = feature;
    if (!feature_has(f->kind, quantity) || (f->judged && !feature_has(f->kind, f->quantity)))
        return RESEAT_ERR_ARGUMENT;
    const double values[] = {f->size_mm, f->dir_deg, f->other_deg, f->tolerance_mm, share};
    if (!numbers_are_finite(values, sizeof values / sizeof *values))
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
    measure m = {estimate, feature, .status = check_feature(feature, quantity, share)};
    measure_at(&m, turn_deg);
    if (m.status != RESEAT_OK)
        return m.status;

    const feature_source from = source_of(feature, quantity);
    const double scale = is_zone(feature, quantity) ? 2 : 1;
    const double hidden_mm = feature_lobe_reach(feature, from) * m.effect.hidden_mm;
    const double u_mm = covariance_deviation(variance_of(&m, from));
    reseat_feature_row result = {.quantity = quantity, .turn_deg = m.effect.turn_deg,
                                 .u_mm = scale * u_mm, .hidden_mm = scale * hidden_mm,
                                 .judged = feature->judged && feature->quantity == quantity,
                                 .chance_within = 1, .ok = true};
    /* + 0.0: no -0 */
    result.error_mm = scale * value_of(feature, from, &m.reported, &result.toward_mm) + 0.0;
    result.toward_mm.x *= scale;
    result.toward_mm.y *= scale;
    if (result.judged) {
        result.allowed_mm = allowed_of(feature, share);
        m.status = chance_of(&m, from, hidden_mm, u_mm, result.allowed_mm / scale,
                             &result.chance_within);
    }
    if (m.status == RESEAT_OK && !isfinite(result.error_mm + result.u_mm + result.hidden_mm))
        m.status = RESEAT_ERR_NOT_FINITE;
    if (m.status == RESEAT_OK)
        *row = result;
    return m.status;
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
