/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page from top to bottom: the verdict first, then what it rests on. */

#include "page.h"

#include <inttypes.h>
#include "../show/cautions.h"
#include "figure.h"

static void write_charts_key(const page *p)
{
    figure_keys(p, (const figure_key[]){
        {SAMPLE_DOT, "run", "run"},
        {SAMPLE_NEWEST, "newest", "newest run"},
        {SAMPLE_MARK, "beyond", "beyond 3 sigma"},
        {SAMPLE_MARK, "four", "four of five beyond 1 sigma on one side"},
        {SAMPLE_LINE, "mean", "mean"},
        {SAMPLE_LINE, "control", "control limits, 3 sigma"},
        {SAMPLE_LINE, "shop", p->answer ? "the shop's limit" : NULL},
        {SAMPLE_LINE, "cut", p->outlook->drift.baseline_count > 1
                                 ? "a baseline ends and another begins" : NULL},
        {.class = NULL}});
}

/* "baseline 2, after stylus-change 26: 19 runs, 27 to 49" */
static shown tell_baseline(const page *p, size_t baseline)
{
    const reseat_drift_baseline *b = &p->outlook->drift.baselines[baseline];
    const shown to = b->count > 1 ? shown_print(" to %" PRIu64, b->to_seq) : (shown){""};
    return shown_print("%s: %zu run%s, %" PRIu64 "%s", page_baseline(p, baseline).text, b->count,
                       words_s(b->count), b->from_seq, to.text);
}

/* What each baseline is called: in a narrow chart there is room for its number alone. */
static void write_baselines(const page *p)
{
    const size_t count = p->outlook->drift.baseline_count;
    if (count < 2)
        return;
    fputs("<ul class=\"notes\">\n", p->out);
    for (size_t i = 0; i < count; i++)
        html_write(p->out, "<li>%s</li>\n", tell_baseline(p, i).text);
    fputs("</ul>\n", p->out);
}

static void write_notes(const page *p)
{
    const unsigned notes = figure_latest(p)->notes;
    if (notes == 0)
        return;
    fputs("<ul class=\"notes\">\n", p->out);
    for (unsigned note = 0; note < RESEAT_DRIFT_NOTE_COUNT; note++)
        if (notes & 1u << note)
            html_write(p->out, "<li>%s</li>\n", reseat_drift_note_text((reseat_drift_note)note));
    fputs("</ul>\n", p->out);
}

static void write_limits_row(const page *p, size_t baseline, int s)
{
    const reseat_drift_baseline *b = &p->outlook->drift.baselines[baseline];
    const reseat_drift_chart *c = &b->charts[s];
    const reseat_unit unit = p->unit;
    const bool trended = b->trended & 1u << s;
    html_row(p->out, (const char *const[]){
        shown_print("%zu", baseline + 1).text, reseat_series_name((reseat_series)s),
        reseat_words_length(c->mean, unit, 0).text, reseat_words_length(c->sigma, unit, 0).text,
        reseat_words_length(c->lower, unit, 0).text, reseat_words_length(c->upper, unit, 0).text,
        reseat_words_length(c->mr_mean, unit, 0).text,
        reseat_words_length(c->mr_upper, unit, 0).text,
        trended ? words_signed(b->trends[s].slope * 90, unit, 0).text : "",
        trended ? reseat_words_number(b->trends[s].p, 4).text : "", NULL});
}

/* Limits and trends of every baseline; each is named above its rows. */
static void write_limits(const page *p)
{
    const reseat_drift *drift = &p->outlook->drift;
    html_table(p->out, shown_print("Limits and trends of each baseline, %s",
                                   reseat_unit_name(p->unit)).text,
               (const char *const[]){"baseline", "series", "mean", "sigma", "lower", "upper",
                                     "mean range", "upper range", "in 90 days", "p", NULL});
    for (size_t i = 0; i < drift->baseline_count; i++) {
        const unsigned charted = drift->baselines[i].charted;
        html_write(p->out, "<tr><th colspan=\"10\" scope=\"rowgroup\">%s%s\n",
                   tell_baseline(p, i).text, charted ? "" : "; too few for limits");
        for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
            if (charted & 1u << s)
                write_limits_row(p, i, s);
    }
    html_table_end(p->out);
}

static void write_pair(const page *p)
{
    fputs("<h2>Where it lies, and what a turn does</h2>\n<div class=\"pair\">\n", p->out);
    figure_target(p);
    if (p->answer) {
        figure_turn(p);
        figure_budget(p);
    }
    figure_radius(p);
    fputs("</div>\n", p->out);
}

static void write_runs(page *p)
{
    fputs("<h2>How the runs moved</h2>\n"
          "<p class=\"rule\">In true time, in the probe's frame: the seat's turn is taken off. "
          "Below each chart, by how much a run differs from the "
          "one before.</p>\n", p->out);
    write_charts_key(p);
    write_baselines(p);
    write_notes(p);
    figure_charts(p);
    write_limits(p);
    write_pair(p);
}

static void write_cautions(FILE *out)
{
    fputs("<h2>Cautions</h2>\n<ul class=\"notes\">\n", out);
    for (size_t i = 0; cautions()[i]; i++)
        fprintf(out, "<li>%s</li>\n", cautions()[i]);
    fputs("</ul>\n", out);
}

reseat_status page_write(page *p, reseat_error *error)
{
    FILE *out = p->out;
    fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
          "<meta http-equiv=\"Content-Security-Policy\" "
          "content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
          "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n", out);
    html_write(out, "<title>%s: %s</title>\n", p->spindle,
               p->answer ? reseat_verdict_name(p->answer) : "no verdict");
    page_style(out);
    fputs("</head>\n<body>\n<main>\n", out);
    svg_marks(out);
    page_head(p);
    if (p->outlook)
        write_runs(p);
    if (p->status == RESEAT_OK)
        page_records(p, error);
    write_cautions(out);
    fputs("</main>\n</body>\n</html>\n", out);
    return p->status;
}
