/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/csv.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "base/error.h"
#include "base/text.h"
#include "reseat/values.h"

csv_reader csv_start(const char *text, size_t length)
{
    static const char mark[] = "\xEF\xBB\xBF";
    const size_t mark_length = sizeof mark - 1;
    const bool marked = length >= mark_length && memcmp(text, mark, mark_length) == 0;
    return (csv_reader){text, length, marked ? mark_length : 0, 1};
}

bool csv_more(const csv_reader *csv)
{
    return csv != NULL && csv->position < csv->length;
}

/* Bytes of the line end at a place: 0 if there is none. A CR that ends the text is one, too. */
static size_t line_end(const csv_reader *csv, size_t at)
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

static bool field_ends(const csv_reader *csv, size_t at)
{
    return at >= csv->length || csv->text[at] == ',' || line_end(csv, at) > 0;
}

static size_t skip_blanks(const csv_reader *csv, size_t at)
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

static reseat_status wrong(const csv_reader *csv, size_t at, reseat_status status, const char *text,
                           reseat_error *error)
{
    error_set(error, status, 0, "%s", text);
    if (error != NULL)
        set_place(error, csv->text + csv->position, csv->line, at - csv->position);
    return status;
}

/* Reads what follows an opening quote; *at stands on it and is left where the field ends. */
static reseat_status quoted(const csv_reader *csv, size_t *at, csv_field *field,
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
    *field = (csv_field){csv->text + opening + 1, i - opening - 1,
                                opening + 1 - csv->position + 1, true};
    return RESEAT_OK;
}

static reseat_status bare(const csv_reader *csv, size_t *at, csv_field *field,
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
    *field = (csv_field){csv->text + begin, end - begin, begin - csv->position + 1, false};
    return RESEAT_OK;
}

/* Reads the field at *at, which is left on the comma or line end after it. */
static reseat_status read_field(const csv_reader *csv, size_t *at, csv_field *field,
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

reseat_status csv_next(csv_reader *csv, csv_row *row, reseat_error *error)
{
    if (csv == NULL || row == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (!csv_more(csv))
        return error_plain(error, RESEAT_ERR_NOT_FOUND);
    size_t at = csv->position;
    size_t count = 0;
    csv_field fields[CSV_FIELDS_MAX];
    for (bool again = true; again; count++) {
        if (count == CSV_FIELDS_MAX)
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

reseat_status csv_number(const csv_row *row, size_t index, const char *key,
                         double *value, reseat_error *error)
{
    if (row == NULL || key == NULL || value == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const csv_field missing = {row->text + row->length, 0, row->length + 1, false};
    const csv_field *const field = index < row->count ? &row->fields[index] : &missing;
    const reseat_status status = reseat_number_parse(field->text, field->length, value, error);
    if (status != RESEAT_OK && error != NULL) {
        /* columns count from 1, that of the field in the row and that of the error in the field */
        set_place(error, row->text, row->line, field->column - 1 + error->column - 1);
        snprintf(error->key, sizeof error->key, "%s", key);
    }
    return status;
}

static const reseat_unit units[] = {RESEAT_MM, RESEAT_INCH, RESEAT_UM};
#define UNITS (sizeof units / sizeof *units)

#define NAME_SIZE 40
#define NAMES_SIZE 200

static void spell(const column_kind *kind, reseat_unit unit, char *name)
{
    if (kind->length)
        snprintf(name, NAME_SIZE, "%s_%s", kind->name, reseat_unit_name(unit));
    else
        snprintf(name, NAME_SIZE, "%s", kind->name);
}

bool columns_says(const csv_field *field, const char *text)
{
    return word_is(field->text, field->length, text);
}

bool columns_is_empty(const csv_row *row)
{
    return row->count == 1 && row->fields[0].length == 0;
}

/* Which kind of column a header field names, and in which unit; `count` if none. */
static size_t kind_of(const columns *c, const csv_field *field, reseat_unit *unit)
{
    char name[NAME_SIZE];
    for (size_t kind = 0; kind < c->count; kind++) {
        for (size_t i = 0; i < UNITS; i++) {
            *unit = units[i];
            spell(&c->kinds[kind], *unit, name);
            if (columns_says(field, name))
                return kind;
        }
    }
    return c->count;
}

reseat_status columns_error(const csv_row *row, size_t field, const char *key,
                            reseat_status status, reseat_error *error)
{
    if (error != NULL) {
        error->line = row->line;
        error->column = field < row->count ? row->fields[field].column : row->length + 1;
        snprintf(error->key, sizeof error->key, "%s", key);
    }
    return status;
}

/* "turn_deg, dir_deg, x_mm" and so on: what a header may have. */
static void list_names(const columns *c, char *names)
{
    names[0] = '\0';
    for (size_t kind = 0; kind < c->count; kind++) {
        char name[NAME_SIZE];
        spell(&c->kinds[kind], c->unit, name);
        const size_t used = strlen(names);
        snprintf(names + used, NAMES_SIZE - used, "%s%s", kind > 0 ? ", " : "", name);
    }
}

static reseat_status unknown(const columns *c, const csv_row *row, size_t field,
                             reseat_error *error)
{
    char names[NAMES_SIZE];
    list_names(c, names);
    const csv_field *const f = &row->fields[field];
    const error_echoed read = error_echo(f->text, f->length);
    error_set(error, RESEAT_ERR_SYNTAX, 0, "expected some of %s, separated by commas; "
              "read %s", names, read.text);
    return columns_error(row, field, "", RESEAT_ERR_SYNTAX, error);
}

static reseat_status place(columns *c, const csv_row *row, size_t field, bool *unit_known,
                           reseat_error *error)
{
    reseat_unit unit = RESEAT_MM;
    const size_t kind = kind_of(c, &row->fields[field], &unit);
    if (kind == c->count)
        return unknown(c, row, field, error);
    char name[NAME_SIZE];
    spell(&c->kinds[kind], unit, name);
    if (c->fields[kind] != COLUMNS_ABSENT) {
        error_set(error, RESEAT_ERR_SYNTAX, 0, "this column is there twice");
        return columns_error(row, field, name, RESEAT_ERR_SYNTAX, error);
    }
    if (c->kinds[kind].length && *unit_known && unit != c->unit) {
        error_set(error, RESEAT_ERR_SYNTAX, 0, "expected all lengths in one unit, read %s "
                  "after %s", reseat_unit_name(unit), reseat_unit_name(c->unit));
        return columns_error(row, field, name, RESEAT_ERR_SYNTAX, error);
    }
    if (c->kinds[kind].length) {
        c->unit = unit;
        *unit_known = true;
    }
    c->fields[kind] = field;
    return RESEAT_OK;
}

/* Whether a row with anything in it is left; steps over those with nothing. */
static bool more_rows(csv_reader *csv)
{
    size_t i = csv->position;
    for (size_t line = csv->line; i < csv->length; i++) {
        const char byte = csv->text[i];
        if (byte == '\n') {
            csv->position = i + 1;
            csv->line = ++line;
        } else if (byte != ' ' && byte != '\t' && byte != '\r') {
            return true;
        }
    }
    csv->position = csv->length;
    return false;
}

static reseat_status no_header(const column_kind *kinds, size_t count, reseat_error *error)
{
    const columns all = {.kinds = kinds, .count = count, .unit = RESEAT_MM};
    char names[NAMES_SIZE];
    list_names(&all, names);
    error_set(error, RESEAT_ERR_SYNTAX, 1,
              "expected a header with some of %s; read nothing", names);
    if (error != NULL)
        error->line = 1;
    return RESEAT_ERR_SYNTAX;
}

reseat_status columns_begin(csv_reader *csv, const column_kind *kinds, size_t count, columns *c,
                            csv_row *header, reseat_error *error)
{
    assert(count <= COLUMNS_MAX);
    if (!more_rows(csv))
        return no_header(kinds, count, error);
    reseat_status status = csv_next(csv, header, error);
    if (status != RESEAT_OK)
        return status;
    *c = (columns){.kinds = kinds, .count = count, .fields_in_row = header->count,
                   .unit = RESEAT_MM};
    for (size_t kind = 0; kind < count; kind++)
        c->fields[kind] = COLUMNS_ABSENT;
    bool unit_known = false;
    for (size_t field = 0; field < header->count && status == RESEAT_OK; field++)
        status = place(c, header, field, &unit_known, error);
    return status;
}

reseat_status columns_require(const columns *c, size_t kind, const csv_row *header,
                              reseat_error *error)
{
    if (c->fields[kind] != COLUMNS_ABSENT)
        return RESEAT_OK;
    char name[NAME_SIZE];
    spell(&c->kinds[kind], c->unit, name);
    error_set(error, RESEAT_ERR_SYNTAX, 0, "the header has no column %s", name);
    return columns_error(header, header->count, name, RESEAT_ERR_SYNTAX, error);
}

static reseat_status next_row(const columns *c, csv_reader *csv, csv_row *row,
                              reseat_error *error)
{
    const reseat_status status = csv_next(csv, row, error);
    if (status != RESEAT_OK || row->count <= c->fields_in_row)
        return status;
    error_set(error, RESEAT_ERR_SYNTAX, 0, "expected %zu fields as in the header, read %zu; "
              "is a comma in a number or name?", c->fields_in_row, row->count);
    return columns_error(row, c->fields_in_row, "", RESEAT_ERR_SYNTAX, error);
}

static reseat_status too_many(const columns_table *table, const csv_row *row,
                              reseat_error *error)
{
    error_set(error, RESEAT_ERR_RANGE, 0, "expected at most %zu %s", table->most,
              table->what);
    return columns_error(row, 0, "", RESEAT_ERR_RANGE, error);
}

static reseat_status too_few(const columns_table *table, size_t count, size_t line,
                             reseat_error *error)
{
    error_set(error, RESEAT_ERR_TOO_FEW, 0,
              "expected %zu or more %s below the header, read %zu", table->least,
              table->what, count);
    if (error != NULL)
        error->line = line;
    return RESEAT_ERR_TOO_FEW;
}

static reseat_status read_all(csv_reader csv, const columns *c, const columns_table *table,
                              void *list, size_t *count, reseat_error *error)
{
    csv_row row;
    for (*count = 0; more_rows(&csv); ++*count) {
        reseat_status status = next_row(c, &csv, &row, error);
        if (status == RESEAT_OK && *count == table->most)
            status = too_many(table, &row, error);
        if (status == RESEAT_OK)
            status = table->read(c, &row, list, *count, error);
        if (status != RESEAT_OK)
            return status;
    }
    return *count >= table->least ? RESEAT_OK : too_few(table, *count, csv.line, error);
}

reseat_status columns_read(csv_reader csv, const columns *c, const columns_table *table, void *list,
                           size_t room, size_t *count, reseat_error *error)
{
    size_t rows = 0;
    const reseat_status status = read_all(csv, c, table, NULL, &rows, error);
    if (status != RESEAT_OK)
        return status;
    if (rows > room)
        return error_plain(error, RESEAT_ERR_SPACE);
    read_all(csv, c, table, list, count, NULL); /* found good above: cannot fail */
    return RESEAT_OK;
}

reseat_status columns_number(const columns *c, size_t kind, const csv_row *row,
                             double *value, reseat_error *error)
{
    const size_t field = c->fields[kind];
    if (field == COLUMNS_ABSENT)
        return RESEAT_OK;
    char name[NAME_SIZE];
    double number;
    spell(&c->kinds[kind], c->unit, name);
    const reseat_status status = csv_number(row, field, name, &number, error);
    if (status != RESEAT_OK)
        return status;
    if (c->kinds[kind].length)
        number = reseat_unit_to_mm(number, c->unit);
    if (!isfinite(number)) {
        error_set(error, RESEAT_ERR_NOT_FINITE, 0, "too large a length");
        return columns_error(row, field, name, RESEAT_ERR_NOT_FINITE, error);
    }
    *value = number;
    return RESEAT_OK;
}
