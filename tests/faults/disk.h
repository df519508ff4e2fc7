/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * A disk in memory that holds one log, reached through the library's table of system calls, in
 * which any call can be made to fail. Its folder lists two more logs and a file that is none. What
 * was synced is kept apart from what was only written.
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
    DISK_OPEN, DISK_FSTAT, DISK_STAT, DISK_FCHMOD, DISK_FLOCK, DISK_PREAD, DISK_WRITE, DISK_FSYNC,
    DISK_FTRUNCATE, DISK_CLOSE, DISK_OPENDIR, DISK_READDIR, DISK_CLOSEDIR, DISK_CALL_COUNT
} disk_call;

/* Which call fails, and how. */
typedef struct disk_fault {
    long at;       /* the call of this number, from 1; 0: none */
    bool for_ever; /* all later calls of its kind too */
    int error;     /* errno; 0: it does only `part` of its bytes, and says so */
    size_t part;
} disk_fault;

typedef struct disk_state {
    char *bytes; /* of the log, `length` of them */
    size_t length;
    bool there;
    char *synced; /* what a crash would leave of them for certain */
    size_t synced_length;
    bool entry_synced; /* and whether the file would be in its folder */
    bool group_folder; /* its files belong to its group */
    bool append_only;  /* nothing can be cut off */
    mode_t mode;
    disk_fault fault;
    bool fired;
    disk_call fired_kind;
    long calls;
    disk_call kinds[DISK_CALLS_MAX]; /* of the first calls made */
    int open_files;
    int syncs_failed; /* and calls of fsync after the first that failed */
    int syncs_after_failure;
} disk_state;

extern disk_state disk;
extern const file_calls disk_calls;

/* Whether what runs is the library under test, and not the test around it or this disk. */
extern bool library_at_work;

/* Puts these bytes on the disk as a log that has lain there for long; NULL: there is none. */
void disk_put(const char *bytes, size_t length);

/* The same with other bytes behind those that are there, all but the last `less` of them. */
void disk_put_more(size_t less, const char *more);

/* No fault, and calls counted anew. */
void disk_reset_calls(void);

/* The errors that a call of a kind can give, and how many; 0 stands for short work. */
size_t disk_errors(disk_call kind, const int **errors);

const char *disk_call_name(disk_call kind);

/* Ends the program with a message unless it holds. */
#define demand(holds, ...) \
    ((holds) ? (void)0 : demand_failed(#holds, __FILE__, __LINE__, __VA_ARGS__))
void demand_failed(const char *what, const char *file, int line, const char *format, ...);

/* Records to append: a run with that offset in X, a void, a policy, a verdict. */
reseat_record *record_run(double x_mm);
reseat_record *record_void(int64_t seq);
reseat_record *record_policy(void);
reseat_record *record_verdict(void);

/* Appends through disk_calls, which must succeed, and begins the log if need be. */
void disk_append(reseat_record *record);

/* How much is left to chance: RESEAT_FAULTS_SECONDS, 3 unless set. */
double faults_seconds(void);

/* Random numbers that are the same for a seed (the 64-bit xorshift of Marsaglia, 2003). */
uint64_t next_random(uint64_t *seed);

#endif
