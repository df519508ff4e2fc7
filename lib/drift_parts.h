/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The parts of reseat_drift_find, each in a file of its own. */
#ifndef RESEAT_DRIFT_PARTS_H
#define RESEAT_DRIFT_PARTS_H

#include "calendar.h"
#include "reseat/drift.h"

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
size_t reseat_drift_gather(const reseat_drift_point *points, size_t count, reseat_series series,
                           double *times, double *values);

/* Whether what varies is rounding alone, against values of such a size. */
bool reseat_drift_is_still(double scatter, double size);

/* Charts and flags, then trends, of a baseline with enough runs. */
reseat_status reseat_drift_chart_series(reseat_drift_point *points, const drift_room *room,
                                        reseat_drift_baseline *baseline);
reseat_status reseat_drift_find_trends(const reseat_drift_point *points, const drift_room *room,
                                       reseat_drift_baseline *baseline);

/* x and y together: T2 of each run, the newest run, the change. */
reseat_status reseat_drift_compare(reseat_drift_point *points, const drift_room *room,
                                   reseat_drift_baseline *baseline);

/* Growth from the latest runs of a baseline; points and runs from its first on. */
reseat_status reseat_drift_find_growth(const reseat_drift_point *points,
                                       const reseat_drift_run *runs, size_t count,
                                       const drift_room *room, reseat_drift_growth *growth,
                                       unsigned *notes);

/* What of the latest baseline is worth a person's look. */
void reseat_drift_judge(double limit_mm, reseat_drift *drift);

#endif
