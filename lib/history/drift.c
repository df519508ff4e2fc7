/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "history/drift.h"

#include <math.h>
#include <stdalign.h>
#include <string.h>
#include "maths/plane.h"
#include "maths/statistics.h"
#include "reseat/history.h"
#include "reseat/touches.h"

static reseat_status check_runs(const reseat_drift_run *runs, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const reseat_drift_run *run = &runs[i];
        const double finite[] = {run->offset_mm.x, run->offset_mm.y, run->seat_deg,
                                 run->offset_u_mm, run->radius_mm, run->stylus_length_mm};
        if (!numbers_are_finite(finite, sizeof finite / sizeof *finite))
            return RESEAT_ERR_NOT_FINITE;
        if (!(run->offset_u_mm >= 0) || run->at < FIRST_SECOND || run->at > LAST_SECOND)
            return RESEAT_ERR_RANGE;
        if (i > 0 && !is_before(runs[i - 1].at, runs[i - 1].seq, run->at, run->seq))
            return RESEAT_ERR_RANGE;
    }
    return RESEAT_OK;
}

static reseat_status check_input(const reseat_drift_input *input)
{
    if (!input || (!input->runs && input->run_count > 0) ||
        (!input->events && input->event_count > 0))
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(input->spindle_mm.x) || !isfinite(input->spindle_mm.y) ||
        !isfinite(input->limit_mm))
        return RESEAT_ERR_NOT_FINITE;
    if (!(input->limit_mm >= 0))
        return RESEAT_ERR_RANGE;
    const reseat_drift_event *events = input->events;
    for (size_t i = 1; i < input->event_count; i++)
        if (!is_before(events[i - 1].at, events[i - 1].seq, events[i].at, events[i].seq))
            return RESEAT_ERR_RANGE;
    return check_runs(input->runs, input->run_count);
}

static size_t baselines_most(size_t run_count, size_t event_count)
{
    return event_count < run_count ? event_count + 1 : run_count;
}

static size_t slopes_most(size_t run_count)
{
    return trend_workspace(run_count < TREND_MAX ? run_count : TREND_MAX);
}

size_t drift_workspace(size_t run_count, size_t event_count)
{
    return run_count * (sizeof(reseat_drift_point) + sizeof(reseat_seating) + 3 * sizeof(double)) +
           baselines_most(run_count, event_count) * sizeof(reseat_drift_baseline) +
           slopes_most(run_count) * sizeof(double);
}

/* The workspace: points, baselines, then what is forgotten afterwards. */
typedef struct layout {
    reseat_drift_point *points;
    reseat_drift_baseline *baselines;
    reseat_seating *seatings;
    drift_room room;
} layout;

/* Checks what is asked, and lays the workspace out. */
static reseat_status prepare(const reseat_drift_input *input, void *workspace, size_t size,
                             const void *output, layout *out)
{
    const reseat_status status = output ? check_input(input) : RESEAT_ERR_ARGUMENT;
    if (status != RESEAT_OK)
        return status;
    const size_t runs = input->run_count, events = input->event_count;
    if (runs > 0 && (!workspace || (uintptr_t)workspace % alignof(reseat_drift_baseline) != 0))
        return RESEAT_ERR_ARGUMENT;
    if (size < drift_workspace(runs, events))
        return RESEAT_ERR_SPACE;
    memset(out, 0, sizeof *out);
    if (runs == 0)
        return RESEAT_OK;
    out->points = workspace;
    out->baselines = (reseat_drift_baseline *)(void *)(out->points + runs);
    out->seatings = (reseat_seating *)(void *)(out->baselines + baselines_most(runs, events));
    out->room.times = (double *)(void *)(out->seatings + runs);
    out->room.x = out->room.times + runs;
    out->room.y = out->room.x + runs;
    out->room.slopes = out->room.y + runs;
    out->room.slope_count = slopes_most(runs);
    return RESEAT_OK;
}

static void set_value(reseat_drift_point *point, reseat_series series, double value)
{
    point->value[series] = value;
    point->known |= SERIES_BIT(series);
}

/* Runs as points: the length needs no seat, as turning does not change it. */
static reseat_status find_points(const reseat_drift_run *runs, size_t count, reseat_xy spindle_mm,
                                 reseat_drift_point *points)
{
    for (size_t i = 0; i < count; i++) {
        const reseat_drift_run *run = &runs[i];
        reseat_drift_point *point = &points[i];
        const reseat_xy q = xy_less(run->offset_mm, spindle_mm);
        *point = (reseat_drift_point){.seq = run->seq, .at = run->at};
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
    }
    return RESEAT_OK;
}

/* Splits the runs; returns how many baselines there are. */
static size_t split_runs(const reseat_drift_input *input, reseat_drift_baseline *baselines)
{
    const reseat_drift_event *events = input->events;
    size_t count = 0, passed = 0; /* events before the run */
    for (size_t i = 0; i < input->run_count; i++) {
        const reseat_drift_run *run = &input->runs[i];
        bool begins = i == 0;
        for (; passed < input->event_count && is_before(events[passed].at, events[passed].seq,
                                                        run->at, run->seq); passed++)
            begins = true;
        if (begins)
            baselines[count++] = (reseat_drift_baseline){
                .first = i, .from_seq = run->seq,
                .begun_by_seq = passed > 0 ? events[passed - 1].seq : 0};
        baselines[count - 1].count++;
        baselines[count - 1].to_seq = run->seq;
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

static const double T2_LIMIT = 11.829007011943707324; /* -2 ln 0.0027 */
#define T2_LIMIT_RUNS_LEAST 12

/* Means of x and y, and the sums of squares and products about them. */
typedef struct scatter {
    size_t n;
    reseat_xy mean;
    reseat_cov sums;
} scatter;

static void add_products(reseat_cov *sums, double dx, double dy, double scale)
{
    sums->xx += dx * dx / scale;
    sums->xy += dx * dy / scale;
    sums->yy += dy * dy / scale;
}

/* Of values whose sums are finite: they have been charted. */
static scatter scatter_of(const double *x, const double *y, size_t n)
{
    scatter found = {.n = n};
    (void)sample_mean(x, n, &found.mean.x);
    (void)sample_mean(y, n, &found.mean.y);
    for (size_t i = 0; i < n; i++)
        add_products(&found.sums, x[i] - found.mean.x, y[i] - found.mean.y, 1);
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
    for (size_t i = 1; i < all->n; i++)
        add_products(&s, room->x[i] - room->x[i - 1], room->y[i] - room->y[i - 1], scale);
    for (size_t i = 0; i < count; i++) {
        const reseat_xy d = {points[i].value[RESEAT_SERIES_X] - all->mean.x,
                             points[i].value[RESEAT_SERIES_Y] - all->mean.y};
        if (!has_xy(&points[i]))
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
    newest->away_mm = reseat_plane_length(d);
    const reseat_xy step = {room->x[n - 1] - room->x[n - 2], room->y[n - 1] - room->y[n - 2]};
    (void)quadratic(before.sums, step, before.mean, &sums); /* not singular, as above */
    newest->step_t2 = (m - 1) * sums / 2;
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

/* x and y together, by Hotelling's T-squared: of each run, of the newest, of a change. */
static reseat_status compare(reseat_drift_point *points, const drift_room *room,
                             reseat_drift_baseline *baseline)
{
    const size_t count = baseline->count;
    const size_t n = drift_values(points, count, RESEAT_SERIES_X, room->times, room->x);
    drift_values(points, count, RESEAT_SERIES_Y, room->times, room->y);
    if (n < RESEAT_DRIFT_RUNS_LEAST)
        return RESEAT_OK;
    const scatter all = scatter_of(room->x, room->y, n);
    const bool t2_known = find_t2(points, count, room, &all);
    if (t2_known && n >= T2_LIMIT_RUNS_LEAST)
        baseline->t2_limit = T2_LIMIT;
    else if (t2_known)
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_T2_LIMIT);
    const bool seated = has_xy(&points[count - 1]);
    if (seated)
        baseline->newest_known = find_newest(room, n, &baseline->newest);
    else
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_NEWEST_UNSEATED);
    baseline->newest.seq = baseline->newest_known ? points[count - 1].seq : 0;
    baseline->change_known = find_change(room, &all, &baseline->change);
    if (baseline->change_known) {
        size_t i = 0; /* the last run before the change */
        for (size_t seen = has_xy(&points[0]); seen < baseline->change.before; i++)
            seen += has_xy(&points[i + 1]);
        baseline->change.after = baseline->first + i;
        baseline->change.after_seq = points[i].seq;
    }
    if (!t2_known || !baseline->change_known || (seated && !baseline->newest_known))
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_SINGULAR);
    /* a change leaves more than 1e-12 of the scatter */
    bool finite = isfinite(baseline->newest.t2);
    for (size_t i = 0; i < count; i++)
        finite = finite && isfinite(points[i].t2);
    return finite ? RESEAT_OK : RESEAT_ERR_NOT_FINITE;
}

static reseat_status find_baseline(const reseat_drift_input *input, const layout *work,
                                   reseat_drift_baseline *baseline)
{
    reseat_drift_point *points = work->points + baseline->first;
    note_seats(input, baseline);
    baseline->growth = drift_growth_assumed();
    if (baseline->count < RESEAT_DRIFT_RUNS_LEAST)
        return RESEAT_OK;
    reseat_status status = drift_chart_series(points, &work->room, baseline);
    if (status == RESEAT_OK)
        status = compare(points, &work->room, baseline);
    if (status == RESEAT_OK)
        status = drift_find_growth(points, input->runs + baseline->first, baseline->count,
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
    reseat_status status = prepare(input, workspace, size, drift, &work);
    if (status == RESEAT_OK)
        status = find_points(input->runs, input->run_count, input->spindle_mm, work.points);
    if (status != RESEAT_OK)
        return status;
    reseat_drift found = {.points = work.points, .point_count = input->run_count,
                          .baselines = work.baselines};
    found.baseline_count = split_runs(input, work.baselines);
    for (size_t i = 0; i < found.baseline_count && status == RESEAT_OK; i++)
        status = find_baseline(input, &work, &work.baselines[i]);
    if (status == RESEAT_OK && found.baseline_count > 0) {
        status = find_split(input, &work, &work.baselines[found.baseline_count - 1], &found);
        drift_judge(input->limit_mm, &found);
    }
    if (status == RESEAT_OK)
        *drift = found;
    return status;
}

reseat_status drift_growth_find(const reseat_drift_input *input, void *workspace,
                                size_t size, reseat_drift_growth *growth)
{
    layout work;
    reseat_status status = prepare(input, workspace, size, growth, &work);
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

reseat_status drift_newest_find(const reseat_drift_input *input, void *workspace, size_t size,
                                reseat_drift_newest *newest)
{
    layout work;
    reseat_status status = prepare(input, workspace, size, newest, &work);
    if (status == RESEAT_OK && input->run_count == 0)
        status = RESEAT_ERR_TOO_FEW;
    if (status != RESEAT_OK)
        return status;
    const size_t first = work.baselines[split_runs(input, work.baselines) - 1].first;
    const size_t runs = input->run_count - first;
    status = find_points(input->runs + first, runs, input->spindle_mm, work.points);
    if (status != RESEAT_OK)
        return status;
    const size_t n = drift_values(work.points, runs, RESEAT_SERIES_X, work.room.times, work.room.x);
    drift_values(work.points, runs, RESEAT_SERIES_Y, work.room.times, work.room.y);
    if (n < RESEAT_DRIFT_RUNS_LEAST || (work.points[runs - 1].known & XY_BITS) != XY_BITS)
        return RESEAT_ERR_TOO_FEW;
    const scatter all = scatter_of(work.room.x, work.room.y, n);
    reseat_drift_newest found = {.seq = work.points[runs - 1].seq};
    if (!isfinite(all.sums.xx) || !isfinite(all.sums.yy))
        return RESEAT_ERR_NOT_FINITE;
    if (!find_newest(&work.room, n, &found))
        return RESEAT_ERR_SINGULAR;
    if (!isfinite(found.t2) || !isfinite(found.step_t2))
        return RESEAT_ERR_NOT_FINITE;
    *newest = found;
    return RESEAT_OK;
}
