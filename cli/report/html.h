/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Text and tables of a page. All text that is not ours is made harmless here. */
#ifndef RESEAT_CLI_REPORT_HTML_H
#define RESEAT_CLI_REPORT_HTML_H

#include <stdio.h>

/* Markup of ours, with a text in the place of each %s; %% is a per cent sign, and nothing else. */
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
