/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "html.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

void html_text(FILE *out, const char *text)
{
    char few[512];
    const size_t length = strlen(text);
    const size_t needed = reseat_text_html(text, length, few, sizeof few) + 1;
    if (needed <= sizeof few) {
        fputs(few, out);
        return;
    }
    char *many = malloc(needed);
    if (many) {
        reseat_text_html(text, length, many, needed);
        fputs(many, out);
    } else {
        fputs(few, out); /* cut at a character, and still harmless */
    }
    free(many);
}

void html_print(FILE *out, const char *format, ...)
{
    char text[4096];
    va_list values;
    va_start(values, format);
    vsnprintf(text, sizeof text, format, values);
    va_end(values);
    html_text(out, text);
}

void html_number(FILE *out, double value, int decimals)
{
    char number[RESEAT_NUMBER_SIZE] = "0";
    (void)reseat_number_fixed(value, decimals, number);
    size_t length = strlen(number);
    if (strchr(number, '.')) {
        while (number[length - 1] == '0')
            length--;
        if (number[length - 1] == '.')
            length--;
    }
    fprintf(out, "%.*s", (int)length, number);
}

void html_cell(FILE *out, const char *text)
{
    fputs("<td>", out);
    html_text(out, text);
}
