/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A chart of one series over time: which points are drawn, and how values fall on places. */
#ifndef RESEAT_CLI_CHART_H
#define RESEAT_CLI_CHART_H

#include "page.h"
#include "scale.h"
#include "svg.h"

#define TOP 26.0 /* pixels from above: room for the names of baselines, then both panels */
#define BOTTOM 226.0
#define RANGE_TOP 262.0
#define RANGE_BOTTOM 332.0
#define HEIGHT 362.0

typedef struct chart {
    const page *p;
    const reseat_drift *drift;
    reseat_series s;
    const char *name;
    bool *kept;        /* points that are drawn */
    size_t known, drawn, flagged;
    bool flagged_kept; /* all of them */
    scale time, value, range;
    bool limit_known, limit_fits;
    double limit_low, limit_high; /* mm */
    svg figure;
} chart;

/* False where there is no memory; else chart_end. */
bool chart_begin(const page *p, reseat_series s, chart *c);
void chart_end(chart *c);

/* What drawing asks of it. */
unsigned chart_bit(const chart *c);
const reseat_drift_point *chart_point(const chart *c, size_t i);
bool chart_is_flagged(const chart *c, const reseat_drift_point *point);

/* Its runs as a table: what is drawn, in numbers. */
void chart_data(const chart *c);

#endif
