/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Everything that is done to a log, and what must hold after it whatever failed on the way. */
#ifndef RESEAT_TESTS_SCENARIOS_H
#define RESEAT_TESTS_SCENARIOS_H

#include "disk.h"

typedef struct scenario {
    const char *name;
    void (*prepare)(void);        /* puts the log on the disk */
    reseat_status (*act)(void);   /* does it; fills act_said and act_error */
    bool appends;
} scenario;

extern const scenario scenarios[];
extern const size_t scenario_count;

extern char act_said[4096];      /* what it found out, as text */
extern reseat_error act_error;

/* A run with radii by direction. */
reseat_record *record_radii(void);

/* Prepares it anew and does it without a fault; the number of system calls. */
long scenario_run_clean(const scenario *what);

/*
 * After an act that may have failed: all that was acknowledged is there and durable, nothing that
 * stood there is changed, what was not acknowledged is absent, whole or a piece that the next
 * record seals off; and the log can be gone on with.
 */
void scenario_check(const scenario *what, reseat_status status, const char *about);

/* The states of all lines, read both ways, which must agree; empties act_said first. */
reseat_status read_states(char *states, size_t size);

#endif
