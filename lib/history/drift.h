/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_DRIFT_H
#define RESEAT_HISTORY_DRIFT_H

#include "base/time.h"
#include "reseat/history.h"

/* The parts of drift_find, each in a file of its own. */

#define SERIES_BIT(series) (1u << (series))
#define NOTE_BIT(note) (1u << (note))
#define XY_BITS (SERIES_BIT(RESEAT_SERIES_X) | SERIES_BIT(RESEAT_SERIES_Y))

#define U_RUN_ASSUMED_MM 0.001
#define P_FOUND RESEAT_DRIFT_P_FOUND /* and a trend that u_drift follows */

/* Room for one baseline while it is looked at: a value each for its runs, slopes for the pairs. */
typedef struct drift_room {
    double *times;
    double *x;
    double *y;
    double *slopes;
    size_t slope_count;
} drift_room;

/* Values of a series from `count` points, and days since the first point; returns how many. */
size_t drift_gather(const reseat_drift_point *points, size_t count, reseat_series series,
                    double *times, double *values);

/* Whether what varies is rounding alone, against values of such a size. */
bool drift_is_still(double scatter, double size);

/* Charts and flags, then trends, of a baseline with enough runs. */
reseat_status drift_chart_series(reseat_drift_point *points, const drift_room *room,
                                 reseat_drift_baseline *baseline);
reseat_status drift_find_trends(const reseat_drift_point *points, const drift_room *room,
                                reseat_drift_baseline *baseline);

/* x and y together: T2 of each run, the newest run, the change. */
reseat_status drift_compare(reseat_drift_point *points, const drift_room *room,
                            reseat_drift_baseline *baseline);

/* Growth from the latest runs of a baseline; points and runs from its first on. */
reseat_status drift_find_growth(const reseat_drift_point *points,
                                const reseat_drift_run *runs, size_t count,
                                const drift_room *room, reseat_drift_growth *growth,
                                unsigned *notes);

/* What of the latest baseline is worth a person's look. */
void drift_judge(double limit_mm, reseat_drift *drift);

/* Brings runs, or events, into the order that is asked for above. */
reseat_status drift_sort_runs(reseat_drift_run *runs, size_t count);
reseat_status drift_sort_events(reseat_drift_event *events, size_t count);

/*
 * How u_drift grows since a run, from the latest baseline alone: what drift_find says of
 * it, with less work. Arguments and errors as there.
 */
reseat_status drift_growth_find(const reseat_drift_input *input, void *workspace,
                                size_t size, reseat_drift_growth *growth);

/* The handbook's figure for fewer than 8 runs: (0.001 mm)^2 in 30 days. */
reseat_drift_growth drift_growth_assumed(void);

/* Bytes of workspace that drift_find needs. */
size_t drift_workspace(size_t run_count, size_t event_count);

/*
 * What the runs of a probe say of each other: charts, findings, trends and how fast they wander.
 *
 *   input      in   as above; finite; sorted; no two runs of one (at, seq)
 *   workspace  out  drift_workspace(...) bytes or more, aligned as from malloc; `size` of
 *                   them; the result points into it
 *   drift      out
 *
 * Returns RESEAT_OK, also for no runs at all: what could not be done is said in the notes. Else
 * *drift is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL, or the workspace is not aligned
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite, or a result overflows
 *   RESEAT_ERR_RANGE       runs or events out of order, a negative limit or uncertainty
 *   RESEAT_ERR_SPACE       workspace too small
 *
 * Time      grows with the number of runs, and with the square of the latest 1000 of a baseline
 *           for its trends.
 * Accuracy  1e-9 relative, T2 of a change 1e-14 of T2 more: where that shows, p is 0 for long. Held
 *           by tests/unit/drift_test.c and tests/fuzz/scatter_fuzz.c.
 * Threads   no shared state.      Memory  the caller's workspace.
 */
reseat_status drift_find(const reseat_drift_input *input, void *workspace,
                         size_t size, reseat_drift *drift);

#endif
