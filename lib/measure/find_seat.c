/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "maths/distributions.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/seat.h"
#include "model/verdict.h"
#include "reseat/rescue.h"

#define TWO_SIDED_95 1.959963984540054
#define RAYLEIGH_95 2.4477468306808166 /* sqrt(-2 ln 0.05) */
#define OUTSIDE_RATIO 2.0    /* u of the turn by which it may lie outside of a range */
#define RESOLVABLE_RATIO 3.0 /* |q| in u_m from which on a turn shows */

/*
 * u_m: what was measured scatters so about what a turn does, along each axis. The run's error turns
 * with the ball: of a shift (I - R) is left of it, of an offset measured anew all.
 */
static double scatter(const reseat_terms *t, const reseat_found *found, double turn_deg)
{
    double sine, cosine;
    plane_sincos(reseat_plane_turn(turn_deg) / 2, &sine, &cosine);
    const double run_mm = found->anew ? t->u_run_mm : 2 * sine * t->u_run_mm;
    const double shift_u_mm = hypot(found->shift_u_mm, t->u_drift_mm);
    return hypot(hypot(shift_u_mm, sqrt(2.0) * t->u_seat_mm),
                 hypot(run_mm, 2 * sine * t->u_spindle_mm));
}

/* Turns the ball round the spindle to where the shift says it is. */
static void find_free(const reseat_estimate *estimate, reseat_xy q, reseat_found *found)
{
    const reseat_xy d = found->shift_mm, now = xy_less(q, d);
    const double length = found->turning_mm, length_now = reseat_plane_length(now);
    /* cross and dot product of q and q - d; lengths by the difference of their squares, so that
       neither loses digits to a small shift of a long stylus */
    const double turn_deg = reseat_plane_bearing(
        (reseat_xy){q.x * now.x + q.y * now.y, q.y * d.x - q.x * d.y});
    const double u_mm = scatter(&estimate->terms, found, turn_deg);
    const double sum = length_now + length;
    const double grown = sum > 0 ? (d.x * (d.x - 2 * q.x) + d.y * (d.y - 2 * q.y)) / sum : 0;
    found->u_mm = u_mm;
    found->misfit = grown / u_mm;
    found->resolvable = length >= RESOLVABLE_RATIO * u_mm;
    if (found->resolvable) {
        found->turn_deg = turn_deg;
        found->turn_u_deg = u_mm / length / RADIANS_PER_DEGREE;
        found->within_deg = TWO_SIDED_95 * found->turn_u_deg;
    }
    found->p = normal_two_sided(found->misfit);
}

/* Sets what a seat would have done against the shift; its u_m in *u_mm. */
static reseat_status try_seat(const reseat_estimate *e, double turn_deg, const reseat_found *found,
                              reseat_found_seat *seat, double *u_mm)
{
    reseat_xy expected = {0, 0};
    const reseat_status status =
        seat_error_by_turn(e->offset_mm, e->offset_mm, e->spindle_mm, turn_deg, &expected);
    *u_mm = scatter(&e->terms, found, turn_deg);
    seat->turn_deg = turn_deg;
    seat->misfit = reseat_plane_length(xy_less(found->shift_mm, expected)) / *u_mm;
    seat->p = exp(-seat->misfit * seat->misfit / 2);
    return status;
}

static void weigh_seats(const double *log_weights, reseat_found *found)
{
    double sum = 0;
    const double largest = log_weights[found->best];
    for (size_t k = 0; k < found->count; k++)
        sum += exp(log_weights[k] - largest);
    for (size_t k = 0; k < found->count; k++)
        found->seats[k].probability = exp(log_weights[k] - largest) / sum;
}

static reseat_status find_keyed(const reseat_estimate *estimate, const reseat_turns *turns,
                                reseat_found *found)
{
    double u_mm[RESEAT_SEAT_KEYS_MAX] = {0}, log_weights[RESEAT_SEAT_KEYS_MAX] = {0};
    found->keyed = true;
    found->count = turns->count;
    found->runner_up = turns->count;
    for (unsigned k = 0; k < turns->count; k++) {
        const double turn_deg = seat_list_turn(turns, k);
        const reseat_status status =
            try_seat(estimate, turn_deg, found, &found->seats[k], &u_mm[k]);
        if (status != RESEAT_OK)
            return status;
        found->seats[k].seat_deg = seat_named(turns, turn_deg);
        /* likelier by exp(-misfit^2 / 2) / u^2, as logarithms: far off both are 0 */
        const double misfit = found->seats[k].misfit;
        log_weights[k] = -misfit * misfit / 2 - 2 * log(u_mm[k]);
        if (log_weights[k] > log_weights[found->best]) {
            found->runner_up = found->best;
            found->best = k;
        } else if (k > 0 && (found->runner_up == found->count ||
                             log_weights[k] > log_weights[found->runner_up])) {
            found->runner_up = k;
        }
    }
    weigh_seats(log_weights, found);
    const reseat_found_seat *best = &found->seats[found->best];
    found->misfit = best->misfit;
    found->p = best->p;
    found->u_mm = u_mm[found->best];
    found->resolvable = best->probability >= RESEAT_FOUND_CHANCE;
    found->turn_deg = found->resolvable ? best->turn_deg : 0;
    return RESEAT_OK;
}

static reseat_status check(const reseat_estimate *e, const reseat_turns *turns, reseat_xy shift_mm,
                           double shift_u_mm)
{
    const double finite[] = {shift_u_mm, turns->first_deg, turns->run_deg, turns->width_deg};
    const double terms[] = {e->terms.u_run_mm, e->terms.u_seat_mm, e->terms.u_spindle_mm,
                            e->terms.u_drift_mm};
    if (!xy_is_finite(e->offset_mm) || !xy_is_finite(e->spindle_mm) ||
        !xy_is_finite(e->in_use_mm) || !xy_is_finite(shift_mm) || !numbers_are_finite(finite, 4))
        return RESEAT_ERR_NOT_FINITE;
    const bool possible = turns->range ? turns->width_deg >= 0
                                       : turns->count >= 1 && turns->count <= RESEAT_SEAT_KEYS_MAX;
    const reseat_status status = numbers_check(terms, 4);
    return status == RESEAT_OK && !(possible && shift_u_mm > 0) ? RESEAT_ERR_RANGE : status;
}

/* A free turn that is resolvable must be one of those possible, as far as it is certain. */
static bool is_possible(const reseat_turns *turns, const reseat_found *found)
{
    const double half_deg = turns->width_deg / 2;
    if (found->keyed || !found->resolvable || half_deg >= 180)
        return true;
    const double off_deg = plane_turn_between(turns->first_deg + half_deg, found->turn_deg);
    return fabs(off_deg) - half_deg <= OUTSIDE_RATIO * found->turn_u_deg;
}

static bool is_finite(const reseat_found *f)
{
    const double values[] = {f->turning_mm, f->u_mm, f->turn_u_deg, f->misfit};
    bool finite = numbers_are_finite(values, 4) && xy_is_finite(f->error_mm) &&
                  xy_is_finite(f->offset_now_mm);
    for (size_t k = 0; k < f->count; k++)
        finite = finite && isfinite(f->seats[k].misfit + f->seats[k].probability);
    return finite;
}

/* Finds the turn that explains a shift that is a turn's alone, or the offset that it left. */
static reseat_status explain(const reseat_estimate *estimate, const reseat_turns *turns,
                             const reseat_found *measured, reseat_found *found)
{
    reseat_status status = check(estimate, turns, measured->shift_mm, measured->shift_u_mm);
    if (status != RESEAT_OK)
        return status;
    const reseat_xy q = xy_less(estimate->offset_mm, estimate->spindle_mm);
    reseat_found result = *measured;
    result.seats_named = turns->run_known;
    result.possible = *turns;
    result.turning_mm = reseat_plane_length(q);
    result.error_mm = xy_less(estimate->in_use_mm, result.offset_now_mm);
    if (turns->range)
        find_free(estimate, q, &result);
    else
        status = find_keyed(estimate, turns, &result);
    if (status == RESEAT_OK && !is_finite(&result))
        status = RESEAT_ERR_NOT_FINITE;
    if (status != RESEAT_OK)
        return status;
    const bool fits = result.p >= RESEAT_EXPLAINED_P;
    result.explained = fits && is_possible(turns, &result);
    result.outside = fits && !result.explained;
    result.settled = result.explained && result.resolvable;
    if (result.resolvable)
        result.seat_deg = seat_named(turns, result.turn_deg);
    *found = result;
    return RESEAT_OK;
}

/* The same; where nothing explains it, whether the readings were taken off in the wrong order. */
static reseat_status explain_either(const reseat_estimate *estimate, const reseat_turns *turns,
                                    const reseat_found *measured, reseat_found *found)
{
    reseat_found result, other = *measured;
    const reseat_status status = explain(estimate, turns, measured, &result);
    if (status != RESEAT_OK)
        return status;
    other.shift_mm = xy_less((reseat_xy){0, 0}, measured->shift_mm);
    if (!result.explained && explain(estimate, turns, &other, &other) == RESEAT_OK &&
        other.explained) {
        result.opposite = true;
        result.opposite_deg = other.seats_named ? other.seat_deg : other.turn_deg;
    }
    *found = result;
    return RESEAT_OK;
}

reseat_status reseat_find_seat(const reseat_estimate *estimate, const reseat_turns *turns,
                               reseat_xy shift_mm, double shift_u_mm, reseat_found *found)
{
    if (!estimate || !turns || !found)
        return RESEAT_ERR_ARGUMENT;
    const reseat_xy by_turn_mm = xy_less(shift_mm, estimate->in_use_change_mm);
    const reseat_found measured = {.shift_mm = by_turn_mm, .shift_u_mm = shift_u_mm,
                                   .read_mm = shift_mm,
                                   .offset_now_mm = xy_less(estimate->offset_mm, by_turn_mm)};
    return explain_either(estimate, turns, &measured, found);
}

reseat_status reseat_find_seat_by_offset(const reseat_estimate *estimate,
                                         const reseat_turns *turns, reseat_xy offset_now_mm,
                                         double offset_u_mm, reseat_found *found)
{
    if (!estimate || !turns || !found)
        return RESEAT_ERR_ARGUMENT;
    const reseat_found measured = {.anew = true, .shift_u_mm = offset_u_mm,
                                   .shift_mm = xy_less(estimate->offset_mm, offset_now_mm),
                                   .offset_now_mm = offset_now_mm};
    reseat_found result;
    const reseat_status status = explain_either(estimate, turns, &measured, &result);
    if (status != RESEAT_OK)
        return status;
    const double alike_mm = RAYLEIGH_95 * offset_u_mm;
    result.unturned = reseat_plane_length(offset_now_mm) < alike_mm &&
                      reseat_plane_length(estimate->offset_mm) > 2 * alike_mm;
    if (result.unturned)
        result.explained = result.settled = result.outside = false;
    *found = result;
    return RESEAT_OK;
}

reseat_status reseat_half_turn_offset(reseat_xy at_0_mm, reseat_xy at_180_mm,
                                      double reading_u_mm, reseat_xy *offset_mm,
                                      double *offset_u_mm)
{
    if (!offset_mm || !offset_u_mm)
        return RESEAT_ERR_ARGUMENT;
    const reseat_xy twice_mm = xy_less(at_180_mm, at_0_mm);
    if (!xy_is_finite(twice_mm) || !isfinite(reading_u_mm))
        return RESEAT_ERR_NOT_FINITE;
    if (!(reading_u_mm > 0))
        return RESEAT_ERR_RANGE;
    if (!(reseat_plane_length(twice_mm) > 0)) /* one reading copied, or the spindle not turned */
        return RESEAT_ERR_SINGULAR;
    *offset_mm = (reseat_xy){twice_mm.x / 2, twice_mm.y / 2};
    *offset_u_mm = reading_u_mm / sqrt(2.0);
    return RESEAT_OK;
}

static bool is_at_stop(const reseat_reduction *r)
{
    return r->turns == 1 && !(fabs(r->turns_deg[0]) > 0);
}

reseat_status reseat_find_seat_by_touches(const reseat_estimate *estimate,
                                          const reseat_turns *turns, const reseat_reduction *then,
                                          const reseat_reduction *now, double shift_u_mm,
                                          reseat_found *found)
{
    if (!estimate || !turns || !now || !found)
        return RESEAT_ERR_ARGUMENT;
    if (now->has_offset)
        return fabs(shift_u_mm) <= 0 ? reseat_find_seat_by_offset(estimate, turns, now->offset_mm,
                                                                  now->offset_u_mm, found)
                                     : RESEAT_ERR_RANGE;
    if (!then)
        return RESEAT_ERR_ARGUMENT;
    if (then->has_offset || !is_at_stop(then) || !is_at_stop(now))
        return RESEAT_ERR_SINGULAR;
    const reseat_xy shift_mm = {now->centre_mm.x - then->centre_mm.x,
                                now->centre_mm.y - then->centre_mm.y};
    return reseat_find_seat(estimate, turns, shift_mm, shift_u_mm, found);
}
