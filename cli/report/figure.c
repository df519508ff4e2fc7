/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "figure.h"

#include <stdarg.h>
#include <string.h>

svg figure_begin(const page *p, const svg_about *about, const char *caption)
{
    fprintf(p->out, "<figure id=\"%s-figure\" aria-labelledby=\"%s-name\">\n<figcaption>"
                    "<h3 id=\"%s-name\">", about->id, about->id, about->id);
    html_text(p->out, about->title);
    fputs("</h3>\n<p>", p->out);
    html_prose(p->out, caption);
    fputs("</p></figcaption>\n", p->out);
    return svg_begin(p->out, about);
}

void figure_end(const page *p)
{
    html_table_end(p->out);
    fputs("</figure>\n", p->out);
}

static void draw_sample(FILE *out, figure_sample sample, const char *class)
{
    switch (sample) {
    case SAMPLE_LINE:
        fprintf(out, "<line class=\"%s\" x1=\"0\" y1=\"8\" x2=\"26\" y2=\"8\"/>", class);
        break;
    case SAMPLE_DOT:
        fprintf(out, "<circle class=\"%s\" cx=\"13\" cy=\"8\" r=\"%s\"/>", class,
                strcmp(class, "newest") == 0 ? "7" : strcmp(class, "seat") == 0 ? "5" : "3");
        break;
    case SAMPLE_MARK: fprintf(out, "<use href=\"#%s\" x=\"13\" y=\"8\"/>", class); break;
    case SAMPLE_AREA:
        fprintf(out, "<rect class=\"%s\" x=\"0\" y=\"1\" width=\"26\" height=\"14\"/>", class);
        break;
    }
}

void figure_key(FILE *out, figure_sample sample, const char *class, const char *format, ...)
{
    char text[256];
    va_list values;
    va_start(values, format);
    vsnprintf(text, sizeof text, format, values);
    va_end(values);
    fputs("<li><svg aria-hidden=\"true\">", out);
    draw_sample(out, sample, class);
    fputs("</svg>", out);
    html_text(out, text);
    fputs("</li>\n", out);
}

shown figure_summary(const char *what, size_t drawn, size_t known)
{
    if (drawn < known)
        return shown_print("Data: %s of the %zu runs that are drawn, of %zu", what, drawn, known);
    return shown_print("Data: %s of %zu run%s", what, known, text_s(known));
}

const reseat_drift_point *figure_run(const page *p)
{
    const reseat_drift *drift = &p->outlook->drift;
    const uint64_t seq = (uint64_t)page_run(p);
    for (size_t i = drift->point_count; i-- > 0;)
        if (drift->points[i].seq == seq)
            return &drift->points[i];
    return NULL;
}

const reseat_drift_baseline *figure_latest(const page *p)
{
    const reseat_drift *drift = &p->outlook->drift;
    return &drift->baselines[drift->baseline_count - 1];
}
