/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat drift SPINDLE: how the offset has moved from run to run. */

#include "commands.h"

#include "log_target.h"
#include "show/drift.h"

static bool show(arguments *args, const reseat_standing_query *query,
                 const reseat_standing *standing)
{
    reseat_gather *gather = NULL;
    reseat_outlook outlook;
    if (!log_target_gather(args, query, standing->probe, standing->tip, &gather)) {
        reseat_gather_free(gather);
        return false;
    }
    const reseat_status status = reseat_outlook_find(standing, gather, &outlook);
    reseat_gather_free(gather);
    if (status != RESEAT_OK)
        return fail_status(args, status, query->spindle);
    if (args->json)
        drift_json(standing, &outlook);
    else
        drift_screen(args, standing, &outlook);
    reseat_outlook_free(&outlook);
    return true;
}

void run_drift(arguments *args)
{
    reseat_error error = {0};
    reseat_standing standing;
    reseat_standing_query query;
    if (!log_target_read(args, &query))
        return;
    const reseat_status status = reseat_standing_read(&query, &standing, &error);
    if (status != RESEAT_OK) {
        log_target_fail(args, status, query.dir, query.spindle, &error);
        return;
    }
    show(args, &query, &standing);
    reseat_standing_free(&standing);
}
