/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How far the runs of a baseline lie from each other, T2, against its definitions in long double:
 * of each run, of the newest against those before it, and of every split in two.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "input.h"
#include "reseat/history.h"
#include "history/drift.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define RUNS_MAX 64

static const long double degree = 0.017453292519943295769236907684886127L;

typedef struct vector {
    long double x, y;
} vector;

typedef struct matrix {
    long double xx, xy, yy;
} matrix;

typedef struct runs {
    size_t n;
    reseat_drift_run list[RUNS_MAX];
    vector b[RUNS_MAX]; /* in the frame of the probe */
} runs;

static vector mean_of(const vector *b, size_t n)
{
    vector sum = {0, 0};
    for (size_t i = 0; i < n; i++)
        sum = (vector){sum.x + b[i].x, sum.y + b[i].y};
    return (vector){sum.x / n, sum.y / n};
}

static void add_square(matrix *m, vector d)
{
    m->xx += d.x * d.x;
    m->xy += d.x * d.y;
    m->yy += d.y * d.y;
}

static vector less(vector a, vector b)
{
    return (vector){a.x - b.x, a.y - b.y};
}

static void add_scatter(matrix *m, const vector *b, size_t n)
{
    const vector mean = mean_of(b, n);
    for (size_t i = 0; i < n; i++)
        add_square(m, less(b[i], mean));
}

/*
 * Places are rounded by 1e-17 of them: where they scatter less across than along, it shows, and
 * where they lie on a line along an axis, rounding is all their scatter.
 */
static bool is_sound(matrix m)
{
    return m.xx > 1e-20L && m.yy > 1e-20L && m.xx * m.yy - m.xy * m.xy > 1e-3L * m.xx * m.yy;
}

/* d' M^-1 d */
static long double quadratic(matrix m, vector d)
{
    const long double det = m.xx * m.yy - m.xy * m.xy;
    return (m.yy * d.x * d.x - 2 * m.xy * d.x * d.y + m.xx * d.y * d.y) / det;
}

static void require_near(double actual, long double expected)
{
    require(fabsl(actual - expected) <= 1e-9L * fabsl(expected) + 1e-12L);
}

static void check_each(const runs *r, const reseat_drift *drift)
{
    matrix moves = {0, 0, 0};
    const vector mean = mean_of(r->b, r->n);
    for (size_t i = 1; i < r->n; i++)
        add_square(&moves, less(r->b[i], r->b[i - 1]));
    if (!is_sound(moves))
        return;
    for (size_t i = 0; i < r->n; i++) {
        require(drift->points[i].t2_known);
        require_near(drift->points[i].t2,
                     2 * (r->n - 1.0L) * quadratic(moves, less(r->b[i], mean)));
    }
}

static void check_newest(const runs *r, const reseat_drift_baseline *b)
{
    matrix scatter = {0, 0, 0};
    const long double m = r->n - 1.0L;
    add_scatter(&scatter, r->b, r->n - 1);
    if (!is_sound(scatter))
        return;
    const vector d = less(r->b[r->n - 1], mean_of(r->b, r->n - 1));
    const long double t2 = (m - 1) * quadratic(scatter, d);
    require(b->newest_known && b->newest.before == r->n - 1);
    require_near(b->newest.t2, t2);
    require_near(b->newest.p, powl(1 + m * t2 / (m * m - 1), -(m - 2) / 2));
}

static void check_change(const runs *r, const reseat_drift_baseline *b)
{
    long double best = 0, at_found = 0;
    const long double m = r->n;
    for (size_t k = 2; k + 2 <= r->n; k++) {
        matrix within = {0, 0, 0};
        add_scatter(&within, r->b, k);
        add_scatter(&within, r->b + k, r->n - k);
        if (!is_sound(within))
            return;
        const vector d = less(mean_of(r->b, k), mean_of(r->b + k, r->n - k));
        const long double t2 = k * (m - k) / m * (m - 2) * quadratic(within, d);
        best = fmaxl(best, t2);
        at_found = k == b->change.before ? t2 : at_found;
    }
    if (!(best > 1e-6L))
        return;
    require(b->change_known);
    /* the scatter within the parts is what the whole leaves: of a far split little */
    const long double relative = 1e-9L + 1e-14L * best;
    require(best - at_found <= relative * best && fabsl(b->change.t2 - best) <= relative * best);
    const long double p = (m - 3) * powl(1 + best / (m - 2), -(m - 3) / 2);
    require_near(b->change.p, fminl(1, p));
}

static void take_runs(input *in, runs *r)
{
    memset(r, 0, sizeof *r);
    const double step = take_size(in, -5, -3), level = take_between(in, -0.05, 0.05);
    const unsigned seats = take_byte(in);
    while (in->left >= 2 && r->n < RUNS_MAX) {
        reseat_drift_run *run = &r->list[r->n];
        vector *b = &r->b[r->n];
        run->seat_deg = seats & 1 ? 30.0 * (take_byte(in) % 12) : seats;
        run->offset_mm.x = level + step * ((double)take_byte(in) - 128);
        run->offset_mm.y = -level + step * ((double)take_byte(in) - 128);
        run->seat_known = true;
        run->seq = ++r->n;
        run->at = (int64_t)r->n * 86400;
        const long double c = cosl(run->seat_deg * degree), s = sinl(run->seat_deg * degree);
        *b = (vector){c * run->offset_mm.x + s * run->offset_mm.y,
                      c * run->offset_mm.y - s * run->offset_mm.x};
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static runs r;
    static double workspace[1 << 16];
    input in = {data, size};
    take_runs(&in, &r);
    const reseat_drift_input asked = {.runs = r.list, .run_count = r.n};
    reseat_drift drift;
    require(drift_workspace(r.n, 0) <= sizeof workspace);
    require(drift_find(&asked, workspace, sizeof workspace, &drift) == RESEAT_OK);
    if (r.n < RESEAT_DRIFT_RUNS_LEAST)
        return 0;
    require(drift.baseline_count == 1);
    check_each(&r, &drift);
    check_newest(&r, &drift.baselines[0]);
    check_change(&r, &drift.baselines[0]);
    return 0;
}
