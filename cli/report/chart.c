/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "chart.h"

#include <math.h>
#include <stdlib.h>

#define DRAWN_ALL 600     /* as many points are drawn as they are */
#define BUCKETS 300       /* of more, the lowest and the highest of so many stretches of time */
#define FLAGGED_MAX 1500  /* as many flagged points are all kept */
#define LIMIT_STRETCH 2.0 /* the shop's limit may take up so much more room than the points do */

const reseat_drift_chart *chart_limits(const chart *c, size_t baseline)
{
    const reseat_drift_baseline *b = &c->drift->baselines[baseline];
    return b->charted & c->bit ? &b->charts[c->series] : NULL;
}

static void find_points(chart *c)
{
    c->time = scale_begin((double)c->drift->points[0].at, 2, 98);
    scale_take(&c->time, (double)c->drift->points[c->count - 1].at);
    for (size_t i = 0; i < c->count; i++) {
        const reseat_drift_point *of = &c->drift->points[i];
        chart_point *point = &c->points[i];
        *point = (chart_point){.of = of, .mm = of->value[c->series],
                               .x = scale_place(&c->time, (double)of->at),
                               .known = of->known & c->bit, .beyond = of->beyond_3_sigma & c->bit,
                               .four = of->four_of_five & c->bit, .kept = of->known & c->bit};
        point->ranged = reseat_drift_moving_range(c->drift, i, c->series, &point->range_mm) ==
                        RESEAT_OK;
        c->known += point->known;
        c->flagged += point->beyond || point->four;
    }
    c->drawn = c->known;
}

/* Keeps of each stretch of time the lowest and the highest point, and points that are flagged. */
static void thin_points(chart *c)
{
    chart_point *low[BUCKETS] = {0}, *high[BUCKETS] = {0};
    c->flagged_kept = c->flagged <= FLAGGED_MAX;
    for (size_t i = 0; i < c->count; i++) {
        chart_point *point = &c->points[i];
        const size_t b = (size_t)(point->x / 100 * (BUCKETS - 1));
        if (!point->known)
            continue;
        point->kept = (c->flagged_kept && (point->beyond || point->four)) || i + 1 == c->count;
        if (!low[b] || point->mm < low[b]->mm)
            low[b] = point;
        if (!high[b] || point->mm > high[b]->mm)
            high[b] = point;
    }
    for (size_t b = 0; b < BUCKETS; b++)
        if (low[b])
            low[b]->kept = high[b]->kept = true;
    c->drawn = 0;
    for (size_t i = 0; i < c->count; i++)
        c->drawn += c->points[i].kept;
}

/* The limit lies on either side of the run in force, from whose offset positions are reported. */
static void find_limit(chart *c)
{
    const reseat_drift_point *run = c->p->answer ? figure_run(c->p) : NULL;
    if (!run)
        return;
    const double limit = c->p->asked->question->limit_mm;
    c->limit_known = run->known & c->bit;
    c->limit_low = run->value[c->series] - limit;
    c->limit_high = run->value[c->series] + limit;
}

/* The limit is shown where that does not make a speck of the points. */
static void fit_limit(chart *c)
{
    scale with = c->value;
    scale_take(&with, c->limit_low);
    scale_take(&with, c->limit_high);
    c->limit_fits = c->limit_known &&
                    with.most - with.least <= LIMIT_STRETCH * (c->value.most - c->value.least);
    if (c->limit_fits)
        c->value = with;
}

static void find_scales(chart *c)
{
    size_t first = 0;
    while (!c->points[first].known)
        first++;
    c->value = scale_begin(c->points[first].mm, CHART_BOTTOM, CHART_TOP);
    c->range = scale_begin(0, CHART_RANGE_BOTTOM, CHART_RANGE_TOP);
    for (size_t i = first; i < c->count; i++) {
        if (c->points[i].known)
            scale_take(&c->value, c->points[i].mm);
        scale_take(&c->range, c->points[i].range_mm);
    }
    for (size_t i = 0; i < c->drift->baseline_count; i++) {
        const reseat_drift_chart *limits = chart_limits(c, i);
        if (!limits)
            continue;
        scale_take(&c->value, limits->lower);
        scale_take(&c->value, limits->upper);
        scale_take(&c->range, limits->mr_upper);
    }
    fit_limit(c);
    scale_pad(&c->value, 0.06);
    c->range.most = c->range.most > 0 ? c->range.most * 1.1 : 0.0001;
}

bool chart_begin(const page *p, reseat_series series, chart *c)
{
    const reseat_drift *drift = &p->outlook->drift;
    *c = (chart){.p = p, .drift = drift, .series = series, .bit = 1u << series,
                 .count = drift->point_count, .latest = figure_latest(p)};
    c->limits = chart_limits(c, drift->baseline_count - 1);
    c->points = calloc(c->count, sizeof *c->points);
    if (!c->points)
        return false;
    find_points(c);
    if (c->known > DRAWN_ALL)
        thin_points(c);
    find_limit(c);
    if (c->known > 0)
        find_scales(c);
    for (size_t i = 0; i < c->count; i++) {
        c->points[i].y = scale_place(&c->value, c->points[i].mm);
        c->points[i].range_y = scale_place(&c->range, c->points[i].range_mm);
    }
    return true;
}

void chart_end(chart *c)
{
    free(c->points);
}
