/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "maths/chance.h"

#include <float.h>
#include <math.h>
#include "base/error.h"
#include "maths/plane.h"

/*
 * Numbers of twice the precision, as a sum of two doubles whose second is the rounding of the
 * first: some 106 bits (Dekker 1971; Knuth, The Art of Computer Programming 2, 4.2.2). For the few
 * differences that would otherwise lose what decides.
 */

typedef struct double_double {
    double high;
    double low;
} double_double;

/* a + b without loss. */
static double_double double_sum(double a, double b)
{
    const double sum = a + b;
    const double part = sum - a;
    return (double_double){sum, (a - (sum - part)) + (b - part)};
}

/* a b without loss. */
static double_double double_product(double a, double b)
{
    const double product = a * b;
    return (double_double){product, fma(a, b, -product)};
}

static double_double double_add(double_double a, double_double b)
{
    const double_double high = double_sum(a.high, b.high);
    const double_double low = double_sum(a.low, b.low);
    const double_double sum = double_sum(high.high, high.low + low.high);
    return double_sum(sum.high, sum.low + low.low);
}

static double_double double_subtract(double_double a, double_double b)
{
    return double_add(a, (double_double){-b.high, -b.low});
}

static double_double double_multiply(double_double a, double_double b)
{
    const double_double product = double_product(a.high, b.high);
    return double_sum(product.high, product.low + (a.high * b.low + a.low * b.high));
}

static double_double double_divide(double_double a, double_double b)
{
    const double first = a.high / b.high;
    const double_double rest = double_subtract(a, double_multiply(b, (double_double){first, 0}));
    const double second = rest.high / b.high;
    const double_double last =
        double_subtract(rest, double_multiply(b, (double_double){second, 0}));
    return double_add(double_sum(first, second), (double_double){last.high / b.high, 0});
}

/* a > 0 */
static double_double double_sqrt(double_double a)
{
    const double root = sqrt(a.high);
    if (impossible(!(root > 0))) /* what is round has no axes that it would be taken of */
        return (double_double){0, 0};
    const double_double rest = double_subtract(a, double_product(root, root));
    return double_sum(root, rest.high / (2 * root));
}

static double_double square(double_double a)
{
    return double_multiply(a, a);
}

/* The standard normal distribution. */

static double normal_density(double t)
{
    return 0x1.9884533d43651p-2 * exp(-t * t / 2); /* 1 / sqrt(2 pi) */
}

/* P(X > t), with its relative accuracy where t > 0. */
static double normal_above(double t)
{
    return erfc(0x1.6a09e667f3bcdp-1 * t) / 2; /* 1 / sqrt 2 */
}

/* P(low <= X <= high), low <= 0 and low <= high; one in a tail keeps its digits. */
static double normal_between(double low, double high)
{
    if (high < 0)
        return normal_above(-high) - normal_above(-low);
    return 1 - (normal_above(high) + normal_above(-low));
}

/* A mean this many standard deviations away from the limit has a chance of 0 or 1 to 1e-17. */
#define CHANCE_REACH 9.0

/* The error along one of its covariance's own axes; a mirror image has the same chance. */
typedef struct chance_axis {
    double mean;  /* >= 0 */
    double sd;    /* >= 0 */
    double chord; /* limit^2 - mean^2, below 0 beyond the limit */
} chance_axis;

/*
 * The error in the frame of its covariance's axes, scaled by a power of two. The three differences
 * of squares are rounded once: where the scatter is narrow they decide, and no digit of them could
 * be got back from the lengths.
 */
typedef struct chance_error {
    chance_axis major; /* sd > 0 */
    chance_axis minor; /* sd at most that of major */
    double limit;      /* from 0.5 to below 1 */
    double inside;     /* limit^2 - |mean|^2 */
} chance_error;

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
    /* half the strip there is that of the last one, unless the mean's reach ends before */
    const double last = s->along->sd * (s->to_edge - CHANCE_REACH) * (s->limit + x);
    const double half = fmax(sqrt(last), s->ends->mean - CHANCE_REACH * s->ends->sd);
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

/*
 * A strip is the density t standard deviations along times the chance between its two ends. Here
 * the edge's square root is gone: half of it is limit sin(angle).
 */
static double strip_at_edge(const strips *s, double angle)
{
    const double half_sine = sin(angle / 2), sine = sin(angle);
    const double t = s->to_edge - 2 * s->limit / s->along->sd * half_sine * half_sine;
    const double half = s->limit * sine;
    const double between = normal_between(-(half + s->ends->mean) / s->ends->sd,
                                          (half - s->ends->mean) / s->ends->sd);
    return s->limit / s->along->sd * sine * (normal_density(t) * between);
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
    return normal_density(t) * normal_between(-both / s->ends->sd, left / both / s->ends->sd);
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

/* Chance by strips across the disc, however narrow the scatter. */
static double chance_across(const chance_error *error)
{
    if (!(error->minor.sd > 0))
        return chord_chance(error);
    const strips by_minor = lay(error, &error->minor, &error->major);
    const strips by_major = lay(error, &error->major, &error->minor);
    return strips_chance(by_minor.steps < by_major.steps ? &by_minor : &by_major);
}

/*
 * The chance as an integral round the disc. In lengths of standard deviations about the mean the
 * density has the potential (1 - exp(-rho^2/2)) d alpha / 2 pi, (rho, alpha) polar, so the chance
 * is its integral along the boundary. With z = rho^2/2 that is g(z) cross d theta / 4 pi, where
 * g(z) = (1 - exp(-z)) / z has no pole, cross is the product of point and tangent, and theta the
 * angle on the disc itself: smooth and periodic, so the trapezoid rule converges geometrically.
 */

/*
 * Nodes at a limit of so many standard deviations: enough for 1e-14 (measured). Half of them are
 * then right to 1e-6, as the error is squared when they double; what is not is worth more nodes.
 */
static const double NODES_AT_LEAST = 12;
static const double NODES_PER_SD = 9;
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

/* Chance by going round the disc; nodes grow with limit / minor.sd. minor.sd > 0 */
static double chance_around(const chance_error *error)
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

/* An eigenvalue below zero by no more than this share of the largest is a rounding of zero. */
static const double ROUNDING = 0x1p-46;

/*
 * Powers of two against the limit. Scatter below the smallest acts as there: limit^2 less the
 * squares of the mean is zero or has its last bit far above. Beyond the largest scatter the chance
 * is 0, and so it is beyond that mean, which not even the largest scatter reaches.
 */
static const int SMALLEST_SCATTER = -200;
static const int LARGEST_SCATTER = 300;
static const int LARGEST_MEAN = 310;

/* Up to this limit in standard deviations, with at most 102 nodes, going round is faster. */
static const double AROUND_RATIO = 10;

/* value < 2^exponent, the least that holds; 0 has that of the least double. */
static int exponent_of(double value)
{
    int exponent = DBL_MIN_EXP - DBL_MANT_DIG;
    if (value > 0)
        frexp(value, &exponent);
    return exponent;
}

/* limit^2 - |mean|^2, the larger square first: what is left is no larger than the other */
static double_double inside_disc(reseat_xy mean, double limit)
{
    const double large = fmax(fabs(mean.x), fabs(mean.y));
    const double small = fmin(fabs(mean.x), fabs(mean.y));
    return double_subtract(
        double_subtract(double_product(limit, limit), double_product(large, large)),
        double_product(small, small));
}

/*
 * Eigenvalues, the smaller through the determinant, which may be a 1e-30th of its two terms. False
 * if the matrix is no covariance.
 */
static bool find_scatter(reseat_cov c, double *major_variance, double *minor_variance)
{
    const double major = (c.xx + c.yy + hypot(c.xx - c.yy, 2 * c.xy)) / 2;
    const double minor =
        double_subtract(double_product(c.xx, c.yy), double_product(c.xy, c.xy)).high / major;
    if (!(major > 0) || !(minor >= -ROUNDING * major))
        return false;
    *major_variance = major;
    *minor_variance = fmin(fmax(minor, 0), major);
    return true;
}

/*
 * The mean in the frame of the axes. To twice the precision, since where narrow scatter touches the
 * disc the last bit of a double decides between a chance of 0 and one of 1e-8.
 */
static void turn_to_axes(reseat_xy mean, reseat_cov c, double_double *major, double_double *minor)
{
    const double_double difference = double_sum(c.xx, -c.yy);
    const double_double cross = {2 * c.xy, 0};
    const double_double spread = double_sqrt(double_add(square(difference), square(cross)));
    /* a vector along the larger axis, by the half of the formula that does not cancel */
    double_double x = cross, y = cross;
    if (difference.high >= 0)
        x = double_add(spread, difference);
    else
        y = double_subtract(spread, difference);
    const double_double mean_x = {mean.x, 0}, mean_y = {mean.y, 0};
    const double_double length = double_sqrt(double_add(square(x), square(y)));
    *major = double_divide(
        double_add(double_multiply(mean_x, x), double_multiply(mean_y, y)), length);
    *minor = double_divide(
        double_subtract(double_multiply(mean_y, x), double_multiply(mean_x, y)), length);
}

static void place_mean(reseat_xy mean, reseat_cov c, chance_error *error)
{
    double_double major = {hypot(mean.x, mean.y), 0}, minor = {0, 0};
    /* else its axes are of no account, or too close to round to be found: any will do, and the one
       through the mean has a mirror image */
    if (!(fabs(c.xx - c.yy) + 2 * fabs(c.xy) < 0x1p-120))
        turn_to_axes(mean, c, &major, &minor);
    const double_double inside = inside_disc(mean, error->limit);
    error->inside = inside.high;
    error->major.mean = fabs(major.high);
    error->minor.mean = fabs(minor.high);
    /* each from the other: the sum is as good as inside where the other is small */
    error->major.chord = double_add(inside, square(minor)).high;
    error->minor.chord = double_add(inside, square(major)).high;
}

/* Whether the mean lies so far outside the band of one axis that nothing reaches into it. */
static bool is_beyond(const chance_axis *axis, double limit)
{
    return -axis->chord > CHANCE_REACH * axis->sd * (axis->mean + limit);
}

static double chance_of_scatter(const chance_error *e)
{
    const double reach = CHANCE_REACH * e->major.sd *
                         (hypot(e->major.mean, e->minor.mean) + e->limit);
    if (is_beyond(&e->major, e->limit) || is_beyond(&e->minor, e->limit) || -e->inside > reach)
        return 0;
    if (e->inside > reach)
        return 1;
    const bool wide = e->limit <= AROUND_RATIO * e->minor.sd;
    return fmin(fmax(wide ? chance_around(e) : chance_across(e), 0), 1);
}

/* The mean and limit near 1; false if the mean is so far away that no scatter reaches the disc. */
static bool scale_lengths(reseat_xy *mean, double *limit)
{
    const int exponent = exponent_of(*limit);
    if (exponent_of(fmax(fabs(mean->x), fabs(mean->y))) - exponent > LARGEST_MEAN)
        return false;
    *mean = (reseat_xy){ldexp(mean->x, -exponent), ldexp(mean->y, -exponent)};
    *limit = ldexp(*limit, -exponent);
    return true;
}

/*
 * The chance, or false if the matrix, not zero, is no covariance. Powers of two bring its largest
 * entry and the limit near 1 first, so that no square overflows or vanishes.
 */
static bool find_chance(reseat_xy mean, reseat_cov c, double limit, double *chance)
{
    const int half = exponent_of(fmax(fabs(c.xy), fmax(fabs(c.xx), fabs(c.yy)))) / 2;
    const reseat_cov scatter = {ldexp(c.xx, -2 * half), ldexp(c.xy, -2 * half),
                                ldexp(c.yy, -2 * half)};
    double major_variance, minor_variance;
    if (!find_scatter(scatter, &major_variance, &minor_variance))
        return false;

    int ratio = half - exponent_of(limit);
    *chance = 0;
    if (ratio > LARGEST_SCATTER || !scale_lengths(&mean, &limit))
        return true;
    if (ratio < SMALLEST_SCATTER)
        ratio = SMALLEST_SCATTER;
    chance_error error = {.major = {.sd = ldexp(sqrt(major_variance), ratio)},
                          .minor = {.sd = ldexp(sqrt(minor_variance), ratio)},
                          .limit = limit};
    place_mean(mean, scatter, &error);
    *chance = chance_of_scatter(&error);
    return true;
}

reseat_status chance_disc(reseat_xy mean_mm, reseat_cov covariance_mm2, double limit_mm,
                          double *chance)
{
    const reseat_cov c = covariance_mm2;
    if (!xy_is_finite(mean_mm) || !isfinite(limit_mm) || !isfinite(c.xx) || !isfinite(c.xy) ||
        !isfinite(c.yy))
        return RESEAT_ERR_NOT_FINITE;
    if (!(limit_mm > 0))
        return RESEAT_ERR_RANGE;
    if (!(fabs(c.xx) + fabs(c.xy) + fabs(c.yy) > 0)) {
        /* it is certain whether the error keeps the limit, which itself is in */
        const bool near = scale_lengths(&mean_mm, &limit_mm);
        *chance = near && inside_disc(mean_mm, limit_mm).high >= 0 ? 1 : 0;
        return RESEAT_OK;
    }
    return find_chance(mean_mm, c, limit_mm, chance) ? RESEAT_OK : RESEAT_ERR_RANGE;
}

/* P(c - h <= X <= c + h) by its Taylor series about the middle, to h^7. */
static double chance_of_narrow(double c, double h)
{
    const double c2 = c * c, h2 = h * h;
    const double fourth = c2 * (c2 - 6) + 3;
    const double sixth = c2 * (c2 * (c2 - 15) + 45) - 15;
    return 2 * h * normal_density(c) *
           (1 + h2 * ((c2 - 1) / 6 + h2 * (fourth / 120 + h2 * sixth / 5040)));
}

reseat_status chance_line(double mean_mm, double sd_mm, double limit_mm, double *chance)
{
    if (!isfinite(mean_mm) || !isfinite(sd_mm) || !isfinite(limit_mm))
        return RESEAT_ERR_NOT_FINITE;
    if (!(sd_mm >= 0) || !(limit_mm >= 0))
        return RESEAT_ERR_RANGE;
    const double mean = fabs(mean_mm);
    if (!(sd_mm > 0)) {
        *chance = mean <= limit_mm ? 1 : 0;
        return RESEAT_OK;
    }
    /* the series where the difference of two tails would lose more digits than it does; beyond 40
       the chance is 0, but the powers of c need not be finite */
    const double c = mean / sd_mm, h = limit_mm / sd_mm;
    if (c < 40 && h * (1 + c) < 0.05)
        *chance = chance_of_narrow(c, h);
    else
        *chance = normal_between((-limit_mm - mean) / sd_mm, (limit_mm - mean) / sd_mm);
    return RESEAT_OK;
}
