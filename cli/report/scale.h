/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From values to places in a figure, the marks of its axes, and where labels go: no statistics. */
#ifndef RESEAT_CLI_REPORT_SCALE_H
#define RESEAT_CLI_REPORT_SCALE_H

#include "figure.h"

/* Values from least to most are drawn from `from` to `to`. */
typedef struct scale {
    double least, most;
    double from, to;
} scale;

void scale_take(scale *s, double value); /* widens it to show a value */
void scale_pad(scale *s, double share);  /* leaves room at both ends, and where all is alike */
double scale_place(const scale *s, double value);

/* The least of 1, 2 and 5 times a power of ten that parts a span into at most `most` steps. */
double scale_step(double span, int most);

#define SCALE_MARKS_MAX 12
typedef struct scale_marks {
    size_t count;
    size_t longest; /* characters of a mark */
    struct scale_mark {
        double place;
        words label;
    } marks[SCALE_MARKS_MAX];
} scale_marks;

/* Adds a mark; what is beyond the most is left out. */
void scale_mark_add(scale_marks *marks, double place, const char *label);

/* Marks of an axis of lengths in a unit, and of one of time, in seconds since 1970. */
scale_marks scale_lengths(const scale *s, reseat_unit unit, int most);
scale_marks scale_times(const scale *s);

/*
 * Where the labels of a figure are. As a stretched figure may be as narrow as on a phone, a label
 * that has room in a wide one only is told apart.
 */
#define LABELS_MAX 128
typedef struct labels {
    bool stretched;
    double beyond; /* pixels by which a label may go beyond the ends of a stretched figure */
    size_t count;
    struct label_box {
        double x, y;  /* what it belongs to, in units of the figure; its foot */
        double shift; /* its left end from there, pixels */
        double width;
        bool wide;    /* shown in a wide figure only */
    } boxes[LABELS_MAX];
} labels;

#define LABELS_NARROW 160.0 /* pixels of a stretched figure at the least ... */
#define LABELS_WIDE 500.0   /* ... and of one that shows what needs room */

typedef enum label_room { ROOM_NONE, ROOM_WIDE, ROOM_ALL } label_room;
typedef enum label_anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END } label_anchor;

/*
 * Takes a place for a text of so many characters that begins at, is centred on, ends in x; with
 * `narrow`, for one that is shown in a narrow figure only, in the place of a longer one.
 */
label_room labels_take(labels *l, bool narrow, double x, double y, label_anchor anchor,
                       size_t length);

/* A text where labels_take found room; by dx pixels to the right of x. */
void labels_text(svg *s, const char *class, label_anchor anchor, label_room room, double x,
                 double y, double dx, const char *text);

/* Moves places, in any order, apart by at least a gap, as little as need be, within two bounds. */
void labels_part(double *places, size_t count, double gap, double least, double most);

/* Marks at the left of x, each with a line so long. */
void labels_left(svg *s, const scale_marks *marks, double x, double line);

/* Marks below y, their feet by so much lower; with labels, those alone that have room. */
void labels_below(svg *s, labels *l, const scale_marks *marks, double y, double foot);

#endif
