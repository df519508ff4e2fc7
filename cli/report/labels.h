/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What is written in a figure, so that no label is put on another; and the marks of its axes. */
#ifndef RESEAT_CLI_REPORT_LABELS_H
#define RESEAT_CLI_REPORT_LABELS_H

#include "scale.h"
#include "svg.h"

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

/* Takes a place for a text of so many characters that begins at, is centred on, ends in x. */
label_room labels_take(labels *l, double x, double y, label_anchor anchor, size_t length);

/* The same for one that is shown in a narrow figure only, in the place of a longer one. */
bool labels_take_narrow(labels *l, double x, double y, label_anchor anchor, size_t length);

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
