/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Writes a figure as SVG inside a page, a primitive a call. Text stays text, and colours, weights
 * and dashes are the page's: a primitive names its class.
 *
 * A fixed figure is as large as it says and is scaled as a whole. A stretched one is as wide as the
 * page lets it be: its horizontal places are per cent of that width, its heights pixels, and
 * neither text nor marks are drawn out with it.
 */
#ifndef RESEAT_CLI_REPORT_SVG_H
#define RESEAT_CLI_REPORT_SVG_H

#include <stdbool.h>
#include "html.h"

typedef struct svg {
    FILE *out;
    bool stretched;
    double width, height;
} svg;

/* A figure: its name and what it shows, for a reader who does not see it, and how large it is. */
typedef struct svg_about {
    const char *id, *class;
    const char *title, *desc;
    double width, height; /* width 0: stretched ... */
    size_t left, right;   /* ... with room beside it for labels of so many characters */
} svg_about;

svg svg_begin(FILE *out, const svg_about *about);
void svg_end(svg *s);

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

#endif
