/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "model/estimate.h"

#include <math.h>
#include <stddef.h>
#include "maths/chance.h"
#include "maths/plane.h"
#include "model/radius.h"
#include "model/seat.h"

#define U_SPINDLE_KNOWN_MM 0.0002 /* assumed where the spindle's part itself has been given */

/* Directions in which surfaces are tried. */
#define GRID_DIRECTIONS 24
#define GRID_STEP_DEG 15

/* What a term is called, and where its value stands; the shift is no part of the terms. */
static const struct {
    const char *name;
    size_t place;
} term_table[RESEAT_TERM_COUNT] = {
    [RESEAT_TERM_RUN] = {"u_run", offsetof(reseat_terms, u_run_mm)},
    [RESEAT_TERM_SEAT] = {"u_seat", offsetof(reseat_terms, u_seat_mm)},
    [RESEAT_TERM_TURN] = {"u_turn", offsetof(reseat_terms, u_turn_deg)},
    [RESEAT_TERM_SPINDLE] = {"u_spindle", offsetof(reseat_terms, u_spindle_mm)},
    [RESEAT_TERM_TOUCH] = {"u_touch", offsetof(reseat_terms, u_touch_mm)},
    [RESEAT_TERM_DRIFT] = {"u_drift", offsetof(reseat_terms, u_drift_mm)},
    [RESEAT_TERM_LOBING] = {"lobing", offsetof(reseat_terms, lobing_mm)},
    [RESEAT_TERM_AXIAL] = {"u_axial", offsetof(reseat_terms, u_axial_mm)},
    [RESEAT_TERM_SHIFT] = {"shift_u", 0},
};

const char *reseat_term_name(reseat_term term)
{
    return (size_t)term < RESEAT_TERM_COUNT ? term_table[term].name : "";
}

static double *term_value(reseat_terms *terms, reseat_term term)
{
    return (double *)(void *)((char *)terms + term_table[term].place);
}

reseat_terms terms_assumed(void)
{
    const unsigned given = 1u << RESEAT_TERM_DRIFT | 1u << RESEAT_TERM_SHIFT;
    return (reseat_terms){
        .u_run_mm = 0.001,
        .u_seat_mm = 0.002,
        .u_turn_deg = 0.2,
        .u_spindle_mm = 0.002,
        .u_touch_mm = 0.0005,
        .u_drift_mm = 0,
        .u_axial_mm = 0.005,
        .lobing_mm = 0.003,
        .assumed = ((1u << RESEAT_TERM_COUNT) - 1u) & ~given,
    };
}

reseat_status reseat_terms_set(reseat_terms *terms, reseat_term term, double value)
{
    if (!terms || (size_t)term >= RESEAT_TERM_SHIFT)
        return RESEAT_ERR_ARGUMENT;
    const reseat_status status = numbers_check(&value, 1);
    if (status != RESEAT_OK)
        return status;
    *term_value(terms, term) = fabs(value); /* -0 is 0 */
    terms->assumed &= ~(1u << term);
    return RESEAT_OK;
}

void terms_set_seat(reseat_terms *terms, double u_mm, double dof)
{
    if (dof > 2)
        u_mm *= sqrt(1 + 2 / (dof - 2)); /* dof / (dof - 2), also of INFINITY */
    if (dof > 2 || u_mm > terms->u_seat_mm)
        (void)reseat_terms_set(terms, RESEAT_TERM_SEAT, u_mm);
}

void terms_scale_assumed(reseat_terms *terms, double factor)
{
    for (unsigned term = 0; term < RESEAT_TERM_SHIFT; term++)
        if (terms->assumed & 1u << term)
            *term_value(terms, (reseat_term)term) *= factor;
}

reseat_status reseat_estimate_set_spindle(reseat_estimate *estimate, reseat_xy spindle_mm)
{
    if (!estimate)
        return RESEAT_ERR_ARGUMENT;
    if (!xy_is_finite(spindle_mm))
        return RESEAT_ERR_NOT_FINITE;
    estimate->spindle_mm = spindle_mm;
    if (estimate->terms.assumed & 1u << RESEAT_TERM_SPINDLE)
        estimate->terms.u_spindle_mm = U_SPINDLE_KNOWN_MM;
    return RESEAT_OK;
}

double estimate_hidden(const reseat_estimate *estimate, double turn_deg)
{
    const double lobing_mm = estimate->terms.lobing_mm;
    const double said_mm = radius_hidden_change(lobing_mm, turn_deg);
    const reseat_radius_curve *const curve = estimate->curve;
    return curve ? fmax(said_mm, radius_seen_change(curve, lobing_mm, turn_deg)) : said_mm;
}

static reseat_status check_estimate(const reseat_estimate *e)
{
    const reseat_terms *t = &e->terms;
    const double not_negative[] = {t->u_run_mm,   t->u_seat_mm,  t->u_turn_deg,
                                   t->u_spindle_mm, t->u_touch_mm, t->u_drift_mm,
                                   t->u_axial_mm, t->lobing_mm,  e->shift_u_mm,
                                   e->shift_drift_mm};
    if (!xy_is_finite(e->offset_mm) || !xy_is_finite(e->in_use_mm) ||
        !xy_is_finite(e->spindle_mm) || !xy_is_finite(e->shift_mm) ||
        !xy_is_finite(e->in_use_change_mm))
        return RESEAT_ERR_NOT_FINITE;
    const bool too_high = e->curve && e->curve->order > RESEAT_RADIUS_ORDER_MAX;
    const reseat_status status =
        numbers_check(not_negative, sizeof not_negative / sizeof *not_negative);
    return status == RESEAT_OK && too_high ? RESEAT_ERR_RANGE : status;
}

/* Scatter of the error at a turn. */
static reseat_cov scatter(const reseat_estimate *estimate, double turn_deg)
{
    const reseat_terms *t = &estimate->terms;
    if (estimate->verified) {
        const double seatings = estimate->shift_reseated ? 2 : 0;
        const double run_mm = estimate->shift_anew ? 0 : t->u_run_mm;
        const double same = estimate->shift_u_mm * estimate->shift_u_mm +
                            estimate->shift_drift_mm * estimate->shift_drift_mm +
                            run_mm * run_mm + seatings * t->u_seat_mm * t->u_seat_mm;
        return (reseat_cov){same, 0, same};
    }

    double sine, cosine;
    plane_sincos(reseat_plane_turn(turn_deg) / 2, &sine, &cosine);
    const double spindle = 2 * sine * t->u_spindle_mm;
    const double seatings = estimate->out ? 2 : 0;
    const double same = t->u_run_mm * t->u_run_mm + seatings * t->u_seat_mm * t->u_seat_mm +
                        t->u_drift_mm * t->u_drift_mm + t->u_touch_mm * t->u_touch_mm +
                        spindle * spindle;

    /* |q| t is R(turn) q turned by a right angle, so q = 0 needs no case of its own. Both
       orientation stops, the run's and the present one, scatter by u_turn. */
    const reseat_xy turned =
        plane_rotate(xy_less(estimate->offset_mm, estimate->spindle_mm), turn_deg);
    const double factor = sqrt(2.0) * t->u_turn_deg * RADIANS_PER_DEGREE;
    const reseat_xy across = {-turned.y * factor, turned.x * factor};
    return (reseat_cov){same + across.x * across.x, across.x * across.y,
                        same + across.y * across.y};
}

reseat_status reseat_estimate_effect(const reseat_estimate *estimate, double turn_deg,
                                     reseat_effect *effect)
{
    if (!estimate || !effect || (estimate->dirs > 0 && !estimate->dirs_deg))
        return RESEAT_ERR_ARGUMENT;
    reseat_status status = check_estimate(estimate);
    if (status == RESEAT_OK && !isfinite(turn_deg))
        status = RESEAT_ERR_NOT_FINITE;
    if (status != RESEAT_OK)
        return status;

    reseat_effect result = {.turn_deg = reseat_plane_turn(turn_deg),
                            .error_mm = estimate->shift_mm};
    if (!estimate->verified) {
        status = seat_error_by_turn(estimate->offset_mm, estimate->in_use_mm,
                                    estimate->spindle_mm, turn_deg, &result.error_mm);
        if (status != RESEAT_OK)
            return status;
    }
    result.covariance_mm2 = scatter(estimate, turn_deg);
    if (radius_shows_lobes(estimate->curve))
        result.radius_u_mm = radius_change_u(estimate->curve, turn_deg);
    else
        result.hidden_mm = estimate_hidden(estimate, turn_deg);
    if (!isfinite(result.covariance_mm2.xx + result.covariance_mm2.yy + result.radius_u_mm +
                  result.hidden_mm))
        return RESEAT_ERR_NOT_FINITE;
    *effect = result;
    return RESEAT_OK;
}

/* The smallest chance so far, and over surfaces the limit's smallest distance in deviations. */
typedef struct tightest {
    double chance;
    double deviations;
    reseat_status status; /* the first that is not OK */
} tightest;

/*
 * Whether a surface at t deviations from the limit cannot lower the chance. It is at least
 * erf(t / sqrt 2), and the smallest so far at most that of one normal tail at t0 >= 0, as
 * erfc(sqrt(x^2 + ln 2)) <= erfc(x) / 2 for x >= 0.
 */
static bool is_ample(double t, double t0)
{
    const double tight = fmax(t0, 0);
    return t > 0 && t * t >= tight * tight + 2 * 0.69314718055994531;
}

/* Lowers the chance to that of a surface touched along u, which points along dir_deg. */
static void surface(const reseat_estimate *estimate, const reseat_effect *effect, reseat_xy u,
                    double dir_deg, double limit_mm, tightest *so_far)
{
    const double along = effect->error_mm.x * u.x + effect->error_mm.y * u.y;
    const double variance = covariance_along(effect->covariance_mm2, u);
    const double sd = sqrt(fmax(variance, 0) + effect->radius_u_mm * effect->radius_u_mm);

    double mean = fabs(along) + effect->hidden_mm;
    if (radius_shows_lobes(estimate->curve))
        mean = along + radius_change(estimate->curve, dir_deg, effect->turn_deg);
    const double deviations = (limit_mm - fabs(mean)) / sd;
    if (so_far->status != RESEAT_OK || is_ample(deviations, so_far->deviations))
        return;
    double chance = 0;
    so_far->status = chance_line(mean, sd, limit_mm, &chance);
    so_far->chance = fmin(so_far->chance, chance);
    so_far->deviations = fmin(so_far->deviations, deviations);
}

/* The unit vector at k times 15 degrees, k from 0 to 23. */
static reseat_xy grid_unit(int k)
{
    static const double sine[] = {0, 0.25881904510252076, 0.5, 0.70710678118654752,
                                  0.86602540378443865, 0.96592582628906829, 1};
    const double s = sine[k % 6], c = sine[6 - k % 6];
    switch (k / 6) {
    case 0: return (reseat_xy){c, s};
    case 1: return (reseat_xy){-s, c};
    case 2: return (reseat_xy){-c, -s};
    default: return (reseat_xy){s, -c};
    }
}

static reseat_status surfaces(const reseat_estimate *estimate, const reseat_effect *effect,
                              double limit_mm, double *chance)
{
    tightest so_far = {*chance, (double)INFINITY, RESEAT_OK};
    const double bearing = reseat_plane_bearing(effect->error_mm);
    surface(estimate, effect, reseat_plane_unit(bearing), bearing, limit_mm, &so_far);
    /* Without lobes on record a surface and the one across from it are as likely to be wrong. */
    const int directions = radius_shows_lobes(estimate->curve) ? GRID_DIRECTIONS
                                                               : GRID_DIRECTIONS / 2;
    for (int k = 0; k < directions; k++)
        surface(estimate, effect, grid_unit(k), k * GRID_STEP_DEG, limit_mm, &so_far);
    for (size_t i = 0; i < estimate->dirs; i++)
        surface(estimate, effect, reseat_plane_unit(estimate->dirs_deg[i]), estimate->dirs_deg[i],
                limit_mm, &so_far);
    *chance = so_far.chance;
    return so_far.status;
}

reseat_status estimate_chance(const reseat_estimate *estimate, double turn_deg, double limit_mm,
                              double *chance)
{
    reseat_effect effect;
    double least = 0;
    reseat_status status = reseat_estimate_effect(estimate, turn_deg, &effect);
    if (status == RESEAT_OK)
        status = chance_disc(effect.error_mm, effect.covariance_mm2, limit_mm, &least);
    if (status == RESEAT_OK && fabs(effect.turn_deg) > 0)
        status = surfaces(estimate, &effect, limit_mm, &least);
    if (status == RESEAT_OK)
        *chance = least;
    return status;
}

double estimate_chance_or_nan(const reseat_estimate *estimate, double turn_deg, double limit_mm,
                              reseat_status *status)
{
    double chance = (double)NAN;
    if (*status == RESEAT_OK)
        *status = estimate_chance(estimate, turn_deg, limit_mm, &chance);
    return chance;
}
