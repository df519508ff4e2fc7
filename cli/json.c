/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "json.h"

#include <inttypes.h>
#include <string.h>
#include "text.h"

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

void json_end(json *j)
{
    json_close(j, '}');
    fputc('\n', j->out);
}

void json_number(json *j, const char *key, double value)
{
    char text[RESEAT_NUMBER_SIZE] = "null"; /* the library's results are finite */
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

void json_pair(json *j, const char *key, reseat_xy value)
{
    json_open(j, key, '[');
    json_number(j, NULL, value.x);
    json_number(j, NULL, value.y);
    json_close(j, ']');
}
