/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "json.h"

#include <inttypes.h>
#include <math.h>
#include <stdarg.h>
#include <string.h>
#include "words.h"

/* A member's comma and key; keys are our own and need no escapes. */
static void begin_member(json *j, const char *key, size_t length)
{
    if (j->comma)
        fputc(',', j->out);
    j->comma = true;
    if (length > 0)
        fprintf(j->out, "\"%.*s\":", (int)length, key);
}

static void quote(json *j, const char *text)
{
    fputc('"', j->out);
    text_put(j->out, reseat_text_json, text, strlen(text));
    fputc('"', j->out);
}

static void put_number(json *j, const char *before, double value)
{
    char text[RESEAT_NUMBER_SIZE] = "null"; /* the library's results are not infinite */
    (void)reseat_number_format(value, text);
    fprintf(j->out, "%s%s", before, text);
}

static void put_pair(json *j, reseat_xy value)
{
    put_number(j, "[", value.x);
    put_number(j, ",", value.y);
    fputc(']', j->out);
}

/* One word of a format. */
static void put(json *j, const char *key, size_t length, char kind, va_list *values)
{
    if (length == 1 && key[0] == '%') {
        key = va_arg(*values, const char *);
        length = strlen(key);
    }
    const char *text = kind == 's' ? va_arg(*values, const char *) : "";
    const double number = kind == 'n' ? va_arg(*values, double) : 0;
    const bool ends = kind == '}' || kind == ']';
    if (!text || isnan(number))
        return;
    if (!ends)
        begin_member(j, key, length);
    switch (kind) {
    case 's': quote(j, text); break;
    case 'n': put_number(j, "", number); break;
    case 't': quote(j, words_time(va_arg(*values, int64_t)).text); break;
    case 'i': fprintf(j->out, "%" PRId64, va_arg(*values, int64_t)); break;
    case 'b': fputs(va_arg(*values, int) ? "true" : "false", j->out); break;
    case 'p': put_pair(j, va_arg(*values, reseat_xy)); break;
    default: /* { [ } ] */
        fputc(kind, j->out);
        j->comma = ends;
    }
}

void json_print(json *j, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    for (const char *word = format; *word; word += strspn(word, " ")) {
        const size_t length = strcspn(word, " ");
        put(j, word, length > 2 ? length - 2 : 0, word[length - 1], &values);
        word += length;
    }
    va_end(values);
}

json json_begin(FILE *out)
{
    json j = {.out = out};
    json_print(&j, "{");
    return j;
}

void json_end(json *j)
{
    json_print(j, "}");
    fputc('\n', j->out);
}

double json_if(bool applies, double value)
{
    return applies ? value : (double)NAN;
}

void json_numbers(json *j, const char *key, const double *values, size_t count)
{
    json_print(j, "%:[", key);
    for (size_t i = 0; i < count; i++)
        json_print(j, "n", values[i]);
    json_print(j, "]");
}

void json_objects(json *j, const char *key, size_t count,
                  void (*item)(json *j, const void *list, size_t i), const void *list)
{
    json_print(j, "%:[", key);
    for (size_t i = 0; i < count; i++) {
        json_print(j, "{");
        item(j, list, i);
        json_print(j, "}");
    }
    json_print(j, "]");
}
