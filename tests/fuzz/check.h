/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a fuzz target may ask of every reader. */
#ifndef RESEAT_TESTS_FUZZ_CHECK_H
#define RESEAT_TESTS_FUZZ_CHECK_H

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "reseat/status.h"
#include "reseat/values.h"

#define require(condition) \
    do { \
        if (!(condition)) { \
            fprintf(stderr, "%s:%d: not so: %s\n", __FILE__, __LINE__, #condition); \
            abort(); \
        } \
    } while (0)

static inline bool same_bits(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

/* One line that says something, without a byte that steers a terminal, at a byte there is. */
static inline void require_sound_error(const reseat_error *error, size_t length)
{
    const size_t size = strlen(error->text);
    require(size > 0 && size < sizeof error->text);
    require(reseat_text_terminal(error->text, size, NULL, 0) == size);
    require(error->column >= 1 && error->column <= length + 1);
}

#endif
