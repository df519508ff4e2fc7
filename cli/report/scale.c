/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "scale.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DAY 86400.0
#define CHARACTER 7.7 /* pixels of a character, and of a line, at the size of labels */
#define LINE 13.0
#define NARROW_GAP 8.0 /* between labels of a narrow figure, whose points are close */

scale scale_begin(double value, double from, double to)
{
    return (scale){value, value, from, to};
}

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

size_t scale_lengths(const scale *s, reseat_unit unit, int most, scale_mark *marks)
{
    const double least = reseat_unit_from_mm(s->least, unit);
    const double step = scale_step(reseat_unit_from_mm(s->most, unit) - least, most);
    const int digits = (int)ceil(-log10(step) - 1e-9) - reseat_unit_decimals(unit);
    size_t count = 0;
    for (double k = ceil(least / step - 1e-9); count < SCALE_MARKS_MAX; k++) {
        const double mm = reseat_unit_to_mm(k * step, unit);
        if (mm > s->most + 1e-9 * (s->most - s->least))
            break;
        marks[count].place = scale_place(s, mm);
        text_length(marks[count++].text, mm, unit, digits > 0 ? digits : 0);
    }
    return count;
}

size_t scale_longest(const scale_mark *marks, size_t count)
{
    size_t longest = 0;
    for (size_t i = 0; i < count; i++)
        longest = strlen(marks[i].text) > longest ? strlen(marks[i].text) : longest;
    return longest;
}

/* Whole months from year 0 to the one of a time. */
static long month_of(double seconds)
{
    char text[RESEAT_TIME_SIZE] = "1970-01-01T00:00:00Z";
    (void)reseat_time_format((int64_t)seconds, text);
    return strtol(text, NULL, 10) * 12 + strtol(text + strlen("1970-"), NULL, 10) - 1;
}

static double begin_of(long month)
{
    char text[64];
    int64_t seconds = 0;
    snprintf(text, sizeof text, "%04ld-%02ld-01T00:00:00Z", month / 12, month % 12 + 1);
    (void)reseat_time_parse(text, strlen(text), &seconds, NULL);
    return (double)seconds;
}

static size_t mark_months(const scale *s, scale_mark *marks)
{
    static const long steps[] = {1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 12000};
    const long first = month_of(s->least) + 1;
    const long last = month_of(s->most);
    size_t i = 0, count = 0;
    while (i < sizeof steps / sizeof steps[0] - 1 && (last - first) / steps[i] >= 7)
        i++;
    for (long m = (first + steps[i] - 1) / steps[i] * steps[i]; m <= last; m += steps[i]) {
        marks[count].place = scale_place(s, begin_of(m));
        snprintf(marks[count++].text, TEXT_SIZE, "%04ld-%02ld", m / 12, m % 12 + 1);
    }
    return count;
}

static size_t mark_steps(const scale *s, scale_mark *marks)
{
    static const double steps[] = {1, 5, 15, 60, 300, 900, 3600, 3 * 3600, 6 * 3600, 12 * 3600,
                                   DAY, 2 * DAY, 7 * DAY, 14 * DAY};
    size_t i = 0, count = 0;
    while (i < sizeof steps / sizeof steps[0] - 1 && (s->most - s->least) / steps[i] > 5)
        i++;
    for (double t = ceil(s->least / steps[i]) * steps[i]; t <= s->most; t += steps[i]) {
        char text[RESEAT_TIME_SIZE] = "";
        (void)reseat_time_format((int64_t)t, text);
        marks[count].place = scale_place(s, t);
        if (steps[i] < DAY)
            snprintf(marks[count++].text, TEXT_SIZE, "%.2s %.*s", text + 8, steps[i] < 60 ? 8 : 5,
                     text + 11);
        else
            snprintf(marks[count++].text, TEXT_SIZE, "%.10s", text);
    }
    return count;
}

size_t scale_times(const scale *s, scale_mark *marks)
{
    if (!(s->most > s->least)) {
        char text[RESEAT_TIME_SIZE] = "";
        (void)reseat_time_format((int64_t)s->least, text);
        marks[0].place = scale_place(s, s->least);
        snprintf(marks[0].text, TEXT_SIZE, "%.10s", text);
        return 1;
    }
    return s->most - s->least > 75 * DAY ? mark_months(s, marks) : mark_steps(s, marks);
}

/* Whether two labels touch in a figure in which a unit across is so many pixels. */
static bool touch(const scale_box *a, const scale_box *b, double unit, double gap)
{
    const double apart = (a->x - b->x) * unit + a->shift - b->shift;
    return fabs(a->y - b->y) < LINE && apart < b->width + gap && -apart < a->width + gap;
}

static bool has_room(const scale_labels *labels, const scale_box *box, double unit, bool wide)
{
    const double begin = box->x * unit + box->shift;
    if (labels->stretched &&
        (begin < -labels->beyond || begin + box->width > 100 * unit + labels->beyond))
        return false;
    const double gap = wide ? 0 : NARROW_GAP;
    for (size_t i = 0; i < labels->count; i++)
        if ((wide || !labels->boxes[i].wide) && touch(&labels->boxes[i], box, unit, gap))
            return false;
    return true;
}

static scale_box box_at(double x, double y, scale_anchor anchor, size_t length)
{
    const double width = CHARACTER * (double)length + 3;
    const double shift = anchor == ANCHOR_START ? 0 : anchor == ANCHOR_END ? -width : -width / 2;
    return (scale_box){x, y, shift, width, false};
}

bool scale_label_narrow(scale_labels *labels, double x, double y, scale_anchor anchor,
                        size_t length)
{
    const scale_box box = box_at(x, y, anchor, length);
    const double narrow = labels->stretched ? SCALE_NARROW / 100 : 1;
    if (labels->count == SCALE_BOXES_MAX || !has_room(labels, &box, narrow, false))
        return false;
    labels->boxes[labels->count++] = box;
    return true;
}

scale_room scale_label(scale_labels *labels, double x, double y, scale_anchor anchor,
                       size_t length)
{
    scale_box box = box_at(x, y, anchor, length);
    const double wide = labels->stretched ? SCALE_WIDE / 100 : 1;
    const double narrow = labels->stretched ? SCALE_NARROW / 100 : 1;
    if (labels->count == SCALE_BOXES_MAX || !has_room(labels, &box, wide, true))
        return ROOM_NONE;
    box.wide = !has_room(labels, &box, narrow, false);
    labels->boxes[labels->count++] = box;
    return box.wide ? ROOM_WIDE : ROOM_ALL;
}

void scale_part(double *places, size_t count, double gap, double least, double most)
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
