/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_APPEND_H
#define RESEAT_LOG_APPEND_H

#include "log/file.h"

/* The end of a log as the next record finds it: the last sound record, and what stands behind. */

typedef struct log_tail {
    uint64_t end;           /* length of the file */
    bool has_last;          /* there is a sound record; else the three below mean nothing */
    int64_t v;
    int64_t seq;
    int64_t recorded_at;
    bool lacks_lf;          /* the last byte of the file is no LF, and there is one */
    bool has_above;         /* some line ends in a seal ... */
    char above[SEAL_DIGITS]; /* ... the last of them in this one */
    byte_range rest;        /* bytes behind the last sound record; empty if from == to */
    uint64_t rest_records;  /* lines of the rest that end as records do: it is damage */
} log_tail;

/* Reads back from the end of a log to its last sound record. */
reseat_status log_find_tail(const log_reader *log, log_tail *tail, reseat_error *error);

/* An append on its way, from the lock to the disk. */

typedef struct append_work {
    const file_calls *calls;
    const char *dir;
    const char *name;
    const reseat_append *how;
    char path[FILE_PATH_SIZE];
    log_reader *log;         /* locked, unless a dry run; NULL in one where there is no file */
    log_tail tail;
    int64_t now;
    reseat_record *record;   /* a copy of the caller's, completed on the way */
    char *bytes;             /* all that is to be written, in one piece */
    size_t count;
    reseat_appended done;
} append_work;

/* What reseat_log_append does, through the calls given. */
reseat_status log_append(const file_calls *calls, const char *dir, const char *name,
                         reseat_record *record, const reseat_append *how,
                         reseat_appended *appended, reseat_error *error);

/* Opens the log and locks it, or finds that there is none yet; work->log is to be closed. */
reseat_status append_open(append_work *work, reseat_error *error);

/* Rules that hold between records: clock, what is void, what a policy takes over. */
reseat_status append_check_rules(append_work *work, reseat_error *error);

/* Puts together the lines that are to be written. */
reseat_status append_build(append_work *work, reseat_error *error);

#endif
