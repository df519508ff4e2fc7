/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The figures of a page, and what they have in common. */
#ifndef RESEAT_CLI_REPORT_FIGURE_H
#define RESEAT_CLI_REPORT_FIGURE_H

#include "html.h"
#include "labels.h"
#include "page.h"

void figure_charts(page *p);
void figure_target(const page *p);
void figure_turn(const page *p);
void figure_budget(const page *p);
void figure_radius(const page *p);

/*
 * A figure is begun with its name and a caption, and drawn up to svg_end; then comes its key, if it
 * has one; its data by html_table and a row each; and its end.
 */
svg figure_begin(const page *p, const svg_about *about, const char *caption);
void figure_end(const page *p);

/* A key has an entry for each sample of a line, a dot or a mark by its class, and what it means. */
typedef enum figure_sample {
    SAMPLE_LINE,
    SAMPLE_DOT,
    SAMPLE_SEAT,
    SAMPLE_NEWEST,
    SAMPLE_MARK,
    SAMPLE_AREA
} figure_sample;
void figure_key_begin(FILE *out);
void figure_key(FILE *out, figure_sample sample, const char *class, const char *text);
void figure_key_end(FILE *out);

/* "Data: X and Y of 12 runs", and how many of them are drawn, where that is fewer. */
shown figure_summary(const char *what, size_t drawn, size_t known);

/* The point of the run in force; NULL where it is none of them. */
const reseat_drift_point *figure_run(const page *p);

/* The baseline that the newest run belongs to. */
const reseat_drift_baseline *figure_latest(const page *p);

#endif
