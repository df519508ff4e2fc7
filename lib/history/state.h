/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_STATE_H
#define RESEAT_HISTORY_STATE_H

#include "reseat/history.h"

/* What reading a log for a standing collects. */

/* A place in the order of facts. */
typedef struct fact {
    int64_t at;
    int64_t seq;
} fact;

bool fact_is_later(fact a, fact b);

/* The fact that a record states: its `at`, or when it was written. */
fact fact_of(const reseat_record *record);

/* A pair that a record states, or what stands for it. */
reseat_xy pair_of(const reseat_record *record, reseat_field x, reseat_field y,
                  reseat_xy otherwise);

/* Whether a field is there and says this. */
bool standing_says(const reseat_record *record, reseat_field field, const char *text);

/* The tip that a record is about, where its type can say one. */
const char *standing_tip(const reseat_record *record);

/* One tip of one probe that has runs. */
typedef struct track {
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    reseat_record *run; /* the latest */
    reseat_drift_run runs[RESEAT_STATE_RUNS_MAX]; /* the latest, by (at, seq) */
    size_t run_count;
} track;

/* Numbers of records. */
typedef struct seq_list {
    int64_t *seqs;
    size_t count;
    size_t room;
} seq_list;

/* False where there is no memory. */
bool seq_list_add(seq_list *list, int64_t seq);
bool seq_list_has(const seq_list *list, int64_t seq);

typedef struct record_list {
    reseat_record **records; /* owned */
    size_t count;
    size_t room;
} record_list;

/* All that is kept while which probe is meant may not be known yet. */
typedef struct gathering {
    const reseat_state_request *query;
    track **tracks; /* by the bytes of probe and tip */
    size_t track_count;
    size_t track_room;
    record_list latest; /* the latest reseat of each probe, and verify of each tip */
    record_list events; /* of every probe and kind */
    seq_list voided;
    seq_list unknown;   /* records of unknown type */
    reseat_record *policy;
    uint64_t bad_lines;
} gathering;

void gathering_free(gathering *g);

/* The last second whose facts count. */
int64_t standing_horizon(const reseat_state_request *query);

/* Takes a sound record over, whether it is of use or not; false where there is no memory. */
bool gathering_take(gathering *g, reseat_record *record);

/* Reads back as far as is needed. */
reseat_status gathering_read(gathering *g, reseat_error *error);

/* Whether more than one probe has runs. */
bool gathering_has_several(const gathering *g);

/* The age from which on a run is too old. */
double standing_max_age_days(const reseat_state *s);

/* The track asked for; NULL with *status and *error saying why there is none. */
track *gathering_choose(const gathering *g, reseat_status *status, reseat_error *error);

/*
 * Whether the probe has had a run, a collision or a stylus change in another log of the folder
 * since `since`; fills *event with the first if so.
 */
reseat_status standing_elsewhere(const reseat_state_request *query, const char *probe, fact since,
                                 reseat_state_event *event, uint64_t *bad_lines,
                                 reseat_error *error);

/* Says which line of a log is bad; RESEAT_ERR_DAMAGED, or why the log could not be read. */
reseat_status standing_bad_line(reseat_log *log, const char *name, const reseat_log_line *line,
                                reseat_error *error);

/*
 * Reads a sound line. A record of a later version, or none at all, is RESEAT_ERR_DAMAGED; the
 * latter with despite_damage is RESEAT_OK with *record left alone, and counted.
 */
reseat_status standing_parse(const reseat_state_request *query, reseat_log *log,
                             const reseat_log_line *line, uint64_t *bad_lines,
                             reseat_record **record, reseat_error *error);

#endif
