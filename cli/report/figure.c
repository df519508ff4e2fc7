/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "figure.h"

svg figure_begin(const page *p, const svg_about *about, const char *caption)
{
    html_write(p->out, "<figure id=\"%s-figure\" aria-labelledby=\"%s-name\">\n<figcaption>"
                       "<h3 id=\"%s-name\">%s</h3>\n<p>", about->id, about->id, about->id,
               about->title);
    html_prose(p->out, caption);
    fputs("</p></figcaption>\n", p->out);
    return svg_begin(p->out, about);
}

void figure_end(const page *p)
{
    html_table_end(p->out);
    fputs("</figure>\n", p->out);
}

void figure_key_begin(FILE *out)
{
    fputs("<ul class=\"key\">\n", out);
}

void figure_key(FILE *out, figure_sample sample, const char *class, const char *text)
{
    static const char *const samples[] = {
        [SAMPLE_LINE] = "line class=\"%s\" x1=\"0\" y1=\"8\" x2=\"26\" y2=\"8\"",
        [SAMPLE_DOT] = "circle class=\"%s\" cx=\"13\" cy=\"8\" r=\"3\"",
        [SAMPLE_SEAT] = "circle class=\"%s\" cx=\"13\" cy=\"8\" r=\"5\"",
        [SAMPLE_NEWEST] = "circle class=\"%s\" cx=\"13\" cy=\"8\" r=\"7\"",
        [SAMPLE_MARK] = "use href=\"#%s\" x=\"13\" y=\"8\"",
        [SAMPLE_AREA] = "rect class=\"%s\" x=\"0\" y=\"1\" width=\"26\" height=\"14\""};
    fputs("<li><svg aria-hidden=\"true\"><", out);
    html_write(out, samples[sample], class);
    html_write(out, "/></svg>%s</li>\n", text);
}

void figure_key_end(FILE *out)
{
    fputs("</ul>\n", out);
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
