/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "sink.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include "impossible.h"
#include "reseat/number.h"
#include "reseat/text.h"
#include "reseat/time.h"

sink sink_start(char *out, size_t size)
{
    if (size > 0)
        out[0] = '\0';
    return (sink){out, size, 0};
}

/* Bytes still free, with that for the NUL. */
static size_t room(const sink *to)
{
    return to->length < to->size ? to->size - to->length : 0;
}

void sink_bytes(sink *to, const char *bytes, size_t count)
{
    const size_t left = room(to);
    if (left > 0) {
        const size_t fits = count < left ? count : left - 1;
        memcpy(to->out + to->length, bytes, fits);
        to->out[to->length + fits] = '\0';
    }
    to->length += count;
}

void sink_text(sink *to, const char *text)
{
    sink_bytes(to, text, strlen(text));
}

void sink_integer(sink *to, int64_t value)
{
    char text[24];
    snprintf(text, sizeof text, "%" PRId64, value);
    sink_text(to, text);
}

void sink_number(sink *to, double value)
{
    char text[RESEAT_NUMBER_SIZE];
    const reseat_status status = reseat_number_format(value, text);
    if (!impossible(status != RESEAT_OK)) /* a record holds no other number */
        sink_text(to, text);
}

void sink_time(sink *to, int64_t seconds)
{
    char text[RESEAT_TIME_SIZE];
    const reseat_status status = reseat_time_format(seconds, text);
    if (!impossible(status != RESEAT_OK)) /* nor any other time */
        sink_text(to, text);
}

void sink_json(sink *to, const char *text)
{
    sink_text(to, "\"");
    const size_t left = room(to);
    char *out = left > 0 ? to->out + to->length : NULL;
    to->length += reseat_text_json(text, strlen(text), out, left);
    sink_text(to, "\"");
}
