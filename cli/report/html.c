/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "html.h"

#include <stdarg.h>
#include <string.h>

void html_text(FILE *out, const char *text)
{
    text_put(out, reseat_text_html, text, strlen(text));
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
        text_put(out, reseat_text_html, begin, (size_t)(at - begin));
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
