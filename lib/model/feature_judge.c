/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "maths/chance.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/feature.h"
#include "model/radius.h"
#include "model/verdict.h"

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

/* How far the ball of a bore or boss may still move before it does not get to a touch. */
static double room_of(const contact *c)
{
    double least_mm = (double)INFINITY;
    for (unsigned i = 0; i < c->feature->touches; i++)
        least_mm = fmin(least_mm, side_of(c, i).room_mm);
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

/* The same at random: of the position along and of the size, ... */
static double lobe_variance(const reseat_feature *feature, feature_source from)
{
    if (from == FEATURE_SIZE)
        return feature_is_round(feature) ? 4.0 / feature->touches : 2;
    if (from == FEATURE_ALONG) /* the middle of two sides has half the variance of one */
        return feature->kind == RESEAT_FEATURE_SLOT || feature->kind == RESEAT_FEATURE_RIDGE ? 0.5
                                                                                             : 1;
    return 0;
}

/* ... and of the point in the plane. */
static reseat_cov lobe_covariance(const reseat_feature *feature)
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
    const contact c = {m->feature, m->estimate->curve, effect->error_mm, effect->turn_deg};
    const double step_mm = fmin(room_of(&c), m->feature->size_mm / 2) / 1024;
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
    const reseat_cov lobes = lobe_covariance(m->feature);
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
    const double lobes = lobe_variance(feature, from) * radius_u * radius_u;
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

static reseat_status check_feature(const reseat_feature *f, reseat_reported quantity, double share)
{
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
