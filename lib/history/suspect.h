/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_SUSPECT_H
#define RESEAT_HISTORY_SUSPECT_H

#include "history/replay.h"

/* A run, gauge check, stylus change or collision of one tip. */
typedef struct suspect_fact {
    replay_fact fact;
    bool passed;        /* VERIFY: by the policy of its time */
    reseat_xy error_mm; /* VERIFY: of positions, with the run's offset in use */
} suspect_fact;

/*
 * Windows that they show. A gauge check that failed ends no doubt: what a later one or a run finds
 * makes the same window longer, and its error larger. A stylus change parts it: from the change on
 * the new stylus is in doubt; the old one only where something was held against it already.
 *
 *   facts     in   count of them, by (at, seq)
 *   limit_mm  in   errors up to it leave no doubt; > 0
 *   windows   out  room for `count` of them
 *   found     out  how many there are, by time; the last may be open
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *found as it was.
 */
reseat_status suspect_find(const suspect_fact *facts, size_t count, double limit_mm,
                           reseat_window *windows, size_t *found);

#endif
