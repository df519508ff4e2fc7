/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The chance within a disc against adaptive quadrature of the GNU Scientific Library, to the same
 * 1e-12 and on the same questions in the same run. The peer may take any of four integrals (round
 * the boundary or half of it, along the radius with a Bessel function, across the disc with error
 * functions), each by any of the six rules of QAG and by QAGS; the way that is right on every
 * question of a set and the fastest over the whole set is what counts. It is given the covariance's
 * axes beforehand, which we find in our time. Exit 1 if no way of the peer agrees with us.
 *
 * Left out is scatter a thousand times narrower one way than the other: there no way of the peer
 * gets all questions right, each misses something narrow by 1e-11 to 3e-7.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_sf_bessel.h>
#include "maths/chance.h"

#define QUESTIONS_MAX 64
#define ACCURACY 1e-12
#define INTERVALS 500

/* In the frame of the covariance's axes; the limit is 1. */
typedef struct question {
    double major, minor;
    double major_sd, minor_sd;
    reseat_xy mean;
    reseat_cov covariance;
    double ours, theirs;
} question;

typedef struct set {
    const char *name;
    int round; /* every covariance is */
    size_t n;
    question questions[QUESTIONS_MAX];
} set;

typedef struct way {
    const char *name;
    double (*integrand)(double, void *);
    double from, to, factor;
    int round_only;
} way;

static const double pi = 3.14159265358979323846;

/* (1 - exp(-rho^2/2)) d alpha, the angle being that on the disc. */
static double round_boundary(double angle, void *data)
{
    const question *q = data;
    const double x = cos(angle), y = sin(angle), dx = x - q->major, dy = y - q->minor;
    const double u = dx / q->major_sd, v = dy / q->minor_sd;
    const double z = (u * u + v * v) / 2;
    return (z > 0 ? -expm1(-z) / z : 1) * (x * dx + y * dy) / (2 * q->major_sd * q->minor_sd);
}

static double along_radius(double r, void *data)
{
    const question *q = data;
    const double variance = q->major_sd * q->major_sd, mean = hypot(q->major, q->minor);
    return r / variance * exp(-(r - mean) * (r - mean) / (2 * variance)) *
           gsl_sf_bessel_I0_scaled(r * mean / variance);
}

static double across_disc(double angle, void *data)
{
    const question *q = data;
    const double x = sin(angle), half = cos(angle), t = (x - q->major) / q->major_sd;
    const double scale = q->minor_sd * sqrt(2);
    return exp(-t * t / 2) / (sqrt(2 * pi) * q->major_sd) * half *
           (erf((half - q->minor) / scale) + erf((half + q->minor) / scale)) / 2;
}

/* A round one is symmetric about the mean, which half the boundary makes use of. */
static const way ways[] = {
    {"half round", round_boundary, 0, 3.14159265358979323846, 1 / 3.14159265358979323846, 1},
    {"round", round_boundary, 0, 2 * 3.14159265358979323846, 0.5 / 3.14159265358979323846, 0},
    {"along", along_radius, 0, 1, 1, 1},
    {"across", across_disc, -3.14159265358979323846 / 2, 3.14159265358979323846 / 2, 1, 0},
};

static gsl_integration_workspace *workspace;

/* rule 1 to 6: QAG by 15 to 61 points; 0: QAGS */
static double peer(const way *w, int rule, question *q)
{
    gsl_function function = {w->integrand, q};
    const double tolerance = ACCURACY / w->factor;
    double result = -1, error;
    if (rule == 0)
        gsl_integration_qags(&function, w->from, w->to, tolerance, 0, INTERVALS, workspace,
                             &result, &error);
    else
        gsl_integration_qag(&function, w->from, w->to, tolerance, 0, INTERVALS, rule, workspace,
                            &result, &error);
    return result * w->factor;
}

static void run_ours(set *s)
{
    for (size_t i = 0; i < s->n; i++) {
        question *q = &s->questions[i];
        if (chance_disc(q->mean, q->covariance, 1, &q->ours) != RESEAT_OK)
            abort();
    }
}

static void run_peer(set *s, const way *w, int rule)
{
    for (size_t i = 0; i < s->n; i++)
        s->questions[i].theirs = peer(w, rule, &s->questions[i]);
}

static double apart(const set *s)
{
    double worst = 0;
    for (size_t i = 0; i < s->n; i++) {
        const double difference = fabs(s->questions[i].ours - s->questions[i].theirs);
        if (!(difference <= worst))
            worst = difference;
    }
    return worst;
}

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t); /* so that other work on the machine counts less */
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Seconds a question, one batch; of ours where w is NULL. */
static double batch(set *s, const way *w, int rule, size_t calls)
{
    const double begin = now();
    for (size_t i = 0; i < calls; i++) {
        if (w == NULL)
            run_ours(s);
        else
            run_peer(s, w, rule);
    }
    return (now() - begin) / (double)(calls * s->n);
}

/* The least of so many batches of 5 ms or more. */
static double seconds(set *s, const way *w, int rule, int rounds)
{
    size_t calls = 1;
    double least = HUGE_VAL;
    while (batch(s, w, rule, calls) * (double)(calls * s->n) < 0.005)
        calls *= 2;
    for (int i = 0; i < rounds; i++)
        least = fmin(least, batch(s, w, rule, calls));
    return least;
}

static void compare(set *s, const char *aim)
{
    const way *best = NULL;
    int best_rule = 0;
    double least = HUGE_VAL, off = 0;
    run_ours(s);
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        for (int rule = 0; rule <= 6 && (s->round || !ways[i].round_only); rule++) {
            run_peer(s, &ways[i], rule);
            if (!(apart(s) <= ACCURACY))
                continue;
            const double taken = seconds(s, &ways[i], rule, 2);
            if (taken < least) {
                least = taken;
                best = &ways[i];
                best_rule = rule;
                off = apart(s);
            }
        }
    }
    if (best == NULL) {
        printf("chance %s: no way of the peer agrees to %g\n", s->name, ACCURACY);
        exit(1);
    }
    const int rounds = 7;
    double ours = HUGE_VAL, theirs = HUGE_VAL;
    for (int i = 0; i < rounds; i++) { /* in turn, so that both meet the same machine */
        ours = fmin(ours, seconds(s, NULL, 0, 1));
        theirs = fmin(theirs, seconds(s, best, best_rule, 1));
    }
    const char *const rules[] = {"S", " 15", " 21", " 31", " 41", " 51", " 61"};
    printf("%s: %zu questions, ours %.0f ns, peer %.0f ns (%s, QAG%s), apart %.1e\n", s->name, s->n,
           1e9 * ours, 1e9 * theirs, best->name, rules[best_rule], off);
    printf("chance %s: %.1f times faster than GSL QAG%s\n", s->name, theirs / ours, aim);
}

/* Means from the middle to twice the limit, at 30 degrees from the larger axis. */
static void fill(set *s, const char *name, double ratio)
{
    const double limits[] = {1, 1.6, 2.5, 4}; /* in standard deviations of the larger axis */
    *s = (set){.name = name, .round = ratio >= 1};
    for (size_t i = 0; i < 4; i++) {
        for (int k = 0; k <= 8; k++) {
            question *q = &s->questions[s->n++];
            const double r = k / 4.0, turn = 0.7, co = cos(turn), si = sin(turn);
            q->major_sd = 1 / limits[i];
            q->minor_sd = q->major_sd * ratio;
            q->major = s->round ? r : r * cos(pi / 6);
            q->minor = s->round ? 0 : r * sin(pi / 6);
            q->mean = (reseat_xy){q->major * co - q->minor * si, q->major * si + q->minor * co};
            const double a = q->major_sd * q->major_sd, b = q->minor_sd * q->minor_sd;
            q->covariance = s->round ? (reseat_cov){a, 0, a}
                                     : (reseat_cov){a * co * co + b * si * si, (a - b) * co * si,
                                                    a * si * si + b * co * co};
        }
    }
}

int main(void)
{
    static set s;
    gsl_set_error_handler_off(); /* a rule that gives up is only not the best */
    workspace = gsl_integration_workspace_alloc(INTERVALS);
    fill(&s, "isotropic", 1);
    compare(&s, " (aim 3)");
    fill(&s, "general", 0.4);
    compare(&s, "");
    gsl_integration_workspace_free(workspace);
    return 0;
}
