/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Texts of a page: put together by value, and written as markup and tables. */
#ifndef RESEAT_CLI_REPORT_HTML_H
#define RESEAT_CLI_REPORT_HTML_H

#include "../show/words.h"

/*
 * A short text, so that a sentence is put together without a buffer for each of its parts:
 * it lives to the end of the full expression that it stands in, as words do.
 */
typedef struct shown {
    char text[4 * TEXT_SIZE];
} shown;

/* As printf; no floating point, whose sign may vary. */
shown shown_print(const char *format, ...)
#if defined(__GNUC__)
    __attribute__((format(printf, 1, 2)))
#endif
    ;

/* With at most so many digits after the point, none of them an idle 0. */
shown shown_brief(double value, int decimals);

/* "2026-03-02 06:45". */
shown shown_minute(int64_t at);

/* Writes markup of ours, with a text for each %s, escaped; of the rest %% alone is known. */
void html_write(FILE *out, const char *markup, ...)
#if defined(__GNUC__)
    __attribute__((format(printf, 2, 3)))
#endif
    ;

/* A text in which no line ends between a number and its unit. */
void html_prose(FILE *out, const char *text);

/* A table that is folded away behind a summary; columns and cells end with NULL. */
void html_table(FILE *out, const char *summary, const char *const *columns);
void html_row(FILE *out, const char *const *cells);
void html_table_end(FILE *out);

#endif
