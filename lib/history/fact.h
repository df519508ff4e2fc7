/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a record says, by its place in time. */
#ifndef RESEAT_HISTORY_FACT_H
#define RESEAT_HISTORY_FACT_H

#include <stdbool.h>
#include <stdint.h>
#include "reseat/history.h"

#define SECONDS_AHEAD RESEAT_LOG_AHEAD_SECONDS /* no fact lies further ahead of its writing */

typedef enum event_kind {
    EVENT_NONE = 0,
    EVENT_COLLISION = 1,
    EVENT_STYLUS_CHANGE = 2,
    EVENT_SERVICE = 3,
    EVENT_OTHER = 4
} event_kind;

/* What a record says, by its place in time. */
typedef struct replay_fact {
    int64_t at;  /* when it happened; of a policy and the like when it was written */
    int64_t seq;
    int64_t written;         /* when it was recorded */
    uint64_t offset;         /* of its line */
    reseat_record_type type; /* RUN, RESEAT, EVENT, VERIFY, VERDICT; OTHER: not known */
    event_kind event;
    const char *tip;         /* of a run or verify */
    reseat_drift_run run;    /* RUN; its seat also of a RESEAT */
    reseat_xy found_mm;      /* RUN: as found, before it was set anew */
    reseat_xy in_use_mm;     /* RUN: what the control adds from then on; VERIFY: what it added */
    bool in_use_known;       /* VERIFY: else the run's */
    bool imported;
    bool anew;               /* VERIFY: shift_mm is the offset itself */
    reseat_xy shift_mm;      /* VERIFY */
    double shift_u_mm;
} replay_fact;

bool fact_is_later(const replay_fact *a, const replay_fact *b);

/* Whether two facts are of one seat, which is on record for both. */
bool seats_alike(const reseat_drift_run *a, const reseat_drift_run *b);

/* The time and number of a record: its `at`, or when it was written. */
replay_fact fact_of(const reseat_record *record);

/* A pair of numbers of a record, each replaced by `otherwise` where it is absent. */
reseat_xy pair_of(const reseat_record *record, reseat_field x, reseat_field y,
                  reseat_xy otherwise);

/* Whether a field is there and says this. */
bool record_says(const reseat_record *record, reseat_field field, const char *text);

#endif
