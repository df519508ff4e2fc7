/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Text and numbers of a page. All text that is not ours passes through html_text. */
#ifndef RESEAT_CLI_HTML_H
#define RESEAT_CLI_HTML_H

#include <stdio.h>
#include "text.h"

/* A text, harmless between tags and in quoted attributes. */
void html_text(FILE *out, const char *text);

/* The same, in which no line ends between a number and its unit. */
void html_prose(FILE *out, const char *text);

/*
 * The same as html_text of what printf would make of it, up to 4 KiB; no floating point, whose sign
 * may vary.
 */
void html_print(FILE *out, const char *format, ...)
#if defined(__GNUC__)
    __attribute__((format(printf, 2, 3)))
#endif
    ;

/* A number with at most so many digits after the point, none of them an idle 0. */
void html_number(FILE *out, double value, int decimals);

/* A cell of a table, `<td>`; and one that is empty where a value is not known. */
void html_cell(FILE *out, const char *text);

#endif
