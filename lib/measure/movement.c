/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <float.h>
#include <math.h>
#include <string.h>
#include "maths/plane.h"
#include "measure/reduce.h"

/*
 * Whether the gauge moved while it was touched: each visit, touches in a row at one turn, gets a
 * centre of its own; radius and, on a sphere, height are shared by all. What this leaves is scatter
 * and lobes alone, however the gauge moved between the visits.
 */

#define OWN 2    /* unknowns of a visit: by how much its centre is off that of the fit */
#define SHARED 2 /* at most */
#define STEPS 3  /* of Gauss-Newton; the fit is near, so that each squares what is still off */

static const double moved_p = 0.01;        /* a closure less likely is no scatter */
static const double least_u_mm = 1e-9;     /* of a closure, where touches agree exactly */
static const double determined_share = 0.1;
static const double same_place = 0.017453292519943295; /* of the radius: 1 degree */

typedef struct visit {
    size_t begin;
    size_t end;
} visit;

typedef struct movement {
    const reduction_work *w;
    size_t shared; /* unknowns */
    size_t dof;
    double variance_mm2; /* of one touch; where there is a dof */
    double radius_mm;
    reseat_xyz arm_mm[RESEAT_TOUCHES_MAX]; /* from the centre of the visit to the ball's */
} movement;

static visit visit_from(const movement *m, size_t begin)
{
    visit v = {begin, begin};
    while (v.end < m->w->count && reduction_same_turn(m->w, begin, v.end))
        v.end++;
    return v;
}

/* Unit vector of a touch in the plane, then what its radius and its height are worth. */
static void columns_of(const movement *m, size_t touch, double column[OWN + SHARED])
{
    const reseat_xyz *const arm = &m->arm_mm[touch];
    /* a touch at the centre itself pulls nowhere */
    const double length_mm = hypot(hypot(arm->x, arm->y), arm->z) + DBL_MIN;
    const double all[] = {arm->x / length_mm, arm->y / length_mm, 1, arm->z / length_mm};
    memcpy(column, all, sizeof all);
}

/* What is left of a residual. */
static double rest_of(const movement *m, size_t touch)
{
    const reseat_xyz *const arm = &m->arm_mm[touch];
    return hypot(hypot(arm->x, arm->y), arm->z) - m->radius_mm;
}

/* Adds a visit, whose centre stands `at` among `own` unknowns, and `shared` behind these. */
static void fold_visit(const movement *m, visit v, size_t at, size_t own, size_t shared,
                       triangle *t)
{
    triangle_column block[2 * OWN + SHARED + 1];
    for (size_t first = v.begin; first < v.end; first += TRIANGLE_ROWS) {
        const size_t left = v.end - first, rows = left < TRIANGLE_ROWS ? left : TRIANGLE_ROWS;
        memset(block, 0, sizeof block);
        for (size_t i = 0; i < rows; i++) {
            double column[OWN + SHARED];
            columns_of(m, first + i, column);
            for (size_t k = 0; k < OWN; k++)
                block[at + k][i] = column[k];
            for (size_t k = 0; k < shared; k++)
                block[own + k][i] = column[OWN + k];
            block[own + shared][i] = rest_of(m, first + i);
        }
        triangle_fold(t, block, rows);
    }
}

/* The shared unknowns: of each visit what its own two leave. Returns the squares that are left. */
static double solve_shared(movement *m, double *x)
{
    triangle all, one;
    triangle_column block[SHARED + 1];
    double squares = 0;
    size_t unknowns = m->shared;
    triangle_start(&all, m->shared);
    for (visit v = visit_from(m, 0); v.begin < m->w->count; v = visit_from(m, v.end)) {
        triangle_start(&one, OWN + m->shared);
        fold_visit(m, v, 0, OWN, m->shared, &one);
        for (size_t i = 0; i < m->shared; i++)
            for (size_t k = 0; k <= m->shared; k++)
                block[k][i] = one.r[(OWN + i) * (one.unknowns + 1) + OWN + k];
        triangle_fold(&all, block, m->shared);
        squares += one.rest2;
        unknowns += v.end - v.begin < OWN ? v.end - v.begin : OWN;
    }
    const size_t rank = triangle_rank(&all, determined_share);
    memset(x, 0, SHARED * sizeof *x);
    triangle_solve(&all, rank, x);
    m->dof = m->w->count > unknowns ? m->w->count - unknowns : 0;
    return squares + triangle_residual2(&all, rank);
}

/* Moves the centre of a visit, radius and height having been moved, to where it fits best. */
static void settle(movement *m, visit v)
{
    triangle t;
    double own[OWN];
    triangle_start(&t, OWN);
    fold_visit(m, v, 0, OWN, 0, &t);
    if (triangle_rank(&t, determined_share) < OWN)
        return;
    triangle_solve(&t, OWN, own);
    for (size_t i = v.begin; i < v.end; i++) {
        m->arm_mm[i].x -= own[0];
        m->arm_mm[i].y -= own[1];
    }
}

static void fit_visits(movement *m)
{
    double shared[SHARED], squares_mm2 = 0;
    for (int step = 0; step < STEPS; step++) {
        squares_mm2 = solve_shared(m, shared);
        m->radius_mm += shared[0];
        for (size_t i = 0; i < m->w->count; i++)
            m->arm_mm[i].z -= shared[1];
        for (visit v = visit_from(m, 0); v.begin < m->w->count; v = visit_from(m, v.end))
            settle(m, v);
    }
    m->variance_mm2 = m->dof > 0 ? squares_mm2 / (double)m->dof : 0;
}

/* By how much the centre of a visit lies off that of the fit. */
static reseat_xy moved_by(const movement *m, visit v)
{
    const reseat_xyz arm = reduction_arm(m->w, v.begin);
    return (reseat_xy){arm.x - m->arm_mm[v.begin].x, arm.y - m->arm_mm[v.begin].y};
}

/* How far the centres of two visits are apart, and whether scatter alone explains that. */
static void compare(const movement *m, visit before, visit after, reseat_reduction *r)
{
    triangle t;
    double x[2 * OWN + SHARED] = {-1, 0, 1, 0}, y[] = {0, -1, 0, 1, 0, 0};
    triangle_start(&t, 2 * OWN + m->shared);
    fold_visit(m, before, 0, 2 * OWN, m->shared, &t);
    fold_visit(m, after, OWN, 2 * OWN, m->shared, &t);
    const size_t rank = triangle_rank(&t, determined_share);
    if (rank < 2 * OWN)
        return;
    triangle_whiten(&t, rank, x);
    triangle_whiten(&t, rank, y);
    reseat_cov cofactor = {0, 0, 0};
    for (size_t i = 0; i < rank; i++) {
        cofactor.xx += x[i] * x[i];
        cofactor.xy += x[i] * y[i];
        cofactor.yy += y[i] * y[i];
    }
    r->has_closure = true;
    r->closure_mm = reseat_plane_length(xy_less(moved_by(m, after), moved_by(m, before)));
    if (m->dof == 0)
        return;
    const double dof = (double)m->dof;
    const double u_mm = fmax(sqrt(covariance_largest(cofactor) * m->variance_mm2), least_u_mm);
    const double ratio = r->closure_mm / u_mm;
    r->gauge_moved = !(pow(1 + ratio * ratio / dof, -dof / 2) >= moved_p);
}

/* The first turn that comes again: when it was touched first, and last. */
static void find_closure(const movement *m, reseat_reduction *r)
{
    for (visit v = visit_from(m, 0); v.end < m->w->count; v = visit_from(m, v.end)) {
        visit last = v;
        for (visit next = visit_from(m, v.end); next.begin < m->w->count;
             next = visit_from(m, next.end))
            if (reduction_same_turn(m->w, v.begin, next.begin))
                last = next;
        if (last.begin == v.begin)
            continue;
        compare(m, v, last, r);
        return;
    }
}

/* One touch repeats another: the same turn and place, to a degree, in another set. */
static bool repeats(const reduction_work *w, size_t a, size_t b)
{
    const reseat_touch *const p = &w->touches[a];
    const reseat_touch *const q = &w->touches[b];
    if (p->set == q->set || !reduction_same_turn(w, a, b))
        return false;
    const double up_mm = w->fit.sought.sphere ? p->z_mm - q->z_mm : 0;
    const double apart_mm = hypot(hypot(p->x_mm - q->x_mm, p->y_mm - q->y_mm), up_mm);
    return apart_mm <= same_place * w->joint.radius_mm;
}

/* The first touch below `end` that one repeats; `end` if it repeats none. */
static size_t first_of(const reduction_work *w, size_t touch, size_t end)
{
    size_t i = 0;
    while (i < end && !repeats(w, i, touch))
        i++;
    return i;
}

/* Adds the squares of a touch and its repeats about their mean, and their degrees of freedom. */
static void pool(const movement *m, size_t first, double *squares_mm2, size_t *dof)
{
    double mean_mm = rest_of(m, first);
    double n = 1;
    for (size_t i = first + 1; i < m->w->count; i++) {
        if (!repeats(m->w, first, i))
            continue;
        const double off_mm = rest_of(m, i) - mean_mm;
        n += 1;
        mean_mm += off_mm / n;
        *squares_mm2 += off_mm * off_mm * (n - 1) / n;
        ++*dof;
    }
}

/* Degrees of freedom that own centres take from repeats: a visit that repeats another, its two. */
static size_t taken(const movement *m)
{
    size_t count = 0;
    for (visit v = visit_from(m, 0); v.begin < m->w->count; v = visit_from(m, v.end))
        for (size_t i = v.begin; i < v.end; i++)
            if (first_of(m->w, i, v.begin) < v.begin) {
                count += OWN;
                break;
            }
    return count;
}

static void find_repeatability(const movement *m, size_t less, reseat_reduction *r)
{
    double squares_mm2 = 0;
    size_t dof = 0;
    for (size_t i = 0; i < m->w->count; i++)
        if (first_of(m->w, i, i) == i)
            pool(m, i, &squares_mm2, &dof);
    r->has_repeatability = dof > less;
    r->repeatability_dof = dof > less ? dof - less : 0;
    r->repeatability_mm = dof > less ? sqrt(squares_mm2 / (double)(dof - less)) : 0;
}

void reduction_movement(const reduction_work *w, reseat_reduction *r)
{
    movement m = {.w = w, .shared = w->fit.sought.sphere ? 2 : 1,
                  .radius_mm = w->joint.radius_mm};
    for (size_t i = 0; i < w->count; i++)
        m.arm_mm[i] = reduction_arm(w, i);
    find_repeatability(&m, 0, r);
    const size_t less = taken(&m);
    fit_visits(&m);
    find_closure(&m, r);
    if (r->repeatability_dof > less) /* else too few to tell scatter from movement */
        find_repeatability(&m, less, r);
}
