/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift_parts.h"

#include <math.h>
#include "impossible.h"

static const double RANGE_TO_SIGMA = 1.12837916709551257390; /* 2 / sqrt pi */
static const double RANGE_LIMIT = 3.2665;

size_t reseat_drift_gather(const reseat_drift_point *points, size_t count, reseat_series series,
                           double *times, double *values)
{
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        if (!(points[i].known & SERIES_BIT(series)))
            continue;
        times[n] = (double)(points[i].at - points[0].at) / SECONDS_A_DAY;
        values[n++] = points[i].value[series];
    }
    return n;
}

bool reseat_drift_is_still(double scatter, double size)
{
    return !(scatter > 1e-12 * fabs(size));
}

/* RESEAT_ERR_SINGULAR where the values do not vary. */
static reseat_status draw(const double *values, size_t n, reseat_drift_chart *chart)
{
    reseat_drift_chart drawn = {0};
    reseat_status status = reseat_sample_mean(values, n, &drawn.mean);
    if (status == RESEAT_OK)
        status = reseat_sample_moving_range(values, n, &drawn.mr_mean);
    if (status != RESEAT_OK)
        return status;
    if (reseat_drift_is_still(drawn.mr_mean, drawn.mean))
        return RESEAT_ERR_SINGULAR;
    drawn.sigma = drawn.mr_mean / RANGE_TO_SIGMA;
    drawn.lower = drawn.mean - 3 * drawn.sigma;
    drawn.upper = drawn.mean + 3 * drawn.sigma;
    drawn.mr_upper = RANGE_LIMIT * drawn.mr_mean;
    /* of eight values or more the sums are finite, eight times what is added up here */
    if (impossible(!isfinite(drawn.lower) || !isfinite(drawn.upper) || !isfinite(drawn.mr_upper)))
        return RESEAT_ERR_NOT_FINITE;
    *chart = drawn;
    return RESEAT_OK;
}

/* Of the last five, the newest in bit 0: it and 3 of the 4 before. */
static bool four_of_five(unsigned history)
{
    unsigned before = 0;
    for (unsigned bit = 1; bit < 5; bit++)
        before += history >> bit & 1u;
    return (history & 1u) && before >= 3;
}

static void flag(reseat_drift_point *points, size_t count, reseat_series series,
                 const reseat_drift_chart *chart)
{
    unsigned above = 0;
    unsigned below = 0;
    for (size_t i = 0; i < count; i++) {
        reseat_drift_point *point = &points[i];
        if (!(point->known & SERIES_BIT(series)))
            continue;
        const double value = point->value[series];
        above = above << 1 | (value > chart->mean + chart->sigma ? 1u : 0u);
        below = below << 1 | (value < chart->mean - chart->sigma ? 1u : 0u);
        if (value > chart->upper || value < chart->lower)
            point->beyond_3_sigma |= SERIES_BIT(series);
        if (four_of_five(above) || four_of_five(below))
            point->four_of_five |= SERIES_BIT(series);
    }
}

reseat_status reseat_drift_chart_series(reseat_drift_point *points, const drift_room *room,
                                        reseat_drift_baseline *baseline)
{
    reseat_drift_point *own = points + baseline->first;
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        const reseat_series series = (reseat_series)s;
        const size_t n = reseat_drift_gather(own, baseline->count, series, room->times, room->x);
        if (n < RESEAT_DRIFT_RUNS_LEAST)
            continue;
        const reseat_status status = draw(room->x, n, &baseline->charts[s]);
        if (status == RESEAT_ERR_SINGULAR && s <= RESEAT_SERIES_LENGTH)
            baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_ALL_EQUAL);
        if (status == RESEAT_ERR_SINGULAR)
            continue;
        if (status != RESEAT_OK)
            return status;
        baseline->charted |= SERIES_BIT(series);
        flag(own, baseline->count, series, &baseline->charts[s]);
    }
    return RESEAT_OK;
}

reseat_status reseat_drift_find_trends(const reseat_drift_point *points, const drift_room *room,
                                       reseat_drift_baseline *baseline)
{
    const reseat_drift_point *own = points + baseline->first;
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        if (!(baseline->charted & 1u << s))
            continue;
        const size_t n = reseat_drift_gather(own, baseline->count, (reseat_series)s, room->times,
                                             room->x);
        const size_t skipped = n > RESEAT_TREND_MAX ? n - RESEAT_TREND_MAX : 0;
        const reseat_status status =
            reseat_trend_fit(room->times + skipped, room->x + skipped, n - skipped, room->slopes,
                             room->slope_count, &baseline->trends[s]);
        if (skipped > 0)
            baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_LATEST_RUNS);
        if (status == RESEAT_ERR_SINGULAR)
            baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_SAME_TIME);
        else if (status != RESEAT_OK)
            return status;
        else
            baseline->trended |= 1u << s;
    }
    return RESEAT_OK;
}

/* Baselines follow each other without gaps. */
static size_t baseline_begins(const reseat_drift *drift, size_t point)
{
    size_t low = 0;
    size_t high = drift->baseline_count;
    while (high - low > 1) { /* baselines[low].first <= point < baselines[high].first */
        const size_t middle = low + (high - low) / 2;
        if (drift->baselines[middle].first <= point)
            low = middle;
        else
            high = middle;
    }
    return drift->baselines[low].first;
}

reseat_status reseat_drift_moving_range(const reseat_drift *drift, size_t point,
                                        reseat_series series, double *range_mm)
{
    if (!drift || !range_mm || (unsigned)series >= RESEAT_SERIES_COUNT)
        return RESEAT_ERR_ARGUMENT;
    if (point >= drift->point_count)
        return RESEAT_ERR_RANGE;
    const reseat_drift_point *points = drift->points;
    const size_t first = baseline_begins(drift, point);
    size_t before = point;
    while (before > first && !(points[before - 1].known & SERIES_BIT(series)))
        before--;
    if (before == first || !(points[point].known & SERIES_BIT(series)))
        return RESEAT_ERR_TOO_FEW;
    const double range = fabs(points[point].value[series] - points[before - 1].value[series]);
    if (!isfinite(range))
        return RESEAT_ERR_NOT_FINITE;
    *range_mm = range;
    return RESEAT_OK;
}
