/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What is to come: drift, and the day on which a probe falls due. */

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/time.h"
#include "history/drift.h"
#include "history/state.h"
#include "history/target.h"
#include "model/estimate.h"
#include "reseat/history.h"

#define CALENDAR_DAYS 2900000.0 /* from the year 1 to the year 7940: all that can be written */

static const double DAY_BY_DAY = 3653;

typedef struct due_search {
    reseat_estimate estimate;
    double limit_mm;
    double confidence;
    const reseat_drift_growth *growth;
} due_search;

/* Whether the chance after some days falls short. */
static reseat_status falls_short(due_search *a, double days, bool *short_of)
{
    double chance = 0;
    double *grown_mm = a->estimate.verified ? &a->estimate.shift_drift_mm
                                            : &a->estimate.terms.u_drift_mm;
    reseat_status status = reseat_drift_growth_u(a->growth, days, grown_mm);
    if (status == RESEAT_OK)
        status = estimate_chance(&a->estimate, 0, a->limit_mm, &chance);
    if (status == RESEAT_OK)
        *short_of = !(chance >= a->confidence);
    return status;
}

/* Halves the days after `enough`, which do, up to `late`, which fall short. */
static reseat_status halve(due_search *a, double enough, double *late)
{
    while (*late - enough > 1) {
        const double middle = floor(enough + (*late - enough) / 2);
        bool short_of = false;
        if (!(middle > enough && middle < *late))
            break; /* days so far away that doubles do not count them */
        const reseat_status status = falls_short(a, middle, &short_of);
        if (impossible(status != RESEAT_OK)) /* what is finite after more days is so after fewer */
            return status;
        if (short_of)
            *late = middle;
        else
            enough = middle;
    }
    return RESEAT_OK;
}

reseat_status due_find(const reseat_estimate *estimate, double limit_mm, double confidence,
                       const reseat_drift_growth *growth, double max_age_days,
                       due_date *due)
{
    if (!estimate || !growth || !due)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(limit_mm) || !isfinite(confidence) || !isfinite(max_age_days))
        return RESEAT_ERR_NOT_FINITE;
    if (!(limit_mm > 0) || !(confidence > 0 && confidence < 1) || !(max_age_days >= 0))
        return RESEAT_ERR_RANGE;
    due_search a = {*estimate, limit_mm, confidence, growth};
    a.estimate.out = false;
    const double last = floor(max_age_days);
    const double near = fmin(last, DAY_BY_DAY);
    double days = 0;
    bool found = false;
    reseat_status status = falls_short(&a, days, &found);
    while (status == RESEAT_OK && !found && days < near)
        status = falls_short(&a, ++days, &found);
    if (status == RESEAT_OK && !found) {
        days = last;
        if (last > near)
            status = falls_short(&a, last, &found);
        if (status == RESEAT_OK && found)
            status = halve(&a, near, &days);
    }
    if (status == RESEAT_OK)
        *due = (due_date){.days = days, .by_age = !found};
    return status;
}

/* What the policy in force says of drift. */
static void read_policy(const reseat_record *policy, reseat_drift_input *input)
{
    input->spindle_known = reseat_record_has(policy, RESEAT_FIELD_SPINDLE_X_MM);
    input->spindle_mm = pair_of(policy, RESEAT_FIELD_SPINDLE_X_MM, RESEAT_FIELD_SPINDLE_Y_MM,
                                (reseat_xy){0, 0});
    input->limit_mm = reseat_record_number(policy, RESEAT_FIELD_LIMIT_MM, 0);
}

/* The drift of an input, in a workspace to be freed. */
static reseat_status find_drift(const reseat_drift_input *input, void **workspace,
                                reseat_drift *drift)
{
    const size_t size = drift_workspace(input->run_count, input->event_count);
    void *room = malloc(size + 1);
    if (!room)
        return RESEAT_ERR_MEMORY;
    const reseat_status status = drift_find(input, room, size, drift);
    if (status != RESEAT_OK)
        free(room);
    else
        *workspace = room;
    return status;
}

/* The day on which chance or age run out, from the run or the gauge check that stands for it. */
static reseat_status find_due(const reseat_state *state, reseat_outlook *outlook)
{
    const reseat_state_typed typed = {.seat = &state_same};
    reseat_state_question asked;
    reseat_status status = reseat_state_ask(state, &typed, &asked, NULL);
    if (status == RESEAT_ERR_NOT_FOUND)
        return RESEAT_OK; /* without a limit nothing falls due */
    if (status != RESEAT_OK)
        return status;
    const reseat_estimate *estimate = &asked.question.estimate;
    const int64_t since = fact_of(estimate->verified ? state->check : state->run).at;
    const double gone = (double)(since - fact_of(state->run).at) / SECONDS_A_DAY;
    due_date due;
    status = due_find(estimate, asked.question.limit_mm, asked.question.confidence, &asked.growth,
                      fmax(state_max_age_days(state) - gone, 0), &due);
    if (status != RESEAT_OK)
        return status;
    outlook->due_known = due.days < CALENDAR_DAYS;
    outlook->due_by_age = due.by_age;
    if (outlook->due_known)
        outlook->due_at = since + (int64_t)(due.days * SECONDS_A_DAY);
    /* a collision and the like, where one comes before the day that was counted */
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++) {
        const reseat_state_event *event = &state->events[reason];
        const bool counts = (state->reasons & 1u << reason) && event->seq >= 0;
        if (!counts || (outlook->due_known && outlook->due_at <= event->at))
            continue;
        outlook->due_known = true;
        outlook->due_by_age = false;
        outlook->due_at = event->at;
    }
    const double left = (double)outlook->due_at - (double)state->as_of;
    if (outlook->due_known && left > 0)
        outlook->due_days = left / SECONDS_A_DAY;
    return RESEAT_OK;
}

reseat_status reseat_outlook_find(const reseat_state_request *request, const reseat_state *state,
                                  reseat_outlook *outlook, reseat_error *error)
{
    if (!request || !request->dir || !request->spindle || !state || !state->run || !outlook)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_outlook found;
    memset(&found, 0, sizeof found);
    reseat_drift_input *input = &found.input;
    reseat_folder *folder = NULL;
    replay *read = NULL;
    reseat_status status = folder_borrow(request, &folder);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    status = target_history(folder, request, state, &read, &found.bad_lines, error);
    if (status == RESEAT_OK) {
        input->runs = found.memory[0] =
            state_runs(read, state->probe, state->tip, &input->run_count);
        input->events = found.memory[1] = state_breaks(read, state->probe, &input->event_count);
        read_policy(state->policy, input);
        status = input->runs && input->events
                     ? find_drift(input, &found.memory[2], &found.drift) : RESEAT_ERR_MEMORY;
        if (status == RESEAT_OK)
            status = find_due(state, &found);
        if (status != RESEAT_OK)
            error_plain(error, status);
    }
    folder_release(request, folder);
    if (status == RESEAT_OK)
        *outlook = found;
    else
        reseat_outlook_free(&found);
    return status;
}

void reseat_outlook_free(reseat_outlook *outlook)
{
    if (!outlook)
        return;
    for (size_t i = 0; i < 3; i++)
        free(outlook->memory[i]);
    memset(outlook, 0, sizeof *outlook);
}

/* The runs of a state and one more, if it is not among them, in order. */
static reseat_drift_run *with_run(const reseat_state *state, const reseat_drift_run *run,
                                  size_t *count)
{
    reseat_drift_run *runs = malloc((state->run_count + 1) * sizeof *runs);
    size_t place = state->run_count;
    if (!runs)
        return NULL;
    memcpy(runs, state->runs, place * sizeof *runs);
    *count = place;
    for (size_t i = 0; i < place; i++)
        if (runs[i].seq == run->seq)
            return runs;
    for (; place > 0 && is_before(run->at, run->seq, runs[place - 1].at, runs[place - 1].seq);
         place--)
        runs[place] = runs[place - 1];
    runs[place] = *run;
    ++*count;
    return runs;
}

static reseat_status compare(const reseat_drift_input *input, uint64_t seq,
                             reseat_drift_newest *newest)
{
    const size_t size = drift_workspace(input->run_count, input->event_count);
    void *workspace = malloc(size + 1);
    if (!workspace)
        return RESEAT_ERR_MEMORY;
    const bool last = input->runs[input->run_count - 1].seq == seq;
    const reseat_status status =
        last ? drift_newest_find(input, workspace, size, newest) : RESEAT_ERR_TOO_FEW;
    free(workspace);
    return status;
}

reseat_status reseat_outlook_newest(const char *dir, const char *spindle,
                                    const reseat_record *run, reseat_drift_newest *newest)
{
    if (!dir || !spindle || !run || !newest)
        return RESEAT_ERR_ARGUMENT;
    const replay_fact fact = fact_of(run);
    const reseat_state_request request = {.dir = dir, .spindle = spindle,
                                          .probe = reseat_record_text(run, RESEAT_FIELD_PROBE),
                                          .tip = fact.tip, .as_of = fact.run.at,
                                          .despite_damage = true};
    reseat_folder *folder = NULL;
    reseat_state state = {.run = NULL}; /* of probe and tip when the run was made */
    reseat_status status = reseat_folder_open(dir, &folder);
    if (status == RESEAT_OK)
        status = state_read_alone(folder, &request, &state, NULL);
    reseat_folder_close(folder);
    if (status == RESEAT_ERR_NOT_FOUND)
        return RESEAT_ERR_TOO_FEW;
    if (status == RESEAT_OK) {
        reseat_drift_input input = {.events = state.baselines,
                                    .event_count = state.baseline_count};
        reseat_drift_run *runs = with_run(&state, &fact.run, &input.run_count);
        read_policy(state.policy, &input);
        input.runs = runs;
        status = runs ? compare(&input, fact.run.seq, newest) : RESEAT_ERR_MEMORY;
        free(runs);
    }
    reseat_state_free(&state);
    return status;
}
