/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_SUSPECT_H
#define RESEAT_HISTORY_SUSPECT_H

#include "history/replay.h"

/*
 * Windows that the runs, gauge checks and stylus changes of one tip show: a probe is known good by
 * a run, and by a gauge check within the limit. What a run finds after a stylus change is the
 * offset of the new stylus, which says nothing of the time before: the window begins with the
 * change.
 *
 *   facts     in   count of them, by (at, seq)
 *   limit_mm  in   errors up to it leave no doubt; > 0
 *   windows   out  room for `count` of them
 *   found     out  how many there are, by time
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *found as it was.
 */
reseat_status suspect_find(const replay_fact *facts, size_t count, double limit_mm,
                           reseat_window *windows, size_t *found);

#endif
