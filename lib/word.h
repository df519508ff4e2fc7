/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Words among bytes that end in no NUL. */
#ifndef RESEAT_WORD_H
#define RESEAT_WORD_H

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

/* Whether the whole text is this word. */
static inline bool word_is(const char *text, size_t length, const char *word)
{
    return length == strlen(word) && memcmp(text, word, length) == 0;
}

#endif
