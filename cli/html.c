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

/* Whether a text goes on with a unit, as a word of its own. */
static bool begins_with_unit(const char *text)
{
    static const char *const units[] = {"%", "mm", "um", "in"};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        const size_t length = strlen(units[i]);
        const char next = strncmp(text, units[i], length) == 0 ? text[length] : 'x';
        if (!(next >= 'a' && next <= 'z'))
            return true;
    }
    return false;
}

void html_prose(FILE *out, const char *text)
{
    const char *begin = text;
    for (const char *at = text; *at; at++) {
        if (*at != ' ' || at == text || at[-1] < '0' || at[-1] > '9' || !begins_with_unit(at + 1))
            continue;
        char *part = strndup(begin, (size_t)(at - begin));
        if (!part)
            break;
        html_text(out, part);
        free(part);
        fputs("&nbsp;", out);
        begin = at + 1;
    }
    html_text(out, begin);
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
