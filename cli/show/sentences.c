/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "sentences.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "words.h"

/* Reasons that no seat and no offset undo. */
#define LOG_REASONS                                                                            \
    (1u << RESEAT_REASON_COLLISION | 1u << RESEAT_REASON_STYLUS_CHANGE |                       \
     1u << RESEAT_REASON_SERVICE | 1u << RESEAT_REASON_TOO_OLD | 1u << RESEAT_REASON_ELSEWHERE |\
     1u << RESEAT_REASON_LOST_RECORDS | 1u << RESEAT_REASON_UNEXPLAINED_SHIFT |                \
     1u << RESEAT_REASON_UNLIKE_BEFORE)

#define LINES_MAX 8 /* named one by one */

/* A text that grows, and is cut to size; and what it is about. */
typedef struct sentence {
    char *out;
    size_t size, length;
    const reseat_question *question;
    const reseat_answer *answer;
    const reseat_state *state;
    reseat_unit unit;
} sentence;

static void add(sentence *s, const char *format, ...)
#if defined(__GNUC__)
    __attribute__((format(printf, 2, 3)))
#endif
    ;

static void add(sentence *s, const char *format, ...)
{
    va_list values;
    const size_t used = s->length < s->size ? s->length : s->size;
    va_start(values, format);
    const int more = vsnprintf(s->out + used, s->size - used, format, values);
    va_end(values);
    s->length += more > 0 ? (size_t)more : 0;
}

static sentence begin(char *out, size_t size)
{
    if (size > 0)
        out[0] = '\0';
    return (sentence){.out = out, .size = size};
}

static sentence begin_about(const reseat_question *question, const reseat_answer *answer,
                            const reseat_state *state, reseat_unit unit, char *out,
                            size_t size)
{
    sentence s = begin(out, size);
    s.question = question;
    s.answer = answer;
    s.state = state;
    s.unit = unit;
    return s;
}

const char *verdict_word(const reseat_answer *answer)
{
    return answer->ok ? "OK" : "RECALIBRATE";
}

/* How to come by a better figure for what weighs most. */
static const char *better_u(reseat_term term)
{
    static const char *const steps[RESEAT_TERM_COUNT] = {
        [RESEAT_TERM_RUN] = "calibrate with more touches: u_run weighs most",
        [RESEAT_TERM_SEAT] = "measure how one seating scatters here: u_seat weighs most",
        [RESEAT_TERM_TURN] = "measure how the orientation stop scatters: u_turn weighs most",
        [RESEAT_TERM_SPINDLE] = "measure the spindle's part: u_spindle weighs most",
        [RESEAT_TERM_TOUCH] = "measure the probe's repeatability: u_touch weighs most",
        [RESEAT_TERM_DRIFT] = "calibrate again: growth since the run weighs most",
        [RESEAT_TERM_LOBING] =
            "calibrate in 12 directions or more, all round: lobing weighs most",
        [RESEAT_TERM_SHIFT] = "repeat the gauge check with more touches",
    };
    return steps[term] ? steps[term] : "";
}

size_t next_sentence(const reseat_answer *answer, const reseat_state *state, char *out,
                     size_t size)
{
    sentence s = begin(out, size);
    switch (answer->next) {
    case RESEAT_NEXT_NONE: break;
    case RESEAT_NEXT_CALIBRATE:
        add(&s, "calibrate again%s", answer->reasons & LOG_REASONS
                    ? "" : ", or restore the calibration's seat and its offset in the control");
        break;
    case RESEAT_NEXT_GAUGE_CHECK:
        add(&s, "read the centre of any bore with the spindle at 0 and at 180: reseat find-seat "
                "%s --at-0 X,Y --at-180 X,Y", state->spindle[0] ? state->spindle : "--offset X,Y");
        break;
    case RESEAT_NEXT_SPINDLE_PART:
        add(&s, "two runs half a turn apart tell what stays with the spindle (--spindle-part)");
        break;
    case RESEAT_NEXT_RECORD_SEAT:
        add(&s, "no possible seat keeps the limit: calibrate again, and write the seat down");
        break;
    case RESEAT_NEXT_BETTER_U: add(&s, "%s", better_u(answer->next_term));
    }
    return s.length;
}

const char *term_meaning(reseat_term term)
{
    static const char *const meaning[RESEAT_TERM_COUNT] = {
        [RESEAT_TERM_RUN] = "stored offset",
        [RESEAT_TERM_SEAT] = "seatings, the run's and this one",
        [RESEAT_TERM_TURN] = "orientation stop and key play, across the offset",
        [RESEAT_TERM_SPINDLE] = "part that stays with the spindle",
        [RESEAT_TERM_TOUCH] = "repeatability of the probe",
        [RESEAT_TERM_DRIFT] = "growth since the run",
        [RESEAT_TERM_LOBING] = "radius by direction; a bound where not measured",
        [RESEAT_TERM_SHIFT] = "gauge check",
    };
    return meaning[term] ? meaning[term] : "";
}

const char *caution_sentence(void)
{
    return "an estimate, not a measurement: touch a known gauge before trusting it on a part";
}

size_t place_name(bool seat_named, double seat_deg, double turn_deg, char *out, size_t size)
{
    return (size_t)snprintf(out, size, "%s %.40s", seat_named ? "seat" : "a turn of",
                            words_degrees(seat_named ? seat_deg : turn_deg).text);
}

/* A length with the digits that tell the worst error from the limit, and its unit. */
static void add_length(sentence *s, const char *before, double mm)
{
    const int more = words_more_digits(s->answer->worst.error_length_mm, s->question->limit_mm,
                                       s->unit);
    add(s, "%s%s %s", before, words_length(mm, s->unit, more).text, reseat_unit_name(s->unit));
}

static void add_worst(sentence *s)
{
    char place[64];
    const reseat_outcome *worst = &s->answer->worst;
    place_name(s->answer->seats_named, worst->seat_deg, worst->turn_deg, place, sizeof place);
    add(s, "at %s", place);
}

/* "collision since the run (record 17, 2026-05-01)". */
static void add_event(sentence *s, reseat_reason reason)
{
    const reseat_state_event *event = &s->state->events[reason];
    if (reason == RESEAT_REASON_ELSEWHERE)
        add(s, "the probe was since used in %s (record %" PRId64 " there, %s)", event->log,
            event->seq, words_date(event->at).text);
    else
        add(s, "%s since the run (record %" PRId64 ", %s)", reseat_reason_code(reason),
            event->seq, words_date(event->at).text);
}

static void add_reason(sentence *s, reseat_reason reason)
{
    switch (reason) {
    case RESEAT_REASON_ERROR_EXCEEDS_LIMIT:
        add_worst(s);
        add_length(s, " positions are off by ", s->answer->worst.error_length_mm);
        add_length(s, ", limit ", s->question->limit_mm);
        break;
    case RESEAT_REASON_CHANCE_BELOW_CONFIDENCE:
        add_worst(s);
        add_length(s, " the chance of staying within ", s->question->limit_mm);
        add(s, " is %s, %s is asked for",
            words_chance_beside(s->answer->worst.chance_within, s->question->confidence).text,
            words_confidence(s->question->confidence).text);
        break;
    case RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY:
        add(s, "even unturned, the uncertainty exceeds this limit");
        break;
    case RESEAT_REASON_COLLISION:
    case RESEAT_REASON_STYLUS_CHANGE:
    case RESEAT_REASON_SERVICE:
    case RESEAT_REASON_ELSEWHERE: add_event(s, reason); break;
    case RESEAT_REASON_TOO_OLD:
        add(s, "the run is %s old", words_days(s->state->age_days).text);
        break;
    case RESEAT_REASON_DAMAGE_IGNORED: add(s, "damage in the log was ignored, as asked"); break;
    case RESEAT_REASON_LOST_RECORDS:
        add(s, "what stood in line %" PRIu64 "%s%s may have been a reseat or a collision",
            s->state->lost_line, s->state->lost_log[0] ? " of " : "", s->state->lost_log);
        break;
    case RESEAT_REASON_UNEXPLAINED_SHIFT:
        add(s, "no possible seat explains the gauge check%s: something is bent or loose",
            s->state->past_check ? " before it was last put back" : "");
        break;
    case RESEAT_REASON_UNLIKE_BEFORE:
        add(s, "the run is unlike those before it: mistyped? a second run that agrees clears it");
        break;
    }
}

size_t reason_sentence(reseat_reason reason, const reseat_question *question,
                       const reseat_answer *answer, const reseat_state *state,
                       reseat_unit unit, char *out, size_t size)
{
    sentence s = begin_about(question, answer, state, unit, out, size);
    add_reason(&s, reason);
    return s.length;
}

size_t reasons_sentence(const reseat_question *question, const reseat_answer *answer,
                        const reseat_state *state, reseat_unit unit, char *out, size_t size)
{
    sentence s = begin_about(question, answer, state, unit, out, size);
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        add(&s, "%s", s.length > 0 ? "; " : "");
        add_reason(&s, (reseat_reason)reason);
    }
    return s.length;
}

size_t verdict_sentence(const reseat_question *question, const reseat_answer *answer,
                        const reseat_state *state, reseat_unit unit, char *out, size_t size)
{
    if (!answer->ok)
        return reasons_sentence(question, answer, state, unit, out, size);
    sentence s = begin_about(question, answer, state, unit, out, size);
    add_worst(&s);
    add_length(&s, " positions are off by ", answer->worst.error_length_mm);
    add_length(&s, ", within ", question->limit_mm);
    add(&s, " with chance %s", words_chance(answer->worst.chance_within).text);
    return s.length;
}

/* "reseat 14 (2026-04-01, battery)". */
static void add_reseat(sentence *s, const reseat_record *reseat)
{
    char why[160] = "";
    const char *text = reseat_record_text(reseat, RESEAT_FIELD_WHY);
    if (text)
        reseat_text_terminal(text, strlen(text), why, sizeof why);
    add(s, "%s %" PRId64 "%s (%s%s%s)", reseat_record_type_name(reseat_record_type_of(reseat)),
        reseat_record_integer(reseat, RESEAT_FIELD_SEQ, -1),
        reseat_record_type_of(reseat) == RESEAT_RECORD_RUN ? " of another tip" : "",
        words_date(reseat_record_integer(reseat, RESEAT_FIELD_AT, 0)).text, text ? ", " : "", why);
}

static void add_gauge_check(sentence *s, const reseat_record *check, const reseat_xy *as_typed_mm,
                            reseat_unit unit)
{
    const bool anew = reseat_record_has(check, RESEAT_FIELD_NOW_X_MM);
    const reseat_xy mm = {
        reseat_record_number(check, anew ? RESEAT_FIELD_NOW_X_MM : RESEAT_FIELD_SHIFT_X_MM, 0),
        reseat_record_number(check, anew ? RESEAT_FIELD_NOW_Y_MM : RESEAT_FIELD_SHIFT_Y_MM, 0)};
    add(s, "%s %" PRId64 " of %s: %s %s %s", anew ? "check" : "gauge check",
        reseat_record_integer(check, RESEAT_FIELD_SEQ, -1),
        words_date(reseat_record_integer(check, RESEAT_FIELD_AT, 0)).text,
        anew ? "offset measured anew" : "shift", words_pair(mm, unit, 0).text,
        reseat_unit_name(unit));
    if (as_typed_mm)
        add(s, "; %s with the offset in use as typed", words_pair(*as_typed_mm, unit, 0).text);
}

/* "P2 was in this spindle since: run 15 (2026-04-01)", or where the probe itself was. */
static void add_evidence(sentence *s, const reseat_state_event *evidence)
{
    char probe[2 * RESEAT_RECORD_NAME_MAX];
    reseat_text_terminal(evidence->probe, strlen(evidence->probe), probe, sizeof probe);
    if (evidence->log[0])
        add(s, "not known, as the probe was used in %s since: ", evidence->log);
    else
        add(s, "not known, as %s was in this spindle since: ", probe);
    add(s, "%s %" PRId64 " (%s)", reseat_record_type_name(evidence->type), evidence->seq,
        words_date(evidence->at).text);
}

/* Drive keys may leave other seats than what was typed, which was then read from a mark. */
static void add_typed_seat(sentence *s, const char *seat, const reseat_state_question *asked)
{
    if (!asked->snapped)
        add(s, "%s, as typed", seat);
    else if (asked->seat.kind == RESEAT_SEAT_ANGLE)
        add(s, "%s, the nearest that the keys allow to the seat typed", seat);
    else
        add(s, "%s, as the seat typed may be any that the keys allow", seat);
}

size_t seat_sentence(const reseat_state *state, const reseat_state_question *asked,
                     const reseat_state_typed *typed, reseat_unit unit, char *out, size_t size)
{
    sentence s = begin(out, size);
    char seat[RESEAT_SEAT_SIZE] = "";
    const reseat_estimate *e = &asked->question.estimate;
    (void)reseat_seat_format(&asked->seat, seat);
    switch (asked->source) {
    case RESEAT_SOURCE_TYPED: add_typed_seat(&s, seat, asked); break;
    case RESEAT_SOURCE_VERIFY:
        add_gauge_check(&s, state->check, typed->in_use_mm ? &e->shift_mm : NULL, unit);
        break;
    case RESEAT_SOURCE_RUN:
        add(&s, "no reseat on record since the run%s",
            e->out ? "; tool changes keep the angle" : "");
        break;
    case RESEAT_SOURCE_EVIDENCE:
        add_evidence(&s, &state->evidence);
        add(&s, "; taken as %s", seat);
        break;
    case RESEAT_SOURCE_LATE:
        add(&s, "not known, as the run was imported long after it was made; taken as %s", seat);
        break;
    case RESEAT_SOURCE_RESEAT:
        add(&s, "%s, by ", seat);
        add_reseat(&s, state->last_reseat);
        break;
    case RESEAT_SOURCE_POLICY:
    case RESEAT_SOURCE_DEFAULT: {
        const bool written = !reseat_record_is_null(state->last_reseat, RESEAT_FIELD_SEAT_DEG);
        add(&s, written ? "the run's was not recorded, so that of " : "not recorded at ");
        add_reseat(&s, state->last_reseat);
        add(&s, "%s; %s%s", written ? " says nothing" : "",
            asked->source == RESEAT_SOURCE_POLICY ? "the policy allows " : "", seat);
    }
    }
    return s.length;
}

size_t contradiction_sentence(const reseat_state *state,
                              const reseat_state_question *asked, char *out, size_t size)
{
    sentence s = begin(out, size);
    char seat[RESEAT_SEAT_SIZE] = "";
    if (!asked->contradicts)
        return 0;
    (void)reseat_seat_format(&asked->seat, seat);
    add(&s, "the seat typed, %s, contradicts the log: ", seat);
    if (state->last_reseat)
        add_reseat(&s, state->last_reseat);
    else
        add(&s, "no reseat on record since the run");
    return s.length;
}

/* "2 lines sealed off by tech-2: TEXT". */
static void add_sealed_off(sentence *s, const reseat_state *state)
{
    char by[2 * RESEAT_RECORD_NAME_MAX], why[SENTENCE_SIZE / 2];
    const char *person = reseat_record_text(state->repair, RESEAT_FIELD_BY);
    const char *text = reseat_record_text(state->repair, RESEAT_FIELD_WHY);
    reseat_text_terminal(person, person ? strlen(person) : 0, by, sizeof by);
    reseat_text_terminal(text, strlen(text), why, sizeof why);
    add(s, "%" PRIu64 " line%s sealed off%s%s: %s", state->sealed_off,
        words_s(state->sealed_off), person ? " by " : "", by, why);
}

/* A verdict on a run means nothing where the control holds the offset of one taken back. */
static void add_voided(sentence *s, const reseat_state *state)
{
    add(s, "run %" PRId64 " is void (by %" PRId64 "): does the control hold the offset of run %"
           PRId64 " again? if not: reseat check %s --in-use %smm,%smm", state->voided_run,
        state->voided_by, reseat_record_integer(state->run, RESEAT_FIELD_SEQ, -1), state->spindle,
        words_number(state->voided_in_use_mm.x).text, words_number(state->voided_in_use_mm.y).text);
}

size_t remark_sentence(unsigned remark, const reseat_state *state,
                       const reseat_state_question *asked, char *out, size_t size)
{
    sentence s = begin(out, size);
    if (remark == 0 && asked->check_set_aside)
        add(&s, "gauge check %" PRId64 " does not count: it was made at the seat on record",
            reseat_record_integer(state->check, RESEAT_FIELD_SEQ, -1));
    if (remark == 1 && state->unknown_types > 0)
        add(&s, "since the run: %" PRIu64 " record%s of a kind that this version does not know",
            state->unknown_types, words_s(state->unknown_types));
    if (remark == 2 && state->bad_lines > 0)
        add(&s, "damage was ignored, as asked: %" PRIu64 " bad line%s", state->bad_lines,
            words_s(state->bad_lines));
    if (remark == 3 && state->bad_log[0])
        add(&s, "the log of %s is damaged; what can be read of it does not name this probe: reseat "
                "audit %s shows all", state->bad_log, state->bad_log);
    if (remark == 4 && state->ahead.seq >= 0)
        add(&s, "record %" PRId64 "%s%s is %s ahead of this clock: one of two clocks is wrong",
            state->ahead.seq, state->ahead.log[0] ? " of " : "", state->ahead.log,
            words_span((double)state->ahead.at - (double)state->as_of).text);
    if (remark == 5 && state->repair)
        add_sealed_off(&s, state);
    if (remark == 6 && state->older_policy >= 0 && state->lost == 0)
        add(&s, "policy %" PRId64 " is older than what was lost, which may have been another: see "
                "that it still holds", state->older_policy);
    if (remark == 7 && state->voided_run >= 0 &&
        !(reseat_plane_length(asked->question.estimate.in_use_change_mm) > 0))
        add_voided(&s, state);
    if (remark == REMARK_DOUBTS && reseat_record_has(state->run, RESEAT_FIELD_DOUBTS)) {
        char doubts[SENTENCE_SIZE / 4], shown[SENTENCE_SIZE / 2];
        reseat_record_show(state->run, RESEAT_FIELD_DOUBTS, doubts, sizeof doubts);
        reseat_text_terminal(doubts, strlen(doubts), shown, sizeof shown);
        const bool gauge = strcmp(shown, RESEAT_DOUBT_GAUGE_OVERDUE) == 0;
        add(&s, "run %" PRId64 " was recorded despite doubts (%s): %s",
            reseat_record_integer(state->run, RESEAT_FIELD_SEQ, -1), shown,
            gauge ? "have the gauge certified" : "touch the gauge again");
    }
    return s.length;
}

/* "7 and 19" */
static void add_lines(sentence *s, const reseat_reduction *r, const reseat_touch *touches,
                      const reseat_touch_result *results)
{
    const size_t most = r->outliers > LINES_MAX ? LINES_MAX - 1 : r->outliers;
    size_t named = 0;
    for (size_t i = 0; i < r->touches && named < most; i++)
        if (results[i].outlier) {
            add(s, "%s%zu", named == 0 ? "" : named + 1 < r->outliers ? ", " : " and ",
                touches[i].line);
            named++;
        }
    if (named < r->outliers)
        add(s, " and %zu more", r->outliers - named);
}

size_t doubt_sentence(const char *doubt, const reseat_reduction *reduction,
                      const reseat_touch *touches, const reseat_touch_result *results,
                      reseat_unit unit, char *out, size_t size)
{
    sentence s = begin(out, size);
    if (strcmp(doubt, "outliers") == 0) {
        add(&s, "retake line%s ", words_s(reduction->outliers));
        add_lines(&s, reduction, touches, results);
        add(&s, " before recording");
    } else {
        add(&s, "the gauge moved by %s between the turns: clamp it, then touch it anew",
            words_length_in(reduction->closure_mm, unit, 0).text);
    }
    return s.length;
}

static void add_keyed(sentence *s, const reseat_found *found)
{
    char best[64], next[64];
    const reseat_found_seat *first = &found->seats[found->best];
    const reseat_found_seat *second = &found->seats[found->runner_up];
    place_name(found->seats_named, first->seat_deg, first->turn_deg, best, sizeof best);
    add(s, "fits %s", best);
    if (found->runner_up == found->count)
        return;
    place_name(found->seats_named, second->seat_deg, second->turn_deg, next, sizeof next);
    add(s, "%s, probability %s", found->settled ? "" : " best",
        words_chance(first->probability).text);
    add(s, found->settled ? "; next %s, %s" : "; but %s cannot be ruled out, %s", next,
        words_chance(second->probability).text);
}

static void add_free(sentence *s, const reseat_found *found, const char *possible)
{
    char place[64];
    place_name(true, found->seat_deg, 0, place, sizeof place);
    add(s, "fits a turn of %s, ± %s (standard)%s%s", words_degrees(found->turn_deg).text,
        words_degrees(found->turn_u_deg).text, found->seats_named ? ": " : "",
        found->seats_named ? place : "");
    if (found->outside)
        add(s, ", outside of %s", possible);
    else
        add(s, "; a bent stylus can fit one too");
}

/* Readings taken off the wrong way round are the commonest slip of all. */
static void add_unexplained(sentence *s, const reseat_found *found)
{
    if (found->unturned) {
        add(s, "the readings agree, as if the spindle had not been turned: read them again; was "
               "the stylus centred since? record a run");
        return;
    }
    add(s, "no %s explains this %s: ", found->keyed ? "seat that was possible" : "turn",
        found->anew ? "offset" : "shift");
    if (found->opposite)
        add(s, "with the opposite sign it fits %s: %s?", words_degrees(found->opposite_deg).text,
            found->anew ? "were the two readings exchanged" : "is it now less then");
    else
        add(s, "calibrate again, and look for what is bent or loose");
}

size_t found_sentence(const reseat_found *found, const char *possible, reseat_unit unit, char *out,
                      size_t size)
{
    sentence s = begin(out, size);
    if (!found->explained && !found->outside)
        add_unexplained(&s, found);
    else if (!found->resolvable && !found->keyed)
        add(&s, "the seat cannot be told: the part of the offset that turns, %s %s, is less than "
                "3 times what scatters, %s", words_length(found->turning_mm, unit, 0).text,
            reseat_unit_name(unit), words_length(found->u_mm, unit, 0).text);
    else if (found->keyed)
        add_keyed(&s, found);
    else
        add_free(&s, found, possible);
    return s.length;
}

const char *not_due_sentence(const reseat_state *state, const reseat_outlook *outlook)
{
    if (!state->policy)
        return "no policy is on record, so no limit";
    return outlook->input.limit_mm > 0 ? "it lies too far ahead" : "the policy sets no limit";
}
