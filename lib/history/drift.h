/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_DRIFT_H
#define RESEAT_HISTORY_DRIFT_H

#include "base/time.h"
#include "reseat/history.h"

/* The parts of drift_find, and the order in time that it asks for. */

static inline bool is_before(int64_t at, uint64_t seq, int64_t than_at, uint64_t than_seq)
{
    return at < than_at || (at == than_at && seq < than_seq);
}

#define SERIES_BIT(series) (1u << (series))
#define NOTE_BIT(note) (1u << (note))
#define XY_BITS (SERIES_BIT(RESEAT_SERIES_X) | SERIES_BIT(RESEAT_SERIES_Y))

static inline bool has_xy(const reseat_drift_point *point)
{
    return (point->known & XY_BITS) == XY_BITS;
}

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
size_t drift_values(const reseat_drift_point *points, size_t count, reseat_series series,
                    double *times, double *values);

/* Whether what varies is rounding alone, against values of such a size. */
bool drift_is_still(double scatter, double size);

/* Charts, flags and trends of a baseline with enough runs; its points from the first on. */
reseat_status drift_chart_series(reseat_drift_point *points, const drift_room *room,
                                 reseat_drift_baseline *baseline);

/* Growth from the latest runs of a baseline; points and runs from its first on. */
reseat_status drift_find_growth(const reseat_drift_point *points,
                                const reseat_drift_run *runs, size_t count,
                                const drift_room *room, reseat_drift_growth *growth,
                                unsigned *notes);

/* What of the latest baseline is worth a person's look. */
void drift_judge(double limit_mm, reseat_drift *drift);

/*
 * How u_drift grows since a run, from the latest baseline alone: what drift_find says of it, with
 * less work. Arguments and errors as there.
 */
reseat_status drift_growth_find(const reseat_drift_input *input, void *workspace, size_t size,
                                reseat_drift_growth *growth);

/* What is assumed of fewer than 8 runs: (0.001 mm)^2 in 30 days. */
reseat_drift_growth drift_growth_assumed(void);

/*
 * The newest run against those before it in its baseline, with less work than drift_find.
 * RESEAT_ERR_TOO_FEW where there are fewer than 7 with a seat, or it has none; RESEAT_ERR_SINGULAR
 * where they do not scatter; else as there, with *newest as it was.
 */
reseat_status drift_newest_find(const reseat_drift_input *input, void *workspace, size_t size,
                                reseat_drift_newest *newest);

/* Bytes of workspace that drift_find needs. */
size_t drift_workspace(size_t run_count, size_t event_count);

/*
 * Charts, tests, trends, the rate of drift and findings of the runs of one probe and tip.
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
 * Method    individuals charts, limits from the mean moving range; Hotelling's T-squared of each
 *           run in the scatter of successive differences, of the newest run, and of the split with
 *           the largest one; Theil-Sen slope and Mann-Kendall test; for the rate the upper 95 %
 *           bound of a random walk's, by chi-square. Time grows with the number of runs, and with
 *           the square of the latest 1000 of a baseline for its trends.
 * Accuracy  1e-9 relative, T2 of a change 1e-14 of T2 more: where that shows, p is 0 for long. Held
 *           by tests/unit/drift_test.c and tests/fuzz/scatter_fuzz.c.
 * Threads   no shared state.      Memory  the caller's workspace.
 */
reseat_status drift_find(const reseat_drift_input *input, void *workspace, size_t size,
                         reseat_drift *drift);

typedef struct due_date {
    double days; /* whole days since the run, or since the gauge check that stands for it */
    bool by_age; /* it is max_age_days that is up, not the chance */
} due_date;

/*
 * The first day on which the verdict would be RECALIBRATE for a probe that stays in the spindle.
 *
 *   estimate      in   as for a verdict on seat `same`; its u_drift_mm and out are not read
 *   limit_mm      in   > 0
 *   confidence    in   above 0 and below 1
 *   growth        in   how u_drift grows from day to day
 *   max_age_days  in   >= 0; finite; due no later than this
 *   due           out  0 days where the verdict is RECALIBRATE at once
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *due as it was.
 *
 * Method    u_drift grows, and the chance falls as it does wherever the error is within the limit
 *           and the scatter the same all round; as it need not fall otherwise, ten years are gone
 *           through day by day. What lies beyond is found by halving.
 * Threads   no shared state.      Memory  allocates nothing.
 */
reseat_status due_find(const reseat_estimate *estimate, double limit_mm, double confidence,
                       const reseat_drift_growth *growth, double max_age_days, due_date *due);

#endif
