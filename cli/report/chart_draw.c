/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Draws the charts of individuals and moving ranges in true time. */

#include "chart.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include "html.h"

#define VALUE_MARKS 5 /* steps of the axes */
#define RANGE_MARKS 3
#define MARK 6.5    /* pixels from the middle of a mark to its edge */
#define DIGIT 7.8   /* how wide the digits of labels are, and how high */
#define CAPITAL 9.0

static double time_place(const chart *c, int64_t at)
{
    return scale_place(&c->time, (double)at);
}

static double halfway_after(const chart *c, size_t i)
{
    return (time_place(c, chart_point(c, i)->at) + time_place(c, chart_point(c, i + 1)->at)) / 2;
}

/* Where a baseline begins and ends in the figure: halfway to its neighbours. */
static void span_of(const chart *c, size_t baseline, double *from, double *to)
{
    const reseat_drift_baseline *b = &c->drift->baselines[baseline];
    const size_t last = b->first + b->count - 1;
    *from = b->first > 0 ? halfway_after(c, b->first - 1) : 0;
    *to = last + 1 < c->drift->point_count ? halfway_after(c, last) : 100;
}

static void draw_limits(chart *c, size_t baseline)
{
    const reseat_drift_baseline *b = &c->drift->baselines[baseline];
    const reseat_drift_chart *l = &b->charts[c->s];
    double from, to;
    span_of(c, baseline, &from, &to);
    if (baseline > 0) {
        svg_line(&c->figure, "cut", from, TOP - 18, from, BOTTOM);
        svg_line(&c->figure, "cut", from, RANGE_TOP, from, RANGE_BOTTOM);
    }
    if (!(b->charted & chart_bit(c)))
        return;
    const double mean = scale_place(&c->value, l->mean);
    svg_line(&c->figure, "mean", from, mean, to, mean);
    const double lines[] = {scale_place(&c->value, l->lower), scale_place(&c->value, l->upper)};
    for (int i = 0; i < 2; i++)
        svg_line(&c->figure, "control", from, lines[i], to, lines[i]);
    const double mr_mean = scale_place(&c->range, l->mr_mean);
    const double mr_upper = scale_place(&c->range, l->mr_upper);
    svg_line(&c->figure, "mean", from, mr_mean, to, mr_mean);
    svg_line(&c->figure, "control", from, mr_upper, to, mr_upper);
}

/* A name at the top; in a narrow figure a short one, where there is no room for all of it. */
static void name_place(chart *c, scale_labels *labels, const char *class, double x,
                       const char *name, const char *brief)
{
    char classes[2][32];
    const double foot = TOP - 8;
    snprintf(classes[0], sizeof classes[0], "%s wide", class);
    snprintf(classes[1], sizeof classes[1], "%s narrow", class);
    const scale_room room = scale_label(labels, x, foot, ANCHOR_START, strlen(name) + 1);
    if (room != ROOM_NONE)
        svg_text(&c->figure, room == ROOM_ALL ? class : classes[0], x, foot, 5, name);
    if (room == ROOM_WIDE &&
        scale_label_narrow(labels, x, foot, ANCHOR_START, strlen(brief) + 1))
        svg_text(&c->figure, classes[1], x, foot, 5, brief);
    if (room == ROOM_NONE &&
        scale_label(labels, x, foot, ANCHOR_START, strlen(brief) + 1) != ROOM_NONE)
        svg_text(&c->figure, class, x, foot, 5, brief);
}

static void name_baselines(chart *c, scale_labels *labels)
{
    char number[24], name[96];
    for (size_t i = c->drift->baseline_count; c->drift->baseline_count > 1 && i-- > 0;) {
        double from, to;
        span_of(c, i, &from, &to);
        page_baseline(c->p, i, name, sizeof name);
        snprintf(number, sizeof number, "%zu", i + 1);
        name_place(c, labels, "name", from, i > 0 ? name + strlen("baseline ") : name, number);
    }
}

/* Where a finding says that the level changed. */
static void draw_change(chart *c, scale_labels *labels)
{
    for (size_t f = 0; f < c->drift->finding_count; f++) {
        const reseat_drift_finding *finding = &c->drift->findings[f];
        if (finding->code != RESEAT_DRIFT_LEVEL_CHANGED)
            continue;
        for (size_t i = 0; i + 1 < c->drift->point_count; i++) {
            if (chart_point(c, i)->seq != finding->seq)
                continue;
            char name[64];
            const double x = halfway_after(c, i);
            svg_line(&c->figure, "change", x, TOP - 18, x, RANGE_BOTTOM);
            snprintf(name, sizeof name, "changed after run %" PRIu64, finding->seq);
            name_place(c, labels, "changed", x, name, "changed");
        }
    }
}

static void draw_join(chart *c)
{
    for (int ranges = 0; ranges < 2; ranges++) {
        size_t baseline = 0;
        bool apart = true;
        svg_path_begin(&c->figure, "join");
        for (size_t i = 0; i < c->drift->point_count; i++) {
            double range = 0;
            while (i >= c->drift->baselines[baseline].first +
                            c->drift->baselines[baseline].count) {
                baseline++;
                apart = true;
            }
            if (!c->kept[i] || (ranges && reseat_drift_moving_range(c->drift, i, c->s, &range) !=
                                              RESEAT_OK))
                continue;
            svg_path_to(&c->figure, time_place(c, chart_point(c, i)->at),
                        ranges ? scale_place(&c->range, range)
                               : scale_place(&c->value, chart_point(c, i)->value[c->s]), apart);
            apart = false;
        }
        svg_path_end(&c->figure);
    }
}

/* Whether a number beside a point would lie on another point, in a figure so many pixels wide. */
static bool hides_point(const chart *c, size_t i, double foot, double half, double width)
{
    const double x = time_place(c, chart_point(c, i)->at);
    for (int step = -1; step <= 1; step += 2) {
        for (size_t j = i + (size_t)step; j < c->drift->point_count; j += (size_t)step) {
            if (fabs(time_place(c, chart_point(c, j)->at) - x) * width / 100 > half + MARK)
                break;
            const double y = scale_place(&c->value, chart_point(c, j)->value[c->s]);
            if (c->kept[j] && fabs(y - (foot - CAPITAL / 2)) < CAPITAL / 2 + MARK)
                return true;
        }
    }
    return false;
}

/* The number of a run beside its point, where it has room; that of the newest in any case. */
static void number_point(chart *c, scale_labels *labels, size_t i)
{
    char text[24];
    static const char *const classes[][3] = {{"num wide", "num mid wide", "num end wide"},
                                             {"num", "num mid", "num end"}};
    const bool newest = i + 1 == c->drift->point_count;
    const double x = time_place(c, chart_point(c, i)->at);
    const double y = scale_place(&c->value, chart_point(c, i)->value[c->s]);
    const scale_anchor anchor = x > 94 ? ANCHOR_END : x < 4 ? ANCHOR_START : ANCHOR_MIDDLE;
    snprintf(text, sizeof text, "%" PRIu64, chart_point(c, i)->seq);
    const double half = DIGIT / 2 * (double)strlen(text);
    for (int below = 0; below < 2; below++) {
        const double foot = below ? y + 18 : newest ? y - 12 : y - 9;
        if (foot < TOP - 4 || foot > BOTTOM + 12 ||
            (!newest && hides_point(c, i, foot, half, SCALE_WIDE)))
            continue;
        scale_room room = scale_label(labels, x, foot, anchor, strlen(text));
        if (room == ROOM_ALL && !newest && hides_point(c, i, foot, half, SCALE_NARROW))
            room = ROOM_WIDE;
        if (room == ROOM_NONE)
            continue;
        svg_text(&c->figure, classes[room == ROOM_ALL][anchor], x, foot, 0, text);
        return;
    }
}

static void draw_point(chart *c, size_t i)
{
    const reseat_drift_point *point = chart_point(c, i);
    const double x = time_place(c, point->at);
    const double y = scale_place(&c->value, point->value[c->s]);
    double range = 0;
    if (point->beyond_3_sigma & chart_bit(c))
        svg_mark(&c->figure, SVG_BEYOND, x, y);
    else if (point->four_of_five & chart_bit(c))
        svg_mark(&c->figure, SVG_FOUR, x, y);
    else
        svg_dot(&c->figure, "run", x, y, 2.7);
    if (i + 1 == c->drift->point_count)
        svg_dot(&c->figure, "newest", x, y, 8);
    if (reseat_drift_moving_range(c->drift, i, c->s, &range) == RESEAT_OK)
        svg_dot(&c->figure, "run", x, scale_place(&c->range, range), 2);
}

/* All points, then the numbers of the newest one and of flagged ones, the newest first. */
static void draw_points(chart *c, scale_labels *labels)
{
    const size_t count = c->drift->point_count;
    for (size_t i = 0; i < count; i++)
        if (c->kept[i])
            draw_point(c, i);
    for (size_t i = count; i-- > 0;) {
        if (c->kept[i] && (i + 1 == count || chart_is_flagged(c, chart_point(c, i))))
            number_point(c, labels, i);
    }
}

/* The limits of the moving ranges, at the right of the lower part. */
static void label_ranges(chart *c, const reseat_drift_chart *l)
{
    const reseat_unit unit = c->p->unit;
    char text[2 * TEXT_SIZE], value[TEXT_SIZE];
    double ranges[] = {scale_place(&c->range, l->mr_upper) + 4,
                       scale_place(&c->range, l->mr_mean) + 4};
    scale_part(ranges, 2, 15, RANGE_TOP + 4, RANGE_BOTTOM + 4);
    snprintf(text, sizeof text, "upper %s", text_length(value, l->mr_upper, unit, 0));
    svg_text(&c->figure, "value", 100, ranges[0], 9, text);
    snprintf(text, sizeof text, "mean %s", text_length(value, l->mr_mean, unit, 0));
    svg_text(&c->figure, "value", 100, ranges[1], 9, text);
}

/* What the lines of the latest baseline are, at the right. */
static void label_lines(chart *c)
{
    const reseat_drift_baseline *b = &c->drift->baselines[c->drift->baseline_count - 1];
    const reseat_drift_chart *l = &b->charts[c->s];
    const reseat_unit unit = c->p->unit;
    const bool charted = (b->charted & chart_bit(c)) != 0;
    const struct {
        bool shown, limit;
        const char *name;
        double value;
    } lines[] = {
        {c->limit_known, true, "limit", c->limit_high}, {charted, false, "upper", l->upper},
        {charted, false, "mean", l->mean},              {charted, false, "lower", l->lower},
        {c->limit_known && !(c->s == RESEAT_SERIES_LENGTH && c->limit_low < 0), true, "limit",
         c->limit_low},
    };
    double places[5];
    size_t count = 0, next = 0;
    for (size_t i = 0; i < 5; i++)
        if (lines[i].shown)
            places[count++] = fmin(fmax(scale_place(&c->value, lines[i].value), TOP), BOTTOM) + 4;
    scale_part(places, count, 15, TOP + 4, BOTTOM + 4);
    for (size_t i = 0; i < 5; i++) {
        char text[2 * TEXT_SIZE], value[TEXT_SIZE];
        const char *arrow = !lines[i].limit || c->limit_fits ? "" : i == 0 ? "↑ " : "↓ ";
        if (!lines[i].shown)
            continue;
        snprintf(text, sizeof text, "%s%s %s", arrow, lines[i].name,
                 text_length(value, lines[i].value, unit, 0));
        svg_text(&c->figure, lines[i].limit ? "shop" : "value", 100, places[next++], 9, text);
        if (lines[i].limit && c->limit_fits)
            svg_line(&c->figure, "shop", 0, scale_place(&c->value, lines[i].value), 100,
                     scale_place(&c->value, lines[i].value));
    }
    if (charted)
        label_ranges(c, l);
}

/* Characters of the longest label at the left, and at the right. */
static size_t axis_length(const chart *c)
{
    scale_mark marks[SCALE_MARKS_MAX];
    const size_t values = scale_longest(
        marks, scale_lengths(&c->value, c->p->unit, VALUE_MARKS, marks));
    const size_t ranges = scale_longest(
        marks, scale_lengths(&c->range, c->p->unit, RANGE_MARKS, marks));
    return values > ranges ? values : ranges;
}

static size_t label_length(const chart *c)
{
    char text[TEXT_SIZE];
    const reseat_unit unit = c->p->unit;
    if (!c->limit_known)
        return strlen("upper ") + strlen(text_length(text, c->value.least, unit, 0));
    const size_t low = strlen(text_length(text, c->limit_low, unit, 0));
    const size_t high = strlen(text_length(text, c->limit_high, unit, 0));
    return strlen(c->limit_fits ? "limit " : "> limit ") + (low > high ? low : high);
}

static void draw_axes(chart *c)
{
    scale_mark marks[SCALE_MARKS_MAX];
    scale_labels labels = {.stretched = true, .beyond = 40};
    size_t count = scale_lengths(&c->value, c->p->unit, VALUE_MARKS, marks);
    for (size_t i = 0; i < count; i++)
        svg_text(&c->figure, "end", 0, marks[i].place + 4, -8, marks[i].text);
    count = scale_lengths(&c->range, c->p->unit, RANGE_MARKS, marks);
    for (size_t i = 0; i < count; i++)
        svg_text(&c->figure, "end", 0, marks[i].place + 4, -8, marks[i].text);
    svg_line(&c->figure, "axis", 0, RANGE_BOTTOM, 100, RANGE_BOTTOM);
    svg_text(&c->figure, "start", 0, RANGE_TOP - 8, 0, "moving range");
    count = scale_times(&c->time, marks);
    for (size_t i = 0; i < count; i++) {
        const double x = marks[i].place;
        svg_line(&c->figure, "axis", x, RANGE_BOTTOM, x, RANGE_BOTTOM + 5);
        const scale_room room = scale_label(&labels, x, RANGE_BOTTOM + 20, ANCHOR_MIDDLE,
                                            strlen(marks[i].text) + 1);
        if (room != ROOM_NONE)
            svg_text(&c->figure, room == ROOM_ALL ? "mid" : "mid wide", x, RANGE_BOTTOM + 20, 0,
                     marks[i].text);
    }
}

/* What the chart shows, for who does not see it. */
static void describe(const chart *c, char *out, size_t size)
{
    const reseat_drift_baseline *b = &c->drift->baselines[c->drift->baseline_count - 1];
    const reseat_drift_chart *l = &b->charts[c->s];
    const reseat_unit unit = c->p->unit;
    char from[TEXT_SIZE], to[TEXT_SIZE], mean[TEXT_SIZE], lower[TEXT_SIZE], upper[TEXT_SIZE];
    int used = snprintf(out, size, "%zu run%s from %s to %s in %zu baseline%s, %zu flagged.",
                        c->known, text_s(c->known), drift_date(from, chart_point(c, 0)->at),
                        drift_date(to, chart_point(c, c->drift->point_count - 1)->at),
                        c->drift->baseline_count, text_s(c->drift->baseline_count),
                        c->flagged);
    if (b->charted & chart_bit(c))
        snprintf(out + used, size - (size_t)used,
                 " Latest baseline: mean %s, control limits %s and %s %s.",
                 text_length(mean, l->mean, unit, 0), text_length(lower, l->lower, unit, 0),
                 text_length(upper, l->upper, unit, 0), reseat_unit_name(unit));
}

/* By how much the latest baseline moves, and what the limit in the chart is. */
static void write_caption(const chart *c, char *out, size_t size)
{
    const reseat_drift_baseline *b = &c->drift->baselines[c->drift->baseline_count - 1];
    const reseat_trend *trend = &b->trends[c->s];
    const reseat_unit unit = c->p->unit;
    char limit[TEXT_SIZE], slope[TEXT_SIZE], low[TEXT_SIZE], high[TEXT_SIZE];
    int used = snprintf(out, size, "%zu run%s, in %s.", c->known, text_s(c->known),
                        reseat_unit_name(unit));
    if (b->trended & chart_bit(c))
        used += snprintf(out + used, size - (size_t)used,
                         " Moves by %s in 90 days (95 %% interval %s to %s).",
                         text_signed(slope, trend->slope * 90, unit, 0),
                         text_signed(low, trend->low * 90, unit, 0),
                         text_signed(high, trend->high * 90, unit, 0));
    if (c->limit_known)
        used += snprintf(out + used, size - (size_t)used,
                         " The shop's limit is %s either side of run %" PRId64 ", whose offset is "
                         "in use%s.",
                         text_length(limit, c->p->asked->question->limit_mm, unit, 0),
                         reseat_record_integer(c->p->asked->standing.run, RESEAT_FIELD_SEQ, -1),
                         c->limit_fits ? "" : ": beyond this chart");
    if (c->drawn < c->known)
        snprintf(out + used, size - (size_t)used,
                 " %zu of %zu points are drawn: of each stretch of time the lowest and the "
                 "highest, and %s.", c->drawn, c->known,
                 c->flagged_kept ? "all that are flagged"
                                 : "of those flagged, which are too many, no more than these");
}

static void draw_chart(chart *c, const char *title)
{
    char desc[512], caption[640];
    scale_labels labels = {.stretched = true};
    const svg_about about = {c->name, title, desc};
    describe(c, desc, sizeof desc);
    write_caption(c, caption, sizeof caption);
    page_figure(c->p->out, c->name, title, caption);
    const svg_size size = {.height = HEIGHT, .left = axis_length(c), .right = label_length(c)};
    c->figure = svg_begin(c->p->out, "chart", &about, &size);
    for (size_t i = 0; i < c->drift->baseline_count; i++)
        draw_limits(c, i);
    draw_change(c, &labels);
    name_baselines(c, &labels);
    draw_join(c);
    draw_axes(c);
    label_lines(c);
    draw_points(c, &labels);
    svg_end(&c->figure);
    chart_data(c);
    page_figure_end(c->p->out);
}

bool figure_charts(const page *p)
{
    static const struct { reseat_series series; const char *name, *title; } charts[] = {
        {RESEAT_SERIES_LENGTH, "length", "Length of the offset"},
        {RESEAT_SERIES_X, "x", "Offset in X"},
        {RESEAT_SERIES_Y, "y", "Offset in Y"}};
    for (size_t i = 0; i < 3; i++) {
        chart c;
        if (!chart_begin(p, charts[i].series, &c))
            return false;
        c.name = charts[i].name;
        if (c.known > 0)
            draw_chart(&c, charts[i].title);
        chart_end(&c);
    }
    return true;
}
