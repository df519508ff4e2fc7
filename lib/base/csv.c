/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/csv.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include "base/text.h"

csv_reader csv_start(const char *text, size_t length)
{
    static const char mark[] = "\xEF\xBB\xBF";
    const size_t mark_length = sizeof mark - 1;
    const bool marked = length >= mark_length && memcmp(text, mark, mark_length) == 0;
    return (csv_reader){text, length, marked ? mark_length : 0, 1};
}

bool csv_more(const csv_reader *csv)
{
    return csv->position < csv->length;
}

/* Bytes of the line end at a place: 0 if there is none. A CR that ends the text is one, too. */
static size_t line_end(const csv_reader *csv, size_t at)
{
    const size_t left = csv->length - at;
    if (left > 1 && csv->text[at] == '\r')
        return csv->text[at + 1] == '\n' ? 2 : 0;
    return left > 0 && (csv->text[at] == '\n' || csv->text[at] == '\r') ? 1 : 0;
}

static bool field_ends(const csv_reader *csv, size_t at)
{
    return at >= csv->length || csv->text[at] == ',' || line_end(csv, at) > 0;
}

static bool is_blank(char byte)
{
    return byte == ' ' || byte == '\t';
}

static size_t skip_blanks(const csv_reader *csv, size_t at)
{
    while (at < csv->length && is_blank(csv->text[at]))
        at++;
    return at;
}

/* The line of a byte of a row that begins in `line`, and where in the row that line begins. */
static size_t line_of(const char *row, size_t line, size_t at, size_t *begin)
{
    *begin = 0;
    for (size_t i = 0; i < at; i++) {
        if (row[i] == '\n') {
            line++;
            *begin = i + 1;
        }
    }
    return line;
}

static void set_place(reseat_error *error, const char *row, size_t line, size_t at)
{
    size_t begin;
    error->line = line_of(row, line, at, &begin);
    error->column = at - begin + 1;
}

static reseat_status wrong(const csv_reader *csv, size_t at, reseat_status status, const char *text,
                           reseat_error *error)
{
    error_set(error, status, 0, "%s", text);
    if (error)
        set_place(error, csv->text + csv->position, csv->line, at - csv->position);
    return status;
}

/* Reads what follows the opening quote at *at, which is left where the field ends. */
static reseat_status quoted(const csv_reader *csv, size_t *at, csv_field *field,
                            reseat_error *error)
{
    const size_t opening = *at;
    size_t i = opening + 1;
    for (; i < csv->length; i++) {
        if (csv->text[i] == '"' && (i + 1 >= csv->length || csv->text[i + 1] != '"'))
            break;
        i += csv->text[i] == '"'; /* doubled: one quote of the value */
    }
    if (i >= csv->length)
        return wrong(csv, opening, RESEAT_ERR_SYNTAX, "this quote is never closed", error);
    *at = skip_blanks(csv, i + 1);
    if (!field_ends(csv, *at))
        return wrong(csv, *at, RESEAT_ERR_SYNTAX,
                     "expected a comma or the end of the row after the closing quote", error);
    *field = (csv_field){csv->text + opening + 1, i - opening - 1, opening + 1 - csv->position + 1,
                         true};
    return RESEAT_OK;
}

static reseat_status bare(const csv_reader *csv, size_t *at, csv_field *field, reseat_error *error)
{
    const size_t begin = *at;
    size_t end = begin; /* after the last byte that is no blank */
    for (; !field_ends(csv, *at); ++*at) {
        if (csv->text[*at] == '"')
            return wrong(csv, *at, RESEAT_ERR_SYNTAX,
                         "a field with a quote in it must be quoted as a whole", error);
        if (!is_blank(csv->text[*at]))
            end = *at + 1;
    }
    *field = (csv_field){csv->text + begin, end - begin, begin - csv->position + 1, false};
    return RESEAT_OK;
}

reseat_status csv_next(csv_reader *csv, csv_row *row, reseat_error *error)
{
    if (!csv_more(csv))
        return error_plain(error, RESEAT_ERR_NOT_FOUND);
    size_t at = csv->position;
    size_t count = 0;
    csv_field fields[CSV_FIELDS_MAX];
    for (bool again = true; again; count++) {
        if (count == CSV_FIELDS_MAX)
            return wrong(csv, at, RESEAT_ERR_SPACE, "a row has more than 256 fields", error);
        at = skip_blanks(csv, at);
        const bool opens = at < csv->length && csv->text[at] == '"';
        const reseat_status status = (opens ? quoted : bare)(csv, &at, &fields[count], error);
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
    csv->line = line_of(row->text, csv->line, row->length + row->ending, &at);
    return RESEAT_OK;
}

reseat_status csv_number(const csv_row *row, size_t index, const char *key, double *value,
                         reseat_error *error)
{
    const csv_field missing = {row->text + row->length, 0, row->length + 1, false};
    const csv_field *const field = index < row->count ? &row->fields[index] : &missing;
    const reseat_status status = reseat_number_parse(field->text, field->length, value, error);
    if (status != RESEAT_OK && error) {
        /* columns count from 1, that of the field in the row and that of the error in the field */
        set_place(error, row->text, row->line, field->column - 1 + error->column - 1);
        snprintf(error->key, sizeof error->key, "%s", key);
    }
    return status;
}

/* Units that a column of lengths may be in. */
static const reseat_unit units[] = {RESEAT_MM, RESEAT_INCH, RESEAT_UM};
#define UNITS (sizeof units / sizeof *units)

#define NAMES_SIZE 200

/* A column's name as a header has it. */
typedef struct spelling {
    char text[40];
} spelling;

static spelling spell(const column_kind *kind, reseat_unit unit)
{
    spelling name;
    snprintf(name.text, sizeof name.text, "%s%s%s", kind->name, kind->length ? "_" : "",
             kind->length ? reseat_unit_name(unit) : "");
    return name;
}

/* Spreadsheets and people write names in any case; those sought are in lower case. */
bool columns_says(const csv_field *field, const char *text)
{
    size_t i = 0;
    for (; i < field->length && text[i]; i++) {
        const char c = field->text[i];
        if ((c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c) != text[i])
            return false;
    }
    return i == field->length && !text[i];
}

#define MESSAGE_SIZE 512 /* more than an error holds, which cuts it at a character */

reseat_status columns_refuse(const columns *c, const csv_row *row, size_t field, const char *key,
                             reseat_status status, const char *format, ...)
{
    char text[MESSAGE_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    error_at(c->error, status, key, "%s", text);
    if (c->error) {
        c->error->line = row->line;
        c->error->column = field < row->count ? row->fields[field].column : row->length + 1;
    }
    return status;
}

/* Names the line of an error that has been set; returns the status. */
static reseat_status on_line(size_t line, reseat_status status, reseat_error *error)
{
    if (error)
        error->line = line;
    return status;
}

/* "turn_deg, dir_deg, x_mm" and so on: what a header may have. */
static void list_names(const columns_table *table, reseat_unit unit, char *names)
{
    names[0] = '\0';
    for (size_t kind = 0; kind < table->count; kind++) {
        const size_t used = strlen(names);
        snprintf(names + used, NAMES_SIZE - used, "%s%s", kind > 0 ? ", " : "",
                 spell(&table->kinds[kind], unit).text);
    }
}

static reseat_status unknown(const columns *c, const csv_row *row, size_t field)
{
    if (c->table->others)
        return RESEAT_OK;
    char names[NAMES_SIZE];
    list_names(c->table, c->unit, names);
    const csv_field *const f = &row->fields[field];
    return columns_refuse(c, row, field, "", RESEAT_ERR_SYNTAX,
                          "expected some of %s, separated by commas; read %s", names,
                          error_echo(f->text, f->length).text);
}

/* Which kind of column a header field names, and in which unit; the table's count if none. */
static size_t kind_of(const columns_table *table, const csv_field *field, reseat_unit *unit)
{
    for (size_t kind = 0; kind < table->count; kind++) {
        for (size_t i = 0; i < UNITS; i++) {
            *unit = units[i];
            if (columns_says(field, spell(&table->kinds[kind], *unit).text))
                return kind;
        }
    }
    return table->count;
}

static reseat_status place(columns *c, const csv_row *row, size_t field, bool *unit_known)
{
    reseat_unit unit = RESEAT_MM;
    const size_t kind = kind_of(c->table, &row->fields[field], &unit);
    if (kind == c->table->count)
        return unknown(c, row, field);
    const spelling name = spell(&c->table->kinds[kind], unit);
    if (columns_has(c, kind))
        return columns_refuse(c, row, field, name.text, RESEAT_ERR_SYNTAX,
                              "this column is there twice");
    c->fields[kind] = field;
    if (!c->table->kinds[kind].length)
        return RESEAT_OK;
    if (*unit_known && unit != c->unit)
        return columns_refuse(c, row, field, name.text, RESEAT_ERR_SYNTAX,
                              "expected all lengths in one unit, read %s after %s",
                              reseat_unit_name(unit), reseat_unit_name(c->unit));
    c->unit = unit;
    *unit_known = true;
    return RESEAT_OK;
}

bool columns_more(csv_reader *csv)
{
    for (size_t i = csv->position; i < csv->length; i++) {
        if (csv->text[i] == '\n') {
            csv->position = i + 1;
            csv->line++;
        } else if (!is_blank(csv->text[i]) && csv->text[i] != '\r') {
            return true;
        }
    }
    csv->position = csv->length;
    return false;
}

reseat_status columns_require(const columns *c, size_t kind, const csv_row *header)
{
    if (columns_has(c, kind))
        return RESEAT_OK;
    const spelling name = spell(&c->table->kinds[kind], c->unit);
    return columns_refuse(c, header, header->count, name.text, RESEAT_ERR_SYNTAX,
                          "the header has no column %s", name.text);
}

reseat_status columns_begin(const char *text, size_t length, const columns_table *table,
                            columns *c, csv_row *header, reseat_error *error)
{
    assert(table->count <= COLUMNS_MAX);
    *c = (columns){.table = table, .error = error, .csv = csv_start(text, length)};
    if (!columns_more(&c->csv)) {
        char names[NAMES_SIZE];
        list_names(table, RESEAT_MM, names);
        return on_line(1, error_set(error, RESEAT_ERR_SYNTAX, 1,
                                    "expected a header with some of %s; read nothing", names),
                       error);
    }
    reseat_status status = csv_next(&c->csv, header, error);
    if (status != RESEAT_OK)
        return status;
    c->fields_in_row = header->count;
    for (size_t kind = 0; kind < table->count; kind++)
        c->fields[kind] = COLUMNS_ABSENT;
    bool unit_known = false;
    for (size_t field = 0; field < header->count && status == RESEAT_OK; field++)
        status = place(c, header, field, &unit_known);
    for (size_t kind = 0; kind < table->count && status == RESEAT_OK; kind++)
        if (table->kinds[kind].required)
            status = columns_require(c, kind, header);
    return status;
}

static reseat_status number(const columns *c, size_t kind, const csv_row *row, double *value)
{
    const bool length = c->table->kinds[kind].length;
    const spelling name = spell(&c->table->kinds[kind], c->unit);
    const reseat_status status = csv_number(row, c->fields[kind], name.text, value, c->error);
    if (status != RESEAT_OK)
        return status;
    *value = length ? reseat_unit_to_mm(*value, c->unit) : *value;
    return isfinite(*value) ? RESEAT_OK
                            : columns_refuse(c, row, c->fields[kind], name.text,
                                             RESEAT_ERR_NOT_FINITE, "too large a length");
}

reseat_status columns_numbers(const columns *c, const csv_row *row, double *values)
{
    if (row->count > c->fields_in_row)
        return columns_refuse(c, row, c->fields_in_row, "", RESEAT_ERR_SYNTAX,
                              "expected %zu fields as in the header, read %zu; is a comma in a "
                              "number or name?", c->fields_in_row, row->count);
    reseat_status status = RESEAT_OK;
    for (size_t kind = 0; kind < c->table->count && status == RESEAT_OK; kind++) {
        values[kind] = 0;
        if (columns_has(c, kind) && !c->table->kinds[kind].text)
            status = number(c, kind, row, &values[kind]);
    }
    return status;
}

static reseat_status read_rows(const columns *c, void *list, size_t *count)
{
    const columns_table *const table = c->table;
    csv_reader csv = c->csv;
    csv_row row;
    for (*count = 0; columns_more(&csv); ++*count) {
        double values[COLUMNS_MAX];
        reseat_status status = csv_next(&csv, &row, c->error);
        if (status == RESEAT_OK && *count == table->most)
            status = columns_refuse(c, &row, 0, "", RESEAT_ERR_RANGE,
                                    "expected at most %zu %s", table->most, table->what);
        if (status == RESEAT_OK)
            status = columns_numbers(c, &row, values);
        if (status == RESEAT_OK)
            status = table->take(c, &row, values, list, *count);
        if (status != RESEAT_OK)
            return status;
    }
    if (*count >= table->least)
        return RESEAT_OK;
    return on_line(csv.line, error_set(c->error, RESEAT_ERR_TOO_FEW, 0,
                                       "expected %zu or more %s below the header, read %zu",
                                       table->least, table->what, *count), c->error);
}

reseat_status columns_read(const char *text, size_t length, const columns_table *table, void *list,
                           size_t room, columns *c, size_t *count, reseat_error *error)
{
    csv_row header;
    size_t rows = 0;
    reseat_status status = columns_begin(text, length, table, c, &header, error);
    if (status == RESEAT_OK && table->check)
        status = table->check(c, &header);
    if (status == RESEAT_OK)
        status = read_rows(c, NULL, &rows);
    if (status != RESEAT_OK)
        return status;
    if (rows > room)
        return error_plain(error, RESEAT_ERR_SPACE);
    return read_rows(c, list, count); /* found good above: cannot fail */
}
