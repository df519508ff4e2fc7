/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_FILE_H
#define RESEAT_LOG_FILE_H

#include "log/files.h"
#include "log/record.h"
#include "log/seal.h"
#include "reseat/log.h"

/* A log from inside: what reading, appending and auditing share. */

/* Bytes [from, to) of a log. */
typedef struct byte_range {
    uint64_t from;
    uint64_t to;
} byte_range;

/* Lines of a file, forwards and backwards through one window, each held against its seal. */

typedef struct raw_line {
    bool there;       /* false: there are no more lines */
    const char *text; /* until the next call; NULL if longer than RESEAT_RECORD_LINE_MAX */
    uint64_t offset;
    uint64_t length;  /* without LF */
    uint64_t end;     /* offset of what follows, its LF passed over */
    bool ended;       /* by an LF */
    bool closes;      /* ends in "} as every record does, or did once */
    const char *seal; /* its 64 digits, if it ends as a sealed line does; else NULL */
    bool holds;       /* the seal is that of the line below the nearest sealed one above */
} raw_line;

#define LINES_SIZE (4 * (size_t)RESEAT_RECORD_LINE_MAX)

typedef struct line_reader {
    const file_calls *calls;
    file_handle file;
    uint64_t end;  /* nothing is read beyond; less than it was where the file has shrunk */
    uint64_t at;   /* where the next line begins or, backwards, ends: set it to go there */
    bool trusting; /* every line that ends in a seal holds: none is computed */
    size_t step;   /* how much is read at once */
    uint64_t from; /* offset of bytes[0] */
    size_t size;   /* bytes in the window */
    char above[SEAL_DIGITS];
    char bytes[LINES_SIZE];
} line_reader;

/* Begins at the start of a file. */
void line_start(line_reader *lines, const file_calls *calls, file_handle file, uint64_t end);

file_fault line_next(line_reader *lines, raw_line *line);
file_fault line_previous(line_reader *lines, raw_line *line);

/* Hashes the range, and one LF behind it if asked to; digits has room for 64 and a NUL. */
file_fault line_hash(const line_reader *lines, byte_range range, bool with_lf, char *digits);

/* A log open for reading, as long as it was when it was opened. One thread at a time. */
typedef struct log_reader {
    char name[RESEAT_LOG_NAME_SIZE];
    bool has_head;         /* its first sound line is a `log` record */
    byte_range front;      /* bytes above that one which are yet to be sealed off */
    bool backwards;        /* which way the last line was given */
    uint64_t number;       /* lines given forwards */
    byte_range bad;        /* the bad lines being given: those between two sound ones */
    byte_range sealed_off; /* what of them the repair record right below names */
    byte_range *looked_at; /* what repair records seal off that say why, however far below ... */
    size_t looked_count;
    size_t looked_room;
    uint64_t looked_from;  /* ... as far as the lines from there on tell */
    line_reader lines;
} log_reader;

/* What the public functions do, through the calls given; log_open_any does not check the head. */
reseat_status log_open_any(const file_calls *calls, const char *dir, const char *name,
                       log_reader **log, reseat_error *error);
reseat_status log_list(const file_calls *calls, const char *dir, reseat_log_names *names,
                       reseat_error *error);
reseat_status log_append(const file_calls *calls, const char *dir, const char *name,
                         reseat_record *record, const reseat_append *how,
                         reseat_appended *appended, reseat_error *error);
reseat_status log_audit(const file_calls *calls, const char *dir, const char *name,
                        const reseat_log_mark *mark,
                        void (*found)(void *context, const reseat_log_bad *bad), void *context,
                        reseat_audit *audit, reseat_error *error);

/* A log on a file that is open and `end` bytes long; it is closed with the log. */
reseat_status log_wrap(const file_calls *calls, file_handle file, const char *name, uint64_t end,
                       log_reader **log, reseat_error *error);

/*
 * Finds out whose log it is: RESEAT_ERR_DAMAGED if another spindle's; sets has_head and
 * front. Reading goes on at the start.
 */
reseat_status log_check_head(log_reader *log, reseat_error *error);

/*
 * Whether a person has looked at the bytes of a line and sealed them off: a repair record that says
 * why seals off the bytes that it names, wherever it stands below them, if their hash is right.
 * What is a sound record stays one.
 */
reseat_status log_is_looked_at(log_reader *log, const reseat_log_line *line, bool *yes,
                               reseat_error *error);

/* Whether a repair record that begins at `offset` is right about the bytes that it names. */
file_fault log_seals_off(const log_reader *log, const reseat_record *repair, uint64_t offset,
                         byte_range *named, bool *right);

/* What is bad between two sound records; `lines` of it, the first of them the line `first`. */
typedef struct log_piece {
    byte_range bytes;
    uint64_t first, lines;
} log_piece;

typedef struct log_pieces {
    log_piece *items;
    size_t count, room;
} log_pieces;

/*
 * The pieces that nobody has looked at yet, from the start on; pieces->items is to be freed.
 * RESEAT_ERR_REFUSED where there are none.
 */
reseat_status log_find_pieces(log_reader *log, log_pieces *pieces, reseat_error *error);

/* The bytes of a line with its LF. */
byte_range line_bytes(const log_reader *log, const reseat_log_line *line);

/* Adds a piece, which need not say its lines, to what is told of an append. */
reseat_status log_note_piece(log_reader *log, const log_piece *piece, reseat_appended *done,
                             reseat_error *error);

/* Has a repair record name a range, and an LF behind it if asked to. */
reseat_status log_seal_off(log_reader *log, byte_range range, bool with_lf, reseat_record *repair,
                           reseat_error *error);

/* The number of the line that begins at an offset: counts the lines before it. */
reseat_status log_number(log_reader *log, uint64_t offset, uint64_t *number, reseat_error *error);

/* Whether a spindle may have the name; the error where not. */
reseat_status log_check_name(const char *name, reseat_error *error);

/* Whether people record that in the log of that name: gauges in the register, others elsewhere. */
reseat_status log_check_type(const char *name, reseat_record_type type, reseat_error *error);

/* Writes DIR/NAME.jsonl, also of the register, with the error where that is no name or too long. */
#define FILE_PATH_SIZE 4096
reseat_status log_path(const char *dir, const char *name, char *path, reseat_error *error);

/* The error for a log that is not there, or whose folder is not. */
reseat_status log_missing(const file_calls *calls, const char *dir, const char *name,
                          reseat_error *error);

/* The error for a log that cannot be read. */
reseat_status log_io_error(const char *name, file_fault fault, reseat_error *error);

/* Reads the line at an offset as a record; *record is NULL if it is none. */
reseat_status log_read_record(log_reader *log, uint64_t offset, reseat_record **record,
                              reseat_error *error);

/*
 * Where the first line begins that was written at that time or later: every line above was written
 * before, whatever clocks did. The end of the log where there is none. One forward glance at the
 * bytes; no seal is computed.
 */
reseat_status log_first_written(log_reader *log, int64_t time, uint64_t *offset,
                                reseat_error *error);

/*
 * What can be told of a record from the first bytes of its line, without reading all of it: lines
 * as the library writes them begin with `v`, `seq`, `type`, `recorded_at` in this order and form.
 */
typedef struct record_glance {
    int64_t seq;
    reseat_record_type type;  /* OTHER: not known */
    const char *recorded_at;  /* 20 characters, in which earlier is smaller */
    const char *probe;        /* the probe named right there, NULL if none is or it is escaped */
    size_t probe_length;
    const char *at;           /* 20 characters behind the probe; NULL if there are none */
} record_glance;
#define GLANCE_TIME 20

/* False if a line does not begin so; then it must be read to be known. */
bool log_glance(const char *line, size_t length, record_glance *glance);

/* Whether a line names a probe, and another one than this. */
bool glance_is_of_other(const record_glance *glance, const char *probe);

/*
 * Opens a log to be read. If its last line is cut short, up to 200 ms are waited for its end, as
 * a writer may be at work.
 *
 *   dir, name  in   the folder, and the spindle
 *   log        out  stands at the first line; to be closed with log_close
 *
 * Returns RESEAT_OK, else *log is as it was before the call:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL; the folder is not there
 *   RESEAT_ERR_SYNTAX     not the name of a log
 *   RESEAT_ERR_NOT_FOUND  there is no such log
 *   RESEAT_ERR_DAMAGED    it is the log of another spindle
 *   RESEAT_ERR_IO         it cannot be read, or is no file
 *   RESEAT_ERR_MEMORY
 *
 * Memory  some 260 KiB, whatever the length of the log.
 */
reseat_status log_open(const file_calls *calls, const char *dir, const char *name,
                       log_reader **log, reseat_error *error);
void log_close(log_reader *log);

/*
 * The next line from the start on, or from the end backwards; each seal is checked against the
 * line above. The first call after a change of direction begins again at that end.
 *
 * Returns RESEAT_OK, line->state RESEAT_LINE_NONE when all were given; or RESEAT_ERR_ARGUMENT,
 * _IO, _MEMORY with *line as it was.
 */
reseat_status log_next(log_reader *log, reseat_log_line *line, reseat_error *error);
reseat_status log_previous(log_reader *log, reseat_log_line *line, reseat_error *error);

/* A log from its newest record back, so that what is void is known before it is met. */

/* Records that are void, and the one that voids them. */
typedef struct walk_void {
    int64_t first, last;
    int64_t by;
} walk_void;

typedef struct log_walk {
    log_reader *log;
    walk_void *voided; /* named by void records met so far, their records not yet */
    size_t count;
    size_t room;
    int64_t until; /* voids written later do not count */
} log_walk;

/* A line on the way. Of a sound one the fields below `line` are known, unless `invalid`. */
typedef struct walk_step {
    reseat_log_line line;
    int64_t v;
    int64_t seq;
    reseat_record_type type;
    char recorded_at[RESEAT_TIME_SIZE];
    int64_t voids, voids_to; /* numbers of the first and last record that it voids; -1 if none */
    record_glance seen; /* what its first bytes say; all zero where it had to be read whole */
    int64_t voided_by;  /* number of the record that voids it; -1 if none does */
    bool invalid;       /* sealed, but no record; its type is OTHER */
    reseat_error why;   /* of an invalid one: key and text */
} walk_step;

/*
 * Fill in what the sound line of a step says: by its first bytes, which mostly tell, or read whole,
 * which returns RESEAT_OK, also for no record, or RESEAT_ERR_MEMORY.
 */
bool walk_glance(walk_step *step);
reseat_status walk_read(walk_step *step);

void walk_start(log_walk *walk, log_reader *log);

/* Whether what a sound line says was written by a time; one that does not say when counts as so. */
bool walk_was_known(const walk_step *step, int64_t until);
void walk_end(log_walk *walk);

/* The next line back; RESEAT_OK with line.state RESEAT_LINE_NONE at the start of the log. */
reseat_status walk_previous(log_walk *walk, walk_step *step, reseat_error *error);

/*
 * Whether what a void record names is there, of a type that can be void, and not yet so; of several
 * one must be. The log is NULL where there is none. RESEAT_ERR_REFUSED where it may not.
 */
reseat_status walk_check_void(log_reader *log, const reseat_record *record, reseat_error *error);

/*
 * The policy in force, NULL if none: the newest that is not void. RESEAT_ERR_DAMAGED where a line
 * that cannot be read may have been one, unless damage is to be passed over.
 */
reseat_status walk_find_policy(log_reader *log, bool despite, reseat_record **policy,
                               reseat_error *error);

/* Whether people can take a record of this type back. */
bool walk_can_void(reseat_record_type type);

#endif
