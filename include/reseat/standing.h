/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How things stand with one probe and tip at a time: the run, the seat, the policy and the events
 * in force, as a log says (handbook section 10), and the question for the verdict that follows.
 *
 * Facts are ordered by (at, seq): a late entry takes its place in time.
 */
#ifndef RESEAT_STANDING_H
#define RESEAT_STANDING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/drift.h"
#include "reseat/log.h"
#include "reseat/record.h"
#include "reseat/seat.h"
#include "reseat/status.h"
#include "reseat/verdict.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_STANDING_RUNS_MAX RESEAT_DRIFT_RATE_RUNS /* latest runs that are kept */
#define RESEAT_MAX_AGE_DAYS 365.0 /* of a run, where the policy says nothing */

/* What is asked. */
typedef struct reseat_standing_query {
    const char *dir;
    const char *spindle;
    const char *probe;   /* NULL: the only one with runs */
    const char *tip;     /* NULL: `main` if it has runs, else the only one */
    int64_t as_of;       /* seconds since 1970: facts whose `at` is later are left out (a policy has
                            none), ages are counted to it */
    int64_t ahead;       /* facts up to so many seconds later count: RESEAT_LOG_AHEAD_SECONDS when
                            as_of is the clock, else 0 */
    bool despite_damage; /* go on past bad lines; the verdict says so */
    bool alone;          /* do not look into the other logs of the folder */
    bool any_tip;        /* whichever has runs: the probe alone is asked for */
} reseat_standing_query;

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
typedef struct reseat_standing_event {
    int64_t seq;
    int64_t at;
    char log[RESEAT_LOG_NAME_SIZE]; /* ELSEWHERE: in which log */
} reseat_standing_event;

typedef struct reseat_standing {
    char spindle[RESEAT_LOG_NAME_SIZE];
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    int64_t as_of;
    reseat_record *run;      /* the run in force; never NULL after RESEAT_OK */
    reseat_record *outing;   /* the last reseat since the run; NULL: it has not been out */
    reseat_record *check;    /* the last verify since run and reseats; NULL if none */
    reseat_record *policy;   /* NULL if none */
    double age_days;         /* of the run */
    unsigned reasons;        /* bits 1u << reseat_reason: COLLISION and what follows it */
    reseat_standing_event events[RESEAT_REASON_COUNT]; /* of COLLISION to SERVICE, ELSEWHERE */
    uint64_t unknown_types;  /* records since the run whose type this version does not know */
    uint64_t bad_lines;      /* passed over, as asked */
    reseat_drift_run *runs;  /* the latest runs of probe and tip, by (at, seq) */
    size_t run_count;
    reseat_drift_event *baselines; /* what parts these runs into baselines, by (at, seq) */
    size_t baseline_count;
} reseat_standing;

/*
 * Reads a log, from its end back as far as is needed, and works out how things stand.
 *
 *   query     in
 *   standing  out  to be let go with reseat_standing_free
 *   error     out  one line: what happened and what to do; may be NULL
 *
 * Returns RESEAT_OK, else *standing is as it was before the call:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL; the folder is not there
 *   RESEAT_ERR_SYNTAX     not the name of a log
 *   RESEAT_ERR_NOT_FOUND  no such log; no run; no run of the probe or tip named: those that have
 *                         some are listed
 *   RESEAT_ERR_REFUSED    several probes, or tips, and none named: they are listed
 *   RESEAT_ERR_DAMAGED    a line among those that the decision rests on is bad, or was written by
 *                         a later version
 *   RESEAT_ERR_IO, RESEAT_ERR_MEMORY
 *
 * Reading back stops where no earlier record can count: at the first one written before all of the
 * latest RESEAT_STANDING_RUNS_MAX runs were made, once the policy in force is known. Where no probe
 * is named it goes on for the names of others with runs, past damage too. What it says is what
 * reading everything would, but for a clock that was once set back by more than all these runs.
 */
RESEAT_API reseat_status reseat_standing_read(const reseat_standing_query *query,
                                              reseat_standing *standing, reseat_error *error);
RESEAT_API void reseat_standing_free(reseat_standing *standing);

/* What the caller knows better, or adds; zero where nothing. */
typedef struct reseat_standing_typed {
    const reseat_seat *seat;    /* NULL: as the log says */
    const reseat_xy *in_use_mm; /* NULL: as the run says */
    double limit_mm;            /* 0: as the policy says */
    double confidence;          /* 0: as the policy says, else RESEAT_CONFIDENCE */
    bool no_limit;              /* none is needed: the question's is 0 where there is none */
} reseat_standing_typed;

/* A question with what it was made from. It points into itself: not to be copied. */
typedef struct reseat_standing_question {
    reseat_question question;
    reseat_seat seat;             /* what is known of the present seat */
    reseat_seat_source source;
    int64_t source_seq;           /* -1 for TYPED and DEFAULT, and where there is no record */
    bool contradicts;             /* the seat typed and the log cannot both be true */
    bool check_set_aside;         /* a gauge check on record says nothing of the seat typed */
    reseat_drift_growth growth;   /* how u_drift was had */
    reseat_radius_curve curve;
} reseat_standing_question;

/*
 * The question for the verdict. A gauge check in force replaces what is believed of the error, and
 * another offset in use adds its difference to the shift. Where the seat typed leaves more open
 * than the log does, the check stands if it fails the probe as the log has it; else it is set
 * aside.
 *
 *   standing  in   from reseat_standing_read; must outlive the question
 *   typed     in   may be NULL
 *   asked     out
 *
 * Returns RESEAT_OK, else *asked is not to be used:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL
 *   RESEAT_ERR_NOT_FOUND  no limit: neither typed nor in the policy
 *   RESEAT_ERR_NOT_FINITE, RESEAT_ERR_RANGE, RESEAT_ERR_MEMORY
 */
RESEAT_API reseat_status reseat_standing_ask(const reseat_standing *standing,
                                             const reseat_standing_typed *typed,
                                             reseat_standing_question *asked);

#ifdef __cplusplus
}
#endif
#endif
