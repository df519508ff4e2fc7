/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Charts of individuals and moving ranges in true time: which points are drawn, where, and how. */

#include "figure.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define TOP 26.0 /* pixels from above: room for the names of baselines, then both panels */
#define BOTTOM 226.0
#define RANGE_TOP 262.0
#define RANGE_BOTTOM 332.0
#define HEIGHT 362.0
#define VALUE_MARKS 5 /* steps of the axes */
#define RANGE_MARKS 3
#define MARK 6.5    /* pixels from the middle of a mark to its edge */
#define DIGIT 7.8   /* how wide the digits of labels are, and how high */
#define CAPITAL 9.0
#define DRAWN_ALL 600     /* as many points are drawn as they are */
#define BUCKETS 300       /* of more, the lowest and the highest of so many stretches of time */
#define FLAGGED_MAX 1500  /* as many flagged points are all kept */
#define LIMIT_STRETCH 2.0 /* the shop's limit may take up so much more room than the points do */

/* A point of the drift as it is drawn. */
typedef struct chart_point {
    const reseat_drift_point *of;
    double mm;
    double range_mm; /* by which it differs from the one before, where `ranged` */
    reseat_xy at, range_at; /* where it and its range are drawn */
    bool ranged;
    bool range_beyond;       /* its limit, in its baseline */
    bool kept;        /* drawn: known, and not thinned out */
    const char *flag; /* "beyond-3-sigma", "four-of-five", "" */
    const char *mark; /* its shape; NULL without a flag */
} chart_point;

typedef struct chart {
    const page *p;
    const reseat_drift *drift;
    reseat_series series;
    unsigned bit;
    const char *id, *name; /* name: of the series, in words */
    chart_point *points; /* `count` of them, in order of time */
    size_t count;
    size_t known, drawn, flagged;
    bool flagged_kept; /* all of them */
    scale time, value, range;
    const reseat_drift_chart *limits; /* of the latest baseline; NULL: too few runs */
    bool limited; /* of the offset, which the shop's limit is about */
    bool limit_known, limit_fits;
    double limit_low, limit_high; /* mm */
    svg figure;
} chart;

/* Limits of a baseline; NULL where it has too few runs. */
static const reseat_drift_chart *limits_of(const chart *c, size_t baseline)
{
    const reseat_drift_baseline *b = &c->drift->baselines[baseline];
    return (b->charted & c->bit) ? &b->charts[c->series] : NULL;
}

static void find_points(chart *c)
{
    c->time = (scale){(double)c->drift->points[0].at, (double)c->drift->points[c->count - 1].at,
                      2, 98};
    for (size_t i = 0; i < c->count; i++) {
        const reseat_drift_point *of = &c->drift->points[i];
        chart_point *point = &c->points[i];
        const bool beyond = of->beyond_3_sigma & c->bit, four = of->four_of_five & c->bit;
        *point = (chart_point){.of = of, .mm = of->value[c->series],
                               .at.x = scale_place(&c->time, (double)of->at),
                               .kept = of->known & c->bit,
                               .mark = beyond ? "beyond" : four ? "four" : NULL,
                               .flag = beyond ? "beyond-3-sigma" : four ? "four-of-five" : ""};
        point->ranged = reseat_drift_moving_range(c->drift, i, c->series, &point->range_mm) ==
                        RESEAT_OK;
        c->known += point->kept;
        c->flagged += point->mark ? 1 : 0;
    }
    c->drawn = c->known;
}

/* Keeps of each stretch of time the lowest and the highest point, and points that are flagged. */
static void thin_points(chart *c)
{
    chart_point *low[BUCKETS] = {0}, *high[BUCKETS] = {0};
    c->flagged_kept = c->flagged <= FLAGGED_MAX;
    for (size_t i = 0; i < c->count; i++) {
        chart_point *point = &c->points[i];
        const size_t b = (size_t)(point->at.x / 100 * (BUCKETS - 1));
        if (!point->kept)
            continue;
        point->kept = (c->flagged_kept && point->mark) || i + 1 == c->count;
        if (!low[b] || point->mm < low[b]->mm)
            low[b] = point;
        if (!high[b] || point->mm > high[b]->mm)
            high[b] = point;
    }
    for (size_t b = 0; b < BUCKETS; b++)
        if (low[b] && high[b])
            low[b]->kept = high[b]->kept = true;
    c->drawn = 0;
    for (size_t i = 0; i < c->count; i++)
        c->drawn += c->points[i].kept;
}

/*
 * The limit lies on either side of the run in force, from whose offset positions are reported; it
 * is shown where that does not make a speck of the points.
 */
static void find_limit(chart *c)
{
    const reseat_drift_point *run = figure_point(c->p, (uint64_t)page_run(c->p));
    scale with = c->value;
    c->limit_known = run && c->p->answer && (run->known & c->bit) && c->limited;
    if (!c->limit_known)
        return;
    c->limit_low = run->value[c->series] - c->p->asked->question->limit_mm;
    c->limit_high = run->value[c->series] + c->p->asked->question->limit_mm;
    scale_take(&with, c->limit_low);
    scale_take(&with, c->limit_high);
    c->limit_fits = with.most - with.least <= LIMIT_STRETCH * (c->value.most - c->value.least);
    if (c->limit_fits)
        c->value = with;
}

static void find_scales(chart *c)
{
    c->value = (scale){HUGE_VAL, -HUGE_VAL, BOTTOM, TOP};
    c->range = (scale){0, 0, RANGE_BOTTOM, RANGE_TOP};
    for (size_t i = 0; i < c->count; i++) {
        if (c->points[i].kept)
            scale_take(&c->value, c->points[i].mm);
        scale_take(&c->range, c->points[i].range_mm);
    }
    for (size_t i = 0; i < c->drift->baseline_count; i++) {
        const reseat_drift_chart *limits = limits_of(c, i);
        if (!limits)
            continue;
        scale_take(&c->value, limits->lower);
        scale_take(&c->value, limits->upper);
        scale_take(&c->range, limits->mr_upper);
    }
    find_limit(c);
    scale_pad(&c->value, 0.06);
    c->range.most = c->range.most > 0 ? c->range.most * 1.1 : 0.0001;
    for (size_t i = 0; i < c->count; i++) {
        chart_point *point = &c->points[i];
        point->at.y = scale_place(&c->value, point->mm);
        point->range_at = (reseat_xy){point->at.x, scale_place(&c->range, point->range_mm)};
    }
}

/* Marks the moving ranges that lie beyond their limit. */
static void find_ranges(chart *c)
{
    for (size_t b = 0; b < c->drift->baseline_count; b++) {
        const reseat_drift_baseline *baseline = &c->drift->baselines[b];
        const reseat_drift_chart *limits = limits_of(c, b);
        for (size_t i = 0; limits && i < baseline->count; i++) {
            chart_point *point = &c->points[baseline->first + i];
            point->range_beyond = point->ranged && point->range_mm > limits->mr_upper;
        }
    }
}

static double halfway_after(const chart *c, size_t i)
{
    return (c->points[i].at.x + c->points[i + 1].at.x) / 2;
}

/* Where a baseline begins: halfway to its neighbour. The one after the last begins at the end. */
static double begin_of(const chart *c, size_t baseline)
{
    if (baseline == c->drift->baseline_count)
        return 100;
    const size_t first = c->drift->baselines[baseline].first;
    return first > 0 ? halfway_after(c, first - 1) : 0;
}

static void draw_limits(chart *c, size_t baseline)
{
    svg *s = &c->figure;
    const reseat_drift_chart *l = limits_of(c, baseline);
    const double from = begin_of(c, baseline), to = begin_of(c, baseline + 1);
    if (baseline > 0) {
        svg_line(s, "cut", from, TOP - 18, from, BOTTOM);
        svg_line(s, "cut", from, RANGE_TOP, from, RANGE_BOTTOM);
    }
    if (!l)
        return;
    const struct {
        const char *class;
        double y;
    } lines[] = {{"mean", scale_place(&c->value, l->mean)},
                 {"control", scale_place(&c->value, l->lower)},
                 {"control", scale_place(&c->value, l->upper)},
                 {"mean", scale_place(&c->range, l->mr_mean)},
                 {"control", scale_place(&c->range, l->mr_upper)}};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        svg_line(s, lines[i].class, from, lines[i].y, to, lines[i].y);
}

/* A name at the top; in a narrow figure a short one, where there is no room for all of it. */
static void name_place(chart *c, labels *l, const char *class, double x, const char *name,
                       const char *brief)
{
    const double foot = TOP - 8;
    const label_room room = labels_take(l, false, x, foot, ANCHOR_START,
                                        strlen(name) + 1);
    labels_text(&c->figure, class, ANCHOR_START, room, x, foot, 5, name);
    if (room != ROOM_ALL && labels_take(l, room == ROOM_WIDE, x, foot, ANCHOR_START,
                                        strlen(brief) + 1) != ROOM_NONE)
        svg_text(&c->figure, shown_print("%s%s", class, room == ROOM_WIDE ? " narrow" : "").text, x,
                 foot, 5, brief);
}

/* Where a finding says that the level changed: after a run. */
static void draw_change(chart *c, labels *l)
{
    for (size_t f = 0; f < c->drift->finding_count; f++) {
        const reseat_drift_finding *finding = &c->drift->findings[f];
        const reseat_drift_point *run = figure_point(c->p, finding->seq);
        if (finding->code != RESEAT_DRIFT_LEVEL_CHANGED || !run ||
            run + 1 == c->drift->points + c->count)
            continue;
        const double x = halfway_after(c, (size_t)(run - c->drift->points));
        svg_line(&c->figure, "change", x, TOP - 18, x, RANGE_BOTTOM);
        name_place(c, l, "changed", x,
                   shown_print("changed after run %" PRIu64, finding->seq).text, "changed");
    }
}

/* Joins the points, or the moving ranges, of each baseline. */
static void draw_join(chart *c, bool ranges)
{
    svg_path_begin(&c->figure, "join");
    for (size_t b = 0; b < c->drift->baseline_count; b++) {
        const chart_point *point = &c->points[c->drift->baselines[b].first];
        const chart_point *end = point + c->drift->baselines[b].count;
        for (bool apart = true; point < end; point++) {
            if (!point->kept || (ranges && !point->ranged))
                continue;
            svg_path_to(&c->figure, ranges ? point->range_at : point->at, apart);
            apart = false;
        }
    }
    svg_path_end(&c->figure);
}

/* Whether a number beside a point would lie on another point, in a figure so many pixels wide. */
static bool hides_point(const chart *c, size_t i, double foot, double half, double width)
{
    for (int step = -1; step <= 1; step += 2) {
        for (size_t j = i + (size_t)step; j < c->count; j += (size_t)step) {
            const chart_point *other = &c->points[j];
            if (fabs(other->at.x - c->points[i].at.x) * width / 100 > half + MARK)
                break;
            if (other->kept && fabs(other->at.y - (foot - CAPITAL / 2)) < CAPITAL / 2 + MARK)
                return true;
        }
    }
    return false;
}

/* The number of a run beside its point, where it has room; that of the newest in any case. */
static void number_point(chart *c, labels *l, size_t i)
{
    const bool newest = i + 1 == c->count;
    const double x = c->points[i].at.x, y = c->points[i].at.y;
    const label_anchor anchor = x > 94 ? ANCHOR_END : x < 4 ? ANCHOR_START : ANCHOR_MIDDLE;
    const shown number = shown_print("%" PRIu64, c->points[i].of->seq);
    const size_t length = strlen(number.text);
    const double half = DIGIT / 2 * (double)length;
    const double feet[] = {newest ? y - 12 : y - 9, y + 18};
    label_room room = ROOM_NONE;
    for (size_t f = 0; f < 2 && room == ROOM_NONE; f++) {
        if (feet[f] < TOP - 4 || feet[f] > BOTTOM + 12 ||
            (!newest && hides_point(c, i, feet[f], half, LABELS_WIDE)))
            continue;
        room = labels_take(l, false, x, feet[f], anchor, length);
        if (room == ROOM_ALL && !newest && hides_point(c, i, feet[f], half, LABELS_NARROW))
            room = ROOM_WIDE;
        labels_text(&c->figure, "num", anchor, room, x, feet[f], 0, number.text);
    }
}

/* All points, then the numbers of the newest one and of flagged ones, the newest first. */
static void draw_points(chart *c, labels *l)
{
    for (size_t i = 0; i < c->count; i++) {
        const chart_point *point = &c->points[i];
        if (!point->kept)
            continue;
        if (point->mark)
            svg_mark(&c->figure, point->mark, point->at);
        else
            svg_dot(&c->figure, "run", point->at, 2.7);
        if (i + 1 == c->count)
            svg_dot(&c->figure, "newest", point->at, 8);
        if (point->range_beyond)
            svg_mark(&c->figure, "over", point->range_at);
        else if (point->ranged)
            svg_dot(&c->figure, "run", point->range_at, 2);
    }
    for (size_t i = c->count; i-- > 0;)
        if (c->points[i].kept && (i + 1 == c->count || c->points[i].mark))
            number_point(c, l, i);
}

/* A line of a panel, of which it is said at the right what it is. */
typedef struct named_line {
    const char *name;
    double mm;
    bool shop;
} named_line;

#define PANEL_LINES 5

static void name_lines(chart *c, const scale *s, const named_line *lines, size_t count)
{
    double feet[PANEL_LINES];
    for (size_t i = 0; i < count; i++)
        feet[i] = fmin(fmax(scale_place(s, lines[i].mm), s->to), s->from) + 4;
    labels_part(feet, count, 15, s->to + 4, s->from + 4);
    for (size_t i = 0; i < count; i++) {
        const double mm = lines[i].mm, y = scale_place(s, mm);
        svg_text(&c->figure, lines[i].shop ? "shop" : "value", 100, feet[i], 9,
                 shown_print("%s %s", lines[i].name, words_length(mm, c->p->unit, 0).text).text);
        if (lines[i].shop && c->limit_fits)
            svg_line(&c->figure, "shop", 0, y, 100, y);
    }
}

/* Those of the latest baseline. */
static void name_panels(chart *c)
{
    named_line values[PANEL_LINES] = {{NULL, 0, false}};
    size_t count = 0;
    const reseat_drift_chart *l = c->limits;
    if (c->limit_known)
        values[count++] = (named_line){c->limit_fits ? "limit" : "↑ limit", c->limit_high, true};
    if (l) {
        values[count++] = (named_line){"upper", l->upper, false};
        values[count++] = (named_line){"mean", l->mean, false};
        values[count++] = (named_line){"lower", l->lower, false};
    }
    if (c->limit_known && !(c->series == RESEAT_SERIES_LENGTH && c->limit_low < 0))
        values[count++] = (named_line){c->limit_fits ? "limit" : "↓ limit", c->limit_low, true};
    name_lines(c, &c->value, values, count);
    if (l)
        name_lines(c, &c->range, (const named_line[]){{"upper", l->mr_upper, false},
                                                      {"mean", l->mr_mean, false}}, 2);
}

/* Characters of the longest of them. */
static size_t label_length(const chart *c)
{
    const reseat_unit unit = c->p->unit;
    if (!c->limit_known)
        return strlen("upper ") + strlen(words_length(c->value.least, unit, 0).text);
    const size_t low = strlen(words_length(c->limit_low, unit, 0).text);
    const size_t high = strlen(words_length(c->limit_high, unit, 0).text);
    return strlen(c->limit_fits ? "limit " : "> limit ") + (low > high ? low : high);
}

static void draw_axes(chart *c, const scale_marks *values, const scale_marks *ranges)
{
    const scale_marks times = scale_times(&c->time);
    labels l = {.stretched = true, .beyond = 40};
    labels_left(&c->figure, values, 0, 0);
    labels_left(&c->figure, ranges, 0, 0);
    svg_line(&c->figure, "axis", 0, RANGE_BOTTOM, 100, RANGE_BOTTOM);
    svg_text(&c->figure, "start", 0, RANGE_TOP - 8, 0, "moving range");
    labels_below(&c->figure, &l, &times, RANGE_BOTTOM, 20);
}

/* What the chart shows, for who does not see it. */
static shown describe(const chart *c)
{
    const reseat_unit unit = c->p->unit;
    shown latest = {""};
    if (c->limits)
        latest = shown_print(" Latest baseline: mean %s, control limits %s and %s.",
                             words_length(c->limits->mean, unit, 0).text,
                             words_length(c->limits->lower, unit, 0).text,
                             words_length_in(c->limits->upper, unit, 0).text);
    return shown_print("%zu run%s from %s to %s in %zu baseline%s, %zu flagged.%s", c->known,
                       words_s(c->known), words_date(c->points[0].of->at).text,
                       words_date(c->points[c->count - 1].of->at).text, c->drift->baseline_count,
                       words_s(c->drift->baseline_count), c->flagged, latest.text);
}

/* How many runs, how the latest baseline moves, where the limit is, and which points are drawn. */
static void tell(const chart *c, char *caption, size_t size)
{
    const reseat_trend *trend = &figure_latest(c->p)->trends[c->series];
    const reseat_unit unit = c->p->unit;
    shown moves = {""}, limit = {""}, drawn = {""};
    if (figure_latest(c->p)->trended & c->bit)
        moves = shown_print(" Moves by %s in 90 days (95 %% interval %s to %s).",
                            words_signed(trend->slope * 90, unit, 0).text,
                            words_signed(trend->low * 90, unit, 0).text,
                            words_signed(trend->high * 90, unit, 0).text);
    if (c->limit_known)
        limit = shown_print(" The shop's limit is %s either side of run %" PRId64 ", whose offset "
                            "is in use%s.",
                            words_length(c->p->asked->question->limit_mm, unit, 0).text,
                            page_run(c->p), c->limit_fits ? "" : ": beyond this chart");
    if (c->drawn < c->known)
        drawn = shown_print(" %zu of %zu points are drawn: of each stretch of time the lowest and "
                            "the highest, and %s.", c->drawn, c->known, c->flagged_kept
                                ? "all that are flagged"
                                : "of those flagged, which are too many, no more than these");
    snprintf(caption, size, "%zu run%s, in %s.%s%s%s", c->known, words_s(c->known),
             reseat_unit_name(unit), moves.text, limit.text, drawn.text);
}

/* Its runs as a table: what is drawn, in numbers. */
static void write_data(const chart *c)
{
    const reseat_unit unit = c->p->unit;
    const char *name = reseat_unit_name(unit);
    figure_data(c->p, figure_summary(c->name, c->drawn, c->known).text,
               shown_print("run|date|%s, %s|moving range, %s|flag", c->name, name, name).text);
    for (size_t i = 0; i < c->count; i++) {
        const chart_point *point = &c->points[i];
        if (point->kept)
            fprintf(c->p->out, "<tr><td>%" PRIu64 "<td>%s<td>%s<td>%s%s<td>%s\n", point->of->seq,
                    words_date(point->of->at).text, words_length(point->mm, unit, 0).text,
                    point->ranged ? words_length(point->range_mm, unit, 0).text : "",
                    point->range_beyond ? " beyond its limit" : "", point->flag);
    }
}

static void write_chart(chart *c, const char *title)
{
    c->limits = limits_of(c, c->drift->baseline_count - 1);
    if (c->known > DRAWN_ALL)
        thin_points(c);
    find_scales(c);
    find_ranges(c);
    const shown desc = describe(c);
    const scale_marks values = scale_lengths(&c->value, c->p->unit, VALUE_MARKS);
    const scale_marks ranges = scale_lengths(&c->range, c->p->unit, RANGE_MARKS);
    const svg_about about = {
        .id = c->id, .title = title, .desc = desc.text, .height = HEIGHT,
        .right = label_length(c),
        .left = values.longest > ranges.longest ? values.longest : ranges.longest};
    char caption[1024];
    labels l = {.stretched = true};
    tell(c, caption, sizeof caption);
    c->figure = figure_begin(c->p, &about, caption);
    for (size_t i = 0; i < c->drift->baseline_count; i++)
        draw_limits(c, i);
    draw_change(c, &l);
    for (size_t i = c->drift->baseline_count; c->drift->baseline_count > 1 && i-- > 0;) {
        const shown name = page_baseline(c->p, i);
        name_place(c, &l, "name", begin_of(c, i), name.text + (i > 0 ? strlen("baseline ") : 0),
                   shown_print("%zu", i + 1).text);
    }
    draw_join(c, false);
    draw_join(c, true);
    draw_axes(c, &values, &ranges);
    name_panels(c);
    draw_points(c, &l);
    svg_end(&c->figure);
    write_data(c);
    figure_end(c->p);
}

/* Radius and stylus length are drawn where they vary; the offset always. */
static bool is_shown(const chart *c)
{
    const chart_point *first = NULL;
    for (size_t i = 0; i < c->count; i++) {
        const chart_point *point = &c->points[i];
        if (!point->kept)
            continue;
        if (c->limited || (first && fabs(point->mm - first->mm) > 0))
            return true;
        first = first ? first : point;
    }
    return false;
}

void figure_charts(page *p)
{
    static const struct {
        reseat_series series;
        const char *id, *name, *title; /* "radius" is the figure of the lobes */
    } charts[] = {{RESEAT_SERIES_LENGTH, "length", "length", "Length of the offset"},
                  {RESEAT_SERIES_X, "x", "x", "Offset in X"},
                  {RESEAT_SERIES_Y, "y", "y", "Offset in Y"},
                  {RESEAT_SERIES_RADIUS, "ball", "radius", "Effective radius"},
                  {RESEAT_SERIES_STYLUS_LENGTH, "stylus", "stylus length", "Stylus length"}};
    const reseat_drift *drift = &p->outlook->drift;
    chart_point *points = calloc(drift->point_count, sizeof *points);
    if (!points)
        p->status = RESEAT_ERR_MEMORY;
    for (size_t i = 0; points && i < sizeof charts / sizeof charts[0]; i++) {
        const reseat_series series = charts[i].series;
        chart c = {.p = p, .drift = drift, .series = series, .bit = 1u << series,
                   .id = charts[i].id, .name = charts[i].name, .points = points,
                   .count = drift->point_count,
                   .limited = series <= RESEAT_SERIES_LENGTH};
        find_points(&c);
        if (is_shown(&c))
            write_chart(&c, charts[i].title);
    }
    free(points);
}
