/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From values to places in a figure, and the marks of an axis: no statistics. */
#ifndef RESEAT_CLI_REPORT_SCALE_H
#define RESEAT_CLI_REPORT_SCALE_H

#include "shown.h"

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

#define SCALE_MARKS_MAX 12
typedef struct scale_marks {
    size_t count;
    size_t longest; /* characters of a mark */
    struct scale_mark {
        double place;
        shown label;
    } marks[SCALE_MARKS_MAX];
} scale_marks;

/* Adds a mark; what is beyond the most is left out. */
void scale_mark_add(scale_marks *marks, double place, shown label);

/* Marks of an axis of lengths in a unit, and of one of time, in seconds since 1970. */
scale_marks scale_lengths(const scale *s, reseat_unit unit, int most);
scale_marks scale_times(const scale *s);

#endif
