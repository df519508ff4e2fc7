/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a log says of a probe: its state at a time and the question that follows, how it drifts,
 * when it falls due, and when its results were doubtful.
 */
#ifndef RESEAT_HISTORY_H
#define RESEAT_HISTORY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/probe.h"
#include "reseat/log.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Distributions, and what a row of numbers says: mean, scatter, median, trend. */

/*
 * The functions below share no state and allocate nothing. Each returns RESEAT_OK, else its output
 * is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite, or the result overflows
 *   RESEAT_ERR_RANGE       an input lies outside the range stated
 * and what is stated beside it.
 */

/* A trend without assumptions about the scatter: Mann-Kendall and Theil-Sen. */
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
 * trends, and how fast the offset wanders (handbook section 11).
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
    bool assumed;           /* too few runs: the handbook's figure */
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

/* A code such as "few-runs", and a sentence; "" for a value that is no note. */
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
    bool assumed; /* too few runs: from the handbook's scatter of a seating */
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

/*
 * The state of one probe and tip at a time: the run, the seat, the policy and the events in force,
 * as a log says, and the question for the verdict that follows.
 *
 * Facts are ordered by (at, seq): a late entry takes its place in time.
 */

/* The records of a log, the newest first, with what is void. One thread at a time. */
typedef struct reseat_records reseat_records;

/* A line of a log that is no sound record, or a record. */
typedef struct reseat_entry {
    const reseat_record *record; /* until the next call; NULL: the line is bad ... */
    int64_t voided_by;           /* number of the record that voids it; -1 if none does */
    reseat_log_line line;        /* ... as this says, */
    reseat_error why;            /* and, where its seal holds all the same, this */
} reseat_entry;

/*
 * Opens a log; free it with reseat_records_close, which takes NULL. Errors as reseat_state_read,
 * with *records as it was.
 */
RESEAT_API reseat_status reseat_records_open(const char *dir, const char *spindle,
                                             reseat_records **records, reseat_error *error);
RESEAT_API void reseat_records_close(reseat_records *records);

/*
 * The record or bad line before; lines that were sealed off are passed over. Returns RESEAT_OK,
 * RESEAT_ERR_NOT_FOUND at the start of the log, or RESEAT_ERR_ARGUMENT, _IO, _MEMORY, with *entry
 * as it was.
 */
RESEAT_API reseat_status reseat_records_next(reseat_records *records, reseat_entry *entry,
                                             reseat_error *error);

/* The logs of a folder, each read once however much is asked. Not to be used by two threads. */
typedef struct reseat_folder reseat_folder;

/*
 * Opens a folder, whether it is there or not; free it with reseat_folder_close, which takes NULL.
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, RESEAT_ERR_MEMORY with *folder as it was.
 */
RESEAT_API reseat_status reseat_folder_open(const char *dir, reseat_folder **folder);
RESEAT_API void reseat_folder_close(reseat_folder *folder);

#define RESEAT_STATE_RUNS_MAX RESEAT_DRIFT_RATE_RUNS /* latest runs that are kept */
#define RESEAT_MAX_AGE_DAYS 365.0 /* of a run, where the policy says nothing */

/* What is asked. */
typedef struct reseat_state_request {
    const char *dir;
    const char *spindle;
    const char *probe;   /* NULL: the only one with runs */
    const char *tip;     /* NULL: `main` if it has runs, else the only one */
    int64_t as_of;       /* seconds since 1970: facts whose `at` is later are left out (a policy has
                            none), ages are counted to it */
    int64_t ahead;       /* facts up to so many seconds later count: RESEAT_LOG_AHEAD_SECONDS when
                            as_of is the clock, else 0 */
    bool despite_damage; /* go on past bad lines; the verdict says so */
    bool whole;          /* all of the log will be asked for, and with a folder all of each of
                            its logs: read it at once */
    reseat_folder *folder; /* of `dir`, to read each log once; NULL: read for this call alone */
} reseat_state_request;

/* A tip of a probe. */
typedef struct reseat_tip {
    const char *probe;
    const char *tip;
} reseat_tip;

/*
 * The tips with runs of a log, by probe and tip.
 *
 *   request  in   of a folder; `probe` and `tip`, where they are not NULL, narrow it
 *   tips     out  they live until more is asked of the folder
 *   count    out
 *
 * Returns RESEAT_OK, else the outputs are as they were: RESEAT_ERR_ARGUMENT, _SYNTAX, _NOT_FOUND,
 * _DAMAGED (a bad line, unless despite_damage), _IO, _MEMORY.
 */
RESEAT_API reseat_status reseat_folder_tips(const reseat_state_request *request,
                                            const reseat_tip **tips, size_t *count,
                                            reseat_error *error);

/*
 * The only probe with runs, into `probe`, RESEAT_RECORD_NAME_MAX + 1 bytes. The request's own is
 * not read. Errors as reseat_state_read.
 */
RESEAT_API reseat_status reseat_state_probe(const reseat_state_request *request, char *probe,
                                            reseat_error *error);

/* Where the seat is known from. */
typedef enum reseat_seat_source {
    RESEAT_SOURCE_RUN = 0,     /* not out since the run */
    RESEAT_SOURCE_RESEAT = 1,  /* the last reseat's seat */
    RESEAT_SOURCE_VERIFY = 2,  /* a gauge check since the last reseat */
    RESEAT_SOURCE_POLICY = 3,  /* not recorded: what the policy says of unknown seats */
    RESEAT_SOURCE_DEFAULT = 4, /* not recorded, and no policy: any */
    RESEAT_SOURCE_TYPED = 5    /* said by the caller */
} reseat_seat_source;

/* "run", "reseat", "verify", "policy", "default", "typed"; "" for another value. */
RESEAT_API const char *reseat_seat_source_name(reseat_seat_source source);

/* The first event of its kind since the run; seq -1 where there is none. */
typedef struct reseat_state_event {
    int64_t seq;
    int64_t at;
    char log[RESEAT_LOG_NAME_SIZE]; /* ELSEWHERE: in which log */
} reseat_state_event;

typedef struct reseat_state {
    char spindle[RESEAT_LOG_NAME_SIZE];
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    int64_t as_of;
    reseat_record *run;      /* the run in force; never NULL after RESEAT_OK */
    reseat_record *last_reseat; /* since the run; NULL: none is on record */
    reseat_record *check;    /* the last verify since run and reseats; NULL if none */
    reseat_record *policy;   /* NULL if none */
    double age_days;         /* of the run */
    unsigned reasons;        /* bits 1u << reseat_reason: COLLISION and what follows it */
    reseat_state_event events[RESEAT_REASON_COUNT]; /* of COLLISION to SERVICE, ELSEWHERE */
    uint64_t unknown_types;  /* records since the run whose type this version does not know */
    uint64_t bad_lines;      /* passed over, as asked */
    reseat_drift_run *runs;  /* the latest runs of probe and tip, by (at, seq) */
    size_t run_count;
    reseat_drift_event *baselines; /* what parts these runs into baselines, by (at, seq) */
    size_t baseline_count;
} reseat_state;

/*
 * Reads a log, from its end back as far as is needed, and works out the state of a probe and tip.
 *
 *   request  in
 *   state    out  freed with reseat_state_free
 *   error    out  one line: what happened and what to do; may be NULL
 *
 * Returns RESEAT_OK, else *state is as it was before the call:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL; the folder is not there
 *   RESEAT_ERR_SYNTAX     not the name of a log
 *   RESEAT_ERR_NOT_FOUND  no such log; no run; no run of the probe or tip named: those that have
 *                         some are listed
 *   RESEAT_ERR_REFUSED    several probes, or tips, and none named: they are listed
 *   RESEAT_ERR_DAMAGED    a line among those that the decision rests on is bad, or was written by
 *                         a later version
 *   RESEAT_ERR_IO, RESEAT_ERR_MEMORY
 *
 * Reading back stops where no earlier line can count: where all lines up to there were written
 * before the latest RESEAT_STATE_RUNS_MAX runs were made, and the policy in force is known; in
 * other logs, before the run was. What is found is what reading everything would find, whatever
 * clocks were set back.
 */
RESEAT_API reseat_status reseat_state_read(const reseat_state_request *request,
                                           reseat_state *state, reseat_error *error);
RESEAT_API void reseat_state_free(reseat_state *state);

/* What the caller knows better, or adds; zero where nothing. */
typedef struct reseat_state_typed {
    const reseat_seat *seat;    /* NULL: as the log says */
    const reseat_xy *in_use_mm; /* NULL: as the run says */
    double limit_mm;            /* 0: as the policy says */
    double confidence;          /* 0: as the policy says, else RESEAT_CONFIDENCE */
    bool no_limit;              /* none is needed: the question's is 0 where there is none */
} reseat_state_typed;

/* A question with what it was made from. It points into itself: not to be copied. */
typedef struct reseat_state_question {
    reseat_question question;
    reseat_seat seat;             /* what is known of the present seat */
    reseat_seat_source source;
    int64_t source_seq;           /* -1 for TYPED and DEFAULT, and where there is no record */
    bool contradicts;             /* the seat typed and the log cannot both be true */
    bool check_set_aside;         /* a gauge check on record says nothing of the seat typed */
    reseat_drift_growth growth;   /* how u_drift was had */
    reseat_radius_curve curve;
} reseat_state_question;

/*
 * The question for the verdict. A gauge check in force replaces what is believed of the error, and
 * another offset in use adds its difference to the shift. Where the seat typed leaves more open
 * than the log does, the check stands if it fails the probe as the log has it; else it is set
 * aside.
 *
 *   state  in   from reseat_state_read; must outlive the question
 *   typed  in   may be NULL
 *   asked  out
 *
 * Returns RESEAT_OK, else *asked is not to be used:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL
 *   RESEAT_ERR_NOT_FOUND  no limit: neither typed nor in the policy
 *   RESEAT_ERR_NOT_FINITE, RESEAT_ERR_RANGE, RESEAT_ERR_MEMORY
 */
RESEAT_API reseat_status reseat_state_ask(const reseat_state *state,
                                          const reseat_state_typed *typed,
                                          reseat_state_question *asked);

#define RESEAT_SENTENCE_SIZE 2560 /* bytes: room for any of the sentences below, and its NUL */

/*
 * Why a verdict is not OK, by one reason or by all of them, separated by semicolons; or, after OK,
 * why it is. One line of English without its capital and its full stop, foreign texts escaped as
 * for a terminal.
 *
 *   question  in
 *   answer    in   of reseat_verdict_decide; NULL where the reason is one that a log has alone
 *   state     in   that the question is from; NULL where it is typed
 *   unit      in   of lengths
 *   out       out  `size` bytes
 *
 * Returns its length and writes as snprintf does; 0 where a pointer is NULL or nothing can be said.
 */
RESEAT_API size_t reseat_reason_text(reseat_reason reason, const reseat_question *question,
                                     const reseat_answer *answer, const reseat_state *state,
                                     reseat_unit unit, char *out, size_t size);
RESEAT_API size_t reseat_verdict_text(const reseat_question *question,
                                      const reseat_answer *answer, const reseat_state *state,
                                      reseat_unit unit, char *out, size_t size);

/* What else a log says, a sentence each. */
typedef enum reseat_state_sentence {
    RESEAT_STATE_SEAT = 0,          /* what is known of the seat, and where from */
    RESEAT_STATE_CONTRADICTION = 1, /* the seat typed is not the log's */
    RESEAT_STATE_CHECK_UNUSED = 2,  /* a gauge check says nothing of the seat typed */
    RESEAT_STATE_UNKNOWN_TYPES = 3, /* records of types that this version does not know */
    RESEAT_STATE_DAMAGE = 4         /* bad lines were passed over */
} reseat_state_sentence;
#define RESEAT_STATE_SENTENCE_COUNT 5

/*
 * One of them, as above; "" and 0 where there is nothing to say.
 *
 *   typed  in   as the question was asked with; may be NULL
 */
RESEAT_API size_t reseat_state_text(reseat_state_sentence which, const reseat_state *state,
                                    const reseat_state_question *asked,
                                    const reseat_state_typed *typed, reseat_unit unit, char *out,
                                    size_t size);

/* What a log says of a probe over time: how it drifts, and when it falls due. */
typedef struct reseat_outlook {
    reseat_drift_input input; /* runs and events, and what the policy says */
    reseat_drift drift;
    bool due_known;
    const char *not_due; /* why there is no due date, static; "" where there is one */
    int64_t due_at;  /* seconds since 1970 */
    double due_days; /* from `as_of` of the state on; 0 where it is due already */
    bool due_by_age; /* it is the age allowed that is up, not the chance */
    uint64_t bad_lines; /* passed over, as asked */
    void *memory[3]; /* that it rests on */
} reseat_outlook;

/*
 * Drift and due date of the probe and tip of a state. A run falls due on the first day on which
 * the verdict under this policy is RECALIBRATE though the probe stays in the spindle: by drift, by
 * age, or by a collision and the like.
 *
 *   request  in   as for reseat_state_read
 *   state    in   from it
 *   outlook  out  freed with reseat_outlook_free
 *   error    out  may be NULL
 *
 * Returns RESEAT_OK, else *outlook is as it was before the call: RESEAT_ERR_ARGUMENT,
 * RESEAT_ERR_DAMAGED (a bad line anywhere in the log, unless despite_damage), RESEAT_ERR_IO,
 * RESEAT_ERR_MEMORY, RESEAT_ERR_NOT_FINITE, RESEAT_ERR_RANGE.
 */
RESEAT_API reseat_status reseat_outlook_find(const reseat_state_request *request,
                                             const reseat_state *state, reseat_outlook *outlook,
                                             reseat_error *error);
RESEAT_API void reseat_outlook_free(reseat_outlook *outlook);

/*
 * A run against those before it in its baseline, be it in the log already or not.
 *
 *   dir, spindle  in   the log; bad lines are passed over
 *   run           in   a record with `seq`; the newest by (at, seq)
 *   newest        out
 *
 * Returns RESEAT_OK, else *newest is as it was before the call: RESEAT_ERR_TOO_FEW where there are
 * fewer than 7 before it with a seat, it has none itself, or it is not the newest;
 * RESEAT_ERR_SINGULAR where they do not scatter; or the errors of reseat_state_read.
 */
RESEAT_API reseat_status reseat_outlook_newest(const char *dir, const char *spindle,
                                               const reseat_record *run,
                                               reseat_drift_newest *newest);

/*
 * A window of time in which results are doubtful: from the last time the probe was known good to
 * the record that found it out.
 */
typedef struct reseat_window {
    int64_t from_seq;
    int64_t to_seq;
    int64_t from;
    int64_t to;
    reseat_xy expected_mm; /* offset that was in use */
    reseat_xy found_mm;    /* offset that there was */
    reseat_xy error_mm;    /* that features in the window may carry: expected less found */
} reseat_window;

typedef struct reseat_suspect {
    reseat_window *windows;
    size_t count;
    uint64_t bad_lines; /* passed over, as asked */
} reseat_suspect;

/*
 * The windows of the probe and tip of a state, from its whole log.
 *
 *   request   in   as for reseat_state_read
 *   state     in   from it
 *   limit_mm  in   > 0
 *   suspect   out  freed with reseat_suspect_free
 *   error     out  may be NULL
 *
 * Returns RESEAT_OK, else *suspect is as it was: RESEAT_ERR_ARGUMENT, _RANGE, _NOT_FINITE, _MEMORY,
 * _IO, _DAMAGED (a bad line, unless despite_damage).
 */
RESEAT_API reseat_status reseat_suspect_read(const reseat_state_request *request,
                                             const reseat_state *state, double limit_mm,
                                             reseat_suspect *suspect, reseat_error *error);
RESEAT_API void reseat_suspect_free(reseat_suspect *suspect);

#ifdef __cplusplus
}
#endif
#endif
