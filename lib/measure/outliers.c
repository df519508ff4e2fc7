/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <assert.h>
#include <math.h>
#include <string.h>
#include "maths/distributions.h"
#include "maths/plane.h"
#include "measure/reduce.h"

/*
 * Which touches do not belong to the others: the fit is continued, linearised, with harmonics of
 * the radius, so that lobes are not taken for bad touches. Of those beyond the limit the worst is
 * named, and left out before the others are judged again: a bad touch spoils those that should
 * agree with it, and hides those that are bad, but not as bad.
 */

#define ORDER_MAX 6             /* of the harmonics beside the fit */
#define DIRECTIONS_NEEDED 7     /* for harmonics */
#define DOF_NEEDED 4            /* to single out a bad touch */

static const double false_share = 0.005;     /* of all reductions, on either side */
static const double hidden_share = 0.0005;   /* the same, of those that a worse one had hidden */
static const double least_mm = 0.0001;       /* smaller ones are the control's last digit */
static const double tie_share = 0.01;        /* as much alike cannot be told apart */
static const double lone_sd_mm = 1e-9;       /* of the others, where they agree exactly */
static const double independent_share = 1e-6;

/* The equations of the fit with harmonics beside them. */
typedef struct model {
    const reduction_work *w;
    const reseat_touch_result *results; /* those named are left out */
    size_t order;    /* 1: no harmonics */
    size_t unknowns;
    triangle equations;
    size_t left;     /* touches not named */
    size_t dof;
    double squares_mm2;
    size_t rank;
    double x[TRIANGLE_UNKNOWNS];
} model;

/* What deleting one touch shows of it. */
typedef struct deleted {
    double off_mm;      /* from what the others predict */
    double share_mm2;   /* of the sum of squares that goes with it */
} deleted;

/* Harmonics of the radius; there are none off the equator of a sphere. */
static void add_harmonics(const model *m, size_t first, size_t rows, triangle_column *block)
{
    const size_t begin = fit_unknowns(&m->w->fit.sought);
    for (size_t i = 0; i < rows && m->order > 1; i++) {
        const size_t touch = first + i;
        const bool level = reduction_is_level(m->w, touch);
        const double phi_deg = reseat_plane_turn(reduction_dir(m->w, touch) -
                                                 m->w->touches[touch].turn_deg);
        for (size_t k = 2; k <= m->order; k++) {
            double sine, cosine;
            plane_sincos((double)k * phi_deg, &sine, &cosine);
            block[begin + 2 * (k - 2)][i] = level ? cosine : 0;
            block[begin + 2 * (k - 2) + 1][i] = level ? sine : 0;
        }
    }
}

/* A block of equations; the residuals are moved to the last column. */
static void rows_of(const model *m, size_t first, size_t rows, triangle_column *block)
{
    fit_equations(&m->w->fit, &m->w->fit.state, first, rows, block);
    const size_t last = fit_unknowns(&m->w->fit.sought);
    for (size_t i = 0; i < rows; i++)
        block[m->unknowns][i] = block[last][i];
    add_harmonics(m, first, rows, block);
}

static void solve(model *m)
{
    triangle_column block[TRIANGLE_UNKNOWNS + 1];
    const double scale = m->w->fit.scale;
    triangle_start(&m->equations, m->unknowns);
    for (size_t first = 0, rows; (rows = fit_rows(&m->w->fit, first)) > 0; first += rows) {
        rows_of(m, first, rows, block);
        for (size_t i = 0; i < rows; i++)
            for (size_t j = 0; j <= m->unknowns && m->results[first + i].outlier; j++)
                block[j][i] = 0; /* an equation that says nothing, of one that is left out */
        triangle_fold(&m->equations, block, rows);
    }
    m->rank = triangle_rank(&m->equations, independent_share);
    triangle_solve(&m->equations, m->rank, m->x);
    m->squares_mm2 = triangle_residual2(&m->equations, m->rank) / scale / scale;
    m->left = 0;
    for (size_t i = 0; i < m->w->count; i++)
        m->left += !m->results[i].outlier;
    m->dof = m->left > m->rank ? m->left - m->rank : 0;
}

static deleted delete_one(const model *m, triangle_column *block, size_t row)
{
    double v[TRIANGLE_UNKNOWNS];
    double residual = block[m->unknowns][row];
    double leverage = 0;
    for (size_t j = 0; j < m->rank; j++) {
        v[j] = block[j][row];
        residual -= v[j] * m->x[j];
    }
    triangle_whiten(&m->equations, m->rank, v);
    for (size_t j = 0; j < m->rank; j++)
        leverage += v[j] * v[j];
    const double scale = m->w->fit.scale;
    const double left = 1 - leverage;
    deleted d = {0};
    if (left > 1e-9) { /* else the touch alone determines something, and fits whatever it is */
        d.off_mm = residual / scale / left;
        d.share_mm2 = residual / scale * d.off_mm;
    }
    return d;
}

/* By the standard deviation that the other touches have without it. */
static double studentised(const model *m, const deleted *d)
{
    const double others_mm2 = (m->squares_mm2 - d->share_mm2) / (double)(m->dof - 1);
    return copysign(sqrt(d->share_mm2 / fmax(others_mm2, lone_sd_mm * lone_sd_mm)), d->off_mm);
}

static double t_limit(const model *m, double share)
{
    double t = HUGE_VAL; /* if there were no quantile, none would be named */
    const double p = 1 - share / (double)m->left;
    (void)student_quantile(p, (double)(m->dof - 1), &t);
    return t;
}

/* What deleting each touch not yet named shows. */
static void delete_each(const model *m, deleted *list)
{
    triangle_column block[TRIANGLE_UNKNOWNS + 1];
    for (size_t i = 0; i < m->w->count; i++) {
        const size_t row = i % TRIANGLE_ROWS;
        if (row == 0)
            rows_of(m, i, fit_rows(&m->w->fit, i), block);
        list[i] = m->results[i].outlier ? (deleted){0, 0} : delete_one(m, block, row);
    }
}

/* The largest share of the sum of squares that goes with a touch beyond its limit; 0 for none. */
static double worst_share(const model *m, const deleted *list, double first_limit)
{
    const double limit = t_limit(m, false_share), hidden_limit = t_limit(m, hidden_share);
    double worst_mm2 = 0;
    for (size_t i = 0; i < m->w->count; i++) {
        /* beyond the limit already while all touches were there */
        const bool seen = fabs(m->results[i].studentised) > first_limit;
        if (fabs(list[i].off_mm) > least_mm &&
            fabs(studentised(m, &list[i])) > (seen ? limit : hidden_limit))
            worst_mm2 = fmax(worst_mm2, list[i].share_mm2);
    }
    return worst_mm2;
}

static void name_outliers(model *m, reseat_touch_result *results)
{
    deleted list[RESEAT_TOUCHES_MAX];
    delete_each(m, list);
    for (size_t i = 0; i < m->w->count; i++)
        results[i].studentised = studentised(m, &list[i]);
    const double first_limit = t_limit(m, false_share);
    while (m->dof >= DOF_NEEDED) {
        const double worst_mm2 = worst_share(m, list, first_limit);
        if (!(worst_mm2 > 0))
            return;
        for (size_t i = 0; i < m->w->count; i++)
            if (fabs(list[i].off_mm) > least_mm &&
                list[i].share_mm2 >= (1 - tie_share) * worst_mm2)
                results[i].outlier = true;
        solve(m);
        delete_each(m, list);
    }
}

void reduction_outliers(const reduction_work *w, reseat_touch_result *results, reseat_reduction *r)
{
    for (size_t i = 0; i < w->count; i++) {
        const double reach_mm = reduction_reach(w, i);
        results[i] = (reseat_touch_result){.dir_deg = reduction_dir(w, i),
                                           .radius_mm = reduction_radius(w, i),
                                           .residual_mm = reach_mm - w->joint.radius_mm};
    }
    model m = {.w = w, .results = results, .order = 1};
    if (r->dirs >= DIRECTIONS_NEEDED && r->curve.order > 1)
        m.order = r->curve.order < ORDER_MAX ? r->curve.order : ORDER_MAX;
    m.unknowns = fit_unknowns(&w->fit.sought) + 2 * (m.order - 1);
    assert(m.unknowns <= TRIANGLE_UNKNOWNS);
    solve(&m);
    /* turns almost alike leave an offset that the fit determines and this model does not */
    r->outliers_tested = m.dof >= DOF_NEEDED && r->dof >= DOF_NEEDED;
    if (r->outliers_tested)
        name_outliers(&m, results);
    r->outliers = 0;
    for (size_t i = 0; i < w->count; i++)
        r->outliers += results[i].outlier;
}

/*
 * The one touch that spoils a fit. A gross error draws circle and offset to itself until good
 * touches are farther off than it: so each touch in turn is left out, and the others tried alone.
 */

/*
 * Whether the linear start through all touches but the last lies within `within_mm` of these, and
 * the last does not; how far off that is, and the sum of squares of the others.
 */
static bool without_last(const reduction_work *w, const reseat_touch *touches, double within_mm,
                         double *squares_mm2, double *last_mm)
{
    fit f;
    const size_t others = w->count - 1;
    if (fit_begin(touches, others, &w->fit.sought, &f) != RESEAT_OK)
        return false;
    const fit_residuals left = fit_residuals_at(&f, &f.state);
    f.points = fit_touches(&touches[others], 1, w->fit.sought.sphere);
    *squares_mm2 = left.squares / f.scale / f.scale;
    *last_mm = fabs(fit_residuals_at(&f, &f.state).at_worst) / f.scale;
    return fabs(left.at_worst) / f.scale <= within_mm && *last_mm > within_mm;
}

bool reduction_find_gross(const reduction_work *w, double within_mm, size_t *touch, double *off_mm)
{
    double least_mm2 = HUGE_VAL;
    if (w->count < fit_unknowns(&w->fit.sought) + 2) /* else any may be left out */
        return false;
    reseat_touch touches[RESEAT_TOUCHES_MAX];
    memcpy(touches, w->touches, w->count * sizeof *touches);
    reseat_touch *const last = &touches[w->count - 1];
    for (size_t i = 0; i < w->count; i++) {
        double squares_mm2, last_mm;
        touches[i] = w->touches[w->count - 1];
        *last = w->touches[i];
        if (without_last(w, touches, within_mm, &squares_mm2, &last_mm) &&
            squares_mm2 < least_mm2) {
            least_mm2 = squares_mm2;
            *touch = i;
            *off_mm = last_mm;
        }
        touches[i] = w->touches[i];
    }
    return least_mm2 < HUGE_VAL;
}
