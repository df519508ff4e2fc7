/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_TARGET_H
#define RESEAT_HISTORY_TARGET_H

#include "history/folder.h"

/* What a request is about: a probe and its tip in a reading. */
typedef struct target {
    replay *read;
    const replay_probe *probe;
    const replay_tip *tip;
    size_t tips; /* with runs */
} target;

/*
 * Finds it: the probe and tip asked for, or the only ones with runs. *bad_lines grows by the lines
 * passed over that its state may rest on. Errors as reseat_state_read.
 */
reseat_status target_find(reseat_folder *folder, const reseat_state_request *request,
                          target *found, uint64_t *bad_lines, reseat_error *error);

/* The line that begins a log must be sound too, also where reading stopped before it. */
reseat_status target_check_head(const replay *read, bool despite, uint64_t *count,
                                reseat_error *error);

/*
 * All that is on record of the probe of a state; a bad line is RESEAT_ERR_DAMAGED unless they are
 * to be passed over.
 */
reseat_status target_history(reseat_folder *folder, const reseat_state_request *request,
                             const reseat_state *state, replay **read, uint64_t *bad_lines,
                             reseat_error *error);

#endif
