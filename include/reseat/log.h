/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The log of a spindle: DIR/NAME.jsonl, one sealed record a line, only ever appended to (handbook
 * section 10). Reading never writes and locks nobody out; appending is durable or says so.
 *
 * Errors carry one plain line: what happened, and what to do. A number of a line is counted from 1.
 */
#ifndef RESEAT_LOG_H
#define RESEAT_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/record.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_LOG_NAME_SIZE (RESEAT_RECORD_NAME_MAX + 1)
#define RESEAT_LOG_AHEAD_SECONDS 300 /* a fact this far ahead of the clock is still taken */

/* Whether a text names a log: [a-z0-9][a-z0-9._-]{0,63}. */
RESEAT_API bool reseat_log_is_name(const char *name);

/* Names of logs, sorted by their bytes. */
typedef struct reseat_log_names {
    char (*names)[RESEAT_LOG_NAME_SIZE];
    size_t count;
} reseat_log_names;

/*
 * Lists the logs of a folder; those found are let go with reseat_log_names_free.
 *
 * Returns RESEAT_OK, also for none, else *names is as it was before the call:
 *   RESEAT_ERR_ARGUMENT  dir or names is NULL; the folder is not there
 *   RESEAT_ERR_IO        it cannot be read
 *   RESEAT_ERR_MEMORY
 */
RESEAT_API reseat_status reseat_log_list(const char *dir, reseat_log_names *names,
                                         reseat_error *error);
RESEAT_API void reseat_log_names_free(reseat_log_names *names);

/* What a line of a log is. */
typedef enum reseat_line_state {
    RESEAT_LINE_NONE = 0,       /* there are no more lines */
    RESEAT_LINE_SOUND = 1,      /* its seal holds */
    RESEAT_LINE_SEALED_OFF = 2, /* bad, but a repair record says which bytes these are */
    RESEAT_LINE_TORN = 3,       /* the last line, cut short */
    RESEAT_LINE_DAMAGED = 4
} reseat_line_state;

typedef struct reseat_log_line {
    reseat_line_state state;
    const char *text;  /* without LF; until the next call; NULL for a line that is too long */
    uint64_t length;   /* bytes without LF */
    uint64_t offset;   /* where in the file it begins */
    uint64_t number;   /* from 1; 0 where lines are read backwards */
    const char *what;  /* what is wrong with it; "" for a sound one; static */
} reseat_log_line;

/* A log open for reading, as long as it was when it was opened. One thread at a time. */
typedef struct reseat_log reseat_log;

/*
 * Opens a log to be read. If its last line is cut short, up to 200 ms are waited for its end, as
 * a writer may be at work.
 *
 *   dir, name  in   the folder, and the spindle
 *   log        out  stands at the first line; to be closed with reseat_log_close
 *
 * Returns RESEAT_OK, else *log is as it was before the call:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL; the folder is not there
 *   RESEAT_ERR_SYNTAX     not the name of a log
 *   RESEAT_ERR_NOT_FOUND  there is no such log
 *   RESEAT_ERR_DAMAGED    it is the log of another spindle
 *   RESEAT_ERR_IO         it cannot be read, or is no file
 *   RESEAT_ERR_MEMORY
 *
 * Memory  some 400 KiB, whatever the length of the log.
 */
RESEAT_API reseat_status reseat_log_open(const char *dir, const char *name, reseat_log **log,
                                         reseat_error *error);
RESEAT_API void reseat_log_close(reseat_log *log);

/*
 * The next line from the start on, or from the end backwards; each seal is checked against the
 * line above. The first call after a change of direction begins again at that end.
 *
 * Returns RESEAT_OK, line->state RESEAT_LINE_NONE when all were given; or RESEAT_ERR_ARGUMENT,
 * _IO, _MEMORY with *line as it was.
 */
RESEAT_API reseat_status reseat_log_next(reseat_log *log, reseat_log_line *line,
                                         reseat_error *error);
RESEAT_API reseat_status reseat_log_previous(reseat_log *log, reseat_log_line *line,
                                             reseat_error *error);

/* The number of the line that begins at an offset: counts the lines before it. */
RESEAT_API reseat_status reseat_log_number(reseat_log *log, uint64_t offset, uint64_t *number,
                                           reseat_error *error);

/* How a record is appended; all zero for the ordinary case. */
typedef struct reseat_append {
    bool begin;                /* the log may be new; else there must be one */
    bool despite_damage;       /* append below damage too; it stays reported */
    bool dry_run;              /* do all but write */
    bool carry;                /* a policy: take over from the one in force what is not set ... */
    const reseat_field *drop;  /* ... but these fields, drop_count of them */
    size_t drop_count;
} reseat_append;

#define RESEAT_LOG_CARRIED_MAX 16

typedef struct reseat_appended {
    int64_t seq;
    char seal[RESEAT_SEAL_SIZE];
    bool began;              /* the log is new */
    uint64_t repaired_bytes; /* of a line cut short that were sealed off on the way; 0 for none */
    reseat_field carried[RESEAT_LOG_CARRIED_MAX]; /* taken over from the policy in force */
    size_t carried_count;
} reseat_appended;

/*
 * Appends a record: under the log's lock, in one write, on the disk before it returns RESEAT_OK.
 *
 *   dir, name  in      the folder, and the spindle
 *   record     in/out  of a type that people record, `seq`, `recorded_at` and `seal` left to the
 *                      log; `at` left out is now. Gets these, and its line, also in a dry run.
 *   how        in      NULL for the ordinary case
 *   appended   out     may be NULL
 *   error      out     what happened, and what to do; may be NULL
 *
 * A line cut short at the end is sealed off by a `repair` record first.
 *
 * Returns RESEAT_OK, else record and *appended are as they were before the call. Nothing was
 * recorded either, but for RESEAT_ERR_IO, whose text says it if that is not certain:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL, no type to record; the folder is not there
 *   RESEAT_ERR_SYNTAX     not the name of a log; a field missing
 *   RESEAT_ERR_RANGE      longer than a line may be
 *   RESEAT_ERR_NOT_FOUND  there is no such log, and none is to begin
 *   RESEAT_ERR_REFUSED    `at` more than RESEAT_LOG_AHEAD_SECONDS ahead of the clock, or left out
 *                         while the clock stands before the newest record; `voids` names no earlier
 *                         run, reseat, event, verify or policy, or one that is void; the log's last
 *                         record is of a later version
 *   RESEAT_ERR_DAMAGED    the end of the log is damaged; it is the log of another spindle
 *   RESEAT_ERR_BUSY       another writer kept the log locked for 10 s
 *   RESEAT_ERR_IO         reading or writing failed, or the disk did not confirm it
 *   RESEAT_ERR_MEMORY
 *
 * Held by tests/unit/log_append_test.c and tests/faults.
 */
RESEAT_API reseat_status reseat_log_append(const char *dir, const char *name,
                                           reseat_record *record, const reseat_append *how,
                                           reseat_appended *appended, reseat_error *error);

/* The newest record, as somebody wrote it down: `41:3f9a5c…`, 8 or more digits of its seal. */
typedef struct reseat_log_mark {
    int64_t seq;
    char seal[RESEAT_SEAL_SIZE];
} reseat_log_mark;

/* Reads SEQ:SEAL. Returns RESEAT_OK, _ARGUMENT, or _SYNTAX with *mark as it was. */
RESEAT_API reseat_status reseat_log_mark_parse(const char *text, size_t length,
                                               reseat_log_mark *mark, reseat_error *error);

#define RESEAT_LOG_WHAT_SIZE 240

/* A line that an audit found bad and not sealed off. */
typedef struct reseat_log_bad {
    uint64_t line;
    uint64_t offset;
    char what[RESEAT_LOG_WHAT_SIZE]; /* one line of English */
} reseat_log_bad;

typedef enum reseat_expected {
    RESEAT_EXPECTED_NOT_ASKED = 0,
    RESEAT_EXPECTED_FOUND = 1,
    RESEAT_EXPECTED_MISSING = 2,  /* no record of that number: the newest ones were cut off */
    RESEAT_EXPECTED_DIFFERENT = 3 /* it has another seal: the log was rewritten */
} reseat_expected;

typedef struct reseat_audit {
    bool whole;           /* every byte is a sound record or sealed off, and the mark was found */
    uint64_t records;     /* sound ones */
    uint64_t bad;         /* lines */
    uint64_t sealed_off;  /* lines */
    int64_t head_seq;     /* of the newest record; -1 if there is none */
    char head_seal[RESEAT_SEAL_SIZE];
    uint64_t backwards;   /* first line that was written at an earlier time than the one above it
                             says; 0 for none. Reported, no damage. */
    reseat_expected expected;
} reseat_audit;

/*
 * Holds every line against its seal, and the numbers against each other.
 *
 *   dir, name  in   the folder, and the spindle
 *   mark       in   a record that must be there; NULL if none was written down
 *   found      in   called for each bad line, from the first on; may be NULL
 *   context    in   handed to found
 *   audit      out
 *
 * Returns RESEAT_OK, also for a damaged log, else *audit is as it was before the call:
 *   RESEAT_ERR_ARGUMENT, _SYNTAX, _NOT_FOUND, _IO, _MEMORY  as reseat_log_open
 */
RESEAT_API reseat_status reseat_log_audit(const char *dir, const char *name,
                                          const reseat_log_mark *mark,
                                          void (*found)(void *context, const reseat_log_bad *bad),
                                          void *context, reseat_audit *audit, reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
