/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Reads reference vectors: CSV of numbers under one header line. */
#ifndef RESEAT_TESTS_TABLE_H
#define RESEAT_TESTS_TABLE_H

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include "check.h"

#define TABLE_ROWS_MAX 256
#define TABLE_COLUMNS_MAX 24

typedef struct table {
    size_t rows;
    size_t columns;
    double at[TABLE_ROWS_MAX][TABLE_COLUMNS_MAX];
} table;

static inline size_t table_read_row(const char *line, double *row)
{
    size_t columns = 0;
    char *end = NULL;
    while (columns < TABLE_COLUMNS_MAX) {
        row[columns++] = read_number(line, &end);
        assert_true(end != line);
        if (*end != ',')
            break;
        line = end + 1;
    }
    assert_true(*end == '\n' || *end == '\r');
    return columns;
}

/* Every row must have `columns` numbers, else the test fails; false if there is no such file. */
static inline bool table_read_in(const char *folder_variable, const char *name, size_t columns,
                                 table *result)
{
    char path[1024], line[4096];
    const char *folder = getenv(folder_variable);
    assert_non_null(folder);
    assert_true(snprintf(path, sizeof path, "%s/%s", folder, name) < (int)sizeof path);
    FILE *file = fopen(path, "r");
    if (file == NULL)
        return false;
    assert_non_null(fgets(line, sizeof line, file));
    result->rows = 0;
    result->columns = columns;
    while (fgets(line, sizeof line, file) != NULL) {
        assert_true(result->rows < TABLE_ROWS_MAX);
        assert_int_equal(table_read_row(line, result->at[result->rows++]), columns);
    }
    assert_int_equal(fclose(file), 0);
    assert_true(result->rows > 0);
    return true;
}

/* The file tests/data/NAME, which must be there. */
static inline void table_read(const char *name, size_t columns, table *result)
{
    assert_true(table_read_in("RESEAT_TEST_DATA", name, columns, result));
}

/* A file that others published; skips the test where it is absent. */
static inline void table_read_published(const char *name, size_t columns, table *result)
{
    if (!table_read_in("RESEAT_TEST_REFERENCE", name, columns, result)) {
        print_message("%s is not there: skipped\n", name);
        skip();
    }
}

#endif
