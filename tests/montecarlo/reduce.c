/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Calibrations with normal scatter: how often the 95 % regions of the offset hold it, how often a
 * touch is named that is as good as the others, and how often one is named that was moved by ten
 * standard deviations.
 *
 *     reduce [RUNS [SEED]]
 *
 * Exit 1 if the disc of `offset_u` holds the offset in less than 93 % or more than 96 %, or the
 * ellipse of the covariance, exactly 95 % by Hotelling, differs from it by more than four standard
 * errors; if good touches are named in more than 2 % of calibrations; or if bad ones are named in a
 * share that differs from what the rule reaches by more than four standard errors.
 */
#include <inttypes.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include "../unit/probe.h"
#include "random.h"
#include "reseat/touches.h"
#include "reseat/history.h"
#include "maths/distributions.h"

#define TOUCHES_MAX 128
#define SCATTER_MM 0.001
#define BAD_SIGMAS 10.0

typedef struct design {
    size_t turns;
    size_t dirs;
    size_t harmonics; /* unknowns beside those of the fit: 2 for each of 2 ... min(order, 6) */
    bool tested;      /* for bad touches: enough of them */
} design;

static const design designs[] = {{2, 4, 0, false}, {4, 4, 0, true}, {2, 12, 8, true},
                                 {3, 36, 10, true}};
#define DESIGNS (sizeof designs / sizeof *designs)

static const probe round_probe = {{0.0182, -0.0117}, 2.95, 0, 0};
static const probe lobed_probe = {{0.0182, -0.0117}, 2.95, 0.004, 25};
static const reseat_xyz centre = {-136.8, 94.5, 0};

typedef struct trial {
    reseat_touch touches[TOUCHES_MAX];
    reseat_touch_result results[TOUCHES_MAX];
    reseat_reduction reduction;
    size_t count;
} trial;

/* A run on a ring, its directions beginning anywhere. */
static void simulate(const design *d, const probe *p, random_source *source, trial *t)
{
    const reseat_gauge ring = {.kind = RESEAT_GAUGE_RING, .diameter_mm = 50};
    const double start_deg = 360 * random_uniform(source);
    t->count = 0;
    for (size_t k = 0; k < d->turns; k++) {
        for (size_t i = 0; i < d->dirs; i++) {
            const double dir_deg = start_deg + 360.0 * (double)i / (double)d->dirs;
            const reseat_xy u = reseat_plane_unit(dir_deg);
            const double off_mm = SCATTER_MM * random_normal(source);
            reseat_touch *const touch = &t->touches[t->count++];
            *touch = probe_touch(p, &ring, centre, 360.0 * (double)k / (double)d->turns, dir_deg,
                                 0);
            touch->x_mm += off_mm * u.x;
            touch->y_mm += off_mm * u.y;
        }
    }
}

static void move_out(reseat_touch *touch, double off_mm)
{
    const double x = touch->x_mm - centre.x;
    const double y = touch->y_mm - centre.y;
    touch->x_mm += off_mm * x / hypot(x, y);
    touch->y_mm += off_mm * y / hypot(x, y);
}

static void reduce(trial *t)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    if (reseat_reduce(t->touches, t->count, &setup, t->results, &t->reduction, NULL) != RESEAT_OK) {
        fprintf(stderr, "a calibration could not be reduced\n");
        exit(1);
    }
}

/* Whether a count lies no farther from a share than four standard errors. */
static bool is_share(unsigned count, unsigned runs, double share)
{
    const double error = sqrt(share * (1 - share) / runs);
    return fabs((double)count / runs - share) <= 4 * error + 0.5 / runs;
}

static bool in_disc(const reseat_reduction *r, double x, double y)
{
    const reseat_cov c = r->offset_cov_mm2;
    const double dof = (double)r->dof;
    const double most = (c.xx + c.yy) / 2 + hypot((c.xx - c.yy) / 2, c.xy);
    const double u2 = most * dof / (dof - 2); /* offset_u without what two turns add */
    return x * x + y * y <= -2 * log(0.05) * u2;
}

/* The 95 % point of F for 2 and dof has a closed form. */
static bool in_ellipse(const reseat_reduction *r, double x, double y)
{
    const reseat_cov c = r->offset_cov_mm2;
    const double dof = (double)r->dof;
    const double f = dof / 2 * (pow(0.05, -2 / dof) - 1);
    const double distance2 =
        (c.yy * x * x - 2 * c.xy * x * y + c.xx * y * y) / (c.xx * c.yy - c.xy * c.xy);
    return distance2 <= 2 * f;
}

static bool try_regions(unsigned runs, random_source *source, trial *t)
{
    bool sound = true;
    printf("turns x directions  dof  offset in the 95 %% disc, ellipse\n");
    for (size_t d = 0; d < DESIGNS; d++) {
        unsigned disc = 0;
        unsigned ellipse = 0;
        for (unsigned i = 0; i < runs; i++) {
            simulate(&designs[d], &round_probe, source, t);
            reduce(t);
            const double x = t->reduction.offset_mm.x - round_probe.offset_mm.x;
            const double y = t->reduction.offset_mm.y - round_probe.offset_mm.y;
            disc += in_disc(&t->reduction, x, y);
            ellipse += in_ellipse(&t->reduction, x, y);
        }
        printf("%5zu x %-10zu  %3zu  %22u, %7u\n", designs[d].turns, designs[d].dirs,
               t->reduction.dof, disc, ellipse);
        sound = sound && disc >= 0.93 * runs && disc <= 0.96 * runs &&
                is_share(ellipse, runs, 0.95);
    }
    return sound;
}

/* Chance that Student's t for dof, its mean moved ahead, lies beyond a limit. */
static double reached(double ahead, double dof, double limit)
{
    double sum = 0;
    double whole = 0;
    for (int i = 1; i < 4000; i++) {
        const double s = i * 0.001; /* standard deviation found, by the true one */
        const double weight = exp((dof - 1) * log(s) - dof * (s * s - 1) / 2);
        sum += weight * erfc((limit * s - ahead) / sqrt(2)) / 2;
        whole += weight;
    }
    return sum / whole;
}

/* The share of bad touches that the rule reaches: all touches of a design weigh alike. */
static double rule(const design *d)
{
    const double n = (double)(d->turns * d->dirs);
    const double dof = n - 5 - (double)d->harmonics;
    double limit;
    if (!d->tested || student_quantile(1 - 0.005 / n, dof - 1, &limit) != RESEAT_OK)
        return 0;
    return reached(BAD_SIGMAS * sqrt(dof / n), dof - 1, limit);
}

static bool try_bad(unsigned runs, random_source *source, trial *t)
{
    bool sound = true;
    printf("turns x directions  bad touch named, good ones with it, rule reaches\n");
    for (size_t d = 0; d < DESIGNS; d++) {
        unsigned named = 0;
        unsigned others = 0;
        for (unsigned i = 0; i < runs; i++) {
            simulate(&designs[d], &round_probe, source, t);
            const size_t bad = (size_t)(random_uniform(source) * (double)t->count);
            move_out(&t->touches[bad], i % 2 == 0 ? BAD_SIGMAS * SCATTER_MM
                                                  : -BAD_SIGMAS * SCATTER_MM);
            reduce(t);
            sound = sound && t->reduction.outliers_tested == designs[d].tested;
            const bool found = t->results[bad].outlier;
            named += found;
            others += t->reduction.outliers > (found ? 1u : 0u);
        }
        const double reach = rule(&designs[d]);
        printf("%5zu x %-10zu  %15u, %18u, %12.4f\n", designs[d].turns, designs[d].dirs, named,
               others, reach);
        sound = sound && is_share(named, runs, reach) && others <= 0.02 * runs;
    }
    return sound;
}

static bool try_good(unsigned runs, random_source *source, trial *t)
{
    bool sound = true;
    printf("turns x directions  good touches named, with three lobes of 0.004 mm\n");
    for (size_t d = 0; d < DESIGNS; d++) {
        unsigned named[2] = {0, 0};
        for (unsigned i = 0; i < 2 * runs; i++) {
            simulate(&designs[d], i % 2 == 0 ? &round_probe : &lobed_probe, source, t);
            reduce(t);
            named[i % 2] += t->reduction.outliers > 0;
        }
        printf("%5zu x %-10zu  %18u, %u\n", designs[d].turns, designs[d].dirs, named[0], named[1]);
        sound = sound && named[0] <= 0.02 * runs && named[1] <= 0.02 * runs;
    }
    return sound;
}

int main(int argc, char **argv)
{
    static trial t;
    const unsigned runs = argc > 1 ? (unsigned)strtoul(argv[1], NULL, 10) : 10000;
    const uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 20260302;
    random_source source = {seed | 1};
    printf("%u calibrations each, seed %" PRIu64 "\n", runs, seed);
    const bool regions = try_regions(runs, &source, &t);
    const bool bad = try_bad(runs, &source, &t);
    const bool good = try_good(runs, &source, &t);
    return regions && bad && good ? 0 : 1;
}
