/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Texts of a page: put together by value, and written as markup and tables. */
#ifndef RESEAT_CLI_REPORT_HTML_H
#define RESEAT_CLI_REPORT_HTML_H

#include <stdio.h>
#include "text.h"

/*
 * A short text, so that a sentence is put together without a buffer for each of its parts:
 * shown_length(mm, unit, 0).text lives to the end of the full expression that it stands in.
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

/* As the text_ of the same name; shown_as by any of a single value, such as text_chance. */
shown shown_length(double mm, reseat_unit unit, int more);
shown shown_signed(double mm, reseat_unit unit);
shown shown_decimal(double value, int decimals);
shown shown_where(const reseat_answer *answer, const reseat_outcome *outcome);
shown shown_as(const char *show(char *out, double value), double value);

/* With at most so many digits after the point, none of them an idle 0. */
shown shown_brief(double value, int decimals);

/* "2026-03-02", "2026-03-02 06:45". */
shown shown_date(int64_t at);
shown shown_minute(int64_t at);

/* Writes markup of ours, with a text for each %s, made harmless; of the rest %% alone is known. */
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
