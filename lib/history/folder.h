/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The logs of a folder, each read once however many probes are asked for. */
#ifndef RESEAT_HISTORY_FOLDER_H
#define RESEAT_HISTORY_FOLDER_H

#include "history/gauges.h"
#include "history/replay.h"

/* As reseat_folder_open, through the calls given. */
reseat_status folder_open(const file_calls *calls, const char *dir, reseat_folder **folder);

/*
 * The reading of a log that a request asks for, made if there is none as deep: it belongs to the
 * folder and stays until a deeper one is asked for. Where a second probe of a log is asked for, all
 * of them are read.
 */
reseat_status folder_read(reseat_folder *folder, const replay_request *request, replay **read,
                          reseat_error *error);

/*
 * The probes with runs up to the horizon: of a reading of all that there is already, else at a
 * glance, without a look at seals.
 */
reseat_status folder_names(reseat_folder *folder, const replay_request *request,
                           named_list *names, reseat_error *error);

/*
 * What other logs of the folder say of the probe of a state: the first run, collision or stylus
 * change since its run, as an event, and the last record of any kind since `seated`, as evidence.
 * Equal times count as later, as nothing orders two logs.
 */
reseat_status folder_find_use(reseat_folder *folder, const reseat_state_request *request,
                              int64_t seated, reseat_state *state, reseat_error *error);

/* The register last read for the folder, which keeps it. */
gauge_register *folder_gauges(reseat_folder *folder);

/* The last second whose facts count. */
int64_t request_horizon(const reseat_state_request *request);

/* A folder for one call where the request has none; end it with folder_release. */
reseat_status folder_borrow(const reseat_state_request *request, reseat_folder **folder);
void folder_release(const reseat_state_request *request, reseat_folder *folder);

#endif
