/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Text, lists and tables of a page. All text that is not ours passes through html_text. */
#ifndef RESEAT_CLI_REPORT_HTML_H
#define RESEAT_CLI_REPORT_HTML_H

#include <stdio.h>

#if defined(__GNUC__)
#define HTML_PRINTS __attribute__((format(printf, 2, 3)))
#else
#define HTML_PRINTS
#endif

/* A text, harmless between tags and in quoted attributes. */
void html_text(FILE *out, const char *text);

/* The same, in which no line ends between a number and its unit. */
void html_prose(FILE *out, const char *text);

/*
 * The same as html_text of what printf would make of it, up to 4 KiB; no floating point, whose sign
 * may vary. html_item makes it an item of a list.
 */
void html_print(FILE *out, const char *format, ...) HTML_PRINTS;
void html_item(FILE *out, const char *format, ...) HTML_PRINTS;

/* A number with at most so many digits after the point, none of them an idle 0. */
void html_number(FILE *out, double value, int decimals);

/* A list of a class, of items. */
void html_list(FILE *out, const char *class);
void html_list_end(FILE *out);

/* A table that is folded away behind a summary; columns and cells end with NULL. */
void html_table(FILE *out, const char *summary, const char *const *columns);
void html_row(FILE *out, const char *const *cells);
void html_table_end(FILE *out);

#endif
