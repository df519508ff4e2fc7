/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

const char *drift_date(char *out, int64_t at)
{
    char text[RESEAT_TIME_SIZE] = "";
    (void)reseat_time_format(at, text);
    snprintf(out, TEXT_SIZE, "%.10s", text);
    return out;
}

int drift_gather(const arguments *args, const reseat_state_request *query, const char *probe,
                 const char *tip, reseat_gather **gather)
{
    reseat_log *log = NULL;
    reseat_error error = {0};
    uint64_t bad_lines = 0;
    reseat_status status = reseat_log_open(query->dir, query->spindle, &log, &error);
    if (status == RESEAT_OK)
        status = reseat_gather_new(probe, tip, query->as_of + query->ahead, gather);
    if (status == RESEAT_OK)
        status = reseat_gather_log(*gather, log, query->despite_damage, &bad_lines, &error);
    reseat_log_close(log);
    if (status != RESEAT_OK)
        return where_fail(args, status, query->dir, query->spindle, &error);
    if (bad_lines > 0)
        fprintf(stderr, "reseat: damage was ignored, as asked: %" PRIu64 " bad line%s\n",
                bad_lines, text_s(bad_lines));
    return EXIT_DONE;
}

static int show(const arguments *args, const reseat_state_request *query,
                const reseat_state *standing)
{
    reseat_gather *gather = NULL;
    reseat_outlook outlook;
    int exit = drift_gather(args, query, standing->probe, standing->tip, &gather);
    if (exit == EXIT_DONE) {
        const reseat_status status = reseat_outlook_find(standing, gather, &outlook);
        if (status != RESEAT_OK)
            exit = text_status(args, status, query->spindle);
        else if (args->json)
            drift_json(standing, &outlook);
        else
            drift_screen(args, standing, &outlook);
        if (status == RESEAT_OK)
            reseat_outlook_free(&outlook);
    }
    reseat_gather_free(gather);
    return exit;
}

int cmd_drift(const arguments *args)
{
    reseat_error error = {0};
    reseat_state standing;
    const char *dir, *spindle;
    int exit = where_log(args, &dir, &spindle);
    if (exit != EXIT_DONE)
        return exit;
    const reseat_state_request query = where_query(args, dir, spindle);
    const reseat_status status = reseat_state_read(&query, &standing, &error);
    if (status != RESEAT_OK)
        return where_fail(args, status, dir, spindle, &error);
    exit = show(args, &query, &standing);
    reseat_state_free(&standing);
    return exit;
}
