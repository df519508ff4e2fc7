/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page from top to bottom: the verdict first, then what it rests on. */

#include "page.h"

#include <inttypes.h>
#include <string.h>
#include "html.h"
#include "svg.h"

void page_figure(FILE *out, const char *id, const char *title, const char *caption)
{
    fprintf(out, "<figure id=\"%s-figure\" aria-labelledby=\"%s-name\">\n<figcaption>"
                 "<h3 id=\"%s-name\">", id, id, id);
    html_text(out, title);
    fputs("</h3>\n<p>", out);
    html_prose(out, caption);
    fputs("</p></figcaption>\n", out);
}

void page_data(FILE *out, const char *summary, const char *const *columns, size_t count)
{
    fputs("<details><summary>", out);
    html_text(out, summary);
    fputs("</summary>\n<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"", out);
    html_text(out, summary);
    fputs("\"><table aria-label=\"", out);
    html_text(out, summary);
    fputs("\"><thead><tr>", out);
    for (size_t i = 0; i < count; i++) {
        fputs("<th scope=\"col\">", out);
        html_text(out, columns[i]);
    }
    fputs("</thead>\n<tbody>\n", out);
}

void page_figure_end(FILE *out)
{
    fputs("</tbody></table></div></details>\n</figure>\n", out);
}

void page_key(FILE *out, page_sample sample, const char *class, const char *text)
{
    fputs("<li><svg aria-hidden=\"true\">", out);
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
    fputs("</svg>", out);
    html_text(out, text);
    fputs("</li>\n", out);
}

const char *page_baseline(const page *p, size_t baseline, char *out, size_t size)
{
    const uint64_t seq = p->outlook->drift.baselines[baseline].begun_by_seq;
    const char *kind = "event";
    for (size_t i = 0; i < p->log->event_count; i++)
        if ((uint64_t)p->log->events[i].seq == seq)
            kind = p->log->events[i].kind;
    if (seq == 0)
        snprintf(out, size, "baseline %zu", baseline + 1);
    else
        snprintf(out, size, "baseline %zu, after %s %" PRIu64, baseline + 1, kind, seq);
    return out;
}

static void write_charts_key(const page *p)
{
    FILE *out = p->out;
    fputs("<ul class=\"key\">\n", out);
    page_key(out, SAMPLE_DOT, "run", "run");
    page_key(out, SAMPLE_DOT, "newest", "newest run");
    page_key(out, SAMPLE_MARK, "beyond", "beyond 3 sigma");
    page_key(out, SAMPLE_MARK, "four", "four of five beyond 1 sigma on one side");
    page_key(out, SAMPLE_LINE, "mean", "mean");
    page_key(out, SAMPLE_LINE, "control", "control limits, 3 sigma");
    if (p->answer)
        page_key(out, SAMPLE_LINE, "shop", "the shop's limit");
    if (p->outlook->drift.baseline_count > 1)
        page_key(out, SAMPLE_LINE, "cut", "a baseline ends and another begins");
    fputs("</ul>\n", out);
}

/* "baseline 2, after stylus-change 26: 19 runs, 27 to 49" */
static void write_baseline(const page *p, size_t baseline)
{
    char name[96];
    const reseat_drift_baseline *b = &p->outlook->drift.baselines[baseline];
    html_print(p->out, "%s: %zu run%s, %" PRIu64, page_baseline(p, baseline, name, sizeof name),
               b->count, text_s(b->count), b->from_seq);
    if (b->count > 1)
        html_print(p->out, " to %" PRIu64, b->to_seq);
}

/* What each baseline is called: in a narrow chart there is room for its number alone. */
static void write_baselines(const page *p)
{
    const reseat_drift *drift = &p->outlook->drift;
    if (drift->baseline_count < 2)
        return;
    fputs("<ul class=\"notes\">\n", p->out);
    for (size_t i = 0; i < drift->baseline_count; i++) {
        fputs("<li>", p->out);
        write_baseline(p, i);
        fputs("</li>\n", p->out);
    }
    fputs("</ul>\n", p->out);
}

static void write_notes(const page *p)
{
    const reseat_drift *drift = &p->outlook->drift;
    const unsigned notes = drift->baselines[drift->baseline_count - 1].notes;
    if (notes == 0)
        return;
    fputs("<ul class=\"notes\">\n", p->out);
    for (unsigned note = 0; note < RESEAT_DRIFT_NOTE_COUNT; note++) {
        if (!(notes & 1u << note))
            continue;
        fputs("<li>", p->out);
        html_text(p->out, reseat_drift_note_text((reseat_drift_note)note));
        fputs("</li>\n", p->out);
    }
    fputs("</ul>\n", p->out);
}

static void write_limits_row(const page *p, size_t baseline, int s)
{
    const reseat_drift_baseline *b = &p->outlook->drift.baselines[baseline];
    const reseat_drift_chart *c = &b->charts[s];
    const double values[] = {c->mean, c->sigma, c->lower, c->upper, c->mr_mean, c->mr_upper};
    char text[TEXT_SIZE], number[RESEAT_NUMBER_SIZE] = "";
    fprintf(p->out, "<tr><td>%zu<td>%s", baseline + 1, reseat_series_name((reseat_series)s));
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)
        html_cell(p->out, text_length(text, values[i], p->unit, 0));
    if (b->trended & 1u << s) {
        html_cell(p->out, text_signed(text, b->trends[s].slope * 90, p->unit, 0));
        (void)reseat_number_fixed(b->trends[s].p, 4, number);
    } else {
        html_cell(p->out, "");
    }
    html_cell(p->out, number);
    fputs("\n", p->out);
}

/* Limits and trends of every baseline; each is named above its rows. */
static void write_limits(const page *p)
{
    static const char *const columns[] = {"baseline", "series", "mean", "sigma", "lower", "upper",
                                          "mean range", "upper range", "in 90 days", "p"};
    const reseat_drift *drift = &p->outlook->drift;
    char summary[64];
    snprintf(summary, sizeof summary, "Limits and trends of each baseline, %s",
             reseat_unit_name(p->unit));
    page_data(p->out, summary, columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < drift->baseline_count; i++) {
        const reseat_drift_baseline *b = &drift->baselines[i];
        fputs("<tr><th colspan=\"10\" scope=\"rowgroup\">", p->out);
        write_baseline(p, i);
        fputs(b->charted ? "\n" : "; too few for limits\n", p->out);
        for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
            if (b->charted & 1u << s)
                write_limits_row(p, i, s);
    }
    fputs("</tbody></table></div></details>\n", p->out);
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

static reseat_status write_body(const page *p, reseat_error *error)
{
    if (!page_head(p))
        return RESEAT_ERR_MEMORY;
    if (p->outlook) {
        fputs("<h2>How the runs moved</h2>\n"
              "<p class=\"rule\">In true time, in the probe's frame: the seat's turn is taken off. "
              "Below each chart, by how much a run differs from the "
              "one before.</p>\n", p->out);
        write_charts_key(p);
        write_baselines(p);
        write_notes(p);
        if (!figure_charts(p))
            return RESEAT_ERR_MEMORY;
        write_limits(p);
        write_pair(p);
    }
    return page_records(p, error);
}

reseat_status page_write(const page *p, reseat_error *error)
{
    FILE *out = p->out;
    fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
          "<meta http-equiv=\"Content-Security-Policy\" "
          "content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
          "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>", out);
    html_print(out, "%s: %s", p->spindle, p->answer ? check_verdict(p->answer) : "no verdict");
    fputs("</title>\n", out);
    page_style(out);
    fputs("</head>\n<body>\n<main>\n", out);
    svg_marks(out);
    const reseat_status status = write_body(p, error);
    page_cautions(out);
    fputs("</main>\n</body>\n</html>\n", out);
    return status;
}
