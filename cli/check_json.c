/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* check --json. */

#include "commands.h"

#include <stdio.h>

static void json_outcome(json *j, const char *key, const reseat_answer *answer,
                         const reseat_outcome *outcome)
{
    json_open(j, key, '{');
    if (answer->seats_named)
        json_number(j, "seat_deg", outcome->seat_deg);
    json_number(j, "turn_deg", outcome->turn_deg);
    json_pair(j, "error_mm", outcome->error_mm);
    json_number(j, "error_length_mm", outcome->error_length_mm);
    json_number(j, "error_bearing_deg", outcome->error_bearing_deg);
    json_number(j, "chance_within", outcome->chance_within);
    json_close(j, '}');
}

static void json_seat(json *j, const asking *asked)
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

static void json_reasons(json *j, const asking *asked, const reseat_answer *answer)
{
    char text[256];
    json_open(j, "reasons", '[');
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        json_open(j, NULL, '{');
        json_text(j, "code", reseat_reason_code((reseat_reason)reason));
        json_text(j, "text", text_reason(text, sizeof text, asked, answer, (reseat_reason)reason,
                                         RESEAT_MM));
        json_close(j, '}');
    }
    json_close(j, ']');
}

void check_json(const asking *asked, const reseat_answer *answer, const reseat_appended *done)
{
    const reseat_question *question = asked->question;
    const reseat_estimate *estimate = &question->estimate;
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    json_text(&j, "verdict", check_verdict(answer));
    json_reasons(&j, asked, answer);
    if (answer->next != RESEAT_NEXT_NONE)
        json_text(&j, "next", check_next(answer));
    answer_source_json(&j, asked);
    json_number(&j, "offset_length_mm", reseat_plane_length(estimate->offset_mm));
    json_number(&j, "offset_bearing_deg", reseat_plane_bearing(estimate->offset_mm));
    json_number(&j, "limit_mm", question->limit_mm);
    json_number(&j, "confidence", question->confidence);
    json_seat(&j, asked);
    json_open(&j, "seats", '[');
    for (size_t i = 0; i < answer->count; i++)
        json_outcome(&j, NULL, answer, &answer->seats[i]);
    json_close(&j, ']');
    json_outcome(&j, "worst", answer, &answer->worst);
    answer_limits_json(&j, answer);
    answer_budget_json(&j, answer);
    if (asked->from_log && asked->standing.unknown_types > 0)
        json_integer(&j, "unknown_types", (int64_t)asked->standing.unknown_types);
    if (done)
        record_answer_json(&j, done);
    json_end(&j);
}
