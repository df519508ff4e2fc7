/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* check --json, and what allowed shows of it. */

#include "answer.h"

#include "record_summary.h"
#include "sentences.h"

void answer_question_json(json *j, const request *asked)
{
    const reseat_standing *s = &asked->standing;
    const reseat_xy offset_mm = asked->question->estimate.offset_mm;
    if (asked->from_log) {
        json_text(j, "spindle", s->spindle);
        json_text(j, "probe", s->probe);
        json_text(j, "tip", s->tip);
        json_integer(j, "run_seq", reseat_record_integer(s->run, RESEAT_FIELD_SEQ, -1));
        json_time(j, "run_at", reseat_record_integer(s->run, RESEAT_FIELD_AT, 0));
        json_number(j, "age_days", s->age_days);
    }
    json_pair(j, "offset_mm", offset_mm);
    json_members(j, (const json_member[]){
                        {"offset_length_mm", reseat_plane_length(offset_mm)},
                        {"offset_bearing_deg", reseat_plane_bearing(offset_mm)},
                        {"limit_mm", asked->question->limit_mm},
                        {"confidence", asked->question->confidence},
                        {NULL, 0}});
}

void answer_limits_json(json *j, const reseat_answer *answer)
{
    const reseat_any *any = &answer->any;
    json_object(j, "any", (const json_member[]){{"mean_mm", any->mean_mm},
                                                {"rms_mm", any->rms_mm},
                                                {"p95_mm", any->p95_mm},
                                                {"seats_within", any->seats_within},
                                                {NULL, 0}});
    json_number(j, "allowed_turn_deg", answer->allowed_turn_deg);
    json_number(j, "allowed_offset_mm", answer->allowed_offset_mm);
    json_object(j, "geometry",
                (const json_member[]){{"allowed_turn_deg", any->allowed_turn_deg},
                                      {"allowed_offset_mm", any->allowed_offset_mm},
                                      {NULL, 0}});
}

static void put_term(json *j, const void *answer, size_t i)
{
    const reseat_budget_row *row = &((const reseat_answer *)answer)->budget[i];
    json_text(j, "source", reseat_term_name(row->term));
    json_number(j, "u_mm", row->u_mm);
    json_bool(j, "assumed", row->assumed);
}

void answer_budget_json(json *j, const reseat_answer *answer)
{
    json_objects(j, "budget", answer->budget_count, put_term, answer);
}

static void put_outcome(json *j, bool named, const reseat_outcome *outcome)
{
    if (named)
        json_number(j, "seat_deg", outcome->seat_deg);
    json_number(j, "turn_deg", outcome->turn_deg);
    json_pair(j, "error_mm", outcome->error_mm);
    json_members(j, (const json_member[]){{"error_length_mm", outcome->error_length_mm},
                                          {"error_bearing_deg", outcome->error_bearing_deg},
                                          {"chance_within", outcome->chance_within},
                                          {NULL, 0}});
}

static void put_seat(json *j, const void *list, size_t i)
{
    const reseat_answer *answer = list;
    put_outcome(j, answer->seats_named, &answer->seats[i]);
}

static void put_source(json *j, const request *asked)
{
    json_open(j, "seat", '{');
    json_text(j, "typed", asked->seat);
    json_text(j, "from", reseat_seat_source_name(asked->source));
    if (asked->from_log && asked->logged.source_seq >= 0)
        json_integer(j, "seq", asked->logged.source_seq);
    if (asked->from_log && asked->logged.contradicts)
        json_bool(j, "contradicts", true);
    if (asked->from_log && asked->logged.check_set_aside)
        json_bool(j, "check_set_aside", true);
    json_close(j, '}');
}

static void put_reasons(json *j, const request *asked, const reseat_answer *answer)
{
    char text[SENTENCE_SIZE];
    json_open(j, "reasons", '[');
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        reason_sentence((reseat_reason)reason, asked->question, answer, &asked->standing,
                        RESEAT_MM, text, sizeof text);
        json_open(j, NULL, '{');
        json_text(j, "code", reseat_reason_code((reseat_reason)reason));
        json_text(j, "text", text);
        json_close(j, '}');
    }
    json_close(j, ']');
}

void answer_json(const request *asked, const reseat_answer *answer, const reseat_appended *done)
{
    json j = json_begin(stdout);
    json_text(&j, "verdict", verdict_word(answer));
    put_reasons(&j, asked, answer);
    if (answer->next != RESEAT_NEXT_NONE)
        json_text(&j, "next", next_step(answer));
    answer_question_json(&j, asked);
    put_source(&j, asked);
    json_objects(&j, "seats", answer->count, put_seat, answer);
    json_open(&j, "worst", '{');
    put_outcome(&j, answer->seats_named, &answer->worst);
    json_close(&j, '}');
    answer_limits_json(&j, answer);
    answer_budget_json(&j, answer);
    if (asked->from_log && asked->standing.unknown_types > 0)
        json_integer(&j, "unknown_types", (int64_t)asked->standing.unknown_types);
    if (done)
        recorded_json(&j, done);
    json_end(&j);
}
