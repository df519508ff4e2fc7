/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What reading a log for a standing collects. */
#ifndef RESEAT_STANDING_PARTS_H
#define RESEAT_STANDING_PARTS_H

#include "reseat/standing.h"

/* A place in the order of facts. */
typedef struct fact {
    int64_t at;
    int64_t seq;
} fact;

bool fact_is_later(fact a, fact b);

/* The fact that a record states: its `at`, or when it was written. */
fact fact_of(const reseat_record *record);

/* One tip of one probe that has runs. */
typedef struct track {
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    reseat_record *run; /* the latest */
    reseat_drift_run runs[RESEAT_STANDING_RUNS_MAX];
    size_t run_count;
} track;

/* All that is kept while which probe is meant may not be known yet. */
typedef struct gathering {
    const reseat_standing_query *query;
    track **tracks;
    size_t track_count;
    reseat_record **others; /* reseats, events, verifies */
    size_t other_count, other_space;
    int64_t *voided;
    size_t voided_count, voided_space;
    reseat_record *policy;
    int64_t *unknown; /* seqs of records of unknown type */
    size_t unknown_count, unknown_space;
    uint64_t bad_lines;
} gathering;

void gathering_free(gathering *g);

/* Reads back as far as is needed. */
reseat_status gathering_read(gathering *g, reseat_error *error);

/* The track asked for; NULL with *status and *error saying why there is none. */
track *gathering_choose(const gathering *g, reseat_status *status, reseat_error *error);

/*
 * Whether the probe has had a run, a collision or a stylus change in another log of the folder
 * since `since`; fills *event if so.
 */
reseat_status standing_elsewhere(const reseat_standing_query *query, const char *probe, fact since,
                                 reseat_standing_event *event, uint64_t *bad_lines,
                                 reseat_error *error);

/* Says which line of a log is bad; RESEAT_ERR_DAMAGED, or why the log could not be read. */
reseat_status standing_bad_line(reseat_log *log, const char *name, const reseat_log_line *line,
                                reseat_error *error);

#endif
