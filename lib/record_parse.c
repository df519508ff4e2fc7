/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "json.h"
#include "record_values.h"
#include "reseat/time.h"
#include "seal.h"

static reseat_status expected(reseat_error *error, const char *what)
{
    return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "expected %s", what);
}

static reseat_status read_number(reseat_record *record, reseat_field field,
                                 const json_value *value, reseat_error *error)
{
    const reseat_kind kind = reseat_field_about(field)->shape->kind;
    if (kind == RESEAT_KIND_NUMBER_OR_NULL && value->kind == JSON_NULL) {
        record->values[field] = (record_value){.has = true, .null = true};
        return RESEAT_OK;
    }
    if (value->kind != JSON_NUMBER)
        return expected(error, "a number");
    const reseat_status status = record_check_number(field, value->number, error);
    if (status != RESEAT_OK)
        return status;
    if (kind == RESEAT_KIND_INTEGER)
        record_put_integer(record, field, (int64_t)value->number);
    else
        record_put_number(record, field, value->number);
    return RESEAT_OK;
}

static reseat_status read_time(reseat_record *record, reseat_field field, const json_value *value,
                               reseat_error *error)
{
    int64_t seconds = 0;
    if (value->kind != JSON_TEXT)
        return expected(error, "a time in quotes");
    const reseat_status status = reseat_time_parse(value->text, strlen(value->text), &seconds,
                                                   error);
    if (status == RESEAT_OK)
        record_put_integer(record, field, seconds);
    return status;
}

static reseat_status read_text(reseat_record *record, reseat_field field, const json_value *value,
                               reseat_error *error)
{
    if (value->kind != JSON_TEXT)
        return expected(error, "a text");
    const reseat_status status = record_check_text(field, value->text, error);
    if (status != RESEAT_OK)
        return status;
    return record_put_text(record, field, value->text) == RESEAT_OK
               ? RESEAT_OK : reseat_error_plain(error, RESEAT_ERR_MEMORY);
}

static reseat_status read_numbers(reseat_record *record, reseat_field field,
                                  const json_value *value, reseat_error *error)
{
    double numbers[RESEAT_RECORD_COUNT_MAX];
    size_t count = 0;
    json_value item;
    if (value->kind != JSON_ARRAY)
        return expected(error, "an array of numbers");
    for (bool more = json_first_within(value, &item); more; more = json_next(&item)) {
        if (item.kind != JSON_NUMBER)
            return expected(error, "an array of numbers");
        if (count == RESEAT_RECORD_COUNT_MAX)
            return reseat_error_set(error, RESEAT_ERR_RANGE, 0, "more than %d numbers",
                                    RESEAT_RECORD_COUNT_MAX);
        const reseat_status status = record_check_number(field, item.number, error);
        if (status != RESEAT_OK)
            return status;
        numbers[count++] = item.number;
    }
    if (count == 0 || record_put_numbers(record, field, numbers, count) == RESEAT_OK)
        return RESEAT_OK;
    return reseat_error_plain(error, RESEAT_ERR_MEMORY);
}

static reseat_status read_texts(reseat_record *record, reseat_field field, const json_value *value,
                                reseat_error *error)
{
    json_value item;
    if (value->kind != JSON_ARRAY)
        return expected(error, "an array of texts");
    for (bool more = json_first_within(value, &item); more; more = json_next(&item)) {
        if (item.kind != JSON_TEXT)
            return expected(error, "an array of texts");
        if (record->values[field].count == RESEAT_RECORD_COUNT_MAX)
            return reseat_error_set(error, RESEAT_ERR_RANGE, 0, "more than %d texts",
                                    RESEAT_RECORD_COUNT_MAX);
        const reseat_status status = record_check_text(field, item.text, error);
        if (status != RESEAT_OK)
            return status;
        if (record_append_text(record, field, item.text) != RESEAT_OK)
            return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    }
    return RESEAT_OK;
}

static reseat_status read_value(reseat_record *record, reseat_field field, const json_value *value,
                                reseat_error *error)
{
    switch (reseat_field_about(field)->shape->kind) {
    case RESEAT_KIND_NUMBER:
    case RESEAT_KIND_NUMBER_OR_NULL:
    case RESEAT_KIND_INTEGER: return read_number(record, field, value, error);
    case RESEAT_KIND_TIME: return read_time(record, field, value, error);
    case RESEAT_KIND_TEXT: return read_text(record, field, value, error);
    case RESEAT_KIND_NUMBERS: return read_numbers(record, field, value, error);
    case RESEAT_KIND_TEXTS: break;
    }
    return read_texts(record, field, value, error);
}

/* `v` and `type` come first, wherever they stand, as they say which fields there are. */
static reseat_status read_type(reseat_record *record, const json_object *object,
                               reseat_error *error)
{
    json_value member;
    for (bool more = json_first(object, &member); more; more = json_next(&member)) {
        const reseat_field field = strcmp(member.name, "v") == 0 ? RESEAT_FIELD_V
                                   : strcmp(member.name, "type") == 0 ? RESEAT_FIELD_TYPE
                                   : RESEAT_FIELD_COUNT;
        const reseat_status status = field == RESEAT_FIELD_COUNT
                                         ? RESEAT_OK : read_value(record, field, &member, error);
        if (status != RESEAT_OK)
            return record_at_field(error, field, status);
    }
    if (reseat_record_integer(record, RESEAT_FIELD_V, 0) == RESEAT_RECORD_VERSION)
        record->type = reseat_record_type_find(reseat_record_text(record, RESEAT_FIELD_TYPE));
    return RESEAT_OK;
}

/* The field of a name; looked for from `first` on, as lines mostly keep the table's order. */
static reseat_field find_from(unsigned first, const char *name)
{
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)((first + i) % RESEAT_FIELD_COUNT);
        if (strcmp(reseat_field_about(field)->name, name) == 0)
            return field;
    }
    return RESEAT_FIELD_COUNT;
}

static reseat_status read_members(reseat_record *record, const json_object *object,
                                  reseat_error *error)
{
    unsigned at = 0;
    json_value member;
    for (bool more = json_first(object, &member); more; more = json_next(&member)) {
        const reseat_field field = find_from(at, member.name);
        if (field == RESEAT_FIELD_COUNT || !record_takes(record->type, field) ||
            record->values[field].has)
            continue;
        at = (unsigned)field + 1;
        const reseat_status status = read_value(record, field, &member, error);
        if (status != RESEAT_OK)
            return record_at_field(error, field, status);
    }
    return RESEAT_OK;
}

/* What the log gives every record. */
static reseat_status check_given(const reseat_record *record, reseat_error *error)
{
    static const reseat_field given[] = {RESEAT_FIELD_V, RESEAT_FIELD_SEQ,
                                         RESEAT_FIELD_RECORDED_AT, RESEAT_FIELD_SEAL};
    for (size_t i = 0; i < sizeof given / sizeof given[0]; i++)
        if (!record->values[given[i]].has)
            return record_at_field(error, given[i], reseat_error_set(error, RESEAT_ERR_SYNTAX, 0,
                                                                     "missing"));
    return reseat_record_check(record, error);
}

static reseat_status keep_line(reseat_record *record, const char *line, size_t length)
{
    record->line = malloc(length + 1);
    if (record->line == NULL)
        return RESEAT_ERR_MEMORY;
    memcpy(record->line, line, length);
    record->line[length] = '\0';
    record->line_length = length;
    return RESEAT_OK;
}

static reseat_status fill(reseat_record *record, const char *line, size_t length,
                          reseat_error *error)
{
    json_object *object = NULL;
    reseat_status status = json_read(line, length, &object, error);
    if (status != RESEAT_OK)
        return status;
    status = read_type(record, object, error);
    if (status == RESEAT_OK)
        status = read_members(record, object, error);
    if (status == RESEAT_OK)
        status = check_given(record, error);
    if (status == RESEAT_OK && keep_line(record, line, length) != RESEAT_OK)
        status = reseat_error_plain(error, RESEAT_ERR_MEMORY);
    json_free(object);
    return status;
}

reseat_status reseat_record_parse(const char *line, size_t length, reseat_record **record,
                                  reseat_error *error)
{
    if (line == NULL || record == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    if (length > RESEAT_RECORD_LINE_MAX)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "longer than %d bytes",
                                RESEAT_RECORD_LINE_MAX);
    if (seal_of(line, length) == NULL)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "does not end in a seal");
    reseat_record *made = calloc(1, sizeof *made);
    if (made == NULL)
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    const reseat_status status = fill(made, line, length, error);
    if (status != RESEAT_OK) {
        reseat_record_free(made);
        return status;
    }
    *record = made;
    return RESEAT_OK;
}
