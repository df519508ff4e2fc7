/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The chance by strips across the disc, for scatter that is narrow against the limit: the density
 * along one axis of the covariance times the chance of the strip's two ends along the other. Of the
 * two ways to lay the strips one is always smooth, with some 80 strips at most (in millions of
 * random cases), however narrow the scatter: where the edge of the disc lies square to the strips
 * their ends move slowly, and a substitution takes out the root where it runs along with them.
 *
 * What decides is the distance of a strip's end from the mean, in standard deviations: it is taken
 * from limit^2 - |point|^2, computed to twice the precision, never as a difference of two lengths.
 */
#include "chance_parts.h"

#include <math.h>
#include <stdbool.h>
#include "impossible.h"
#include "normal.h"

static const double PI = 0x1.921fb54442d18p+1;

/*
 * Step in standard deviations of the steepest factor: small enough for 1e-15 (measured; that of the
 * normal density itself is exp(-2 (pi/step)^2)). The step twice as large is then right to 1e-6;
 * what is not is worth more strips.
 */
static const double STEP = 0.55;
static const double SETTLED = 1e-6;
static const unsigned STRIPS_MAX = 1u << 14;

/* Above CHANCE_REACH, so that the root at the edge is well away from strips that are even in t. */
static const double EDGE_REACH = 12;

/* Up to so many standard deviations from the middle, positions are no larger than their scatter. */
static const double MIDDLE_SDS = 40;

/*
 * One way to lay the strips: their positions are spread along one axis, and they end along the
 * other. If the edge of the disc is in reach, steps are even in the angle from it; else in t.
 */
typedef struct strips {
    const chance_axis *along;
    const chance_axis *ends;
    double limit;
    double inside;
    double to_edge; /* limit - along.mean, in along.sd */
    bool at_edge;
    double first;   /* angle or t of the first strip ... */
    double range;   /* ... and from there to the last */
    double steps;   /* how many steps this takes */
} strips;

/* Largest position at which a strip may end within reach of the mean, where it is steepest. */
static double steepest_position(const strips *s)
{
    const double reach = CHANCE_REACH * s->ends->sd;
    const double last = fmin(s->limit, s->along->mean + CHANCE_REACH * s->along->sd);
    if (s->ends->mean <= reach)
        return last;
    /* half a strip is ends.mean - reach there */
    return fmin(last, sqrt(fmax(0, s->ends->chord + reach * (2 * s->ends->mean - reach))));
}

/* Half the strip there: that of the last one, unless the mean's reach ends before. */
static double steepest_half(const strips *s, double position)
{
    const double last = s->along->sd * (s->to_edge - CHANCE_REACH) * (s->limit + position);
    return fmax(sqrt(last), s->ends->mean - CHANCE_REACH * s->ends->sd);
}

/* t = to_edge - wide sin^2(angle/2), from the edge until t is out of reach */
static void plan_at_edge(strips *s)
{
    const double wide = 2 * s->limit / s->along->sd;
    const double share = fmax(0, (s->to_edge + CHANCE_REACH) / wide);
    s->range = share < 1 ? 2 * asin(sqrt(share)) : PI;
    const double t_per_angle = wide / 2 * (s->range < PI / 2 ? sin(s->range) : 1);
    s->steps = s->range * fmax(t_per_angle, steepest_position(s) / s->ends->sd) / STEP;
}

static void plan_inside(strips *s)
{
    const double x = steepest_position(s);
    const double half = steepest_half(s, x);
    s->first = -CHANCE_REACH;
    s->range = 2 * CHANCE_REACH;
    s->steps = s->range * hypot(1, s->along->sd * x / (half * s->ends->sd)) / STEP;
}

static strips lay(const chance_error *error, const chance_axis *along, const chance_axis *ends)
{
    strips s = {
        .along = along, .ends = ends, .limit = error->limit, .inside = error->inside,
        .to_edge = along->chord / (error->limit + along->mean) / along->sd,
    };
    s.at_edge = s.to_edge < EDGE_REACH;
    if (s.at_edge)
        plan_at_edge(&s);
    else
        plan_inside(&s);
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
    const double t = s->to_edge - 2 * s->limit / s->along->sd * half_sine * half_sine;
    const double half = s->limit * sine;
    return s->limit / s->along->sd * sine *
           strip(t, (half + s->ends->mean) / s->ends->sd, (half - s->ends->mean) / s->ends->sd);
}

/*
 * From the mean to a strip's end are half - ends.mean = (limit^2 - x^2 - ends.mean^2) / both. Where
 * x is mostly its mean, the large squares have been subtracted beforehand.
 */
static double strip_inside(const strips *s, double t)
{
    const double moved = s->along->sd * t;
    const double x = s->along->mean + moved;
    const double half = sqrt(fmax(0, s->along->sd * (s->to_edge - t) * (s->limit + x)));
    const double both = half + s->ends->mean;
    const bool near_middle = s->along->mean <= MIDDLE_SDS * s->along->sd;
    const double left = near_middle ? s->ends->chord - x * x
                                    : s->inside - moved * (s->along->mean + x);
    if (impossible(!(both > 0))) /* the mean is further from either edge than any t */
        return 0;
    return strip(t, both / s->ends->sd, left / both / s->ends->sd);
}

/* Sum over the strips first, first + step ... up to count, the outermost by halves. */
static double strips_sum(const strips *s, unsigned count, unsigned first, unsigned step)
{
    double sum = 0;
    for (unsigned j = first; j <= count; j += step) {
        const double at = s->first + s->range * j / count;
        const double value = s->at_edge ? strip_at_edge(s, at) : strip_inside(s, at);
        sum += j == 0 || j == count ? value / 2 : value;
    }
    return sum;
}

/* The trapezoid rule, halving its step until that changes nothing. */
static double strips_chance(const strips *s)
{
    unsigned count = (unsigned)ceil(fmin(s->steps, STRIPS_MAX) / 2) + 1;
    double coarse = strips_sum(s, 2 * count, 0, 2), fine = 0;
    do {
        coarse += fine;
        count *= 2;
        fine = strips_sum(s, count, 1, 2);
    } while (fabs(coarse - fine) * 2 * s->range > SETTLED * count && count < STRIPS_MAX);
    return (coarse + fine) * s->range / count;
}

/* Without scatter across it, the error stays on a chord of the disc. */
static double chord_chance(const chance_error *error)
{
    const chance_axis *major = &error->major;
    if (!(error->minor.chord > 0))
        return 0;
    const double far = sqrt(error->minor.chord) + major->mean;
    return normal_between(-far / major->sd, error->inside / far / major->sd);
}

double reseat_chance_across(const chance_error *error)
{
    if (!(error->minor.sd > 0))
        return chord_chance(error);
    const strips by_minor = lay(error, &error->minor, &error->major);
    const strips by_major = lay(error, &error->major, &error->minor);
    return strips_chance(by_minor.steps < by_major.steps ? &by_minor : &by_major);
}
