/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The end of a log as the next record finds it: the last sound record, and what stands behind. */
#ifndef RESEAT_LOG_TAIL_H
#define RESEAT_LOG_TAIL_H

#include "log_file.h"

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
reseat_status log_find_tail(const reseat_log *log, log_tail *tail, reseat_error *error);

#endif
