/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Every allocation of everything that is done to a log fails, once and for ever, those of the JSON
 * parser too. The linker sends malloc and its kin through the functions below (--wrap).
 */
#include <stdio.h>
#include <stdlib.h>
#include <cjson/cJSON.h>
#include "scenarios.h"

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
void __real_free(void *block);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);
void __wrap_free(void *block);

static bool for_ever;
static long made, fails_at, live;

/* Counts an allocation; whether it is one that fails. */
static bool strikes(void)
{
    if (!library_at_work)
        return false;
    made++;
    return fails_at > 0 && (made == fails_at || (for_ever && made > fails_at));
}

static void *count_live(void *block)
{
    live += block != NULL ? 1 : 0;
    return block;
}

void *__wrap_malloc(size_t size)
{
    return strikes() ? NULL : count_live(__real_malloc(size));
}

void *__wrap_calloc(size_t count, size_t size)
{
    return strikes() ? NULL : count_live(__real_calloc(count, size));
}

void *__wrap_realloc(void *old, size_t size)
{
    if (strikes())
        return NULL;
    void *grown = __real_realloc(old, size);
    live += old == NULL && grown != NULL ? 1 : 0;
    return grown;
}

void __wrap_free(void *block)
{
    live -= block != NULL ? 1 : 0;
    __real_free(block);
}

/* Prepares and does it while the allocation of that number fails; 0: none. */
static reseat_status act(const scenario *what, long at, bool ever)
{
    what->prepare();
    disk_reset_calls();
    act_error = (reseat_error){0};
    made = 0;
    fails_at = at;
    for_ever = ever;
    const reseat_status status = what->act();
    fails_at = 0;
    return status;
}

static void strike(const scenario *what, long at, bool ever)
{
    char about[160];
    snprintf(about, sizeof about, "%s, allocation %ld fails %s", what->name, at,
             ever ? "for ever" : "once");
    const reseat_status status = act(what, at, ever);
    demand(status == RESEAT_OK || status == RESEAT_ERR_MEMORY, "%s: %s", about, act_error.text);
    scenario_check(what, status, about);
}

int main(void)
{
    cJSON_Hooks hooks = {__wrap_malloc, __wrap_free};
    cJSON_InitHooks(&hooks);
    long faults = 0;
    for (size_t i = 0; i < scenario_count; i++) {
        const scenario *what = &scenarios[i];
        scenario_run_clean(what);
        act(what, 0, false);
        const long count = made, before = live;
        for (long at = 1; at <= count; at++) {
            strike(what, at, false);
            strike(what, at, true);
        }
        what->prepare();
        act(what, 0, false);
        demand(live == before, "%s: %ld allocations were not let go", what->name, live - before);
        printf("%s: %ld allocations, %ld faults\n", what->name, count, 2 * count);
        faults += 2 * count;
    }
    printf("%ld faults of memory\n", faults);
    return 0;
}
