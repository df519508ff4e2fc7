/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/reduce.h"
#include <math.h>
#include <stdio.h>
#include "covariance.h"
#include "error.h"
#include "reduction.h"
#include "reseat/number.h"

static const double certified_at_c = 20;
static const double residual_max_mm = 1;
static const double growth_max = 0.002; /* of a gauge; steel does not reach it before 190 degrees */
static const double large_mm = 1e6; /* a slip; shown with an exponent */
static const double movement_mm = 0.0005; /* of the gauge, unseen between two turns */
static const size_t dof_needed = 3;       /* for a scatter from the touches themselves */

reseat_reduce_setup reseat_reduce_assumed(reseat_gauge_kind kind, double diameter_mm)
{
    return (reseat_reduce_setup){
        .gauge = {.kind = kind, .diameter_mm = diameter_mm, .temperature_c = certified_at_c,
                  .temperature_u_c = 0.5, .expansion_per_k = 11.5e-6,
                  .expansion_u_per_k = 1.15e-6},
        .u_touch_mm = 0.0005,
        .assumed = 1u << RESEAT_ASSUMED_GAUGE_U | 1u << RESEAT_ASSUMED_TEMPERATURE |
                   1u << RESEAT_ASSUMED_EXPANSION};
}

/* By how much of its size a gauge is larger than certified, as it is warmer. */
static double growth_of(const reseat_gauge *g)
{
    return g->expansion_per_k * (g->temperature_c - certified_at_c);
}

static reseat_status check_setup(const reseat_reduce_setup *s, reseat_error *error)
{
    const reseat_gauge *const g = &s->gauge;
    const double values[] = {g->diameter_mm, g->diameter_u_mm, g->temperature_u_c,
                             g->expansion_u_per_k, s->centre_u_mm, s->u_touch_mm,
                             g->temperature_c, g->expansion_per_k};
    const size_t not_negative = 6;
    if (reseat_gauge_kind_name(g->kind)[0] == '\0')
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
        if (!isfinite(values[i]))
            return reseat_error_plain(error, RESEAT_ERR_NOT_FINITE);
        if (i < not_negative && values[i] < 0)
            return reseat_error_plain(error, RESEAT_ERR_RANGE);
    }
    if (!(fabs(growth_of(g)) <= growth_max))
        return reseat_error_set(error, RESEAT_ERR_RANGE, 0,
                                "expected a gauge that grows by less than 0.2 %%; is its expansion "
                                "per kelvin, such as 11.5e-6, and its temperature in degrees "
                                "Celsius?");
    return g->diameter_mm > 0 ? RESEAT_OK : reseat_error_plain(error, RESEAT_ERR_RANGE);
}

static reseat_status check_touches(const reseat_touch *touches, size_t count, reseat_error *error)
{
    if (count > RESEAT_TOUCHES_MAX)
        return reseat_error_plain(error, RESEAT_ERR_RANGE);
    for (size_t i = 0; i < count; i++) {
        const reseat_touch *const t = &touches[i];
        if (!isfinite(t->x_mm) || !isfinite(t->y_mm) || !isfinite(t->z_mm) ||
            !isfinite(t->turn_deg) || (t->has_dir && !isfinite(t->dir_deg))) {
            reseat_error_plain(error, RESEAT_ERR_NOT_FINITE);
            return reduction_error(t, "x_mm", RESEAT_ERR_NOT_FINITE, error);
        }
    }
    return RESEAT_OK;
}

static reseat_status check_count(const reduction_work *w, reseat_error *error)
{
    const size_t unknowns = joint_unknowns(w->shape);
    if (w->count >= unknowns)
        return RESEAT_OK;
    reseat_error_set(error, RESEAT_ERR_TOO_FEW, 0, "expected at least %zu touches, read %zu",
                     unknowns, w->count);
    return w->count == 0 ? RESEAT_ERR_TOO_FEW
                         : reduction_error(&w->touches[w->count - 1], "x_mm", RESEAT_ERR_TOO_FEW,
                                           error);
}

static reseat_status say_gross(const reduction_work *w, size_t worst, double off_mm,
                               reseat_error *error)
{
    char off[RESEAT_NUMBER_SIZE];
    if (fabs(off_mm) < large_mm)
        reseat_number_fixed(off_mm, 3, off);
    else if (reseat_number_format(off_mm, off) != RESEAT_OK)
        snprintf(off, sizeof off, "more than 1e300");
    reseat_error_set(error, RESEAT_ERR_RANGE, 0,
                     "expected touches of one gauge; this one is off by %s mm", off);
    return reduction_error(&w->touches[worst], "x_mm", RESEAT_ERR_RANGE, error);
}

static reseat_status say_undetermined(const reduction_work *w, reseat_status status,
                                      reseat_error *error)
{
    size_t worst;
    double off_mm;
    if (reduction_find_gross(w, residual_max_mm, &worst, &off_mm))
        return say_gross(w, worst, off_mm, error);
    const char *const what = w->shape.height ? "a sphere; do x, y and z differ?"
                             : w->shape.offset && w->shape.centre
                                 ? "circle and offset; were there enough at each turn?"
                                 : "a circle";
    reseat_error_set(error, status, 0, "the touches up to this one do not determine %s", what);
    return reduction_error(&w->touches[w->count - 1], "x_mm", status, error);
}

static reseat_status check_residual(const reduction_work *w, reseat_error *error)
{
    size_t worst = w->joint.worst;
    double off_mm = w->joint.worst_mm;
    if (fabs(off_mm) <= residual_max_mm)
        return RESEAT_OK;
    (void)reduction_find_gross(w, residual_max_mm, &worst, &off_mm);
    return say_gross(w, worst, off_mm, error);
}

static reseat_status fit(reduction_work *w, reseat_error *error)
{
    const reseat_xy *const centre_mm = w->setup->centre_known ? &w->setup->centre_mm : NULL;
    size_t steps = 0;
    reseat_status status =
        joint_solve(&w->points, w->shape, centre_mm, &w->state, &w->equations, &steps);
    if (status == RESEAT_ERR_SINGULAR || status == RESEAT_ERR_NO_CONVERGENCE)
        return say_undetermined(w, status, error);
    if (status == RESEAT_OK)
        status = joint_report(&w->points, w->shape, &w->state, &w->equations, steps, &w->joint);
    return status == RESEAT_OK ? RESEAT_OK : reseat_error_plain(error, status);
}

static double square(double x)
{
    return x * x;
}

/* Variance of one touch, for what follows from it; from u_touch where there are too few. */
static double variance(const reduction_work *w, reseat_reduction *r)
{
    if (w->joint.dof >= dof_needed)
        return square(w->joint.residual_sd_mm);
    r->assumed |= 1u << RESEAT_ASSUMED_U_TOUCH;
    return square(w->setup->u_touch_mm);
}

/* A gauge that moved between two turns looks like the offset that was found. */
static bool movement_hides(const reduction_work *w, const reseat_reduction *r)
{
    return !w->setup->centre_known && r->turns == 2 && !r->has_closure;
}

static void offset(const reduction_work *w, reseat_reduction *r)
{
    const double dof = (double)w->joint.dof;
    const double variance_mm2 = variance(w, r);
    const double centre_mm2 = w->setup->centre_known ? square(w->setup->centre_u_mm) : 0;
    const double widening = w->joint.dof >= dof_needed ? dof / (dof - 2) : 1;
    const reseat_cov q = w->joint.offset_cofactor;
    r->offset_mm = w->joint.offset_mm;
    r->offset_cov_mm2 = (reseat_cov){q.xx * variance_mm2 + centre_mm2, q.xy * variance_mm2,
                                     q.yy * variance_mm2 + centre_mm2};
    r->offset_u_mm = sqrt(covariance_largest(q) * variance_mm2 * widening + centre_mm2);
    if (movement_hides(w, r)) {
        r->offset_u_mm += movement_mm;
        r->assumed |= 1u << RESEAT_ASSUMED_MOVEMENT;
    }
}

static void radius(const reduction_work *w, reseat_reduction *r)
{
    const reseat_gauge *const g = &w->setup->gauge;
    const double half_mm = w->diameter_mm / 2;
    const double warmer_c = g->temperature_c - certified_at_c;
    r->fit_radius_mm = w->joint.radius_mm;
    r->radius_mm = g->kind == RESEAT_GAUGE_RING ? half_mm - r->fit_radius_mm
                                                : r->fit_radius_mm - half_mm;
    r->radius_u_mm =
        sqrt(w->joint.radius_cofactor * variance(w, r) + square(g->diameter_u_mm / 2) +
             square(g->diameter_mm * g->expansion_per_k * g->temperature_u_c / 2) +
             square(g->diameter_mm * warmer_c * g->expansion_u_per_k / 2));
}

static reseat_status check_radius(const reduction_work *w, const reseat_reduction *r,
                                  reseat_error *error)
{
    if (r->radius_mm > 0)
        return RESEAT_OK;
    char diameter[RESEAT_NUMBER_SIZE];
    if (r->fit_radius_mm < large_mm)
        reseat_number_fixed(2 * r->fit_radius_mm, 4, diameter);
    else
        reseat_number_format(2 * r->fit_radius_mm, diameter);
    reseat_error_set(error, RESEAT_ERR_RANGE, 0, "the ball went round on %s mm, which leaves it no "
                     "size; is this the diameter of the %s?", diameter,
                     reseat_gauge_kind_name(w->setup->gauge.kind));
    return reduction_error(&w->touches[0], "x_mm", RESEAT_ERR_RANGE, error);
}

static unsigned advice(const reduction_work *w, const reseat_reduction *r)
{
    unsigned bits = 0;
    bits |= !r->has_offset ? 1u << RESEAT_ADVICE_TURNS : 0;
    bits |= r->has_offset && !w->setup->centre_known && !r->has_closure
                ? 1u << RESEAT_ADVICE_CLOSURE : 0;
    bits |= !r->outliers_tested ? 1u << RESEAT_ADVICE_TOUCHES : 0;
    bits |= !reseat_radius_shows_lobes(&r->curve) ? 1u << RESEAT_ADVICE_DIRECTIONS : 0;
    bits |= !r->has_repeatability ? 1u << RESEAT_ADVICE_REPEATS : 0;
    bits |= r->outliers > 0 ? 1u << RESEAT_ADVICE_OUTLIERS : 0;
    if (r->assumed & 1u << RESEAT_ASSUMED_GAUGE_U)
        bits |= 1u << RESEAT_ADVICE_GAUGE_U;
    if (r->assumed & 1u << RESEAT_ASSUMED_TEMPERATURE)
        bits |= 1u << RESEAT_ADVICE_TEMPERATURE;
    return bits;
}

static bool is_finite(const reseat_reduction *r)
{
    return isfinite(r->offset_u_mm + r->offset_cov_mm2.xx + r->offset_cov_mm2.yy + r->radius_mm +
                    r->radius_u_mm + r->residual_sd_mm + r->closure_mm + r->repeatability_mm);
}

/* Everything that follows from the fit but the results touch by touch. */
static reseat_status conclude(const reduction_work *w, reseat_reduction *r, reseat_error *error)
{
    r->touches = w->count;
    r->dof = w->joint.dof;
    r->has_offset = w->shape.offset;
    r->centre_mm = w->joint.centre_mm;
    r->form_mm = w->joint.form_mm;
    r->residual_sd_mm = w->joint.residual_sd_mm;
    r->assumed = w->setup->assumed;
    reseat_status status = reduction_radii(w, r);
    if (status != RESEAT_OK)
        return reseat_error_plain(error, status);
    reduction_repeatability(w, r);
    reduction_closure(w, r);
    if (r->has_offset)
        offset(w, r);
    radius(w, r);
    status = check_radius(w, r, error);
    if (status == RESEAT_OK && !is_finite(r))
        status = reseat_error_plain(error, RESEAT_ERR_NOT_FINITE);
    return status;
}

/* Turns and fit, and whether the touches allow them. */
static reseat_status solve(reduction_work *w, reseat_reduction *r, reseat_error *error)
{
    reseat_status status = reduction_turns(w, r, error);
    w->shape = (joint_shape){!w->setup->centre_known,
                             w->setup->gauge.kind == RESEAT_GAUGE_SPHERE,
                             w->setup->centre_known || r->turns > 1};
    if (status == RESEAT_OK)
        status = check_count(w, error);
    if (status == RESEAT_OK)
        status = fit(w, error);
    if (status == RESEAT_OK)
        status = check_residual(w, error);
    return status == RESEAT_OK ? reduction_check_dirs(w, error) : status;
}

reseat_status reseat_reduce(const reseat_touch *touches, size_t count,
                            const reseat_reduce_setup *setup, reseat_touch_result *results,
                            reseat_reduction *reduction, reseat_error *error)
{
    if (touches == NULL || setup == NULL || results == NULL || reduction == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = check_setup(setup, error);
    if (status == RESEAT_OK)
        status = check_touches(touches, count, error);
    if (status != RESEAT_OK)
        return status;
    reduction_work w = {.touches = touches, .count = count, .setup = setup,
                        .diameter_mm = setup->gauge.diameter_mm * (1 + growth_of(&setup->gauge)),
                        .points = {.touches = touches, .count = count}};
    reseat_reduction r = {0};
    status = solve(&w, &r, error);
    if (status == RESEAT_OK)
        status = conclude(&w, &r, error);
    if (status != RESEAT_OK)
        return status;
    reduction_outliers(&w, results, &r);
    r.advice = advice(&w, &r);
    *reduction = r;
    return RESEAT_OK;
}

size_t reseat_reduce_keep(reseat_touch *touches, size_t count, const reseat_touch_result *results)
{
    size_t kept = 0;
    if (touches == NULL || results == NULL)
        return 0;
    for (size_t i = 0; i < count; i++)
        if (!results[i].outlier)
            touches[kept++] = touches[i];
    return kept;
}
