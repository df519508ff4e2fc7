/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The chance by strips across the disc, for scatter that is narrow against the limit: the density
 * along one axis of the covariance times the chance of the strip's two ends along the other. Of the
 * two ways to lay the strips one is always smooth, with a few dozen strips, however narrow the
 * scatter: where the edge of the disc lies square to the strips their ends move slowly, and a
 * substitution takes out the square root where it runs along with them.
 *
 * What decides is the distance of a strip's end from the mean, in standard deviations: it is taken
 * from limit^2 - |point|^2, computed to twice the precision, never as a difference of two lengths.
 */
#include "chance_parts.h"

#include <assert.h>
#include <math.h>
#include "normal.h"

static const double PI = 0x1.921fb54442d18p+1;

/* Standard deviations to either side of the mean that are looked at: outside are 2e-17. */
static const double REACH = 8.5;

/* Step in standard deviations of the steepest factor; the trapezoid error is exp(-2 (pi/step)^2) */
static const double STEP = 0.6;

static const double SETTLED = 1e-6;
static const unsigned STRIPS_MAX = 1u << 20;

/* One way to lay the strips: `along` numbers them, `ends` is where they end. Means are >= 0. */
typedef struct strips {
    double along, ends;       /* mean, rounded */
    double along_sd, ends_sd; /* > 0 */
    double limit;
    double to_edge;           /* limit - along, in along_sd */
    double square;            /* limit^2 - ends^2 */
    double inside;            /* limit^2 - along^2 - ends^2 */
    bool at_edge;             /* the edge is in reach: strips by the angle from it ... */
    double angle;             /* ... from 0 to this; else from -REACH to REACH */
    double steps;             /* how many steps this way takes */
} strips;

static twofold magnitude(twofold a)
{
    return a.high < 0 ? twofold_negative(a) : a;
}

/* Largest |position| along at which a strip's end is within reach of the mean; 0 if none is. */
static double last_active(const strips *s)
{
    const double reached = s->ends - REACH * s->ends_sd;
    const double edge = fmin(s->limit, s->along + REACH * s->along_sd);
    if (!(reached > 0))
        return edge;
    return fmin(edge, sqrt(fmax(0, (s->limit - reached) * (s->limit + reached))));
}

/* Steps needed: the range times the steepest of both factors. */
static void plan(strips *s)
{
    const double x = last_active(s);
    if (s->at_edge) {
        const double wide = 2 * s->limit / s->along_sd; /* d t = wide/2 sin(angle) d angle */
        const double share = (s->to_edge + REACH) / wide;
        s->angle = share < 1 ? 2 * asin(sqrt(share)) : PI;
        const double steepest_sine = s->angle < PI / 2 ? sin(s->angle) : 1;
        s->steps = s->angle * fmax(wide / 2 * steepest_sine, x / s->ends_sd) / STEP;
    } else {
        const double w = sqrt((s->limit - x) * (s->limit + x));
        s->steps = 2 * REACH * hypot(1, s->along_sd * x / (w * s->ends_sd)) / STEP;
    }
}

static strips lay(twofold along, double along_sd, twofold ends, double ends_sd, double limit)
{
    const twofold a = magnitude(along), e = magnitude(ends), r = {limit, 0};
    const twofold square =
        twofold_multiply(twofold_subtract(r, e), twofold_add(r, e));
    const twofold inside = twofold_subtract(square, twofold_multiply(a, a));
    strips s = {
        .along = a.high, .ends = e.high, .along_sd = along_sd, .ends_sd = ends_sd, .limit = limit,
        .to_edge = twofold_subtract(r, a).high / along_sd,
        .square = square.high,
        .inside = inside.high,
    };
    s.at_edge = s.to_edge < REACH;
    plan(&s);
    return s;
}

/* Strip t standard deviations along, whose ends on the disc are so many from the mean. */
static double strip(double t, double far, double near)
{
    return normal_density(t) * normal_between(-far, near);
}

/* Here the edge's square root is gone: half a strip is limit sin(angle). */
static double strip_at_edge(const strips *s, double angle)
{
    const double half_sine = sin(angle / 2), sine = sin(angle);
    const double t = s->to_edge - 2 * s->limit / s->along_sd * half_sine * half_sine;
    const double half = s->limit * sine;
    return s->limit / s->along_sd * sine *
           strip(t, (half + s->ends) / s->ends_sd, (half - s->ends) / s->ends_sd);
}

/*
 * Half a strip less the mean is (limit^2 - x^2 - ends^2) / (half + ends); where x is mostly its
 * mean, the large squares are subtracted beforehand.
 */
static double strip_inside(const strips *s, double t)
{
    const double moved = s->along_sd * t;
    const double x = s->along + moved;
    const double half = sqrt(fmax(0, (s->limit - x) * (s->limit + x)));
    const double inside = s->along <= 40 * s->along_sd ? s->square - x * x
                                                       : s->inside - moved * (s->along + x);
    const double far = (half + s->ends) / s->ends_sd;
    return strip(t, far, far > 0 ? inside / ((half + s->ends) * s->ends_sd) : 0);
}

/* Sum over the strips first, first + step ... up to count, the outermost by halves. */
static double strips_sum(const strips *s, unsigned count, unsigned first, unsigned step)
{
    double sum = 0;
    for (unsigned j = first; j <= count; j += step) {
        const double share = (double)j / count;
        const double value = s->at_edge ? strip_at_edge(s, s->angle * share)
                                        : strip_inside(s, REACH * (2 * share - 1));
        sum += j == 0 || j == count ? value / 2 : value;
    }
    return sum;
}

/* The trapezoid rule, halving its step until that changes nothing. */
static double strips_chance(const strips *s)
{
    unsigned count = 2 * (unsigned)ceil(fmin(s->steps, STRIPS_MAX) / 2) + 2;
    const double range = s->at_edge ? s->angle : 2 * REACH;
    double coarse = strips_sum(s, count, 0, 2);
    double fine = strips_sum(s, count, 1, 2);
    while (fabs(coarse - fine) * 2 * range > SETTLED * count && count < STRIPS_MAX) {
        coarse += fine;
        count *= 2;
        fine = strips_sum(s, count, 1, 2);
    }
    return (coarse + fine) * range / count;
}

/* Without scatter across it, the error stays on a chord of the disc. */
static double chord_chance(const principal *error)
{
    const twofold r = {error->limit, 0};
    const twofold square = twofold_multiply(twofold_subtract(r, error->minor),
                                            twofold_add(r, error->minor));
    const twofold inside =
        twofold_subtract(square, twofold_multiply(error->major, error->major));
    if (!(square.high > 0))
        return 0;
    const double far = sqrt(square.high) + fabs(error->major.high);
    return normal_between(-far / error->major_sd, inside.high / far / error->major_sd);
}

double reseat_chance_across(const principal *e)
{
    if (!(e->minor_sd > 0))
        return chord_chance(e);
    const strips across = lay(e->minor, e->minor_sd, e->major, e->major_sd, e->limit);
    const strips along = lay(e->major, e->major_sd, e->minor, e->minor_sd, e->limit);
    if (across.to_edge <= -REACH || along.to_edge <= -REACH)
        return 0;
    return strips_chance(across.steps < along.steps ? &across : &along);
}
