/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_FILE_H
#define RESEAT_LOG_FILE_H

#include "log/files.h"
#include "log/lines.h"
#include "log/record.h"
#include "reseat/log.h"

/* A log from inside: what reading, appending and auditing share. */

/* Bytes [from, to) of a log. */
typedef struct byte_range {
    uint64_t from;
    uint64_t to;
} byte_range;

/* A log open for reading, as long as it was when it was opened. One thread at a time. */
typedef struct log_reader {
    const file_calls *calls;
    file_handle file;
    uint64_t end;
    char name[RESEAT_LOG_NAME_SIZE];
    bool has_head;           /* its first sound line is a `log` record */
    byte_range front;        /* bytes above that one which are yet to be sealed off */
    line_forward *forward;   /* NULL until used, as is the next; never both in use */
    line_backward *backward;
    bool backwards;          /* which of the two the last call went by */
    byte_range bad;          /* the bad lines being given: those between two sound ones */
    byte_range sealed_off;   /* what of them a repair record names */
} log_reader;

/*
 * Opens a log to be read. If its last line is cut short, up to 200 ms are waited for its end, as
 * a writer may be at work.
 *
 *   calls      in   for the disk
 *   dir, name  in   the folder, and the spindle
 *   log        out  stands at the first line; to be closed with log_close
 *
 * Returns RESEAT_OK, else *log is as it was before the call:
 *   RESEAT_ERR_ARGUMENT   the folder is not there
 *   RESEAT_ERR_SYNTAX     not the name of a log
 *   RESEAT_ERR_NOT_FOUND  there is no such log
 *   RESEAT_ERR_DAMAGED    it is the log of another spindle
 *   RESEAT_ERR_IO         it cannot be read, or is no file
 *   RESEAT_ERR_MEMORY
 *
 * Memory  some 400 KiB, whatever the length of the log.
 */
reseat_status log_open(const file_calls *calls, const char *dir, const char *name,
                       log_reader **log, reseat_error *error);
void log_close(log_reader *log);

/* The same, and the log of another spindle is opened, too. */
reseat_status log_open_any(const file_calls *calls, const char *dir, const char *name,
                           log_reader **log, reseat_error *error);

/* What the public functions do, through the calls given. */
reseat_status log_list(const file_calls *calls, const char *dir, reseat_log_names *names,
                       reseat_error *error);
reseat_status log_append(const file_calls *calls, const char *dir, const char *name,
                         reseat_record *record, const reseat_append *how,
                         reseat_appended *appended, reseat_error *error);
reseat_status log_audit(const file_calls *calls, const char *dir, const char *name,
                        const reseat_log_mark *mark,
                        void (*found)(void *context, const reseat_log_bad *bad), void *context,
                        reseat_audit *audit, reseat_error *error);

/*
 * The next line from the start on, or from the end backwards; each seal is checked against the
 * line above. The first call after a change of direction begins again at that end.
 *
 * Returns RESEAT_OK, line->state RESEAT_LINE_NONE when all were given; or RESEAT_ERR_IO, _MEMORY
 * with *line as it was.
 */
reseat_status log_next(log_reader *log, reseat_log_line *line, reseat_error *error);
reseat_status log_previous(log_reader *log, reseat_log_line *line, reseat_error *error);

/* A log on a file that is open and `end` bytes long; it is closed with the log. */
reseat_status log_wrap(const file_calls *calls, file_handle file, const char *name, uint64_t end,
                       log_reader **log, reseat_error *error);

/*
 * Finds out whose log it is: RESEAT_ERR_DAMAGED if another spindle's; sets has_head and
 * front. Reading goes on at the start.
 */
reseat_status log_check_head(log_reader *log, reseat_error *error);

/* The number of the line that begins at an offset: counts the lines before it. */
reseat_status log_number(log_reader *log, uint64_t offset, uint64_t *number, reseat_error *error);

/* Finds out which of the bad lines log->bad are sealed off. */
reseat_status log_find_sealed_off(log_reader *log, reseat_error *error);

/* Hashes the range, and one LF behind it if asked to; digits has room for 64 and a NUL. */
file_fault log_hash(const file_calls *calls, file_handle file, byte_range range, bool with_lf,
                    char *digits);

/* Whether a name may be one, with the error if not. */
reseat_status log_check_name(const char *name, reseat_error *error);

/* The error for a log that is not there, or whose folder is not. */
reseat_status log_missing(const file_calls *calls, const char *dir, const char *name,
                          reseat_error *error);

/* The error for a log that cannot be read. */
reseat_status log_io_error(const char *name, file_fault fault, reseat_error *error);

/*
 * What can be told of a record from the first bytes of its line, without reading all of it: lines
 * as the library writes them begin with `v`, `seq`, `type`, `recorded_at` in this order and form.
 */
typedef struct record_glance {
    int64_t seq;
    reseat_record_type type;  /* OTHER: not known */
    const char *recorded_at;  /* 20 characters, in which earlier is smaller */
    const char *rest;         /* what follows them, from its comma or brace on */
    const char *probe;        /* the probe named right there, NULL if none is or it is escaped */
    size_t probe_length;
} record_glance;
#define GLANCE_TIME 20

/* False if a line does not begin so; then it must be read to be known. */
bool log_glance(const char *line, size_t length, record_glance *glance);

/* Whether a line names a probe, and another one than this. */
bool glance_is_of_other(const record_glance *glance, const char *probe);

#endif
