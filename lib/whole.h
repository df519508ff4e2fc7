/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Counts as people type them. */
#ifndef RESEAT_WHOLE_H
#define RESEAT_WHOLE_H

#include "reseat/status.h"

/*
 * Reads digits alone, so that no count has a sign, a point, a blank or a zero in front. Returns
 * RESEAT_ERR_SYNTAX, or RESEAT_ERR_RANGE outside least to most, with *value as it was.
 */
static inline reseat_status whole_parse(const char *text, size_t length, unsigned least,
                                        unsigned most, unsigned *value)
{
    if (length == 0 || (length > 1 && text[0] == '0'))
        return RESEAT_ERR_SYNTAX;
    unsigned read = 0;
    for (size_t i = 0; i < length; i++) {
        if (text[i] < '0' || text[i] > '9')
            return RESEAT_ERR_SYNTAX;
        if (read <= most)
            read = 10 * read + (unsigned)(text[i] - '0');
    }
    if (read < least || read > most)
        return RESEAT_ERR_RANGE;
    *value = read;
    return RESEAT_OK;
}

#endif
