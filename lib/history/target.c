/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which probe and tip of a log is meant, where not all of it is typed. */

#include "history/target.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "history/state.h"

/*
 * Writes the names, separated by commas, as many as there is room for; of tips those with runs.
 */
static void list_names(const named_list *list, bool tips, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < list->count; i++) {
        const char *name = list->items[i];
        char shown[2 * RESEAT_RECORD_NAME_MAX];
        if (tips && !((const replay_tip *)list->items[i])->run)
            continue;
        reseat_text_terminal(name, strlen(name), shown, sizeof shown);
        if (used + strlen(shown) + sizeof ", , ..." > size) {
            snprintf(out + used, size - used, ", ...");
            return;
        }
        used += (size_t)snprintf(out + used, size - used, "%s%s", used > 0 ? ", " : "", shown);
    }
}

/* Says why there is no choice; the names that there are follow the text. */
static reseat_status refuse(const named_list *list, bool tips, reseat_status status,
                            const char *text, reseat_error *error)
{
    char names[200];
    list_names(list, tips, names, sizeof names);
    return error_set(error, status, 0, "%s: %s", text, names);
}

static reseat_status refuse_probe(const reseat_state_request *request, const named_list *names,
                                  reseat_error *error)
{
    if (names->count == 0)
        return error_set(error, RESEAT_ERR_NOT_FOUND, 0, "no run is on record for %s%s",
                         request->spindle, request->ahead > 0 ? "" : " by that time");
    if (request->probe)
        return refuse(names, false, RESEAT_ERR_NOT_FOUND,
                      "no run of that probe is on record; probes with runs", error);
    return refuse(names, false, RESEAT_ERR_REFUSED,
                  "say which probe with --probe, as several have runs", error);
}

reseat_status target_check_head(const replay *read, bool despite, uint64_t *count,
                                reseat_error *error)
{
    if (read->has_head)
        return RESEAT_OK;
    if (!despite)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "the log of %s does not begin with a sound `log` record; reseat audit "
                         "%s shows all", read->spindle, read->spindle);
    if (*count == 0)
        *count = 1;
    return RESEAT_OK;
}

static replay_request ask_for(const reseat_state_request *request, const char *probe)
{
    return (replay_request){.dir = request->dir, .spindle = request->spindle, .probe = probe,
                            .tip = request->tip, .horizon = request_horizon(request),
                            .known = request->as_known,
                            .depth = request->whole ? REPLAY_WHOLE : REPLAY_STATE};
}

/* The probes with runs, which is told only if no line is bad that might name another. */
static reseat_status read_names(reseat_folder *folder, const reseat_state_request *request,
                                named_list *names, reseat_error *error)
{
    replay *read = NULL;
    uint64_t ignored = 0;
    const replay_request all = ask_for(request, NULL);
    reseat_status status = folder_read(folder, &all, &read, error);
    if (status == RESEAT_OK)
        status = replay_check(read, 0, request->despite_damage, &ignored, error);
    if (status == RESEAT_OK)
        status = target_check_head(read, request->despite_damage, &ignored, error);
    return status == RESEAT_OK ? folder_names(folder, &all, names, error) : status;
}

/* Says why no probe, or the one asked for, has no run. */
static reseat_status fail_to_choose(reseat_folder *folder, const reseat_state_request *request,
                                    reseat_error *error)
{
    named_list names = {.items = NULL};
    reseat_status status = read_names(folder, request, &names, error);
    if (status == RESEAT_OK)
        status = refuse_probe(request, &names, error);
    named_free(&names);
    return status;
}

/*
 * The only probe with runs. Where a glance finds none or several, some may stand in bad lines; and
 * it sees all that was written since the time whose knowledge is asked for.
 */
static reseat_status choose_probe(reseat_folder *folder, const reseat_state_request *request,
                                  char *probe, reseat_error *error)
{
    named_list names = {.items = NULL};
    const replay_request all = ask_for(request, NULL);
    reseat_status status = folder_names(folder, &all, &names, error);
    if (status == RESEAT_OK && (names.count != 1 || request->as_known)) {
        named_free(&names);
        status = read_names(folder, request, &names, error);
    }
    if (status == RESEAT_OK && names.count != 1)
        status = refuse_probe(request, &names, error);
    if (status == RESEAT_OK)
        memcpy(probe, names.items[0], strlen(names.items[0]) + 1);
    named_free(&names);
    return status;
}

/* The tip asked for, or `main`, or the only one with runs; NULL if there is none. */
static replay_tip *find_tip(const replay_probe *probe, const char *tip, size_t *count)
{
    replay_tip *only = NULL;
    replay_tip *named = named_find(&probe->tips, tip ? tip : "main");
    *count = 0;
    for (size_t i = 0; i < probe->tips.count; i++) {
        replay_tip *other = probe->tips.items[i];
        if (!other->run)
            continue;
        ++*count;
        only = other;
    }
    if (named && named->run)
        return named;
    return !tip && *count == 1 ? only : NULL;
}

static reseat_status refuse_tip(const replay_probe *probe, const char *tip, reseat_error *error)
{
    if (tip)
        return refuse(&probe->tips, true, RESEAT_ERR_NOT_FOUND,
                      "no run of that tip is on record; tips with runs", error);
    return refuse(&probe->tips, true, RESEAT_ERR_REFUSED,
                  "say which tip with --tip, as several have runs", error);
}

/*
 * The byte from which on bad lines count: those above were written before all that the state rests
 * on. A tip that was not asked for is the only one with runs, which a line anywhere may disprove.
 */
static reseat_status find_needed(const reseat_state_request *request, const replay *read,
                                 const replay_probe *probe, const replay_tip *tip, uint64_t *from,
                                 reseat_error *error)
{
    size_t count = 0;
    reseat_status status = RESEAT_OK;
    *from = 0;
    uint64_t policy = 0;
    if (read->bad_count == 0 || read->request.known || !tip ||
        !replay_policy_at(read, read->request.horizon, &policy) ||
        strcmp(tip->name, request->tip ? request->tip : "main") != 0)
        return RESEAT_OK;
    reseat_drift_run *runs = state_runs(read, probe->name, tip->name, &count);
    if (!runs)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (count >= RESEAT_STATE_RUNS_MAX)
        status = replay_first_written(read, runs[count - RESEAT_STATE_RUNS_MAX].at, from, error);
    free(runs);
    if (policy < *from)
        *from = policy;
    return status;
}

/* Finds the tip of a probe of that name, and whether lines that its state rests on are bad. */
static reseat_status look_for(reseat_folder *folder, const reseat_state_request *request,
                                 const char *name, target *found, uint64_t *bad_lines,
                                 reseat_error *error)
{
    const replay_request wanted = ask_for(request, name);
    const bool despite = request->despite_damage;
    uint64_t from = 0;
    *found = (target){.read = NULL};
    reseat_status status = folder_read(folder, &wanted, &found->read, error);
    if (status != RESEAT_OK)
        return status;
    found->probe = replay_find(found->read, name);
    if (found->probe)
        found->tip = find_tip(found->probe, request->tip, &found->tips);
    status = find_needed(request, found->read, found->probe, found->tip, &from, error);
    if (status == RESEAT_OK)
        status = replay_check(found->read, from, despite, bad_lines, error);
    return status == RESEAT_OK ? target_check_head(found->read, despite, bad_lines, error) : status;
}

reseat_status target_find(reseat_folder *folder, const reseat_state_request *request,
                          target *found, uint64_t *bad_lines, reseat_error *error)
{
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    const char *name = request->probe ? request->probe : probe;
    reseat_status status = request->probe ? RESEAT_OK
                                          : choose_probe(folder, request, probe, error);
    if (status == RESEAT_OK)
        status = look_for(folder, request, name, found, bad_lines, error);
    if (status != RESEAT_OK || found->tip)
        return status;
    return found->tips > 0 ? refuse_tip(found->probe, request->tip, error)
                           : fail_to_choose(folder, request, error);
}

reseat_status reseat_state_probe(const reseat_state_request *request, char *probe,
                                 reseat_error *error)
{
    if (!request || !request->dir || !request->spindle || !probe)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    char chosen[RESEAT_RECORD_NAME_MAX + 1];
    target ignored;
    uint64_t bad_lines = 0;
    reseat_state_request any = *request;
    reseat_folder *folder = NULL;
    any.probe = NULL;
    reseat_status status = folder_borrow(request, &folder);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    status = choose_probe(folder, &any, chosen, error);
    if (status == RESEAT_OK)
        status = look_for(folder, &any, chosen, &ignored, &bad_lines, error);
    if (status == RESEAT_OK)
        memcpy(probe, chosen, sizeof chosen);
    folder_release(request, folder);
    return status;
}

reseat_status target_history(reseat_folder *folder, const reseat_state_request *request,
                            const reseat_state *state, replay **read, uint64_t *bad_lines,
                            reseat_error *error)
{
    replay_request wanted = ask_for(request, state->probe);
    wanted.depth = REPLAY_WHOLE;
    const reseat_status status = folder_read(folder, &wanted, read, error);
    return status == RESEAT_OK
               ? replay_check(*read, 0, request->despite_damage, bad_lines, error) : status;
}
