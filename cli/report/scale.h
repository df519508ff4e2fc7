/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From values to places in a figure, and where labels go: drawing, no statistics. */
#ifndef RESEAT_CLI_SCALE_H
#define RESEAT_CLI_SCALE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "text.h"

/* Values from least to most are drawn from `from` to `to`. */
typedef struct scale {
    double least, most;
    double from, to;
} scale;

scale scale_begin(double value, double from, double to);
void scale_take(scale *s, double value); /* widens it to show a value */
void scale_pad(scale *s, double share);  /* leaves room at both ends, and where all is alike */
double scale_place(const scale *s, double value);

/* The least of 1, 2 and 5 times a power of ten that parts a span into at most `most` steps. */
double scale_step(double span, int most);

/* Marks of an axis of lengths in a unit. */
#define SCALE_MARKS_MAX 12
typedef struct scale_mark {
    double place;
    char text[TEXT_SIZE];
} scale_mark;
size_t scale_lengths(const scale *s, reseat_unit unit, int most, scale_mark *marks);
size_t scale_longest(const scale_mark *marks, size_t count); /* characters of a mark */

/* Marks of an axis of time; the scale is of seconds since 1970. */
size_t scale_times(const scale *s, scale_mark *marks);

/*
 * Where the labels of a figure are, so that none is put on another. As a stretched figure may be
 * as narrow as on a phone, a label that has room in a wide one only is told apart.
 */
typedef struct scale_box {
    double x, y;  /* what it belongs to, in units of the figure; its foot */
    double shift; /* its left end from there, pixels */
    double width;
    bool wide;    /* shown in a wide figure only */
} scale_box;

#define SCALE_NARROW 160.0 /* pixels of a stretched figure at the least ... */
#define SCALE_WIDE 500.0   /* ... and of one that shows what needs room */

typedef enum scale_room { ROOM_NONE, ROOM_WIDE, ROOM_ALL } scale_room;

#define SCALE_BOXES_MAX 128
typedef struct scale_labels {
    bool stretched;
    double beyond; /* pixels by which a label may go beyond the ends of the figure */
    size_t count;
    scale_box boxes[SCALE_BOXES_MAX];
} scale_labels;

/* Takes a place for a text of so many characters that ends in, is centred on, begins at x. */
typedef enum scale_anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END } scale_anchor;
scale_room scale_label(scale_labels *labels, double x, double y, scale_anchor anchor,
                       size_t length);

/* The same for one that is shown in a narrow figure only, in the place of a longer one. */
bool scale_label_narrow(scale_labels *labels, double x, double y, scale_anchor anchor,
                        size_t length);

/* Moves places, in any order, apart by at least a gap, as little as need be, within two bounds. */
void scale_part(double *places, size_t count, double gap, double least, double most);

#endif
