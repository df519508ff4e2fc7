/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_CSV_H
#define RESEAT_BASE_CSV_H

#include "base/error.h"
#include "reseat/values.h"

#define CSV_FIELDS_MAX 256

/* Where a reader stands. Start with csv_start. */
typedef struct csv_reader {
    const char *text;
    size_t length;
    size_t position; /* of the next row; just after a byte order mark at the start */
    size_t line;     /* of the next row, from 1 */
    char separator;  /* `,`, `;` or a tab */
    bool comma;      /* numbers are written with a decimal comma, as some of them have one */
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
    char separator;
    csv_field fields[CSV_FIELDS_MAX];
} csv_row;

/*
 * A reader before the first row; a byte order mark is stepped over. text may be NULL with 0.
 *
 * The first row with anything in it, which is the header, tells the separator: the one of tab
 * (between two names), semicolon and comma that stands there most often, of equals the first named.
 * With tabs and semicolons a number may have a decimal comma.
 */
csv_reader csv_start(const char *text, size_t length);

/* Whether a row is left. */
bool csv_more(const csv_reader *csv);

/* The same, with rows of nothing but blanks, separators and empty quotes stepped over. */
bool csv_more_filled(csv_reader *csv);

/*
 * Reads the next row and moves behind it. A row ends in CR LF, LF, or where the text ends, a CR
 * before that end included. Blanks around a field do not belong to it, nor do tabs that are not
 * the separator. A quoted field may hold separators, line ends and doubled quotes.
 *
 * Returns RESEAT_OK, else csv and *row are as they were: NOT_FOUND where no row is left, SYNTAX for
 * a quote out of place or never closed, SPACE for more than CSV_FIELDS_MAX fields.
 */
reseat_status csv_next(csv_reader *csv, csv_row *row, reseat_error *error);

/* The field at an index; an empty one behind the last. */
csv_field csv_at(const csv_row *row, size_t index);

/*
 * Writes a field to be read as a number, with a point for its decimal comma; false where it has
 * none, or is too long.
 */
bool csv_pointed(const csv_row *row, const csv_field *field, char *out, size_t size);

/*
 * Reads a field as reseat_number_parse does; one that is not there counts as empty. The error names
 * line, column and `key`, the name of the column.
 */
reseat_status csv_number(const csv_row *row, size_t index, const char *key, double *value,
                         reseat_error *error);

/* Whether a field of a header is that name, which is in lower case: in any case, blanks as `_`. */
bool csv_is_name(const csv_field *field, const char *name);

/* RESEAT_ERR_SYNTAX for a text that is no UTF-8 from its first bytes on, as a header is. */
reseat_status csv_check_encoding(const char *text, size_t length, reseat_error *error);

/* Names where an error that has been set is: at a field of a row, and `at` bytes into it. */
void csv_set_place(reseat_error *error, const csv_row *row, size_t index, size_t at);

/* Tables of numbers whose header names columns and units, in any order. */

#define COLUMNS_MAX 8
#define COLUMNS_ABSENT ((size_t)-1)

typedef struct column_kind {
    const char *name; /* of a length without its unit: `x` for `x_mm` */
    bool length;
    bool required;
    bool text;        /* not read as a number */
} column_kind;

typedef struct columns_table columns_table;

/* A table that is being read, and where its columns stand. */
typedef struct columns {
    const columns_table *table;
    reseat_error *error;        /* of whatever goes wrong; may be NULL */
    csv_reader csv;
    size_t fields[COLUMNS_MAX]; /* of each kind; COLUMNS_ABSENT where the table has none */
    size_t fields_in_row;
    reseat_unit unit;           /* of the lengths; mm if there are none */
} columns;

/* What a table may have, and how its rows become a list. */
struct columns_table {
    const column_kind *kinds;
    size_t count;
    bool others;      /* columns of other names are passed over, not refused */
    const char *what; /* the rows are: "touches" */
    size_t least;
    size_t most;
    /* What else must hold of the columns; may be NULL. */
    reseat_status (*check)(const columns *c, const csv_row *header);
    /* Puts a row into a place of the list; with NULL for the list it is only checked. */
    reseat_status (*take)(const columns *c, const csv_row *row, const double *values, void *list,
                          size_t place);
};

static inline bool columns_has(const columns *c, size_t kind)
{
    return c->fields[kind] != COLUMNS_ABSENT;
}

/*
 * Reads a whole table into a list with room for `room`. The list and *count stay as they are
 * unless all rows can be read: SYNTAX for the header or a row, TOO_FEW, RANGE for more than `most`,
 * SPACE.
 */
reseat_status columns_read(const char *text, size_t length, const columns_table *table, void *list,
                           size_t room, columns *c, size_t *count, reseat_error *error);

/* Its steps. Reads the header. */
reseat_status columns_begin(const char *text, size_t length, const columns_table *table,
                            columns *c, csv_row *header, reseat_error *error);
reseat_status columns_require(const columns *c, size_t kind, const csv_row *header);

/* The numbers of a row, one a kind, lengths in mm; 0 where the table has no such column. */
reseat_status columns_numbers(const columns *c, const csv_row *row, double *values);

bool columns_says(const csv_field *field, const char *text);

/* Says what is wrong with a field, as error_set does, and where that is; returns the status. */
reseat_status columns_refuse(const columns *c, const csv_row *row, size_t field, const char *key,
                             reseat_status status, const char *format, ...) PRINTF_LIKE(6, 7);

#endif
