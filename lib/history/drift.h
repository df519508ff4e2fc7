/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_DRIFT_H
#define RESEAT_HISTORY_DRIFT_H

#include "base/time.h"
#include "reseat/history.h"

/* The parts of reseat_drift_find, and the order in time that it asks for. */

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

/* Charts and flags, then trends, of a baseline with enough runs; its points from the first on. */
reseat_status drift_chart_series(reseat_drift_point *points, const drift_room *room,
                                 reseat_drift_baseline *baseline);
reseat_status drift_find_trends(const reseat_drift_point *points, const drift_room *room,
                                reseat_drift_baseline *baseline);

/* Growth from the latest runs of a baseline; points and runs from its first on. */
reseat_status drift_find_growth(const reseat_drift_point *points,
                                const reseat_drift_run *runs, size_t count,
                                const drift_room *room, reseat_drift_growth *growth,
                                unsigned *notes);

/* What of the latest baseline is worth a person's look. */
void drift_judge(double limit_mm, reseat_drift *drift);

/*
 * How u_drift grows since a run, from the latest baseline alone: what reseat_drift_find says of
 * it, with less work. Arguments and errors as there.
 */
reseat_status drift_growth_find(const reseat_drift_input *input, void *workspace, size_t size,
                                reseat_drift_growth *growth);

/* What is assumed of fewer than 8 runs: (0.001 mm)^2 in 30 days. */
reseat_drift_growth drift_growth_assumed(void);

#endif
