/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift_parts.h"

#include <math.h>
#include "impossible.h"

reseat_drift_growth reseat_drift_growth_assumed(void)
{
    return (reseat_drift_growth){.q_mm2_per_day = 0.001 * 0.001 / 30, .assumed = true};
}

reseat_status reseat_drift_growth_u(const reseat_drift_growth *growth, double days, double *u_mm)
{
    if (growth == NULL || u_mm == NULL)
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
        if ((point->known & XY_BITS) != XY_BITS)
            continue;
        all.runs++;
        if (last != NULL) {
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

/*
 * Upper 95 % bound of the rate of a random walk: each half squared step has the mean q days + 2 u^2
 * of two directions, so that their sum over it is chi-square of 2 (m - 1) degrees of freedom.
 */
static reseat_status find_rate(const steps *all, double *q)
{
    const unsigned dof = 2 * ((unsigned)all->runs - 1);
    double chi_square = 0;
    (void)reseat_chi_square_quantile(0.05, dof, &chi_square); /* dof is even and below 200 */
    const double rate = (dof * all->half_squares / chi_square - 2 * all->u_squares) / all->days;
    if (!isfinite(rate))
        return RESEAT_ERR_NOT_FINITE;
    *q = rate > 0 ? rate : 0;
    return RESEAT_OK;
}

/* Farther end of the interval of a trend in x or y, the larger of the two; 0 without one. */
static reseat_status find_pull(const reseat_drift_point *points, size_t count,
                               const drift_room *room, double *per_day)
{
    double pull = 0;
    for (int s = RESEAT_SERIES_X; s <= RESEAT_SERIES_Y; s++) {
        reseat_trend trend;
        const size_t n = reseat_drift_gather(points, count, (reseat_series)s, room->times,
                                             room->x);
        const reseat_status status = reseat_trend_fit(room->times, room->x, n, room->slopes,
                                                      room->slope_count, &trend);
        if (impossible(status != RESEAT_OK)) /* there is a rate: times differ, steps are finite */
            return status;
        if (trend.p < P_FOUND)
            pull = fmax(pull, fmax(fabs(trend.low), fabs(trend.high)));
    }
    *per_day = pull;
    return RESEAT_OK;
}

reseat_status reseat_drift_find_growth(const reseat_drift_point *points,
                                       const reseat_drift_run *runs, size_t count,
                                       const drift_room *room, reseat_drift_growth *growth,
                                       unsigned *notes)
{
    const size_t skipped = count > RESEAT_DRIFT_RATE_RUNS ? count - RESEAT_DRIFT_RATE_RUNS : 0;
    points += skipped;
    runs += skipped;
    count -= skipped;
    const steps all = add_up(points, runs, count);
    *growth = reseat_drift_growth_assumed();
    if (all.runs < RESEAT_DRIFT_RUNS_LEAST)
        return RESEAT_OK;
    if (!(all.days > 0)) {
        *notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_SAME_TIME);
        return RESEAT_OK;
    }
    reseat_drift_growth found = {.runs = all.runs};
    reseat_status status = find_rate(&all, &found.q_mm2_per_day);
    if (status == RESEAT_OK)
        status = find_pull(points, count, room, &found.per_day_mm);
    if (status != RESEAT_OK)
        return status;
    if (all.u_assumed)
        *notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_U_ASSUMED);
    if (skipped > 0)
        *notes |= NOTE_BIT(RESEAT_DRIFT_NOTE_RATE_RUNS);
    *growth = found;
    return RESEAT_OK;
}
