/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What is in force for a probe and tip at a time. */

#include "history/state.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/time.h"
#include "history/drift.h"
#include "log/record.h"

const char *reseat_seat_source_name(reseat_seat_source source)
{
    static const char *const names[] = {"run", "reseat", "verify", "policy", "default", "typed"};
    return (unsigned)source < sizeof names / sizeof names[0] ? names[source] : "";
}

void reseat_state_free(reseat_state *state)
{
    if (!state)
        return;
    reseat_record_free(state->run);
    reseat_record_free(state->last_reseat);
    reseat_record_free(state->check);
    reseat_record_free(state->policy);
    free(state->runs);
    free(state->baselines);
    memset(state, 0, sizeof *state);
}

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

/* The line that begins the log must be sound too, also where reading stopped before it. */
static reseat_status check_head(const replay *read, bool despite, uint64_t *count,
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
        status = check_head(read, request->despite_damage, &ignored, error);
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

/* The only probe with runs; where a glance finds none or several, some may stand in bad lines. */
static reseat_status choose_probe(reseat_folder *folder, const reseat_state_request *request,
                                  char *probe, reseat_error *error)
{
    named_list names = {.items = NULL};
    const replay_request all = ask_for(request, NULL);
    reseat_status status = folder_names(folder, &all, &names, error);
    if (status == RESEAT_OK && names.count != 1) {
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

reseat_drift_run *state_runs(const replay *read, const char *probe, const char *tip,
                             size_t *count)
{
    const replay_probe *own = replay_find(read, probe);
    reseat_drift_run *runs = calloc((own ? own->count : 0) + 1, sizeof *runs);
    *count = 0;
    for (size_t i = 0; runs && own && i < own->count; i++)
        if (own->facts[i].type == RESEAT_RECORD_RUN && strcmp(own->facts[i].tip, tip) == 0)
            runs[(*count)++] = own->facts[i].run;
    return runs;
}

static bool breaks_baseline(const replay_fact *fact)
{
    return fact->event != EVENT_NONE && fact->event != EVENT_OTHER;
}

reseat_drift_event *state_breaks(const replay *read, const char *probe, size_t *count)
{
    const replay_probe *common = replay_find(read, ""), *own = replay_find(read, probe);
    reseat_drift_event *breaks =
        calloc(common->count + (own ? own->count : 0) + 1, sizeof *breaks);
    replay_cursor cursor = {.read = read, .probe = own};
    const replay_fact *fact;
    *count = 0;
    while (breaks && replay_next(&cursor, &fact))
        if (breaks_baseline(fact))
            breaks[(*count)++] = (reseat_drift_event){.seq = (uint64_t)fact->seq, .at = fact->at};
    return breaks;
}

/* Events and records of unknown types since the run. */
static void take_events(const replay *read, const replay_probe *probe, reseat_state *state)
{
    static const reseat_reason reasons[] = {
        [EVENT_COLLISION] = RESEAT_REASON_COLLISION,
        [EVENT_STYLUS_CHANGE] = RESEAT_REASON_STYLUS_CHANGE,
        [EVENT_SERVICE] = RESEAT_REASON_SERVICE,
    };
    const replay_fact run = fact_of(state->run);
    replay_cursor cursor = {.read = read, .probe = probe};
    const replay_fact *fact;
    while (replay_next(&cursor, &fact)) {
        if (fact->type == RESEAT_RECORD_OTHER)
            state->unknown_types += fact->seq > run.seq;
        if (!breaks_baseline(fact) || !fact_is_later(fact, &run))
            continue;
        const reseat_reason reason = reasons[fact->event];
        if (!(state->reasons & 1u << reason))
            state->events[reason] = (reseat_state_event){.seq = fact->seq, .at = fact->at};
        state->reasons |= 1u << reason;
    }
}

/* The latest runs, as many as a state keeps, and the breaks between them. */
static reseat_status take_runs(const replay *read, reseat_state *state)
{
    state->runs = state_runs(read, state->probe, state->tip, &state->run_count);
    state->baselines = state_breaks(read, state->probe, &state->baseline_count);
    if (!state->runs || !state->baselines)
        return RESEAT_ERR_MEMORY;
    const size_t most = RESEAT_STATE_RUNS_MAX;
    const size_t old_runs = state->run_count > most ? state->run_count - most : 0;
    const reseat_drift_run first = state->runs[old_runs];
    size_t old = 0;
    while (old < state->baseline_count &&
           is_before(state->baselines[old].at, state->baselines[old].seq, first.at, first.seq))
        old++;
    state->run_count -= old_runs;
    state->baseline_count -= old;
    memmove(state->runs, state->runs + old_runs, state->run_count * sizeof first);
    memmove(state->baselines, state->baselines + old,
            state->baseline_count * sizeof state->baselines[0]);
    return RESEAT_OK;
}

/* A copy of a record with its line, if it is later than another; NULL: of any. */
static reseat_status copy_later(const reseat_record *record, const reseat_record *than,
                                reseat_record **copy)
{
    if (!record)
        return RESEAT_OK;
    const replay_fact fact = fact_of(record);
    if (than) {
        const replay_fact other = fact_of(than);
        if (!fact_is_later(&fact, &other))
            return RESEAT_OK;
    }
    size_t length = 0;
    const char *line = reseat_record_line(record, &length);
    return record_parse(line, length, copy, NULL);
}

/* The run, the last reseat since, a gauge check since both, and the policy. */
static reseat_status take_records(const replay *read, const replay_probe *probe,
                                  const replay_tip *tip, reseat_state *state)
{
    reseat_status status = copy_later(tip->run, NULL, &state->run);
    if (status == RESEAT_OK)
        status = copy_later(probe->reseat, tip->run, &state->last_reseat);
    if (status == RESEAT_OK)
        status = copy_later(tip->verify, state->last_reseat ? state->last_reseat : state->run,
                            &state->check);
    return status == RESEAT_OK ? copy_later(read->policy, NULL, &state->policy) : status;
}

double state_max_age_days(const reseat_state *state)
{
    return reseat_record_number(state->policy, RESEAT_FIELD_MAX_AGE_DAYS, RESEAT_MAX_AGE_DAYS);
}

static void take_age(reseat_state *state)
{
    const double seconds = (double)state->as_of - (double)fact_of(state->run).at;
    state->age_days = seconds > 0 ? seconds / SECONDS_A_DAY : 0; /* clocks differ a little */
    if (state->age_days > state_max_age_days(state))
        state->reasons |= 1u << RESEAT_REASON_TOO_OLD;
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
    if (read->bad_count == 0 || !read->policy || !tip ||
        strcmp(tip->name, request->tip ? request->tip : "main") != 0)
        return RESEAT_OK;
    reseat_drift_run *runs = state_runs(read, probe->name, tip->name, &count);
    if (!runs)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (count >= RESEAT_STATE_RUNS_MAX)
        status = replay_first_written(read, runs[count - RESEAT_STATE_RUNS_MAX].at, from, error);
    free(runs);
    if (read->policy_offset < *from)
        *from = read->policy_offset;
    return status;
}

/* What a request is about: a probe and its tip in a reading; NULL where there is none. */
typedef struct target {
    replay *read;
    const replay_probe *probe;
    const replay_tip *tip;
    size_t tips; /* with runs */
} target;

/* Finds it for a probe of that name, and whether lines that its state rests on are bad. */
static reseat_status find_target(reseat_folder *folder, const reseat_state_request *request,
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
    return status == RESEAT_OK ? check_head(found->read, despite, bad_lines, error) : status;
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
        status = find_target(folder, &any, chosen, &ignored, &bad_lines, error);
    if (status == RESEAT_OK)
        memcpy(probe, chosen, sizeof chosen);
    folder_release(request, folder);
    return status;
}

static reseat_status assemble(const reseat_state_request *request, const target *of,
                              reseat_state *state, reseat_error *error)
{
    memcpy(state->spindle, of->read->spindle, sizeof state->spindle);
    memcpy(state->probe, of->probe->name, sizeof state->probe);
    memcpy(state->tip, of->tip->name, sizeof state->tip);
    state->as_of = request->as_of;
    for (size_t i = 0; i < RESEAT_REASON_COUNT; i++)
        state->events[i].seq = -1;
    reseat_status status = take_records(of->read, of->probe, of->tip, state);
    if (status == RESEAT_OK)
        status = take_runs(of->read, state);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    take_age(state);
    take_events(of->read, of->probe, state);
    return RESEAT_OK;
}

reseat_status state_read_alone(reseat_folder *folder, const reseat_state_request *request,
                               reseat_state *state, reseat_error *error)
{
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    const char *name = request->probe ? request->probe : probe;
    target found;
    reseat_status status = request->probe ? RESEAT_OK
                                          : choose_probe(folder, request, probe, error);
    if (status == RESEAT_OK)
        status = find_target(folder, request, name, &found, &state->bad_lines, error);
    if (status != RESEAT_OK)
        return status;
    if (found.tip)
        return assemble(request, &found, state, error);
    return found.tips > 0 ? refuse_tip(found.probe, request->tip, error)
                          : fail_to_choose(folder, request, error);
}

static reseat_status read_folder(reseat_folder *folder, const reseat_state_request *request,
                                 reseat_state *state, reseat_error *error)
{
    reseat_state_event *use = &state->events[RESEAT_REASON_ELSEWHERE];
    reseat_status status = state_read_alone(folder, request, state, error);
    if (status == RESEAT_OK)
        status = folder_find_use(folder, request, state->probe, fact_of(state->run).at, use,
                                 &state->bad_lines, error);
    if (status == RESEAT_OK && use->seq >= 0)
        state->reasons |= 1u << RESEAT_REASON_ELSEWHERE;
    if (state->bad_lines > 0)
        state->reasons |= 1u << RESEAT_REASON_DAMAGE_IGNORED;
    return status;
}

reseat_status reseat_state_read(const reseat_state_request *request, reseat_state *state,
                                reseat_error *error)
{
    if (!request || !request->dir || !request->spindle || !state)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_folder *folder = NULL;
    reseat_state result;
    memset(&result, 0, sizeof result);
    reseat_status status = folder_borrow(request, &folder);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    status = read_folder(folder, request, &result, error);
    if (status == RESEAT_OK)
        *state = result;
    else
        reseat_state_free(&result);
    folder_release(request, folder);
    return status;
}

reseat_status state_history(reseat_folder *folder, const reseat_state_request *request,
                            const reseat_state *state, replay **read, uint64_t *bad_lines,
                            reseat_error *error)
{
    replay_request wanted = ask_for(request, state->probe);
    wanted.depth = REPLAY_WHOLE;
    const reseat_status status = folder_read(folder, &wanted, read, error);
    return status == RESEAT_OK
               ? replay_check(*read, 0, request->despite_damage, bad_lines, error) : status;
}
