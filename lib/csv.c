/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/csv.h"
#include <stdio.h>
#include <string.h>
#include "error.h"
#include "reseat/number.h"

reseat_csv reseat_csv_start(const char *text, size_t length)
{
    static const char mark[] = "\xEF\xBB\xBF";
    const size_t mark_length = sizeof mark - 1;
    const bool marked = length >= mark_length && memcmp(text, mark, mark_length) == 0;
    return (reseat_csv){text, length, marked ? mark_length : 0, 1};
}

bool reseat_csv_more(const reseat_csv *csv)
{
    return csv != NULL && csv->position < csv->length;
}

/* Bytes of the line end at a place: 0 if there is none. A CR that ends the text is one, too. */
static size_t line_end(const reseat_csv *csv, size_t at)
{
    if (at < csv->length && csv->text[at] == '\n')
        return 1;
    if (at < csv->length && csv->text[at] == '\r') {
        if (at + 1 == csv->length)
            return 1;
        return csv->text[at + 1] == '\n' ? 2 : 0;
    }
    return 0;
}

static bool field_ends(const reseat_csv *csv, size_t at)
{
    return at >= csv->length || csv->text[at] == ',' || line_end(csv, at) > 0;
}

static size_t skip_blanks(const reseat_csv *csv, size_t at)
{
    while (at < csv->length && (csv->text[at] == ' ' || csv->text[at] == '\t'))
        at++;
    return at;
}

/* Line and column in the file of a byte of a row that begins in `line`. */
static void set_place(reseat_error *error, const char *row, size_t line, size_t at)
{
    size_t begin = 0;
    for (size_t i = 0; i < at; i++) {
        if (row[i] == '\n') {
            line++;
            begin = i + 1;
        }
    }
    error->line = line;
    error->column = at - begin + 1;
}

static reseat_status wrong(const reseat_csv *csv, size_t at, reseat_status status, const char *text,
                           reseat_error *error)
{
    reseat_error_set(error, status, 0, "%s", text);
    if (error != NULL)
        set_place(error, csv->text + csv->position, csv->line, at - csv->position);
    return status;
}

/* Reads what follows an opening quote; *at stands on it and is left where the field ends. */
static reseat_status quoted(const reseat_csv *csv, size_t *at, reseat_csv_field *field,
                            reseat_error *error)
{
    const size_t opening = *at;
    size_t i = opening + 1;
    for (; i < csv->length; i++) {
        if (csv->text[i] != '"')
            continue;
        if (i + 1 >= csv->length || csv->text[i + 1] != '"')
            break;
        i++; /* doubled: one quote of the value */
    }
    if (i >= csv->length)
        return wrong(csv, opening, RESEAT_ERR_SYNTAX, "this quote is never closed", error);
    *at = skip_blanks(csv, i + 1);
    if (!field_ends(csv, *at))
        return wrong(csv, *at, RESEAT_ERR_SYNTAX,
                     "expected a comma or the end of the row after the closing quote", error);
    *field = (reseat_csv_field){csv->text + opening + 1, i - opening - 1,
                                opening + 1 - csv->position + 1, true};
    return RESEAT_OK;
}

static reseat_status bare(const reseat_csv *csv, size_t *at, reseat_csv_field *field,
                          reseat_error *error)
{
    const size_t begin = *at;
    size_t end = begin; /* after the last byte that is no blank */
    for (; !field_ends(csv, *at); ++*at) {
        if (csv->text[*at] == '"')
            return wrong(csv, *at, RESEAT_ERR_SYNTAX,
                         "a field with a quote in it must be quoted as a whole", error);
        if (csv->text[*at] != ' ' && csv->text[*at] != '\t')
            end = *at + 1;
    }
    *field = (reseat_csv_field){csv->text + begin, end - begin, begin - csv->position + 1, false};
    return RESEAT_OK;
}

/* Reads the field at *at, which is left on the comma or line end after it. */
static reseat_status read_field(const reseat_csv *csv, size_t *at, reseat_csv_field *field,
                                reseat_error *error)
{
    *at = skip_blanks(csv, *at);
    return *at < csv->length && csv->text[*at] == '"' ? quoted(csv, at, field, error)
                                                       : bare(csv, at, field, error);
}

static size_t lines_in(const char *text, size_t length)
{
    size_t lines = 0;
    for (size_t i = 0; i < length; i++)
        lines += text[i] == '\n';
    return lines;
}

reseat_status reseat_csv_next(reseat_csv *csv, reseat_csv_row *row, reseat_error *error)
{
    if (csv == NULL || row == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    if (!reseat_csv_more(csv))
        return reseat_error_plain(error, RESEAT_ERR_NOT_FOUND);
    size_t at = csv->position;
    size_t count = 0;
    reseat_csv_field fields[RESEAT_CSV_FIELDS_MAX];
    for (bool again = true; again; count++) {
        if (count == RESEAT_CSV_FIELDS_MAX)
            return wrong(csv, at, RESEAT_ERR_SPACE, "a row has more than 256 fields", error);
        const reseat_status status = read_field(csv, &at, &fields[count], error);
        if (status != RESEAT_OK)
            return status;
        again = at < csv->length && csv->text[at] == ',';
        at += again;
    }
    row->text = csv->text + csv->position;
    row->length = at - csv->position;
    row->ending = line_end(csv, at);
    row->line = csv->line;
    row->count = count;
    memcpy(row->fields, fields, count * sizeof *fields);
    csv->position = at + row->ending;
    csv->line += lines_in(row->text, row->length + row->ending);
    return RESEAT_OK;
}

reseat_status reseat_csv_number(const reseat_csv_row *row, size_t index, const char *key,
                                double *value, reseat_error *error)
{
    if (row == NULL || key == NULL || value == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    const reseat_csv_field missing = {row->text + row->length, 0, row->length + 1, false};
    const reseat_csv_field *const field = index < row->count ? &row->fields[index] : &missing;
    const reseat_status status = reseat_number_parse(field->text, field->length, value, error);
    if (status != RESEAT_OK && error != NULL) {
        /* columns count from 1, that of the field in the row and that of the error in the field */
        set_place(error, row->text, row->line, field->column - 1 + error->column - 1);
        snprintf(error->key, sizeof error->key, "%s", key);
    }
    return status;
}
