/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_RECORD_H
#define RESEAT_LOG_RECORD_H

#include "reseat/log.h"

/* A record from inside. */

typedef struct record_value {
    bool has;
    bool null;
    size_t count; /* of numbers or texts */
    union {
        double number;            /* NUMBER, NUMBER_OR_NULL */
        int64_t integer;          /* INTEGER, TIME */
        const char *text;         /* TEXT */
        const double *numbers;    /* NUMBERS */
        const char *const *texts; /* TEXTS */
        void *owned;              /* the last three, to be freed */
    } as;
} record_value;

struct reseat_record {
    reseat_record_type type;
    char *line; /* NULL as long as there is none */
    size_t line_length;
    record_value values[RESEAT_FIELD_COUNT];
};

/* 2^53: doubles hold every whole number up to it. */
#define RECORD_WHOLE_MAX 9007199254740992LL

/* Whether a bound of a shape is none. */
bool record_is_open(double bound);

/* Whether a type takes a field; every type has `v`, `seq` and so on. */
bool record_takes(reseat_record_type type, reseat_field field);

/* Whether a type must have a field, all of those that the log gives included. */
bool record_requires(reseat_record_type type, reseat_field field);

/* Whether a field is one that only policies take, so that it says something of its own. */
bool record_is_policy(reseat_field field);

/* Fields of which neither means anything without the other. */
#define RECORD_PAIR_COUNT 5
extern const reseat_field record_pairs[RECORD_PAIR_COUNT][2];

/* What a gauge check says, X, Y and u: how far the gauge moved, or the offset itself. */
extern const reseat_field record_measured[2][3];

/*
 * Whether a text names a log: [a-z0-9][a-z0-9._-]{0,63}, and none that is kept; NULL does not. Kept
 * are names, not empty, that some system would take for a device or write otherwise, and `gauges`.
 */
bool log_is_name(const char *name);
bool log_is_kept(const char *name);
bool log_is_register(const char *name); /* `gauges` */

/*
 * Check a value and put a copy of it into a field of its kind, whatever the record's type; a line
 * that the record has is left. They return as the public setters, which call them, with the field
 * as key. A number goes into an integer field too.
 */
reseat_status record_put(reseat_record *record, reseat_field field, record_value value,
                         reseat_error *error);
reseat_status record_put_number(reseat_record *record, reseat_field field, double value,
                                reseat_error *error);

/* A field of another record of any type, or none where that has none. */
reseat_status record_copy_value(reseat_record *to, reseat_field field, const reseat_record *from);

/* A record with the same values, and no line; and two records with each other's contents. */
reseat_status record_copy(const reseat_record *record, reseat_record **copy);
void record_swap(reseat_record *a, reseat_record *b);

/*
 * As reseat_record_check, less one field that may still be missing (RESEAT_FIELD_COUNT: none; else
 * also the shift of a gauge check that has a reading);
 * what the log gives must be there too where that is asked for.
 */
reseat_status record_check(const reseat_record *record, reseat_field but, bool given,
                           reseat_error *error);

/*
 * Writes a whole record, `seq` and `recorded_at` included, as a line and seals it below the nearest
 * sealed line, whose 64 digits are `above` (NULL: none). reseat_log_append does this for a log.
 *
 * Returns as reseat_record_check, or RANGE for a line above RESEAT_RECORD_LINE_MAX, or MEMORY, with
 * the record as it was. The seal is SHA-256(above || bytes before `,"seal":`) in hexadecimal.
 */
reseat_status record_seal(reseat_record *record, const char *above, reseat_error *error);

/* The record of a line, NULL where it is none. Returns RESEAT_OK or RESEAT_ERR_MEMORY. */
reseat_status record_of_line(const char *line, size_t length, reseat_record **record,
                             reseat_error *error);

/*
 * Reads a line of a log, without its LF, into a record to be freed. Its seal is not compared with
 * the line above: reading a log does that. Fields that the table does not give the type are kept in
 * the line and otherwise ignored. A type that is not known, or a `v` above 1, is read as
 * RESEAT_RECORD_OTHER with the fields that every record has and, if they are there, `probe` and
 * `at`. An error names the field or, for what is no JSON, the byte. Numbers are exact to the bit.
 *
 * Returns RESEAT_OK, else *record is as it was: SYNTAX for no JSON object of a record (too long,
 * NUL, bad UTF-8, nested more than 8 deep, a duplicate key, a field missing or of the wrong type,
 * no seal last), NOT_FINITE for a number too large for a double, RANGE, ARGUMENT or MEMORY.
 */
reseat_status record_parse(const char *line, size_t length, reseat_record **record,
                           reseat_error *error);

reseat_status record_set_null(reseat_record *record, reseat_field field, reseat_error *error);
void record_clear(reseat_record *record, reseat_field field);

#endif
