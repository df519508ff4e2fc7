/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "chart.h"

#include <math.h>
#include <stdlib.h>

#define DRAWN_ALL 600     /* as many points are drawn as they are */
#define BUCKETS 300       /* of more, the lowest and the highest of so many stretches of time */
#define FLAGGED_MAX 1500  /* as many flagged points are all kept */
#define LIMIT_STRETCH 2.0 /* the shop's limit may take up so much more room than the points do */

unsigned chart_bit(const chart *c)
{
    return 1u << c->s;
}

const reseat_drift_point *chart_point(const chart *c, size_t i)
{
    return &c->drift->points[i];
}

bool chart_is_flagged(const chart *c, const reseat_drift_point *point)
{
    return ((point->beyond_3_sigma | point->four_of_five) & chart_bit(c)) != 0;
}

static void count_points(chart *c)
{
    c->known = c->flagged = 0;
    for (size_t i = 0; i < c->drift->point_count; i++) {
        const reseat_drift_point *point = chart_point(c, i);
        c->kept[i] = (point->known & chart_bit(c)) != 0;
        c->known += c->kept[i];
        c->flagged += chart_is_flagged(c, point);
    }
    c->drawn = c->known;
}

/* Keeps of each stretch of time the lowest and the highest point, and points that are flagged. */
static void thin_points(chart *c)
{
    size_t low[BUCKETS], high[BUCKETS];
    const size_t none = c->drift->point_count;
    c->flagged_kept = c->flagged <= FLAGGED_MAX;
    for (size_t b = 0; b < BUCKETS; b++)
        low[b] = high[b] = none;
    for (size_t i = 0; i < none; i++) {
        const reseat_drift_point *point = chart_point(c, i);
        if (!c->kept[i])
            continue;
        const double share = scale_place(&c->time, (double)point->at) / 100;
        const size_t b = (size_t)(share * (BUCKETS - 1));
        c->kept[i] = (c->flagged_kept && chart_is_flagged(c, point)) || i + 1 == none;
        if (low[b] == none || point->value[c->s] < chart_point(c, low[b])->value[c->s])
            low[b] = i;
        if (high[b] == none || point->value[c->s] > chart_point(c, high[b])->value[c->s])
            high[b] = i;
    }
    for (size_t b = 0; b < BUCKETS; b++)
        if (low[b] < none)
            c->kept[low[b]] = c->kept[high[b]] = true;
    c->drawn = 0;
    for (size_t i = 0; i < none; i++)
        c->drawn += c->kept[i];
}

/* The limit lies on either side of the run in force, from whose offset positions are reported. */
static void find_limit(chart *c)
{
    const reseat_record *run = c->p->asked->standing.run;
    const uint64_t seq = (uint64_t)reseat_record_integer(run, RESEAT_FIELD_SEQ, -1);
    c->limit_known = false;
    for (size_t i = c->drift->point_count; i-- > 0 && c->p->answer;) {
        const reseat_drift_point *point = chart_point(c, i);
        if (point->seq != seq)
            continue;
        const double limit = c->p->asked->question->limit_mm;
        c->limit_known = (point->known & chart_bit(c)) != 0;
        c->limit_low = point->value[c->s] - limit;
        c->limit_high = point->value[c->s] + limit;
        return;
    }
}

static void find_scales(chart *c)
{
    bool begun = false;
    c->range = scale_begin(0, RANGE_BOTTOM, RANGE_TOP);
    for (size_t i = 0; i < c->drift->point_count; i++) {
        double range = 0;
        if (!(chart_point(c, i)->known & chart_bit(c)))
            continue;
        if (!begun)
            c->value = scale_begin(chart_point(c, i)->value[c->s], BOTTOM, TOP);
        begun = true;
        scale_take(&c->value, chart_point(c, i)->value[c->s]);
        if (reseat_drift_moving_range(c->drift, i, c->s, &range) == RESEAT_OK)
            scale_take(&c->range, range);
    }
    for (size_t i = 0; i < c->drift->baseline_count; i++) {
        const reseat_drift_chart *limits = &c->drift->baselines[i].charts[c->s];
        if (!(c->drift->baselines[i].charted & chart_bit(c)))
            continue;
        scale_take(&c->value, limits->lower);
        scale_take(&c->value, limits->upper);
        scale_take(&c->range, limits->mr_upper);
    }
    scale with = c->value;
    scale_take(&with, c->limit_low);
    scale_take(&with, c->limit_high);
    c->limit_fits = c->limit_known &&
                    with.most - with.least <= LIMIT_STRETCH * (c->value.most - c->value.least);
    if (c->limit_fits)
        c->value = with;
    scale_pad(&c->value, 0.06);
    c->range.most = c->range.most > 0 ? c->range.most * 1.1 : 0.0001;
}

static void find_times(chart *c)
{
    const size_t count = c->drift->point_count;
    c->time = scale_begin((double)chart_point(c, 0)->at, 2, 98);
    scale_take(&c->time, (double)chart_point(c, count - 1)->at);
}

bool chart_begin(const page *p, reseat_series s, chart *c)
{
    *c = (chart){.p = p, .drift = &p->outlook->drift, .s = s};
    c->kept = calloc(c->drift->point_count, sizeof *c->kept);
    if (!c->kept)
        return false;
    find_times(c);
    count_points(c);
    if (c->known > DRAWN_ALL)
        thin_points(c);
    find_limit(c);
    if (c->known > 0)
        find_scales(c);
    return true;
}

void chart_end(chart *c)
{
    free(c->kept);
}
