/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page that report writes, and its parts. */
#ifndef RESEAT_CLI_PAGE_H
#define RESEAT_CLI_PAGE_H

#include "drift.h"
#include "gist.h"

#define PAGE_BAD_MAX 20        /* bad lines that are named; the others are counted */
#define PAGE_RECORDS_MAX 20000 /* newest records that are listed */

/* What is to be known of a log as a whole. */
typedef struct page_log {
    reseat_log *open;
    reseat_audit audit;
    reseat_log_bad bad[PAGE_BAD_MAX];
    size_t bad_count;
    int64_t newest;    /* latest recorded_at; 0 for a log without records */
    uint64_t later;    /* facts after as_of: left out */
    gist_voids voids;
    struct page_event { /* what begins baselines, so that they can be named */
        int64_t seq;
        char kind[16];
    } *events;
    size_t event_count, event_space;
} page_log;

/* What the page is of. */
typedef struct page {
    FILE *out;
    reseat_unit unit;
    const char *spindle;
    int64_t as_of;
    int64_t until; /* facts of later times are left out */
    page_log *log;
    const asking *asked;          /* the standing; NULL: a log without runs */
    const reseat_outlook *outlook; /* NULL with it */
    const reseat_answer *answer;  /* NULL: no limit is set, so no verdict */
} page;

/* Writes the whole page. */
reseat_status page_write(const page *p, reseat_error *error);

/* The log as a whole, from one that is open. Let go with page_log_end, also after a failure. */
reseat_status page_log_newest(page_log *log, reseat_error *error); /* finds `newest` */
reseat_status page_log_read(page_log *log, const char *dir, const char *spindle, int64_t until,
                            reseat_error *error);
void page_log_end(page_log *log);

/* The next step back begins at the end. */
reseat_status page_log_rewind(page_log *log, reseat_error *error);

/* Parts of it; false where there is no memory. */
void page_style(FILE *out);
bool page_head(const page *p);
void page_cautions(FILE *out);
reseat_status page_records(const page *p, reseat_error *error);

/* A figure is opened with its caption and closed with its data: the rows of a table between. */
void page_figure(FILE *out, const char *id, const char *title, const char *caption);
void page_data(FILE *out, const char *summary, const char *const *columns, size_t count);
void page_figure_end(FILE *out);

/* "baseline 2, after stylus-change 26". */
const char *page_baseline(const page *p, size_t baseline, char *out, size_t size);

/* An entry of a key: a sample of a line, a dot or a mark by its class, and what it stands for. */
typedef enum page_sample { SAMPLE_LINE, SAMPLE_DOT, SAMPLE_MARK, SAMPLE_AREA } page_sample;
void page_key(FILE *out, page_sample sample, const char *class, const char *text);

/* The figures; false where there is no memory. */
bool figure_charts(const page *p);
void figure_target(const page *p);
void figure_radius(const page *p);
void figure_turn(const page *p);
void figure_budget(const page *p);

#endif
