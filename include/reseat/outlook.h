/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a log says of a probe over time: how it drifts, when it falls due, and whether a new run
 * fits in with those before (handbook section 11).
 */
#ifndef RESEAT_OUTLOOK_H
#define RESEAT_OUTLOOK_H

#include <stdbool.h>
#include <stdint.h>
#include "reseat/drift.h"
#include "reseat/gather.h"
#include "reseat/record.h"
#include "reseat/standing.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct reseat_outlook {
    reseat_drift_input input; /* runs and events, and what the policy says */
    reseat_drift drift;
    bool due_known;  /* a limit is set */
    int64_t due_at;  /* seconds since 1970 */
    double due_days; /* from `as_of` of the standing on; 0 where it is due already */
    bool due_by_age; /* it is the age allowed that is up, not the chance */
    void *workspace;
} reseat_outlook;

/*
 * Drift and due date of the probe and tip of a standing. A run falls due on the first day on which
 * the verdict under this policy is RECALIBRATE though the probe stays in the spindle: by drift, by
 * age, or by a collision and the like.
 *
 *   standing  in      from reseat_standing_read
 *   gather    in/out  with all records of the log; must outlive the outlook
 *   outlook   out     to be let go with reseat_outlook_free
 *
 * Returns RESEAT_OK, else *outlook is as it was before the call:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL
 *   RESEAT_ERR_NOT_FOUND  the probe and tip have no runs in what was gathered
 *   RESEAT_ERR_MEMORY, RESEAT_ERR_NOT_FINITE, RESEAT_ERR_RANGE
 */
RESEAT_API reseat_status reseat_outlook_find(const reseat_standing *standing,
                                             reseat_gather *gather, reseat_outlook *outlook);
RESEAT_API void reseat_outlook_free(reseat_outlook *outlook);

/*
 * A run against those before it in its baseline, be it in the log already or not.
 *
 *   dir, spindle  in   the log; bad lines are passed over
 *   run           in   a record with `seq`; the newest by (at, seq)
 *   newest        out
 *
 * Returns RESEAT_OK, else *newest is as it was before the call: RESEAT_ERR_TOO_FEW where there are
 * fewer than 7 before it with a seat, it has none itself, or it is not the newest;
 * RESEAT_ERR_SINGULAR where they do not scatter; or the errors of reseat_standing_read.
 */
RESEAT_API reseat_status reseat_outlook_newest(const char *dir, const char *spindle,
                                               const reseat_record *run,
                                               reseat_drift_newest *newest);

#ifdef __cplusplus
}
#endif
#endif
