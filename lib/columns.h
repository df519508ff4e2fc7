/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Tables of numbers whose header names columns and units, in any order. Private to the library.
 */
#ifndef RESEAT_LIB_COLUMNS_H
#define RESEAT_LIB_COLUMNS_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/csv.h"
#include "reseat/units.h"

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
reseat_status columns_begin(reseat_csv *csv, const column_kind *kinds, size_t count, columns *c,
                            reseat_csv_row *header, reseat_error *error);

/* Fails with SYNTAX unless the table has the column. */
reseat_status columns_require(const columns *c, size_t kind, const reseat_csv_row *header,
                              reseat_error *error);

/* What the rows of a table are, and how one of them is read. */
typedef struct columns_table {
    const char *what; /* several of them: "touches" */
    size_t least;
    size_t most;
    /* Puts a row into a place of the list; with NULL for the list it is only checked. */
    reseat_status (*read)(const columns *c, const reseat_csv_row *row, void *list, size_t place,
                          reseat_error *error);
} columns_table;

/*
 * Reads the rows below the header, those with nothing in them passed over, into a list with room
 * for `room`. The list and *count stay as they are unless all of them can be read: SYNTAX, also
 * for a row with more fields than the header; TOO_FEW; RANGE for more than `most`; SPACE.
 */
reseat_status columns_read(reseat_csv csv, const columns *c, const columns_table *table, void *list,
                           size_t room, size_t *count, reseat_error *error);

/* The number of a column, lengths in mm; *value stays as it is where there is no such column. */
reseat_status columns_number(const columns *c, size_t kind, const reseat_csv_row *row,
                             double *value, reseat_error *error);

/* What a field says, and whether a row has nothing in it. */
bool columns_says(const reseat_csv_field *field, const char *text);
bool columns_is_empty(const reseat_csv_row *row);

/* Fills in line, column and key of a field; returns the status. */
reseat_status columns_error(const reseat_csv_row *row, size_t field, const char *key,
                            reseat_status status, reseat_error *error);

#endif
