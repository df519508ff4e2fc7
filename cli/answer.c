/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Parts of an answer that more than one command shows. */

#include "commands.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

void answer_source(const arguments *args, const asking *asked)
{
    const reseat_unit unit = args->unit;
    const reseat_state *s = &asked->standing;
    const reseat_xy offset = asked->question->estimate.offset_mm;
    char x[TEXT_SIZE], y[TEXT_SIZE], run[TEXT_SIZE], date[RESEAT_TIME_SIZE] = "", probe[160],
        days[TEXT_SIZE];
    text_signed(x, offset.x, unit, 0);
    text_signed(y, offset.y, unit, 0);
    if (!asked->from_log) {
        printf("typed offset X %s Y %s %s, seat at the run %s\n", x, y, reseat_unit_name(unit),
               text_degrees(run, asked->question->turns.run_deg));
        return;
    }
    (void)reseat_time_format(reseat_record_integer(s->run, RESEAT_FIELD_AT, 0), date);
    reseat_text_terminal(s->probe, strlen(s->probe), probe, sizeof probe);
    printf("%s  probe %s", s->spindle, probe);
    if (strcmp(s->tip, "main") != 0) {
        reseat_text_terminal(s->tip, strlen(s->tip), probe, sizeof probe);
        printf(" tip %s", probe);
    }
    printf("  run %" PRId64 " of %.10s, %s ago, offset X %s Y %s %s\n",
           reseat_record_integer(s->run, RESEAT_FIELD_SEQ, -1), date,
           text_days(days, s->age_days), x, y, reseat_unit_name(unit));
}

void answer_source_json(json *j, const asking *asked)
{
    const reseat_state *s = &asked->standing;
    char at[RESEAT_TIME_SIZE] = "";
    if (asked->from_log) {
        (void)reseat_time_format(reseat_record_integer(s->run, RESEAT_FIELD_AT, 0), at);
        json_text(j, "spindle", s->spindle);
        json_text(j, "probe", s->probe);
        json_text(j, "tip", s->tip);
        json_integer(j, "run_seq", reseat_record_integer(s->run, RESEAT_FIELD_SEQ, -1));
        json_text(j, "run_at", at);
        json_number(j, "age_days", s->age_days);
    }
    json_pair(j, "offset_mm", asked->question->estimate.offset_mm);
}

void answer_limits_json(json *j, const reseat_answer *answer)
{
    json_open(j, "any", '{');
    json_number(j, "mean_mm", answer->any.mean_mm);
    json_number(j, "rms_mm", answer->any.rms_mm);
    json_number(j, "p95_mm", answer->any.p95_mm);
    json_number(j, "seats_within", answer->any.seats_within);
    json_close(j, '}');
    json_number(j, "allowed_turn_deg", answer->allowed_turn_deg);
    json_number(j, "allowed_offset_mm", answer->allowed_offset_mm);
    json_open(j, "geometry", '{');
    json_number(j, "allowed_turn_deg", answer->any.allowed_turn_deg);
    json_number(j, "allowed_offset_mm", answer->any.allowed_offset_mm);
    json_close(j, '}');
}

void answer_budget_json(json *j, const reseat_answer *answer)
{
    json_open(j, "budget", '[');
    for (size_t i = 0; i < answer->budget_count; i++) {
        json_open(j, NULL, '{');
        json_text(j, "source", reseat_term_name(answer->budget[i].term));
        json_number(j, "u_mm", answer->budget[i].u_mm);
        json_bool(j, "assumed", answer->budget[i].assumed);
        json_close(j, '}');
    }
    json_close(j, ']');
}

const char *answer_term(reseat_term term)
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

void answer_budget(const reseat_answer *answer, reseat_unit unit)
{
    char u[TEXT_SIZE];
    printf("  standard uncertainty at the worst seat, %s\n", reseat_unit_name(unit));
    for (size_t i = 0; i < answer->budget_count; i++) {
        const reseat_budget_row *row = &answer->budget[i];
        printf("  %-10s%9s  %s%s\n", reseat_term_name(row->term),
               text_length(u, row->u_mm, unit, 1), answer_term(row->term),
               row->assumed ? " (assumed)" : "");
    }
}
