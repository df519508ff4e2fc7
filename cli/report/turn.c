/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a turn of the probe does, and what the uncertainty is made of. */

#include "page.h"

#include <math.h>
#include <string.h>
#include "html.h"
#include "scale.h"
#include "svg.h"

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
    scale turn, error;
    svg figure;
} turning;

/* Error at a turn, by the library; 0 where it cannot be had. */
static double error_at(const turning *t, double turn_deg)
{
    reseat_effect effect;
    if (reseat_estimate_effect(&t->question->estimate, turn_deg, &effect) != RESEAT_OK)
        return 0;
    return reseat_plane_length(effect.error_mm);
}

static void find_scales(turning *t)
{
    t->turn = (scale){-180, 180, 0, 100};
    t->error = scale_begin(0, BOTTOM, TOP);
    scale_take(&t->error, t->question->limit_mm);
    for (int turn = -180; turn <= 180; turn += 3)
        scale_take(&t->error, error_at(t, turn));
    t->error.most *= 1.08;
}

static void draw_axes(turning *t)
{
    char text[TEXT_SIZE], value[TEXT_SIZE];
    scale_mark marks[SCALE_MARKS_MAX];
    const size_t count = scale_lengths(&t->error, t->p->unit, AXIS_MARKS, marks);
    for (size_t i = 0; i < count; i++)
        svg_text(&t->figure, "end", 0, marks[i].place + 4, -8, marks[i].text);
    svg_line(&t->figure, "axis", 0, BOTTOM, 100, BOTTOM);
    for (int turn = -180; turn <= 180; turn += 90) {
        const double x = scale_place(&t->turn, turn);
        svg_line(&t->figure, "axis", x, BOTTOM, x, BOTTOM + 5);
        snprintf(text, sizeof text, "%s%d°", turn > 0 ? "+" : "", turn);
        svg_text(&t->figure, "mid", x, BOTTOM + 20, 0, text);
    }
    svg_text(&t->figure, "mid", 50, BOTTOM + 38, 0, "turn since the run");
    const double limit = scale_place(&t->error, t->question->limit_mm);
    svg_line(&t->figure, "shop", 0, limit, 100, limit);
    snprintf(text, sizeof text, "limit %s",
             text_length(value, t->question->limit_mm, t->p->unit, 0));
    svg_text(&t->figure, "shop", 100, limit + 4, 9, text);
}

static void draw_curve(turning *t)
{
    svg_path_begin(&t->figure, "curve");
    for (int turn = -180; turn <= 180; turn += 3)
        svg_path_to(&t->figure, scale_place(&t->turn, turn),
                    scale_place(&t->error, error_at(t, turn)), false);
    svg_path_end(&t->figure);
}

/* A range of turns as an area on the axis; it may go over the end at half a turn. */
static void draw_range(turning *t)
{
    const reseat_turns *turns = &t->question->turns;
    const double from = reseat_plane_turn(turns->first_deg);
    const double begin = scale_place(&t->turn, from);
    const double width = turns->width_deg / 360 * 100;
    if (turns->width_deg >= 360) {
        svg_rect(&t->figure, "possible", 0, TOP, 100, BOTTOM - TOP);
        return;
    }
    svg_rect(&t->figure, "possible", begin, TOP, fmin(width, 100 - begin), BOTTOM - TOP);
    if (begin + width > 100)
        svg_rect(&t->figure, "possible", 0, TOP, begin + width - 100, BOTTOM - TOP);
}

/* Pixels by which the curve rises within so many degrees on the side of a seat. */
static double rise(const turning *t, double turn_deg, double within_deg)
{
    return BOTTOM - scale_place(&t->error, error_at(t, turn_deg < 0 ? -within_deg : within_deg));
}

/*
 * Where the label of a seat is clear of the curve: at its inner side, where that falls off; near
 * the foot below the curve, where it is steep, else above all of that part.
 */
static scale_anchor label_place(const turning *t, const reseat_outcome *seat, double *foot,
                                double *shift)
{
    const double turn = seat->turn_deg;
    const double y = scale_place(&t->error, seat->error_length_mm);
    *foot = y - 12;
    *shift = 0;
    if (fabs(turn) >= 45)
        return turn > 0 ? ANCHOR_END : ANCHOR_START;
    if (rise(t, turn, 60) < STEEP) {
        *foot = fmin(*foot, BOTTOM - rise(t, turn, 90) - 8);
        return ANCHOR_MIDDLE;
    }
    const double limit = scale_place(&t->error, t->question->limit_mm) + 4;
    *foot = fmin(y + 4, BOTTOM - 4);
    if (fabs(limit - *foot) < LINE) /* in a narrow figure it may reach the label of the limit */
        *foot = limit - LINE;
    *shift = turn < 0 ? -13 : 13;
    return turn < 0 ? ANCHOR_END : ANCHOR_START;
}

static void draw_seat(turning *t, const reseat_outcome *seat, scale_labels *labels)
{
    char text[2 * TEXT_SIZE], name[TEXT_SIZE], error[TEXT_SIZE];
    const double x = scale_place(&t->turn, seat->turn_deg);
    const double y = scale_place(&t->error, seat->error_length_mm);
    if (seat->error_length_mm > t->question->limit_mm)
        svg_mark(&t->figure, SVG_OVER, x, y);
    else
        svg_dot(&t->figure, "seat", x, y, 5);
    snprintf(text, sizeof text, "%s: %s", text_where(name, t->answer, seat),
             text_length(error, seat->error_length_mm, t->p->unit, 0));
    double foot, shift;
    const scale_anchor anchor = label_place(t, seat, &foot, &shift);
    static const char *const classes[] = {"num", "num mid", "num end"};
    if (scale_label(labels, x, foot, anchor, strlen(text) + 1) == ROOM_ALL)
        svg_text(&t->figure, classes[anchor], x, foot, shift, text);
}

static void draw_seats(turning *t)
{
    scale_labels labels = {.stretched = true, .beyond = 60};
    const reseat_turns *turns = &t->question->turns;
    draw_seat(t, &t->answer->worst, &labels);
    for (size_t i = 0; !turns->range && i < t->answer->count && i < NAMED_MAX; i++)
        if (fabs(t->answer->seats[i].turn_deg - t->answer->worst.turn_deg) > 0)
            draw_seat(t, &t->answer->seats[i], &labels);
    for (size_t i = NAMED_MAX; !turns->range && i < t->answer->count; i++)
        svg_dot(&t->figure, "run", scale_place(&t->turn, t->answer->seats[i].turn_deg),
                scale_place(&t->error, t->answer->seats[i].error_length_mm), 2);
}

static void write_turn_row(const turning *t, const char *what, double turn_deg, double error_mm,
                           double chance)
{
    char text[TEXT_SIZE];
    FILE *out = t->p->out;
    fputs("<tr>", out);
    html_cell(out, text_degrees(text, turn_deg));
    html_cell(out, text_length(text, error_mm, t->p->unit, 0));
    html_cell(out, chance >= 0 ? text_chance(text, chance) : "");
    html_cell(out, what);
    fputs("\n", out);
}

static void write_turn_data(const turning *t)
{
    char error[TEXT_SIZE], name[TEXT_SIZE];
    snprintf(error, sizeof error, "error, %s", reseat_unit_name(t->p->unit));
    const char *const columns[] = {"turn", error, "chance within", "possible seat"};
    page_data(t->p->out, "Data: error by turn, and the possible seats", columns, 4);
    for (size_t i = 0; i < t->answer->count; i++) {
        const reseat_outcome *seat = &t->answer->seats[i];
        write_turn_row(t, text_where(name, t->answer, seat), seat->turn_deg, seat->error_length_mm,
                       seat->chance_within);
    }
    for (int turn = -165; turn <= 180; turn += 15)
        write_turn_row(t, "", turn, error_at(t, turn), -1);
}

static void write_turn_key(const turning *t)
{
    FILE *out = t->p->out;
    fputs("<ul class=\"key\">\n", out);
    page_key(out, SAMPLE_LINE, "curve", "how far positions are off");
    page_key(out, SAMPLE_LINE, "shop", "the shop's limit");
    page_key(out, SAMPLE_DOT, "seat", "possible seat within the limit");
    page_key(out, SAMPLE_MARK, "over", "possible seat beyond it");
    if (t->question->turns.range)
        page_key(out, SAMPLE_AREA, "possible", "turns that are possible; the worst is marked");
    fputs("</ul>\n", out);
}

void figure_turn(const page *p)
{
    char desc[320], error[TEXT_SIZE], limit[TEXT_SIZE], name[TEXT_SIZE];
    turning t = {.p = p, .question = p->asked->question, .answer = p->answer};
    const svg_about about = {"turn", "Error against turn", desc};
    const char *unit = reseat_unit_name(p->unit);
    find_scales(&t);
    snprintf(desc, sizeof desc,
             "By how much positions are off when the probe is turned. The worst possible seat, %s: "
             "%s %s; limit %s %s.", text_where(name, p->answer, &p->answer->worst),
             text_length(error, p->answer->worst.error_length_mm, p->unit, 0), unit,
             text_length(limit, t.question->limit_mm, p->unit, 0), unit);
    page_figure(p->out, about.id, about.title, desc);
    scale_mark marks[SCALE_MARKS_MAX];
    const svg_size size = {
        .height = HEIGHT,
        .left = scale_longest(marks, scale_lengths(&t.error, p->unit, AXIS_MARKS, marks)),
        .right = strlen("limit ") + strlen(limit)};
    t.figure = svg_begin(p->out, "chart", &about, &size);
    if (t.question->turns.range)
        draw_range(&t);
    draw_axes(&t);
    draw_curve(&t);
    draw_seats(&t);
    svg_end(&t.figure);
    write_turn_key(&t);
    write_turn_data(&t);
    page_figure_end(p->out);
}

/* Budget. */

#define ROW 30.0

static void draw_bar(svg *figure, const page *p, const reseat_budget_row *row, double most_mm,
                     double top)
{
    char text[2 * TEXT_SIZE], u[TEXT_SIZE];
    const double width = most_mm > 0 ? row->u_mm / most_mm * 100 : 0;
    svg_rect(figure, row->assumed ? "bar assumed" : "bar", 0, top, width, ROW - 14);
    svg_text(figure, "end", 0, top + 12, -8, reseat_term_name(row->term));
    snprintf(text, sizeof text, "%s%s", text_length(u, row->u_mm, p->unit, 1),
             row->assumed ? " assumed" : "");
    svg_text(figure, "value", 100, top + 12, 9, text);
}

static void write_budget_data(const page *p)
{
    char u[TEXT_SIZE];
    snprintf(u, sizeof u, "u, %s", reseat_unit_name(p->unit));
    const char *const columns[] = {"term", u, "basis", "stands for"};
    page_data(p->out, "Data: what each term stands for", columns, 4);
    for (size_t i = 0; i < p->answer->budget_count; i++) {
        const reseat_budget_row *row = &p->answer->budget[i];
        fputs("<tr>", p->out);
        html_cell(p->out, reseat_term_name(row->term));
        html_cell(p->out, text_length(u, row->u_mm, p->unit, 1));
        html_cell(p->out, row->assumed ? "assumed" : "known");
        html_cell(p->out, answer_term(row->term));
        fputs("\n", p->out);
    }
}

void figure_budget(const page *p)
{
    const reseat_answer *answer = p->answer;
    const svg_about about = {"budget", "What the uncertainty is made of",
                             "Standard uncertainties at the worst possible seat, as bars."};
    char caption[200], name[TEXT_SIZE];
    double most_mm = 0;
    snprintf(caption, sizeof caption,
             "Standard uncertainties at the worst possible seat, %s, in %s; lobing is a bound. "
             "A hollow bar is assumed, not measured.",
             text_where(name, answer, &answer->worst), reseat_unit_name(p->unit));
    for (size_t i = 0; i < answer->budget_count; i++)
        most_mm = fmax(most_mm, answer->budget[i].u_mm);
    page_figure(p->out, about.id, about.title, caption);
    const svg_size size = {.height = ROW * (double)answer->budget_count + 4,
                           .left = strlen("u_spindle"),
                           .right = strlen(" assumed") +
                                    strlen(text_length(name, most_mm, p->unit, 1))};
    svg figure = svg_begin(p->out, "chart", &about, &size);
    for (size_t i = 0; i < answer->budget_count; i++)
        draw_bar(&figure, p, &answer->budget[i], most_mm, ROW * (double)i + 6);
    svg_end(&figure);
    write_budget_data(p);
    page_figure_end(p->out);
}
