/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Every allocation of everything that is done to a log fails, once and for ever, those of the JSON
 * parser too. The linker sends malloc and its kin through the functions below (--wrap).
 */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>
#include <cjson/cJSON.h>
#include "reseat/standing.h"
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

/* What a standing is worked out from: two logs on a real disk, as it opens them by itself. */
static char dir[] = "/tmp/reseat-faults-XXXXXX";

static void append_to(const char *name, reseat_record *record)
{
    const reseat_append how = {.begin = true};
    reseat_error error = {0};
    demand(reseat_log_append(dir, name, record, &how, NULL, &error) == RESEAT_OK, "%s", error.text);
    reseat_record_free(record);
}

static void make_logs(void)
{
    reseat_record *reseat = NULL;
    demand(mkdtemp(dir) != NULL, "mkdtemp");
    append_to("hmc-1", record_run(0.001));
    append_to(DISK_NAME, record_policy());
    for (int i = 0; i < 9; i++)
        append_to(DISK_NAME, record_run(0.004 + 0.0001 * (i % 3)));
    append_to(DISK_NAME, record_void(3));
    demand(reseat_record_new(RESEAT_RECORD_RESEAT, &reseat) == RESEAT_OK &&
           reseat_record_set_text(reseat, RESEAT_FIELD_PROBE, "P1", NULL) == RESEAT_OK &&
           reseat_record_set_null(reseat, RESEAT_FIELD_SEAT_DEG, NULL) == RESEAT_OK, "a reseat");
    append_to(DISK_NAME, reseat);
}

static void remove_logs(void)
{
    char path[64];
    static const char *const names[] = {"hmc-1", DISK_NAME};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        snprintf(path, sizeof path, "%s/%s.jsonl", dir, names[i]);
        demand(unlink(path) == 0, "unlink %s", path);
    }
    demand(rmdir(dir) == 0, "rmdir");
}

static reseat_status stand(long at, bool ever)
{
    const reseat_standing_query query = {.dir = dir, .spindle = DISK_NAME,
                                         .as_of = (int64_t)time(NULL), .ahead = 300};
    static reseat_standing_question asked;
    reseat_standing standing;
    act_error = (reseat_error){0};
    made = 0;
    fails_at = at;
    for_ever = ever;
    library_at_work = true;
    reseat_status status = reseat_standing_read(&query, &standing, &act_error);
    if (status == RESEAT_OK) {
        demand(standing.run_count == 8 && standing.outing != NULL, "%zu runs", standing.run_count);
        status = reseat_standing_ask(&standing, NULL, &asked);
        reseat_standing_free(&standing);
    }
    library_at_work = false;
    fails_at = 0;
    return status;
}

static long strike_standing(void)
{
    demand(stand(0, false) == RESEAT_OK, "standing: %s", act_error.text);
    const long count = made, before = live;
    for (long at = 1; at <= count; at++)
        for (int ever = 0; ever < 2; ever++) {
            const reseat_status status = stand(at, ever == 1);
            demand(status == RESEAT_OK || status == RESEAT_ERR_MEMORY,
                   "standing, allocation %ld: %d %s", at, (int)status, act_error.text);
        }
    demand(live == before, "standing: %ld allocations were not let go", live - before);
    printf("standing: %ld allocations, %ld faults\n", count, 2 * count);
    return 2 * count;
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
    make_logs();
    faults += strike_standing();
    remove_logs();
    printf("%ld faults of memory\n", faults);
    return 0;
}
