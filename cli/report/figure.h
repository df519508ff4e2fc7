/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The figures of a page, and what they are drawn with. */
#ifndef RESEAT_CLI_REPORT_FIGURE_H
#define RESEAT_CLI_REPORT_FIGURE_H

#include "page.h"

void figure_charts(page *p);
void figure_target(const page *p);
void figure_turn(const page *p);
void figure_budget(const page *p);
void figure_radius(const page *p);

/*
 * A figure as SVG inside a page, a primitive a call. Text stays text, and colours, weights and
 * dashes are the page's: a primitive names its class.
 *
 * A fixed figure is as large as it says and is scaled as a whole. A stretched one is as wide as the
 * page lets it be: its horizontal places are per cent of that width, its heights pixels, and
 * neither text nor marks are drawn out with it.
 */
typedef struct svg {
    FILE *out;
    bool stretched;
    double width, height;
} svg;

/* Its name and what it shows, for a reader who does not see it, and how large it is. */
typedef struct svg_about {
    const char *id, *title, *desc;
    double width, height; /* width 0: stretched ... */
    size_t left, right;   /* ... with room beside it for labels of so many characters */
} svg_about;

/*
 * A figure is begun with its name and a caption, and drawn up to svg_end; then comes its key, if it
 * has one; its data by figure_data, a table as html_table writes it, and a row each; and its end.
 */
svg figure_begin(const page *p, const svg_about *about, const char *caption);
void svg_end(svg *s);
void figure_data(const page *p, const char *summary, const char *columns);
void figure_end(const page *p);

void svg_line(svg *s, const char *class, double x1, double y1, double x2, double y2);
void svg_dot(svg *s, const char *class, reseat_xy at, double radius);
void svg_rect(svg *s, const char *class, double x, double y, double width, double height);

/* Text with its foot at y, moved to the right by dx pixels from x. */
void svg_text(svg *s, const char *class, double x, double y, double dx, const char *text);

/* A line through places: each call goes on, or sets out anew where `apart`, as the first must. */
void svg_path_begin(svg *s, const char *class);
void svg_path_to(svg *s, reseat_xy at, bool apart);
void svg_path_end(svg *s);

/* Shapes: "beyond", "four", "over", "cross". svg_marks, once a page, before any is used. */
void svg_marks(FILE *out);
void svg_mark(svg *s, const char *shape, reseat_xy at);

/*
 * A key: samples of lines, dots and marks by their classes, and what they mean. One without a
 * meaning is left out, one without a class is the last.
 */
typedef struct figure_key {
    enum { SAMPLE_LINE, SAMPLE_DOT, SAMPLE_SEAT, SAMPLE_NEWEST, SAMPLE_MARK, SAMPLE_AREA } sample;
    const char *class, *text;
} figure_key;
void figure_keys(const page *p, const figure_key *keys);

/* "Data: X and Y of 12 runs", and how many of them are drawn, where that is fewer. */
shown figure_summary(const char *what, size_t drawn, size_t known);

/* The point of a run; NULL where there is none. */
const reseat_drift_point *figure_point(const page *p, uint64_t seq);

/* The baseline that the newest run belongs to. */
const reseat_drift_baseline *figure_latest(const page *p);

/* From values to places in a figure, the marks of its axes, and where labels go. */

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
