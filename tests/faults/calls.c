/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Every call to the disk of everything that is done to a log fails, once and for ever, with every
 * fault it can have; appending and listing do a part of their work.
 */
#include <stdio.h>
#include <string.h>
#include "scenarios.h"

static long faults, successes;

static void strike(const scenario *what, disk_fault fault, disk_call kind)
{
    char about[200];
    snprintf(about, sizeof about, "%s, call %ld (%s) %s: %s, part %zu", what->name, fault.at,
             disk_call_name(kind), fault.for_ever ? "for ever" : "once", file_reason(fault.fault),
             fault.part);
    what->prepare();
    disk_reset_calls();
    disk.fault = fault;
    act_error = (reseat_error){0};
    const reseat_status status = what->act();
    demand(disk.fired, "%s: it never came to it", about);
    scenario_check(what, status, about);
    /* a lock that is held for a moment is no reason to fail */
    demand(status == RESEAT_OK || fault.for_ever || fault.fault != FILE_BUSY, "%s: %s", about,
           act_error.text);
    faults++;
    successes += status == RESEAT_OK ? 1 : 0;
}

/* Parts of the work that calls do: nothing, a byte, much, all but one byte. */
static const size_t parts[] = {0, 1, 10, 200, 400, (size_t)-1};

static void strike_every_way(const scenario *what, long at, disk_call kind)
{
    const file_fault *possible = NULL;
    const size_t count = disk_faults(kind, &possible);
    for (size_t i = 0; i < count; i++) {
        const bool in_part = possible[i] == FILE_PART || kind == DISK_LIST;
        for (size_t part = 0; part < (in_part ? sizeof parts / sizeof parts[0] : 1); part++) {
            disk_fault fault = {.at = at, .fault = possible[i], .part = parts[part]};
            strike(what, fault, kind);
            fault.for_ever = true;
            strike(what, fault, kind);
        }
    }
}

/* As a failed write is taken back, the taking back fails too. */
static void strike_writes_that_cannot_be_taken_back(const scenario *what, long at)
{
    for (size_t part = 0; part < sizeof parts / sizeof parts[0]; part++) {
        char about[200];
        snprintf(about, sizeof about, "%s, %zu bytes written and not taken back", what->name,
                 parts[part]);
        what->prepare();
        disk_reset_calls();
        disk.append_only = true;
        disk.fault = (disk_fault){.at = at, .fault = FILE_PART, .part = parts[part]};
        scenario_check(what, what->act(), about);
        faults++;
    }
}

int main(void)
{
    for (size_t i = 0; i < scenario_count; i++) {
        disk_call kinds[DISK_CALLS_MAX];
        const scenario *what = &scenarios[i];
        const long before = faults, calls = scenario_run_clean(what);
        what->prepare();
        disk_reset_calls();
        what->act();
        memcpy(kinds, disk.kinds, sizeof kinds);
        demand(calls > 0, "%s: no call came this way", what->name);
        for (long at = 1; at <= calls; at++) {
            strike_every_way(what, at, kinds[at - 1]);
            if (kinds[at - 1] == DISK_APPEND)
                strike_writes_that_cannot_be_taken_back(what, at);
        }
        printf("%s: %ld calls, %ld faults\n", what->name, calls, faults - before);
    }
    printf("%ld faults of calls to the disk, of which %ld did no harm\n", faults, successes);
    return 0;
}
