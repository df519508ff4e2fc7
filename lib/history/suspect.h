/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_SUSPECT_H
#define RESEAT_HISTORY_SUSPECT_H

#include "reseat/history.h"

/* What a record says of a probe and tip, as far as it matters here. */
typedef enum suspect_kind {
    SUSPECT_RUN = 0,     /* found an offset, and put one in use */
    SUSPECT_CHECK = 1,   /* a gauge check: error_mm of positions */
    SUSPECT_RENEWED = 2  /* stylus change: the offset is another from then on */
} suspect_kind;

typedef struct suspect_fact {
    suspect_kind kind;
    int64_t seq;
    int64_t at;
    reseat_xy found_mm;  /* RUN: the offset as found, before it was set anew */
    reseat_xy in_use_mm; /* RUN: that which the control adds from then on */
    reseat_xy error_mm;  /* CHECK */
} suspect_fact;

/*
 * Windows that facts show: a probe is known good by a run, and by a gauge check within the limit.
 * What a run finds after a stylus change is the offset of the new stylus, which says nothing of the
 * time before: the window begins with the change.
 *
 *   facts     in   count of them, by (at, seq)
 *   limit_mm  in   errors up to it leave no doubt; > 0
 *   windows   out  room for `count` of them
 *   found     out  how many there are, by time
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *found as it was.
 */
reseat_status suspect_find(const suspect_fact *facts, size_t count,
                           double limit_mm, reseat_window *windows,
                           size_t *found);

#endif
