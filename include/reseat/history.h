/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a log says of a probe: its state at a time and the question that follows, when it falls
 * due, and when its results were doubtful.
 */
#ifndef RESEAT_HISTORY_H
#define RESEAT_HISTORY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/probe.h"
#include "reseat/log.h"
#include "reseat/drift.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * The state of one probe and tip at a time: the run, the seat, the policy and the events in force,
 * as a log says, and the question for the verdict that follows.
 *
 * Facts are ordered by (at, seq): a late entry takes its place in time.
 */

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
    int64_t ahead;       /* facts up to so many seconds later count all the same: INT64_MAX when
                            as_of is the clock, else 0 */
    int64_t as_known;    /* seconds since 1970: only records written by then count; 0: all */
    bool despite_damage; /* go on past bad lines; the verdict says so */
    bool whole;          /* all of the log will be asked for, and with a folder all of each of
                            its logs: read it at once */
    reseat_folder *folder; /* of `dir`, to read each log once; NULL: read for this call alone */
} reseat_state_request;

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
 * Opens the log of a request, of which `dir`, `spindle` and `as_known` are read: records written
 * later are passed over, and void nothing. Free it with reseat_records_close, which takes NULL.
 * Errors as reseat_state_read, with *records as it was.
 */
RESEAT_API reseat_status reseat_records_open(const reseat_state_request *request,
                                             reseat_records **records, reseat_error *error);
RESEAT_API void reseat_records_close(reseat_records *records);

/*
 * The record or bad line before; lines that were sealed off are passed over. Returns RESEAT_OK,
 * RESEAT_ERR_NOT_FOUND at the start of the log, or RESEAT_ERR_ARGUMENT, _IO, _MEMORY, with *entry
 * as it was.
 */
RESEAT_API reseat_status reseat_records_next(reseat_records *records, reseat_entry *entry,
                                             reseat_error *error);

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

/*
 * The policy in force, for what is measured before there is a run: into *policy, to be freed with
 * reseat_record_free; NULL where the log has none, or is not there. Of the request dir, spindle,
 * times, despite_damage and folder are read. Errors as reseat_state_read but _NOT_FOUND and
 * _REFUSED; a bad line above the policy is RESEAT_ERR_DAMAGED, as it may have been another, but
 * not the last one, if it is cut short: what is recorded next will tell of that.
 */
RESEAT_API reseat_status reseat_state_policy(const reseat_state_request *request,
                                             reseat_record **policy, reseat_error *error);

/* Where the seat is known from. */
typedef enum reseat_seat_source {
    RESEAT_SOURCE_RUN = 0,     /* no reseat on record since the run */
    RESEAT_SOURCE_RESEAT = 1,  /* the last reseat's seat */
    RESEAT_SOURCE_VERIFY = 2,  /* a gauge check since the last reseat */
    RESEAT_SOURCE_POLICY = 3,  /* not recorded: what the policy says of unknown seats */
    RESEAT_SOURCE_DEFAULT = 4, /* not recorded, and no policy: any */
    RESEAT_SOURCE_TYPED = 5,   /* said by the caller */
    RESEAT_SOURCE_EVIDENCE = 6, /* not recorded: a record shows that it has been out since */
    RESEAT_SOURCE_LATE = 7     /* not recorded: nobody logged reseats when the run was made */
} reseat_seat_source;

/* "run", "reseat", "verify", "policy", "default", "typed", "evidence", "late"; else "". */
RESEAT_API const char *reseat_seat_source_name(reseat_seat_source source);

/* A record that counts against the probe; seq -1 where there is none. */
typedef struct reseat_state_event {
    int64_t seq;
    int64_t at;
    reseat_record_type type;
    char log[RESEAT_LOG_NAME_SIZE];          /* "": this log */
    char probe[RESEAT_RECORD_NAME_MAX + 1]; /* "": this probe */
} reseat_state_event;

typedef struct reseat_state {
    char spindle[RESEAT_LOG_NAME_SIZE];
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    int64_t as_of;
    reseat_record *run;      /* the run in force; never NULL after RESEAT_OK */
    reseat_record *last_reseat; /* since the run, or a run of another tip at another seat; NULL:
                                   none is on record */
    reseat_record *check;    /* the last verify since run, reseats and evidence; NULL if none */
    reseat_record *policy;   /* NULL if none */
    double age_days;         /* of the run */
    unsigned reasons;        /* bits 1u << reseat_reason: COLLISION and what follows it */
    reseat_state_event events[RESEAT_REASON_COUNT]; /* the first of COLLISION to SERVICE,
                                                       ELSEWHERE */
    reseat_state_event evidence; /* that it was out since run and reseats */
    bool late;               /* the run was imported long after it was made, with no reseat since */
    reseat_state_event ahead; /* the latest fact, where that is ahead of the clock */
    size_t lost;             /* pieces of lines lost since the run that nobody has looked at ... */
    uint64_t lost_line;      /* ... the first of them */
    uint64_t unknown_types;  /* records since the run whose type this version does not know */
    uint64_t bad_lines;      /* passed over, as asked */
    char bad_log[RESEAT_LOG_NAME_SIZE]; /* a damaged log beside it, which does not name the probe;
                                           "": there is none */
    reseat_drift_run *runs;  /* the latest runs of probe and tip, by (at, seq) */
    size_t run_count;
    reseat_drift_event *baselines; /* what separates these runs into baselines, by (at, seq) */
    size_t baseline_count;
    reseat_record *past_check; /* the last verify since the run, where the probe was out after it:
                                  a shift that no seat explains still counts; NULL if none */
    char lost_log[RESEAT_LOG_NAME_SIZE]; /* where `lost_line` stands; "": in this log */
    uint64_t sealed_off;     /* lines lost since run or policy that people have looked at ... */
    reseat_record *repair;   /* ... and the last who did, with `by` and `why`; NULL if none */
    int64_t older_policy;    /* the policy in force, where lines below it were lost; else -1 */
    int64_t voided_run;      /* a later run that is void, with another offset in use, which the
                                control may hold still; -1: there is none ... */
    int64_t voided_by;       /* ... and the record that voids it */
    reseat_xy voided_in_use_mm;
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
 * clocks were set back. Bad lines above that count only where they touch it: when they were
 * written is not known.
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
    bool snapped;                 /* what was typed counts as a seat that the keys allow: `seat` */
    bool check_set_aside;         /* a gauge check on record says nothing of the seat typed */
    reseat_drift_growth growth;   /* where u_drift comes from */
    bool newest_known;            /* the run could be held against those before it: */
    reseat_drift_newest newest;
    reseat_radius_curve curve;
} reseat_state_question;

/*
 * The question for the verdict. A gauge check in force replaces the estimate of the error, and
 * another offset in use adds its difference to the shift. Where the seat typed leaves more open
 * than the log does, the check still counts if, at the logged seat, it fails the probe; else it is
 * set aside. A shift that no seat explains is a reason until a later run or check, whether the
 * probe was put back since or not.
 *
 *   state  in   from reseat_state_read; must outlive the question
 *   typed  in   may be NULL
 *   asked  out
 *   error  out  may be NULL
 *
 * Returns RESEAT_OK, else *asked is not to be used:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL
 *   RESEAT_ERR_REFUSED    `same` was typed though the probe has been out since the run; or an
 *                         angle that the policy's keys do not allow from the run's seat
 *   RESEAT_ERR_NOT_FOUND  no limit: neither typed nor in the policy
 *   RESEAT_ERR_NOT_FINITE, RESEAT_ERR_RANGE, RESEAT_ERR_MEMORY
 */
RESEAT_API reseat_status reseat_state_ask(const reseat_state *state,
                                          const reseat_state_typed *typed,
                                          reseat_state_question *asked, reseat_error *error);

/*
 * By how much a gauge reads off now: a reading of it less what the run in force has on record.
 *
 *   gauge_id    in   NULL where it was not said
 *   reading_mm  in   its centre as the control shows it; finite
 *   shift_mm    out
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, or RESEAT_ERR_REFUSED where the run has
 * no reading of that gauge, with *shift_mm as it was.
 */
RESEAT_API reseat_status reseat_state_shift(const reseat_state *state, const char *gauge_id,
                                            reseat_xy reading_mm, reseat_xy *shift_mm,
                                            reseat_error *error);

/* What a log says of a probe over time: how it drifts, and when it falls due. */
typedef struct reseat_outlook {
    reseat_drift_input input; /* runs and events, and what the policy says */
    reseat_drift drift;
    bool due_known;  /* a limit is set */
    int64_t due_at;  /* seconds since 1970 */
    double due_days; /* from `as_of` of the state on; 0 where it is due already */
    bool due_by_age; /* the run is too old then; the chance would still do */
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
 * A run against those before it in its baseline, whether it is in the log already or not.
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
 * A window of time in which results are doubtful: from the last time the probe was known good, by a
 * run or a gauge check that passed, to the record that measured it since, or until now.
 */
typedef struct reseat_window {
    int64_t from_seq;
    int64_t to_seq; /* -1 where it is open */
    int64_t from;
    int64_t to;
    reseat_xy expected_mm; /* offset that was in use */
    reseat_xy found_mm;    /* offset that there was; where several were measured, the farthest */
    reseat_xy error_mm;    /* that features in the window may carry: expected less found */
    bool open;             /* until now, for `reason` */
    bool measured;         /* else nothing is known of the last three, which are 0 */
    reseat_reason reason;
    int64_t cause_seq;     /* the record that the reason rests on; -1: none ... */
    reseat_record_type cause_type;
    char cause_log[RESEAT_LOG_NAME_SIZE]; /* another one that this record is in; "": the same */
} reseat_window;

typedef struct reseat_suspect {
    reseat_window *windows;
    size_t count;
    uint64_t bad_lines; /* passed over, as asked */
} reseat_suspect;

/*
 * The windows of the probe and tip of a state, from its whole log: those that are open first. They
 * agree with the verdict: what it holds against the probe, but age and scatter, makes one open.
 *
 *   request   in   as for reseat_state_read
 *   state     in   from it
 *   asked     in   from reseat_state_ask; errors up to its limit leave no doubt
 *   suspect   out  freed with reseat_suspect_free
 *   error     out  may be NULL
 *
 * Returns RESEAT_OK, else *suspect is as it was: RESEAT_ERR_ARGUMENT, _RANGE, _NOT_FINITE, _MEMORY,
 * _IO, _DAMAGED (a bad line, unless despite_damage).
 */
RESEAT_API reseat_status reseat_suspect_read(const reseat_state_request *request,
                                             const reseat_state *state,
                                             const reseat_state_question *asked,
                                             reseat_suspect *suspect, reseat_error *error);
RESEAT_API void reseat_suspect_free(reseat_suspect *suspect);

/* A doubt of a run: its gauge was past due. Said and kept: its diameter cancels in the offset. */
#define RESEAT_DOUBT_GAUGE_OVERDUE "gauge-overdue"

/*
 * The register of gauges of a folder, `gauges.jsonl`, is a log of `gauge` records. In force for a
 * gauge at a time is its latest by (at, seq).
 */
typedef struct reseat_gauge_entry {
    const reseat_record *record;
    bool overdue; /* its certificate had run out by the time that was asked about */
} reseat_gauge_entry;

/*
 * The gauges in force.
 *
 *   request   in   of a folder, which must be given; `spindle`, `probe` and `tip` are not read
 *   gauge_id  in   the only one asked for; NULL: all, by their names
 *   gauges    out  they live until more is asked of the folder
 *   count     out
 *   bad_lines out  passed over, as asked
 *   error     out  may be NULL
 *
 * Returns RESEAT_OK, else the outputs are as they were: RESEAT_ERR_ARGUMENT; RESEAT_ERR_NOT_FOUND
 * where there is no register; RESEAT_ERR_REFUSED where it does not have that gauge, with the
 * nearest; RESEAT_ERR_DAMAGED (a bad line, unless despite_damage), _IO, _MEMORY.
 */
RESEAT_API reseat_status reseat_folder_gauges(const reseat_state_request *request,
                                              const char *gauge_id,
                                              const reseat_gauge_entry **gauges, size_t *count,
                                              uint64_t *bad_lines, reseat_error *error);

/* What the register says of the gauge of a record. */
typedef enum reseat_gauge_standing {
    RESEAT_GAUGE_UNREGISTERED = 0, /* nothing: there is no register, or no gauge is named */
    RESEAT_GAUGE_CERTIFIED = 1,
    RESEAT_GAUGE_OVERDUE = 2       /* its certificate had run out */
} reseat_gauge_standing;

/*
 * Gives a record what the register says of the gauge that its `gauge_id` names, at its `at`, else
 * as_of: kind, diameter, certificate and so on, as far as its type has them. What it says itself
 * must agree, figures within 1e-9 of their size. A record without `gauge_id`, and any where there
 * is no register, stays as it is. reseat_record_enter does this for what it appends.
 *
 *   request   in      `dir`, as_of, as_known
 *   record    in/out  a run gets the doubt `gauge-overdue` too
 *   standing  out
 *   error     out     key: the field; may be NULL
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT; RESEAT_ERR_REFUSED where the gauge is not in the
 * register, with the nearest, or what is said disagrees; RESEAT_ERR_DAMAGED where a line of the
 * register is bad, whatever else is passed over, as it may be a later certificate; _IO, _MEMORY.
 * The record is not to be used then.
 */
RESEAT_API reseat_status reseat_gauge_fill(const reseat_state_request *request,
                                           reseat_record *record,
                                           reseat_gauge_standing *standing,
                                           reseat_error *error);

/* What a person asks to have recorded. */
typedef struct reseat_record_request {
    const char *dir;
    const char *spindle;
    bool begin;           /* the log, the probe or the tip is new; refused where none is */
    bool late;            /* it lies before the run in force, and is meant to */
    reseat_append append; /* how it is appended; `begin` and `check` are not read */
} reseat_record_request;

/* What came of it. */
typedef struct reseat_recorded {
    reseat_appended appended;
    bool new_log;
    bool new_probe;
    bool new_tip;
    char other_log[RESEAT_LOG_NAME_SIZE]; /* has runs of a probe that is new here; "": none has */
    bool snapped;          /* the seat typed counts as one that the keys allow: seat_deg */
    double seat_deg;
    bool first_policy;     /* the log had none */
    int64_t voided_run;    /* the run in force that is void now; -1: none is */
    int64_t run_in_force;  /* after that void, or later than the run recorded; -1: there is none */
    bool new_gauge;        /* of a gauge: it is new in the register */
    int64_t later_gauge;   /* of a gauge: the later record of it that stays in force; or -1 */
    reseat_gauge_standing gauge; /* of a run or verify */
} reseat_recorded;

/*
 * Appends a record after holding it against what is on record: a probe or tip that is not known, a
 * time before the run in force, a run that is on record already, a seat that the keys of the policy
 * do not allow, an offset as found that was copied from the run before, a gauge that the register
 * does not have or tells otherwise of. A verify without a tip gets that of the state.
 *
 *   request   in
 *   record    in/out  as for reseat_log_append
 *   recorded  out
 *   error     out     what is wrong and what to type instead; may be NULL
 *
 * Returns as reseat_log_append, and RESEAT_ERR_REFUSED for what does not pass.
 */
RESEAT_API reseat_status reseat_record_enter(const reseat_record_request *request,
                                             reseat_record *record, reseat_recorded *recorded,
                                             reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
