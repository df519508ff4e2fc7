/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The log of a spindle: DIR/NAME.jsonl, JSON Lines, a record on each, which is a flat object (RFC
 * 8259) with a seal. It is only ever appended to. Reading never writes and locks nobody out;
 * appending is durable or says so. reseat-log(5) describes the format. One table of fields drives
 * reading, checks, writing, what people type, columns and the schema.
 *
 * Errors carry one plain line: what happened, and what to do. Lines are numbered from 1.
 */
#ifndef RESEAT_LOG_H
#define RESEAT_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/seat.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_RECORD_VERSION 1        /* `v` of what is written */
#define RESEAT_RECORD_LINE_MAX 65536   /* bytes of a line without its LF */
#define RESEAT_RECORD_NOTE_MAX 1000    /* bytes of a note, and of a reason typed */
#define RESEAT_RECORD_NAME_MAX 64      /* bytes of the name of a spindle, probe, tip, person */
#define RESEAT_RECORD_COUNT_MAX 1024   /* entries of an array */
#define RESEAT_SEAL_SIZE 65            /* 64 hexadecimal digits and a NUL */

/* What a record says; the values are pinned. */
typedef enum reseat_record_type {
    RESEAT_RECORD_OTHER = 0, /* read: a type, or a `v`, that this version does not know */
    RESEAT_RECORD_LOG = 1,
    RESEAT_RECORD_RUN = 2,
    RESEAT_RECORD_RESEAT = 3,
    RESEAT_RECORD_EVENT = 4,
    RESEAT_RECORD_VERIFY = 5,
    RESEAT_RECORD_POLICY = 6,
    RESEAT_RECORD_VERDICT = 7,
    RESEAT_RECORD_VOID = 8,
    RESEAT_RECORD_REPAIR = 9,
    RESEAT_RECORD_GAUGE = 10 /* in the register of gauges alone */
} reseat_record_type;
#define RESEAT_RECORD_TYPE_COUNT 11

/* "run" and so on, as in the log; "" for RESEAT_RECORD_OTHER and for a value that is no type. */
RESEAT_API const char *reseat_record_type_name(reseat_record_type type);

/* The type of that name, or RESEAT_RECORD_OTHER. */
RESEAT_API reseat_record_type reseat_record_type_find(const char *name);

/* The values are pinned, and new ones come last: reseat_field_at has the order of writing. */
typedef enum reseat_field {
    RESEAT_FIELD_V = 0,
    RESEAT_FIELD_SEQ = 1,
    RESEAT_FIELD_TYPE = 2,
    RESEAT_FIELD_RECORDED_AT = 3,
    RESEAT_FIELD_SPINDLE = 4,
    RESEAT_FIELD_FORMAT = 5,
    RESEAT_FIELD_PROBE = 6,
    RESEAT_FIELD_AT = 7,
    RESEAT_FIELD_KIND = 8,
    RESEAT_FIELD_SEAT_DEG = 9,
    RESEAT_FIELD_WITHIN_DEG = 10,
    RESEAT_FIELD_OFFSET_X_MM = 11,
    RESEAT_FIELD_OFFSET_Y_MM = 12,
    RESEAT_FIELD_SHIFT_X_MM = 13,
    RESEAT_FIELD_SHIFT_Y_MM = 14,
    RESEAT_FIELD_SHIFT_U_MM = 15,
    RESEAT_FIELD_VERDICT = 16,
    RESEAT_FIELD_RUN_SEQ = 17,
    RESEAT_FIELD_SEAT = 18,
    RESEAT_FIELD_LIMIT_MM = 19,
    RESEAT_FIELD_ERROR_MM = 20,
    RESEAT_FIELD_CHANCE = 21,
    RESEAT_FIELD_CONFIDENCE = 22,
    RESEAT_FIELD_SEATS = 23,
    RESEAT_FIELD_RESEATS = 24,
    RESEAT_FIELD_MAX_AGE_DAYS = 25,
    RESEAT_FIELD_U_SEAT_MM = 26,
    RESEAT_FIELD_U_TURN_DEG = 27,
    RESEAT_FIELD_U_SPINDLE_MM = 28,
    RESEAT_FIELD_SPINDLE_X_MM = 29,
    RESEAT_FIELD_SPINDLE_Y_MM = 30,
    RESEAT_FIELD_U_TOUCH_MM = 31,
    RESEAT_FIELD_U_AXIAL_MM = 32,
    RESEAT_FIELD_LOBING_MM = 33,
    RESEAT_FIELD_TIP = 34,
    RESEAT_FIELD_REASONS = 35,
    RESEAT_FIELD_OFFSET_U_MM = 36,
    RESEAT_FIELD_OFFSET_DOF = 37,
    RESEAT_FIELD_IN_USE_X_MM = 38,
    RESEAT_FIELD_IN_USE_Y_MM = 39,
    RESEAT_FIELD_FOUND_X_MM = 40,
    RESEAT_FIELD_FOUND_Y_MM = 41,
    RESEAT_FIELD_RADIUS_MM = 42,
    RESEAT_FIELD_RADIUS_U_MM = 43,
    RESEAT_FIELD_DIRS_DEG = 44,
    RESEAT_FIELD_RADII_MM = 45,
    RESEAT_FIELD_STYLUS_LENGTH_MM = 46,
    RESEAT_FIELD_GAUGE = 47,
    RESEAT_FIELD_GAUGE_ID = 48,
    RESEAT_FIELD_GAUGE_DIAMETER_MM = 49,
    RESEAT_FIELD_TEMPERATURE_C = 50,
    RESEAT_FIELD_FEED_MM_MIN = 51,
    RESEAT_FIELD_TOUCHES = 52,
    RESEAT_FIELD_FORM_MM = 53,
    RESEAT_FIELD_REPEATABILITY_MM = 54,
    RESEAT_FIELD_WHY = 55,
    RESEAT_FIELD_VOIDS = 56,
    RESEAT_FIELD_OFFSET_BYTES = 57,
    RESEAT_FIELD_LENGTH_BYTES = 58,
    RESEAT_FIELD_SHA256 = 59,
    RESEAT_FIELD_BY = 60,
    RESEAT_FIELD_NOTE = 61,
    RESEAT_FIELD_SEAL = 62,
    RESEAT_FIELD_IMPORT_ROW = 63,
    RESEAT_FIELD_READING_X_MM = 64,
    RESEAT_FIELD_READING_Y_MM = 65,
    RESEAT_FIELD_NOW_X_MM = 66,
    RESEAT_FIELD_NOW_Y_MM = 67,
    RESEAT_FIELD_NOW_U_MM = 68,
    RESEAT_FIELD_U_SEAT_DOF = 69,
    RESEAT_FIELD_DOUBTS = 70,
    RESEAT_FIELD_VOIDS_TO = 71,
    RESEAT_FIELD_GAUGE_DIAMETER_U_MM = 72,
    RESEAT_FIELD_GAUGE_CERTIFICATE = 73,
    RESEAT_FIELD_GAUGE_DUE_AT = 74,
    RESEAT_FIELD_CALIBRATED_AT = 75,
    RESEAT_FIELD_EXPANSION_PER_K = 76,
    RESEAT_FIELD_EXPANSION_U_PER_K = 77,
    RESEAT_FIELD_COUNT = 78 /* may grow */
} reseat_field;

typedef enum reseat_kind {
    RESEAT_KIND_NUMBER = 0,
    RESEAT_KIND_NUMBER_OR_NULL = 1, /* null: the fact is that it was not recorded */
    RESEAT_KIND_INTEGER = 2,        /* up to 2^53 */
    RESEAT_KIND_TIME = 3,           /* RFC 3339 text in the log, whole seconds in memory */
    RESEAT_KIND_TEXT = 4,           /* UTF-8 without control characters, not empty */
    RESEAT_KIND_NUMBERS = 5,
    RESEAT_KIND_TEXTS = 6
} reseat_kind;

/* What a number counts: how it is typed, shown, and named as an option. */
typedef enum reseat_quantity {
    RESEAT_QUANTITY_PLAIN = 0,
    RESEAT_QUANTITY_LENGTH = 1, /* mm */
    RESEAT_QUANTITY_ANGLE = 2,  /* degrees */
    RESEAT_QUANTITY_SHARE = 3   /* a chance; `95%` may be typed for 0.95 */
} reseat_quantity;

/* What values look like. */
typedef struct reseat_shape {
    reseat_kind kind;
    reseat_quantity quantity;
    bool above, below;  /* least itself is excluded, or most */
    double least, most; /* of a number, or of each in an array; -DBL_MAX, DBL_MAX: open */
    size_t bytes_max;   /* of a text */
} reseat_shape;

/* A row of the table. */
typedef struct reseat_field_row {
    const char *name;
    const reseat_shape *shape;
    const char *choices;  /* the texts allowed, separated by blanks; NULL for any */
    unsigned required;    /* types that have it, bits 1u << reseat_record_type ... */
    unsigned optional;    /* ... and that may have it */
    const char *meaning;  /* a few words for help and schema */
} reseat_field_row;

/* The row of a field; NULL for a value that is no field. */
RESEAT_API const reseat_field_row *reseat_field_about(reseat_field field);

/* What a field is the size of when it is typed; what is read from a log is not judged by it. */
RESEAT_API reseat_size reseat_field_size(reseat_field field);

/* The field written at a place, from 0; RESEAT_FIELD_COUNT beyond the last, which is `seal`. */
RESEAT_API reseat_field reseat_field_at(size_t place);

/* The field of that name, or RESEAT_FIELD_COUNT. */
RESEAT_API reseat_field reseat_field_find(const char *name);

/*
 * The name that a field has as an option: less its unit, with dashes (`gauge-diameter`). Returns
 * its length and writes as snprintf does.
 */
RESEAT_API size_t reseat_field_option(reseat_field field, char *out, size_t size);

/*
 * The JSON Schema (2020-12) of a record of any type. Returns its length and writes as snprintf
 * does.
 */
RESEAT_API size_t reseat_record_schema(char *out, size_t size);

/* A record in memory. Not to be used by two threads at once. */
typedef struct reseat_record reseat_record;

/*
 * A new record without any field but `v` and `type`. Every record is freed with
 * reseat_record_free, which takes NULL too.
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT (record NULL, or no type that can be written) or
 * RESEAT_ERR_MEMORY, with *record as it was.
 */
RESEAT_API reseat_status reseat_record_new(reseat_record_type type, reseat_record **record);
RESEAT_API void reseat_record_free(reseat_record *record);

/*
 * What a record says. A field that is not there gives `absent`, NULL or 0; so does one asked for
 * as what it is not. Texts and arrays live as long as the record.
 */
RESEAT_API reseat_record_type reseat_record_type_of(const reseat_record *record);
RESEAT_API bool reseat_record_has(const reseat_record *record, reseat_field field);
RESEAT_API bool reseat_record_is_null(const reseat_record *record, reseat_field field);
RESEAT_API double reseat_record_number(const reseat_record *record, reseat_field field,
                                       double absent); /* null gives `absent` too */
RESEAT_API int64_t reseat_record_integer(const reseat_record *record, reseat_field field,
                                         int64_t absent); /* of times as well: seconds */
RESEAT_API const char *reseat_record_text(const reseat_record *record, reseat_field field);
RESEAT_API const double *reseat_record_numbers(const reseat_record *record, reseat_field field,
                                               size_t *count);

/* A field as plain text for a table; "" if not there. Returns and writes as snprintf does. */
RESEAT_API size_t reseat_record_show(const reseat_record *record, reseat_field field, char *out,
                                     size_t size);

/* The sealed line without LF, as it was read or made; NULL as long as there is none. */
RESEAT_API const char *reseat_record_line(const reseat_record *record, size_t *length);

/*
 * Give a field a value, or another; it must be one that the record's type takes. A line that the
 * record had is gone. Numbers go into number and integer fields, integers into these and times.
 *
 * Each returns RESEAT_OK, else the record is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL, or no field of this type, or not of this kind
 *   RESEAT_ERR_NOT_FINITE  a number is NaN or infinite
 *   RESEAT_ERR_RANGE       outside the field's range, or not whole in an integer field
 *   RESEAT_ERR_SYNTAX      a text that the field cannot hold
 *   RESEAT_ERR_MEMORY
 */
RESEAT_API reseat_status reseat_record_set_number(reseat_record *record, reseat_field field,
                                                  double value, reseat_error *error);
RESEAT_API reseat_status reseat_record_set_integer(reseat_record *record, reseat_field field,
                                                   int64_t value, reseat_error *error);
RESEAT_API reseat_status reseat_record_set_text(reseat_record *record, reseat_field field,
                                                const char *text, reseat_error *error);
RESEAT_API reseat_status reseat_record_set_numbers(reseat_record *record, reseat_field field,
                                                   const double *values, size_t count,
                                                   reseat_error *error);
RESEAT_API reseat_status reseat_record_add_text(reseat_record *record, reseat_field field,
                                                const char *text, reseat_error *error);

/*
 * Gives a field the value that a person typed: lengths with or without a unit, shares, times,
 * whole numbers, arrays separated by commas; a seat angle is brought to [0, 360).
 *
 *   unit   in   what a bare length is in
 *   error  out  what was expected and read; key: the field's option; may be NULL
 *
 * Returns as the functions above.
 */
RESEAT_API reseat_status reseat_record_set_typed(reseat_record *record, reseat_field field,
                                                 const char *text, reseat_unit unit,
                                                 reseat_error *error);

/*
 * Gives `seat_deg`, and `within_deg` where the type has it, what was typed for a seat: an angle,
 * or `unknown` for null. Other seats are refused, as no record holds them.
 */
RESEAT_API reseat_status reseat_record_set_seat(reseat_record *record, const reseat_seat *seat,
                                                reseat_error *error);

/*
 * Whether all fields are there that the type asks for, and pairs and arrays are whole. `v`, `seq`,
 * `recorded_at` and `seal` are not asked for, as the log gives them.
 *
 * Returns RESEAT_OK, RESEAT_ERR_ARGUMENT, or RESEAT_ERR_SYNTAX with the key in *error.
 */
RESEAT_API reseat_status reseat_record_check(const reseat_record *record, reseat_error *error);

#define RESEAT_LOG_GAUGES "gauges" /* the log that is the register of gauges */
#define RESEAT_LOG_NAME_SIZE (RESEAT_RECORD_NAME_MAX + 1)
#define RESEAT_LOG_AHEAD_SECONDS 300 /* a fact this far ahead of the clock is still taken */

#define RESEAT_LOG_ENTRY_SIZE 256

/* Names of logs, sorted by their bytes; and files that are none though they look like logs. */
typedef struct reseat_log_names {
    char (*names)[RESEAT_LOG_NAME_SIZE];
    size_t count;
    char (*alike)[RESEAT_LOG_ENTRY_SIZE]; /* `Mill-1.jsonl`, `mill-1.json` */
    size_t alike_count;
} reseat_log_names;

/*
 * Lists the logs of a folder; free them with reseat_log_names_free.
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

/*
 * What else a record must pass, asked under the lock of its log before it is written; it may give
 * fields values. Returns RESEAT_OK, or why nothing is to be recorded.
 */
typedef reseat_status reseat_append_check(void *context, reseat_record *record,
                                          reseat_error *error);

/* How a record is appended; all zero for the ordinary case. */
typedef struct reseat_append {
    bool begin;                /* the log may be new; else there must be one */
    bool despite_damage;       /* append below damage too; it stays reported */
    bool dry_run;              /* do all but write */
    bool carry;                /* a policy: take over from the one in force what is not set ... */
    const reseat_field *drop;  /* ... but these fields, drop_count of them */
    size_t drop_count;
    reseat_append_check *check; /* NULL: none */
    void *context;              /* handed to it */
} reseat_append;

#define RESEAT_LOG_CARRIED_MAX 16
#define RESEAT_LOG_PIECES_MAX 16
#define RESEAT_LOG_LEGIBLE_SIZE 320

/* Bad lines that were sealed off. */
typedef struct reseat_log_piece {
    uint64_t line;   /* the first */
    uint64_t lines;
    uint64_t offset; /* in bytes */
    uint64_t length;
    char text[RESEAT_LOG_LEGIBLE_SIZE]; /* what is legible, fit for a terminal; may be cut */
} reseat_log_piece;

typedef struct reseat_appended {
    int64_t seq;
    char seal[RESEAT_SEAL_SIZE];
    bool began;              /* the log is new */
    uint64_t repaired_bytes; /* of a line cut short that were sealed off on the way; 0 for none */
    reseat_field carried[RESEAT_LOG_CARRIED_MAX]; /* taken over from the policy in force */
    size_t carried_count;
    reseat_log_piece pieces[RESEAT_LOG_PIECES_MAX]; /* sealed off, the first of them ... */
    size_t piece_count;                             /* ... of so many */
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
 * A line cut short at the end is sealed off by a `repair` record first. A `repair` with `why` alone
 * seals off whatever an audit finds bad, and settles what was sealed off without a person: a record
 * for each piece, in one write, the one for the first piece last.
 *
 * Returns RESEAT_OK, else record and *appended are as they were before the call. Nothing was
 * recorded either, but for RESEAT_ERR_IO, whose text says it if that is not certain:
 *   RESEAT_ERR_ARGUMENT   a pointer is NULL, no type to record; the folder is not there
 *   RESEAT_ERR_SYNTAX     not the name of a log; a field missing
 *   RESEAT_ERR_RANGE      longer than a line may be
 *   RESEAT_ERR_NOT_FOUND  there is no such log, and none is to begin
 *   RESEAT_ERR_REFUSED    `at` more than RESEAT_LOG_AHEAD_SECONDS ahead of the clock, or left out
 *                         while the clock stands before the newest record; `voids` names no earlier
 *                         run, reseat, event, verify, policy or gauge, or one that is void; the
 *                         log's last record is of a later version; nothing is to be repaired
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
 *   RESEAT_ERR_ARGUMENT, _SYNTAX, _NOT_FOUND, _IO, _MEMORY  as reseat_records_open
 */
RESEAT_API reseat_status reseat_log_audit(const char *dir, const char *name,
                                          const reseat_log_mark *mark,
                                          void (*found)(void *context, const reseat_log_bad *bad),
                                          void *context, reseat_audit *audit, reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
