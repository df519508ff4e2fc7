/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Circle and sphere fits against the trust-region solver of the GNU Scientific Library with an
 * analytic Jacobian and QR, on the same points in the same run, both to a relative step of 1e-14.
 * The peer is given its start (our algebraic one is inside our time, not in its) and its workspace
 * beforehand. `pass` is one reading of the points that adds up their coordinates.
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <gsl/gsl_multifit_nlinear.h>
#include "reseat/touches.h"
#include "maths/fit.h"

typedef struct set {
    size_t n;
    size_t axes; /* 2 or 3 */
    reseat_xy *plane;
    reseat_xyz *space;
    gsl_multifit_nlinear_workspace *workspace;
    gsl_multifit_nlinear_fdf fdf;
    gsl_vector *start;
    double ours[4];
    double theirs[4];
    size_t our_steps;
    size_t their_steps;
} set;

static double coordinate(const set *s, size_t i, size_t axis)
{
    if (s->axes == 2)
        return axis == 0 ? s->plane[i].x : s->plane[i].y;
    return axis == 0 ? s->space[i].x : axis == 1 ? s->space[i].y : s->space[i].z;
}

static int distances(const gsl_vector *x, void *data, gsl_vector *f)
{
    const set *s = data;
    for (size_t i = 0; i < s->n; i++) {
        double sum = 0;
        for (size_t axis = 0; axis < s->axes; axis++) {
            const double d = coordinate(s, i, axis) - gsl_vector_get(x, axis);
            sum += d * d;
        }
        gsl_vector_set(f, i, sqrt(sum) - gsl_vector_get(x, s->axes));
    }
    return GSL_SUCCESS;
}

static int jacobian(const gsl_vector *x, void *data, gsl_matrix *j)
{
    const set *s = data;
    for (size_t i = 0; i < s->n; i++) {
        double d[3] = {0, 0, 0};
        for (size_t axis = 0; axis < s->axes; axis++)
            d[axis] = coordinate(s, i, axis) - gsl_vector_get(x, axis);
        const double length = sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]);
        for (size_t axis = 0; axis < s->axes; axis++)
            gsl_matrix_set(j, i, axis, -d[axis] / length);
        gsl_matrix_set(j, i, s->axes, -1);
    }
    return GSL_SUCCESS;
}

static void peer(set *s)
{
    int info;
    gsl_multifit_nlinear_init(s->start, &s->fdf, s->workspace);
    gsl_multifit_nlinear_driver(100, 1e-14, 0, 0, NULL, NULL, &info, s->workspace);
    for (size_t i = 0; i <= s->axes; i++)
        s->theirs[i] = gsl_vector_get(gsl_multifit_nlinear_position(s->workspace), i);
    s->their_steps = gsl_multifit_nlinear_niter(s->workspace);
}

static void ours(set *s)
{
    if (s->axes == 2) {
        round_fit c;
        if (fit_round(fit_plane(s->plane, s->n), &c) != RESEAT_OK)
            abort();
        s->ours[0] = c.centre_mm.x;
        s->ours[1] = c.centre_mm.y;
        s->ours[2] = c.radius_mm;
        s->our_steps = c.steps;
    } else {
        round_fit c;
        if (fit_round(fit_space(s->space, s->n), &c) != RESEAT_OK)
            abort();
        s->ours[0] = c.centre_mm.x;
        s->ours[1] = c.centre_mm.y;
        s->ours[2] = c.centre_mm.z;
        s->ours[3] = c.radius_mm;
        s->our_steps = c.steps;
    }
}

static volatile double sink;

static void pass(set *s)
{
    double sum = 0;
    if (s->axes == 2)
        for (size_t i = 0; i < s->n; i++)
            sum += s->plane[i].x + s->plane[i].y;
    else
        for (size_t i = 0; i < s->n; i++)
            sum += s->space[i].x + s->space[i].y + s->space[i].z;
    sink = sum;
}

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t); /* so that other work on the machine counts less */
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double batch(void (*what)(set *), set *s, size_t calls)
{
    const double begin = now();
    for (size_t i = 0; i < calls; i++)
        what(s);
    return now() - begin;
}

/* Seconds that a call of each takes: the least of nine batches of 10 ms or more, taken in turn. */
static void seconds(void (*const what[3])(set *), set *s, double *least)
{
    size_t calls[3] = {1, 1, 1};
    for (size_t k = 0; k < 3; k++)
        while (batch(what[k], s, calls[k]) < 0.01)
            calls[k] *= 2;
    for (size_t k = 0; k < 3; k++)
        least[k] = HUGE_VAL;
    for (int round = 0; round < 9; round++)
        for (size_t k = 0; k < 3; k++)
            least[k] = fmin(least[k], batch(what[k], s, calls[k]) / (double)calls[k]);
}

/* Multiplicative congruential generator of Knuth's MMIX, top bits: 0 to 1. */
static double uniform(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (double)(*state >> 11) * 0x1p-53;
}

/* Touches round a gauge: 2 micrometres of noise on a radius of 22 mm, 190 mm from the origin. */
static void fill(set *s)
{
    uint64_t state = 20260302;
    const double pi = 3.14159265358979323846;
    for (size_t i = 0; i < s->n; i++) {
        const double phi = 2 * pi * (double)i / (double)s->n;
        const double up = s->axes == 2 ? 0 : pi * (uniform(&state) - 0.5);
        const double r = 22 + 0.002 * (uniform(&state) + uniform(&state) - 1);
        const reseat_xyz p = {-136.8 + r * cos(up) * cos(phi), 135 + r * cos(up) * sin(phi),
                              -210 + r * sin(up)};
        if (s->axes == 2)
            s->plane[i] = (reseat_xy){p.x, p.y};
        else
            s->space[i] = p;
    }
}

static void begin(set *s, size_t n, size_t axes)
{
    *s = (set){.n = n, .axes = axes};
    s->plane = malloc(n * sizeof *s->plane);
    s->space = malloc(n * sizeof *s->space);
    if (s->plane == NULL || s->space == NULL)
        abort();
    fill(s);
    gsl_multifit_nlinear_parameters parameters = gsl_multifit_nlinear_default_parameters();
    parameters.solver = gsl_multifit_nlinear_solver_qr;
    s->workspace = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &parameters, n, axes + 1);
    s->fdf = (gsl_multifit_nlinear_fdf){distances, jacobian, NULL, n, axes + 1, s, 0, 0, 0};
    s->start = gsl_vector_alloc(axes + 1);
    ours(s);
    /* what an algebraic start misses by, and not less */
    for (size_t i = 0; i <= axes; i++)
        gsl_vector_set(s->start, i, s->ours[i] + 1e-5);
}

static void finish(set *s)
{
    gsl_vector_free(s->start);
    gsl_multifit_nlinear_free(s->workspace);
    free(s->space);
    free(s->plane);
}

static void compare(size_t n, size_t axes)
{
    void (*const what[3])(set *) = {ours, peer, pass};
    double taken[3];
    double apart = 0;
    set s;
    begin(&s, n, axes);
    seconds(what, &s, taken);
    for (size_t k = 0; k <= axes; k++)
        apart = fmax(apart, fabs(s.ours[k] - s.theirs[k]));
    printf("%-7s %7zu %12.3f %12.3f %8.1f %8.1f %3zu/%-3zu %11.2e\n",
           axes == 2 ? "circle" : "sphere", s.n, 1e6 * taken[0], 1e6 * taken[1],
           taken[1] / taken[0], taken[0] / taken[2], s.our_steps, s.their_steps, apart);
    finish(&s);
}

int main(void)
{
    const size_t counts[] = {4, 12, 36, 1000, 100000};
    printf("%-7s %7s %12s %12s %8s %8s %7s %11s\n", "fit", "points", "ours, us", "peer, us",
           "peer/us", "us/pass", "steps", "apart, mm");
    for (size_t axes = 2; axes <= 3; axes++)
        for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
            compare(counts[i], axes);
    return 0;
}
