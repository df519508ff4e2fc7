/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <inttypes.h>
#include <string.h>
#include "error.h"
#include "impossible.h"
#include "log_append.h"
#include "log_walk.h"
#include "record_values.h"

/* A time as a text that ends with the expression it stands in. */
typedef struct time_text {
    char text[RESEAT_TIME_SIZE];
} time_text;

static time_text show_time(int64_t seconds)
{
    time_text shown = {"an unknown time"};
    (void)reseat_time_format(seconds, shown.text); /* leaves that where there is no such time */
    return shown;
}

/*
 * `at` is now if nobody typed it, but not while the clock is known to be wrong; and what happened
 * cannot lie ahead.
 */
static reseat_status check_clock(append_work *work, reseat_error *error)
{
    const log_tail *tail = &work->tail;
    if (!record_takes(work->record->type, RESEAT_FIELD_AT))
        return RESEAT_OK;
    if (!reseat_record_has(work->record, RESEAT_FIELD_AT)) {
        if (tail->has_last && work->now < tail->recorded_at)
            return record_at_field(error, RESEAT_FIELD_AT, reseat_error_set(error,
                RESEAT_ERR_REFUSED, 0, "the clock says %s, but record %" PRId64 " was written at "
                "%s: set the clock", show_time(work->now).text, tail->seq,
                show_time(tail->recorded_at).text));
        return reseat_record_set_integer(work->record, RESEAT_FIELD_AT, work->now, error);
    }
    const int64_t at = reseat_record_integer(work->record, RESEAT_FIELD_AT, 0);
    if (at > work->now + RESEAT_LOG_AHEAD_SECONDS)
        return record_at_field(error, RESEAT_FIELD_AT, reseat_error_set(error, RESEAT_ERR_REFUSED,
            0, "%s lies ahead: the clock says %s", show_time(at).text, show_time(work->now).text));
    return RESEAT_OK;
}

static reseat_status refuse_void(reseat_error *error, int64_t seq, const char *why)
{
    return record_at_field(error, RESEAT_FIELD_VOIDS, reseat_error_set(error, RESEAT_ERR_REFUSED,
                           0, "record %" PRId64 " cannot be voided: %s", seq, why));
}

static reseat_status judge_void(const walk_step *step, int64_t seq, reseat_error *error)
{
    if (step->seq < seq) /* -1 where no line is left */
        return refuse_void(error, seq, "there is none of that number");
    if (!walk_can_void(step->type))
        return refuse_void(error, seq, "only run, reseat, event, verify and policy can be");
    return step->voided ? refuse_void(error, seq, "it is void already") : RESEAT_OK;
}

/* What a void record names must be there, of a type that can be void, and not yet so. */
static reseat_status check_void(append_work *work, reseat_error *error)
{
    const int64_t seq = reseat_record_integer(work->record, RESEAT_FIELD_VOIDS, 0);
    log_walk walk;
    walk_step step;
    reseat_status status;
    if (work->log == NULL)
        return refuse_void(error, seq, "there is none of that number");
    walk_start(&walk, work->log);
    do
        status = walk_previous(&walk, &step, error);
    while (status == RESEAT_OK && step.line.state != RESEAT_LINE_NONE &&
           (step.line.state != RESEAT_LINE_SOUND || step.invalid || step.seq > seq));
    walk_end(&walk);
    return status != RESEAT_OK ? status : judge_void(&step, seq, error);
}

/* A line that cannot be read may have been a policy, unless the user says to pass over damage. */
static bool may_hide_policy(const append_work *work, const walk_step *step)
{
    const reseat_line_state state = step->line.state;
    return !work->how->despite_damage &&
           (state == RESEAT_LINE_DAMAGED || state == RESEAT_LINE_TORN || step->invalid);
}

/* A sealed line may name itself a policy and be no record all the same. */
static reseat_status read_policy(walk_step *step, reseat_record **policy, reseat_error *error)
{
    const reseat_status status = reseat_record_parse(step->line.text, (size_t)step->line.length,
                                                     policy, NULL);
    step->invalid = status != RESEAT_OK;
    return status == RESEAT_ERR_MEMORY ? reseat_error_plain(error, status) : RESEAT_OK;
}

/* The policy in force, NULL if none: the newest that is not void. */
static reseat_status find_policy(append_work *work, reseat_record **policy, reseat_error *error)
{
    log_walk walk;
    walk_step step;
    reseat_status status;
    walk_start(&walk, work->log);
    do {
        status = walk_previous(&walk, &step, error);
        if (status == RESEAT_OK && step.type == RESEAT_RECORD_POLICY && !step.voided)
            status = read_policy(&step, policy, error);
    } while (status == RESEAT_OK && step.line.state != RESEAT_LINE_NONE && *policy == NULL &&
             !may_hide_policy(work, &step));
    walk_end(&walk);
    if (status != RESEAT_OK || *policy != NULL || step.line.state == RESEAT_LINE_NONE)
        return status;
    return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                            "a damaged line of the log of %s may have been a policy: nothing "
                            "was recorded; audit the log, or append despite the damage",
                            work->name);
}

static bool is_dropped(const reseat_append *how, reseat_field field)
{
    bool dropped = false;
    for (size_t i = 0; i < how->drop_count; i++)
        dropped = dropped || how->drop[i] == field;
    return dropped;
}

/* Takes over what the policy in force says and the new one does not. */
static reseat_status carry(append_work *work, const reseat_record *policy, reseat_error *error)
{
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)i;
        if (!record_is_policy(field) || !reseat_record_has(policy, field) ||
            reseat_record_has(work->record, field) || is_dropped(work->how, field))
            continue;
        if (record_copy_value(work->record, field, policy) != RESEAT_OK)
            return reseat_error_plain(error, RESEAT_ERR_MEMORY);
        if (!impossible(work->done.carried_count == RESEAT_LOG_CARRIED_MAX)) /* there are fewer */
            work->done.carried[work->done.carried_count++] = field;
    }
    return RESEAT_OK;
}

static reseat_status carry_policy(append_work *work, reseat_error *error)
{
    reseat_record *policy = NULL;
    reseat_status status = RESEAT_OK;
    if (work->log != NULL)
        status = find_policy(work, &policy, error);
    if (status == RESEAT_OK && policy != NULL)
        status = carry(work, policy, error);
    reseat_record_free(policy);
    return status;
}

reseat_status append_check_rules(append_work *work, reseat_error *error)
{
    reseat_status status = check_clock(work, error);
    if (status == RESEAT_OK && work->record->type == RESEAT_RECORD_VOID)
        status = check_void(work, error);
    if (status == RESEAT_OK && work->record->type == RESEAT_RECORD_POLICY && work->how->carry)
        status = carry_policy(work, error);
    return status == RESEAT_OK ? reseat_record_check(work->record, error) : status;
}
