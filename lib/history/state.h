/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_STATE_H
#define RESEAT_HISTORY_STATE_H

#include "history/folder.h"

/* `same`, for a question of what would be if the probe had not been out: it is never refused. */
extern const reseat_seat state_same;

/* The age from which on a run is too old. */
double state_max_age_days(const reseat_state *state);

/* As reseat_state_read, from a folder that is open, without a look into its other logs. */
reseat_status state_read_alone(reseat_folder *folder, const reseat_state_request *request,
                               reseat_state *state, reseat_error *error);

/* As reseat_record_enter, through the calls given; no pointer is NULL. */
reseat_status record_enter(const file_calls *calls, const reseat_record_request *request,
                           reseat_record *record, reseat_recorded *recorded, reseat_error *error);

/* The scatter of one seating by a policy, NULL for none, into terms that are assumed. */
void policy_take_seat(const reseat_record *policy, reseat_terms *terms);

/* The runs of a tip, or baseline breaks of a probe, of a reading; NULL where there is no memory. */
reseat_drift_run *state_runs(const replay *read, const char *probe, const char *tip,
                             size_t *count);
reseat_drift_event *state_breaks(const replay *read, const char *probe, size_t *count);

#endif
