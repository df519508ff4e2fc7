/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Which touches do not belong to the others: the fit is continued, linearised, with harmonics of
 * the radius, so that lobes are not taken for bad touches.
 */
#include <assert.h>
#include <math.h>
#include "reduction.h"
#include "reseat/statistics.h"

#define ORDER_MAX 6             /* of the harmonics beside the fit */
#define DIRECTIONS_NEEDED 7     /* for harmonics */
#define DOF_NEEDED 4            /* to single out a bad touch */

static const double false_share = 0.005;     /* of all reductions, on either side */
static const double least_mm = 0.0001;       /* smaller ones are the control's last digit */
static const double tie_share = 0.01;        /* as much alike cannot be told apart */
static const double lone_sd_mm = 1e-9;       /* of the others, where they agree exactly */
static const double independent_share = 1e-6;

/* The equations of the fit with harmonics beside them. */
typedef struct model {
    const reduction_work *w;
    size_t order;    /* 1: no harmonics */
    size_t unknowns;
    triangle equations;
    size_t rank;
    double x[TRIANGLE_UNKNOWNS];
} model;

/* What deleting one touch shows of it. */
typedef struct deleted {
    double residual_mm; /* in the fit itself */
    double off_mm;      /* from what the others predict */
    double share_mm2;   /* of the sum of squares that goes with it */
} deleted;

static void add_harmonics(const model *m, size_t first, size_t rows, triangle_column *block)
{
    size_t column = joint_unknowns(m->w->shape);
    for (size_t k = 2; k <= m->order; k++, column += 2) {
        for (size_t i = 0; i < rows; i++) {
            const size_t touch = first + i;
            const double phi_deg = reseat_plane_turn(reduction_dir(m->w, touch) -
                                                     m->w->touches[touch].turn_deg);
            double *const sine = &block[column + 1][i];
            double *const cosine = &block[column][i];
            reseat_plane_sincos((double)k * phi_deg, sine, cosine);
            if (!reduction_is_level(m->w, touch))
                *sine = *cosine = 0; /* lobes are those of the equator */
        }
    }
}

/* A block of equations; the residuals are moved to the last column. */
static void rows_of(const model *m, size_t first, size_t rows, triangle_column *block)
{
    joint_equations(&m->w->points, m->w->shape, &m->w->state, first, rows, block);
    const size_t fit = joint_unknowns(m->w->shape);
    for (size_t i = 0; i < rows; i++)
        block[m->unknowns][i] = block[fit][i];
    add_harmonics(m, first, rows, block);
}

static size_t rows_from(const reduction_work *w, size_t first)
{
    return w->count - first < TRIANGLE_ROWS ? w->count - first : TRIANGLE_ROWS;
}

static void solve(model *m)
{
    triangle_column block[TRIANGLE_UNKNOWNS + 1];
    triangle_start(&m->equations, m->unknowns);
    for (size_t first = 0; first < m->w->count; first += TRIANGLE_ROWS) {
        const size_t rows = rows_from(m->w, first);
        rows_of(m, first, rows, block);
        triangle_fold(&m->equations, block, rows);
    }
    m->rank = triangle_rank(&m->equations, independent_share);
    triangle_solve(&m->equations, m->rank, m->x);
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
    const double scale = m->w->points.scale;
    const double left = 1 - leverage;
    deleted d = {.residual_mm = block[m->unknowns][row] / scale};
    if (left > 1e-9) { /* else the touch alone determines something, and fits whatever it is */
        d.off_mm = residual / scale / left;
        d.share_mm2 = residual / scale * d.off_mm;
    }
    return d;
}

/* Square of the deleted studentised residual. */
static double studentised2(const deleted *d, double squares_mm2, size_t dof)
{
    const double others = (squares_mm2 - d->share_mm2) / (double)(dof - 1);
    return d->share_mm2 / fmax(others, lone_sd_mm * lone_sd_mm);
}

/* Calls nothing outside and cannot fail: t_limit is HUGE_VAL where nothing is to be tested. */
static double fill_results(const model *m, size_t dof, double t_limit, reseat_touch_result *results)
{
    const double scale = m->w->points.scale;
    const double squares_mm2 = triangle_residual2(&m->equations, m->rank) / scale / scale;
    double least_share_mm2 = HUGE_VAL; /* of the touches named */
    triangle_column block[TRIANGLE_UNKNOWNS + 1];
    for (size_t i = 0; i < m->w->count; i++) {
        const size_t row = i % TRIANGLE_ROWS;
        if (row == 0)
            rows_of(m, i, rows_from(m->w, i), block);
        const deleted d = delete_one(m, block, row);
        const double t2 = dof > 1 ? studentised2(&d, squares_mm2, dof) : 0;
        results[i] = (reseat_touch_result){
            .dir_deg = reduction_dir(m->w, i), .radius_mm = reduction_radius(m->w, i),
            .residual_mm = d.residual_mm, .studentised = copysign(sqrt(t2), d.off_mm),
            .outlier = t2 > t_limit * t_limit && fabs(d.off_mm) > least_mm};
        if (results[i].outlier && d.share_mm2 < least_share_mm2)
            least_share_mm2 = d.share_mm2;
    }
    return least_share_mm2;
}

/* Those as large as the least of the named within 1 % are named with it. */
static void name_ties(const model *m, double least_share_mm2, reseat_touch_result *results)
{
    triangle_column block[TRIANGLE_UNKNOWNS + 1];
    for (size_t i = 0; i < m->w->count; i++) {
        const size_t row = i % TRIANGLE_ROWS;
        if (row == 0)
            rows_of(m, i, rows_from(m->w, i), block);
        const deleted d = delete_one(m, block, row);
        if (d.share_mm2 > (1 - tie_share) * least_share_mm2 && fabs(d.off_mm) > least_mm)
            results[i].outlier = true;
    }
}

static model model_of(const reduction_work *w, const reseat_reduction *r)
{
    model m = {.w = w, .order = 1};
    if (r->dirs >= DIRECTIONS_NEEDED)
        m.order = r->curve.order < ORDER_MAX ? r->curve.order : ORDER_MAX;
    m.order = m.order > 1 ? m.order : 1;
    m.unknowns = joint_unknowns(w->shape) + 2 * (m.order - 1);
    assert(m.unknowns <= TRIANGLE_UNKNOWNS);
    return m;
}

reseat_status reduction_outliers(const reduction_work *w, reseat_touch_result *results,
                                 reseat_reduction *r)
{
    model m = model_of(w, r);
    solve(&m);
    const size_t dof = w->count > m.rank ? w->count - m.rank : 0;
    r->outliers_tested = dof >= DOF_NEEDED;
    double t_limit = HUGE_VAL;
    if (r->outliers_tested) {
        const reseat_status status = reseat_student_quantile(
            1 - false_share / (double)w->count, (double)(dof - 1), &t_limit);
        if (status != RESEAT_OK)
            return status;
    }
    const double least_share_mm2 = fill_results(&m, r->outliers_tested ? dof : 0, t_limit, results);
    if (isfinite(least_share_mm2))
        name_ties(&m, least_share_mm2, results);
    r->outliers = 0;
    for (size_t i = 0; i < w->count; i++)
        r->outliers += results[i].outlier;
    return RESEAT_OK;
}
