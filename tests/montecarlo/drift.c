/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How often drift speaks up: over healthy logs, where it should not, and over logs with a fault
 * planted in them; and how often the rate's upper bound lies below the rate.
 *
 *     drift [LOGS [SEED]]
 *
 * Exit 1 if more than 5 % of healthy logs have a finding, or if the bound lies below the rate in
 * more than 8 % of logs. The bound counts each step as independent and alike. Where the runs' own
 * scatter rules, steps share a run; where intervals are as uneven as chance makes them, the long
 * ones rule: there it may lie below the rate in 12 %.
 */
#include <stdio.h>
#include <stdlib.h>
#include "random.h"
#include "reseat/history.h"
#include "history/drift.h"
#include "maths/plane.h"

#define RUNS_MAX 50
#define SIGMA_MM 0.0005 /* scatter of a run, per axis */
#define LIMIT_MM 0.005
#define DAYS 30.0

static unsigned char workspace[1 << 16];

typedef enum spacing { EVEN, JITTERED, UNEVEN } spacing;

/* Days to the next run: 30; 30 +- 10; or anything with that mean. */
static double next_days(spacing how, random_source *source)
{
    if (how == JITTERED)
        return DAYS + 20 * (random_uniform(source) - 0.5);
    return how == UNEVEN ? -DAYS * log(random_uniform(source)) : DAYS;
}

/* What is planted in the second half of a log. */
typedef struct fault {
    const char *name;
    double turn_deg;
    double longer_mm;
    double x_sigmas;
    double trend_mm; /* in x, in 90 days, over the whole log */
    double odd_sigmas; /* the newest run alone */
} fault;

typedef struct healthy {
    double length_mm;
    double step_mm; /* to which the runs are rounded, 0: not */
    spacing how;
} healthy;

static double rounded(double value, double step)
{
    return step > 0 ? step * round(value / step) : value;
}

static void make_log(const healthy *base, const fault *planted, size_t count,
                     random_source *source, reseat_drift_run *runs)
{
    double day = 0;
    for (size_t i = 0; i < count; i++) {
        const bool late = i >= count / 2;
        const double length = base->length_mm + (late ? planted->longer_mm : 0);
        reseat_xy o = plane_rotate((reseat_xy){length, 0},
                                   25 + (late ? planted->turn_deg : 0));
        o.x += late ? planted->x_sigmas * SIGMA_MM : 0;
        o.x += planted->trend_mm * day / 90;
        o.x += i + 1 == count ? planted->odd_sigmas * SIGMA_MM : 0;
        runs[i] = (reseat_drift_run){.seq = i + 1, .seat_known = true, .offset_u_known = true,
                                     .offset_u_mm = 0.0004};
        runs[i].at = (int64_t)(day * 86400);
        runs[i].offset_mm.x = rounded(o.x + SIGMA_MM * random_normal(source), base->step_mm);
        runs[i].offset_mm.y = rounded(o.y + SIGMA_MM * random_normal(source), base->step_mm);
        day += next_days(base->how, source);
    }
}

static bool find(const reseat_drift_run *runs, size_t count, reseat_drift *drift)
{
    const reseat_drift_input input = {.runs = runs, .run_count = count, .limit_mm = LIMIT_MM};
    if (drift_find(&input, workspace, sizeof workspace, drift) == RESEAT_OK)
        return true;
    fprintf(stderr, "drift: a log was refused\n");
    exit(1);
}

/* How many of so many logs have each finding. */
typedef struct tally {
    unsigned any;
    unsigned code[RESEAT_DRIFT_CODE_COUNT];
    unsigned turned;
} tally;

static tally count_findings(const healthy *base, const fault *planted, size_t count,
                            unsigned logs, random_source *source)
{
    tally all = {0};
    for (unsigned i = 0; i < logs; i++) {
        reseat_drift_run runs[RUNS_MAX];
        reseat_drift drift;
        make_log(base, planted, count, source, runs);
        find(runs, count, &drift);
        all.any += drift.finding_count > 0;
        for (size_t f = 0; f < drift.finding_count; f++) {
            all.code[drift.findings[f].code]++;
            all.turned += drift.findings[f].turned;
        }
    }
    return all;
}

static void print_tally(size_t count, const char *name, unsigned logs, const tally *t)
{
    const double all = logs / 100.0;
    printf("%4zu  %-34s %6.2f %8.2f %8.2f %8.2f %8.2f\n", count, name, t->any / all,
           t->code[RESEAT_DRIFT_NEWEST_RUN_ODD] / all, t->code[RESEAT_DRIFT_LEVEL_CHANGED] / all,
           t->turned / all, t->code[RESEAT_DRIFT_MOVED_STEADILY] / all);
}

static const size_t COUNTS[] = {8, 12, 20, 50};
static const struct {
    const char *name;
    healthy base;
} HEALTHY[] = {
    {"healthy, every 30 days", {0.010, 0, EVEN}},
    {"healthy, uneven", {0.010, 0, UNEVEN}},
    {"healthy, offset of the scatter's size", {0.0005, 0, JITTERED}},
    {"healthy, rounded to 0.0005 mm", {0.010, 0.0005, JITTERED}},
};
static const fault FAULTS[] = {
    {"x shifted by 3 sigma", 0, 0, 3, 0, 0},
    {"x shifted by 6 sigma", 0, 0, 6, 0, 0},
    {"turned by 30 degrees", 30, 0, 0, 0, 0},
    {"turned by 180 degrees", 180, 0, 0, 0, 0},
    {"bent, longer by 0.003 mm", 0, 0.003, 0, 0, 0},
    {"x moves by 0.0006 mm in 90 days", 0, 0, 0, 0.0006, 0},
    {"x moves by 0.0015 mm in 90 days", 0, 0, 0, 0.0015, 0},
    {"newest run 5 sigma off", 0, 0, 0, 0, 5},
    {"newest run 10 sigma off", 0, 0, 0, 0, 10},
};

static bool try_findings(unsigned logs, random_source *source)
{
    bool quiet = true, told = true;
    printf("%% of logs with: %28s   newest    level   turned   steady\n", "any");
    for (size_t c = 0; c < sizeof COUNTS / sizeof COUNTS[0]; c++) {
        const fault none = {0};
        for (size_t h = 0; h < sizeof HEALTHY / sizeof HEALTHY[0]; h++) {
            const tally t = count_findings(&HEALTHY[h].base, &none, COUNTS[c], logs, source);
            print_tally(COUNTS[c], HEALTHY[h].name, logs, &t);
            quiet = quiet && t.any <= 0.05 * logs;
        }
        for (size_t f = 0; f < sizeof FAULTS / sizeof FAULTS[0]; f++) {
            const healthy base = {0.010, 0.0001, JITTERED};
            const tally t = count_findings(&base, &FAULTS[f], COUNTS[c], logs, source);
            print_tally(COUNTS[c], FAULTS[f].name, logs, &t);
            told = told && t.any > 0.05 * logs; /* more often than health may raise an alarm */
        }
    }
    return quiet && told;
}

/* A random walk of rate q seen with the runs' own uncertainty: how often the bound is too low. */
static unsigned count_low(spacing how, double q, double u, size_t count, unsigned logs,
                          random_source *source)
{
    unsigned low = 0;
    for (unsigned i = 0; i < logs; i++) {
        reseat_drift_run runs[RUNS_MAX];
        reseat_drift drift;
        reseat_xy at = {0.01, 0};
        double day = 0;
        for (size_t k = 0; k < count; k++) {
            runs[k] = (reseat_drift_run){.seq = k + 1, .at = (int64_t)(day * 86400),
                                         .seat_known = true, .offset_u_known = true,
                                         .offset_u_mm = u};
            runs[k].offset_mm.x = at.x + u * random_normal(source);
            runs[k].offset_mm.y = at.y + u * random_normal(source);
            const double days = next_days(how, source);
            day += days;
            at.x += sqrt(q * days) * random_normal(source);
            at.y += sqrt(q * days) * random_normal(source);
        }
        find(runs, count, &drift);
        low += drift.baselines[0].growth.q_mm2_per_day < q;
    }
    return low;
}

static bool try_rates(unsigned logs, random_source *source)
{
    static const char *const names[] = {"even", "jittered", "uneven"};
    static const double rates[] = {1e-9, 1e-8, 1e-7};
    bool sound = true;
    printf("%% of logs whose bound lies below the rate; runs have u = 0.0004 mm\n");
    printf("runs  mm^2 a day     even  jittered   uneven\n");
    for (size_t c = 0; c < sizeof COUNTS / sizeof COUNTS[0]; c++) {
        for (size_t r = 0; r < sizeof rates / sizeof rates[0]; r++) {
            printf("%4zu  %10.0e", COUNTS[c], rates[r]);
            for (size_t how = 0; how < sizeof names / sizeof names[0]; how++) {
                const unsigned low = count_low((spacing)how, rates[r], 0.0004, COUNTS[c], logs,
                                               source);
                printf("  %7.2f", 100.0 * low / logs);
                const bool alike = rates[r] >= 1e-8 && how != UNEVEN;
                sound = sound && low <= (alike ? 0.08 : 0.12) * logs;
            }
            printf("\n");
        }
    }
    return sound;
}

int main(int argc, char **argv)
{
    const unsigned logs = argc > 1 ? (unsigned)strtoul(argv[1], NULL, 10) : 10000;
    const uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 20260302;
    random_source source = {seed | 1};
    printf("%u logs each, seed %llu\n", logs, (unsigned long long)seed);
    const bool findings = try_findings(logs, &source);
    const bool sound = try_rates(logs, &source);
    return logs > 0 && findings && sound ? 0 : 1;
}
