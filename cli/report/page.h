/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page that report writes: what it is of, and its parts but for the figures. */
#ifndef RESEAT_CLI_REPORT_PAGE_H
#define RESEAT_CLI_REPORT_PAGE_H

#include "../show/answer.h"
#include "../show/record_summary.h"

#if defined(__GNUC__)
#define PRINTF_LIKE(text, values) __attribute__((format(printf, text, values)))
#else
#define PRINTF_LIKE(text, values)
#endif

/*
 * A short text, so that a sentence is put together without a buffer for each of its parts:
 * it lives to the end of the full expression that it stands in, as words do.
 */
typedef struct shown {
    char text[4 * TEXT_SIZE];
} shown;

/* As printf; no floating point, whose sign may vary. */
shown shown_print(const char *format, ...)
    PRINTF_LIKE(1, 2);

/* "2026-03-02 06:45". */
shown shown_minute(int64_t at);

/* Writes markup of ours, with a text for each %s, escaped; of the rest %% alone is known. */
void html_write(FILE *out, const char *markup, ...)
    PRINTF_LIKE(2, 3);

/* A text in which no line ends between a number and its unit. */
void html_prose(FILE *out, const char *text);

/* A table that is folded away behind a summary, with columns "run|date". Rows come between. */
void html_table(FILE *out, const char *summary, const char *columns);
void html_table_end(FILE *out);

#define PAGE_BAD_MAX 20        /* bad lines that are named; the others are counted */
#define PAGE_RECORDS_MAX 20000 /* newest records that are listed */

/* What is to be known of a log as a whole. */
typedef struct page_log {
    const reseat_state_request *query;
    int64_t until; /* facts of later times are left out */
    reseat_audit audit;
    reseat_log_bad bad[PAGE_BAD_MAX];
    size_t bad_count;
    uint64_t later, voided;
    struct page_event { /* what begins baselines, so that they can be named */
        uint64_t seq;
        char kind[16];
    } *events;
    size_t event_count;
} page_log;

/* A probe and tip that has runs, and what is said of it. */
typedef struct page_probe {
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    request asked; /* points into itself: not to be copied */
    reseat_outlook outlook;
    reseat_answer answer;
    reseat_suspect suspect;
    bool judged; /* a limit is set, so there is an answer, and windows of doubt */
} page_probe;

/* What the page is of. */
typedef struct page {
    FILE *out;
    reseat_unit unit;
    int64_t as_of;
    page_log log;
    uint64_t listed; /* records that count */
    page_probe **probes; /* the worst first; none: a log without runs */
    size_t probe_count;
    size_t part;         /* the one that is written, counted from 0, and its parts: */
    const request *asked;          /* the state; NULL: a log without runs */
    const reseat_outlook *outlook; /* NULL with it */
    const reseat_answer *answer;   /* NULL: no limit is set, so no verdict */
    reseat_status status;          /* the first failure in writing it */
} page;

/* Writes the whole page. */
reseat_status page_write(page *p, reseat_error *error);

/* What a page is between: its head with its style, and its end with a block to sign on paper. */
void page_begin(FILE *out, const char *title);
void page_end(FILE *out);

/* When the newest record was written. */
reseat_status page_log_newest(const reseat_state_request *query, int64_t *recorded_at,
                              reseat_error *error);

/* The log as a whole; its events are to be freed, also after a failure. */
reseat_status page_log_read(page_log *log, const reseat_state_request *query, int64_t until,
                            reseat_error *error);

/* "probe P2, tip left". */
shown page_probe_name(const page_probe *probe);

/* A title, with the name of the probe where there are several. */
shown page_titled(const page *p, const char *title);

/* Number of the run in force. */
int64_t page_run(const page *p);

/* "baseline 2, after stylus-change 26". */
shown page_baseline(const page *p, size_t baseline);

/* Its style, page.css. */
void page_style(FILE *out);

#endif
