/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a turn of the probe does, and what the uncertainty is made of. */

#include "figure.h"

#include <math.h>
#include <string.h>
#include "../show/sentences.h"

#define TOP 20.0
#define BOTTOM 250.0
#define HEIGHT 296.0
#define AXIS_MARKS 5
#define STEEP 45.0   /* pixels within 60 degrees: then a label has room below the curve */
#define LINE 16.0    /* from label to label */
#define NAMED_MAX 12 /* possible seats that are named one by one */

typedef struct turning {
    const page *p;
    const reseat_question *question;
    const reseat_answer *answer;
    words limit; /* the shop's */
    scale turn, error;
    svg figure;
} turning;

/* What the library says of a turn; zeros where that cannot be had. */
static reseat_effect effect_at(const turning *t, double turn_deg)
{
    reseat_effect effect;
    const reseat_status status =
        reseat_estimate_effect(&t->question->estimate, turn_deg, &effect);
    return status == RESEAT_OK ? effect : (reseat_effect){.turn_deg = turn_deg};
}

static double error_at(const turning *t, double turn_deg)
{
    return reseat_plane_length(effect_at(t, turn_deg).error_mm);
}

static void draw_axes(turning *t, const scale_marks *errors)
{
    svg *s = &t->figure;
    scale_marks turns = {0};
    const double limit = scale_place(&t->error, t->question->limit_mm);
    for (int turn = -180; turn <= 180; turn += 90)
        scale_mark_add(&turns, scale_place(&t->turn, turn),
                       shown_print("%s%d°", turn > 0 ? "+" : "", turn).text);
    labels_left(s, errors, 0, 0);
    svg_line(s, "axis", 0, BOTTOM, 100, BOTTOM);
    labels_below(s, NULL, &turns, BOTTOM, 20);
    svg_text(s, "mid", 50, BOTTOM + 38, 0, "turn since the run");
    svg_line(s, "shop", 0, limit, 100, limit);
    svg_text(s, "shop", 100, limit + 4, 9, shown_print("limit %s", t->limit.text).text);
}

/* Where a turn and its error are in the figure. */
static reseat_xy place(const turning *t, double turn_deg, double error_mm)
{
    return (reseat_xy){scale_place(&t->turn, turn_deg), scale_place(&t->error, error_mm)};
}

/* A range of turns as an area on the axis; it may go over the end at half a turn. */
static void draw_range(turning *t)
{
    const reseat_turns *turns = &t->question->turns;
    const bool whole = turns->width_deg >= 360;
    const double begin = whole ? 0 : scale_place(&t->turn, reseat_plane_turn(turns->first_deg));
    const double width = whole ? 100 : turns->width_deg / 360 * 100;
    svg_rect(&t->figure, "possible", begin, TOP, fmin(width, 100 - begin), BOTTOM - TOP);
    if (begin + width > 100)
        svg_rect(&t->figure, "possible", 0, TOP, begin + width - 100, BOTTOM - TOP);
}

/* Where the error lies with 95 %: there along its upper end, and back along the lower one. */
static void draw_band(turning *t)
{
    svg_path_begin(&t->figure, "band");
    for (int turn = -180; turn <= 180; turn += 3)
        svg_path_to(&t->figure, place(t, turn, effect_at(t, turn).length_high_mm), turn == -180);
    for (int turn = 180; turn >= -180; turn -= 3)
        svg_path_to(&t->figure, place(t, turn, effect_at(t, turn).length_low_mm), false);
    svg_path_end(&t->figure);
}

/* Pixels by which the curve rises within so many degrees on the side of a seat. */
static double rise(const turning *t, double turn_deg, double within_deg)
{
    return BOTTOM - scale_place(&t->error, error_at(t, turn_deg < 0 ? -within_deg : within_deg));
}

/*
 * The label of a seat is clear of the curve: at its inner side, where that falls off; near the foot
 * below the curve, where it is steep, else above all of that part.
 */
static void draw_seat(turning *t, const reseat_outcome *seat, labels *l)
{
    const double turn = seat->turn_deg;
    const reseat_xy at = place(t, turn, seat->error_length_mm);
    const double limit = scale_place(&t->error, t->question->limit_mm) + 4;
    const bool out = fabs(turn) >= 45, steep = !out && !(rise(t, turn, 60) < STEEP);
    const label_anchor anchor = !out && !steep ? ANCHOR_MIDDLE
                                : (out ? turn > 0 : turn < 0) ? ANCHOR_END : ANCHOR_START;
    const shown text = shown_print("%s: %s", answer_place(t->answer, seat).text,
                                   words_length(seat->error_length_mm, t->p->unit, 0).text);
    double foot = at.y - 12;
    if (steep)
        foot = fmin(at.y + 4, BOTTOM - 4);
    else if (!out)
        foot = fmin(foot, BOTTOM - rise(t, turn, 90) - 8);
    if (steep && fabs(limit - foot) < LINE) /* a narrow figure: the label of the limit is near */
        foot = limit - LINE;
    if (seat->error_length_mm > t->question->limit_mm)
        svg_mark(&t->figure, "over", at);
    else
        svg_dot(&t->figure, "seat", at, 5);
    if (labels_take(l, false, at.x, foot, anchor, strlen(text.text) + 1) == ROOM_ALL)
        labels_text(&t->figure, "num", anchor, ROOM_ALL, at.x, foot,
                    !steep ? 0 : turn < 0 ? -13 : 13, text.text);
}

/* The worst and, of named seats, the first; others are dots. */
static void draw_seats(turning *t)
{
    labels l = {.stretched = true, .beyond = 60};
    const reseat_outcome *worst = &t->answer->worst;
    draw_seat(t, worst, &l);
    svg_dot(&t->figure, "newest", place(t, worst->turn_deg, worst->error_length_mm), 10);
    for (size_t i = 0; !t->question->turns.range && i < t->answer->count; i++) {
        const reseat_outcome *seat = &t->answer->seats[i];
        if (i >= NAMED_MAX)
            svg_dot(&t->figure, "run", place(t, seat->turn_deg, seat->error_length_mm), 2);
        else if (fabs(seat->turn_deg - t->answer->worst.turn_deg) > 0)
            draw_seat(t, seat, &l);
    }
}

static void write_turn_row(const turning *t, const char *what, double turn_deg, double error_mm,
                           const char *chance)
{
    html_write(t->p->out, "<tr><td>%s<td>%s<td>%s<td>%s\n", words_degrees(turn_deg).text,
               words_length(error_mm, t->p->unit, 0).text, chance, what);
}

static void write_turn_data(const turning *t)
{
    figure_data(t->p, "Data: error by turn, and the possible seats",
               shown_print("turn|error, %s|chance within|possible seat",
                           reseat_unit_name(t->p->unit)).text);
    for (size_t i = 0; i < t->answer->count; i++) {
        const reseat_outcome *seat = &t->answer->seats[i];
        write_turn_row(t, answer_place(t->answer, seat).text, seat->turn_deg, seat->error_length_mm,
                       words_chance(seat->chance_within).text);
    }
    for (int turn = -165; turn <= 180; turn += 15)
        write_turn_row(t, "", turn, error_at(t, turn), "");
}

void figure_turn(const page *p)
{
    const reseat_outcome *worst = &p->answer->worst;
    turning t = {.p = p, .question = p->asked->question, .answer = p->answer,
                 .limit = words_length(p->asked->question->limit_mm, p->unit, 0),
                 .turn = {-180, 180, 0, 100}, .error = {0, 0, BOTTOM, TOP}};
    t.error.most = t.question->limit_mm;
    for (int turn = -180; turn <= 180; turn += 3)
        scale_take(&t.error, effect_at(&t, turn).length_high_mm);
    t.error.most *= 1.08;
    const scale_marks errors = scale_lengths(&t.error, p->unit, AXIS_MARKS);
    const shown desc = shown_print(
        "By how much positions are off when the probe is turned. The worst possible seat, %s: "
        "%s; limit %s.", answer_place(p->answer, worst).text,
        words_length_in(worst->error_length_mm, p->unit, 0).text,
        words_length_in(t.question->limit_mm, p->unit, 0).text);
    const svg_about about = {.id = "turn", .title = "Error against turn",
                             .desc = desc.text, .height = HEIGHT, .left = errors.longest,
                             .right = strlen("limit ") + strlen(t.limit.text)};
    t.figure = figure_begin(p, &about, desc.text);
    if (t.question->turns.range)
        draw_range(&t);
    draw_band(&t);
    draw_axes(&t, &errors);
    svg_path_begin(&t.figure, "curve");
    for (int turn = -180; turn <= 180; turn += 3)
        svg_path_to(&t.figure, place(&t, turn, error_at(&t, turn)), turn == -180);
    svg_path_end(&t.figure);
    draw_seats(&t);
    svg_end(&t.figure);
    figure_keys(p, (const figure_key[]){
        {SAMPLE_LINE, "curve", "how far positions are off"},
        {SAMPLE_AREA, "band", "where that lies with 95 %"},
        {SAMPLE_LINE, "shop", "the shop's limit"},
        {SAMPLE_NEWEST, "newest", "the seat that decides"},
        {SAMPLE_SEAT, "seat", "possible seat within the limit"},
        {SAMPLE_MARK, "over", "possible seat beyond it"},
        {SAMPLE_AREA, "possible", t.question->turns.range
                                      ? "turns that are possible; the worst is marked" : NULL},
        {.class = NULL}});
    write_turn_data(&t);
    figure_end(p);
}

/* Budget. */

#define ROW 42.0

/* Each bar has its name above it, so that a narrow figure keeps its room. */
static void draw_row(svg *s, const page *p, const reseat_budget_row *row, double top, double width)
{
    svg_text(s, "name", 0, top + 10, 0,
             shown_print("%s (%s)", term_meaning(row->term), reseat_term_name(row->term)).text);
    svg_rect(s, row->assumed ? "bar assumed" : "bar", 0, top + 15, width, 14);
    svg_text(s, "value", 100, top + 27, 9,
             shown_print("%s%s", words_length(row->u_mm, p->unit, 1).text,
                         row->assumed ? " assumed" : "").text);
}

void figure_budget(const page *p)
{
    const reseat_answer *answer = p->answer;
    double most_mm = 0;
    for (size_t i = 0; i < answer->budget_count; i++)
        most_mm = fmax(most_mm, answer->budget[i].u_mm);
    const svg_about about = {
        .id = "budget", .title = "What the uncertainty is made of",
        .desc = "Standard uncertainties at the seat that decides, as bars.",
        .height = ROW * (double)answer->budget_count + 4,
        .right = strlen(" assumed") + strlen(words_length(most_mm, p->unit, 1).text)};
    svg s = figure_begin(p, &about, shown_print(
        "Standard uncertainties at the seat that decides, %s, in %s; lobing is a bound. "
        "A hollow bar is assumed, not measured.", answer_place(answer, &answer->worst).text,
        reseat_unit_name(p->unit)).text);
    for (size_t i = 0; i < answer->budget_count; i++)
        draw_row(&s, p, &answer->budget[i], ROW * (double)i + 4,
                 most_mm > 0 ? answer->budget[i].u_mm / most_mm * 100 : 0);
    svg_end(&s);
    figure_data(p, "Data: what each term stands for",
               shown_print("term|u, %s|basis|stands for", reseat_unit_name(p->unit)).text);
    for (size_t i = 0; i < answer->budget_count; i++) {
        const reseat_budget_row *row = &answer->budget[i];
        html_write(p->out, "<tr><td>%s<td>%s<td>%s<td>%s\n", reseat_term_name(row->term),
                   words_length(row->u_mm, p->unit, 1).text, row->assumed ? "assumed" : "known",
                   term_meaning(row->term));
    }
    figure_end(p);
}
