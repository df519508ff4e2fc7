/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as runs and events: eight bytes a run of small whole numbers, so that values and times
 * often tie, or, where the first byte is odd, raw doubles. What comes out with RESEAT_OK is finite,
 * every p is a chance, and the growth alone is that of the latest baseline.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/history.h"
#include "history/drift.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define RUNS_MAX 160
#define RUN_BYTES 8

typedef struct log_read {
    reseat_drift_run runs[RUNS_MAX];
    reseat_drift_event events[RUNS_MAX];
    size_t run_count;
    size_t event_count;
} log_read;

static double small(const uint8_t *byte)
{
    return ((double)*byte - 128) * 1e-4;
}

static double wild(const uint8_t *bytes)
{
    double value = 0;
    memcpy(&value, bytes, sizeof value);
    return value;
}

/* One run, and before it an event where a bit says so. */
static void read_run(const uint8_t *bytes, bool is_wild, log_read *log)
{
    const uint8_t bits = bytes[0];
    const uint64_t seq = 2 * log->run_count + 2;
    const int64_t before = log->run_count > 0 ? log->runs[log->run_count - 1].at : 0;
    reseat_drift_run *run = &log->runs[log->run_count++];
    memset(run, 0, sizeof *run);
    run->seq = seq;
    run->at = before + (int64_t)bytes[1] * 21600;
    run->seat_known = bits & 1;
    run->offset_u_known = bits & 2;
    run->radius_known = bits & 4;
    run->stylus_length_known = bits & 8;
    run->seat_deg = bytes[2] * 5.0;
    run->offset_mm.x = is_wild ? wild(bytes) : small(bytes + 3);
    run->offset_mm.y = small(bytes + 4);
    run->radius_mm = small(bytes + 5);
    run->stylus_length_mm = is_wild ? wild(bytes) : small(bytes + 6);
    run->offset_u_mm = bytes[7] * 1e-5;
    if (bits > 250)
        log->events[log->event_count++] = (reseat_drift_event){seq - 1, run->at};
}

static void check_point(const reseat_drift_point *point)
{
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
        require(isfinite(point->value[s]));
    require(isfinite(point->t2) && point->t2 >= 0 && fabs(point->bearing_deg) <= 180);
    require((point->beyond_3_sigma & ~point->known) == 0);
    require((point->four_of_five & ~point->known) == 0);
}

static bool is_chance(double p)
{
    return p >= 0 && p <= 1;
}

static void check_baseline(const reseat_drift_baseline *b)
{
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        const reseat_drift_chart *c = &b->charts[s];
        const reseat_trend *t = &b->trends[s];
        require(isfinite(c->mean) && isfinite(c->lower) && isfinite(c->upper));
        require(isfinite(c->mr_upper) && c->sigma >= 0);
        require(is_chance(t->p) && t->low <= t->slope && t->slope <= t->high);
    }
    require(is_chance(b->newest.p) && is_chance(b->change.p));
    require(isfinite(b->newest.t2) && isfinite(b->change.t2));
    double u = 0;
    require(reseat_drift_growth_u(&b->growth, 365, &u) == RESEAT_OK && u >= 0);
}

static void check_drift(const reseat_drift *drift, const reseat_drift_growth *growth)
{
    size_t runs = 0;
    for (size_t i = 0; i < drift->point_count; i++)
        check_point(&drift->points[i]);
    for (size_t i = 0; i < drift->baseline_count; i++) {
        check_baseline(&drift->baselines[i]);
        require(drift->baselines[i].first == runs);
        runs += drift->baselines[i].count;
    }
    require(runs == drift->point_count);
    for (size_t i = 0; i < drift->finding_count; i++) {
        char text[256];
        const size_t length =
            reseat_drift_finding_text(&drift->findings[i], RESEAT_MM, text, sizeof text);
        require(length > 0 && strlen(text) == (length < sizeof text ? length : sizeof text - 1));
    }
    if (drift->baseline_count > 0)
        require(same_bits(drift->baselines[drift->baseline_count - 1].growth.q_mm2_per_day,
                          growth->q_mm2_per_day));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static log_read log;
    log.run_count = log.event_count = 0;
    const bool is_wild = size > 0 && data[0] & 1;
    for (size_t at = 1; at + RUN_BYTES <= size && log.run_count < RUNS_MAX; at += RUN_BYTES)
        read_run(data + at, is_wild, &log);
    const reseat_drift_input input = {.runs = log.runs, .run_count = log.run_count,
                                      .events = log.events, .event_count = log.event_count,
                                      .limit_mm = 0.005};
    const size_t room = drift_workspace(log.run_count, log.event_count);
    void *workspace = malloc(room + 1);
    reseat_drift drift;
    reseat_drift_growth growth;
    require(workspace != NULL);
    const reseat_status status = drift_growth_find(&input, workspace, room, &growth);
    if (drift_find(&input, workspace, room, &drift) == RESEAT_OK) {
        require(status == RESEAT_OK);
        check_drift(&drift, &growth);
    }
    free(workspace);
    return 0;
}
