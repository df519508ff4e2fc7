/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Linked into what the suite `locale` runs: puts the program under the locale that
 * RESEAT_TEST_LOCALE names before main begins, as a program around the library might. One in which
 * 1.5 is not written "1,5" would test nothing, so it ends the run. Messages of the system stay
 * English, as the golden files have them.
 */
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

__attribute__((constructor)) static void take_the_locale_named(void)
{
    const char *name = getenv("RESEAT_TEST_LOCALE");
    char text[8];

    if (name == NULL)
        return;
    if (setlocale(LC_ALL, name) != NULL && setlocale(LC_MESSAGES, "C") != NULL &&
        snprintf(text, sizeof text, "%.1f", 1.5) == 3 && strcmp(text, "1,5") == 0)
        return;
    fprintf(stderr, "%s is not a locale with a decimal comma here\n", name);
    exit(EXIT_FAILURE);
}
