/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The markup of a page: texts, tables, and figures as SVG. */

#include "figure.h"

#include <stdarg.h>
#include <string.h>

shown shown_print(const char *format, ...)
{
    shown s = {""};
    va_list values;
    va_start(values, format);
    vsnprintf(s.text, sizeof s.text, format, values);
    va_end(values);
    return s;
}

shown shown_minute(int64_t at)
{
    const words time = words_time(at);
    return shown_print("%.10s %.5s", time.text, time.text[0] ? time.text + 11 : "");
}

void html_write(FILE *out, const char *markup, ...)
{
    va_list texts;
    va_start(texts, markup);
    for (const char *at = markup; *at; at++) {
        if (*at != '%') {
            putc(*at, out);
        } else if (*++at == 's') {
            const char *text = va_arg(texts, void *);
            text_put(out, reseat_text_html, text, strlen(text));
        } else {
            putc('%', out);
        }
    }
    va_end(texts);
}

/* Whether a text goes on with a unit, as a word of its own. */
static bool begins_with_unit(const char *text)
{
    static const char *const units[] = {"%", "mm", "um", "in"};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        const size_t length = strlen(units[i]);
        const char next = strncmp(text, units[i], length) == 0 ? text[length] : 'x';
        if (!(next >= 'a' && next <= 'z'))
            return true;
    }
    return false;
}

void html_prose(FILE *out, const char *text)
{
    const char *begin = text;
    for (const char *at = text; *at; at++) {
        if (*at != ' ' || at == text || at[-1] < '0' || at[-1] > '9' || !begins_with_unit(at + 1))
            continue;
        text_put(out, reseat_text_html, begin, (size_t)(at - begin));
        fputs("&nbsp;", out);
        begin = at + 1;
    }
    html_write(out, "%s", begin);
}

void html_table(FILE *out, const char *summary, const char *columns)
{
    html_write(out, "<details><summary>%s</summary>\n<div class=\"scroll\" role=\"region\" "
                    "tabindex=\"0\" aria-label=\"%s\"><table aria-label=\"%s\"><thead><tr>",
               summary, summary, summary);
    for (size_t length; *columns; columns += length + (columns[length] == '|')) {
        length = strcspn(columns, "|");
        fprintf(out, "<th scope=\"col\">%.*s", (int)length, columns);
    }
    fputs("</thead>\n<tbody>\n", out);
}

void html_table_end(FILE *out)
{
    fputs("</tbody></table></div></details>\n", out);
}

/* Places to a hundredth of a per cent, or a tenth of a pixel. */
static shown across(const svg *s, double x)
{
    return shown_print("%s%s", words_brief(x, s->stretched ? 2 : 1).text, s->stretched ? "%" : "");
}

static words along(double y)
{
    return words_brief(y, 1);
}

svg figure_begin(const page *p, const svg_about *about, const char *caption)
{
    FILE *out = p->out;
    const shown id = p->part > 0 ? shown_print("%s-%zu", about->id, p->part + 1)
                                 : shown_print("%s", about->id);
    const shown title = page_titled(p, about->title);
    const svg s = {.out = out, .stretched = !(about->width > 0), .width = about->width,
                   .height = about->height};
    html_write(out, "<figure id=\"%s-figure\" aria-labelledby=\"%s-name\">\n<div class=\"drawn\">"
                    "<figcaption><h3 id=\"%s-name\">%s</h3>\n<p>", id.text, id.text, id.text,
               title.text);
    html_prose(out, caption);
    html_write(out, "</p></figcaption>\n<svg class=\"%s\" role=\"img\" "
                    "aria-labelledby=\"%s-title\" aria-describedby=\"%s-desc\" ",
               s.stretched ? "chart" : "square", id.text, id.text);
    if (s.stretched)
        fprintf(out, "height=\"%s\" style=\"--left:%zu;--right:%zu\"", along(s.height).text,
                about->left, about->right);
    else
        fprintf(out, "viewBox=\"0 0 %s %s\"", along(s.width).text, along(s.height).text);
    html_write(out, ">\n<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n",
               id.text, title.text, id.text, about->desc);
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
    html_write(s->out, "%s%s %s", apart ? "M" : "L", words_brief(at.x, 2).text,
               words_brief(at.y, 2).text);
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

void figure_data(const page *p, const char *summary, const char *columns)
{
    fputs("</div>\n", p->out);
    html_table(p->out, page_titled(p, summary).text, columns);
}

void figure_end(const page *p)
{
    html_table_end(p->out);
    fputs("</figure>\n", p->out);
}

void figure_keys(const page *p, const figure_key *keys)
{
    static const char *const samples[] = {
        [SAMPLE_LINE] = "line class=\"%s\" x1=\"0\" y1=\"8\" x2=\"26\" y2=\"8\"",
        [SAMPLE_DOT] = "circle class=\"%s\" cx=\"13\" cy=\"8\" r=\"3\"",
        [SAMPLE_SEAT] = "circle class=\"%s\" cx=\"13\" cy=\"8\" r=\"5\"",
        [SAMPLE_NEWEST] = "circle class=\"%s\" cx=\"13\" cy=\"8\" r=\"7\"",
        [SAMPLE_MARK] = "use href=\"#%s\" x=\"13\" y=\"8\"",
        [SAMPLE_AREA] = "rect class=\"%s\" x=\"0\" y=\"1\" width=\"26\" height=\"14\""};
    fputs("<ul class=\"key\">\n", p->out);
    for (; keys->class; keys++) {
        if (!keys->text)
            continue;
        fputs("<li><svg aria-hidden=\"true\"><", p->out);
        html_write(p->out, samples[keys->sample], keys->class);
        html_write(p->out, "/></svg>%s</li>\n", keys->text);
    }
    fputs("</ul>\n", p->out);
}

shown figure_summary(const char *what, size_t drawn, size_t known)
{
    if (drawn < known)
        return shown_print("Data: %s of the %zu runs that are drawn, of %zu", what, drawn, known);
    return shown_print("Data: %s of %zu run%s", what, known, words_s(known));
}

const reseat_drift_point *figure_point(const page *p, uint64_t seq)
{
    const reseat_drift *drift = &p->outlook->drift;
    for (size_t i = 0; i < drift->point_count; i++)
        if (drift->points[i].seq == seq)
            return &drift->points[i];
    return NULL;
}

const reseat_drift_baseline *figure_latest(const page *p)
{
    const reseat_drift *drift = &p->outlook->drift;
    return &drift->baselines[drift->baseline_count - 1];
}
