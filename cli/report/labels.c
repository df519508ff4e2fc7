/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "labels.h"

#include <math.h>
#include <string.h>

#define CHARACTER 7.7 /* pixels of a character, and of a line, at the size of labels */
#define LINE 13.0
#define NARROW_GAP 8.0 /* between labels of a narrow figure, whose points are close */

/* Whether two labels touch in a figure in which a unit across is so many pixels. */
static bool touch(const struct label_box *a, const struct label_box *b, double unit, double gap)
{
    const double apart = (a->x - b->x) * unit + a->shift - b->shift;
    return fabs(a->y - b->y) < LINE && apart < b->width + gap && -apart < a->width + gap;
}

static bool has_room(const labels *l, const struct label_box *box, bool wide)
{
    const double unit = !l->stretched ? 1 : wide ? LABELS_WIDE / 100 : LABELS_NARROW / 100;
    const double begin = box->x * unit + box->shift;
    if (l->count == LABELS_MAX || (l->stretched && (begin < -l->beyond ||
                                   begin + box->width > 100 * unit + l->beyond)))
        return false;
    for (size_t i = 0; i < l->count; i++)
        if ((wide || !l->boxes[i].wide) && touch(&l->boxes[i], box, unit, wide ? 0 : NARROW_GAP))
            return false;
    return true;
}

static struct label_box box_at(double x, double y, label_anchor anchor, size_t length)
{
    const double width = CHARACTER * (double)length + 3;
    const double shift = anchor == ANCHOR_START ? 0 : anchor == ANCHOR_END ? -width : -width / 2;
    return (struct label_box){x, y, shift, width, false};
}

bool labels_take_narrow(labels *l, double x, double y, label_anchor anchor, size_t length)
{
    const struct label_box box = box_at(x, y, anchor, length);
    const bool taken = has_room(l, &box, false);
    if (taken)
        l->boxes[l->count++] = box;
    return taken;
}

label_room labels_take(labels *l, double x, double y, label_anchor anchor, size_t length)
{
    struct label_box box = box_at(x, y, anchor, length);
    if (!has_room(l, &box, true))
        return ROOM_NONE;
    box.wide = !has_room(l, &box, false);
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

/* Whether half of a text fits between a place and the right end of a fixed figure. */
static bool fits(const svg *s, double x, size_t length)
{
    return s->stretched || x + 3.5 * (double)length < s->width;
}

void labels_below(svg *s, labels *l, const scale_marks *marks, double y, double foot)
{
    for (size_t i = 0; i < marks->count; i++) {
        const double x = marks->marks[i].place;
        const char *text = marks->marks[i].label.text;
        svg_line(s, "axis", x, y, x, y + 5);
        const label_room room = l ? labels_take(l, x, y + foot, ANCHOR_MIDDLE, strlen(text) + 1)
                                  : ROOM_ALL;
        if (fits(s, x, strlen(text)))
            labels_text(s, "", ANCHOR_MIDDLE, room, x, y + foot, 0, text);
    }
}
