/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Rows of comma separated values (RFC 4180) in memory. Rows and fields point into the text, so
 * that what is not understood can be passed on byte for byte.
 */
#ifndef RESEAT_CSV_H
#define RESEAT_CSV_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_CSV_FIELDS_MAX 256

/* Where a reader stands. Start with reseat_csv_start. */
typedef struct reseat_csv {
    const char *text;
    size_t length;
    size_t position; /* of the next row; just after a byte order mark at the start */
    size_t line;     /* of the next row, from 1 */
} reseat_csv;

typedef struct reseat_csv_field {
    const char *text; /* blanks around it left out; if quoted, what stands between the quotes */
    size_t length;
    size_t column;    /* byte of the row at which `text` begins, from 1 */
    bool quoted;      /* a quote inside is still doubled */
} reseat_csv_field;

typedef struct reseat_csv_row {
    const char *text; /* the whole row as it stands, without its line end */
    size_t length;
    size_t ending;    /* bytes of line end that follow: 0 at the end of the text, 1 or 2 */
    size_t line;      /* in which the row begins, from 1; quoted fields may hold line ends */
    size_t count;     /* fields; an empty row has one, which is empty */
    reseat_csv_field fields[RESEAT_CSV_FIELDS_MAX];
} reseat_csv_row;

/* A reader before the first row; a byte order mark is stepped over. text may be NULL with 0. */
RESEAT_API reseat_csv reseat_csv_start(const char *text, size_t length);

/* Whether a row is left. */
RESEAT_API bool reseat_csv_more(const reseat_csv *csv);

/*
 * Reads the next row.
 *
 *   csv    in   moved behind the row
 *   row    out  the row and its fields
 *   error  out  line and column of what is wrong; may be NULL
 *
 * Fields are parted by commas; a row ends in CR LF, LF, or where the text ends, a CR before that
 * end included. Blanks and tabs around a field do not belong to it. A quoted field may hold commas,
 * line ends and doubled quotes.
 *
 * Returns RESEAT_OK, else csv and *row are as they were:
 *   RESEAT_ERR_ARGUMENT   csv or row is NULL
 *   RESEAT_ERR_NOT_FOUND  no row is left
 *   RESEAT_ERR_SYNTAX     a quote in the middle of a field, text after a closing quote, or a quote
 *                         never closed
 *   RESEAT_ERR_SPACE      more than RESEAT_CSV_FIELDS_MAX fields
 *
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_csv_next(reseat_csv *csv, reseat_csv_row *row,
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
RESEAT_API reseat_status reseat_csv_number(const reseat_csv_row *row, size_t index, const char *key,
                                           double *value, reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
