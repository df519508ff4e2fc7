/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A question and its answer, as screens and JSON show them: the verdict is the last line. */

#include "answer.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include "record_summary.h"
#include "sentences.h"

#define ROWS_MAX 3 /* more seats than this are summed up in a line */

words answer_place(const reseat_answer *answer, const reseat_outcome *outcome)
{
    words place;
    place_name(answer->seats_named, outcome->seat_deg, outcome->turn_deg, place.text,
               sizeof place.text);
    return place;
}

void answer_probe(const reseat_state *state)
{
    printf("%s  probe ", state->spindle);
    text_put(stdout, reseat_text_terminal, state->probe, strlen(state->probe));
    if (strcmp(state->tip, "main") == 0)
        return;
    printf(" tip ");
    text_put(stdout, reseat_text_terminal, state->tip, strlen(state->tip));
}

void answer_as_of(FILE *out, const arguments *args)
{
    const option_value *as_of = &args->options[OPT_AS_OF], *known = &args->options[OPT_AS_KNOWN];
    if (as_of->given)
        fprintf(out, ", as of %s", words_time(as_of->time).text);
    if (known->given)
        fprintf(out, ", as known by %s", words_time(known->time).text);
}

void answer_source(const arguments *args, const request *asked)
{
    const reseat_state *s = &asked->state;
    const words offset = words_pair_in(asked->question->estimate.offset_mm, args->unit);
    if (!asked->from_log) {
        printf("typed offset %s, seat at the run %s\n", offset.text,
               words_degrees(asked->question->turns.run_deg).text);
        return;
    }
    answer_probe(s);
    printf("  run %" PRId64 " of %s, %s ago, offset %s",
           reseat_record_integer(s->run, RESEAT_FIELD_SEQ, -1),
           words_date(reseat_record_integer(s->run, RESEAT_FIELD_AT, 0)).text,
           words_days(s->age_days).text, offset.text);
    answer_as_of(stdout, args);
    printf("\n");
}

void answer_seat(FILE *out, text_escape *escape, const request *asked, reseat_unit unit)
{
    char text[SENTENCE_SIZE];
    seat_sentence(&asked->state, &asked->logged, &asked->beside, unit, text, sizeof text);
    text_put(out, escape, text, strlen(text));
}

/* A line, if there is anything to say; what goes to standard error says who speaks. */
static void say(FILE *out, const char *before, const char *text)
{
    if (text[0])
        fprintf(out, "%s%s%s\n", out == stderr ? "reseat: " : "", before, text);
}

void answer_contradiction(FILE *out, const request *asked)
{
    char text[SENTENCE_SIZE] = "";
    if (asked->from_log)
        contradiction_sentence(&asked->state, &asked->logged, text, sizeof text);
    say(out, "", text);
}

void answer_remarks(FILE *out, const request *asked)
{
    char text[SENTENCE_SIZE];
    for (unsigned remark = 0; asked->from_log && remark < REMARK_COUNT; remark++) {
        remark_sentence(remark, &asked->state, &asked->logged, text, sizeof text);
        say(out, "", text);
    }
}

void answer_reasons(FILE *out, const char *before, const request *asked, reseat_unit unit)
{
    char text[SENTENCE_SIZE];
    for (unsigned reason = RESEAT_REASON_COLLISION; reason < RESEAT_REASON_DAMAGE_IGNORED;
         reason++) {
        if (!(asked->question->reasons & 1u << reason))
            continue;
        reason_sentence((reseat_reason)reason, asked->question, NULL, &asked->state, unit, text,
                        sizeof text);
        say(out, before, text);
    }
}

void answer_found(FILE *out, const request *asked, const reseat_found *found, reseat_unit unit)
{
    char possible[2 * RESEAT_SEAT_SIZE], text[SENTENCE_SIZE];
    snprintf(possible, sizeof possible, "%s%s", asked->seat,
             asked->source == RESEAT_SOURCE_TYPED ? "" : " as the log has it");
    found_sentence(found, possible, unit, text, sizeof text);
    say(out, "", text);
}

void answer_head(const arguments *args, const request *asked)
{
    answer_contradiction(stdout, asked);
    answer_source(args, asked);
    if (!asked->from_log) {
        printf("seat now: %s%s\n", asked->seat,
               asked->source == RESEAT_SOURCE_DEFAULT
                   ? " (nothing typed: --seat same, 180, keys:2 ...)" : "");
        return;
    }
    printf("seat: ");
    answer_seat(stdout, reseat_text_terminal, asked, args->unit);
    printf("\n");
}

void answer_budget(const reseat_answer *answer, reseat_unit unit)
{
    printf("  standard uncertainty at the worst seat, %s\n", reseat_unit_name(unit));
    for (size_t i = 0; i < answer->budget_count; i++) {
        const reseat_budget_row *row = &answer->budget[i];
        printf("  %-10s%9s  %s%s\n", reseat_term_name(row->term),
               words_length(row->u_mm, unit, 1).text, term_meaning(row->term),
               row->assumed ? " (assumed)" : "");
    }
}

static void print_row(const reseat_answer *answer, const reseat_outcome *outcome,
                      reseat_unit unit, int more)
{
    const int width = words_width(unit, more);
    printf("  %8s %*s %*s %*s   %s\n", /* the sign of degrees has two bytes */
           words_degrees(answer->seats_named ? outcome->seat_deg : outcome->turn_deg).text,
           width, words_signed(outcome->error_mm.x, unit, more).text,
           width, words_signed(outcome->error_mm.y, unit, more).text,
           width, words_length(outcome->error_length_mm, unit, more).text,
           words_chance(outcome->chance_within).text);
}

/* The worst of an interval stands last and is most often one of its ends: shown once. */
static size_t rows_apart(const reseat_question *question, const reseat_answer *answer)
{
    const reseat_outcome *seats = answer->seats;
    if (!question->turns.range || answer->count != 3)
        return answer->count;
    if (fabs(seats[0].turn_deg - seats[1].turn_deg) < 0.005)
        return 1;
    const bool is_end = fabs(seats[2].turn_deg - seats[0].turn_deg) < 0.005 ||
                        fabs(seats[2].turn_deg - seats[1].turn_deg) < 0.005;
    return is_end ? 2 : 3;
}

/* Whichever sign a zero has. */
static bool is_same(reseat_xy a, reseat_xy b)
{
    return !(a.x < b.x || a.x > b.x || a.y < b.y || a.y > b.y);
}

/* What many seats come to; the closed forms are those of the run's own offset in use. */
static void print_summary(const reseat_question *question, const reseat_answer *answer,
                          reseat_unit unit, int more)
{
    const reseat_estimate *e = &question->estimate;
    const bool closed_forms = !e->verified && is_same(e->in_use_mm, e->offset_mm);
    if (!question->turns.range)
        printf("  the worst of %zu possible seats\n", answer->count);
    else if (!closed_forms)
        printf("  the worst of all turns\n");
    else
        printf("  any turn: off by %s on average, %s of all turns stay within (geometry)\n",
               words_length_in(answer->any.mean_mm, unit, more).text,
               words_chance(answer->any.seats_within).text);
}

static void print_seats(const reseat_question *question, const reseat_answer *answer,
                        reseat_unit unit)
{
    const int more = words_more_digits(answer->worst.error_length_mm, question->limit_mm, unit);
    const int width = words_width(unit, more);
    printf("  %7s %*s %*s %*s   chance within %s\n", answer->seats_named ? "seat" : "turn",
           width, "X", width, "Y", width, "length",
           words_length_in(question->limit_mm, unit, more).text);
    if (answer->count > ROWS_MAX) {
        print_row(answer, &answer->worst, unit, more);
        print_summary(question, answer, unit, more);
        return;
    }
    for (size_t i = 0; i < rows_apart(question, answer); i++)
        print_row(answer, &answer->seats[i], unit, more);
}

/* That nothing is on record is no proof, and the commonest slip of all is to forget it. */
static void print_put_back(const arguments *args, const request *asked)
{
    const option_value *options = args->options;
    if (asked->from_log && asked->source == RESEAT_SOURCE_RUN && !asked->question->estimate.out &&
        !options[OPT_AS_OF].given && !options[OPT_AS_KNOWN].given)
        printf("just put back? reseat check %s --was-out\n", asked->state.spindle);
}

/* What drift finds of the run in force, unless that is a reason already. */
static void print_finding(const request *asked, reseat_unit unit)
{
    char text[256];
    const reseat_drift_newest *newest = &asked->logged.newest;
    if (!asked->from_log || !asked->logged.newest_known || !(newest->p < RESEAT_DRIFT_P_FOUND) ||
        asked->question->reasons & 1u << RESEAT_REASON_UNLIKE_BEFORE)
        return;
    const reseat_drift_finding odd = {.code = RESEAT_DRIFT_NEWEST_RUN_ODD, .seq = newest->seq,
                                      .runs = newest->before + 1, .p = newest->p};
    (void)reseat_drift_finding_text(&odd, unit, text, sizeof text);
    printf("%s\n", text);
}

void answer_screen(const arguments *args, const request *asked, const reseat_answer *answer)
{
    char text[SENTENCE_SIZE];
    const reseat_unit unit = args->unit;
    answer_head(args, asked);
    print_put_back(args, asked);
    print_seats(asked->question, answer, unit);
    if (args->options[OPT_BUDGET].given)
        answer_budget(answer, unit);
    answer_remarks(stdout, asked);
    print_finding(asked, unit);
    if (next_sentence(answer, &asked->state, text, sizeof text) > 0)
        printf("next: %s\n", text);
    verdict_sentence(asked->question, answer, &asked->state, unit, text, sizeof text);
    printf("%s\n%s: %s%s\n", caution_sentence(), verdict_word(answer), text,
           answer->assumed_decides ? "; depends on assumed uncertainties (--budget)" : "");
}

void answer_question_json(json *j, const request *asked)
{
    const reseat_state *s = &asked->state;
    const reseat_xy offset_mm = asked->question->estimate.offset_mm;
    if (asked->from_log)
        json_print(j, "spindle:s probe:s tip:s run_seq:i run_at:t age_days:n", s->spindle,
                   s->probe, s->tip, reseat_record_integer(s->run, RESEAT_FIELD_SEQ, -1),
                   reseat_record_integer(s->run, RESEAT_FIELD_AT, 0), s->age_days);
    json_print(j, "offset_mm:p offset_length_mm:n offset_bearing_deg:n limit_mm:n confidence:n",
               offset_mm, reseat_plane_length(offset_mm), reseat_plane_bearing(offset_mm),
               asked->question->limit_mm, asked->question->confidence);
}

void answer_limits_json(json *j, const reseat_answer *answer)
{
    const reseat_any *any = &answer->any;
    json_print(j, "any:{ mean_mm:n rms_mm:n p95_mm:n seats_within:n }", any->mean_mm, any->rms_mm,
               any->p95_mm, any->seats_within);
    json_print(j, "allowed_turn_deg:n allowed_offset_mm:n", answer->allowed_turn_deg,
               answer->allowed_offset_mm);
    json_print(j, "geometry:{ allowed_turn_deg:n allowed_offset_mm:n }", any->allowed_turn_deg,
               any->allowed_offset_mm);
}

void answer_budget_json(json *j, const reseat_answer *answer)
{
    json_print(j, "budget:[");
    for (size_t i = 0; i < answer->budget_count; i++)
        json_print(j, "{ source:s u_mm:n assumed:b }", reseat_term_name(answer->budget[i].term),
                   answer->budget[i].u_mm, answer->budget[i].assumed);
    json_print(j, "]");
}

static void put_outcome(json *j, const char *key, bool named, const reseat_outcome *outcome)
{
    json_print(j, "%:{ seat_deg:n turn_deg:n error_mm:p error_length_mm:n error_bearing_deg:n "
                  "chance_within:n }", key,
               json_if(named, outcome->seat_deg), outcome->turn_deg, outcome->error_mm,
               outcome->error_length_mm, outcome->error_bearing_deg, outcome->chance_within);
}

static void put_source(json *j, const request *asked)
{
    json_print(j, "seat:{ typed:s from:s", asked->seat, reseat_seat_source_name(asked->source));
    if (asked->from_log && asked->logged.source_seq >= 0)
        json_print(j, "seq:i", asked->logged.source_seq);
    if (asked->from_log && asked->logged.contradicts)
        json_print(j, "contradicts:b", true);
    if (asked->from_log && asked->logged.check_set_aside)
        json_print(j, "check_set_aside:b", true);
    json_print(j, "}");
}

static void put_reasons(json *j, const request *asked, const reseat_answer *answer)
{
    char text[SENTENCE_SIZE];
    json_print(j, "reasons:[");
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        reason_sentence((reseat_reason)reason, asked->question, answer, &asked->state,
                        RESEAT_MM, text, sizeof text);
        json_print(j, "{ code:s text:s }", reseat_reason_code((reseat_reason)reason), text);
    }
    json_print(j, "]");
}

/* Codes that the run in force was recorded despite, where there are any. */
static void put_doubts(json *j, const request *asked)
{
    char codes[SENTENCE_SIZE];
    const reseat_record *run = asked->from_log ? asked->state.run : NULL;
    if (!reseat_record_has(run, RESEAT_FIELD_DOUBTS))
        return;
    reseat_record_show(run, RESEAT_FIELD_DOUBTS, codes, sizeof codes);
    json_print(j, "doubts:[");
    for (char *code = codes, *next; code; code = next) {
        next = strchr(code, ' ');
        if (next)
            *next++ = '\0';
        json_print(j, "s", code);
    }
    json_print(j, "]");
}

void answer_json(const request *asked, const reseat_answer *answer, const reseat_appended *done)
{
    json j = json_begin(stdout);
    json_print(&j, "verdict:s", verdict_word(answer));
    put_reasons(&j, asked, answer);
    put_doubts(&j, asked);
    char next[SENTENCE_SIZE];
    json_print(&j, "next:s",
               next_sentence(answer, &asked->state, next, sizeof next) > 0 ? next : NULL);
    answer_question_json(&j, asked);
    put_source(&j, asked);
    json_print(&j, "seats:[");
    for (size_t i = 0; i < answer->count; i++)
        put_outcome(&j, "", answer->seats_named, &answer->seats[i]);
    json_print(&j, "]");
    put_outcome(&j, "worst", answer->seats_named, &answer->worst);
    answer_limits_json(&j, answer);
    answer_budget_json(&j, answer);
    if (asked->from_log && asked->state.unknown_types > 0)
        json_print(&j, "unknown_types:i", (int64_t)asked->state.unknown_types);
    if (done)
        recorded_json(&j, done);
    json_end(&j);
}
