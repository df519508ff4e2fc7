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
#include "history/target.h"
#include "log/record.h"

#define LATE_DAYS 3 /* a run imported longer after it was made tells of a time without a log */

void reseat_state_free(reseat_state *state)
{
    if (!state)
        return;
    reseat_record_free(state->run);
    reseat_record_free(state->last_reseat);
    reseat_record_free(state->check);
    reseat_record_free(state->past_check);
    reseat_record_free(state->policy);
    reseat_record_free(state->repair);
    free(state->runs);
    free(state->baselines);
    memset(state, 0, sizeof *state);
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

static reseat_state_event event_of(const replay_fact *fact)
{
    return (reseat_state_event){.seq = fact->seq, .at = fact->at, .type = fact->type};
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
            state->events[reason] = event_of(fact);
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

static bool is_logged(const reseat_state *state)
{
    return !record_says(state->policy, RESEAT_FIELD_RESEATS, "changer");
}

/*
 * Whether a run of another tip says that the probe sits otherwise than was known: at another seat,
 * or, where nothing but the log tells of reseats, at one that nobody wrote down.
 */
static bool tells_of_reseat(const reseat_state *state, const replay_fact *run,
                            const replay_fact *known)
{
    return (run->run.seat_known || (is_logged(state) && known->run.seat_known)) &&
           !seats_alike(&known->run, &run->run);
}

/*
 * The last fact that says how the probe sits, where that is later than the run: a reseat, or a run
 * of another tip at another seat than was known until then, or at one not recorded.
 */
static reseat_status take_reseat(const replay *read, const replay_probe *probe,
                                 const replay_tip *tip, reseat_state *state)
{
    const replay_fact run = fact_of(state->run);
    replay_fact last = run;
    if (probe->reseat) {
        const replay_fact reseat = fact_of(probe->reseat);
        last = fact_is_later(&reseat, &run) ? reseat : run;
    }
    for (size_t i = 0; i < probe->count; i++) {
        const replay_fact *fact = &probe->facts[i];
        if (fact->type == RESEAT_RECORD_RUN && fact->tip != tip->name &&
            fact_is_later(fact, &last) && tells_of_reseat(state, fact, &last))
            last = *fact;
    }
    if (last.seq == run.seq)
        return RESEAT_OK;
    if (last.type == RESEAT_RECORD_RESEAT)
        return copy_later(probe->reseat, NULL, &state->last_reseat);
    const replay_tip *other = named_find(&probe->tips, last.tip);
    return fact_of(other->run).seq == last.seq
               ? copy_later(other->run, NULL, &state->last_reseat)
               : replay_record(read, last.offset, &state->last_reseat, NULL);
}

/* The fact that the seat is known from: the last reseat, or the run. */
static replay_fact last_seating(const reseat_state *state)
{
    return fact_of(state->last_reseat ? state->last_reseat : state->run);
}

/* Another probe has been in the spindle since; where a changer moves them that says nothing. */
static void take_other(const replay *read, reseat_state *state)
{
    replay_other other;
    const replay_fact since = last_seating(state);
    if (!is_logged(state) || !replay_find_other(read, state->probe, &other))
        return;
    const replay_fact fact = {.at = other.at, .seq = other.seq, .type = other.type};
    if (!fact_is_later(&fact, &since))
        return;
    state->evidence = event_of(&fact);
    memcpy(state->evidence.probe, other.probe, sizeof other.probe);
}

/* Nobody was logging reseats when a run was made that was imported long after. */
static void take_late(reseat_state *state)
{
    const replay_fact run = fact_of(state->run);
    state->late = is_logged(state) && !state->last_reseat && run.imported &&
                  run.written - run.at > LATE_DAYS * SECONDS_A_DAY;
}

/* The run, the last reseat since, what shows that it was out, and the policy. */
static reseat_status take_records(const reseat_state_request *request, const replay *read,
                                  const replay_probe *probe, const replay_tip *tip,
                                  reseat_state *state)
{
    const reseat_record *policy = replay_policy_at(read, request_horizon(request), NULL);
    reseat_status status = copy_later(tip->run, NULL, &state->run);
    if (status == RESEAT_OK)
        status = copy_later(policy, NULL, &state->policy);
    if (status == RESEAT_OK)
        status = take_reseat(read, probe, tip, state);
    if (status == RESEAT_OK)
        status = copy_later(tip->verify, state->run, &state->check);
    if (status == RESEAT_OK) {
        take_other(read, state);
        take_late(state);
    }
    return status;
}

/* A gauge check says nothing of the seat once the probe was out again. */
static void settle_check(reseat_state *state)
{
    const reseat_state_event *evidence = &state->evidence;
    if (!state->check)
        return;
    const replay_fact check = fact_of(state->check), seating = last_seating(state);
    const replay_fact out = {.at = evidence->at,
                             .seq = evidence->log[0] ? INT64_MAX : evidence->seq};
    if (fact_is_later(&seating, &check) || (evidence->seq >= 0 && fact_is_later(&out, &check))) {
        state->past_check = state->check;
        state->check = NULL;
    }
}

double state_max_age_days(const reseat_state *state)
{
    return reseat_record_number(state->policy, RESEAT_FIELD_MAX_AGE_DAYS, RESEAT_MAX_AGE_DAYS);
}

/* Keeps the later of two facts that count though they lie ahead of the clock. */
static void note_ahead(const reseat_state_request *request, const reseat_state_event *event,
                       reseat_state *state)
{
    const reseat_state_event *had = &state->ahead;
    if (request->ahead > 0 && event->seq >= 0 && event->at - SECONDS_AHEAD > request->as_of &&
        (had->seq < 0 || event->at > had->at || (event->at == had->at && event->seq > had->seq)))
        state->ahead = *event;
}

/* The latest fact that counts though it lies ahead of the clock. */
static void take_ahead(const reseat_state_request *request, const replay *read,
                       const replay_probe *probe, const replay_tip *tip, reseat_state *state)
{
    const reseat_record *others[] = {probe->reseat, tip->verify};
    replay_cursor cursor = {.read = read, .probe = probe};
    const replay_fact *fact;
    while (replay_next(&cursor, &fact)) {
        const reseat_state_event event = event_of(fact);
        if (fact->type == RESEAT_RECORD_RUN || fact->type == RESEAT_RECORD_EVENT)
            note_ahead(request, &event, state);
    }
    for (size_t i = 0; i < 2; i++) {
        if (!others[i])
            continue;
        const replay_fact other = fact_of(others[i]);
        const reseat_state_event event = event_of(&other);
        note_ahead(request, &event, state);
    }
}

/* A line that was lost, since the run or else since the policy: who looked at it, if anybody. */
static reseat_status take_piece(const replay_piece *piece, bool since_run, uint64_t *first,
                                reseat_state *state)
{
    if (!piece->repair) {
        state->lost += since_run ? 1 : 0;
        *first = since_run ? piece->from : *first;
        return RESEAT_OK;
    }
    state->sealed_off++;
    return state->repair ? RESEAT_OK : copy_later(piece->repair, NULL, &state->repair);
}

/*
 * Pieces of lines that were lost since the run: by their places, and where the run was recorded
 * late, by the time of what stands above them. One below the policy may have been another policy.
 */
static reseat_status take_lost(const reseat_state_request *request, const replay *read,
                               const replay_probe *probe, reseat_state *state,
                               reseat_error *error)
{
    const replay_fact in_force = fact_of(state->run);
    uint64_t run = 0, policy = UINT64_MAX;
    for (size_t i = 0; i < probe->count; i++)
        if (probe->facts[i].seq == in_force.seq)
            run = probe->facts[i].offset;
    uint64_t first = 0;
    state->older_policy = -1;
    (void)replay_policy_at(read, request_horizon(request), &policy);
    for (size_t i = 0; i < read->lost.count; i++) {
        const replay_piece *piece = &read->lost.pieces[i];
        const bool since_run = piece->from >= run || piece->above > in_force.at;
        if (piece->from > policy)
            state->older_policy = reseat_record_integer(state->policy, RESEAT_FIELD_SEQ, -1);
        if ((since_run || piece->from > policy) &&
            take_piece(piece, since_run, &first, state) != RESEAT_OK)
            return error_plain(error, RESEAT_ERR_MEMORY);
    }
    if (state->lost == 0)
        return RESEAT_OK;
    state->reasons |= 1u << RESEAT_REASON_LOST_RECORDS;
    return replay_number(read, first, &state->lost_line, error);
}

static void take_age(reseat_state *state)
{
    const double seconds = (double)state->as_of - (double)fact_of(state->run).at;
    state->age_days = seconds > 0 ? seconds / SECONDS_A_DAY : 0; /* clocks differ a little */
    if (state->age_days > state_max_age_days(state))
        state->reasons |= 1u << RESEAT_REASON_TOO_OLD;
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
    state->evidence.seq = state->ahead.seq = -1;
    reseat_status status = take_records(request, of->read, of->probe, of->tip, state);
    if (status == RESEAT_OK)
        status = take_runs(of->read, state);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    take_age(state);
    take_events(of->read, of->probe, state);
    take_ahead(request, of->read, of->probe, of->tip, state);
    return take_lost(request, of->read, of->probe, state, error);
}

reseat_status state_read_alone(reseat_folder *folder, const reseat_state_request *request,
                               reseat_state *state, reseat_error *error)
{
    target found;
    reseat_status status = target_find(folder, request, &found, &state->bad_lines, error);
    if (status == RESEAT_OK)
        status = assemble(request, &found, state, error);
    if (status == RESEAT_OK)
        settle_check(state);
    return status;
}

static reseat_status read_folder(reseat_folder *folder, const reseat_state_request *request,
                                 reseat_state *state, reseat_error *error)
{
    reseat_status status = state_read_alone(folder, request, state, error);
    if (status == RESEAT_OK)
        status = folder_find_use(folder, request, last_seating(state).at, state, error);
    if (status != RESEAT_OK)
        return status;
    settle_check(state);
    note_ahead(request, &state->evidence, state);
    if (state->events[RESEAT_REASON_ELSEWHERE].seq >= 0)
        state->reasons |= 1u << RESEAT_REASON_ELSEWHERE;
    if (state->bad_lines > 0)
        state->reasons |= 1u << RESEAT_REASON_DAMAGE_IGNORED;
    return RESEAT_OK;
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

/* Whether a bad line above the policy may be another; a torn one is sealed off by what is recorded
   next, and told of then. */
static bool may_hide_policy(const replay *read, const reseat_record *policy, uint64_t offset)
{
    for (size_t i = 0; i < read->bad_count; i++) {
        const reseat_log_line *line = &read->bad[i].line;
        if (line->state != RESEAT_LINE_TORN && (!policy || line->offset > offset))
            return true;
    }
    return false;
}

static reseat_status read_policy(reseat_folder *folder, const reseat_state_request *request,
                                 reseat_record **policy, reseat_error *error)
{
    const int64_t horizon = request_horizon(request);
    const replay_request wanted = {.dir = request->dir, .spindle = request->spindle,
                                   .horizon = horizon, .known = request->as_known,
                                   .depth = REPLAY_STATE};
    replay *read = NULL;
    const reseat_status status = folder_read(folder, &wanted, &read, error);
    if (status != RESEAT_OK)
        return status == RESEAT_ERR_NOT_FOUND ? RESEAT_OK : status;
    uint64_t offset = 0;
    const reseat_record *found = replay_policy_at(read, horizon, &offset);
    if (!request->despite_damage && may_hide_policy(read, found, offset))
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "a damaged line of the log of %s may have been a policy: reseat audit %s "
                         "shows all", request->spindle, request->spindle);
    const reseat_status copied = copy_later(found, NULL, policy);
    return copied == RESEAT_OK ? copied : error_plain(error, copied);
}

reseat_status reseat_state_policy(const reseat_state_request *request, reseat_record **policy,
                                  reseat_error *error)
{
    if (!request || !request->dir || !request->spindle || !policy)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_folder *folder = NULL;
    reseat_record *found = NULL;
    reseat_status status = folder_borrow(request, &folder);
    if (status == RESEAT_OK)
        status = read_policy(folder, request, &found, error);
    else
        error_plain(error, status);
    folder_release(request, folder);
    if (status == RESEAT_OK)
        *policy = found;
    return status;
}
