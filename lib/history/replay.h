/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * One reading of a log: what it says that is not void, in the order of time. What counts as void,
 * which tip a record is about, which of two facts is later, how far back a reading goes, and what
 * becomes of bad lines is decided here and nowhere else.
 */
#ifndef RESEAT_HISTORY_REPLAY_H
#define RESEAT_HISTORY_REPLAY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "base/named.h"
#include "log/files.h"
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
    reseat_record_type type; /* RUN, RESEAT, EVENT, VERIFY; OTHER: of a type not known */
    event_kind event;
    const char *tip;         /* of a run or verify */
    reseat_drift_run run;    /* RUN; its seat also of a RESEAT */
    reseat_xy found_mm;      /* RUN: as found, before it was set anew */
    reseat_xy in_use_mm;     /* RUN: what the control adds from then on */
    reseat_xy shift_mm;      /* VERIFY */
} replay_fact;

bool fact_is_later(const replay_fact *a, const replay_fact *b);

/* The time and number of a record: its `at`, or when it was written. */
replay_fact fact_of(const reseat_record *record);

/* A pair that a record states, or what stands for it. */
reseat_xy pair_of(const reseat_record *record, reseat_field x, reseat_field y,
                  reseat_xy otherwise);

/* Whether a field is there and says this. */
bool record_says(const reseat_record *record, reseat_field field, const char *text);

/* The run in force of a tip, and the latest gauge check of it. */
typedef struct replay_tip {
    char name[RESEAT_RECORD_NAME_MAX + 1];
    reseat_record *run; /* NULL: there is none */
    reseat_record *verify;
    size_t runs;
} replay_tip;

typedef struct replay_probe {
    char name[RESEAT_RECORD_NAME_MAX + 1]; /* "": what is about the whole spindle */
    named_list tips;                       /* replay_tip */
    reseat_record *reseat; /* the latest */
    replay_fact *facts;    /* by (at, seq) */
    size_t count;
    size_t room;
    size_t thin_at; /* STATE: how many facts there are when those of no use are dropped next */
} replay_probe;

/* How far a reading goes. */
typedef enum replay_depth {
    REPLAY_SINCE = 0, /* no farther than what happened from `since` on may be written */
    REPLAY_STATE = 1, /* ... than the state of the probe and tip at the horizon needs */
    REPLAY_WHOLE = 2  /* to the first record */
} replay_depth;

typedef struct replay_request {
    const file_calls *calls;
    const char *dir;
    const char *spindle;
    const char *probe; /* the only one that is asked for; NULL: all */
    const char *tip;   /* STATE: the one asked for; NULL: `main`, or the only one */
    int64_t horizon;   /* later facts are left out */
    replay_depth depth;
    int64_t since;
} replay_request;

/* A line that is no sound record and was not sealed off, or is of a later version. */
typedef struct replay_bad {
    reseat_log_line line; /* its text is gone */
    int64_t later_version; /* the number of a record that only a later version can read; else -1 */
} replay_bad;

typedef struct replay {
    replay_request request;
    char spindle[RESEAT_LOG_NAME_SIZE];
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    named_list probes;     /* replay_probe; that of the spindle is first and always there */
    reseat_record *policy; /* the newest */
    uint64_t policy_offset;
    bool has_head;         /* the log begins with a sound record of its kind, or is empty */
    replay_bad *bad;       /* the last line first */
    size_t bad_count;
    size_t bad_room;
} replay;

/* Reads a log; free with replay_free. Bad lines are no errors here. */
reseat_status replay_read(const replay_request *request, replay **out, reseat_error *error);
void replay_free(replay *read);

/* The probe of that name; NULL where nothing is on record of it. */
replay_probe *replay_find(const replay *read, const char *name);

/*
 * Goes through the facts of a probe and those of the whole spindle, by (at, seq): begin with a
 * zeroed cursor but for `read` and `probe`, which may be NULL. False when there are no more.
 */
typedef struct replay_cursor {
    const replay *read;
    const replay_probe *probe;
    size_t next, next_common;
} replay_cursor;

bool replay_next(replay_cursor *cursor, const replay_fact **fact);

/*
 * RESEAT_ERR_DAMAGED, and which, where a line from the byte `from` on is bad, or lines right above
 * it are. With `despite` only a record of a later version stops, and *count grows by the lines
 * passed over.
 */
reseat_status replay_check(const replay *read, uint64_t from, bool despite, uint64_t *count,
                           reseat_error *error);

/*
 * The byte above which every good line was written too early to hold a fact of `since` or later,
 * whatever clocks did.
 */
reseat_status replay_first_written(const replay *read, int64_t since, uint64_t *offset,
                                   reseat_error *error);

/* The probes with runs up to the horizon, at a glance, without a look at seals. */
reseat_status replay_names(const replay_request *request, named_list *names, reseat_error *error);

#endif
