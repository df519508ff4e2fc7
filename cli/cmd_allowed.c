/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "commands.h"

#include <stdio.h>

#define STEP_DEG 15
#define STEPS (180 / STEP_DEG)

/* Error every 15 degrees; the other way round it is as long. */
static reseat_status lengths_by_turn(const reseat_estimate *estimate, double length_mm[STEPS + 1])
{
    reseat_status status = RESEAT_OK;
    for (int i = 0; status == RESEAT_OK && i <= STEPS; i++) {
        reseat_effect effect;
        status = reseat_estimate_effect(estimate, i * STEP_DEG, &effect);
        if (status == RESEAT_OK)
            length_mm[i] = reseat_plane_length(effect.error_mm);
    }
    return status;
}

static void print_json(const asking *asked, const reseat_answer *answer,
                       const double length_mm[STEPS + 1])
{
    const reseat_question *question = asked->question;
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    answer_source_json(&j, asked);
    json_number(&j, "offset_length_mm", reseat_plane_length(question->estimate.offset_mm));
    json_number(&j, "offset_bearing_deg", reseat_plane_bearing(question->estimate.offset_mm));
    json_number(&j, "limit_mm", question->limit_mm);
    json_number(&j, "confidence", question->confidence);
    answer_limits_json(&j, answer);
    json_open(&j, "turns", '[');
    for (int i = 0; i <= STEPS; i++) {
        json_open(&j, NULL, '{');
        json_number(&j, "turn_deg", i * STEP_DEG);
        json_number(&j, "error_length_mm", length_mm[i]);
        json_close(&j, '}');
    }
    json_close(&j, ']');
    answer_budget_json(&j, answer);
    json_end(&j);
}

static void print_turns(const double length_mm[STEPS + 1], reseat_unit unit)
{
    char angle[TEXT_SIZE], length[TEXT_SIZE];
    printf("  turn   error\n");
    for (int i = 0; i <= STEPS; i++)
        printf("  %5s %8s\n", text_degrees(angle, i * STEP_DEG),
               text_length(length, length_mm[i], unit, 0));
}

static void print_screen(const arguments *args, const asking *asked,
                         const reseat_answer *answer, const double length_mm[STEPS + 1])
{
    const reseat_unit unit = args->unit;
    const char *name = reseat_unit_name(unit);
    char limit[TEXT_SIZE], confidence[TEXT_SIZE], turn[TEXT_SIZE],
        alone[TEXT_SIZE], offset[TEXT_SIZE], half[TEXT_SIZE];
    answer_source(args, asked);
    printf("limit %s %s, confidence %s\n",
           text_length(limit, asked->question->limit_mm, unit, 0), name,
           text_confidence(confidence, asked->question->confidence));
    print_turns(length_mm, unit);
    if (args->options[OPT_BUDGET].given)
        answer_budget(answer, unit);
    printf("%s\n", text_caution());
    printf("allowed turn: %s (geometry alone: %s)\n",
           answer->allowed_turn_deg > 0 ? text_degrees(turn, answer->allowed_turn_deg) : "none",
           text_degrees(alone, answer->any.allowed_turn_deg));
    if (!(answer->allowed_offset_mm > 0))
        snprintf(offset, sizeof offset, "none");
    else
        snprintf(offset, sizeof offset, "%.40s %s",
                 text_length(half, answer->allowed_offset_mm, unit, 0), name);
    printf("allowed offset at half a turn: %s (geometry alone: %s %s)\n", offset,
           text_length(half, answer->any.allowed_offset_mm, unit, 0), name);
}

int cmd_allowed(const arguments *args)
{
    asking asked;
    reseat_answer answer;
    double length_mm[STEPS + 1] = {0};
    int exit = asking_begin(args, &asked);
    if (exit == EXIT_DONE) {
        reseat_status status = reseat_verdict_decide(asked.question, &answer);
        if (status == RESEAT_OK)
            status = lengths_by_turn(&asked.question->estimate, length_mm);
        if (status != RESEAT_OK)
            exit = text_status(args, status, "allowed");
    }
    if (exit == EXIT_DONE && args->json)
        print_json(&asked, &answer, length_mm);
    else if (exit == EXIT_DONE)
        print_screen(args, &asked, &answer, length_mm);
    asking_end(&asked);
    return exit;
}
