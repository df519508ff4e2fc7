/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Where the offset lies, seen along the spindle. */

#include "page.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include "html.h"
#include "scale.h"
#include "svg.h"

#define SIZE 360.0 /* pixels of the figure across */
#define RIGHT 350.0
#define TOP 26.0
#define CHARACTER 7.8
#define MARKS 4 /* steps of either axis */
#define POINTS_MAX 1000
#define CIRCLE_STRETCH 6.0 /* a circle may take up so much more room than the points do */
#define XY_BITS (1u << RESEAT_SERIES_X | 1u << RESEAT_SERIES_Y)

typedef struct target {
    const page *p;
    const reseat_drift *drift;
    scale x, y;
    double left, bottom; /* of the plot, which is as high as wide: the axes are equal */
    bool run_known, circle_fits, half_fits;
    reseat_xy run_mm; /* of the run in force */
    size_t known, drawn;
    svg figure;
} target;

static reseat_xy place_of(const reseat_drift_point *point)
{
    return (reseat_xy){point->value[RESEAT_SERIES_X], point->value[RESEAT_SERIES_Y]};
}

static bool is_known(const reseat_drift_point *point)
{
    return (point->known & XY_BITS) == XY_BITS;
}

static void take(target *t, reseat_xy centre, double radius)
{
    scale_take(&t->x, centre.x - radius);
    scale_take(&t->x, centre.x + radius);
    scale_take(&t->y, centre.y - radius);
    scale_take(&t->y, centre.y + radius);
}

static double extent(const target *t)
{
    return fmax(t->x.most - t->x.least, t->y.most - t->y.least);
}

/* A circle that would leave the points a speck in the middle is not drawn. */
static bool take_circle(target *t, reseat_xy centre, double radius)
{
    target with = *t;
    take(&with, centre, radius);
    if (!(extent(&with) <= CIRCLE_STRETCH * extent(t)))
        return false;
    *t = with;
    return true;
}

static void make_equal(target *t)
{
    scale_mark marks[SCALE_MARKS_MAX];
    const double half = extent(t) / 2 * 1.06;
    const double x = (t->x.least + t->x.most) / 2;
    const double y = (t->y.least + t->y.most) / 2;
    t->y = (scale){y - half, y + half, 0, 1};
    const size_t count = scale_lengths(&t->y, t->p->unit, MARKS, marks);
    t->left = CHARACTER * (double)scale_longest(marks, count) + 10;
    t->bottom = TOP + RIGHT - t->left;
    t->x = (scale){x - half, x + half, t->left, RIGHT};
    t->y = (scale){y - half, y + half, t->bottom, TOP};
}

static void find_target(target *t)
{
    const reseat_xy axis = {0, 0};
    const uint64_t seq = (uint64_t)reseat_record_integer(t->p->asked->standing.run,
                                                         RESEAT_FIELD_SEQ, -1);
    t->x = t->y = scale_begin(0, 0, 1); /* the axis is always shown */
    for (size_t i = 0; i < t->drift->point_count; i++) {
        const reseat_drift_point *point = &t->drift->points[i];
        if (!is_known(point))
            continue;
        t->known++;
        take(t, place_of(point), 0);
        if (point->seq != seq)
            continue;
        t->run_known = true;
        t->run_mm = place_of(point);
    }
    if (!(extent(t) > 0))
        take(t, axis, 0.001);
    if (t->p->answer) {
        t->half_fits = take_circle(t, axis, t->p->answer->any.allowed_offset_mm);
        t->circle_fits = t->run_known &&
                         take_circle(t, t->run_mm, t->p->asked->question->limit_mm);
    }
    make_equal(t);
}

static void draw_axes(target *t)
{
    scale_mark marks[SCALE_MARKS_MAX];
    size_t count = scale_lengths(&t->x, t->p->unit, MARKS, marks);
    scale_labels labels = {0};
    for (size_t i = 0; i < count; i++) {
        svg_line(&t->figure, "axis", marks[i].place, t->bottom, marks[i].place, t->bottom + 5);
        if (scale_label(&labels, marks[i].place, t->bottom + 19, ANCHOR_MIDDLE,
                        strlen(marks[i].text) + 1) != ROOM_NONE &&
            marks[i].place + 3.5 * (double)strlen(marks[i].text) < SIZE)
            svg_text(&t->figure, "mid", marks[i].place, t->bottom + 19, 0, marks[i].text);
    }
    count = scale_lengths(&t->y, t->p->unit, MARKS, marks);
    for (size_t i = 0; i < count; i++) {
        svg_line(&t->figure, "axis", t->left - 5, marks[i].place, t->left, marks[i].place);
        svg_text(&t->figure, "end", t->left, marks[i].place + 4, -8, marks[i].text);
    }
    svg_line(&t->figure, "axis", t->left, t->bottom, RIGHT, t->bottom);
    svg_line(&t->figure, "axis", t->left, TOP, t->left, t->bottom);
    svg_text(&t->figure, "mid", (t->left + RIGHT) / 2, t->bottom + 38, 0, "X");
    svg_text(&t->figure, "end", t->left, 12, -8, "Y");
    svg_mark(&t->figure, SVG_AXIS, scale_place(&t->x, 0), scale_place(&t->y, 0));
}

static void draw_circle(target *t, const char *class, reseat_xy centre, double radius)
{
    svg_dot(&t->figure, class, scale_place(&t->x, centre.x), scale_place(&t->y, centre.y),
            scale_place(&t->x, centre.x + radius) - scale_place(&t->x, centre.x));
}

/* Whether a label at the right of a point would lie on another one. */
static bool is_crowded(const target *t, size_t i)
{
    const reseat_xy at = place_of(&t->drift->points[i]);
    for (size_t j = 0; j < t->drift->point_count; j++) {
        const reseat_xy other = place_of(&t->drift->points[j]);
        const double across = scale_place(&t->x, other.x) - scale_place(&t->x, at.x);
        const double up = scale_place(&t->y, other.y) - scale_place(&t->y, at.y);
        if (j != i && is_known(&t->drift->points[j]) && across > 6 && across < 30 && fabs(up) < 8)
            return true;
    }
    return false;
}

static void draw_point(target *t, size_t i, bool latest, scale_labels *labels)
{
    char text[24];
    const reseat_drift_point *point = &t->drift->points[i];
    const bool newest = i + 1 == t->drift->point_count;
    const double x = scale_place(&t->x, point->value[RESEAT_SERIES_X]);
    const double y = scale_place(&t->y, point->value[RESEAT_SERIES_Y]);
    svg_dot(&t->figure, latest ? "run" : "earlier", x, y, 2.7);
    if (newest)
        svg_dot(&t->figure, "newest", x, y, 8);
    if (!newest && (i > 0 || is_crowded(t, i)))
        return;
    snprintf(text, sizeof text, "%" PRIu64, point->seq);
    const bool left = x > RIGHT - 40;
    if (scale_label(labels, left ? x - 11 : x + 11, y + 4, left ? ANCHOR_END : ANCHOR_START,
                    strlen(text)) == ROOM_ALL)
        svg_text(&t->figure, left ? "num end" : "num", x, y + 4, left ? -11 : 11, text);
}

/* Of many points every so many, and always the newest. */
static bool is_drawn(const target *t, size_t i)
{
    const size_t every = t->known / POINTS_MAX + 1;
    return is_known(&t->drift->points[i]) && (i % every == 0 || i + 1 == t->drift->point_count);
}

static void draw_target(target *t)
{
    scale_labels labels = {0};
    const reseat_xy axis = {0, 0};
    const size_t latest = t->drift->baselines[t->drift->baseline_count - 1].first;
    draw_axes(t);
    if (t->half_fits)
        draw_circle(t, "half", axis, t->p->answer->any.allowed_offset_mm);
    if (t->circle_fits)
        draw_circle(t, "shop", t->run_mm, t->p->asked->question->limit_mm);
    for (size_t i = t->drift->point_count; i-- > 0;)
        if (is_drawn(t, i)) {
            draw_point(t, i, i >= latest, &labels);
            t->drawn++;
        }
}

static void write_key(const target *t)
{
    char text[256], limit[TEXT_SIZE];
    FILE *out = t->p->out;
    const char *unit = reseat_unit_name(t->p->unit);
    fputs("<ul class=\"key\">\n", out);
    page_key(out, SAMPLE_MARK, "cross", "axis about which the offset turns");
    if (t->p->answer) {
        text_length(limit, t->p->answer->any.allowed_offset_mm, t->p->unit, 0);
        snprintf(text, sizeof text, "half the limit, %s %s: inside it no turn of the probe exceeds "
                                    "the limit%s", limit, unit,
                 t->half_fits ? "" : " (too large to draw)");
        page_key(out, SAMPLE_LINE, "half", text);
    }
    if (t->p->answer && t->run_known) {
        text_length(limit, t->p->asked->question->limit_mm, t->p->unit, 0);
        snprintf(text, sizeof text, "the shop's limit, %s %s, about the run in force%s", limit,
                 unit, t->circle_fits ? "" : " (too large to draw)");
        page_key(out, SAMPLE_LINE, "shop", text);
    }
    page_key(out, SAMPLE_DOT, "newest", "newest run");
    page_key(out, SAMPLE_DOT, "run", "run of the latest baseline");
    if (t->drift->baseline_count > 1)
        page_key(out, SAMPLE_DOT, "earlier", "earlier run");
    fputs("</ul>\n", out);
}

static void write_target_data(const target *t)
{
    const char *unit = reseat_unit_name(t->p->unit);
    char x[TEXT_SIZE], y[TEXT_SIZE], summary[96], text[TEXT_SIZE];
    FILE *out = t->p->out;
    snprintf(x, sizeof x, "X, %s", unit);
    snprintf(y, sizeof y, "Y, %s", unit);
    if (t->drawn < t->known)
        snprintf(summary, sizeof summary, "Data: X and Y of the %zu runs that are drawn, of %zu",
                 t->drawn, t->known);
    else
        snprintf(summary, sizeof summary, "Data: X and Y of %zu run%s", t->known,
                 text_s(t->known));
    const char *const columns[] = {"run", x, y, "bearing, °"};
    page_data(out, summary, columns, 4);
    for (size_t i = 0; i < t->drift->point_count; i++) {
        const reseat_drift_point *point = &t->drift->points[i];
        char bearing[RESEAT_NUMBER_SIZE] = "";
        if (!is_drawn(t, i))
            continue;
        fprintf(out, "<tr><td>%" PRIu64, point->seq);
        html_cell(out, text_signed(text, point->value[RESEAT_SERIES_X], t->p->unit, 0));
        html_cell(out, text_signed(text, point->value[RESEAT_SERIES_Y], t->p->unit, 0));
        (void)reseat_number_fixed(point->bearing_deg, 1, bearing);
        html_cell(out, bearing);
        fputs("\n", out);
    }
}

void figure_target(const page *p)
{
    target t = {.p = p, .drift = &p->outlook->drift};
    char desc[256];
    const svg_about about = {"target", "Where the offset lies", desc};
    find_target(&t);
    if (t.known == 0)
        return;
    snprintf(desc, sizeof desc, "X and Y of %zu run%s on equal axes%s%s.", t.known,
             text_s(t.known),
             t.half_fits ? ", with a circle of half the limit about the axis" : "",
             t.circle_fits ? ", and one of the limit about the run in force" : "");
    page_figure(p->out, "target", about.title,
                "Seen along the spindle, in the probe's frame: the seat's turn is taken off.");
    const svg_size size = {.width = SIZE, .height = t.bottom + 44};
    t.figure = svg_begin(p->out, "square", &about, &size);
    draw_target(&t);
    svg_end(&t.figure);
    write_key(&t);
    write_target_data(&t);
    page_figure_end(p->out);
}
