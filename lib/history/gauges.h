/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The register of gauges, which is a log of its own. */
#ifndef RESEAT_HISTORY_GAUGES_H
#define RESEAT_HISTORY_GAUGES_H

#include "history/replay.h"

/* What the register says at a time: its records, those in force in front, by gauge. */
typedef struct gauge_register {
    replay *read;               /* NULL: there is none */
    reseat_gauge_entry *gauges; /* in force */
    size_t count;
    uint64_t bad_lines;         /* passed over, as asked */
} gauge_register;

/* Keeps a record of a reading, which it takes: NULL afterwards, unless RESEAT_ERR_MEMORY. */
reseat_status gauges_take(replay *read, reseat_record **record);

/*
 * Reads it anew. Of a request the folder, `as_known`, `despite_damage` and the horizon count. There
 * is none where the file is not there; an empty one is damage. Errors as reseat_state_read.
 */
reseat_status gauges_read(const file_calls *calls, const reseat_state_request *request,
                          int64_t horizon, gauge_register *read, reseat_error *error);
void gauges_free(gauge_register *read);

/* As reseat_gauge_fill, through the calls given. */
reseat_status gauges_fill(const file_calls *calls, const reseat_state_request *request,
                          reseat_record *record, reseat_gauge_standing *standing,
                          reseat_error *error);

/*
 * A gauge to be recorded against those on record, which what is appended under the lock asks for:
 * of a gauge not seen here before *is_new is set, and *later is the record that stays in force, or
 * -1. `at` left out is when it was certified.
 */
bool gauges_date(const file_calls *calls, reseat_record *record); /* whether it was left out */
reseat_status gauges_check(const file_calls *calls, const char *dir, const reseat_record *record,
                           bool *is_new, int64_t *later, reseat_error *error);

#endif
