/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "html.h"

#include <stdarg.h>
#include <string.h>
#include "text.h"

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

static void print(FILE *out, const char *format, va_list values)
{
    char text[4096];
    vsnprintf(text, sizeof text, format, values);
    html_text(out, text);
}

void html_print(FILE *out, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    print(out, format, values);
    va_end(values);
}

void html_item(FILE *out, const char *format, ...)
{
    va_list values;
    fputs("<li>", out);
    va_start(values, format);
    print(out, format, values);
    va_end(values);
    fputs("</li>\n", out);
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

void html_list(FILE *out, const char *class)
{
    fprintf(out, "<ul class=\"%s\">\n", class);
}

void html_list_end(FILE *out)
{
    fputs("</ul>\n", out);
}

void html_table(FILE *out, const char *summary, const char *const *columns)
{
    fputs("<details><summary>", out);
    html_text(out, summary);
    fputs("</summary>\n<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"", out);
    html_text(out, summary);
    fputs("\"><table aria-label=\"", out);
    html_text(out, summary);
    fputs("\"><thead><tr>", out);
    for (; *columns; columns++) {
        fputs("<th scope=\"col\">", out);
        html_text(out, *columns);
    }
    fputs("</thead>\n<tbody>\n", out);
}

void html_row(FILE *out, const char *const *cells)
{
    fputs("<tr>", out);
    for (; *cells; cells++) {
        fputs("<td>", out);
        html_text(out, *cells);
    }
    fputs("\n", out);
}

void html_table_end(FILE *out)
{
    fputs("</tbody></table></div></details>\n", out);
}
