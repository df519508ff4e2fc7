/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat drift SPINDLE: how the offset has moved from run to run. */

#include "commands.h"

#include "log_target.h"
#include "show/drift.h"

static bool show(arguments *args, const reseat_state_request *query, const reseat_state *state)
{
    reseat_outlook outlook;
    if (!log_target_outlook(args, query, state, &outlook))
        return false;
    if (args->json)
        drift_json(state, &outlook);
    else
        drift_screen(args, state, &outlook);
    reseat_outlook_free(&outlook);
    return true;
}

static bool read_state(arguments *args, const reseat_state_request *query, reseat_state *state)
{
    reseat_error error = {0};
    const reseat_status status = reseat_state_read(query, state, &error);
    return status == RESEAT_OK ||
           log_target_fail(args, status, query->dir, query->spindle, &error);
}

void run_drift(arguments *args)
{
    reseat_state state;
    reseat_state_request query = {.folder = NULL};
    if (log_target_read(args, &query) && log_target_share(args, &query) &&
        read_state(args, &query, &state)) {
        show(args, &query, &state);
        reseat_state_free(&state);
    }
    reseat_folder_close(query.folder);
}
