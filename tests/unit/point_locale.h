/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Set-up and tear-down of tests that ask strtod and printf, which follow the locale. */
#ifndef RESEAT_TESTS_POINT_LOCALE_H
#define RESEAT_TESTS_POINT_LOCALE_H

#include "check.h"

/* Under the locale "C" alone do they read and write a point. */
static inline int enter_point_locale(void **state)
{
    *state = strdup(setlocale(LC_NUMERIC, NULL));
    return *state != NULL && setlocale(LC_NUMERIC, "C") != NULL ? 0 : -1;
}

static inline int leave_point_locale(void **state)
{
    const char *left = setlocale(LC_NUMERIC, *state);
    free(*state);
    return left != NULL ? 0 : -1;
}

#endif
