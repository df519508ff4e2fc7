/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "page.h"

#include <stdarg.h>
#include <string.h>

shown shown_print(const char *format, ...)
{
    shown s = {""};
    va_list values;
    va_start(values, format);
    vsnprintf(s.text, sizeof s.text, format, values);
    va_end(values);
    return s;
}

shown shown_minute(int64_t at)
{
    const words time = words_time(at);
    return shown_print("%.10s %.5s", time.text, time.text[0] ? time.text + 11 : "");
}

void html_write(FILE *out, const char *markup, ...)
{
    va_list texts;
    va_start(texts, markup);
    for (const char *at = markup; *at; at++) {
        if (*at != '%') {
            putc(*at, out);
        } else if (*++at == 's') {
            const char *text = va_arg(texts, void *);
            text_put(out, reseat_text_html, text, strlen(text));
        } else {
            putc('%', out);
        }
    }
    va_end(texts);
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
    html_write(out, "%s", begin);
}

void html_table(FILE *out, const char *summary, const char *const *columns)
{
    html_write(out, "<details><summary>%s</summary>\n<div class=\"scroll\" role=\"region\" "
                    "tabindex=\"0\" aria-label=\"%s\"><table aria-label=\"%s\"><thead><tr>",
               summary, summary, summary);
    for (; *columns; columns++)
        html_write(out, "<th scope=\"col\">%s", *columns);
    fputs("</thead>\n<tbody>\n", out);
}

void html_table_end(FILE *out)
{
    fputs("</tbody></table></div></details>\n", out);
}
