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

int drift_find(const arguments *args, const reseat_state_request *request,
               const reseat_state *state, reseat_outlook *outlook)
{
    reseat_error error = {0};
    const reseat_status status = reseat_outlook_find(request, state, outlook, &error);
    if (status != RESEAT_OK)
        return where_fail(args, status, request->dir, request->spindle, &error);
    if (outlook->bad_lines > 0)
        fprintf(stderr, "reseat: damage was ignored, as asked: %" PRIu64 " bad line%s\n",
                outlook->bad_lines, text_s(outlook->bad_lines));
    return EXIT_DONE;
}

static int show(const arguments *args, const reseat_state_request *request,
                const reseat_state *state)
{
    reseat_outlook outlook;
    const int exit = drift_find(args, request, state, &outlook);
    if (exit != EXIT_DONE)
        return exit;
    if (args->json)
        drift_json(state, &outlook);
    else
        drift_screen(args, state, &outlook);
    reseat_outlook_free(&outlook);
    return EXIT_DONE;
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
