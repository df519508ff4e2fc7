/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Gathers the runs of probes and tips from a log, record by record, for reseat_drift_find. What is
 * kept grows with those runs, with the events that end baselines and with the voids; all other
 * records leave nothing behind.
 */
#ifndef RESEAT_GATHER_H
#define RESEAT_GATHER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/drift.h"
#include "reseat/log.h"
#include "reseat/record.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* What has been gathered. Not to be used by two threads at once. */
typedef struct reseat_gather reseat_gather;

/*
 * Begins to gather; let go with reseat_gather_free, which takes NULL too.
 *
 *   probe, tip  in   whose runs; copied; NULL for all; a run without a tip is one of "main"
 *   until       in   seconds since 1970; facts of later times are left out
 *   gather      out
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, RESEAT_ERR_RANGE (a name longer than a record holds),
 * RESEAT_ERR_MEMORY with *gather as it was.
 */
RESEAT_API reseat_status reseat_gather_new(const char *probe, const char *tip, int64_t until,
                                           reseat_gather **gather);
RESEAT_API void reseat_gather_free(reseat_gather *gather);

/*
 * Takes the next record, of any type, in the order of the log or backwards. Nothing of it is kept
 * but names and numbers. Returns RESEAT_OK, RESEAT_ERR_ARGUMENT or RESEAT_ERR_MEMORY.
 */
RESEAT_API reseat_status reseat_gather_take(reseat_gather *gather, const reseat_record *record);

/*
 * Takes all records of a log, from its start on.
 *
 *   log             in   open; is read to its end
 *   despite_damage  in   pass over bad lines rather than stop at the first
 *   bad_lines       out  how many were passed over; may be NULL
 *   error           out  which line is bad, and what to do; may be NULL
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, RESEAT_ERR_DAMAGED, RESEAT_ERR_IO, RESEAT_ERR_MEMORY
 * with *bad_lines as it was.
 */
RESEAT_API reseat_status reseat_gather_log(reseat_gather *gather, reseat_log *log,
                                           bool despite_damage, uint64_t *bad_lines,
                                           reseat_error *error);

/* A record of type run as drift sees it; all zero for NULL. */
RESEAT_API reseat_drift_run reseat_gather_run(const reseat_record *record);

/*
 * How many tips of probes have runs that were not voided. Those are put first and numbered from 0,
 * by the bytes of probe and tip; numbers hold until more is taken.
 */
RESEAT_API size_t reseat_gather_count(reseat_gather *gather);

/*
 * Gives input->runs and input->events what has been gathered of a tip and was not voided, in order;
 * the other fields are left alone.
 *
 *   index       in   below reseat_gather_count
 *   probe, tip  out  its names; each may be NULL
 *   input       out
 *
 * All of it lives until more is taken or given, or the gatherer is let go.
 *
 * Returns RESEAT_OK, RESEAT_ERR_ARGUMENT, RESEAT_ERR_RANGE (no such index) or RESEAT_ERR_MEMORY,
 * with the outputs as they were.
 */
RESEAT_API reseat_status reseat_gather_give(reseat_gather *gather, size_t index,
                                            const char **probe, const char **tip,
                                            reseat_drift_input *input);

#ifdef __cplusplus
}
#endif
#endif
