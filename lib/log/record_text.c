/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/json.h"
#include "base/text.h"
#include "log/record.h"
#include "log/seal.h"
#include "maths/plane.h"
#include "reseat/seat.h"
#include "reseat/values.h"

static reseat_status expected(reseat_error *error, const char *what)
{
    return error_set(error, RESEAT_ERR_SYNTAX, 0, "expected %s", what);
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
               ? RESEAT_OK : error_plain(error, RESEAT_ERR_MEMORY);
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
            return error_set(error, RESEAT_ERR_RANGE, 0, "more than %d numbers",
                             RESEAT_RECORD_COUNT_MAX);
        const reseat_status status = record_check_number(field, item.number, error);
        if (status != RESEAT_OK)
            return status;
        numbers[count++] = item.number;
    }
    if (count == 0 || record_put_numbers(record, field, numbers, count) == RESEAT_OK)
        return RESEAT_OK;
    return error_plain(error, RESEAT_ERR_MEMORY);
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
            return error_set(error, RESEAT_ERR_RANGE, 0, "more than %d texts",
                             RESEAT_RECORD_COUNT_MAX);
        const reseat_status status = record_check_text(field, item.text, error);
        if (status != RESEAT_OK)
            return status;
        if (record_append_text(record, field, item.text) != RESEAT_OK)
            return error_plain(error, RESEAT_ERR_MEMORY);
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

/* The field of a name; looked for from a place on, as lines mostly keep the order of writing. */
static reseat_field find_from(size_t *place, const char *name)
{
    for (size_t i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const size_t at = (*place + i) % RESEAT_FIELD_COUNT;
        const reseat_field field = reseat_field_at(at);
        if (strcmp(reseat_field_about(field)->name, name) != 0)
            continue;
        *place = at + 1;
        return field;
    }
    return RESEAT_FIELD_COUNT;
}

static reseat_status read_members(reseat_record *record, const json_object *object,
                                  reseat_error *error)
{
    size_t place = 0;
    json_value member;
    for (bool more = json_first(object, &member); more; more = json_next(&member)) {
        const reseat_field field = find_from(&place, member.name);
        if (field == RESEAT_FIELD_COUNT || !record_takes(record->type, field) ||
            record->values[field].has)
            continue;
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
            return record_missing(error, given[i]);
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
        status = error_plain(error, RESEAT_ERR_MEMORY);
    json_free(object);
    return status;
}

reseat_status reseat_record_parse(const char *line, size_t length, reseat_record **record,
                                  reseat_error *error)
{
    if (line == NULL || record == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (length > RESEAT_RECORD_LINE_MAX)
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "longer than %d bytes",
                         RESEAT_RECORD_LINE_MAX);
    if (seal_of(line, length) == NULL)
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "does not end in a seal");
    reseat_record *made = calloc(1, sizeof *made);
    if (made == NULL)
        return error_plain(error, RESEAT_ERR_MEMORY);
    const reseat_status status = fill(made, line, length, error);
    if (status != RESEAT_OK) {
        reseat_record_free(made);
        return status;
    }
    *record = made;
    return RESEAT_OK;
}

static void put_value(sink *to, const record_value *value, reseat_kind kind)
{
    switch (kind) {
    case RESEAT_KIND_NUMBER:
    case RESEAT_KIND_NUMBER_OR_NULL:
        if (value->null)
            sink_text(to, "null");
        else
            sink_number(to, value->as.number);
        break;
    case RESEAT_KIND_INTEGER: sink_integer(to, value->as.integer); break;
    case RESEAT_KIND_TIME:
        sink_text(to, "\"");
        sink_time(to, value->as.integer);
        sink_text(to, "\"");
        break;
    case RESEAT_KIND_TEXT: sink_json(to, value->as.text); break;
    case RESEAT_KIND_NUMBERS:
    case RESEAT_KIND_TEXTS:
        for (size_t i = 0; i < value->count; i++) {
            sink_text(to, i == 0 ? "[" : ",");
            if (kind == RESEAT_KIND_NUMBERS)
                sink_number(to, value->as.numbers[i]);
            else
                sink_json(to, value->as.texts[i]);
        }
        sink_text(to, "]");
        break;
    }
}

/* All that the seal covers: the object without its seal and end. */
static void put_fields(sink *to, const reseat_record *record)
{
    for (size_t place = 0; place + 1 < RESEAT_FIELD_COUNT; place++) { /* the last one is the seal */
        const reseat_field field = reseat_field_at(place);
        const reseat_field_row *row = reseat_field_about(field);
        if (!record->values[field].has)
            continue;
        sink_text(to, place == 0 ? "{\"" : ",\"");
        sink_text(to, row->name);
        sink_text(to, "\":");
        put_value(to, &record->values[field], row->shape->kind);
    }
}

static reseat_status check_whole(const reseat_record *record, reseat_error *error)
{
    if (record == NULL || record->type == RESEAT_RECORD_OTHER ||
        !record->values[RESEAT_FIELD_SEQ].has || !record->values[RESEAT_FIELD_RECORDED_AT].has)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return reseat_record_check(record, error);
}

reseat_status record_seal(reseat_record *record, const char *above, reseat_error *error)
{
    char digits[RESEAT_SEAL_SIZE];
    const reseat_status status = check_whole(record, error);
    if (status != RESEAT_OK)
        return status;
    char draft[2048]; /* most lines are shorter: what does not fit is written once more */
    sink to = sink_start(draft, sizeof draft);
    put_fields(&to, record);
    const size_t length = to.length + SEAL_TAIL;
    if (length > RESEAT_RECORD_LINE_MAX)
        return error_set(error, RESEAT_ERR_RANGE, 0, "the record is longer than %d bytes",
                         RESEAT_RECORD_LINE_MAX);
    char *line = malloc(length + 1);
    if (line == NULL)
        return error_plain(error, RESEAT_ERR_MEMORY);
    const bool fits = to.length < sizeof draft;
    to = sink_start(line, length + 1);
    if (fits)
        sink_text(&to, draft);
    else
        put_fields(&to, record);
    seal_make(above, line, to.length, digits);
    sink_text(&to, SEAL_MARK);
    sink_text(&to, digits);
    sink_text(&to, SEAL_END);
    assert(to.length == length && seal_of(line, length) != NULL);
    if (record_put_text(record, RESEAT_FIELD_SEAL, digits) != RESEAT_OK) {
        free(line);
        return error_plain(error, RESEAT_ERR_MEMORY);
    }
    free(record->line);
    record->line = line;
    record->line_length = length;
    return RESEAT_OK;
}

static void put_shown(sink *to, const record_value *value, reseat_kind kind)
{
    const bool list = kind == RESEAT_KIND_NUMBERS || kind == RESEAT_KIND_TEXTS;
    if (value->null)
        sink_text(to, "unknown");
    else if (kind == RESEAT_KIND_TEXT)
        sink_text(to, value->as.text);
    else if (kind == RESEAT_KIND_TIME)
        sink_time(to, value->as.integer);
    else if (!list)
        put_value(to, value, kind);
    for (size_t i = 0; list && i < value->count; i++) {
        if (i > 0)
            sink_text(to, " ");
        if (kind == RESEAT_KIND_NUMBERS)
            sink_number(to, value->as.numbers[i]);
        else
            sink_text(to, value->as.texts[i]);
    }
}

size_t reseat_record_show(const reseat_record *record, reseat_field field, char *out, size_t size)
{
    sink to = sink_start(out, out != NULL ? size : 0);
    if (reseat_record_has(record, field))
        put_shown(&to, &record->values[field], reseat_field_about(field)->shape->kind);
    return to.length;
}

static reseat_status read_typed(const reseat_field_row *row, const char *text, size_t length,
                                 reseat_unit unit, double *value, reseat_error *error)
{
    if (row->shape->quantity == RESEAT_QUANTITY_LENGTH)
        return reseat_length_parse(text, length, unit, value, error);
    if (row->shape->quantity == RESEAT_QUANTITY_SHARE)
        return reseat_share_parse(text, length, value, error);
    const reseat_status status = reseat_number_parse(text, length, value, error);
    if (status == RESEAT_OK && row->shape->quantity == RESEAT_QUANTITY_ANGLE)
        *value = plane_seat(*value);
    return status;
}

static reseat_status set_number(reseat_record *record, reseat_field field, const char *text,
                                reseat_unit unit, reseat_error *error)
{
    double value = 0.0;
    const reseat_status status = read_typed(reseat_field_about(field), text, strlen(text), unit,
                                             &value, error);
    return status != RESEAT_OK ? status : reseat_record_set_number(record, field, value, error);
}

static reseat_status set_time(reseat_record *record, reseat_field field, const char *text,
                              reseat_error *error)
{
    int64_t seconds = 0;
    const reseat_status status = reseat_time_parse(text, strlen(text), &seconds, error);
    return status != RESEAT_OK ? status : reseat_record_set_integer(record, field, seconds, error);
}

static reseat_status set_numbers(reseat_record *record, reseat_field field, const char *text,
                                 reseat_unit unit, reseat_error *error)
{
    double values[RESEAT_RECORD_COUNT_MAX];
    size_t count = 0;
    for (const char *at = text;; at++) {
        const size_t length = strcspn(at, ",");
        if (count == RESEAT_RECORD_COUNT_MAX)
            return error_set(error, RESEAT_ERR_RANGE, 0, "more than %d numbers",
                             RESEAT_RECORD_COUNT_MAX);
        const reseat_status status = read_typed(reseat_field_about(field), at, length, unit,
                                                 &values[count++], error);
        if (status != RESEAT_OK)
            return status;
        at += length;
        if (*at == '\0')
            return reseat_record_set_numbers(record, field, values, count, error);
    }
}

static reseat_status set_typed(reseat_record *record, reseat_field field, const char *text,
                               reseat_unit unit, reseat_error *error)
{
    switch (reseat_field_about(field)->shape->kind) {
    case RESEAT_KIND_NUMBER_OR_NULL:
        if (strcmp(text, "unknown") == 0)
            return reseat_record_set_null(record, field, error);
        return set_number(record, field, text, unit, error);
    case RESEAT_KIND_NUMBER:
    case RESEAT_KIND_INTEGER: return set_number(record, field, text, unit, error);
    case RESEAT_KIND_TIME: return set_time(record, field, text, error);
    case RESEAT_KIND_TEXT: return reseat_record_set_text(record, field, text, error);
    case RESEAT_KIND_NUMBERS: return set_numbers(record, field, text, unit, error);
    case RESEAT_KIND_TEXTS: break;
    }
    return reseat_record_add_text(record, field, text, error);
}

reseat_status reseat_record_set_typed(reseat_record *record, reseat_field field, const char *text,
                                      reseat_unit unit, reseat_error *error)
{
    if (record == NULL || text == NULL || reseat_field_about(field) == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const reseat_status status = set_typed(record, field, text, unit, error);
    if (status != RESEAT_OK && error != NULL) {
        memset(error->key, 0, sizeof error->key);
        reseat_field_option(field, error->key, sizeof error->key);
    }
    return status;
}

reseat_status reseat_record_set_seat(reseat_record *record, const reseat_seat *seat,
                                     reseat_error *error)
{
    if (record == NULL || seat == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (seat->kind == RESEAT_SEAT_UNKNOWN) {
        reseat_record_clear(record, RESEAT_FIELD_WITHIN_DEG);
        return reseat_record_set_null(record, RESEAT_FIELD_SEAT_DEG, error);
    }
    const bool takes_within = record_takes(record->type, RESEAT_FIELD_WITHIN_DEG);
    if (seat->kind != RESEAT_SEAT_ANGLE || (seat->within_deg > 0 && !takes_within))
        return record_at_field(error, RESEAT_FIELD_SEAT_DEG, error_set(error,
                               RESEAT_ERR_SYNTAX, 0, "expected an angle%s or `unknown`",
                               takes_within ? ", with +- if it was read roughly," : ""));
    if (!isfinite(seat->within_deg) || !(seat->within_deg >= 0) || !(seat->within_deg < 180))
        return error_plain(error, RESEAT_ERR_RANGE);
    const reseat_status status = reseat_record_set_number(record, RESEAT_FIELD_SEAT_DEG,
                                                          seat->seat_deg, error);
    if (status != RESEAT_OK || !(seat->within_deg > 0)) {
        if (status == RESEAT_OK)
            reseat_record_clear(record, RESEAT_FIELD_WITHIN_DEG);
        return status;
    }
    return reseat_record_set_number(record, RESEAT_FIELD_WITHIN_DEG, seat->within_deg, error);
}
