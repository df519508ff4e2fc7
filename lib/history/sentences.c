/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a verdict and a log say, in English. */

#include <inttypes.h>
#include <string.h>
#include "base/text.h"
#include "base/words.h"
#include "reseat/history.h"

/* A sentence in the making, and what it is about. */
typedef struct sentence {
    sink to;
    const reseat_question *question;
    const reseat_answer *answer;
    const reseat_state *state;
    reseat_unit unit;
} sentence;

/* A length with the digits that tell the worst error from the limit, and its unit. */
static void add_length(sentence *s, const char *before, double mm)
{
    const int more = reseat_words_more_digits(s->answer->worst.error_length_mm,
                                              s->question->limit_mm, s->unit);
    sink_print(&s->to, "%s%s %s", before, reseat_words_length(mm, s->unit, more).text,
               reseat_unit_name(s->unit));
}

static void add_worst(sentence *s)
{
    const reseat_outcome *worst = &s->answer->worst;
    const reseat_words place =
        s->answer->seats_named ? reseat_words_value(worst->seat_deg, RESEAT_WORDS_SEAT)
                               : reseat_words_value(worst->turn_deg, RESEAT_WORDS_TURN);
    sink_print(&s->to, "at %s", place.text);
}

/* "collision since the run (record 17, 2026-05-01)". */
static void add_event(sentence *s, reseat_reason reason)
{
    const reseat_state_event *event = &s->state->events[reason];
    const reseat_words date = words_date(event->at);
    if (reason == RESEAT_REASON_ELSEWHERE)
        sink_print(&s->to, "the probe was since used in %s (record %" PRId64 " there, %s)",
                   event->log, event->seq, date.text);
    else
        sink_print(&s->to, "%s since the run (record %" PRId64 ", %s)", reseat_reason_code(reason),
                   event->seq, date.text);
}

static void add_shortfall(sentence *s)
{
    const double confidence = s->question->confidence;
    add_worst(s);
    add_length(s, " the chance of staying within ", s->question->limit_mm);
    sink_print(&s->to, " is %s, %s is asked for",
               words_chance_beside(s->answer->worst.chance_within, confidence).text,
               reseat_words_value(confidence, RESEAT_WORDS_CONFIDENCE).text);
}

/* What a log has against a probe needs the state, what was computed the answer. */
static void add_reason(sentence *s, reseat_reason reason)
{
    const bool logged = reason >= RESEAT_REASON_COLLISION && reason <= RESEAT_REASON_ELSEWHERE;
    if (logged ? !s->state : !s->answer && reason < RESEAT_REASON_COLLISION)
        return;
    switch (reason) {
    case RESEAT_REASON_ERROR_EXCEEDS_LIMIT:
        add_worst(s);
        add_length(s, " positions are off by ", s->answer->worst.error_length_mm);
        add_length(s, ", limit ", s->question->limit_mm);
        break;
    case RESEAT_REASON_CHANCE_BELOW_CONFIDENCE: add_shortfall(s); break;
    case RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY:
        sink_text(&s->to, "the scatter alone is too large for this limit");
        break;
    case RESEAT_REASON_COLLISION:
    case RESEAT_REASON_STYLUS_CHANGE:
    case RESEAT_REASON_SERVICE:
    case RESEAT_REASON_ELSEWHERE: add_event(s, reason); break;
    case RESEAT_REASON_TOO_OLD:
        sink_print(&s->to, "the run is %s old",
                   reseat_words_value(s->state->age_days, RESEAT_WORDS_DAYS).text);
        break;
    case RESEAT_REASON_DAMAGE_IGNORED:
        sink_text(&s->to, "damage in the log was ignored, as asked");
        break;
    }
}

size_t reseat_reason_text(reseat_reason reason, const reseat_question *question,
                          const reseat_answer *answer, const reseat_state *state,
                          reseat_unit unit, char *out, size_t size)
{
    if (!question || (!out && size > 0))
        return 0;
    sentence s = {sink_start(out, size), question, answer, state, unit};
    add_reason(&s, reason);
    return s.to.length;
}

size_t reseat_verdict_text(const reseat_question *question, const reseat_answer *answer,
                           const reseat_state *state, reseat_unit unit, char *out, size_t size)
{
    if (!question || !answer || (!out && size > 0))
        return 0;
    sentence s = {sink_start(out, size), question, answer, state, unit};
    for (unsigned reason = 0; !answer->ok && reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        sink_text(&s.to, s.to.length > 0 ? "; " : "");
        add_reason(&s, (reseat_reason)reason);
    }
    if (!answer->ok)
        return s.to.length;
    add_worst(&s);
    add_length(&s, " positions are off by ", answer->worst.error_length_mm);
    add_length(&s, ", within ", question->limit_mm);
    sink_print(&s.to, " with chance %s",
               reseat_words_value(answer->worst.chance_within, RESEAT_WORDS_CHANCE).text);
    return s.to.length;
}

/* "reseat 14 (2026-04-01, battery)". */
static void add_reseat(sink *to, const reseat_record *reseat)
{
    char why[160] = "";
    const char *text = reseat_record_text(reseat, RESEAT_FIELD_WHY);
    if (text)
        reseat_text_terminal(text, strlen(text), why, sizeof why);
    sink_print(to, "reseat %" PRId64 " (%s%s%s)",
               reseat_record_integer(reseat, RESEAT_FIELD_SEQ, -1),
               words_date(reseat_record_integer(reseat, RESEAT_FIELD_AT, 0)).text,
               text ? ", " : "", why);
}

static void add_gauge_check(sink *to, const reseat_record *check, reseat_unit unit)
{
    const reseat_xy shift_mm = {reseat_record_number(check, RESEAT_FIELD_SHIFT_X_MM, 0),
                                reseat_record_number(check, RESEAT_FIELD_SHIFT_Y_MM, 0)};
    sink_print(to, "gauge check %" PRId64 " of %s: shift %s %s",
               reseat_record_integer(check, RESEAT_FIELD_SEQ, -1),
               words_date(reseat_record_integer(check, RESEAT_FIELD_AT, 0)).text,
               words_pair(shift_mm, unit).text, reseat_unit_name(unit));
}

/* A reseat that says nothing of the seat, and what stands in for it. */
static void add_unrecorded(sink *to, const reseat_record *reseat, const char *seat, bool policy)
{
    const bool written = !reseat_record_is_null(reseat, RESEAT_FIELD_SEAT_DEG);
    sink_text(to, written ? "the run's was not recorded, so that of " : "not recorded at ");
    add_reseat(to, reseat);
    sink_print(to, "%s; %s%s", written ? " says nothing" : "", policy ? "the policy allows " : "",
               seat);
}

static void add_seat(sink *to, const reseat_state *state, const reseat_state_question *asked,
                     const reseat_state_typed *typed, reseat_unit unit)
{
    char seat[RESEAT_SEAT_SIZE] = "";
    const reseat_estimate *e = &asked->question.estimate;
    (void)reseat_seat_format(&asked->seat, seat);
    switch (asked->source) {
    case RESEAT_SOURCE_TYPED: sink_print(to, "%s, as typed", seat); break;
    case RESEAT_SOURCE_VERIFY:
        add_gauge_check(to, state->check, unit);
        if (typed && typed->in_use_mm)
            sink_print(to, "; %s with the offset in use as typed",
                       words_pair(e->shift_mm, unit).text);
        break;
    case RESEAT_SOURCE_RUN:
        sink_print(to, "not out since the run%s",
                   e->out ? ", but for tool changes, angle kept" : "");
        break;
    case RESEAT_SOURCE_RESEAT:
        sink_print(to, "%s, by ", seat);
        add_reseat(to, state->last_reseat);
        break;
    case RESEAT_SOURCE_POLICY:
    case RESEAT_SOURCE_DEFAULT:
        add_unrecorded(to, state->last_reseat, seat, asked->source == RESEAT_SOURCE_POLICY);
        break;
    }
}

static void add_contradiction(sink *to, const reseat_state *state,
                              const reseat_state_question *asked)
{
    char seat[RESEAT_SEAT_SIZE] = "";
    (void)reseat_seat_format(&asked->seat, seat);
    sink_print(to, "the seat typed, %s, contradicts the log: ", seat);
    if (state->last_reseat)
        add_reseat(to, state->last_reseat);
    else
        sink_text(to, "no reseat since the run");
}

size_t reseat_state_text(reseat_state_sentence which, const reseat_state *state,
                         const reseat_state_question *asked, const reseat_state_typed *typed,
                         reseat_unit unit, char *out, size_t size)
{
    if (!state || !asked || (!out && size > 0))
        return 0;
    sink to = sink_start(out, size);
    switch (which) {
    case RESEAT_STATE_SEAT: add_seat(&to, state, asked, typed, unit); break;
    case RESEAT_STATE_CONTRADICTION:
        if (asked->contradicts)
            add_contradiction(&to, state, asked);
        break;
    case RESEAT_STATE_CHECK_UNUSED:
        if (asked->check_set_aside)
            sink_print(&to, "gauge check %" PRId64 " is not used: it holds for the seat as the log "
                            "has it", reseat_record_integer(state->check, RESEAT_FIELD_SEQ, -1));
        break;
    case RESEAT_STATE_UNKNOWN_TYPES:
        if (state->unknown_types > 0)
            sink_print(&to, "since the run: %" PRIu64 " record%s of a kind that this version does "
                            "not know", state->unknown_types, words_s(state->unknown_types));
        break;
    case RESEAT_STATE_DAMAGE:
        if (state->bad_lines > 0)
            sink_print(&to, "damage was ignored, as asked: %" PRIu64 " bad line%s",
                       state->bad_lines, words_s(state->bad_lines));
        break;
    }
    return to.length;
}
