/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "history/drift.h"

#include <math.h>
#include <stdalign.h>
#include <stdlib.h>
#include <string.h>
#include "maths/plane.h"
#include "maths/statistics.h"
#include "reseat/history.h"
#include "reseat/touches.h"

static bool is_before(int64_t at, uint64_t seq, int64_t than_at, uint64_t than_seq)
{
    return at < than_at || (at == than_at && seq < than_seq);
}

static int compare_runs(const void *a, const void *b)
{
    const reseat_drift_run *left = a;
    const reseat_drift_run *right = b;
    return is_before(left->at, left->seq, right->at, right->seq) ? -1
           : is_before(right->at, right->seq, left->at, left->seq);
}

static int compare_events(const void *a, const void *b)
{
    const reseat_drift_event *left = a;
    const reseat_drift_event *right = b;
    return is_before(left->at, left->seq, right->at, right->seq) ? -1
           : is_before(right->at, right->seq, left->at, left->seq);
}

reseat_status drift_sort_runs(reseat_drift_run *runs, size_t count)
{
    if (runs == NULL && count > 0)
        return RESEAT_ERR_ARGUMENT;
    if (count > 1)
        qsort(runs, count, sizeof runs[0], compare_runs);
    return RESEAT_OK;
}

reseat_status drift_sort_events(reseat_drift_event *events, size_t count)
{
    if (events == NULL && count > 0)
        return RESEAT_ERR_ARGUMENT;
    if (count > 1)
        qsort(events, count, sizeof events[0], compare_events);
    return RESEAT_OK;
}

static bool is_run_finite(const reseat_drift_run *run)
{
    return isfinite(run->offset_mm.x) && isfinite(run->offset_mm.y) && isfinite(run->seat_deg) &&
           isfinite(run->offset_u_mm) && isfinite(run->radius_mm) &&
           isfinite(run->stylus_length_mm);
}

static reseat_status check_runs(const reseat_drift_run *runs, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!is_run_finite(&runs[i]))
            return RESEAT_ERR_NOT_FINITE;
        if (!(runs[i].offset_u_mm >= 0) || runs[i].at < FIRST_SECOND || runs[i].at > LAST_SECOND)
            return RESEAT_ERR_RANGE;
        if (i > 0 && !is_before(runs[i - 1].at, runs[i - 1].seq, runs[i].at, runs[i].seq))
            return RESEAT_ERR_RANGE;
    }
    return RESEAT_OK;
}

static reseat_status check_input(const reseat_drift_input *input)
{
    if (input == NULL || (input->runs == NULL && input->run_count > 0) ||
        (input->events == NULL && input->event_count > 0))
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(input->spindle_mm.x) || !isfinite(input->spindle_mm.y) ||
        !isfinite(input->limit_mm))
        return RESEAT_ERR_NOT_FINITE;
    if (!(input->limit_mm >= 0))
        return RESEAT_ERR_RANGE;
    for (size_t i = 1; i < input->event_count; i++) {
        const reseat_drift_event *e = &input->events[i];
        if (!is_before(e[-1].at, e[-1].seq, e->at, e->seq))
            return RESEAT_ERR_RANGE;
    }
    return check_runs(input->runs, input->run_count);
}

static size_t baselines_most(size_t run_count, size_t event_count)
{
    return event_count < run_count ? event_count + 1 : run_count;
}

static size_t seatings_most(size_t run_count)
{
    return run_count < RESEAT_STUDY_MAX ? run_count : RESEAT_STUDY_MAX;
}

size_t drift_workspace(size_t run_count, size_t event_count)
{
    const size_t trended = run_count < TREND_MAX ? run_count : TREND_MAX;
    return run_count * sizeof(reseat_drift_point) +
           baselines_most(run_count, event_count) * sizeof(reseat_drift_baseline) +
           seatings_most(run_count) * sizeof(reseat_seating) +
           (3 * run_count + trend_workspace(trended)) * sizeof(double);
}

/* The workspace laid out: points, baselines, then what is forgotten afterwards. */
typedef struct layout {
    reseat_drift_point *points;
    reseat_drift_baseline *baselines;
    reseat_seating *seatings;
    drift_room room;
} layout;

static reseat_status lay_out(void *workspace, size_t size, size_t run_count, size_t event_count,
                             layout *out)
{
    if (run_count > 0 && workspace == NULL)
        return RESEAT_ERR_ARGUMENT;
    if (run_count > 0 && (uintptr_t)workspace % alignof(reseat_drift_baseline) != 0)
        return RESEAT_ERR_ARGUMENT;
    if (size < drift_workspace(run_count, event_count))
        return RESEAT_ERR_SPACE;
    memset(out, 0, sizeof *out);
    if (run_count == 0)
        return RESEAT_OK;
    const size_t trended = run_count < TREND_MAX ? run_count : TREND_MAX;
    out->points = workspace;
    out->baselines = (reseat_drift_baseline *)(void *)(out->points + run_count);
    out->seatings =
        (reseat_seating *)(void *)(out->baselines + baselines_most(run_count, event_count));
    out->room.times = (double *)(void *)(out->seatings + seatings_most(run_count));
    out->room.x = out->room.times + run_count;
    out->room.y = out->room.x + run_count;
    out->room.slopes = out->room.y + run_count;
    out->room.slope_count = trend_workspace(trended);
    return RESEAT_OK;
}

static void set_value(reseat_drift_point *point, reseat_series series, double value)
{
    point->value[series] = value;
    point->known |= SERIES_BIT(series);
}

/* A run as a point: its length needs no seat, as turning does not change it. */
static reseat_status find_point(const reseat_drift_run *run, reseat_xy spindle_mm,
                                reseat_drift_point *point)
{
    memset(point, 0, sizeof *point);
    point->seq = run->seq;
    point->at = run->at;
    const reseat_xy q = xy_less(run->offset_mm, spindle_mm);
    set_value(point, RESEAT_SERIES_LENGTH, reseat_plane_length(q));
    if (!isfinite(point->value[RESEAT_SERIES_LENGTH]))
        return RESEAT_ERR_NOT_FINITE;
    if (run->seat_known) {
        const reseat_xy b = plane_rotate(q, -run->seat_deg);
        set_value(point, RESEAT_SERIES_X, b.x);
        set_value(point, RESEAT_SERIES_Y, b.y);
        point->bearing_deg = reseat_plane_bearing(b);
    }
    if (run->radius_known)
        set_value(point, RESEAT_SERIES_RADIUS, run->radius_mm);
    if (run->stylus_length_known)
        set_value(point, RESEAT_SERIES_STYLUS_LENGTH, run->stylus_length_mm);
    return RESEAT_OK;
}

static reseat_status find_points(const reseat_drift_run *runs, size_t count, reseat_xy spindle_mm,
                                 reseat_drift_point *points)
{
    for (size_t i = 0; i < count; i++) {
        const reseat_status status = find_point(&runs[i], spindle_mm, &points[i]);
        if (status != RESEAT_OK)
            return status;
    }
    return RESEAT_OK;
}

/* How many events come before a run; `known` of them are known to. */
static size_t events_before(const reseat_drift_input *input, size_t run, size_t known)
{
    const reseat_drift_run *r = &input->runs[run];
    while (known < input->event_count &&
           is_before(input->events[known].at, input->events[known].seq, r->at, r->seq))
        known++;
    return known;
}

/* Splits the runs; returns how many baselines there are. */
static size_t split_runs(const reseat_drift_input *input, reseat_drift_baseline *baselines)
{
    size_t count = 0;
    size_t passed = 0;
    for (size_t i = 0; i < input->run_count; i++) {
        const size_t before = events_before(input, i, passed);
        if (i == 0 || before > passed) {
            reseat_drift_baseline *fresh = &baselines[count++];
            memset(fresh, 0, sizeof *fresh);
            fresh->first = i;
            fresh->from_seq = input->runs[i].seq;
            fresh->begun_by_seq = before > 0 ? input->events[before - 1].seq : 0;
        }
        passed = before;
        baselines[count - 1].count++;
        baselines[count - 1].to_seq = input->runs[i].seq;
    }
    return count;
}

/* Notes on what the runs themselves lack. */
static void note_seats(const reseat_drift_input *input, reseat_drift_baseline *baseline)
{
    const reseat_drift_run *runs = input->runs + baseline->first;
    size_t seated = 0;
    bool differ = false;
    double seat = 0;
    for (size_t i = 0; i < baseline->count; i++) {
        if (!runs[i].seat_known)
            continue;
        if (seated++ == 0)
            seat = runs[i].seat_deg;
        differ = differ || fabs(plane_turn_between(seat, runs[i].seat_deg)) > 0.01;
    }
    if (baseline->count < RESEAT_DRIFT_RUNS_LEAST)
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_FEW_RUNS);
    else if (seated < RESEAT_DRIFT_RUNS_LEAST)
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_FEW_SEATED);
    if (seated < baseline->count)
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_UNSEATED);
    if (differ && !input->spindle_known)
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_SPINDLE_PART);
}

static reseat_status find_baseline(const reseat_drift_input *input, const layout *work,
                                   reseat_drift_baseline *baseline)
{
    note_seats(input, baseline);
    baseline->growth = drift_growth_assumed();
    if (baseline->count < RESEAT_DRIFT_RUNS_LEAST)
        return RESEAT_OK;
    reseat_status status = drift_chart_series(work->points, &work->room, baseline);
    if (status == RESEAT_OK)
        status = drift_find_trends(work->points, &work->room, baseline);
    if (status == RESEAT_OK)
        status = drift_compare(work->points, &work->room, baseline);
    if (status == RESEAT_OK)
        status = drift_find_growth(work->points + baseline->first,
                                   input->runs + baseline->first, baseline->count,
                                   &work->room, &baseline->growth, &baseline->notes);
    if (!(input->limit_mm > 0))
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_NO_LIMIT);
    return status;
}

/* Spindle and probe part, where the seats of a baseline differ: of its latest runs with a seat. */
static reseat_status find_split(const reseat_drift_input *input, const layout *work,
                                const reseat_drift_baseline *baseline, reseat_drift *drift)
{
    size_t count = 0;
    for (size_t i = baseline->first + baseline->count;
         i > baseline->first && count < RESEAT_STUDY_MAX; i--) {
        const reseat_drift_run *run = &input->runs[i - 1];
        if (run->seat_known)
            work->seatings[count++] =
                (reseat_seating){.seat_deg = run->seat_deg, .found_mm = run->offset_mm};
    }
    reseat_study study;
    const reseat_status status = reseat_study_solve(work->seatings, count, false, &study);
    if (status == RESEAT_ERR_TOO_FEW || status == RESEAT_ERR_SINGULAR)
        return RESEAT_OK;
    if (status != RESEAT_OK || !study.has_spindle)
        return status;
    drift->split_known = true;
    drift->split = (reseat_drift_split){.spindle_mm = study.spindle_mm, .probe_mm = study.probe_mm,
                                        .u_mm = fmax(study.spindle_u_mm, study.probe_u_mm),
                                        .assumed = study.assumed};
    return RESEAT_OK;
}

reseat_status drift_find(const reseat_drift_input *input, void *workspace, size_t size,
                         reseat_drift *drift)
{
    layout work;
    reseat_status status = drift == NULL ? RESEAT_ERR_ARGUMENT : check_input(input);
    if (status == RESEAT_OK)
        status = lay_out(workspace, size, input->run_count, input->event_count, &work);
    if (status == RESEAT_OK)
        status = find_points(input->runs, input->run_count, input->spindle_mm, work.points);
    if (status != RESEAT_OK)
        return status;
    reseat_drift found = {.points = work.points, .point_count = input->run_count};
    found.baselines = work.baselines;
    found.baseline_count = split_runs(input, work.baselines);
    for (size_t i = 0; i < found.baseline_count && status == RESEAT_OK; i++)
        status = find_baseline(input, &work, &work.baselines[i]);
    if (status == RESEAT_OK && found.baseline_count > 0)
        status = find_split(input, &work, &work.baselines[found.baseline_count - 1], &found);
    if (status != RESEAT_OK)
        return status;
    if (found.baseline_count > 0)
        drift_judge(input->limit_mm, &found);
    *drift = found;
    return status;
}

reseat_status drift_growth_find(const reseat_drift_input *input, void *workspace,
                                size_t size, reseat_drift_growth *growth)
{
    layout work;
    reseat_status status = growth == NULL ? RESEAT_ERR_ARGUMENT : check_input(input);
    if (status == RESEAT_OK)
        status = lay_out(workspace, size, input->run_count, input->event_count, &work);
    if (status != RESEAT_OK)
        return status;
    reseat_drift_growth found = drift_growth_assumed();
    if (input->run_count > 0) {
        const size_t count = split_runs(input, work.baselines);
        const size_t first = work.baselines[count - 1].first;
        const size_t runs = input->run_count - first;
        unsigned notes = 0;
        status = find_points(input->runs + first, runs, input->spindle_mm, work.points);
        if (status == RESEAT_OK)
            status = drift_find_growth(work.points, input->runs + first, runs, &work.room,
                                       &found, &notes);
    }
    if (status == RESEAT_OK)
        *growth = found;
    return status;
}

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
    (void)sample_mean(x, n, &found.mean.x);
    (void)sample_mean(y, n, &found.mean.y);
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
    if (drift_is_still(sqrt(m.xx), size.x) || drift_is_still(sqrt(m.yy), size.y))
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
    (void)sample_mean(room->times, all->n, &mean);
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

reseat_status drift_compare(reseat_drift_point *points, const drift_room *room,
                            reseat_drift_baseline *baseline)
{
    reseat_drift_point *own = points + baseline->first;
    const size_t count = baseline->count;
    const size_t n = drift_gather(own, count, RESEAT_SERIES_X, room->times, room->x);
    drift_gather(own, count, RESEAT_SERIES_Y, room->times, room->y);
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
