/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "base/error.h"
#include "history/drift.h"
#include "maths/distributions.h"
#include "maths/statistics.h"

static const double RANGE_TO_SIGMA = 1.12837916709551257390; /* 2 / sqrt pi */
static const double RANGE_LIMIT = 3.2665;

size_t drift_values(const reseat_drift_point *points, size_t count, reseat_series series,
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

bool drift_is_still(double scatter, double size)
{
    return !(scatter > 1e-12 * fabs(size));
}

/* RESEAT_ERR_SINGULAR where the values do not vary. */
static reseat_status draw(const double *values, size_t n, reseat_drift_chart *chart)
{
    reseat_drift_chart drawn = {0};
    reseat_status status = sample_mean(values, n, &drawn.mean);
    if (status == RESEAT_OK)
        status = sample_moving_range(values, n, &drawn.mr_mean);
    if (status != RESEAT_OK)
        return status;
    if (drift_is_still(drawn.mr_mean, drawn.mean))
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
    unsigned above = 0, below = 0;
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

static reseat_status find_trend(const drift_room *room, size_t n, int series,
                                reseat_drift_baseline *baseline)
{
    const size_t skipped = n > TREND_MAX ? n - TREND_MAX : 0;
    const reseat_status status =
        trend_fit(room->times + skipped, room->x + skipped, n - skipped, room->slopes,
                  room->slope_count, &baseline->trends[series]);
    if (skipped > 0)
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_LATEST_RUNS);
    if (status == RESEAT_OK)
        baseline->trended |= 1u << series;
    if (status == RESEAT_ERR_SINGULAR)
        baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_SAME_TIME);
    return status == RESEAT_ERR_SINGULAR ? RESEAT_OK : status;
}

reseat_status drift_chart_series(reseat_drift_point *points, const drift_room *room,
                                 reseat_drift_baseline *baseline)
{
    reseat_status status = RESEAT_OK;
    for (int s = 0; s < RESEAT_SERIES_COUNT && status == RESEAT_OK; s++) {
        const reseat_series series = (reseat_series)s;
        const size_t n = drift_values(points, baseline->count, series, room->times, room->x);
        if (n < RESEAT_DRIFT_RUNS_LEAST)
            continue;
        status = draw(room->x, n, &baseline->charts[s]);
        if (status == RESEAT_OK) {
            baseline->charted |= SERIES_BIT(series);
            flag(points, baseline->count, series, &baseline->charts[s]);
            status = find_trend(room, n, s, baseline);
        } else if (status == RESEAT_ERR_SINGULAR) {
            status = RESEAT_OK;
            if (s <= RESEAT_SERIES_LENGTH)
                baseline->notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_ALL_EQUAL);
        }
    }
    return status;
}

/* Baselines follow each other without gaps. */
static size_t baseline_begins(const reseat_drift *drift, size_t point)
{
    size_t low = 0, high = drift->baseline_count;
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

reseat_drift_growth drift_growth_assumed(void)
{
    return (reseat_drift_growth){.q_mm2_per_day = 0.001 * 0.001 / 30, .assumed = true};
}

reseat_status reseat_drift_growth_u(const reseat_drift_growth *growth, double days, double *u_mm)
{
    if (!growth || !u_mm)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(growth->q_mm2_per_day) || !isfinite(growth->per_day_mm) || !isfinite(days))
        return RESEAT_ERR_NOT_FINITE;
    if (!(growth->q_mm2_per_day >= 0) || !(growth->per_day_mm >= 0) || !(days >= 0))
        return RESEAT_ERR_RANGE;
    const double u = fmax(sqrt(growth->q_mm2_per_day * days), growth->per_day_mm * days);
    if (!isfinite(u))
        return RESEAT_ERR_NOT_FINITE;
    *u_mm = u;
    return RESEAT_OK;
}

/* Sums over the steps from run to run with x and y: half their squares, u^2 of the later run. */
typedef struct steps {
    size_t runs;
    double half_squares;
    double u_squares;
    double days;
    bool u_assumed;
} steps;

static steps add_up(const reseat_drift_point *points, const reseat_drift_run *runs, size_t count)
{
    steps all = {0};
    const reseat_drift_point *last = NULL;
    for (size_t i = 0; i < count; i++) {
        const reseat_drift_point *point = &points[i];
        if (!has_xy(point))
            continue;
        all.runs++;
        if (last) {
            const double dx = point->value[RESEAT_SERIES_X] - last->value[RESEAT_SERIES_X];
            const double dy = point->value[RESEAT_SERIES_Y] - last->value[RESEAT_SERIES_Y];
            const double u = runs[i].offset_u_known ? runs[i].offset_u_mm : U_RUN_ASSUMED_MM;
            all.half_squares += (dx * dx + dy * dy) / 2;
            all.u_squares += u * u;
            all.days += (double)(point->at - last->at) / SECONDS_A_DAY;
            all.u_assumed = all.u_assumed || !runs[i].offset_u_known;
        }
        last = point;
    }
    return all;
}

/* Farther end of the interval of a trend in x or y, the larger of the two; 0 without one. */
static reseat_status find_pull(const reseat_drift_point *points, size_t count,
                               const drift_room *room, double *per_day)
{
    double pull = 0;
    for (int s = RESEAT_SERIES_X; s <= RESEAT_SERIES_Y; s++) {
        reseat_trend trend;
        const size_t n = drift_values(points, count, (reseat_series)s, room->times, room->x);
        const reseat_status status = trend_fit(room->times, room->x, n, room->slopes,
                                               room->slope_count, &trend);
        if (impossible(status != RESEAT_OK)) /* there is a rate: times differ, steps are finite */
            return status;
        if (trend.p < P_FOUND)
            pull = fmax(pull, fmax(fabs(trend.low), fabs(trend.high)));
    }
    *per_day = pull;
    return RESEAT_OK;
}

reseat_status drift_find_growth(const reseat_drift_point *points,
                                const reseat_drift_run *runs, size_t count,
                                const drift_room *room, reseat_drift_growth *growth,
                                unsigned *notes)
{
    const size_t skipped = count > RESEAT_DRIFT_RATE_RUNS ? count - RESEAT_DRIFT_RATE_RUNS : 0;
    points += skipped;
    runs += skipped;
    count -= skipped;
    const steps all = add_up(points, runs, count);
    *growth = drift_growth_assumed();
    if (all.runs < RESEAT_DRIFT_RUNS_LEAST)
        return RESEAT_OK;
    if (!(all.days > 0)) {
        *notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_SAME_TIME);
        return RESEAT_OK;
    }
    /*
     * Upper 95 % bound of the rate of a random walk: each half squared step has the mean
     * q days + 2 u^2 of two directions, so that their sum over it is chi-square of 2 (m - 1)
     * degrees of freedom.
     */
    const unsigned dof = 2 * ((unsigned)all.runs - 1);
    double chi_square = 0;
    (void)chi_square_quantile(0.05, dof, &chi_square); /* dof is even and below 200 */
    const double rate = (dof * all.half_squares / chi_square - 2 * all.u_squares) / all.days;
    if (!isfinite(rate))
        return RESEAT_ERR_NOT_FINITE;
    reseat_drift_growth found = {.runs = all.runs, .q_mm2_per_day = rate > 0 ? rate : 0};
    const reseat_status status = find_pull(points, count, room, &found.per_day_mm);
    if (status != RESEAT_OK)
        return status;
    if (all.u_assumed)
        *notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_U_ASSUMED);
    if (skipped > 0)
        *notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_RATE_RUNS);
    *growth = found;
    return RESEAT_OK;
}
