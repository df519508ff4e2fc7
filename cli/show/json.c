/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "json.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include "words.h"

static void quoted(json *j, const char *text)
{
    fputc('"', j->out);
    text_put(j->out, reseat_text_json, text, strlen(text));
    fputc('"', j->out);
}

static void begin_value(json *j, const char *key)
{
    if (j->comma)
        fputc(',', j->out);
    j->comma = true;
    if (key) {
        quoted(j, key);
        fputc(':', j->out);
    }
}

json json_begin(FILE *out)
{
    json j = {.out = out};
    json_open(&j, NULL, '{');
    return j;
}

void json_end(json *j)
{
    json_close(j, '}');
    fputc('\n', j->out);
}

void json_open(json *j, const char *key, char bracket)
{
    begin_value(j, key);
    fputc(bracket, j->out);
    j->comma = false;
}

void json_close(json *j, char bracket)
{
    fputc(bracket, j->out);
    j->comma = true;
}

void json_number(json *j, const char *key, double value)
{
    char text[RESEAT_NUMBER_SIZE] = "null"; /* the library's results are not infinite */
    if (isnan(value))
        return;
    (void)reseat_number_format(value, text);
    begin_value(j, key);
    fputs(text, j->out);
}

void json_integer(json *j, const char *key, int64_t value)
{
    begin_value(j, key);
    fprintf(j->out, "%" PRId64, value);
}

void json_bool(json *j, const char *key, bool value)
{
    begin_value(j, key);
    fputs(value ? "true" : "false", j->out);
}

void json_text(json *j, const char *key, const char *text)
{
    begin_value(j, key);
    quoted(j, text);
}

void json_time(json *j, const char *key, int64_t at)
{
    json_text(j, key, words_time(at).text);
}

double json_if(bool applies, double value)
{
    return applies ? value : (double)NAN;
}

void json_members(json *j, const json_member *members)
{
    for (; members->key; members++)
        json_number(j, members->key, members->value);
}

void json_object(json *j, const char *key, const json_member *members)
{
    json_open(j, key, '{');
    json_members(j, members);
    json_close(j, '}');
}

void json_numbers(json *j, const char *key, const double *values, size_t count)
{
    json_open(j, key, '[');
    for (size_t i = 0; i < count; i++)
        json_number(j, NULL, values[i]);
    json_close(j, ']');
}

void json_pair(json *j, const char *key, reseat_xy value)
{
    json_numbers(j, key, (const double[]){value.x, value.y}, 2);
}

void json_objects(json *j, const char *key, size_t count,
                  void (*item)(json *j, const void *list, size_t i), const void *list)
{
    json_open(j, key, '[');
    for (size_t i = 0; i < count; i++) {
        json_open(j, NULL, '{');
        item(j, list, i);
        json_close(j, '}');
    }
    json_close(j, ']');
}
