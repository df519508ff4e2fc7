/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_CSV_H
#define RESEAT_BASE_CSV_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/status.h"
#include "reseat/values.h"

#define CSV_FIELDS_MAX 256

/* Where a reader stands. Start with csv_start. */
typedef struct csv_reader {
    const char *text;
    size_t length;
    size_t position; /* of the next row; just after a byte order mark at the start */
    size_t line;     /* of the next row, from 1 */
} csv_reader;

typedef struct csv_field {
    const char *text; /* blanks around it left out; if quoted, what stands between the quotes */
    size_t length;
    size_t column;    /* byte of the row at which `text` begins, from 1 */
    bool quoted;      /* a quote inside is still doubled */
} csv_field;

typedef struct csv_row {
    const char *text; /* the whole row as it stands, without its line end */
    size_t length;
    size_t ending;    /* bytes of line end that follow: 0 at the end of the text, 1 or 2 */
    size_t line;      /* in which the row begins, from 1; quoted fields may hold line ends */
    size_t count;     /* fields; an empty row has one, which is empty */
    csv_field fields[CSV_FIELDS_MAX];
} csv_row;

/* A reader before the first row; a byte order mark is stepped over. text may be NULL with 0. */
csv_reader csv_start(const char *text, size_t length);

/* Whether a row is left. */
bool csv_more(const csv_reader *csv);

/*
 * Reads the next row.
 *
 *   csv    in   moved behind the row
 *   row    out  the row and its fields
 *   error  out  line and column of what is wrong; may be NULL
 *
 * Fields are separated by commas; a row ends in CR LF, LF, or where the text ends, a CR before that
 * end included. Blanks and tabs around a field do not belong to it. A quoted field may hold commas,
 * line ends and doubled quotes.
 *
 * Returns RESEAT_OK, else csv and *row are as they were:
 *   RESEAT_ERR_ARGUMENT   csv or row is NULL
 *   RESEAT_ERR_NOT_FOUND  no row is left
 *   RESEAT_ERR_SYNTAX     a quote in the middle of a field, text after a closing quote, or a quote
 *                         never closed
 *   RESEAT_ERR_SPACE      more than CSV_FIELDS_MAX fields
 *
 * Threads   no shared state.      Memory  allocates nothing.
 */
reseat_status csv_next(csv_reader *csv, csv_row *row,
                                         reseat_error *error);

/*
 * Reads a field as a number (reseat_number_parse).
 *
 *   row, index  in   a row and which of its fields; a field that is not there counts as empty
 *   key         in   name of the column, for the error; not NULL
 *   value       out  finite
 *   error       out  line, column, key and what was expected; may be NULL
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _SYNTAX, _NOT_FINITE with *value as it was.
 */
reseat_status csv_number(const csv_row *row, size_t index, const char *key,
                                           double *value, reseat_error *error);

/*
 * Tables of numbers whose header names columns and units, in any order. Private to the library.
 */

#define COLUMNS_MAX 8

/* A column that a table may have. A length is named here without its unit: `x` for `x_mm`. */
typedef struct column_kind {
    const char *name;
    bool length;
} column_kind;

/* Where the columns of a table stand. */
typedef struct columns {
    const column_kind *kinds;
    size_t count;
    size_t fields[COLUMNS_MAX]; /* of each kind; COLUMNS_ABSENT where the table has none */
    size_t fields_in_row;
    reseat_unit unit;           /* of the lengths; mm if there are none */
} columns;

#define COLUMNS_ABSENT ((size_t)-1)

/*
 * Reads the header, the first row with anything in it. SYNTAX, with line, column and key, where
 * there is none or a column in it is unknown, twice or in another unit than those before.
 */
reseat_status columns_begin(csv_reader *csv, const column_kind *kinds, size_t count, columns *c,
                            csv_row *header, reseat_error *error);

/* Fails with SYNTAX unless the table has the column. */
reseat_status columns_require(const columns *c, size_t kind, const csv_row *header,
                              reseat_error *error);

/* What the rows of a table are, and how one of them is read. */
typedef struct columns_table {
    const char *what; /* several of them: "touches" */
    size_t least;
    size_t most;
    /* Puts a row into a place of the list; with NULL for the list it is only checked. */
    reseat_status (*read)(const columns *c, const csv_row *row, void *list, size_t place,
                          reseat_error *error);
} columns_table;

/*
 * Reads the rows below the header, those with nothing in them passed over, into a list with room
 * for `room`. The list and *count stay as they are unless all of them can be read: SYNTAX, also
 * for a row with more fields than the header; TOO_FEW; RANGE for more than `most`; SPACE.
 */
reseat_status columns_read(csv_reader csv, const columns *c, const columns_table *table, void *list,
                           size_t room, size_t *count, reseat_error *error);

/* The number of a column, lengths in mm; *value stays as it is where there is no such column. */
reseat_status columns_number(const columns *c, size_t kind, const csv_row *row,
                             double *value, reseat_error *error);

/* What a field says, and whether a row has nothing in it. */
bool columns_says(const csv_field *field, const char *text);
bool columns_is_empty(const csv_row *row);

/* Fills in line, column and key of a field; returns the status. */
reseat_status columns_error(const csv_row *row, size_t field, const char *key,
                            reseat_status status, reseat_error *error);

#endif
