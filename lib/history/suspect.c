/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* When results were doubtful, as it turned out later, and since when they are. */

#include "history/suspect.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "history/state.h"
#include "history/target.h"
#include "maths/chance.h"
#include "maths/plane.h"
#include "model/estimate.h"

/* What is known on the way through the facts. */
typedef struct known {
    const replay_fact *run;     /* whose offset is in use; NULL: nothing is known yet */
    const replay_fact *good;    /* the last known good */
    const replay_fact *renewed; /* the first new stylus since */
    bool held;                  /* a collision since */
    bool pending;               /* a gauge check failed since: `window`, to be measured yet */
    reseat_window window;
} known;

static reseat_window window_to(const known *k, const replay_fact *f)
{
    const replay_fact *from = k->renewed ? k->renewed : k->good;
    return (reseat_window){.from_seq = from->seq, .to_seq = f->seq, .from = from->at, .to = f->at,
                           .cause_seq = -1};
}

/* Makes a window reach to a fact, by whose measurement its error may be larger. */
static void stretch(const known *k, const replay_fact *f, reseat_xy error_mm, reseat_window *w)
{
    const bool run = f->type == RESEAT_RECORD_RUN;
    w->to_seq = f->seq;
    w->to = f->at;
    if (w->measured && reseat_plane_length(error_mm) <= reseat_plane_length(w->error_mm))
        return;
    w->measured = true;
    w->expected_mm = k->run->in_use_mm;
    w->found_mm = run ? f->found_mm : xy_less(k->run->in_use_mm, error_mm);
    w->error_mm = error_mm;
}

/* The next run: whether it shows a window. */
static bool take_run(known *k, const replay_fact *f, double limit_mm, reseat_window *window)
{
    bool shows = false;
    if (k->run) {
        const reseat_xy error_mm = xy_less(k->run->in_use_mm, f->found_mm);
        const bool at_once = k->renewed && k->renewed->at == f->at;
        shows = k->pending || (reseat_plane_length(error_mm) > limit_mm && !at_once);
        *window = k->pending ? k->window : window_to(k, f);
        stretch(k, f, error_mm, window);
    }
    *k = (known){.run = f, .good = f};
    return shows;
}

/* The next gauge check. Neither good nor beyond the limit it leaves things as they are. */
static bool take_check(known *k, const suspect_fact *f, double limit_mm, reseat_window *window)
{
    const bool wrong = reseat_plane_length(f->error_mm) > limit_mm;
    const bool good = f->passed && !wrong, shows = good && k->pending;
    if (!k->run)
        return false;
    if (!k->pending && wrong)
        k->window = window_to(k, &f->fact);
    k->pending = k->pending || wrong;
    if (k->pending)
        stretch(k, &f->fact, f->error_mm, &k->window);
    *window = k->window;
    if (good)
        *k = (known){.run = k->run, .good = &f->fact};
    return shows;
}

/* A new stylus; what was held against the old one is so until now, and measured or not. */
static bool take_change(known *k, const replay_fact *f, reseat_window *window)
{
    const bool shows = k->run && (k->pending || k->held);
    if (shows)
        *window = k->pending ? k->window : window_to(k, f);
    window->to_seq = f->seq;
    window->to = f->at;
    k->pending = k->held = false;
    if (k->run && (shows || !k->renewed))
        k->renewed = f;
    return shows;
}

static bool take(known *k, const suspect_fact *f, double limit_mm, reseat_window *window)
{
    if (f->fact.type == RESEAT_RECORD_RUN)
        return take_run(k, &f->fact, limit_mm, window);
    if (f->fact.type == RESEAT_RECORD_VERIFY)
        return take_check(k, f, limit_mm, window);
    if (f->fact.event == EVENT_STYLUS_CHANGE)
        return take_change(k, &f->fact, window);
    k->held = true;
    return false;
}

/* Differences of finite offsets may overflow. */
static bool is_window_finite(const reseat_window *w)
{
    return isfinite(reseat_plane_length(w->error_mm)) && isfinite(reseat_plane_length(w->found_mm));
}

static bool is_finite(const suspect_fact *f)
{
    return xy_is_finite(f->fact.found_mm) && xy_is_finite(f->fact.in_use_mm) &&
           xy_is_finite(f->error_mm);
}

reseat_status suspect_find(const suspect_fact *facts, size_t count, double limit_mm,
                           reseat_window *windows, size_t *found)
{
    if ((count > 0 && (!facts || !windows)) || !found)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(limit_mm))
        return RESEAT_ERR_NOT_FINITE;
    if (!(limit_mm > 0))
        return RESEAT_ERR_RANGE;
    for (size_t i = 0; i < count; i++)
        if (!is_finite(&facts[i]))
            return RESEAT_ERR_NOT_FINITE;

    known k = {.run = NULL};
    size_t n = 0;
    for (size_t i = 0; i < count; i++)
        n += take(&k, &facts[i], limit_mm, &windows[n]);
    if (k.pending) {
        windows[n] = k.window;
        windows[n].open = true;
        windows[n].reason = RESEAT_REASON_ERROR_EXCEEDS_LIMIT;
        windows[n].cause_seq = k.window.to_seq;
        windows[n].cause_type = RESEAT_RECORD_VERIFY;
        windows[n++].to_seq = -1;
    }
    for (size_t i = 0; i < n; i++)
        if (!is_window_finite(&windows[i]))
            return RESEAT_ERR_NOT_FINITE;
    *found = n;
    return RESEAT_OK;
}

/* The error that a gauge check found, by its shift and what the control added at either time. */
static reseat_xy error_of(const replay_fact *check, const replay_fact *run)
{
    if (check->anew)
        return xy_less(run->in_use_mm, check->shift_mm);
    const reseat_xy then = check->in_use_known ? check->in_use_mm : run->in_use_mm;
    const reseat_xy missed = xy_less(run->in_use_mm, run->run.offset_mm),
                    changed = xy_less(run->in_use_mm, then);
    return (reseat_xy){check->shift_mm.x + missed.x + changed.x,
                       check->shift_mm.y + missed.y + changed.y};
}

/* Whether it passed by the policy of its time; without a limit none does. */
static bool passed(const replay *read, const replay_fact *check, const replay_fact *run,
                   reseat_xy error_mm)
{
    const reseat_record *policy = replay_policy_at(read, check->at, NULL);
    reseat_terms terms = terms_assumed();
    policy_take_seat(policy, &terms);
    const double run_mm = run->run.offset_u_known ? run->run.offset_u_mm : terms.u_run_mm;
    const double seat_mm = terms.u_seat_mm;
    const double seatings = record_says(policy, RESEAT_FIELD_RESEATS, "changer") ? 2 : 0;
    const double mm2 = check->shift_u_mm * check->shift_u_mm + seatings * seat_mm * seat_mm +
                       (check->anew ? 0 : run_mm * run_mm);
    double chance = 0;
    return reseat_record_has(policy, RESEAT_FIELD_LIMIT_MM) &&
           chance_disc(error_mm, (reseat_cov){mm2, 0, mm2},
                       reseat_record_number(policy, RESEAT_FIELD_LIMIT_MM, 0), &chance) ==
               RESEAT_OK &&
           chance >= reseat_record_number(policy, RESEAT_FIELD_CONFIDENCE, RESEAT_CONFIDENCE);
}

/* Whether a fact says something of a tip here. */
static bool is_about(const replay_fact *fact, const char *tip)
{
    return fact->event == EVENT_STYLUS_CHANGE || fact->event == EVENT_COLLISION ||
           ((fact->type == RESEAT_RECORD_RUN || fact->type == RESEAT_RECORD_VERIFY) &&
            strcmp(fact->tip, tip) == 0);
}

/* The facts of the tip of a state; room for all of the probe's. */
static size_t take_facts(const replay *read, const reseat_state *state, suspect_fact *facts)
{
    replay_cursor cursor = {.read = read, .probe = replay_find(read, state->probe)};
    const replay_fact *fact, *run = NULL;
    size_t count = 0;
    while (replay_next(&cursor, &fact)) {
        if (!is_about(fact, state->tip))
            continue;
        suspect_fact *f = &facts[count++];
        *f = (suspect_fact){.fact = *fact};
        if (fact->type == RESEAT_RECORD_RUN)
            run = fact;
        if (fact->type != RESEAT_RECORD_VERIFY || !run)
            continue;
        f->error_mm = error_of(fact, run);
        f->passed = passed(read, fact, run, f->error_mm);
    }
    return count;
}

/* The record that a reason rests on: an event, a gauge check, or what the seat is known from. */
static reseat_state_event cause_of(const reseat_state *state, const reseat_state_question *asked,
                                   reseat_reason reason)
{
    const reseat_state_event none = {.seq = -1, .at = INT64_MAX};
    const reseat_record *said = state->last_reseat;
    switch (reason) {
    case RESEAT_REASON_COLLISION:
    case RESEAT_REASON_STYLUS_CHANGE:
    case RESEAT_REASON_SERVICE:
    case RESEAT_REASON_ELSEWHERE: return state->events[reason];
    case RESEAT_REASON_LOST_RECORDS:
    case RESEAT_REASON_UNLIKE_BEFORE: return none;
    default: break;
    }
    if (reason == RESEAT_REASON_UNEXPLAINED_SHIFT || asked->source == RESEAT_SOURCE_VERIFY)
        said = state->check;
    else if (state->evidence.seq >= 0)
        return state->evidence;
    if (!said)
        return none;
    const replay_fact fact = fact_of(said);
    return (reseat_state_event){.seq = fact.seq, .at = fact.at, .type = fact.type};
}

/* A window that the verdict holds open: from the last known good before its cause. */
static reseat_window open_window(const reseat_state *state, const reseat_state_question *asked,
                                 const suspect_fact *facts, size_t count, reseat_reason reason)
{
    const reseat_state_event cause = cause_of(state, asked, reason);
    const bool own = !cause.log[0];
    reseat_window w = {.open = true, .reason = reason, .to_seq = -1, .cause_seq = cause.seq,
                       .cause_type = cause.type};
    memcpy(w.cause_log, cause.log, sizeof w.cause_log);
    for (size_t i = 0; i < count; i++) {
        const replay_fact *f = &facts[i].fact;
        const bool before = f->at < cause.at || (f->at == cause.at && own && f->seq < cause.seq) ||
                            (f->at == cause.at && !own);
        if (before && (f->type == RESEAT_RECORD_RUN || facts[i].passed)) {
            w.from_seq = f->seq;
            w.from = f->at;
        }
    }
    if (reason == RESEAT_REASON_STYLUS_CHANGE) {
        w.from_seq = cause.seq;
        w.from = cause.at;
    }
    if (state->check && cause.seq == fact_of(state->check).seq && own) {
        w.measured = asked->question.estimate.verified;
        w.expected_mm = asked->question.estimate.in_use_mm;
        w.error_mm = asked->question.estimate.shift_mm;
        w.found_mm = xy_less(w.expected_mm, w.error_mm);
    }
    return w;
}

/* What the verdict holds against the probe, but age, and scatter that fails it even unturned. */
static reseat_status held_against(const reseat_state_question *asked, unsigned *reasons)
{
    static const unsigned left_out = 1u << RESEAT_REASON_TOO_OLD |
                                     1u << RESEAT_REASON_DAMAGE_IGNORED |
                                     1u << RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY;
    reseat_answer answer;
    const reseat_status status = reseat_verdict_decide(&asked->question, &answer);
    if (status != RESEAT_OK)
        return status;
    *reasons = answer.reasons & ~left_out;
    if (answer.reasons & 1u << RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY)
        *reasons &= ~(1u << RESEAT_REASON_CHANCE_BELOW_CONFIDENCE);
    return RESEAT_OK;
}

/* Puts the open windows before the others; there is room. */
static reseat_status add_open(const reseat_state *state, const reseat_state_question *asked,
                              const suspect_fact *facts, size_t count, reseat_suspect *suspect)
{
    reseat_window open[RESEAT_REASON_COUNT + 1];
    size_t n = 0;
    unsigned reasons = 0;
    const reseat_status status = held_against(asked, &reasons);
    if (status != RESEAT_OK)
        return status;
    if (suspect->count > 0 && suspect->windows[suspect->count - 1].open) {
        open[n++] = suspect->windows[--suspect->count];
        reasons &= ~(1u << RESEAT_REASON_ERROR_EXCEEDS_LIMIT |
                     1u << RESEAT_REASON_CHANCE_BELOW_CONFIDENCE);
    }
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++)
        if (reasons & 1u << reason)
            open[n++] = open_window(state, asked, facts, count, (reseat_reason)reason);
    memmove(suspect->windows + n, suspect->windows, suspect->count * sizeof open[0]);
    memcpy(suspect->windows, open, n * sizeof open[0]);
    suspect->count += n;
    return RESEAT_OK;
}

static reseat_status find_windows(const replay *read, const reseat_state *state,
                                  const reseat_state_question *asked, reseat_suspect *suspect)
{
    const replay_probe *probe = replay_find(read, state->probe);
    const size_t most = replay_find(read, "")->count + (probe ? probe->count : 0);
    suspect_fact *facts = calloc(most + 1, sizeof *facts);
    suspect->windows = calloc(most + RESEAT_REASON_COUNT + 1, sizeof *suspect->windows);
    reseat_status status = facts && suspect->windows ? RESEAT_OK : RESEAT_ERR_MEMORY;
    const size_t count = status == RESEAT_OK ? take_facts(read, state, facts) : 0;
    if (status == RESEAT_OK)
        status = suspect_find(facts, count, asked->question.limit_mm, suspect->windows,
                              &suspect->count);
    if (status == RESEAT_OK)
        status = add_open(state, asked, facts, count, suspect);
    free(facts);
    return status;
}

reseat_status reseat_suspect_read(const reseat_state_request *request, const reseat_state *state,
                                  const reseat_state_question *asked, reseat_suspect *suspect,
                                  reseat_error *error)
{
    reseat_folder *folder = NULL;
    replay *read = NULL;
    reseat_suspect found = {.count = 0};
    if (!request || !request->dir || !request->spindle || !state || !asked || !suspect)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = folder_borrow(request, &folder);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    status = target_history(folder, request, state, &read, &found.bad_lines, error);
    if (status == RESEAT_OK) {
        status = find_windows(read, state, asked, &found);
        if (status != RESEAT_OK)
            error_plain(error, status);
    }
    folder_release(request, folder);
    if (status == RESEAT_OK)
        *suspect = found;
    else
        reseat_suspect_free(&found);
    return status;
}

void reseat_suspect_free(reseat_suspect *suspect)
{
    if (!suspect)
        return;
    free(suspect->windows);
    *suspect = (reseat_suspect){.count = 0};
}
