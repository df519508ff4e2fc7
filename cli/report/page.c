/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page from top to bottom: the verdict first, then what it rests on. */

#include "page.h"

#include <inttypes.h>
#include "../show/sentences.h"
#include "figure.h"

/* "baseline 2, after stylus-change 26: 19 runs, 27 to 49" */
static shown tell_baseline(const page *p, size_t baseline)
{
    const reseat_drift_baseline *b = &p->outlook->drift.baselines[baseline];
    const shown to = b->count > 1 ? shown_print(" to %" PRIu64, b->to_seq) : (shown){""};
    return shown_print("%s: %zu run%s, %" PRIu64 "%s", page_baseline(p, baseline).text, b->count,
                       words_s(b->count), b->from_seq, to.text);
}

/* Limits and trends of every baseline; each is named above its rows. */
static void write_limits(const page *p)
{
    const reseat_drift *drift = &p->outlook->drift;
    const reseat_unit unit = p->unit;
    html_table(p->out, shown_print("Limits and trends of each baseline, %s",
                                   reseat_unit_name(unit)).text,
               (const char *const[]){"baseline", "series", "mean", "sigma", "lower", "upper",
                                     "mean range", "upper range", "in 90 days", "p", NULL});
    for (size_t i = 0; i < drift->baseline_count; i++) {
        const reseat_drift_baseline *b = &drift->baselines[i];
        html_write(p->out, "<tr><th colspan=\"10\" scope=\"rowgroup\">%s%s\n",
                   tell_baseline(p, i).text, b->charted ? "" : "; too few for limits");
        for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
            const reseat_drift_chart *c = &b->charts[s];
            const bool trended = b->trended & 1u << s;
            if (!(b->charted & 1u << s))
                continue;
            html_row(p->out, (const char *const[]){
                shown_print("%zu", i + 1).text, reseat_series_name((reseat_series)s),
                words_length(c->mean, unit, 0).text, words_length(c->sigma, unit, 0).text,
                words_length(c->lower, unit, 0).text, words_length(c->upper, unit, 0).text,
                words_length(c->mr_mean, unit, 0).text, words_length(c->mr_upper, unit, 0).text,
                trended ? words_signed(b->trends[s].slope * 90, unit, 0).text : "",
                trended ? words_decimal(b->trends[s].p, 4).text : "", NULL});
        }
    }
    html_table_end(p->out);
}

/* Charts with their key and what is to be known of them: a narrow one numbers baselines alone. */
static void write_charts(page *p)
{
    const size_t baselines = p->outlook->drift.baseline_count;
    const unsigned notes = figure_latest(p)->notes;
    figure_keys(p, (const figure_key[]){
        {SAMPLE_DOT, "run", "run"},
        {SAMPLE_NEWEST, "newest", "newest run"},
        {SAMPLE_MARK, "beyond", "beyond 3 sigma"},
        {SAMPLE_MARK, "four", "four of five beyond 1 sigma on one side"},
        {SAMPLE_LINE, "mean", "mean"},
        {SAMPLE_LINE, "control", "control limits, 3 sigma"},
        {SAMPLE_LINE, "shop", p->answer ? "the shop's limit" : NULL},
        {SAMPLE_LINE, "cut", baselines > 1 ? "a baseline ends and another begins" : NULL},
        {.class = NULL}});
    fputs(baselines > 1 ? "<ul class=\"notes\">\n" : "", p->out);
    for (size_t i = 0; baselines > 1 && i < baselines; i++)
        html_write(p->out, "<li>%s</li>\n", tell_baseline(p, i).text);
    fputs(baselines > 1 ? "</ul>\n" : "", p->out);
    fputs(notes ? "<ul class=\"notes\">\n" : "", p->out);
    for (unsigned note = 0; note < RESEAT_DRIFT_NOTE_COUNT; note++)
        if (notes & 1u << note)
            html_write(p->out, "<li>%s</li>\n", reseat_drift_note_text((reseat_drift_note)note));
    fputs(notes ? "</ul>\n" : "", p->out);
    figure_charts(p);
}

static void write_runs(page *p)
{
    fputs("<h2>How the runs moved</h2>\n"
          "<p class=\"rule\">In true time, in the probe's frame: the seat's turn is taken off. "
          "Below each chart, by how much a run differs from the "
          "one before.</p>\n", p->out);
    write_charts(p);
    write_limits(p);
    fputs("<h2>Where it lies, and what a turn does</h2>\n<div class=\"pair\">\n", p->out);
    figure_target(p);
    if (p->answer) {
        figure_turn(p);
        figure_budget(p);
    }
    figure_radius(p);
    fputs("</div>\n", p->out);
}

reseat_status page_write(page *p, reseat_error *error)
{
    FILE *out = p->out;
    fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
          "<meta http-equiv=\"Content-Security-Policy\" "
          "content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
          "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n", out);
    html_write(out, "<title>%s: %s</title>\n", p->log.spindle,
               p->answer ? verdict_word(p->answer) : "no verdict");
    page_style(out);
    fputs("</head>\n<body>\n<main>\n", out);
    svg_marks(out);
    page_head(p);
    if (p->outlook)
        write_runs(p);
    if (p->status == RESEAT_OK)
        page_records(p, error);
    fputs("<h2>Cautions</h2>\n<ul class=\"notes\">\n", out);
    for (size_t i = 0; cautions()[i]; i++)
        fprintf(out, "<li>%s</li>\n", cautions()[i]);
    fputs("</ul>\n</main>\n</body>\n</html>\n", out);
    return p->status;
}
