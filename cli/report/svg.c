/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "svg.h"

#include "html.h"

#define FULL_WIDTH 100.0 /* of a stretched figure, in per cent */

static const char *const shape_names[SVG_SHAPE_COUNT] = {"beyond", "four", "over", "cross"};

/* Places to a hundredth of a per cent, or a tenth of a pixel. */
static void across(svg *s, const char *name, double x)
{
    fprintf(s->out, " %s=\"", name);
    html_number(s->out, x, s->stretched ? 2 : 1);
    fputs(s->stretched ? "%\"" : "\"", s->out);
}

static void along(svg *s, const char *name, double y)
{
    fprintf(s->out, " %s=\"", name);
    html_number(s->out, y, 1);
    fputs("\"", s->out);
}

/* An element as far as its place; its other attributes and its end follow. */
static void begin(svg *s, const char *element, const char *class, const char *x_name, double x,
                  const char *y_name, double y)
{
    fprintf(s->out, "<%s class=\"%s\"", element, class);
    across(s, x_name, x);
    along(s, y_name, y);
}

static void end(svg *s)
{
    fputs("/>\n", s->out);
}

static void view_box(svg *s, double width)
{
    fputs(" viewBox=\"0 0 ", s->out);
    html_number(s->out, width, 1);
    fputs(" ", s->out);
    html_number(s->out, s->height, 1);
    fputs("\"", s->out);
}

svg svg_begin(FILE *out, const svg_about *about)
{
    svg s = {.out = out, .stretched = !(about->width > 0), .width = about->width,
             .height = about->height};
    fprintf(out, "<svg class=\"%s\" role=\"img\" aria-labelledby=\"%s-title\" "
                 "aria-describedby=\"%s-desc\"", about->class, about->id, about->id);
    if (s.stretched) {
        along(&s, "height", s.height);
        fprintf(out, " style=\"--left:%zu;--right:%zu\"", about->left, about->right);
    } else {
        view_box(&s, s.width);
    }
    fprintf(out, ">\n<title id=\"%s-title\">", about->id);
    html_text(out, about->title);
    fprintf(out, "</title>\n<desc id=\"%s-desc\">", about->id);
    html_text(out, about->desc);
    fputs("</desc>\n", out);
    return s;
}

void svg_end(svg *s)
{
    fputs("</svg>\n", s->out);
}

void svg_line(svg *s, const char *class, double x1, double y1, double x2, double y2)
{
    begin(s, "line", class, "x1", x1, "y1", y1);
    across(s, "x2", x2);
    along(s, "y2", y2);
    end(s);
}

void svg_dot(svg *s, const char *class, double x, double y, double radius)
{
    begin(s, "circle", class, "cx", x, "cy", y);
    along(s, "r", radius);
    end(s);
}

void svg_rect(svg *s, const char *class, double x, double y, double width, double height)
{
    begin(s, "rect", class, "x", x, "y", y);
    across(s, "width", width);
    along(s, "height", height);
    end(s);
}

void svg_text(svg *s, const char *class, double x, double y, double dx, const char *text)
{
    begin(s, "text", class, "x", x, "y", y);
    along(s, "dx", dx);
    fputs(">", s->out);
    html_text(s->out, text);
    fputs("</text>\n", s->out);
}

/* Places of a path cannot be per cent: it is drawn 100 wide in a frame that is stretched. */
void svg_path_begin(svg *s, const char *class)
{
    if (s->stretched) {
        fprintf(s->out, "<svg class=\"frame\" width=\"100%%\" preserveAspectRatio=\"none\"");
        along(s, "height", s->height);
        view_box(s, FULL_WIDTH);
        fputs(">", s->out);
    }
    fprintf(s->out, "<path class=\"%s\" d=\"", class);
    s->joined = false;
}

void svg_path_to(svg *s, double x, double y, bool apart)
{
    fputs(apart || !s->joined ? "M" : "L", s->out);
    html_number(s->out, x, 2);
    fputs(" ", s->out);
    html_number(s->out, y, 2);
    s->joined = true;
}

void svg_path_end(svg *s)
{
    fputs(s->stretched ? "\"/></svg>\n" : "\"/>\n", s->out);
}

void svg_marks(FILE *out)
{
    static const char *const paths[SVG_SHAPE_COUNT] = {
        "M0-6.5L6.5 0L0 6.5L-6.5 0z", "M0-5.5L5.5 4.5L-5.5 4.5z", "M-4.5-4.5H4.5V4.5H-4.5z",
        "M-8 0H8M0-8V8"};
    fputs("<svg class=\"marks\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\n", out);
    for (int i = 0; i < SVG_SHAPE_COUNT; i++)
        fprintf(out, "<path id=\"%s\" class=\"%s\" d=\"%s\"/>\n", shape_names[i], shape_names[i],
                paths[i]);
    fputs("</defs></svg>\n", out);
}

void svg_mark(svg *s, svg_shape shape, double x, double y)
{
    fprintf(s->out, "<use href=\"#%s\"", shape_names[shape]);
    across(s, "x", x);
    along(s, "y", y);
    end(s);
}
