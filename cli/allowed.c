/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat allowed: how far may the probe be turned, how large may the offset be? */

#include "commands.h"

#include "request.h"
#include "show/sentences.h"

#define STEP_DEG 15
#define STEPS (180 / STEP_DEG)

/* Error every 15 degrees; the other way round it is as long. */
static reseat_status lengths_by_turn(const reseat_estimate *estimate, double length_mm[STEPS + 1])
{
    for (int i = 0; i <= STEPS; i++) {
        reseat_effect effect;
        const reseat_status status = reseat_estimate_effect(estimate, i * STEP_DEG, &effect);
        if (status != RESEAT_OK)
            return status;
        length_mm[i] = reseat_plane_length(effect.error_mm);
    }
    return RESEAT_OK;
}

static void print_json(const request *asked, const reseat_answer *answer,
                       const double length_mm[STEPS + 1])
{
    json j = json_begin(stdout);
    answer_question_json(&j, asked);
    answer_limits_json(&j, answer);
    json_print(&j, "turns:[");
    for (int i = 0; i <= STEPS; i++)
        json_print(&j, "{ turn_deg:n error_length_mm:n }", (double)i * STEP_DEG, length_mm[i]);
    json_print(&j, "]");
    answer_budget_json(&j, answer);
    json_end(&j);
}

static void print_screen(const arguments *args, const request *asked,
                         const reseat_answer *answer, const double length_mm[STEPS + 1])
{
    const reseat_unit unit = args->unit;
    answer_source(args, asked);
    printf("limit %s, confidence %s\n  turn   error\n",
           words_length_in(asked->question->limit_mm, unit, 0).text,
           words_confidence(asked->question->confidence).text);
    for (int i = 0; i <= STEPS; i++)
        printf("  %5s %8s\n", words_degrees(i * STEP_DEG).text,
               words_length(length_mm[i], unit, 0).text);
    if (args->options[OPT_BUDGET].given)
        answer_budget(answer, unit);
    printf("%s\nallowed turn: %s (geometry alone: %s)\n", caution_sentence(),
           answer->allowed_turn_deg > 0 ? words_degrees(answer->allowed_turn_deg).text : "none",
           words_degrees(answer->any.allowed_turn_deg).text);
    printf("allowed offset at half a turn: %s (geometry alone: %s)\n",
           answer->allowed_offset_mm > 0 ? words_length_in(answer->allowed_offset_mm, unit, 0).text
                                         : "none",
           words_length_in(answer->any.allowed_offset_mm, unit, 0).text);
}

static bool answer_it(arguments *args, const request *asked)
{
    reseat_answer answer;
    double length_mm[STEPS + 1];
    reseat_status status = reseat_verdict_decide(asked->question, &answer);
    if (status == RESEAT_OK)
        status = lengths_by_turn(&asked->question->estimate, length_mm);
    if (!succeeded(args, status, "allowed"))
        return false;
    if (args->json)
        print_json(asked, &answer, length_mm);
    else
        print_screen(args, asked, &answer, length_mm);
    return true;
}

void run_allowed(arguments *args)
{
    request_answer(args, answer_it);
}
