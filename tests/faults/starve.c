/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Loaded before all others: the allocation of number $STARVE fails, and with anything in
 * $STARVE_EVER all after it. With $STARVE_COUNT, how many there were goes to that file at the end.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool begun, ever;
static long made, fails_at;

__attribute__((constructor)) static void begin(void)
{
    const char *number = getenv("STARVE");
    fails_at = number ? strtol(number, NULL, 10) : 0;
    ever = getenv("STARVE_EVER") && *getenv("STARVE_EVER");
    begun = true;
}

__attribute__((destructor)) static void end(void)
{
    const char *name = getenv("STARVE_COUNT");
    begun = false;
    FILE *file = name ? fopen(name, "w") : NULL;
    if (!file)
        return;
    fprintf(file, "%ld\n", made);
    fclose(file);
}

static bool strikes(void)
{
    if (!begun)
        return false;
    made++;
    if (fails_at == 0 || made < fails_at || (made > fails_at && !ever))
        return false;
    errno = ENOMEM;
    return true;
}

/* The function of that name behind this one; a pointer to it cannot be cast from one to data. */
static void find(const char *name, void *function, size_t size)
{
    void *found = dlsym(RTLD_NEXT, name);
    memcpy(function, &found, size);
}

void *malloc(size_t size)
{
    static void *(*next)(size_t);
    if (!next)
        find("malloc", &next, sizeof next);
    return strikes() ? NULL : next(size);
}

void *calloc(size_t count, size_t size)
{
    static void *(*next)(size_t, size_t);
    if (!next)
        find("calloc", &next, sizeof next);
    return strikes() ? NULL : next(count, size);
}

void *realloc(void *old, size_t size)
{
    static void *(*next)(void *, size_t);
    if (!next)
        find("realloc", &next, sizeof next);
    return strikes() ? NULL : next(old, size);
}
