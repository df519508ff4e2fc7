/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Radii by direction, unevenly spread and some taken again, through the fit of their series and
 * through Gram and Schmidt in long double; and the curve itself against its plain sum.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "input.h"
#include "reseat/probe.h"
#include "model/radius.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define SERIES_MAX 40
#define UNKNOWNS_MAX 25

static const long double degree = 0.017453292519943295769236907684886127L;

typedef struct series {
    size_t count, unknowns;
    long double dir[SERIES_MAX], rest[SERIES_MAX]; /* the radii, then what is left */
    long double column[UNKNOWNS_MAX][SERIES_MAX];
    long double r[UNKNOWNS_MAX][UNKNOWNS_MAX], x[UNKNOWNS_MAX];
    long double apart; /* least share of a column that those before it do not make up */
    bool close;        /* whether an order is left out hangs on rounding */
} series;

static long double dot(const long double *a, const long double *b, size_t n)
{
    long double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

/* 1, cos phi, sin phi, cos 2 phi, ... */
static long double term(size_t u, long double dir_deg)
{
    const long double angle = (long double)((u + 1) / 2) * dir_deg * degree;
    return u % 2 == 1 ? cosl(angle) : u > 0 ? sinl(angle) : 1;
}

static void fill(series *s)
{
    for (size_t i = 0; i < s->count; i++)
        for (size_t u = 0; u < s->unknowns; u++)
            s->column[u][i] = term(u, s->dir[i]);
}

/* Takes column u out of `from`, twice over for what rounding leaves; returns how much. */
static long double take_out(const series *s, size_t u, long double *from)
{
    long double total = 0;
    for (int again = 0; again < 2; again++) {
        const long double part = dot(s->column[u], from, s->count);
        for (size_t i = 0; i < s->count; i++)
            from[i] -= part * s->column[u][i];
        total += part;
    }
    return total;
}

/* Leaves out the orders at which the curve scatters more than 16 times as much as a radius. */
static void leave_out(series *s)
{
    for (int dir_deg = 0; dir_deg < 360; dir_deg += 2) {
        long double z[UNKNOWNS_MAX], scatter2 = 0;
        for (size_t u = 0; u < s->unknowns; u++) {
            z[u] = term(u, dir_deg);
            for (size_t k = 0; k < u; k++)
                z[u] -= s->r[k][u] * z[k];
            z[u] /= s->r[u][u];
            scatter2 += z[u] * z[u];
            if (u == 0 || u % 2 == 1)
                continue;
            s->close = s->close || fabsl(scatter2 - 256) < 1e-5L;
            if (scatter2 > 256)
                s->unknowns = u - 1;
        }
    }
}

static void solve(series *s)
{
    fill(s);
    s->apart = 1;
    for (size_t u = 0; u < s->unknowns; u++) {
        const long double whole = sqrtl(dot(s->column[u], s->column[u], s->count));
        for (size_t k = 0; k < u; k++)
            s->r[k][u] = take_out(s, k, s->column[u]);
        s->r[u][u] = sqrtl(dot(s->column[u], s->column[u], s->count));
        s->apart = fminl(s->apart, s->r[u][u] / whole);
        for (size_t i = 0; i < s->count; i++)
            s->column[u][i] /= s->r[u][u];
    }
    leave_out(s);
    for (size_t u = 0; u < s->unknowns; u++)
        s->x[u] = take_out(s, u, s->rest);
    for (size_t u = s->unknowns; u-- > 0;) {
        for (size_t k = u + 1; k < s->unknowns; k++)
            s->x[u] -= s->r[u][k] * s->x[k];
        s->x[u] /= s->r[u][u];
    }
}

static void compare(const series *s, const reseat_radius_curve *curve, long double radius)
{
    const long double within = 1e-15L * radius / (s->apart * s->apart) * 40;
    require(curve->order == (s->unknowns - 1) / 2 && curve->directions == s->count);
    require(curve->spread_mm >= 0);
    require(fabsl(curve->mean_mm - s->x[0]) <= within);
    for (size_t k = 1; k <= curve->order; k++) {
        require(fabsl(curve->cosine_mm[k] - s->x[2 * k - 1]) <= within);
        require(fabsl(curve->sine_mm[k] - s->x[2 * k]) <= within);
    }
    const size_t dof = s->count - s->unknowns;
    const long double left = dof > 0 ? sqrtl(dot(s->rest, s->rest, s->count) / dof) : 0;
    require(fabsl(curve->residual_mm - left) <= within);
}

static long double plain_radius(const reseat_radius_curve *curve, long double dir_deg)
{
    long double sum = curve->mean_mm;
    for (size_t k = 1; k <= curve->order; k++) {
        const long double angle = (long double)k * dir_deg * degree;
        sum += curve->cosine_mm[k] * cosl(angle) + curve->sine_mm[k] * sinl(angle);
    }
    return sum;
}

static void check_curve(const reseat_radius_curve *curve, double dir_deg, double turn_deg)
{
    const long double there = plain_radius(curve, dir_deg);
    const long double turned = plain_radius(curve, (long double)dir_deg - turn_deg);
    long double size = fabsl(curve->mean_mm), lobes = 0;
    for (size_t k = 1; k <= curve->order; k++)
        lobes += (fabsl(curve->cosine_mm[k]) + fabsl(curve->sine_mm[k])) * k;
    size += lobes;
    require(fabsl(reseat_radius_at(curve, dir_deg) - there) <= 1e-15L * size);
    const long double change = radius_change(curve, dir_deg, turn_deg);
    require(fabsl(change - (there - turned)) <= 2e-15L * lobes + 1e-17L * size);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static series s;
    double dirs[2 * SERIES_MAX], radii[2 * SERIES_MAX];
    input in = {data, size};
    size_t touches = 0;
    memset(&s, 0, sizeof s);
    s.count = 1 + take_byte(&in) % SERIES_MAX;
    const double radius = take_size(&in, -1, 2), lobing = radius * take_size(&in, -6, -1);
    const double step = 360.0 / (double)s.count, jitter = (step - 1.5) / 2;
    const double first = take_between(&in, -720, 720), spread = take_between(&in, 0, 1);
    for (size_t i = 0; i < s.count; i++) {
        const double dir = first + (double)i * step + spread * take_between(&in, -jitter, jitter);
        const size_t again = 1 + (take_byte(&in) > 200);
        s.dir[i] = dir;
        for (size_t k = 0; k < again; k++, touches++) {
            dirs[touches] = dir;
            radii[touches] = radius + lobing * take_between(&in, -1, 1);
            s.rest[i] += (long double)radii[touches] / again;
        }
    }
    const size_t most = (s.count - 1) / 3;
    s.unknowns = 2 * (most < RESEAT_RADIUS_ORDER_MAX ? most : RESEAT_RADIUS_ORDER_MAX) + 1;
    reseat_radius_curve curve;
    require(reseat_radius_fit(dirs, radii, touches, &curve) == RESEAT_OK);
    solve(&s);
    if (s.apart > 1e-5L && !s.close)
        compare(&s, &curve, radius + lobing);
    check_curve(&curve, take_between(&in, -720, 720), take_between(&in, -360, 360));
    return 0;
}
