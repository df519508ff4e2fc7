/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "svg.h"

#include "html.h"

#define FULL_WIDTH 100 /* of a stretched figure, in per cent */

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

svg svg_begin(FILE *out, const char *class, const svg_about *about, const svg_size *size)
{
    svg s = {.out = out, .stretched = !(size->width > 0), .height = size->height};
    fprintf(out, "<svg class=\"%s\" role=\"img\" aria-labelledby=\"%s-title\" "
                 "aria-describedby=\"%s-desc\"", class, about->id, about->id);
    if (s.stretched) {
        along(&s, "height", size->height);
        fprintf(out, " style=\"--left:%zu;--right:%zu\"", size->left, size->right);
    } else {
        fputs(" viewBox=\"0 0 ", out);
        html_number(out, size->width, 1);
        fputs(" ", out);
        html_number(out, size->height, 1);
        fputs("\"", out);
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
    fprintf(s->out, "<line class=\"%s\"", class);
    across(s, "x1", x1);
    along(s, "y1", y1);
    across(s, "x2", x2);
    along(s, "y2", y2);
    fputs("/>\n", s->out);
}

void svg_dot(svg *s, const char *class, double x, double y, double radius)
{
    fprintf(s->out, "<circle class=\"%s\"", class);
    across(s, "cx", x);
    along(s, "cy", y);
    along(s, "r", radius);
    fputs("/>\n", s->out);
}

void svg_rect(svg *s, const char *class, double x, double y, double width, double height)
{
    fprintf(s->out, "<rect class=\"%s\"", class);
    across(s, "x", x);
    along(s, "y", y);
    across(s, "width", width);
    along(s, "height", height);
    fputs("/>\n", s->out);
}

void svg_text(svg *s, const char *class, double x, double y, double dx, const char *text)
{
    fprintf(s->out, "<text class=\"%s\"", class);
    across(s, "x", x);
    along(s, "y", y);
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
        fprintf(s->out, " viewBox=\"0 0 %d ", FULL_WIDTH);
        html_number(s->out, s->height, 1);
        fputs("\">", s->out);
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
    fputs("/>\n", s->out);
}
