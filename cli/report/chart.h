/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A chart of one series over time: which points are drawn, and how values fall on places. */
#ifndef RESEAT_CLI_REPORT_CHART_H
#define RESEAT_CLI_REPORT_CHART_H

#include "figure.h"

#define CHART_TOP 26.0 /* pixels from above: room for the names of baselines, then both panels */
#define CHART_BOTTOM 226.0
#define CHART_RANGE_TOP 262.0
#define CHART_RANGE_BOTTOM 332.0
#define CHART_HEIGHT 362.0

/* A point of the drift as it is drawn. */
typedef struct chart_point {
    const reseat_drift_point *of;
    double mm;
    double range_mm; /* by which it differs from the one before, where `ranged` */
    double x, y, range_y;
    bool known, ranged;
    bool beyond, four; /* outside the limits; four of five on one side */
    bool kept;         /* drawn */
} chart_point;

typedef struct chart {
    const page *p;
    const reseat_drift *drift;
    reseat_series series;
    unsigned bit;
    const char *name, *title;
    chart_point *points; /* `count` of them, in order of time */
    size_t count;
    size_t known, drawn, flagged;
    bool flagged_kept; /* all of them */
    scale time, value, range;
    const reseat_drift_baseline *latest;
    const reseat_drift_chart *limits; /* of the latest baseline; NULL: too few runs */
    bool limit_known, limit_fits;
    double limit_low, limit_high; /* mm */
    svg figure;
} chart;

/* Finds it all but the names and the figure; false where there is no memory. Else chart_end. */
bool chart_begin(const page *p, reseat_series series, chart *c);
void chart_end(chart *c);

/* Limits of a baseline; NULL where it has too few runs. */
const reseat_drift_chart *chart_limits(const chart *c, size_t baseline);

#endif
