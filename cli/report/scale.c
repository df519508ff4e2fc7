/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From values to places in a figure, the marks of its axes, and where labels go: no statistics. */

#include "figure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DAY 86400.0
#define CHARACTER 7.7 /* pixels of a character, and of a line, at the size of labels */
#define LINE 13.0
#define NARROW_GAP 8.0 /* between labels of a narrow figure, whose points are close */

void scale_take(scale *s, double value)
{
    s->least = fmin(s->least, value);
    s->most = fmax(s->most, value);
}

void scale_pad(scale *s, double share)
{
    double room = (s->most - s->least) * share;
    if (!(room > 1e-12 * fabs(s->most)))
        room = fmax(fabs(s->most) / 10, 0.0001);
    s->least -= room;
    s->most += room;
}

double scale_place(const scale *s, double value)
{
    if (!(s->most > s->least))
        return (s->from + s->to) / 2;
    return s->from + (value - s->least) / (s->most - s->least) * (s->to - s->from);
}

double scale_step(double span, int most)
{
    static const double steps[] = {1, 2, 5, 10};
    const double power = pow(10, floor(log10(span / most)));
    int i = 0;
    while (i < 3 && steps[i] * power * most < span)
        i++;
    return steps[i] * power;
}

void scale_mark_add(scale_marks *marks, double place, const char *label)
{
    const size_t length = strlen(label);
    if (marks->count == SCALE_MARKS_MAX)
        return;
    struct scale_mark *mark = &marks->marks[marks->count++];
    mark->place = place;
    snprintf(mark->label.text, TEXT_SIZE, "%.*s", TEXT_SIZE - 1, label);
    marks->longest = length > marks->longest ? length : marks->longest;
}

scale_marks scale_lengths(const scale *s, reseat_unit unit, int most)
{
    scale_marks marks = {0};
    const double least = reseat_unit_from_mm(s->least, unit);
    const double step = scale_step(reseat_unit_from_mm(s->most, unit) - least, most);
    const int digits = (int)ceil(-log10(step) - 1e-9) - reseat_unit_decimals(unit);
    for (double k = ceil(least / step - 1e-9); marks.count < SCALE_MARKS_MAX; k++) {
        const double mm = reseat_unit_to_mm(k * step, unit);
        if (mm > s->most + 1e-9 * (s->most - s->least))
            break;
        scale_mark_add(&marks, scale_place(s, mm),
                       words_length(mm, unit, digits > 0 ? digits : 0).text);
    }
    return marks;
}

/* Whole months from year 0 to the one of a time. */
static long month_of(double seconds)
{
    char text[RESEAT_TIME_SIZE] = "1970-01-01T00:00:00Z";
    (void)reseat_time_format((int64_t)seconds, text);
    return strtol(text, NULL, 10) * 12 + strtol(text + strlen("1970-"), NULL, 10) - 1;
}

static void mark_months(const scale *s, scale_marks *marks)
{
    static const long steps[] = {1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 12000};
    const long first = month_of(s->least) + 1;
    const long last = month_of(s->most);
    size_t i = 0;
    while (i < sizeof steps / sizeof steps[0] - 1 && (last - first) / steps[i] >= 7)
        i++;
    for (long m = (first + steps[i] - 1) / steps[i] * steps[i]; m <= last; m += steps[i]) {
        int64_t begins = 0;
        const shown month = shown_print("%04ld-%02ld", m / 12, m % 12 + 1);
        const shown day = shown_print("%s-01T00:00:00Z", month.text);
        (void)reseat_time_parse(day.text, strlen(day.text), &begins, NULL);
        scale_mark_add(marks, scale_place(s, (double)begins), month.text);
    }
}

static void mark_steps(const scale *s, scale_marks *marks)
{
    static const double steps[] = {1, 5, 15, 60, 300, 900, 3600, 3 * 3600, 6 * 3600, 12 * 3600,
                                   DAY, 2 * DAY, 7 * DAY, 14 * DAY};
    size_t i = 0;
    while (i < sizeof steps / sizeof steps[0] - 1 && (s->most - s->least) / steps[i] > 5)
        i++;
    for (double t = ceil(s->least / steps[i]) * steps[i]; t <= s->most; t += steps[i]) {
        char text[RESEAT_TIME_SIZE] = "";
        (void)reseat_time_format((int64_t)t, text);
        scale_mark_add(marks, scale_place(s, t),
                       steps[i] < DAY ? shown_print("%.2s %.*s", text + 8, steps[i] < 60 ? 8 : 5,
                                                    text + 11).text
                                      : words_date((int64_t)t).text);
    }
}

scale_marks scale_times(const scale *s)
{
    scale_marks marks = {0};
    if (!(s->most > s->least))
        scale_mark_add(&marks, scale_place(s, s->least), words_date((int64_t)s->least).text);
    else if (s->most - s->least > 75 * DAY)
        mark_months(s, &marks);
    else
        mark_steps(s, &marks);
    return marks;
}

static bool has_room(const labels *l, const struct label_box *box, bool wide)
{
    const double unit = !l->stretched ? 1 : wide ? LABELS_WIDE / 100 : LABELS_NARROW / 100;
    const double begin = box->x * unit + box->shift;
    if (l->count == LABELS_MAX || (l->stretched && (begin < -l->beyond ||
                                   begin + box->width > 100 * unit + l->beyond)))
        return false;
    for (size_t i = 0; i < l->count; i++) {
        const struct label_box *other = &l->boxes[i];
        const double apart = (other->x - box->x) * unit + other->shift - box->shift;
        const double gap = wide ? 0 : NARROW_GAP;
        if ((wide || !other->wide) && fabs(other->y - box->y) < LINE &&
            apart < box->width + gap && -apart < other->width + gap)
            return false;
    }
    return true;
}

label_room labels_take(labels *l, bool narrow, double x, double y, label_anchor anchor,
                       size_t length)
{
    const double width = CHARACTER * (double)length + 3;
    const double shift = anchor == ANCHOR_START ? 0 : anchor == ANCHOR_END ? -width : -width / 2;
    struct label_box box = {x, y, shift, width, false};
    box.wide = !has_room(l, &box, false);
    if (narrow ? box.wide : !has_room(l, &box, true))
        return ROOM_NONE;
    l->boxes[l->count++] = box;
    return box.wide ? ROOM_WIDE : ROOM_ALL;
}

void labels_text(svg *s, const char *class, label_anchor anchor, label_room room, double x,
                 double y, double dx, const char *text)
{
    static const char *const anchors[] = {"", " mid", " end"};
    const shown classes = shown_print("%s%s%s", class, anchors[anchor],
                                      room == ROOM_WIDE && s->stretched ? " wide" : "");
    if (room != ROOM_NONE)
        svg_text(s, classes.text + (classes.text[0] == ' '), x, y, dx, text);
}

void labels_part(double *places, size_t count, double gap, double least, double most)
{
    size_t order[SCALE_MARKS_MAX] = {0};
    if (count > SCALE_MARKS_MAX)
        return;
    for (size_t i = 0; i < count; i++) { /* by insertion: they are few */
        size_t at = i;
        for (; at > 0 && places[order[at - 1]] > places[i]; at--)
            order[at] = order[at - 1];
        order[at] = i;
    }
    for (size_t i = 0; i < count; i++) {
        const double above = i > 0 ? places[order[i - 1]] + gap : least;
        places[order[i]] = fmax(places[order[i]], above);
    }
    for (size_t i = count; i-- > 0;) {
        const double below = i + 1 < count ? places[order[i + 1]] - gap : most;
        places[order[i]] = fmin(places[order[i]], below);
    }
}

void labels_left(svg *s, const scale_marks *marks, double x, double line)
{
    for (size_t i = 0; i < marks->count; i++) {
        const double y = marks->marks[i].place;
        if (line > 0)
            svg_line(s, "axis", x - line, y, x, y);
        svg_text(s, "end", x, y + 4, -8, marks->marks[i].label.text);
    }
}

void labels_below(svg *s, labels *l, const scale_marks *marks, double y, double foot)
{
    for (size_t i = 0; i < marks->count; i++) {
        const double x = marks->marks[i].place;
        const char *text = marks->marks[i].label.text;
        svg_line(s, "axis", x, y, x, y + 5);
        const label_room room = l ? labels_take(l, false, x, y + foot, ANCHOR_MIDDLE,
                                              strlen(text) + 1) : ROOM_ALL;
        if (s->stretched || x + 3.5 * (double)strlen(text) < s->width) /* half of it fits */
            labels_text(s, "", ANCHOR_MIDDLE, room, x, y + foot, 0, text);
    }
}
