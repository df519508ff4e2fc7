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
#include "history/fact.h"
#include "log/file.h"

/* The run in force of a tip, and the latest gauge check of it. */
typedef struct replay_tip {
    char name[RESEAT_RECORD_NAME_MAX + 1];
    reseat_record *run; /* NULL: there is none */
    reseat_record *verify;
    size_t runs;
    reseat_record *voided; /* the latest run that is void; NULL: there is none ... */
    int64_t voided_by;     /* ... and the record that voids it */
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

/* A policy, in force from when it was recorded; a log's first from the beginning. */
typedef struct replay_policy {
    reseat_record *record;
    int64_t written;
    uint64_t offset;
} replay_policy;

/* The latest run, reseat or verify of another probe than the one that is asked for. */
typedef struct replay_other {
    char probe[RESEAT_RECORD_NAME_MAX + 1]; /* "": there is none */
    reseat_record_type type;
    int64_t at;
    int64_t seq;
} replay_other;

/* Bytes of a log that no record stands for any more. */
typedef struct replay_piece {
    uint64_t from;
    uint64_t to;
    int64_t above; /* when the sound line above it was written; INT64_MIN: not known */
    reseat_record *repair; /* by a person who has looked at it; NULL: nobody has */
} replay_piece;

typedef struct replay_pieces {
    replay_piece *pieces;
    size_t count;
    size_t room;
} replay_pieces;

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
    int64_t known;     /* 0: all, else records written later are left out too, voids among them */
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
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    named_list probes;     /* replay_probe; that of the spindle is first and always there */
    replay_policy *policies; /* the newest first */
    size_t policy_count;
    size_t policy_room;
    reseat_record **gauges; /* of the register, in no order */
    size_t gauge_count;
    size_t gauge_room;
    replay_other other;    /* where one probe alone was asked for */
    replay_pieces settled; /* what people have sealed off who have looked at it */
    replay_pieces lost;    /* lines that were sealed off, the last first */
    log_reader *log;       /* while it is read */
    bool begun;            /* a sound record was read */
    bool has_head;         /* the log begins with a sound record of its kind, or is empty */
    replay_bad *bad;       /* the last line first */
    size_t bad_count;
    size_t bad_room;
} replay;

/* Reads a log; free with replay_free. Bad lines are no errors here. */
reseat_status replay_read(const replay_request *request, replay **out, reseat_error *error);
void replay_free(replay *read);

/* Reads the record of a fact, by the place of its line, anew. */
reseat_status replay_record(const replay *read, uint64_t offset, reseat_record **record,
                            reseat_error *error);

/* The policy in force at a time, NULL if there is none; *offset of its line, unless NULL. */
const reseat_record *replay_policy_at(const replay *read, int64_t time, uint64_t *offset);

/* The latest run, reseat or verify of another probe; false where there is none. */
bool replay_find_other(const replay *read, const char *probe, replay_other *other);

/* The probe of that name; NULL where nothing is on record of it. */
replay_probe *replay_find(const replay *read, const char *name);

/* Whether a run of it is on record; NULL has none. */
bool replay_has_runs(const replay_probe *probe);

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

/* The number of the line that begins at a byte, from 1. */
reseat_status replay_number(const replay *read, uint64_t offset, uint64_t *number,
                            reseat_error *error);

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

/* Opens the log that a request is about. */
reseat_status replay_open(const replay_request *request, log_reader **log, reseat_error *error);

#endif
