/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Text put together piece by piece into a caller's room, counted as snprintf counts. */
#ifndef RESEAT_SINK_H
#define RESEAT_SINK_H

#include <stddef.h>
#include <stdint.h>

typedef struct sink {
    char *out;     /* always ends in NUL, but with size 0; may be NULL then */
    size_t size;
    size_t length; /* of the whole text, also of what did not fit */
} sink;

sink sink_start(char *out, size_t size);
void sink_bytes(sink *to, const char *bytes, size_t count);
void sink_text(sink *to, const char *text);
void sink_integer(sink *to, int64_t value);
void sink_number(sink *to, double value); /* finite; reads back the same bits */
void sink_time(sink *to, int64_t seconds);
void sink_json(sink *to, const char *text); /* with its quotes */

#endif
