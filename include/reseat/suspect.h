/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* In which windows of time results are doubtful, as it turned out later (handbook section 9). */
#ifndef RESEAT_SUSPECT_H
#define RESEAT_SUSPECT_H

#include <stddef.h>
#include <stdint.h>
#include "reseat/plane.h"
#include "reseat/standing.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* What a record says of a probe and tip, as far as it matters here. */
typedef enum reseat_fact_kind {
    RESEAT_FACT_RUN = 0,     /* found an offset, and put one in use */
    RESEAT_FACT_CHECK = 1,   /* a gauge check: error_mm of positions */
    RESEAT_FACT_RENEWED = 2  /* stylus change: the offset is another from then on */
} reseat_fact_kind;

typedef struct reseat_fact {
    reseat_fact_kind kind;
    int64_t seq;
    int64_t at;
    reseat_xy found_mm;  /* RUN: the offset as found, before it was set anew */
    reseat_xy in_use_mm; /* RUN: that which the control subtracts from then on */
    reseat_xy error_mm;  /* CHECK */
} reseat_fact;

/* From the last time the probe was known good to the record that found it out. */
typedef struct reseat_window {
    int64_t from_seq;
    int64_t to_seq;
    int64_t from;
    int64_t to;
    reseat_xy expected_mm; /* offset that was in use */
    reseat_xy found_mm;    /* offset that there was */
    reseat_xy error_mm;    /* that features in the window may carry: expected less found */
} reseat_window;

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
RESEAT_API reseat_status reseat_suspect_find(const reseat_fact *facts, size_t count,
                                             double limit_mm, reseat_window *windows,
                                             size_t *found);

typedef struct reseat_suspect {
    reseat_window *windows;
    size_t count;
    uint64_t bad_lines; /* passed over, as asked */
} reseat_suspect;

/*
 * The windows of the probe and tip of a standing, from its whole log.
 *
 *   query     in   as for reseat_standing_read
 *   standing  in   from it
 *   limit_mm  in   > 0
 *   suspect   out  to be let go with reseat_suspect_free
 *   error     out  may be NULL
 *
 * Returns RESEAT_OK, else *suspect is as it was: RESEAT_ERR_ARGUMENT, _RANGE, _NOT_FINITE, _MEMORY,
 * _IO, _DAMAGED (a bad line, unless despite_damage).
 */
RESEAT_API reseat_status reseat_suspect_read(const reseat_standing_query *query,
                                             const reseat_standing *standing, double limit_mm,
                                             reseat_suspect *suspect, reseat_error *error);
RESEAT_API void reseat_suspect_free(reseat_suspect *suspect);

#ifdef __cplusplus
}
#endif
#endif
