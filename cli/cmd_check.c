/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "commands.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define ROWS_MAX 3 /* more seats than this are summed up in a line */

/* Reasons that no seat and no offset undo. */
#define LOG_REASONS                                                                            \
    (1u << RESEAT_REASON_COLLISION | 1u << RESEAT_REASON_STYLUS_CHANGE |                       \
     1u << RESEAT_REASON_SERVICE | 1u << RESEAT_REASON_TOO_OLD | 1u << RESEAT_REASON_ELSEWHERE)

static const char *verdict_name(const reseat_answer *answer)
{
    return answer->ok ? "OK" : "RECALIBRATE";
}

/* How to come by a better figure for what weighs most. */
static const char *better_u(reseat_term term)
{
    switch (term) {
    case RESEAT_TERM_RUN: return "calibrate with more touches: u_run weighs most";
    case RESEAT_TERM_SEAT: return "measure how one seating scatters here: u_seat weighs most";
    case RESEAT_TERM_TURN: return "measure how the orientation stop scatters: u_turn weighs most";
    case RESEAT_TERM_SPINDLE: return "measure the spindle's part: u_spindle weighs most";
    case RESEAT_TERM_TOUCH: return "measure the probe's repeatability: u_touch weighs most";
    case RESEAT_TERM_DRIFT: return "calibrate again: growth since the run weighs most";
    case RESEAT_TERM_LOBING: return "calibrate in 12 directions or more: lobing weighs most";
    case RESEAT_TERM_SHIFT: return "repeat the gauge check with more touches";
    case RESEAT_TERM_AXIAL: break;
    }
    return "";
}

/* What to do next; "" after OK. */
static const char *next_text(const reseat_answer *answer)
{
    switch (answer->next) {
    case RESEAT_NEXT_NONE: break;
    case RESEAT_NEXT_CALIBRATE:
        if (answer->reasons & LOG_REASONS)
            return "calibrate again";
        return "calibrate again, or restore the calibration's seat and its offset in the control";
    case RESEAT_NEXT_GAUGE_CHECK: return "one gauge check can settle which seat it is";
    case RESEAT_NEXT_SPINDLE_PART:
        return "two runs half a turn apart tell what stays with the spindle (--spindle-part)";
    case RESEAT_NEXT_RECORD_SEAT:
        return "no possible seat keeps the limit: calibrate again, and write the seat down";
    case RESEAT_NEXT_BETTER_U: return better_u(answer->next_term);
    }
    return "";
}

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

static void json_reasons(json *j, const reseat_question *question, const reseat_answer *answer)
{
    char text[256];
    json_open(j, "reasons", '[');
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        json_open(j, NULL, '{');
        json_text(j, "code", reseat_reason_code((reseat_reason)reason));
        json_text(j, "text", text_reason(text, sizeof text, question, answer,
                                         (reseat_reason)reason, RESEAT_MM));
        json_close(j, '}');
    }
    json_close(j, ']');
}

static void print_json(const asking *asked, const reseat_answer *answer)
{
    const reseat_question *question = &asked->question;
    const reseat_estimate *estimate = &question->estimate;
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    json_text(&j, "verdict", verdict_name(answer));
    json_reasons(&j, question, answer);
    if (answer->next != RESEAT_NEXT_NONE)
        json_text(&j, "next", next_text(answer));
    json_pair(&j, "offset_mm", estimate->offset_mm);
    json_number(&j, "offset_length_mm", reseat_plane_length(estimate->offset_mm));
    json_number(&j, "offset_bearing_deg", reseat_plane_bearing(estimate->offset_mm));
    json_number(&j, "limit_mm", question->limit_mm);
    json_number(&j, "confidence", question->confidence);
    json_open(&j, "seat", '{');
    json_text(&j, "typed", asked->seat);
    json_text(&j, "from", asked->seat_from);
    json_close(&j, '}');
    json_open(&j, "seats", '[');
    for (size_t i = 0; i < answer->count; i++)
        json_outcome(&j, NULL, answer, &answer->seats[i]);
    json_close(&j, ']');
    json_outcome(&j, "worst", answer, &answer->worst);
    answer_limits_json(&j, answer);
    answer_budget_json(&j, answer);
    json_end(&j);
}

/* Room for a sign, a digit or two, the point, and what follows it. */
static int row_width(reseat_unit unit, int more)
{
    const int width = reseat_unit_decimals(unit) + more + 4;
    return width > 8 ? width : 8;
}

static void print_row(const reseat_answer *answer, const reseat_outcome *outcome,
                      reseat_unit unit, int more)
{
    char angle[TEXT_SIZE], x[TEXT_SIZE], y[TEXT_SIZE], length[TEXT_SIZE], chance[TEXT_SIZE];
    text_degrees(angle, answer->seats_named ? outcome->seat_deg : outcome->turn_deg);
    const int width = row_width(unit, more);
    printf("  %8s %*s %*s %*s   %s\n", angle, /* the sign of degrees has two bytes */
           width, text_signed(x, outcome->error_mm.x, unit, more),
           width, text_signed(y, outcome->error_mm.y, unit, more),
           width, text_length(length, outcome->error_length_mm, unit, more),
           text_chance(chance, outcome->chance_within));
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

/* What many seats come to; the closed forms are those of the run's own offset in use. */
static void print_summary(const reseat_question *question, const reseat_answer *answer,
                          reseat_unit unit, int more)
{
    char mean[TEXT_SIZE], share[TEXT_SIZE];
    const reseat_estimate *e = &question->estimate;
    const bool closed_forms = !e->verified &&
                              memcmp(&e->in_use_mm, &e->offset_mm, sizeof e->offset_mm) == 0;
    if (!question->turns.range)
        printf("  the worst of %zu possible seats\n", answer->count);
    else if (!closed_forms)
        printf("  the worst of all turns\n");
    else
        printf("  any turn: off by %s %s on average, %s of all turns stay within (geometry)\n",
               text_length(mean, answer->any.mean_mm, unit, more), reseat_unit_name(unit),
               text_chance(share, answer->any.seats_within));
}

static void print_seats(const reseat_question *question, const reseat_answer *answer,
                        reseat_unit unit)
{
    char limit[TEXT_SIZE];
    const int more = text_more_digits(answer->worst.error_length_mm, question->limit_mm, unit);
    const int width = row_width(unit, more);
    printf("  %7s %*s %*s %*s   chance within %s %s\n", answer->seats_named ? "seat" : "turn",
           width, "X", width, "Y", width, "length",
           text_length(limit, question->limit_mm, unit, more), reseat_unit_name(unit));
    if (answer->count > ROWS_MAX) {
        print_row(answer, &answer->worst, unit, more);
        print_summary(question, answer, unit, more);
        return;
    }
    for (size_t i = 0; i < rows_apart(question, answer); i++)
        print_row(answer, &answer->seats[i], unit, more);
}

static void print_verdict(const reseat_question *question, const reseat_answer *answer,
                          reseat_unit unit)
{
    char text[256], where[TEXT_SIZE], error[TEXT_SIZE], limit[TEXT_SIZE], chance[TEXT_SIZE];
    const double length = answer->worst.error_length_mm;
    const int more = text_more_digits(length, question->limit_mm, unit);
    const char *assumed = answer->assumed_decides ? "; it hangs on assumed figures (--budget)" : "";
    if (answer->ok) {
        printf("OK: at %s positions are off by %s %s, within %s %s with chance %s%s\n",
               text_where(where, answer, &answer->worst),
               text_length(error, length, unit, more), reseat_unit_name(unit),
               text_length(limit, question->limit_mm, unit, more), reseat_unit_name(unit),
               text_chance(chance, answer->worst.chance_within), assumed);
        return;
    }
    const char *separator = "RECALIBRATE: ";
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        printf("%s%s", separator, text_reason(text, sizeof text, question, answer,
                                              (reseat_reason)reason, unit));
        separator = "; ";
    }
    printf("%s\n", assumed);
}

static void print_screen(const arguments *args, const asking *asked, const reseat_answer *answer)
{
    const reseat_unit unit = args->unit;
    const reseat_question *question = &asked->question;
    char x[TEXT_SIZE], y[TEXT_SIZE], run[TEXT_SIZE];
    printf("typed offset X %s Y %s %s, seat at the run %s\n",
           text_signed(x, question->estimate.offset_mm.x, unit, 0),
           text_signed(y, question->estimate.offset_mm.y, unit, 0), reseat_unit_name(unit),
           text_degrees(run, question->turns.run_deg));
    printf("seat now: %s%s\n", asked->seat,
           asked->seat_from[0] == 'd' ? " (nothing typed: --seat same, 180, keys:2 ...)" : "");
    print_seats(question, answer, unit);
    if (args->options[OPT_BUDGET].given)
        answer_budget(answer, unit);
    if (answer->next != RESEAT_NEXT_NONE)
        printf("next: %s\n", next_text(answer));
    printf("%s\n", text_caution());
    print_verdict(question, answer, unit);
}

int cmd_check(const arguments *args)
{
    asking asked;
    reseat_answer answer;
    const int exit = typed_question(args, &asked);
    if (exit != EXIT_DONE)
        return exit;
    const reseat_status status = reseat_verdict_decide(&asked.question, &answer);
    if (status != RESEAT_OK)
        return text_status(args, status, "check");
    if (args->json)
        print_json(&asked, &answer);
    else
        print_screen(args, &asked, &answer);
    return answer.ok ? EXIT_DONE : EXIT_RECALIBRATE;
}
