/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_TEXT_H
#define RESEAT_BASE_TEXT_H

#include <stdint.h>
#include <string.h>
#include "base/error.h"

/* Words and digits among bytes that end in no NUL. */

/* Whether the whole text is this word. */
static inline bool word_is(const char *text, size_t length, const char *word)
{
    return length == strlen(word) && memcmp(text, word, length) == 0;
}

static inline bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Which of `count` words the whole text is; count if none. */
size_t word_find(const char *text, size_t length, const char *const *words, size_t count);

/* Text put together piece by piece into a caller's room, counted as snprintf counts. */

typedef struct sink {
    char *out;     /* always ends in NUL, but with size 0 */
    size_t size;
    size_t length; /* of the whole text, also of what did not fit */
    bool whole;    /* keeps no part of a piece, nor what follows one that did not fit */
} sink;

sink sink_start(char *out, size_t size); /* out may be NULL: then only counted */
void sink_bytes(sink *to, const char *bytes, size_t count);
void sink_text(sink *to, const char *text);
void sink_print(sink *to, const char *format, ...) PRINTF_LIKE(2, 3); /* never to a `whole` one */
void sink_number(sink *to, double value); /* finite; reads back the same bits */
void sink_time(sink *to, int64_t seconds);
void sink_json(sink *to, const char *text); /* with its quotes */

/* Whether the bytes are well-formed UTF-8 (RFC 3629: no surrogates, no overlong forms). */
bool text_is_utf8(const char *text, size_t length);

#endif
