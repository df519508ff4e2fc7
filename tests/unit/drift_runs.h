/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Runs made for the tests of drift. */
#ifndef RESEAT_TESTS_DRIFT_RUNS_H
#define RESEAT_TESTS_DRIFT_RUNS_H

#include "../montecarlo/random.h"
#include "check.h"
#include "reseat/history.h"
#include "history/drift.h"

#define RUNS_MAX 1200
#define DAY 86400
#define COUNT(values) (sizeof(values) / sizeof((values)[0]))
#define NOTE(note) (1u << RESEAT_DRIFT_NOTE_##note)
#define X_BIT (1u << RESEAT_SERIES_X)
#define LENGTH_BIT (1u << RESEAT_SERIES_LENGTH)
#define XY_LENGTH 7u

static reseat_drift_run runs[RUNS_MAX];
static _Alignas(16) unsigned char workspace[1 << 23];

static const uint64_t FIRST_SEQ = 10;
static const int64_t FIRST_AT = 1767600000; /* 2026-01-05T08:00:00Z */

/* Runs every 7 days about (0.010, -0.004) mm with a scatter of 0.0005 mm, seat 0. */
static inline void make_runs(size_t count)
{
    random_source source = {20260302};
    for (size_t i = 0; i < count; i++) {
        runs[i] = (reseat_drift_run){.seq = FIRST_SEQ + i, .seat_known = true,
                                     .offset_u_known = true, .offset_u_mm = 0.0003};
        runs[i].at = FIRST_AT + (int64_t)i * 7 * DAY;
        runs[i].offset_mm.x = 0.010 + 0.0005 * random_normal(&source);
        runs[i].offset_mm.y = -0.004 + 0.0005 * random_normal(&source);
    }
}

static inline reseat_drift_input input_of(size_t count)
{
    return (reseat_drift_input){.runs = runs, .run_count = count, .limit_mm = 0.005};
}

static inline reseat_drift find_input(const reseat_drift_input *input)
{
    reseat_drift drift;
    assert_true(drift_workspace(input->run_count, input->event_count) <= sizeof workspace);
    assert_status(drift_find(input, workspace, sizeof workspace, &drift), RESEAT_OK);
    return drift;
}

static inline reseat_drift find(size_t count)
{
    const reseat_drift_input input = input_of(count);
    return find_input(&input);
}

#endif
