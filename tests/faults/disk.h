/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * A disk in memory that holds one log, reached through the library's table of what is done to
 * files, in which any call can be made to fail. Its folder lists two more logs and a file that is
 * none. What was synced is kept apart from what was only written.
 */
#ifndef RESEAT_TESTS_DISK_H
#define RESEAT_TESTS_DISK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "log/files.h"
#include "reseat/log.h"

#define DISK_DIR "shop"
#define DISK_NAME "mill-2"
#define DISK_NOW 1772431200 /* 2026-03-02T06:00:00Z */
#define DISK_CALLS_MAX 4096

typedef enum disk_call {
    DISK_OPEN, DISK_ABOUT, DISK_TRY_LOCK, DISK_READ, DISK_APPEND, DISK_CUT, DISK_SYNC, DISK_SHARE,
    DISK_FOLDER, DISK_SYNC_FOLDER, DISK_LIST, DISK_REMOVE, DISK_CALL_COUNT
} disk_call;

/* Which call fails, and how. */
typedef struct disk_fault {
    long at;       /* the call of this number, from 1; 0: none */
    bool for_ever; /* all later calls of its kind too */
    file_fault fault;
    size_t part;   /* of the bytes that are appended all the same, or of the names listed */
} disk_fault;

typedef struct disk_state {
    char *bytes; /* of the log, `length` of them */
    size_t length;
    bool there;
    char *synced; /* what a crash would leave of them for certain */
    size_t synced_length;
    bool entry_synced; /* and whether the file would be in its folder */
    bool append_only;  /* nothing can be cut off */
    bool shared;       /* the file was given what its folder asks for */
    disk_fault fault;
    bool fired;
    disk_call fired_kind;
    long calls;
    disk_call kinds[DISK_CALLS_MAX]; /* of the first calls made */
    int open_files;
    int syncs_failed; /* and syncs after the first that failed */
    int syncs_after_failure;
} disk_state;

extern disk_state disk;
extern const char *disk_name; /* of the log that is on it: DISK_NAME, or the register */
extern const file_calls disk_calls;

/* Whether what runs is the library under test, and not the test around it or this disk. */
extern bool library_at_work;

/* Puts these bytes on the disk as a log that has lain there for long; NULL: there is none. */
void disk_put(const char *bytes, size_t length);

/* The same with other bytes behind those that are there, all but the last `less` of them. */
void disk_put_more(size_t less, const char *more);

/* No fault, and calls counted anew. */
void disk_reset_calls(void);

/* The faults that a call of a kind can have, and how many. */
size_t disk_faults(disk_call kind, const file_fault **faults);

const char *disk_call_name(disk_call kind);

/* Ends the program with a message unless it holds. */
#define demand(holds, ...) \
    ((holds) ? (void)0 : demand_failed(#holds, __FILE__, __LINE__, __VA_ARGS__))
void demand_failed(const char *what, const char *file, int line, const char *format, ...);

/* Records to append: a run with that offset in X, a void, a policy, a verdict. */
reseat_record *record_run(double x_mm);
reseat_record *record_gauge(const char *gauge_id);
reseat_record *record_void(int64_t seq);
reseat_record *record_policy(void);
reseat_record *record_repair(void);
reseat_record *record_verdict(void);

/* Appends through disk_calls, which must succeed, and begins the log if need be. */
void disk_append(reseat_record *record);

/* How much is left to chance: RESEAT_FAULTS_SECONDS, 3 unless set. */
double faults_seconds(void);

/* Random numbers that are the same for a seed (the 64-bit xorshift of Marsaglia, 2003). */
uint64_t next_random(uint64_t *seed);

#endif
