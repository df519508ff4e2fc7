/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as CSV, against a plain reader that goes a byte at a time and knows of a field only
 * where it begins and ends.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "base/csv.h"
#include "reseat/values.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool is_blank(char c, char separator)
{
    return c == ' ' || (c == '\t' && separator != '\t');
}

/* Whether a row ends at `at`, and how many bytes its end has: a CR that is the last byte, too. */
static bool ends(const char *text, size_t length, size_t at, size_t *ending)
{
    const size_t cr = at < length && text[at] == '\r';
    const bool lf = at + cr < length && text[at + cr] == '\n';
    *ending = at >= length ? 0 : cr + lf;
    return lf || at + cr >= length;
}

/* The end of the field that begins at `at`, SIZE_MAX if it is no field. */
static size_t field_end(const char *text, size_t length, size_t at, char separator)
{
    size_t ending;
    while (at < length && is_blank(text[at], separator))
        at++;
    const bool quoted = at < length && text[at] == '"';
    if (quoted) {
        for (at++;; at++) {
            if (at >= length)
                return SIZE_MAX;
            if (text[at] != '"')
                continue;
            if (at + 1 >= length || text[at + 1] != '"')
                break;
            at++;
        }
        for (at++; at < length && is_blank(text[at], separator);)
            at++;
        return ends(text, length, at, &ending) || text[at] == separator ? at : SIZE_MAX;
    }
    for (; !ends(text, length, at, &ending) && text[at] != separator; at++)
        if (text[at] == '"')
            return SIZE_MAX;
    return at;
}

/* How many fields the row at *at has, 0 if it is wrong; *at moves to the row below. */
static size_t plain_row(const char *text, size_t length, size_t *at, char separator)
{
    size_t ending = 0;
    for (size_t fields = 1;; fields++) {
        const size_t end = field_end(text, length, *at, separator);
        if (end == SIZE_MAX)
            return 0;
        *at = end;
        if (ends(text, length, end, &ending)) {
            *at += ending;
            return fields;
        }
        *at += 1; /* the separator */
    }
}

static void check_fields(const csv_row *row, size_t size)
{
    for (size_t i = 0; i < row->count; i++) {
        const csv_field *field = &row->fields[i];
        double value = 7, expected = 7;
        reseat_error error;
        require(field->length == 0 || field->quoted ||
                (!is_blank(field->text[0], row->separator) &&
                 !is_blank(field->text[field->length - 1], row->separator)));
        const reseat_status status = csv_number(row, i, "x_mm", &value, &error);
        const bool other = field->quoted || memchr(field->text, ',', field->length);
        if (!other)
            require(reseat_number_parse(field->text, field->length, &expected, NULL) == status);
        require(other || same_bits(value, expected));
        require(status == RESEAT_OK || (same_bits(value, 7) && strcmp(error.key, "x_mm") == 0));
        if (status != RESEAT_OK)
            require_sound_error(&error, size);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static csv_row row;
    const char *text = (const char *)data;
    csv_reader csv = csv_start(text, size);
    size_t at = csv.position;
    require(at == (size >= 3 && memcmp(text, "\357\273\277", 3) == 0 ? 3u : 0u));
    while (csv_more(&csv)) {
        reseat_error error;
        require(at < size);
        const size_t fields = plain_row(text, size, &at, csv.separator);
        const reseat_status status = csv_next(&csv, &row, &error);
        if (status != RESEAT_OK) {
            require(status == RESEAT_ERR_SPACE || fields == 0);
            require_sound_error(&error, size);
            return 0;
        }
        require(row.count == fields && csv.position == at);
        check_fields(&row, size);
    }
    require(at == size);
    return 0;
}
