/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "measure/reduce.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "base/error.h"
#include "maths/plane.h"
#include "model/radius.h"

#define LOBES_LEAST 2
#define LOBE_ORDERS 5 /* 2 to 6: three directions take lobes of order 5 for an offset */

static const unsigned assumed_of_diameter = 1u << RESEAT_ASSUMED_GAUGE_U |
                                            1u << RESEAT_ASSUMED_TEMPERATURE |
                                            1u << RESEAT_ASSUMED_EXPANSION;
static const double certified_at_c = 20;
static const double residual_max_mm = 1;
static const double growth_max = 0.002; /* of a gauge; steel does not reach it before 190 degrees */
static const double large_mm = 1e6; /* a slip; shown with an exponent */
static const double movement_mm = 0.0005; /* of the gauge, unseen between two turns */
static const double moved_share = 0.25; /* of a closure in the offset, if the gauge moved at once */
static const double least_radius_mm = 0.1, most_radius_mm = 25; /* of a ball; beyond is a slip */
static const double most_offset_mm = 1;
static const double least_offset_mm = 1e-9; /* none: what was touched at one turn, copied */
static const double noticeable = 0.01; /* of lobes in the offset; less is not told of */
static const size_t dof_needed = 3;       /* for a scatter from the touches themselves */
static const double same_turn_deg = 1e-9; /* far above rounding, far below any spindle stop */
static const double level_sine = 0.17364817766693034885; /* sin 10 degrees */
static const double least_arc_deg = 90;

reseat_reduce_setup reseat_reduce_assumed(reseat_gauge_kind kind, double diameter_mm)
{
    return (reseat_reduce_setup){
        .gauge = {.kind = kind, .diameter_mm = diameter_mm, .temperature_c = certified_at_c,
                  .temperature_u_c = 0.5, .expansion_per_k = 11.5e-6,
                  .expansion_u_per_k = 1.15e-6},
        .u_touch_mm = 0.0005,
        .lobing_mm = 0.003,
        .assumed = assumed_of_diameter | 1u << RESEAT_ASSUMED_LOBING};
}

static bool is_inside(const reduction_work *w)
{
    return w->setup->gauge.kind == RESEAT_GAUGE_RING || w->setup->gauge.kind == RESEAT_GAUGE_BORE;
}

/* A bore or boss of any size will do: its diameter need not be known. */
static bool has_diameter(const reseat_gauge *g)
{
    return g->kind < RESEAT_GAUGE_BORE || g->diameter_mm > 0;
}

reseat_xyz reduction_arm(const reduction_work *w, size_t touch)
{
    const reseat_touch *const t = &w->touches[touch];
    const reseat_xy o = plane_rotate(w->joint.offset_mm, t->turn_deg);
    return (reseat_xyz){t->x_mm - w->joint.centre_mm.x + o.x, t->y_mm - w->joint.centre_mm.y + o.y,
                        w->fit.sought.sphere ? t->z_mm - w->joint.centre_mm.z : 0};
}

static double length(reseat_xyz v)
{
    return hypot(hypot(v.x, v.y), v.z);
}

double reduction_reach(const reduction_work *w, size_t touch)
{
    return length(reduction_arm(w, touch));
}

double reduction_radius(const reduction_work *w, size_t touch)
{
    const double reach_mm = reduction_reach(w, touch);
    const double half_mm = w->diameter_mm / 2;
    return is_inside(w) ? half_mm - reach_mm : reach_mm - half_mm;
}

/* A ring is touched going outwards, the others going inwards. */
static double dir_of_surface(const reduction_work *w, size_t touch)
{
    const reseat_xyz arm = reduction_arm(w, touch);
    const double outwards_deg = reseat_plane_bearing((reseat_xy){arm.x, arm.y});
    return is_inside(w) ? outwards_deg : outwards_deg + 180;
}

double reduction_dir(const reduction_work *w, size_t touch)
{
    const reseat_touch *const t = &w->touches[touch];
    return plane_seat(t->has_dir ? t->dir_deg : dir_of_surface(w, touch));
}

bool reduction_is_level(const reduction_work *w, size_t touch)
{
    const reseat_xyz arm = reduction_arm(w, touch);
    return fabs(arm.z) <= level_sine * length(arm);
}

/* Two directions or turns are within `within_deg` of each other. */
static bool is_near(double a_deg, double b_deg, double within_deg)
{
    return fabs(reseat_plane_turn(a_deg - b_deg)) <= within_deg;
}

bool reduction_same_turn(const reduction_work *w, size_t a, size_t b)
{
    return is_near(w->touches[a].turn_deg, w->touches[b].turn_deg, same_turn_deg);
}

/* Says what is wrong with a touch, and where it stands; returns the status. */
static reseat_status refuse(const reduction_work *w, size_t touch, const char *key,
                            reseat_status status, const char *format, ...) PRINTF_LIKE(5, 6);

static reseat_status refuse(const reduction_work *w, size_t touch, const char *key,
                            reseat_status status, const char *format, ...)
{
    char text[sizeof w->error->text];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    error_set(w->error, status, 0, "%s", text);
    if (w->error && w->count > 0) {
        w->error->line = w->touches[touch].line;
        w->error->column = w->touches[touch].column;
        snprintf(w->error->key, sizeof w->error->key, "%s", key);
    }
    return status;
}

/* The steps of a reduction follow, in their order. */

static reseat_status check_setup(reduction_work *w, reseat_reduction *r)
{
    (void)r;
    const reseat_reduce_setup *const s = w->setup;
    const reseat_gauge *const g = &s->gauge;
    const double not_negative[] = {g->diameter_mm,       g->diameter_u_mm, g->temperature_u_c,
                                   g->expansion_u_per_k, s->centre_u_mm,   s->u_touch_mm,
                                   s->lobing_mm};
    if (reseat_gauge_kind_name(g->kind)[0] == '\0')
        return error_plain(w->error, RESEAT_ERR_ARGUMENT);
    if (!isfinite(g->temperature_c) || !isfinite(g->expansion_per_k))
        return error_plain(w->error, RESEAT_ERR_NOT_FINITE);
    const reseat_status status =
        numbers_check(not_negative, sizeof not_negative / sizeof *not_negative);
    if (status != RESEAT_OK)
        return error_plain(w->error, status);
    /* by how much of its size the gauge is larger than certified, as it is warmer */
    const double growth = g->expansion_per_k * (g->temperature_c - certified_at_c);
    if (!(fabs(growth) <= growth_max))
        return error_set(w->error, RESEAT_ERR_RANGE, 0,
                         "expected a gauge that grows by less than 0.2 %%; is its expansion per "
                         "kelvin, such as 11.5e-6, and its temperature in degrees Celsius?");
    w->diameter_mm = g->diameter_mm * (1 + growth);
    return g->diameter_mm > 0 || !has_diameter(g) ? RESEAT_OK
                                                  : error_plain(w->error, RESEAT_ERR_RANGE);
}

static reseat_status check_touches(reduction_work *w, reseat_reduction *r)
{
    (void)r;
    if (w->count > RESEAT_TOUCHES_MAX)
        return error_plain(w->error, RESEAT_ERR_RANGE);
    for (size_t i = 0; i < w->count; i++) {
        const reseat_touch *const t = &w->touches[i];
        const double values[] = {t->x_mm, t->y_mm, t->z_mm, t->turn_deg, t->dir_deg};
        if (!numbers_are_finite(values, t->has_dir ? 5 : 4))
            return refuse(w, i, "x_mm", RESEAT_ERR_NOT_FINITE, "%s",
                          reseat_status_text(RESEAT_ERR_NOT_FINITE));
    }
    return RESEAT_OK;
}

/* Distinct turns, rising. */
static reseat_status find_turns(reduction_work *w, reseat_reduction *r)
{
    for (size_t i = 0; i < w->count; i++) {
        const double turn_deg = plane_seat(w->touches[i].turn_deg);
        size_t at = 0;
        while (at < r->turns && !is_near(turn_deg, r->turns_deg[at], same_turn_deg))
            at++;
        if (at < r->turns)
            continue;
        if (r->turns == RESEAT_REDUCE_TURNS_MAX)
            return refuse(w, i, "turn_deg", RESEAT_ERR_RANGE,
                          "expected at most %d different turns", RESEAT_REDUCE_TURNS_MAX);
        for (at = r->turns++; at > 0 && r->turns_deg[at - 1] > turn_deg; at--)
            r->turns_deg[at] = r->turns_deg[at - 1];
        r->turns_deg[at] = turn_deg;
    }
    return RESEAT_OK;
}

/* A length for an error: with so many decimals, but a large one with an exponent. */
static const char *shown(char *text, double mm, int decimals)
{
    if (fabs(mm) < large_mm)
        reseat_number_fixed(mm, decimals, text);
    else if (reseat_number_format(mm, text) != RESEAT_OK)
        strcpy(text, "more than 1e300");
    return text;
}

static reseat_status say_gross(const reduction_work *w, size_t worst, double off_mm)
{
    char off[RESEAT_NUMBER_SIZE];
    return refuse(w, worst, "x_mm", RESEAT_ERR_RANGE,
                  "expected touches of one gauge; this one is off by %s mm",
                  shown(off, off_mm, 3));
}

static reseat_status say_undetermined(const reduction_work *w, reseat_status status)
{
    size_t worst;
    double off_mm;
    if (reduction_find_gross(w, residual_max_mm, &worst, &off_mm))
        return say_gross(w, worst, off_mm);
    const char *const what = w->fit.sought.sphere ? "a sphere; do x, y and z differ?"
                             : w->fit.sought.offset && !w->fit.sought.centre_known
                                 ? "circle and offset; were there enough at each turn?"
                                 : "a circle";
    return refuse(w, w->count - 1, "x_mm", status,
                  "the touches up to this one do not determine %s", what);
}

static reseat_status find_fit(reduction_work *w, reseat_reduction *r)
{
    const fit_setup sought = {.sphere = w->setup->gauge.kind == RESEAT_GAUGE_SPHERE,
                              .offset = w->setup->centre_known || r->turns > 1,
                              .centre_known = w->setup->centre_known,
                              .centre_mm = w->setup->centre_mm};
    const reseat_status status = fit_joint(w->touches, w->count, &sought, &w->fit, &w->joint);
    switch (status) {
    case RESEAT_OK: return RESEAT_OK;
    case RESEAT_ERR_TOO_FEW:
        return refuse(w, w->count - 1, "x_mm", status, "expected at least %zu touches, read %zu",
                      fit_unknowns(&w->fit.sought), w->count);
    case RESEAT_ERR_SINGULAR:
    case RESEAT_ERR_NO_CONVERGENCE: return say_undetermined(w, status);
    default: return error_plain(w->error, status);
    }
}

static reseat_status check_residual(reduction_work *w, reseat_reduction *r)
{
    (void)r;
    size_t worst = w->joint.worst;
    double off_mm = w->joint.worst_mm;
    if (fabs(off_mm) <= residual_max_mm)
        return RESEAT_OK;
    (void)reduction_find_gross(w, residual_max_mm, &worst, &off_mm);
    return say_gross(w, worst, off_mm);
}

/* The pole of a sphere has no direction: what is beyond 80 degrees does not count. */
static double arc_of_touches(const reduction_work *w)
{
    directed_radius list[RESEAT_TOUCHES_MAX];
    size_t count = 0;
    for (size_t i = 0; i < w->count; i++) {
        const reseat_xyz arm = reduction_arm(w, i);
        if (hypot(arm.x, arm.y) > level_sine * length(arm))
            list[count++] = (directed_radius){dir_of_surface(w, i), 0};
    }
    return count > 0 ? directions_arc(list, count) : 0;
}

static reseat_status check_dirs(reduction_work *w, reseat_reduction *r)
{
    (void)r;
    for (size_t i = 0; i < w->count; i++)
        if (reduction_is_level(w, i) && !is_near(reduction_dir(w, i), dir_of_surface(w, i), 90))
            return refuse(w, i, "dir_deg", RESEAT_ERR_RANGE, "expected a motion towards the "
                          "surface of the %s; is this the side touched, or another gauge?",
                          reseat_gauge_kind_name(w->setup->gauge.kind));
    if (arc_of_touches(w) > least_arc_deg)
        return RESEAT_OK;
    return refuse(w, w->count - 1, "dir_deg", RESEAT_ERR_SINGULAR, "expected touches from all "
                  "round; all of them up to this one come from within 90 degrees");
}

/* Radii by direction, and the curve through them; without a diameter about a radius of 0. */
static reseat_status find_radii(reduction_work *w, reseat_reduction *r)
{
    if (!has_diameter(&w->setup->gauge))
        w->diameter_mm = 2 * w->joint.radius_mm;
    directed_radius list[RESEAT_TOUCHES_MAX];
    size_t count = 0;
    for (size_t i = 0; i < w->count; i++)
        if (reduction_is_level(w, i))
            list[count++] = (directed_radius){reduction_dir(w, i) - w->touches[i].turn_deg,
                                              reduction_radius(w, i)};
    if (count == 0)
        return RESEAT_OK;
    r->dirs = directions_merge(list, count);
    for (size_t i = 0; i < r->dirs; i++) {
        r->dirs_deg[i] = list[i].dir_deg;
        r->radii_mm[i] = list[i].radius_mm;
    }
    const reseat_status status = reseat_radius_fit(r->dirs_deg, r->radii_mm, r->dirs, &r->curve);
    return status == RESEAT_OK ? RESEAT_OK : error_plain(w->error, status);
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

/* What lobes of amplitude 1 and one order do to the offset, by where they begin. */
typedef struct lobing_effect {
    reseat_xy cosine;
    reseat_xy sine;
} lobing_effect;

static reseat_xy xy_add(reseat_xy a, double factor, reseat_xy b)
{
    return (reseat_xy){a.x + factor * b.x, a.y + factor * b.y};
}

/* A touch that is off by 1 moves the offset by `weight`. */
static void add_touch(lobing_effect *orders, double dir_deg, reseat_xy weight)
{
    for (size_t k = 0; k < LOBE_ORDERS; k++) {
        double sine, cosine;
        plane_sincos((double)(k + LOBES_LEAST) * dir_deg, &sine, &cosine);
        orders[k].cosine = xy_add(orders[k].cosine, cosine, weight);
        orders[k].sine = xy_add(orders[k].sine, sine, weight);
    }
}

static void add_touches(const reduction_work *w, lobing_effect *orders)
{
    const size_t n = fit_unknowns(&w->fit.sought), o = n - 3; /* where the offset stands */
    triangle_column block[FIT_UNKNOWNS_MAX + 1];
    reseat_xy inverse[FIT_UNKNOWNS_MAX];
    for (size_t k = 0; k < n; k++)
        inverse[k] = (reseat_xy){triangle_cofactor(&w->fit.equations, o, k),
                                 triangle_cofactor(&w->fit.equations, o + 1, k)};
    for (size_t first = 0, rows; (rows = fit_rows(&w->fit, first)) > 0; first += rows) {
        fit_equations(&w->fit, &w->fit.state, first, rows, block);
        for (size_t i = 0; i < rows; i++) {
            const double turn_deg = plane_seat(w->touches[first + i].turn_deg);
            reseat_xy weight = {0, 0};
            for (size_t k = 0; k < n; k++)
                weight = xy_add(weight, block[k][i], inverse[k]);
            add_touch(orders, reduction_dir(w, first + i) - turn_deg, weight);
        }
    }
}

/*
 * The largest length of the offset error that lobes of amplitude 1, of any one order that is
 * common, bring into this fit, wherever they begin.
 */
static double lobing_gain(const reduction_work *w)
{
    lobing_effect orders[LOBE_ORDERS] = {{{0, 0}, {0, 0}}};
    double gain = 0;
    add_touches(w, orders);
    for (size_t k = 0; k < LOBE_ORDERS; k++) {
        const reseat_xy c = orders[k].cosine, s = orders[k].sine;
        const reseat_cov all = {c.x * c.x + s.x * s.x, c.x * c.y + s.x * s.y,
                                c.y * c.y + s.y * s.y};
        gain = fmax(gain, sqrt(covariance_largest(all)));
    }
    return gain;
}

static void find_offset(const reduction_work *w, reseat_reduction *r)
{
    const double dof = (double)w->joint.dof;
    const double variance_mm2 = variance(w, r);
    const double centre_mm2 = w->setup->centre_known ? square(w->setup->centre_u_mm) : 0;
    const double widening = w->joint.dof >= dof_needed ? dof / (dof - 2) : 1;
    const double gain = lobing_gain(w);
    const reseat_cov q = w->joint.offset_cofactor;
    r->offset_mm = w->joint.offset_mm;
    r->offset_cov_mm2 = (reseat_cov){q.xx * variance_mm2 + centre_mm2, q.xy * variance_mm2,
                                     q.yy * variance_mm2 + centre_mm2};
    r->offset_u_mm = sqrt(covariance_largest(q) * variance_mm2 * widening + centre_mm2 +
                          square(gain * w->setup->lobing_mm / 2) / 2);
    const reseat_xy in_use_mm =
        w->setup->in_use_known ? w->setup->in_use_mm : w->joint.offset_mm;
    r->reading_mm = (reseat_xy){r->centre_mm.x + (in_use_mm.x - r->offset_mm.x),
                                r->centre_mm.y + (in_use_mm.y - r->offset_mm.y)};
    if (gain > noticeable)
        r->assumed |= w->setup->assumed & 1u << RESEAT_ASSUMED_LOBING;
    if (r->gauge_moved)
        r->offset_u_mm += moved_share * r->closure_mm;
    /* a gauge that moved between two turns looks like the offset that was found */
    if (!w->setup->centre_known && r->turns == 2 && !r->has_closure) {
        r->offset_u_mm += movement_mm;
        r->assumed |= 1u << RESEAT_ASSUMED_MOVEMENT;
    }
}

static void find_radius(const reduction_work *w, reseat_reduction *r)
{
    const reseat_gauge *const g = &w->setup->gauge;
    const double half_mm = w->diameter_mm / 2;
    const double warmer_c = g->temperature_c - certified_at_c;
    r->fit_radius_mm = w->joint.radius_mm;
    r->has_radius = has_diameter(g);
    if (!r->has_radius)
        return;
    r->assumed |= w->setup->assumed & assumed_of_diameter;
    r->radius_mm = is_inside(w) ? half_mm - r->fit_radius_mm : r->fit_radius_mm - half_mm;
    r->radius_u_mm =
        sqrt(w->joint.radius_cofactor * variance(w, r) + square(g->diameter_u_mm / 2) +
             square(g->diameter_mm * g->expansion_per_k * g->temperature_u_c / 2) +
             square(g->diameter_mm * warmer_c * g->expansion_u_per_k / 2));
}

/* Everything that follows from the fit but the results touch by touch. */
static reseat_status conclude(reduction_work *w, reseat_reduction *r)
{
    r->touches = w->count;
    r->dof = w->joint.dof;
    r->has_offset = w->fit.sought.offset;
    r->centre_mm = w->joint.centre_mm;
    r->form_mm = w->joint.form_mm;
    r->residual_sd_mm = w->joint.residual_sd_mm;
    reduction_movement(w, r);
    if (r->has_offset)
        find_offset(w, r);
    find_radius(w, r);
    return RESEAT_OK;
}

/* What no calibration comes to is a slip: another diameter, unit, gauge or turn than was meant. */
static reseat_status check_plausible(reduction_work *w, reseat_reduction *r)
{
    char one[RESEAT_NUMBER_SIZE], other[RESEAT_NUMBER_SIZE];
    const char *const gauge = reseat_gauge_kind_name(w->setup->gauge.kind);
    const reseat_xy o = r->offset_mm;
    if (r->has_radius && !(r->radius_mm > 0))
        return refuse(w, 0, "x_mm", RESEAT_ERR_RANGE, "the ball went round on %s mm, which leaves "
                      "it no size; is this the diameter of the %s?",
                      shown(one, 2 * r->fit_radius_mm, 4), gauge);
    if (r->has_radius && !(r->radius_mm >= least_radius_mm && r->radius_mm <= most_radius_mm))
        return refuse(w, 0, "x_mm", RESEAT_ERR_RANGE, "the ball went round on %s mm, which would "
                      "make its radius %s mm; is this the diameter of the %s?",
                      shown(one, 2 * r->fit_radius_mm, 4), shown(other, r->radius_mm, 4), gauge);
    if (!(fabs(o.x) <= most_offset_mm && fabs(o.y) <= most_offset_mm))
        return refuse(w, 0, "turn_deg", RESEAT_ERR_RANGE, "the offset would be %s, %s mm; is this "
                      "one gauge, and are the turns those of the spindle?", shown(one, o.x, 4),
                      shown(other, o.y, 4));
    if (r->turns > 1 && !w->setup->centre_known && !(hypot(o.x, o.y) > least_offset_mm))
        return refuse(w, w->count - 1, "turn_deg", RESEAT_ERR_RANGE, "the touches are the same at "
                      "every turn, to the last digit; was the spindle turned, and touched again?");
    return RESEAT_OK;
}

static reseat_status check_result(reduction_work *w, reseat_reduction *r)
{
    const double values[] = {r->offset_u_mm, r->offset_cov_mm2.xx, r->offset_cov_mm2.yy,
                             r->radius_mm, r->radius_u_mm, r->residual_sd_mm, r->closure_mm,
                             r->repeatability_mm, r->reading_mm.x, r->reading_mm.y};
    return numbers_are_finite(values, sizeof values / sizeof *values)
               ? RESEAT_OK
               : error_plain(w->error, RESEAT_ERR_NOT_FINITE);
}

static unsigned advice(const reduction_work *w, const reseat_reduction *r)
{
    const bool given[RESEAT_ADVICE_COUNT] = {
        [RESEAT_ADVICE_TURNS] = !r->has_offset,
        [RESEAT_ADVICE_CLOSURE] =
            r->has_offset && !w->setup->centre_known && !r->has_closure,
        [RESEAT_ADVICE_TOUCHES] = !r->outliers_tested,
        [RESEAT_ADVICE_OUTLIERS] = r->outliers > 0,
        [RESEAT_ADVICE_DIRECTIONS] = !radius_shows_lobes(&r->curve),
        [RESEAT_ADVICE_REPEATS] = !r->has_repeatability,
        [RESEAT_ADVICE_GAUGE_U] = r->assumed & 1u << RESEAT_ASSUMED_GAUGE_U,
        [RESEAT_ADVICE_TEMPERATURE] = r->assumed & 1u << RESEAT_ASSUMED_TEMPERATURE,
    };
    unsigned bits = 0;
    for (unsigned i = 0; i < RESEAT_ADVICE_COUNT; i++)
        bits |= given[i] ? 1u << i : 0;
    return bits;
}

static void add_doubts(reseat_reduction *r)
{
    if (r->outliers > 0)
        r->doubt[r->doubts++] = "outliers";
    if (r->gauge_moved)
        r->doubt[r->doubts++] = "gauge-moved";
}

reseat_status reseat_reduce(const reseat_touch *touches, size_t count,
                            const reseat_reduce_setup *setup, reseat_touch_result *results,
                            reseat_reduction *reduction, reseat_error *error)
{
    static reseat_status (*const steps[])(reduction_work *, reseat_reduction *) = {
        check_setup,    check_touches, find_turns, find_fit,
        check_residual, check_dirs,    find_radii, conclude,
        check_plausible, check_result};
    if (!touches || !setup || !results || !reduction)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reduction_work w = {.touches = touches, .count = count, .setup = setup, .error = error};
    reseat_reduction r = {0};
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        const reseat_status status = steps[i](&w, &r);
        if (status != RESEAT_OK)
            return status;
    }
    reduction_outliers(&w, results, &r);
    r.advice = advice(&w, &r);
    add_doubts(&r);
    *reduction = r;
    return RESEAT_OK;
}

size_t reseat_reduce_keep(reseat_touch *touches, size_t count, const reseat_touch_result *results)
{
    size_t kept = 0;
    if (!touches || !results)
        return 0;
    for (size_t i = 0; i < count; i++)
        if (!results[i].outlier)
            touches[kept++] = touches[i];
    return kept;
}
