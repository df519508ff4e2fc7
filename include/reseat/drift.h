/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How the runs of a probe drift: control charts, trend, change, growth, and what was found. */
#ifndef RESEAT_DRIFT_H
#define RESEAT_DRIFT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/values.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A trend that assumes nothing of the scatter: Theil-Sen slope, Mann-Kendall test. */
typedef struct reseat_trend {
    double slope; /* median of the slopes of all pairs at different times */
    double low;   /* 95 % interval of the slope */
    double high;
    double p;     /* chance of so much order, either way, where there is no trend */
    int64_t s;    /* pairs that rise less pairs that fall */
    size_t pairs; /* at different times */
} reseat_trend;

/*
 * What the runs of one probe and tip say together: control charts, odd runs, changes of level,
 * trends, and how fast the offset wanders.
 */

#define RESEAT_DRIFT_RUNS_LEAST 8  /* below it a baseline has data, no limits */
#define RESEAT_DRIFT_P_FOUND 0.01  /* what a finding must stay below */
#define RESEAT_DRIFT_RATE_RUNS 100 /* latest runs that the rate rests on: check reads no more */

/* What is charted. x and y are those of b = R(-seat)(offset - spindle part); length is |b|. */
typedef enum reseat_series {
    RESEAT_SERIES_X = 0,
    RESEAT_SERIES_Y = 1,
    RESEAT_SERIES_LENGTH = 2,
    RESEAT_SERIES_RADIUS = 3,
    RESEAT_SERIES_STYLUS_LENGTH = 4
} reseat_series;
#define RESEAT_SERIES_COUNT 5

/* "x", "y", "length", "radius", "stylus_length"; "" for a value that is no series. */
RESEAT_API const char *reseat_series_name(reseat_series series);

/* A run; finite throughout, also where a value is not known. */
typedef struct reseat_drift_run {
    uint64_t seq;
    int64_t at; /* seconds since 1970 */
    reseat_xy offset_mm;
    double seat_deg;
    double offset_u_mm; /* >= 0 */
    double radius_mm;
    double stylus_length_mm;
    bool seat_known;
    bool offset_u_known;
    bool radius_known;
    bool stylus_length_known;
} reseat_drift_run;

/* A stylus change, collision or service: after it a new baseline begins. */
typedef struct reseat_drift_event {
    uint64_t seq;
    int64_t at;
} reseat_drift_event;

typedef struct reseat_drift_input {
    const reseat_drift_run *runs; /* of one probe and tip, unvoided, by (at, seq) */
    size_t run_count;
    const reseat_drift_event *events; /* by (at, seq); may be NULL with 0 */
    size_t event_count;
    reseat_xy spindle_mm; /* part that stays with the spindle; {0, 0} where it is not known */
    bool spindle_known;
    double limit_mm; /* largest error allowed; 0 where none is set */
} reseat_drift_input;

/* A run as it is charted. Bits are 1u << reseat_series. */
typedef struct reseat_drift_point {
    uint64_t seq;
    int64_t at;
    double value[RESEAT_SERIES_COUNT]; /* mm; 0 where not known */
    unsigned known;
    unsigned beyond_3_sigma; /* series in which the run lies outside the limits */
    unsigned four_of_five; /* the run and 3 of the 4 before it lie beyond 1 sigma on one side */
    double bearing_deg; /* of b, (-180, 180]; 0 unless x and y are known */
    double t2;          /* distance of (x, y) from the mean, squared, in its own scatter */
    bool t2_known;
} reseat_drift_point;

/* Individuals chart of one series of a baseline; mm. */
typedef struct reseat_drift_chart {
    double mean;
    double sigma; /* mean moving range / (2 / sqrt pi) */
    double lower; /* mean - 3 sigma */
    double upper;
    double mr_mean;
    double mr_upper;
} reseat_drift_chart;

/* The newest run against those before it. */
typedef struct reseat_drift_newest {
    uint64_t seq;
    size_t before; /* how many */
    double t2;
    double p;
    double away_mm; /* from their mean */
    double step_t2; /* the same of the run and the one right before it */
} reseat_drift_newest;

/* The split of a baseline in two at which the means of (x, y) differ most. */
typedef struct reseat_drift_change {
    uint64_t after_seq; /* last run before it */
    size_t after;       /* its index among the points */
    size_t before;      /* runs with x and y up to it */
    double t2;
    double p;
    bool steady_fits;   /* a line over time leaves less scatter than the split does */
} reseat_drift_change;

/* How u_drift grows: u^2 = max(q days, (per_day days)^2). */
typedef struct reseat_drift_growth {
    double q_mm2_per_day;   /* upper 95 % bound of a random walk's rate, per axis */
    double per_day_mm;      /* farther end of the interval of a trend in x or y; 0 without one */
    size_t runs;            /* it rests on; 0 where assumed */
    bool assumed;           /* too few runs: (0.001 mm)^2 in 30 days */
} reseat_drift_growth;

/* What could not be done or was assumed in a baseline; bits 1u << reseat_drift_note. */
typedef enum reseat_drift_note {
    RESEAT_DRIFT_NOTE_FEW_RUNS = 0,        /* fewer than 8: no limits, no tests */
    RESEAT_DRIFT_NOTE_FEW_SEATED = 1,      /* so many of its seats unrecorded: none of x and y */
    RESEAT_DRIFT_NOTE_UNSEATED = 2,        /* some have no seat: length alone */
    RESEAT_DRIFT_NOTE_NEWEST_UNSEATED = 3, /* so the newest run was not held against the others */
    RESEAT_DRIFT_NOTE_ALL_EQUAL = 4,       /* a series does not vary: no limits for it */
    RESEAT_DRIFT_NOTE_SINGULAR = 5,        /* x and y do not scatter in two directions: no T2 */
    RESEAT_DRIFT_NOTE_T2_LIMIT = 6,        /* fewer than 12: T2 without a limit */
    RESEAT_DRIFT_NOTE_SAME_TIME = 7,       /* all at one time: no trend, no rate */
    RESEAT_DRIFT_NOTE_LATEST_RUNS = 8,     /* more than 1000: trends of the latest 1000 */
    RESEAT_DRIFT_NOTE_U_ASSUMED = 9,       /* runs without offset_u_mm counted as 0.001 mm */
    RESEAT_DRIFT_NOTE_NO_LIMIT = 10,       /* no limit set: steady moves were not judged */
    RESEAT_DRIFT_NOTE_SPINDLE_PART = 11,   /* several seats and no spindle part: x, y mix them */
    RESEAT_DRIFT_NOTE_RATE_RUNS = 12       /* more than 100: the rate of the latest 100 */
} reseat_drift_note;
#define RESEAT_DRIFT_NOTE_COUNT 13

/* A code such as "few-runs", and a sentence; "" for any other value. */
RESEAT_API const char *reseat_drift_note_code(reseat_drift_note note);
RESEAT_API const char *reseat_drift_note_text(reseat_drift_note note);

/* The runs between two events. Bits are 1u << reseat_series. */
typedef struct reseat_drift_baseline {
    uint64_t from_seq;
    uint64_t to_seq;
    uint64_t begun_by_seq; /* the event that split it off; 0 for none */
    size_t first;          /* index of its first point */
    size_t count;
    unsigned charted;
    reseat_drift_chart charts[RESEAT_SERIES_COUNT];
    unsigned trended;
    reseat_trend trends[RESEAT_SERIES_COUNT]; /* mm a day */
    double t2_limit; /* 0 where there is none */
    bool newest_known;
    reseat_drift_newest newest;
    bool change_known;
    reseat_drift_change change;
    reseat_drift_growth growth;
    unsigned notes;
} reseat_drift_baseline;

/* Spindle part and probe part by least squares (reseat/study.h), from the latest baseline. */
typedef struct reseat_drift_split {
    reseat_xy spindle_mm;
    reseat_xy probe_mm;
    double u_mm;  /* of either, per axis */
    bool assumed; /* too few runs: from the scatter that is assumed of a seating */
} reseat_drift_split;

typedef enum reseat_drift_code {
    RESEAT_DRIFT_NEWEST_RUN_ODD = 0,
    RESEAT_DRIFT_LEVEL_CHANGED = 1,
    RESEAT_DRIFT_MOVED_STEADILY = 2
} reseat_drift_code;
#define RESEAT_DRIFT_CODE_COUNT 3

/* "newest-run-odd", "level-changed", "moved-steadily"; "" for a value that is no code. */
RESEAT_API const char *reseat_drift_code_name(reseat_drift_code code);

/*
 * Something in the latest baseline that a person should look at: flags are drawn only, findings are
 * few. p below 0.01; for MOVED_STEADILY 0.01 shared among the series, and more than a tenth of the
 * limit in 90 days. Of a change and a steady move of the offset, which the same runs may suggest,
 * the one that leaves less scatter is told.
 */
typedef struct reseat_drift_finding {
    reseat_drift_code code;
    unsigned needs;  /* it rests on the points from `first` on, `count` of them, that know all */
    size_t first;    /* of these series */
    size_t count;
    size_t runs;     /* how many these are */
    uint64_t seq;    /* NEWEST_RUN_ODD: that run; LEVEL_CHANGED: the last one before the change */
    double p;
    bool turned;           /* LEVEL_CHANGED: the length was kept, so a turn fits */
    double turn_deg;       /* LEVEL_CHANGED: by which the bearing moved */
    double length_mm;      /* LEVEL_CHANGED: by which the length moved */
    reseat_series series;  /* MOVED_STEADILY: the one that moves fastest */
    double per_day_mm;     /* MOVED_STEADILY: its slope */
    double limit_share;    /* MOVED_STEADILY: share of the limit that 90 days use up */
} reseat_drift_finding;

typedef struct reseat_drift {
    const reseat_drift_point *points; /* in the workspace; one a run */
    size_t point_count;
    const reseat_drift_baseline *baselines; /* in the workspace */
    size_t baseline_count;
    bool split_known;
    reseat_drift_split split;
    reseat_drift_finding findings[RESEAT_DRIFT_CODE_COUNT];
    size_t finding_count;
} reseat_drift;

/*
 * A finding in one line of English, lengths in the unit. Returns its length and writes as snprintf
 * does; 0 where the finding is NULL or no finding.
 */
RESEAT_API size_t reseat_drift_finding_text(const reseat_drift_finding *finding, reseat_unit unit,
                                            char *out, size_t size);

/*
 * Moving range: by how much a series of a run differs from the run before it in its baseline that
 * knows the series too.
 *
 *   drift     in   from drift_find
 *   point     in   below drift->point_count
 *   range_mm  out  >= 0
 *
 * Returns RESEAT_OK, else *range_mm is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL, or no series
 *   RESEAT_ERR_RANGE       no such point
 *   RESEAT_ERR_TOO_FEW     its series is not known, or that of none before it
 *   RESEAT_ERR_NOT_FINITE  the difference overflows
 */
RESEAT_API reseat_status reseat_drift_moving_range(const reseat_drift *drift, size_t point,
                                                   reseat_series series, double *range_mm);

/*
 * u_drift after some days, per axis; days >= 0, finite.
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *u_mm as it was.
 */
RESEAT_API reseat_status reseat_drift_growth_u(const reseat_drift_growth *growth, double days,
                                               double *u_mm);

#ifdef __cplusplus
}
#endif

#endif
