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

/* Whether a row with anything in it is left; steps over those with nothing. */
bool columns_more(reseat_csv *csv);

/* Reads the next row. SYNTAX also where it has more fields than the header. */
reseat_status columns_next(const columns *c, reseat_csv *csv, reseat_csv_row *row,
                           reseat_error *error);

/* The number of a column, lengths in mm; *value stays as it is where there is no such column. */
reseat_status columns_number(const columns *c, size_t kind, const reseat_csv_row *row,
                             double *value, reseat_error *error);

/* Fills in line, column and key of a field; returns the status. */
reseat_status columns_error(const reseat_csv_row *row, size_t field, const char *key,
                            reseat_status status, reseat_error *error);

#endif
