/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The chance of a disc against a plain quadrature in long double: along the narrower axis of the
 * scatter, x = limit sin(theta), so that nothing is steep at the rim; halves are compared with
 * their whole until they agree.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "input.h"
#include "maths/chance.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define NODES 16

static const long double pi = 3.141592653589793238462643383279502884L;

/* The scatter along its own axes, sd[0] the narrower. */
typedef struct scatter {
    long double mean[2], sd[2], limit;
    long double node[NODES], weight[NODES]; /* Gauss and Legendre, on -1 to 1 */
} scatter;

static void make_nodes(scatter *s)
{
    for (int i = 0; i < NODES; i++) {
        long double x = cosl(pi * (i + 0.75L) / (NODES + 0.5L)), slope = 1;
        for (int step = 0; step < 8; step++) {
            long double before = 1, at = x;
            for (int n = 2; n <= NODES; n++) {
                const long double next = ((2 * n - 1) * x * at - (n - 1) * before) / n;
                before = at;
                at = next;
            }
            slope = NODES * (x * at - before) / (x * x - 1);
            x -= at / slope;
        }
        s->node[i] = x;
        s->weight[i] = 2 / ((1 - x * x) * slope * slope);
    }
}

/* Chance of an interval, from the tails where it lies in one. */
static long double between(long double low, long double high)
{
    const long double root = sqrtl(2);
    if (low > 0)
        return (erfcl(low / root) - erfcl(high / root)) / 2;
    if (high < 0)
        return (erfcl(-high / root) - erfcl(-low / root)) / 2;
    return (erfl(high / root) - erfl(low / root)) / 2;
}

static long double integrand(const scatter *s, long double theta)
{
    const long double z = (s->limit * sinl(theta) - s->mean[0]) / s->sd[0];
    const long double half = s->limit * cosl(theta);
    const long double across =
        between((-half - s->mean[1]) / s->sd[1], (half - s->mean[1]) / s->sd[1]);
    return expl(-z * z / 2) / sqrtl(2 * pi) / s->sd[0] * half * across;
}

static long double gauss(const scatter *s, long double low, long double high)
{
    long double sum = 0;
    for (int i = 0; i < NODES; i++)
        sum += s->weight[i] * integrand(s, (low + high + (high - low) * s->node[i]) / 2);
    return sum * (high - low) / 2;
}

static long double integral(const scatter *s, long double low, long double high,
                            long double whole, int depth)
{
    const long double middle = (low + high) / 2;
    const long double left = gauss(s, low, middle), right = gauss(s, middle, high);
    if (fabsl(left + right - whole) < 1e-15L || depth == 0)
        return left + right;
    return integral(s, low, middle, left, depth - 1) + integral(s, middle, high, right, depth - 1);
}

/* The part of the disc within 12 standard deviations, in pieces, so that no hump is missed. */
static long double plain_chance(const scatter *s)
{
    const long double low = fmaxl((s->mean[0] - 12 * s->sd[0]) / s->limit, -1);
    const long double high = fminl((s->mean[0] + 12 * s->sd[0]) / s->limit, 1);
    long double sum = 0;
    if (!(low < high))
        return 0;
    const long double first = asinl(low), step = (asinl(high) - first) / 16;
    for (int i = 0; i < 16; i++) {
        const long double from = first + i * step, to = from + step;
        sum += integral(s, from, to, gauss(s, from, to), 30);
    }
    return sum;
}

/* Axes, variances, and the determinant without cancellation; false if there is but one axis. */
static bool turn_to_axes(reseat_xy mean, reseat_cov c, scatter *s)
{
    const long double xx = c.xx, xy = c.xy, yy = c.yy;
    const long double product = xx * yy, square = xy * xy;
    const long double det = (product - square) + fmal(xx, yy, -product) - fmal(xy, xy, -square);
    const long double half = (xx + yy) / 2, apart = hypotl((xx - yy) / 2, xy);
    const long double larger = half + apart, smaller = det / larger;
    const long double angle = atan2l(2 * xy, xx - yy) / 2; /* of the wider axis */
    if (!(det > 1e-13L * larger * larger))
        return false;
    s->sd[0] = sqrtl(smaller);
    s->sd[1] = sqrtl(larger);
    s->mean[1] = mean.x * cosl(angle) + mean.y * sinl(angle);
    s->mean[0] = mean.y * cosl(angle) - mean.x * sinl(angle);
    return true;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static scatter s;
    input in = {data, size};
    if (!(s.weight[0] > 0))
        make_nodes(&s);
    const double limit = take_size(&in, -4, 2), wide = limit * take_size(&in, -3, 2);
    const double narrow = wide * take_size(&in, -5, 0);
    const double angle = take_between(&in, 0, 3.2), far = limit * take_between(&in, 0, 3);
    const double bearing = take_between(&in, 0, 6.3);
    const double c = cos(angle), n = sin(angle), w2 = wide * wide, n2 = narrow * narrow;
    const reseat_cov cov = {w2 * c * c + n2 * n * n, (w2 - n2) * c * n, w2 * n * n + n2 * c * c};
    const reseat_xy mean = {far * cos(bearing), far * sin(bearing)};
    double chance = 7;
    s.limit = limit;
    if (!turn_to_axes(mean, cov, &s) || s.sd[0] < 1e-6L * s.limit)
        return 0; /* else 64 bits of an angle are too few for 1e-12 */
    require(chance_disc(mean, cov, limit, &chance) == RESEAT_OK);
    require(fabsl(chance - plain_chance(&s)) <= 1e-12L);
    return 0;
}
