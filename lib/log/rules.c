/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <errno.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "log/append.h"
#include "log/record.h"
#include "log/walk.h"

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
            return error_code(error, error_at(error, RESEAT_ERR_REFUSED, "at", "the clock says %s, "
                              "but record %" PRId64 " was written at %s: set the clock",
                              show_time(work->now).text, tail->seq,
                              show_time(tail->recorded_at).text), RESEAT_CODE_CLOCK_BEHIND, "");
        return reseat_record_set_integer(work->record, RESEAT_FIELD_AT, work->now, error);
    }
    const int64_t at = reseat_record_integer(work->record, RESEAT_FIELD_AT, 0);
    if (at > work->now + RESEAT_LOG_AHEAD_SECONDS)
        return error_at(error, RESEAT_ERR_REFUSED, "at", "%s lies ahead: the clock says %s",
                        show_time(at).text, show_time(work->now).text);
    return RESEAT_OK;
}

static reseat_status refuse_void(reseat_error *error, int64_t seq, const char *why)
{
    return error_at(error, RESEAT_ERR_REFUSED, "voids", "record %" PRId64 " cannot be voided: %s",
                    seq, why);
}

static reseat_status judge_void(const walk_step *step, int64_t seq, reseat_error *error)
{
    if (step->seq < seq) /* -1 where no line is left */
        return refuse_void(error, seq, "there is none of that number");
    if (!walk_can_void(step->type))
        return refuse_void(error, seq, "only run, reseat, event, verify and policy can be");
    return step->voided_by >= 0 ? refuse_void(error, seq, "it is void already") : RESEAT_OK;
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
    const reseat_status status = record_parse(step->line.text, (size_t)step->line.length,
                                              policy, NULL);
    step->invalid = status != RESEAT_OK;
    return status == RESEAT_ERR_MEMORY ? error_plain(error, status) : RESEAT_OK;
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
        if (status == RESEAT_OK && step.type == RESEAT_RECORD_POLICY && step.voided_by < 0)
            status = read_policy(&step, policy, error);
    } while (status == RESEAT_OK && step.line.state != RESEAT_LINE_NONE && *policy == NULL &&
             !may_hide_policy(work, &step));
    walk_end(&walk);
    if (status != RESEAT_OK || *policy != NULL || step.line.state == RESEAT_LINE_NONE)
        return status;
    return error_set(error, RESEAT_ERR_DAMAGED, 0,
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
            return error_plain(error, RESEAT_ERR_MEMORY);
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

/* Seals a record below the seal above, and puts its own there. */
static reseat_status seal_next(reseat_record *record, int64_t seq, int64_t now, log_tail *tail,
                               reseat_error *error)
{
    reseat_status status = reseat_record_set_integer(record, RESEAT_FIELD_SEQ, seq, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(record, RESEAT_FIELD_RECORDED_AT, now, error);
    if (status == RESEAT_OK)
        status = record_seal(record, tail->has_above ? tail->above : NULL, error);
    if (status != RESEAT_OK)
        return status;
    memcpy(tail->above, reseat_record_text(record, RESEAT_FIELD_SEAL), SEAL_DIGITS);
    tail->has_above = true;
    return RESEAT_OK;
}

/* The record that begins a log. */
static reseat_status make_head(const append_work *work, reseat_record **head, reseat_error *error)
{
    reseat_status status = reseat_record_new(RESEAT_RECORD_LOG, head);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    const char *by = reseat_record_text(work->record, RESEAT_FIELD_BY);
    status = reseat_record_set_text(*head, RESEAT_FIELD_SPINDLE, work->name, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(*head, RESEAT_FIELD_FORMAT, "reseat-log", error);
    if (status == RESEAT_OK && by != NULL)
        status = reseat_record_set_text(*head, RESEAT_FIELD_BY, by, error);
    return status;
}

/* The record that seals off a range, with an LF behind it that it lacks. */
static reseat_status make_repair(append_work *work, byte_range range, bool with_lf,
                                 reseat_record **repair, reseat_error *error)
{
    char digits[SEAL_DIGITS + 1];
    if (log_hash(work->calls, work->log->file, range, with_lf, digits) != 0)
        return log_io_error(work->name, errno, error);
    reseat_status status = reseat_record_new(RESEAT_RECORD_REPAIR, repair);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    const uint64_t length = range.to - range.from + (with_lf ? 1 : 0);
    work->done.repaired_bytes += length;
    status = reseat_record_set_integer(*repair, RESEAT_FIELD_OFFSET_BYTES, (int64_t)range.from,
                                       error);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(*repair, RESEAT_FIELD_LENGTH_BYTES, (int64_t)length,
                                           error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(*repair, RESEAT_FIELD_SHA256, digits, error);
    return status;
}

static reseat_status add_bytes(append_work *work, const char *bytes, size_t count,
                               reseat_error *error)
{
    char *grown = realloc(work->bytes, work->count + count);
    if (grown == NULL)
        return error_plain(error, RESEAT_ERR_MEMORY);
    memcpy(grown + work->count, bytes, count);
    work->bytes = grown;
    work->count += count;
    return RESEAT_OK;
}

/* Gives a record the next number, seals it, and adds its line. */
static reseat_status add_record(append_work *work, reseat_record *record, reseat_error *error)
{
    size_t length = 0;
    reseat_status status = seal_next(record, ++work->done.seq, work->now, &work->tail, error);
    const char *line = reseat_record_line(record, &length);
    if (status == RESEAT_OK)
        status = add_bytes(work, line, length, error);
    return status == RESEAT_OK ? add_bytes(work, "\n", 1, error) : status;
}

static reseat_status add_head(append_work *work, reseat_error *error)
{
    reseat_record *head = NULL;
    reseat_status status = make_head(work, &head, error);
    if (status == RESEAT_OK)
        status = add_record(work, head, error);
    reseat_record_free(head);
    return status;
}

static reseat_status add_repair(append_work *work, byte_range range, bool with_lf,
                                reseat_error *error)
{
    reseat_record *repair = NULL;
    if (range.from >= range.to)
        return RESEAT_OK;
    reseat_status status = make_repair(work, range, with_lf, &repair, error);
    if (status == RESEAT_OK)
        status = add_record(work, repair, error);
    reseat_record_free(repair);
    return status;
}

reseat_status append_build(append_work *work, reseat_error *error)
{
    static const byte_range none = {0, 0};
    const log_tail tail = work->tail;
    work->done.began = !tail.has_last;
    work->done.seq = tail.has_last ? tail.seq + (int64_t)tail.rest_records : -1;
    reseat_status status = RESEAT_OK;
    if (tail.lacks_lf)
        status = add_bytes(work, "\n", 1, error);
    if (status == RESEAT_OK && !tail.has_last)
        status = add_head(work, error);
    if (status == RESEAT_OK) /* right below what it seals off, or below the head */
        status = add_repair(work, tail.rest_records == 0 ? tail.rest : none, tail.lacks_lf, error);
    if (status == RESEAT_OK && work->log != NULL && tail.rest_records == 0)
        status = add_repair(work, work->log->front, false, error);
    if (status == RESEAT_OK)
        status = add_record(work, work->record, error);
    memcpy(work->done.seal, work->tail.above, SEAL_DIGITS);
    return status;
}
