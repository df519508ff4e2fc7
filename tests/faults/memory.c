/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Every allocation of everything that is done to a log fails, once and for ever, those of the JSON
 * parser too. The linker sends malloc and its kin through the functions below (--wrap).
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <cjson/cJSON.h>
#include "log/record.h"
#include "reseat/history.h"
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

/* What is worked out from logs: two on a real disk, as the library opens them by itself. */
static char dir[] = "/tmp/reseat-faults-XXXXXX";
static const reseat_state_request query = {.dir = dir, .spindle = DISK_NAME, .ahead = 300,
                                            .as_of = DISK_NOW};
static reseat_state probe_state; /* without a fault */

static void append_to(const char *name, reseat_record *record)
{
    const reseat_append how = {.begin = true};
    reseat_error error = {0};
    if (record_takes(reseat_record_type_of(record), RESEAT_FIELD_AT))
        demand(reseat_record_set_integer(record, RESEAT_FIELD_AT, DISK_NOW, NULL) == RESEAT_OK,
               "at");
    demand(reseat_log_append(dir, name, record, &how, NULL, &error) == RESEAT_OK, "%s", error.text);
    reseat_record_free(record);
}

static reseat_record *record_with(reseat_record_type type, reseat_field field, const char *text)
{
    reseat_record *record = NULL;
    demand(reseat_record_new(type, &record) == RESEAT_OK &&
           reseat_record_set_typed(record, field, text, RESEAT_MM, NULL) == RESEAT_OK, "%s", text);
    return record;
}

static void make_logs(void)
{
    reseat_error error = {0};
    demand(mkdtemp(dir) != NULL, "mkdtemp");
    append_to("hmc-1", record_run(0.001));
    append_to("hmc-1", record_void(1));
    append_to(DISK_NAME, record_policy());
    for (int i = 0; i < 18; i++)
        append_to(DISK_NAME, record_run(0.004 + 0.0001 * (i % 3)));
    append_to(DISK_NAME, record_void(3));
    append_to(DISK_NAME, record_with(RESEAT_RECORD_EVENT, RESEAT_FIELD_KIND, "service"));
    append_to(DISK_NAME, record_verdict());
    append_to(DISK_NAME, record_radii());
    reseat_record *reseat = record_with(RESEAT_RECORD_RESEAT, RESEAT_FIELD_PROBE, "P1");
    demand(record_set_null(reseat, RESEAT_FIELD_SEAT_DEG, NULL) == RESEAT_OK, "a reseat");
    append_to(DISK_NAME, reseat);
    demand(reseat_state_read(&query, &probe_state, &error) == RESEAT_OK, "%s", error.text);
}

static void remove_logs(void)
{
    char path[64];
    static const char *const names[] = {"hmc-1", DISK_NAME};
    reseat_state_free(&probe_state);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        snprintf(path, sizeof path, "%s/%s.jsonl", dir, names[i]);
        demand(unlink(path) == 0, "unlink %s", path);
    }
    demand(rmdir(dir) == 0, "rmdir");
}

static reseat_status stand(void)
{
    static reseat_state_question asked;
    reseat_state found;
    reseat_status status = reseat_state_read(&query, &found, &act_error);
    if (status != RESEAT_OK)
        return status;
    demand(found.run_count == 18 && found.last_reseat != NULL, "%zu runs", found.run_count);
    status = reseat_state_ask(&found, NULL, &asked, NULL);
    reseat_state_free(&found);
    return status;
}

/* All of a folder's logs are read once, the tips of one listed, and what is to come is found. */
static reseat_status look_out(void)
{
    reseat_state_request all = query;
    reseat_outlook outlook;
    const reseat_tip *tips;
    size_t count = 0;
    reseat_status status = reseat_folder_open(dir, &all.folder);
    if (status != RESEAT_OK)
        return status;
    status = reseat_folder_tips(&all, &tips, &count, &act_error);
    demand(status != RESEAT_OK || count == 1, "%zu tips", count);
    if (status == RESEAT_OK)
        status = reseat_outlook_find(&all, &probe_state, &outlook, &act_error);
    if (status == RESEAT_OK) {
        demand(outlook.drift.baseline_count == 2, "%zu baselines", outlook.drift.baseline_count);
        reseat_outlook_free(&outlook);
    }
    reseat_folder_close(all.folder);
    return status;
}

static reseat_status choose_probe(void)
{
    char name[RESEAT_RECORD_NAME_MAX + 1] = "";
    const reseat_status status = reseat_state_probe(&query, name, &act_error);
    demand(status == RESEAT_OK ? strcmp(name, "P1") == 0 : name[0] == '\0', "%s", name);
    return status;
}

/* The only run since the service: there is nothing to hold it against. */
static reseat_status look_at_newest(void)
{
    reseat_drift_newest newest;
    const reseat_status status = reseat_outlook_newest(dir, DISK_NAME, probe_state.run, &newest);
    return status == RESEAT_ERR_TOO_FEW ? RESEAT_OK : status;
}

static reseat_status suspect(void)
{
    static reseat_state_question asked;
    const reseat_state_typed typed = {.limit_mm = 0.005};
    reseat_suspect found;
    reseat_status status = reseat_state_ask(&probe_state, &typed, &asked, &act_error);
    if (status == RESEAT_OK)
        status = reseat_suspect_read(&query, &probe_state, &asked, &found, &act_error);
    if (status == RESEAT_OK) {
        demand(found.count == 2 && found.windows[0].open, "%zu windows", found.count);
        reseat_suspect_free(&found);
    }
    return status;
}

/* A record whose line has more keys than are compared pair by pair. */
static reseat_status read_many_keys(void)
{
    static char line[RESEAT_RECORD_LINE_MAX];
    size_t known = 0, length = 0;
    const char *text = reseat_record_line(probe_state.run, &known);
    reseat_record *record = NULL;
    memcpy(line, text, known);
    for (int i = 0; i < 70; i++)
        length += (size_t)snprintf(line + 1 + length, sizeof line - known - length,
                                   "\"x%d\":1,", i);
    memcpy(line + 1 + length, text + 1, known - 1);
    const reseat_status status = record_parse(line, length + known, &record, &act_error);
    reseat_record_free(record);
    return status;
}

static reseat_status try(reseat_status (*work)(void), long at, bool ever)
{
    act_error = (reseat_error){0};
    made = 0;
    fails_at = at;
    for_ever = ever;
    library_at_work = true;
    const reseat_status status = work();
    library_at_work = false;
    fails_at = 0;
    return status;
}

static long strike_real(const char *name, reseat_status (*work)(void))
{
    demand(try(work, 0, false) == RESEAT_OK, "%s: %s", name, act_error.text);
    const long count = made, before = live;
    demand(count > 0, "%s: no allocation came this way", name);
    for (long at = 1; at <= count; at++)
        for (int ever = 0; ever < 2; ever++) {
            const reseat_status status = try(work, at, ever == 1);
            demand(status == RESEAT_OK || status == RESEAT_ERR_MEMORY,
                   "%s, allocation %ld: %d %s", name, at, (int)status, act_error.text);
        }
    demand(live == before, "%s: %ld allocations were not freed", name, live - before);
    printf("%s: %ld allocations, %ld faults\n", name, count, 2 * count);
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
        demand(count > 0, "%s: no allocation came this way", what->name);
        for (long at = 1; at <= count; at++) {
            strike(what, at, false);
            strike(what, at, true);
        }
        what->prepare();
        act(what, 0, false);
        demand(live == before, "%s: %ld allocations were not freed", what->name, live - before);
        printf("%s: %ld allocations, %ld faults\n", what->name, count, 2 * count);
        faults += 2 * count;
    }
    make_logs();
    faults += strike_real("state", stand) + strike_real("probe", choose_probe) +
              strike_real("outlook", look_out) + strike_real("newest run", look_at_newest) +
              strike_real("suspect", suspect) + strike_real("many keys", read_many_keys);
    remove_logs();
    printf("%ld faults of memory\n", faults);
    return 0;
}
