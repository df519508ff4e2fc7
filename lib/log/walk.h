/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_WALK_H
#define RESEAT_LOG_WALK_H

#include "log/file.h"
#include "reseat/values.h"

/* A log from its newest record back, so that what is void is known before it is met. */

/* A record that is void, and the one that voids it. */
typedef struct walk_void {
    int64_t seq;
    int64_t by;
} walk_void;

typedef struct log_walk {
    log_reader *log;
    walk_void *voided; /* named by void records met so far, their records not yet */
    size_t count;
    size_t room;
    bool trusting; /* every line that ends in a seal holds: none is computed */
} log_walk;

/* A line on the way. Of a sound one the fields below `line` are known, unless `invalid`. */
typedef struct walk_step {
    reseat_log_line line;
    int64_t v;
    int64_t seq;
    reseat_record_type type;
    char recorded_at[RESEAT_TIME_SIZE];
    const char *rest;     /* what follows `recorded_at`; NULL where the line had to be read whole */
    record_glance seen;   /* what its first bytes say, where rest is not NULL */
    int64_t voided_by;    /* number of the record that voids it; -1 if none does */
    bool invalid;         /* sealed, but no record; its type is OTHER */
    reseat_error why;     /* of an invalid one: key and text */
} walk_step;

void walk_start(log_walk *walk, log_reader *log);
void walk_end(log_walk *walk);

/* The next line back; RESEAT_OK with line.state RESEAT_LINE_NONE at the start of the log. */
reseat_status walk_previous(log_walk *walk, walk_step *step, reseat_error *error);

/* Whether people can take a record of this type back. */
bool walk_can_void(reseat_record_type type);

#endif
