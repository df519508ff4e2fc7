/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What check shows a person: the verdict is the last line. */

#include "commands.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define ROWS_MAX 3 /* more seats than this are summed up in a line */

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

/* Whichever sign a zero has. */
static bool is_same(reseat_xy a, reseat_xy b)
{
    return !(a.x < b.x || a.x > b.x || a.y < b.y || a.y > b.y);
}

/* What many seats come to; the closed forms are those of the run's own offset in use. */
static void print_summary(const reseat_question *question, const reseat_answer *answer,
                          reseat_unit unit, int more)
{
    char mean[TEXT_SIZE], share[TEXT_SIZE];
    const reseat_estimate *e = &question->estimate;
    const bool closed_forms = !e->verified && is_same(e->in_use_mm, e->offset_mm);
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

static void print_ok(FILE *out, const reseat_question *question, const reseat_answer *answer,
                     reseat_unit unit)
{
    char where[TEXT_SIZE], error[TEXT_SIZE], limit[TEXT_SIZE], chance[TEXT_SIZE];
    const double length = answer->worst.error_length_mm;
    const int more = text_more_digits(length, question->limit_mm, unit);
    fprintf(out, "at %s positions are off by %s %s, within %s %s with chance %s",
            text_where(where, answer, &answer->worst), text_length(error, length, unit, more),
            reseat_unit_name(unit), text_length(limit, question->limit_mm, unit, more),
            reseat_unit_name(unit), text_chance(chance, answer->worst.chance_within));
}

void check_sentence(FILE *out, const asking *asked, const reseat_answer *answer, reseat_unit unit)
{
    char text[256];
    const char *separator = "";
    if (answer->ok)
        print_ok(out, asked->question, answer, unit);
    for (unsigned reason = 0; !answer->ok && reason < RESEAT_REASON_COUNT; reason++) {
        if (!(answer->reasons & 1u << reason))
            continue;
        fprintf(out, "%s%s", separator, text_reason(text, sizeof text, asked, answer,
                                                    (reseat_reason)reason, unit));
        separator = "; ";
    }
}

/* "reseat 14 (2026-04-01, battery)". */
static void print_outing(FILE *out, text_escape *escape, const reseat_record *last_reseat)
{
    char date[RESEAT_TIME_SIZE] = "", why[160];
    (void)reseat_time_format(reseat_record_integer(last_reseat, RESEAT_FIELD_AT, 0), date);
    fprintf(out, "reseat %" PRId64 " (%.10s", reseat_record_integer(last_reseat, RESEAT_FIELD_SEQ, -1),
            date);
    const char *text = reseat_record_text(last_reseat, RESEAT_FIELD_WHY);
    if (text) {
        escape(text, strlen(text), why, sizeof why);
        fprintf(out, ", %s", why);
    }
    fprintf(out, ")");
}

static void print_gauge_check(FILE *out, const asking *asked, reseat_unit unit)
{
    const reseat_record *check = asked->standing.check;
    const reseat_estimate *e = &asked->question->estimate;
    char date[RESEAT_TIME_SIZE] = "", x[TEXT_SIZE], y[TEXT_SIZE];
    (void)reseat_time_format(reseat_record_integer(check, RESEAT_FIELD_AT, 0), date);
    fprintf(out, "gauge check %" PRId64 " of %.10s: shift X %s Y %s %s",
            reseat_record_integer(check, RESEAT_FIELD_SEQ, -1), date,
            text_signed(x, reseat_record_number(check, RESEAT_FIELD_SHIFT_X_MM, 0), unit, 0),
            text_signed(y, reseat_record_number(check, RESEAT_FIELD_SHIFT_Y_MM, 0), unit, 0),
            reseat_unit_name(unit));
    if (asked->in_use_typed)
        fprintf(out, "; X %s Y %s with the offset in use as typed",
                text_signed(x, e->shift_mm.x, unit, 0), text_signed(y, e->shift_mm.y, unit, 0));
}

void check_seat(FILE *out, text_escape *escape, const asking *asked, reseat_unit unit)
{
    const reseat_state *s = &asked->standing;
    if (asked->source == RESEAT_SOURCE_TYPED) {
        fprintf(out, "%s, as typed", asked->seat);
    } else if (asked->source == RESEAT_SOURCE_VERIFY) {
        print_gauge_check(out, asked, unit);
    } else if (asked->source == RESEAT_SOURCE_RUN) {
        fprintf(out, "not out since the run%s",
                asked->question->estimate.out ? ", but for tool changes, angle kept" : "");
    } else if (asked->source == RESEAT_SOURCE_RESEAT) {
        fprintf(out, "%s, by ", asked->seat);
        print_outing(out, escape, s->last_reseat);
    } else {
        const bool written = !reseat_record_is_null(s->last_reseat, RESEAT_FIELD_SEAT_DEG);
        fprintf(out, written ? "the run's was not recorded, so that of " : "not recorded at ");
        print_outing(out, escape, s->last_reseat);
        fprintf(out, "%s; %s%s", written ? " says nothing" : "",
                asked->source == RESEAT_SOURCE_POLICY ? "the policy allows " : "", asked->seat);
    }
}

/* What goes to standard error says who speaks. */
static const char *speaker(const FILE *out)
{
    return out == stderr ? "reseat: " : "";
}

void check_contradiction(FILE *out, const asking *asked)
{
    const reseat_state *s = &asked->standing;
    if (!asked->from_log || !asked->logged.contradicts)
        return;
    fprintf(out, "%sthe seat typed, %s, contradicts the log: ", speaker(out), asked->seat);
    if (s->last_reseat)
        print_outing(out, reseat_text_terminal, s->last_reseat);
    else
        fprintf(out, "no reseat since the run");
    fprintf(out, "\n");
}

void check_remarks(FILE *out, const asking *asked)
{
    const reseat_state *s = &asked->standing;
    if (!asked->from_log)
        return;
    if (asked->logged.check_set_aside)
        fprintf(out, "%sgauge check %" PRId64 " is not used: it holds for the seat as the log has "
                     "it\n", speaker(out), reseat_record_integer(s->check, RESEAT_FIELD_SEQ, -1));
    if (s->unknown_types > 0)
        fprintf(out, "%ssince the run: %" PRIu64 " record%s of a kind that this version does not "
                     "know\n", speaker(out), s->unknown_types, text_s(s->unknown_types));
    if (s->bad_lines > 0)
        fprintf(out, "%sdamage was ignored, as asked: %" PRIu64 " bad line%s\n", speaker(out),
                s->bad_lines, text_s(s->bad_lines));
}

void check_reasons(FILE *out, const char *before, const asking *asked, reseat_unit unit)
{
    char text[256];
    for (unsigned reason = RESEAT_REASON_COLLISION; reason < RESEAT_REASON_DAMAGE_IGNORED;
         reason++)
        if (asked->question->reasons & 1u << reason)
            fprintf(out, "%s%s%s\n", speaker(out), before,
                    text_reason(text, sizeof text, asked, NULL, (reseat_reason)reason, unit));
}

void check_head(const arguments *args, const asking *asked)
{
    check_contradiction(stdout, asked);
    answer_source(args, asked);
    if (asked->from_log) {
        printf("seat: ");
        check_seat(stdout, reseat_text_terminal, asked, args->unit);
        printf("\n");
    } else {
        printf("seat now: %s%s\n", asked->seat,
               asked->source == RESEAT_SOURCE_DEFAULT
                   ? " (nothing typed: --seat same, 180, keys:2 ...)" : "");
    }
}

void check_screen(const arguments *args, const asking *asked, const reseat_answer *answer)
{
    const reseat_unit unit = args->unit;
    const reseat_question *question = asked->question;
    check_head(args, asked);
    print_seats(question, answer, unit);
    if (args->options[OPT_BUDGET].given)
        answer_budget(answer, unit);
    check_remarks(stdout, asked);
    if (answer->next != RESEAT_NEXT_NONE)
        printf("next: %s\n", check_next(answer));
    printf("%s\n", text_caution());
    printf("%s: ", check_verdict(answer));
    check_sentence(stdout, asked, answer, unit);
    printf("%s\n", answer->assumed_decides ? "; it hangs on assumed figures (--budget)" : "");
}
