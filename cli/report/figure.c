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
