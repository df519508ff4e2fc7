/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Seen along the spindle: where the offset lies, and the radius by direction of motion. */

#include "figure.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>

#define SIZE 360.0 /* pixels of a figure across */
#define RIGHT 350.0
#define TOP 26.0
#define CHARACTER 7.8
#define MARKS 4 /* steps of either axis */
#define POINTS_MAX 1000
#define AGES 3 /* shades: a point is the paler, the older it is */
#define CIRCLE_STRETCH 6.0 /* a circle may take up so much more room than the points do */
#define XY_KNOWN (1u << RESEAT_SERIES_X | 1u << RESEAT_SERIES_Y)

typedef struct target {
    const page *p;
    const reseat_drift *drift;
    scale x, y;
    double left, bottom; /* of the plot, which is as high as wide: the axes are equal */
    bool run_known, limit_fits, half_fits;
    reseat_xy run_mm; /* of the run in force, where there is a limit */
    double limit_mm, half_mm; /* radii of the circles */
    size_t known, drawn;
    svg figure;
} target;

static reseat_xy offset_of(const reseat_drift_point *point)
{
    return (reseat_xy){point->value[RESEAT_SERIES_X], point->value[RESEAT_SERIES_Y]};
}

static bool is_known(const reseat_drift_point *point)
{
    return (point->known & XY_KNOWN) == XY_KNOWN;
}

/* Of many points every so many, and always the newest. */
static bool is_drawn(const target *t, size_t i)
{
    const size_t every = t->known / POINTS_MAX + 1;
    return is_known(&t->drift->points[i]) && (i % every == 0 || i + 1 == t->drift->point_count);
}

static reseat_xy place(const target *t, reseat_xy offset_mm)
{
    return (reseat_xy){scale_place(&t->x, offset_mm.x), scale_place(&t->y, offset_mm.y)};
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

static void find_target(target *t)
{
    const reseat_xy axis = {0, 0};
    const reseat_drift_point *run = figure_point(t->p, (uint64_t)page_run(t->p));
    t->x = t->y = (scale){0, 0, 0, 1}; /* the axis is always shown */
    for (size_t i = 0; i < t->drift->point_count; i++) {
        if (!is_known(&t->drift->points[i]))
            continue;
        t->known++;
        take(t, offset_of(&t->drift->points[i]), 0);
    }
    if (!(extent(t) > 0))
        take(t, axis, 0.001);
    if (t->p->answer) {
        t->half_mm = t->p->answer->any.allowed_offset_mm;
        t->half_fits = take_circle(t, axis, t->half_mm);
    }
    if (t->p->answer && run && is_known(run)) {
        t->run_known = true;
        t->run_mm = offset_of(run);
        t->limit_mm = t->p->asked->question->limit_mm;
        t->limit_fits = take_circle(t, t->run_mm, t->limit_mm);
    }
    const double half = extent(t) / 2 * 1.06;
    const double x = (t->x.least + t->x.most) / 2;
    const double y = (t->y.least + t->y.most) / 2;
    t->y = (scale){y - half, y + half, 0, 1};
    t->left = CHARACTER * (double)scale_lengths(&t->y, t->p->unit, MARKS).longest + 10;
    t->bottom = TOP + RIGHT - t->left;
    t->x = (scale){x - half, x + half, t->left, RIGHT};
    t->y = (scale){y - half, y + half, t->bottom, TOP};
}

static void draw_axes(target *t)
{
    svg *s = &t->figure;
    labels l = {0};
    const scale_marks below = scale_lengths(&t->x, t->p->unit, MARKS);
    const scale_marks left = scale_lengths(&t->y, t->p->unit, MARKS);
    labels_below(s, &l, &below, t->bottom, 19);
    labels_left(s, &left, t->left, 5);
    svg_line(s, "axis", t->left, t->bottom, RIGHT, t->bottom);
    svg_line(s, "axis", t->left, TOP, t->left, t->bottom);
    svg_text(s, "mid", (t->left + RIGHT) / 2, t->bottom + 38, 0, "X");
    svg_text(s, "end", t->left, 12, -8, "Y");
    svg_mark(s, "cross", place(t, (reseat_xy){0, 0}));
}

static void draw_circle(target *t, const char *class, reseat_xy centre_mm, double radius_mm)
{
    const reseat_xy centre = place(t, centre_mm);
    svg_dot(&t->figure, class, centre, scale_place(&t->x, centre_mm.x + radius_mm) - centre.x);
}

/* Whether a label at the right of a point would lie on another one. */
static bool is_crowded(const target *t, reseat_xy at)
{
    for (size_t j = 0; j < t->drift->point_count; j++) {
        const reseat_xy other = place(t, offset_of(&t->drift->points[j]));
        const double across = other.x - at.x; /* 0 to itself */
        if (is_known(&t->drift->points[j]) && across > 6 && across < 30 &&
            fabs(other.y - at.y) < 8)
            return true;
    }
    return false;
}

static void draw_point(target *t, size_t i, labels *l)
{
    const reseat_drift_point *point = &t->drift->points[i];
    const reseat_xy at = place(t, offset_of(point));
    const bool newest = i + 1 == t->drift->point_count;
    const double dx = at.x > RIGHT - 40 ? -11 : 11;
    const label_anchor anchor = dx < 0 ? ANCHOR_END : ANCHOR_START;
    const shown number = shown_print("%" PRIu64, point->seq);
    svg_dot(&t->figure,
            shown_print("%s age%zu", i >= figure_latest(t->p)->first ? "run" : "earlier",
                        (t->drift->point_count - 1 - i) * AGES / t->drift->point_count).text,
            at, 2.7);
    if (newest)
        svg_dot(&t->figure, "newest", at, 8);
    if (!newest && (i > 0 || is_crowded(t, at)))
        return;
    if (labels_take(l, false, at.x + dx, at.y + 4, anchor, strlen(number.text)) == ROOM_ALL)
        labels_text(&t->figure, "num", anchor, ROOM_ALL, at.x, at.y + 4, dx, number.text);
}

static void write_key(const target *t)
{
    const shown half = shown_print(
        "half the limit, %s: inside it half a turn does not exceed the limit%s",
        words_length_in(t->half_mm, t->p->unit, 0).text,
        t->half_fits ? "" : " (too large to draw)");
    const shown limit = shown_print("the shop's limit, %s, about the run in force%s",
                                    words_length_in(t->limit_mm, t->p->unit, 0).text,
                                    t->limit_fits ? "" : " (too large to draw)");
    figure_keys(t->p, (const figure_key[]){
        {SAMPLE_MARK, "cross", "axis about which the offset turns"},
        {SAMPLE_LINE, "half", t->p->answer ? half.text : NULL},
        {SAMPLE_LINE, "shop", t->run_known ? limit.text : NULL},
        {SAMPLE_NEWEST, "newest", "newest run"},
        {SAMPLE_DOT, "run", "run of the latest baseline"},
        {SAMPLE_DOT, "earlier", t->drift->baseline_count > 1 ? "earlier run" : NULL},
        {.class = NULL}});
}

static void write_data(const target *t)
{
    const char *unit = reseat_unit_name(t->p->unit);
    figure_data(t->p, figure_summary("X and Y", t->drawn, t->known).text,
               shown_print("run|X, %s|Y, %s|bearing, °", unit, unit).text);
    for (size_t i = 0; i < t->drift->point_count; i++) {
        const reseat_drift_point *point = &t->drift->points[i];
        const reseat_xy offset = offset_of(point);
        if (is_drawn(t, i))
            fprintf(t->p->out, "<tr><td>%" PRIu64 "<td>%s<td>%s<td>%s\n", point->seq,
                    words_signed(offset.x, t->p->unit, 0).text,
                    words_signed(offset.y, t->p->unit, 0).text,
                    words_decimal(point->bearing_deg, 1).text);
    }
}

void figure_target(const page *p)
{
    target t = {.p = p, .drift = &p->outlook->drift};
    labels l = {0};
    find_target(&t);
    if (t.known == 0)
        return;
    const shown desc = shown_print(
        "X and Y of %zu run%s on equal axes%s%s.", t.known, words_s(t.known),
        t.half_fits ? ", with a circle of half the limit about the axis" : "",
        t.limit_fits ? ", and one of the limit about the run in force" : "");
    const svg_about about = {.id = "target", .title = "Where the offset lies",
                             .desc = desc.text, .width = SIZE, .height = t.bottom + 44};
    t.figure = figure_begin(p, &about, "Seen along the spindle, in the probe's frame: the seat's "
                                       "turn is taken off. The older a run, the paler it is.");
    draw_axes(&t);
    if (t.half_fits)
        draw_circle(&t, "half", (reseat_xy){0, 0}, t.half_mm);
    if (t.limit_fits)
        draw_circle(&t, "shop", t.run_mm, t.limit_mm);
    for (size_t i = t.drift->point_count; i-- > 0;)
        if (is_drawn(&t, i)) {
            draw_point(&t, i, &l);
            t.drawn++;
        }
    svg_end(&t.figure);
    write_key(&t);
    write_data(&t);
    figure_end(p);
}

/* Radius. */

#define CENTRE (SIZE / 2)
#define MEAN_RADIUS 86.0 /* at which the mean is drawn */
#define RING 18.0        /* pixels from ring to ring */

typedef struct lobes {
    const double *dirs_deg, *radii_mm;
    size_t count;
    reseat_radius_curve curve;
    double ring_mm;
    svg figure;
} lobes;

/* Where something is in the figure: so many pixels from the centre; a radius, magnified. */
static reseat_xy place_polar(double pixels, double dir_deg)
{
    const reseat_xy unit = reseat_plane_unit(dir_deg);
    return (reseat_xy){CENTRE + pixels * unit.x, CENTRE - pixels * unit.y};
}

static reseat_xy place_radius(const lobes *l, double radius_mm, double dir_deg)
{
    return place_polar(MEAN_RADIUS + (radius_mm - l->curve.mean_mm) / l->ring_mm * RING, dir_deg);
}

static void draw_lobes(lobes *l)
{
    for (int ring = -3; ring <= 3; ring++)
        svg_dot(&l->figure, ring == 0 ? "mean" : "ring", (reseat_xy){CENTRE, CENTRE},
                MEAN_RADIUS + ring * RING);
    for (int dir = 0; dir < 360; dir += 90) {
        const reseat_xy at = place_polar(MEAN_RADIUS + 3 * RING + (dir % 180 ? 14 : 8), dir);
        svg_text(&l->figure, dir == 0 ? "start" : dir == 180 ? "end" : "mid", at.x, at.y + 4, 0,
                 shown_print("%d°", dir).text);
    }
    svg_path_begin(&l->figure, "curve");
    for (int dir = 0; dir <= 360; dir += 2)
        svg_path_to(&l->figure, place_radius(l, reseat_radius_at(&l->curve, dir), dir), dir == 0);
    svg_path_end(&l->figure);
    for (size_t i = 0; i < l->count; i++)
        svg_dot(&l->figure, "run", place_radius(l, l->radii_mm[i], l->dirs_deg[i]), 2.7);
}

void figure_radius(const page *p)
{
    lobes l = {.count = 0};
    size_t radii = 0;
    const reseat_record *run = p->asked->state.run;
    l.dirs_deg = reseat_record_numbers(run, RESEAT_FIELD_DIRS_DEG, &l.count);
    l.radii_mm = reseat_record_numbers(run, RESEAT_FIELD_RADII_MM, &radii);
    if (l.count == 0 || radii != l.count ||
        reseat_radius_fit(l.dirs_deg, l.radii_mm, l.count, &l.curve) != RESEAT_OK) {
        fputs("<section class=\"none\"><h3>Radius by direction</h3>\n<p>Not on record: the run in "
              "force holds no radii by direction. The budget allows for lobes that nobody has "
              "measured.</p></section>\n", p->out);
        return;
    }
    double most = 0;
    for (size_t i = 0; i < l.count; i++)
        most = fmax(most, fabs(l.radii_mm[i] - l.curve.mean_mm));
    for (int dir = 0; dir < 360; dir += 2)
        most = fmax(most, fabs(reseat_radius_at(&l.curve, dir) - l.curve.mean_mm));
    l.ring_mm = scale_step(fmax(most, 1e-6), 3);
    const shown told = shown_print(
        "Effective radius by direction of motion, run %" PRId64 ": mean %s, heavy ring; from "
        "ring to ring %s. Deviations are magnified %.20s times against the mean.", page_run(p),
        words_length_in(l.curve.mean_mm, p->unit, 0).text,
        words_length_in(l.ring_mm, p->unit, 2).text,
        words_decimal(RING / l.ring_mm / (MEAN_RADIUS / l.curve.mean_mm), 0).text);
    const svg_about about = {.id = "radius", .title = "Radius by direction",
                             .desc = told.text, .width = SIZE, .height = SIZE};
    l.figure = figure_begin(p, &about, told.text);
    draw_lobes(&l);
    svg_end(&l.figure);
    figure_data(p, "Data: radius by direction",
               shown_print("direction, °|radius, %s", reseat_unit_name(p->unit)).text);
    for (size_t i = 0; i < l.count; i++)
        html_write(p->out, "<tr><td>%s<td>%s\n", words_decimal(l.dirs_deg[i], 1).text,
                   words_length(l.radii_mm[i], p->unit, 0).text);
    figure_end(p);
}
