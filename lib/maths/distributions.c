/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "maths/distributions.h"

#include <float.h>
#include <math.h>
#include "base/error.h"

static const double PI = 3.14159265358979323846;

#define STUDENT_DOF_MAX 1e6
#define CHI_SQUARE_DOF_MAX 100000u
#define NEWTON_STEPS 60     /* 29 were the most among a million random p and dof */
#define FRACTION_STEPS 1000 /* 79 */

/*
 * What Stirling's formula leaves out of log gamma(z), z >= 16: from there on the next term, 1/(1188
 * z^9), is below 1.3e-14 of the largest, and what it would add is below 1.3e-14 as well.
 */
static double stirling_rest(double z)
{
    assert(z >= 16);
    const double r = 1 / (z * z);
    return (1.0 / 12 - r * (1.0 / 360 - r * (1.0 / 1260 - r * (1.0 / 1680 - r / 1188)))) / z;
}

/*
 * gamma(a + 1/2) / gamma(a). The logarithms of the two grow to 6e6 and cannot be subtracted: the
 * large parts of Stirling's formula cancel by hand instead. Small a climb to where it holds.
 */
static double gamma_half_ratio(double a)
{
    double climbed = 1;
    for (; a < 16; a++)
        climbed *= a / (a + 0.5);
    const double power = a * log1p(0.5 / a) - 0.5;
    return climbed * sqrt(a) * exp(power + stirling_rest(a + 0.5) - stirling_rest(a));
}

/* (1 + r^2)^(-a), also where r^2 overflows. */
static double power_of_secant(double r, double a)
{
    const double half_log = r > 1 ? log(r) + log1p(1 / (r * r)) / 2 : log1p(r * r) / 2;
    return exp(-2 * a * half_log);
}

/* Density of Student's t at t. */
static double student_density(double t, double dof)
{
    return gamma_half_ratio(dof / 2) / sqrt(PI * dof) *
           power_of_secant(fabs(t) / sqrt(dof), (dof + 1) / 2);
}

/*
 * P(|T| <= t) = I_y(1/2, a), a = dof/2, y = t^2/(dof + t^2), for t^2 <= 3: the density times 2t
 * times sum (a + 1/2)_n / (3/2)_n y^n (and one factor, (1 + t^2/dof)^(1/2), to make it so). Every
 * term is positive and their ratio tends to y <= 3/4.
 */
static double student_middle(double t, double dof)
{
    const double a = dof / 2;
    const double y = t * t / (dof + t * t);
    double term = 1;
    double sum = 1;
    for (int n = 0; term > DBL_EPSILON / 8 * sum; n++) {
        term *= (a + 0.5 + n) / (1.5 + n) * y;
        sum += term;
    }
    return 2 * t * student_density(t, dof) * sum;
}

/*
 * The continued fraction of I_x(a, 1/2) = x^a y^(1/2) / B(a, 1/2) * (1 / (b0 + a1 / (b1 + ...))),
 * y = 1 - x, evaluated from the front (Lentz's way). This is the form of DiDonato and Morris (ACM
 * TOMS 18, 1992), in which nothing cancels however large a is; t^2 > 3 keeps `beyond` above 0.9.
 */
static double beta_fraction(double x, double y, double a)
{
    const double b = 0.5;
    const double beyond = (a + b) * y - b; /* how far x lies below the middle, times a + b */
    double c = a / (a + 1) * (beyond + 1);
    double d = 0;
    double below = c;
    for (int n = 1; !impossible(n == FRACTION_STEPS); n++) {
        const double next = a + 2 * n - 1;
        const double top = (a + n - 1) * (a + b + n - 1) / (next * next) * n * (b - n) * x * x;
        const double bottom = n + n * (b - n) * x / next +
                              (a + n) / (next + 2) * (beyond + 1 + n * (1 + y));
        d = 1 / (bottom + top * d);
        c = bottom + top / c;
        below *= c * d;
        if (fabs(c * d - 1) < DBL_EPSILON)
            break;
    }
    return 1 / below;
}

/* P(T > t) for t^2 > 3: half of I_x(a, 1/2), a = dof/2, x = dof/(dof + t^2). */
static double student_outside(double t, double dof)
{
    const double a = dof / 2;
    const double r = t / sqrt(dof);
    const double square = r * r; /* may overflow, and then x is 0 as it should be */
    const double front = power_of_secant(r, a) * (r / hypot(1, r)) * gamma_half_ratio(a);
    return front / (2 * sqrt(PI)) * beta_fraction(1 / (1 + square), 1 / (1 + 1 / square), a);
}

/* A standard normal quantile good to 0.0005 for 0 < p < 1/2, to start from; returns its size. */
static double normal_start(double p)
{
    const double s = sqrt(-2 * log(p));
    return s - (2.515517 + s * (0.802853 + s * 0.010328)) /
               (1 + s * (1.432788 + s * (0.189269 + s * 0.001308)));
}

/* Area is concave in t > 0, so Newton from below climbs to the root and never passes it. */
static double solve_middle(double area, double dof)
{
    double at = area / (2 * student_density(0, dof));
    for (int i = 0; !impossible(i == NEWTON_STEPS); i++) {
        const double step = (area - student_middle(at, dof)) / (2 * student_density(at, dof));
        at += step;
        if (fabs(step) <= 1e-9 * at)
            return at;
    }
    return (double)NAN;
}

/*
 * The logarithm of the tail is concave in log t: at most one step overshoots, and by little.
 * Infinite where the quantile is too large for a double.
 */
static double solve_outside(double p, double dof)
{
    const double z = normal_start(p);
    double at = fmin(sqrt(dof * expm1(z * z / dof)), 1e150);
    for (int i = 0; !impossible(i == NEWTON_STEPS); i++) {
        const double tail = at * at > 3 ? student_outside(at, dof)
                                        : 0.5 - student_middle(at, dof) / 2;
        const double slope = at * student_density(at, dof) / tail;
        const double step = log(tail / p) / slope;
        at *= exp(step);
        if (fabs(step) <= 1e-9 || !isfinite(at))
            return at;
    }
    return (double)NAN;
}

double normal_two_sided(double z)
{
    return erfc(fabs(z) * 0.70710678118654752440);
}

reseat_status student_quantile(double p, double dof, double *t)
{
    if (!isfinite(p) || !isfinite(dof))
        return RESEAT_ERR_NOT_FINITE;
    if (!(p > 0 && p < 1) || !(dof >= 1 && dof <= STUDENT_DOF_MAX))
        return RESEAT_ERR_RANGE;
    const double tail = p < 0.5 ? p : 1 - p; /* exact */
    double size = 0;
    if (tail < 0.5)
        size = tail > 0.25 ? solve_middle(1 - 2 * tail, dof) : solve_outside(tail, dof);
    if (!isfinite(size))
        return RESEAT_ERR_NOT_FINITE;
    *t = p < 0.5 ? -size : size;
    return RESEAT_OK;
}

/*
 * exp(-h) h^j / j!. For large j by the distance of h from j, where that is small, so that nothing
 * large is subtracted; for small j exp(-h) is halved, since the powers may lift it from below the
 * smallest double.
 */
static double poisson_chance(double h, unsigned j)
{
    if (j < 16) {
        double product = exp(-h / 2);
        for (unsigned i = 1; i <= j; i++)
            product *= h / i;
        return product * exp(-h / 2);
    }
    const double mean = j;
    const double apart = (h - mean) / mean;
    const double power = mean * (h < mean / 2 ? log(h / mean) : log1p(apart)) - (h - mean);
    return exp(power - stirling_rest(mean)) / sqrt(2 * PI * mean);
}

/* Upper tail of chi-square at 2h with 2k degrees of freedom, a finite sum; for h >= k. */
static double chi_square_above(double h, unsigned k)
{
    double term = poisson_chance(h, k - 1);
    double sum = term;
    for (unsigned j = k - 1; j > 0 && term > DBL_EPSILON / 8 * sum; j--) {
        term *= j / h; /* <= 1 */
        sum += term;
    }
    return sum;
}

/* Lower tail, the rest of the Poisson chances; for h <= k. */
static double chi_square_below(double h, unsigned k)
{
    double term = poisson_chance(h, k);
    double sum = term;
    for (double j = k + 1.0; term > DBL_EPSILON / 8 * sum; j++) {
        term *= h / j; /* < 1 */
        sum += term;
    }
    return sum;
}

/*
 * Newton from the Wilson-Hilferty cube on the logarithm of the tail that p is, against log h: both
 * are concave there, so that at most one step overshoots. The density times h is k times the
 * Poisson chance of k. Far down, where the cube is useless, exp(-h) h^k / k! is about p: by
 * Stirling, and with exp(-h) from a first h without it. Of the two tails the smaller is summed, so
 * that both keep their relative accuracy.
 */
static double solve_chi_square(double p, bool upper, unsigned k)
{
    const double ninth = 1 / (9.0 * k);
    const double z = p < 0.5 ? normal_start(p) : 0;
    const double root = 1 - ninth + (upper ? z : -z) * sqrt(ninth);
    const double low = upper ? 0 : k * exp((log(p) + log(2 * PI * k) / 2) / k - 1);
    double at = fmax(k * pow(fmax(root, 0), 3), low * exp(low / k));
    for (int i = 0; !impossible(i == NEWTON_STEPS); i++) {
        const bool above = at > k;
        const double smaller = above ? chi_square_above(at, k) : chi_square_below(at, k);
        const double side = above == upper ? smaller : 1 - smaller;
        const double slope = k * poisson_chance(at, k) / side;
        const double step = (upper ? log(side / p) : log(p / side)) / slope;
        at *= exp(step);
        if (fabs(step) <= 1e-9)
            return at;
    }
    return (double)NAN;
}

reseat_status chi_square_quantile(double p, unsigned dof, double *x)
{
    if (!isfinite(p))
        return RESEAT_ERR_NOT_FINITE;
    if (!(p > 0 && p < 1) || dof < 2 || dof > CHI_SQUARE_DOF_MAX || dof % 2 != 0)
        return RESEAT_ERR_RANGE;
    const bool upper = p >= 0.5;
    const double h = solve_chi_square(upper ? 1 - p : p, upper, dof / 2);
    if (impossible(!isfinite(h)))
        return RESEAT_ERR_NOT_FINITE;
    *x = 2 * h;
    return RESEAT_OK;
}
