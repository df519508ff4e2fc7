/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The chance as an integral round the disc. In lengths of standard deviations about the mean the
 * density has the potential (1 - exp(-rho^2/2)) d alpha / 2 pi, (rho, alpha) polar, so the chance
 * is its integral along the boundary. With z = rho^2/2 that is g(z) cross d theta / 4 pi, where
 * g(z) = (1 - exp(-z)) / z has no pole, cross is the product of point and tangent, and theta the
 * angle on the disc itself: smooth and periodic, so the trapezoid rule converges geometrically.
 */
#include "chance_parts.h"

#include <assert.h>
#include <math.h>

static const double PI = 0x1.921fb54442d18p+1;

/*
 * Nodes at a limit of so many standard deviations: enough for 1e-14 (measured). Half of them are
 * then right to 1e-6, as the error is squared when they double; what is not is worth more nodes.
 */
static const double NODES_AT_LEAST = 12;
static const double NODES_PER_SD = 9;
static const double SETTLED = 1e-6;
static const unsigned NODES_MAX = 4096;

/* g; z >= 0 */
static double potential(double z)
{
    if (z > 0.25)
        return (1 - exp(-z)) / z;
    return z > 0 ? -expm1(-z) / z : 1;
}

static double around_one(const chance_error *error, double x, double y)
{
    const double dx = x - error->major.mean, dy = y - error->minor.mean;
    const double u = dx / error->major.sd, v = dy / error->minor.sd;
    return potential((u * u + v * v) / 2) * (x * dx + y * dy);
}

/* What the four points (+-x, +-y) of the circle add. */
static double around_four(const chance_error *error, double x, double y)
{
    const double upper = around_one(error, x, y) + around_one(error, -x, y);
    if (!(error->minor.mean > 0))
        return 2 * upper;
    return upper + around_one(error, x, -y) + around_one(error, -x, -y);
}

/*
 * Sum over the nodes of one quadrant, first, first + 2 ... up to quarter, those on the axes by
 * halves. Each is the one before turned by two steps: the few dozen turns lose a few 1e-16.
 */
static double around_nodes(const chance_error *error, unsigned quarter, unsigned first)
{
    const double step = PI / 2 / quarter;
    const double c = cos(2 * step), s = sin(2 * step);
    double x = first == 0 ? error->limit : error->limit * cos(step);
    double y = first == 0 ? 0 : error->limit * sin(step);
    double sum = 0;
    for (unsigned j = first; j <= quarter; j += 2) {
        const double four = around_four(error, x, y);
        sum += j == 0 || j == quarter ? four / 2 : four;
        const double turned = x * c - y * s;
        y = x * s + y * c;
        x = turned;
    }
    return sum;
}

double reseat_chance_around(const chance_error *error)
{
    assert(error->minor.sd > 0);
    const double nodes = NODES_AT_LEAST + NODES_PER_SD * error->limit / error->minor.sd;
    unsigned quarter = 2 * (unsigned)ceil(nodes / 8);
    const double scale = 1 / (error->major.sd * error->minor.sd);
    double coarse = around_nodes(error, quarter, 0) * scale;
    double fine = around_nodes(error, quarter, 1) * scale;
    while (fabs(coarse - fine) > SETTLED * 2 * quarter && 4 * quarter < NODES_MAX) {
        coarse += fine;
        quarter *= 2;
        fine = around_nodes(error, quarter, 1) * scale;
    }
    return (coarse + fine) / (8 * quarter);
}
