/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "svg.h"

/* Places to a hundredth of a per cent, or a tenth of a pixel. */
static shown across(const svg *s, double x)
{
    return s->stretched ? shown_print("%s%%", shown_brief(x, 2).text) : shown_brief(x, 1);
}

static shown along(double y)
{
    return shown_brief(y, 1);
}

svg svg_begin(FILE *out, const svg_about *about)
{
    const svg s = {.out = out, .stretched = !(about->width > 0), .width = about->width,
                   .height = about->height};
    html_write(out, "<svg class=\"%s\" role=\"img\" aria-labelledby=\"%s-title\" "
                    "aria-describedby=\"%s-desc\" ", about->class, about->id, about->id);
    if (s.stretched)
        html_write(out, "height=\"%s\" style=\"--left:%s;--right:%s\"", along(s.height).text,
                   shown_print("%zu", about->left).text, shown_print("%zu", about->right).text);
    else
        html_write(out, "viewBox=\"0 0 %s %s\"", along(s.width).text, along(s.height).text);
    html_write(out, ">\n<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n",
               about->id, about->title, about->id, about->desc);
    return s;
}

void svg_end(svg *s)
{
    fputs("</svg>\n", s->out);
}

void svg_line(svg *s, const char *class, double x1, double y1, double x2, double y2)
{
    html_write(s->out, "<line class=\"%s\" x1=\"%s\" y1=\"%s\" x2=\"%s\" y2=\"%s\"/>\n", class,
               across(s, x1).text, along(y1).text, across(s, x2).text, along(y2).text);
}

void svg_dot(svg *s, const char *class, reseat_xy at, double radius)
{
    html_write(s->out, "<circle class=\"%s\" cx=\"%s\" cy=\"%s\" r=\"%s\"/>\n", class,
               across(s, at.x).text, along(at.y).text, along(radius).text);
}

void svg_rect(svg *s, const char *class, double x, double y, double width, double height)
{
    html_write(s->out, "<rect class=\"%s\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>\n",
               class, across(s, x).text, along(y).text, across(s, width).text, along(height).text);
}

void svg_text(svg *s, const char *class, double x, double y, double dx, const char *text)
{
    html_write(s->out, "<text class=\"%s\" x=\"%s\" y=\"%s\" dx=\"%s\">%s</text>\n", class,
               across(s, x).text, along(y).text, along(dx).text, text);
}

/* Places of a path cannot be per cent: it is drawn 100 wide in a frame that is stretched. */
void svg_path_begin(svg *s, const char *class)
{
    if (s->stretched)
        html_write(s->out, "<svg class=\"frame\" width=\"100%%\" preserveAspectRatio=\"none\" "
                           "height=\"%s\" viewBox=\"0 0 100 %s\">", along(s->height).text,
                   along(s->height).text);
    html_write(s->out, "<path class=\"%s\" d=\"", class);
}

void svg_path_to(svg *s, reseat_xy at, bool apart)
{
    html_write(s->out, "%s%s %s", apart ? "M" : "L", shown_brief(at.x, 2).text,
               shown_brief(at.y, 2).text);
}

void svg_path_end(svg *s)
{
    fputs(s->stretched ? "\"/></svg>\n" : "\"/>\n", s->out);
}

void svg_marks(FILE *out)
{
    static const struct {
        const char *name, *path;
    } shapes[] = {{"beyond", "M0-6.5L6.5 0L0 6.5L-6.5 0z"}, {"four", "M0-5.5L5.5 4.5L-5.5 4.5z"},
                  {"over", "M-4.5-4.5H4.5V4.5H-4.5z"}, {"cross", "M-8 0H8M0-8V8"}};
    fputs("<svg class=\"marks\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\n", out);
    for (size_t i = 0; i < sizeof shapes / sizeof shapes[0]; i++)
        html_write(out, "<path id=\"%s\" class=\"%s\" d=\"%s\"/>\n", shapes[i].name,
                   shapes[i].name, shapes[i].path);
    fputs("</defs></svg>\n", out);
}

void svg_mark(svg *s, const char *shape, reseat_xy at)
{
    html_write(s->out, "<use href=\"#%s\" x=\"%s\" y=\"%s\"/>\n", shape, across(s, at.x).text,
               along(at.y).text);
}
