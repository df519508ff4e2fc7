/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* check --json, and what allowed shows of it. */

#include "answer.h"

#include "record_summary.h"

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

static void put_term(json *j, const void *answer, size_t i)
{
    const reseat_budget_row *row = &((const reseat_answer *)answer)->budget[i];
    json_print(j, "source:s u_mm:n assumed:b", reseat_term_name(row->term), row->u_mm,
               row->assumed);
}

void answer_budget_json(json *j, const reseat_answer *answer)
{
    json_objects(j, "budget", answer->budget_count, put_term, answer);
}

static void put_outcome(json *j, bool named, const reseat_outcome *outcome)
{
    json_print(j, "seat_deg:n turn_deg:n error_mm:p error_length_mm:n error_bearing_deg:n "
                  "chance_within:n",
               json_if(named, outcome->seat_deg), outcome->turn_deg, outcome->error_mm,
               outcome->error_length_mm, outcome->error_bearing_deg, outcome->chance_within);
}

static void put_seat(json *j, const void *list, size_t i)
{
    const reseat_answer *answer = list;
    put_outcome(j, answer->seats_named, &answer->seats[i]);
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
    char text[RESEAT_SENTENCE_SIZE];
    json_print(j, "reasons:[");
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        reseat_reason_text((reseat_reason)reason, asked->question, answer, &asked->state,
                           RESEAT_MM, text, sizeof text);
        json_print(j, "{ code:s text:s }", reseat_reason_code((reseat_reason)reason), text);
    }
    json_print(j, "]");
}

void answer_json(const request *asked, const reseat_answer *answer, const reseat_appended *done)
{
    json j = json_begin(stdout);
    json_print(&j, "verdict:s", reseat_verdict_name(answer));
    put_reasons(&j, asked, answer);
    json_print(&j, "next:s", answer->next != RESEAT_NEXT_NONE ? reseat_next_text(answer) : NULL);
    answer_question_json(&j, asked);
    put_source(&j, asked);
    json_objects(&j, "seats", answer->count, put_seat, answer);
    json_print(&j, "worst:{");
    put_outcome(&j, answer->seats_named, &answer->worst);
    json_print(&j, "}");
    answer_limits_json(&j, answer);
    answer_budget_json(&j, answer);
    if (asked->from_log && asked->state.unknown_types > 0)
        json_print(&j, "unknown_types:i", (int64_t)asked->state.unknown_types);
    if (done)
        recorded_json(&j, done);
    json_end(&j);
}
