/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The figures of a page, and what they have in common. */
#ifndef RESEAT_CLI_REPORT_FIGURE_H
#define RESEAT_CLI_REPORT_FIGURE_H

#include "page.h"
#include "scale.h"

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

/*
 * A key: samples of lines, dots and marks by their classes, and what they mean. One without a
 * meaning is left out, one without a class is the last.
 */
typedef struct figure_key {
    enum { SAMPLE_LINE, SAMPLE_DOT, SAMPLE_SEAT, SAMPLE_NEWEST, SAMPLE_MARK, SAMPLE_AREA } sample;
    const char *class, *text;
} figure_key;
void figure_keys(const page *p, const figure_key *keys);

/* "Data: X and Y of 12 runs", and how many of them are drawn, where that is fewer. */
shown figure_summary(const char *what, size_t drawn, size_t known);

/* The point of a run; NULL where there is none. */
const reseat_drift_point *figure_point(const page *p, uint64_t seq);

/* The baseline that the newest run belongs to. */
const reseat_drift_baseline *figure_latest(const page *p);

#endif
