/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift_parts.h"

#include <math.h>

static const double T2_LIMIT = 11.829007011943707324; /* -2 ln 0.0027 */
#define T2_LIMIT_RUNS_LEAST 12

/* Means of x and y, and the sums of squares and products about them. */
typedef struct scatter {
    size_t n;
    reseat_xy mean;
    reseat_cov sums;
} scatter;

/* Of values whose sums are finite: they have been charted. */
static scatter scatter_of(const double *x, const double *y, size_t n)
{
    scatter found = {.n = n};
    (void)reseat_sample_mean(x, n, &found.mean.x);
    (void)reseat_sample_mean(y, n, &found.mean.y);
    for (size_t i = 0; i < n; i++) {
        const double dx = x[i] - found.mean.x;
        const double dy = y[i] - found.mean.y;
        found.sums.xx += dx * dx;
        found.sums.xy += dx * dy;
        found.sums.yy += dy * dy;
    }
    return found;
}

/*
 * d' M^-1 d by the square root of M; false where M is singular: x or y, of such a size, does not
 * vary, or one follows from the other.
 */
static bool quadratic(reseat_cov m, reseat_xy d, reseat_xy size, double *value)
{
    if (reseat_drift_is_still(sqrt(m.xx), size.x) || reseat_drift_is_still(sqrt(m.yy), size.y))
        return false;
    const double slope = m.xy / m.xx;
    const double rest = m.yy - m.xy * slope;
    if (!(rest > 1e-12 * m.yy))
        return false;
    const double across = d.y - slope * d.x;
    *value = d.x * d.x / m.xx + across * across / rest;
    return true;
}

/* T2 of each run, in the scatter of successive differences. */
static bool find_t2(reseat_drift_point *points, size_t count, const drift_room *room,
                    const scatter *all)
{
    reseat_cov s = {0, 0, 0};
    const double scale = 2 * ((double)all->n - 1);
    for (size_t i = 1; i < all->n; i++) {
        const double dx = room->x[i] - room->x[i - 1];
        const double dy = room->y[i] - room->y[i - 1];
        s.xx += dx * dx / scale;
        s.xy += dx * dy / scale;
        s.yy += dy * dy / scale;
    }
    for (size_t i = 0; i < count; i++) {
        const reseat_xy d = {points[i].value[RESEAT_SERIES_X] - all->mean.x,
                             points[i].value[RESEAT_SERIES_Y] - all->mean.y};
        if ((points[i].known & XY_BITS) != XY_BITS)
            continue;
        if (!quadratic(s, d, all->mean, &points[i].t2))
            return false;
        points[i].t2_known = true;
    }
    return true;
}

/* The last of the n runs against those before it, in their ordinary scatter. */
static bool find_newest(const drift_room *room, size_t n, reseat_drift_newest *newest)
{
    const scatter before = scatter_of(room->x, room->y, n - 1);
    const double m = (double)before.n;
    const reseat_xy d = {room->x[n - 1] - before.mean.x, room->y[n - 1] - before.mean.y};
    double sums = 0;
    if (!quadratic(before.sums, d, before.mean, &sums))
        return false;
    newest->before = before.n;
    newest->t2 = (m - 1) * sums;
    newest->p = exp(-(m - 2) / 2 * log1p(m * newest->t2 / (m * m - 1)));
    return true;
}

/*
 * Share of the scatter that a line over time takes away; as a split does, it takes away a matrix of
 * rank one, g g' / (sum of squared times).
 */
static double line_share(const drift_room *room, const scatter *all)
{
    double mean = 0;
    (void)reseat_sample_mean(room->times, all->n, &mean);
    reseat_xy g = {0, 0};
    double squares = 0;
    for (size_t i = 0; i < all->n; i++) {
        const double t = room->times[i] - mean;
        g.x += t * (room->x[i] - all->mean.x);
        g.y += t * (room->y[i] - all->mean.y);
        squares += t * t;
    }
    double sums = 0;
    (void)quadratic(all->sums, g, all->mean, &sums); /* a change was found: it is not singular */
    return squares > 0 ? sums / squares : 0;
}

/*
 * The split with the largest two-sample T2. With T the scatter of all runs and P the sum of the
 * first k about the mean, the scatter within the two parts is W = T - m / (k (m - k)) P P', and
 * T2 / (m - 2) is u / (1 - u) with u = m / (k (m - k)) P' T^-1 P: no W is ever formed. Where W is
 * singular u is 1, and the split is passed over. A later split must be better by more than
 * rounding.
 */
static bool find_change(const drift_room *room, const scatter *all, reseat_drift_change *change)
{
    const double m = (double)all->n;
    reseat_xy sum = {0, 0};
    double best = 0;
    for (size_t k = 1; k + 2 <= all->n; k++) {
        sum.x += room->x[k - 1] - all->mean.x;
        sum.y += room->y[k - 1] - all->mean.y;
        double u = 0;
        if (!quadratic(all->sums, sum, all->mean, &u))
            return false;
        u *= m / ((double)k * (m - (double)k));
        if (k < 2 || !(u < 1 - 1e-12) || !(u > best * (1 + 1e-12)))
            continue;
        best = u;
        change->before = k;
    }
    if (!(best > 0))
        return false;
    change->t2 = (m - 2) * best / (1 - best);
    change->p = fmin(1, (m - 3) * exp((m - 3) / 2 * log1p(-best)));
    change->steady_fits = line_share(room, all) > best;
    return true;
}

/* The index among the points of the last run before the change. */
static void place_change(const reseat_drift_point *points, size_t first,
                         reseat_drift_change *change)
{
    size_t i = first;
    for (size_t seen = 0;; i++) {
        if ((points[i].known & XY_BITS) == XY_BITS && ++seen == change->before)
            break;
    }
    change->after = i;
    change->after_seq = points[i].seq;
}

static bool all_finite(const reseat_drift_point *points, const reseat_drift_baseline *baseline)
{
    for (size_t i = 0; i < baseline->count; i++)
        if (!isfinite(points[i].t2))
            return false;
    return isfinite(baseline->newest.t2); /* a change leaves more than 1e-12 of the scatter */
}

reseat_status reseat_drift_compare(reseat_drift_point *points, const drift_room *room,
                                   reseat_drift_baseline *baseline)
{
    reseat_drift_point *own = points + baseline->first;
    const size_t count = baseline->count;
    const size_t n = reseat_drift_gather(own, count, RESEAT_SERIES_X, room->times, room->x);
    reseat_drift_gather(own, count, RESEAT_SERIES_Y, room->times, room->y);
    if (n < RESEAT_DRIFT_RUNS_LEAST)
        return RESEAT_OK;
    const scatter all = scatter_of(room->x, room->y, n);
    const bool t2_known = find_t2(own, count, room, &all);
    if (t2_known && n >= T2_LIMIT_RUNS_LEAST)
        baseline->t2_limit = T2_LIMIT;
    else if (t2_known)
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_T2_LIMIT);
    const bool seated = (own[count - 1].known & XY_BITS) == XY_BITS;
    if (seated)
        baseline->newest_known = find_newest(room, n, &baseline->newest);
    else
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_NEWEST_UNSEATED);
    baseline->newest.seq = baseline->newest_known ? own[count - 1].seq : 0;
    baseline->change_known = find_change(room, &all, &baseline->change);
    if (baseline->change_known)
        place_change(points, baseline->first, &baseline->change);
    if (!t2_known || !baseline->change_known || (seated && !baseline->newest_known))
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_SINGULAR);
    return all_finite(own, baseline) ? RESEAT_OK : RESEAT_ERR_NOT_FINITE;
}
