/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/json.h"
#include "base/text.h"
#include "log/record.h"
#include "log/seal.h"
#include "maths/plane.h"
#include "reseat/values.h"

/* Records as lines of a log, and their values as people type and read them. */

static reseat_status expected(reseat_error *error, const char *what)
{
    return error_set(error, RESEAT_ERR_SYNTAX, 0, "expected %s", what);
}

static reseat_status read_number(reseat_record *record, reseat_field field,
                                 const json_value *value, reseat_error *error)
{
    const bool nullable = reseat_field_about(field)->shape->kind == RESEAT_KIND_NUMBER_OR_NULL;
    if (nullable && value->kind == JSON_NULL)
        return record_put_null(record, field);
    return value->kind == JSON_NUMBER ? record_put_number(record, field, value->number, error)
                                      : expected(error, "a number");
}

static reseat_status read_time(reseat_record *record, reseat_field field, const json_value *value,
                               reseat_error *error)
{
    int64_t seconds = 0;
    if (value->kind != JSON_TEXT)
        return expected(error, "a time in quotes");
    const reseat_status status = reseat_time_parse(value->text, strlen(value->text), &seconds,
                                                   error);
    return status == RESEAT_OK ? record_put_integer(record, field, seconds, error) : status;
}

/* An empty array says no more than none. */
static reseat_status read_numbers(reseat_record *record, reseat_field field,
                                  const json_value *value, reseat_error *error)
{
    double numbers[RESEAT_RECORD_COUNT_MAX + 1]; /* one too many is refused with its field */
    size_t count = 0;
    json_value item;
    if (value->kind != JSON_ARRAY)
        return expected(error, "an array of numbers");
    for (bool more = json_first_within(value, &item); more && count <= RESEAT_RECORD_COUNT_MAX;
         more = json_next(&item)) {
        if (item.kind != JSON_NUMBER)
            return expected(error, "an array of numbers");
        numbers[count++] = item.number;
    }
    return count > 0 ? record_put_numbers(record, field, numbers, count, error) : RESEAT_OK;
}

static reseat_status read_texts(reseat_record *record, reseat_field field, const json_value *value,
                                reseat_error *error)
{
    json_value item;
    reseat_status status = RESEAT_OK;
    if (value->kind != JSON_ARRAY)
        return expected(error, "an array of texts");
    for (bool more = json_first_within(value, &item); more && status == RESEAT_OK;
         more = json_next(&item))
        status = item.kind == JSON_TEXT ? record_append_text(record, field, item.text, error)
                                        : expected(error, "an array of texts");
    return status;
}

static reseat_status read_kind(reseat_record *record, reseat_field field, const json_value *value,
                               reseat_error *error)
{
    switch (reseat_field_about(field)->shape->kind) {
    case RESEAT_KIND_NUMBER:
    case RESEAT_KIND_NUMBER_OR_NULL:
    case RESEAT_KIND_INTEGER: return read_number(record, field, value, error);
    case RESEAT_KIND_TIME: return read_time(record, field, value, error);
    case RESEAT_KIND_TEXT:
        return value->kind == JSON_TEXT ? record_put_text(record, field, value->text, error)
                                        : expected(error, "a text");
    case RESEAT_KIND_NUMBERS: return read_numbers(record, field, value, error);
    case RESEAT_KIND_TEXTS: break;
    }
    return read_texts(record, field, value, error);
}

static reseat_status read_value(reseat_record *record, reseat_field field, const json_value *value,
                                reseat_error *error)
{
    return error_key(error, read_kind(record, field, value, error),
                     reseat_field_about(field)->name);
}

/* `v` and `type` come first, wherever they stand, as they say which fields there are. */
static reseat_status read_type(reseat_record *record, const json_object *object,
                               reseat_error *error)
{
    json_value member;
    reseat_status status = RESEAT_OK;
    for (bool more = json_first(object, &member); more && status == RESEAT_OK;
         more = json_next(&member))
        if (strcmp(member.name, "v") == 0)
            status = read_value(record, RESEAT_FIELD_V, &member, error);
        else if (strcmp(member.name, "type") == 0)
            status = read_value(record, RESEAT_FIELD_TYPE, &member, error);
    if (reseat_record_integer(record, RESEAT_FIELD_V, 0) == RESEAT_RECORD_VERSION)
        record->type = reseat_record_type_find(reseat_record_text(record, RESEAT_FIELD_TYPE));
    return status;
}

/* The field of a name; looked for from a place on, as lines mostly keep the order of writing. */
static reseat_field find_from(size_t *place, const char *name)
{
    for (size_t i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const size_t at = (*place + i) % RESEAT_FIELD_COUNT;
        const reseat_field field = field_at(at);
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
    reseat_status status = RESEAT_OK;
    for (bool more = json_first(object, &member); more && status == RESEAT_OK;
         more = json_next(&member)) {
        const reseat_field field = find_from(&place, member.name);
        if (field != RESEAT_FIELD_COUNT && record_takes(record->type, field) &&
            !record->values[field].has)
            status = read_value(record, field, &member, error);
    }
    return status;
}

static reseat_status keep_line(reseat_record *record, const char *line, size_t length,
                               reseat_error *error)
{
    record->line = malloc(length + 1);
    if (!record->line)
        return error_plain(error, RESEAT_ERR_MEMORY);
    memcpy(record->line, line, length);
    record->line[length] = '\0';
    record->line_length = length;
    return RESEAT_OK;
}

static reseat_status read_line(reseat_record *record, const char *line, size_t length,
                               reseat_error *error)
{
    json_object *object = NULL;
    reseat_status status = json_read(line, length, &object, error);
    if (status != RESEAT_OK)
        return status;
    status = read_type(record, object, error);
    if (status == RESEAT_OK)
        status = read_members(record, object, error);
    json_free(object);
    if (status == RESEAT_OK)
        status = record_check(record, RESEAT_FIELD_COUNT, true, error);
    return status == RESEAT_OK ? keep_line(record, line, length, error) : status;
}

reseat_status record_parse(const char *line, size_t length, reseat_record **record,
                           reseat_error *error)
{
    if (!line || !record)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (length > RESEAT_RECORD_LINE_MAX)
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "longer than %d bytes",
                         RESEAT_RECORD_LINE_MAX);
    if (!seal_of(line, length))
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "does not end in a seal");
    reseat_record *made = calloc(1, sizeof *made);
    if (!made)
        return error_plain(error, RESEAT_ERR_MEMORY);
    const reseat_status status = read_line(made, line, length, error);
    if (status == RESEAT_OK)
        *record = made;
    else
        reseat_record_free(made);
    return status;
}

reseat_status record_of_line(const char *line, size_t length, reseat_record **record,
                             reseat_error *error)
{
    *record = NULL;
    return record_parse(line, length, record, NULL) == RESEAT_ERR_MEMORY
               ? error_plain(error, RESEAT_ERR_MEMORY) : RESEAT_OK;
}

/* How values look in a line, and for people. */
typedef struct look {
    const char *null, *quote, *open, *between, *close;
    void (*text)(sink *to, const char *text);
} look;

static const look json_look = {"null", "\"", "[", ",", "]", sink_json};
static const look plain_look = {"unknown", "", "", " ", "", sink_text};

static void put_value(sink *to, const record_value *value, reseat_kind kind, const look *as)
{
    const char *before = as->open;
    if (value->null) {
        sink_text(to, as->null);
        return;
    }
    switch (kind) {
    case RESEAT_KIND_NUMBER:
    case RESEAT_KIND_NUMBER_OR_NULL: sink_number(to, value->as.number); break;
    case RESEAT_KIND_INTEGER: sink_integer(to, value->as.integer); break;
    case RESEAT_KIND_TIME:
        sink_text(to, as->quote);
        sink_time(to, value->as.integer);
        sink_text(to, as->quote);
        break;
    case RESEAT_KIND_TEXT: as->text(to, value->as.text); break;
    case RESEAT_KIND_NUMBERS:
    case RESEAT_KIND_TEXTS:
        for (size_t i = 0; i < value->count; i++, before = as->between) {
            sink_text(to, before);
            if (kind == RESEAT_KIND_NUMBERS)
                sink_number(to, value->as.numbers[i]);
            else
                as->text(to, value->as.texts[i]);
        }
        sink_text(to, as->close);
        break;
    }
}

/* All that the seal covers: the object without its seal and end. */
static void put_fields(sink *to, const reseat_record *record)
{
    for (size_t place = 0; place + 1 < RESEAT_FIELD_COUNT; place++) { /* the last one is the seal */
        const reseat_field field = field_at(place);
        const reseat_field_row *row = reseat_field_about(field);
        if (!record->values[field].has)
            continue;
        sink_text(to, place == 0 ? "{\"" : ",\"");
        sink_text(to, row->name);
        sink_text(to, "\":");
        put_value(to, &record->values[field], row->shape->kind, &json_look);
    }
}

static reseat_status check_whole(const reseat_record *record, reseat_error *error)
{
    if (!record || record->type == RESEAT_RECORD_OTHER ||
        !record->values[RESEAT_FIELD_SEQ].has || !record->values[RESEAT_FIELD_RECORDED_AT].has)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return reseat_record_check(record, error);
}

/* Writes the line into fresh memory; its seal goes into `digits` too. */
static reseat_status write_line(const reseat_record *record, const char *above, char *digits,
                                char **line, size_t *length, reseat_error *error)
{
    char draft[2048]; /* most lines are shorter: what does not fit is written once more */
    sink to = sink_start(draft, sizeof draft);
    put_fields(&to, record);
    *length = to.length + SEAL_TAIL;
    if (*length > RESEAT_RECORD_LINE_MAX)
        return error_set(error, RESEAT_ERR_RANGE, 0, "the record is longer than %d bytes",
                         RESEAT_RECORD_LINE_MAX);
    *line = malloc(*length + 1);
    if (!*line)
        return error_plain(error, RESEAT_ERR_MEMORY);
    const bool fits = to.length < sizeof draft;
    to = sink_start(*line, *length + 1);
    if (fits)
        sink_text(&to, draft);
    else
        put_fields(&to, record);
    seal_make(above, *line, to.length, digits);
    sink_text(&to, SEAL_MARK);
    sink_text(&to, digits);
    sink_text(&to, SEAL_END);
    assert(to.length == *length && seal_of(*line, *length));
    return RESEAT_OK;
}

reseat_status record_seal(reseat_record *record, const char *above, reseat_error *error)
{
    char digits[RESEAT_SEAL_SIZE], *line = NULL;
    size_t length = 0;
    reseat_status status = check_whole(record, error);
    if (status == RESEAT_OK)
        status = write_line(record, above, digits, &line, &length, error);
    if (status == RESEAT_OK)
        status = record_put_text(record, RESEAT_FIELD_SEAL, digits, error);
    if (status != RESEAT_OK) {
        free(line);
        return status;
    }
    free(record->line);
    record->line = line;
    record->line_length = length;
    return RESEAT_OK;
}

size_t reseat_record_show(const reseat_record *record, reseat_field field, char *out, size_t size)
{
    sink to = sink_start(out, out ? size : 0);
    if (reseat_record_has(record, field))
        put_value(&to, &record->values[field], reseat_field_about(field)->shape->kind,
                  &plain_look);
    return to.length;
}

static reseat_status read_typed(reseat_field field, const char *text, size_t length,
                                reseat_unit unit, double *value, reseat_error *error)
{
    const reseat_quantity quantity = reseat_field_about(field)->shape->quantity;
    if (quantity == RESEAT_QUANTITY_LENGTH)
        return reseat_length_parse(text, length, unit, value, error);
    if (quantity == RESEAT_QUANTITY_SHARE)
        return reseat_share_parse(text, length, value, error);
    const reseat_status status = reseat_number_parse(text, length, value, error);
    if (status == RESEAT_OK && quantity == RESEAT_QUANTITY_ANGLE)
        *value = plane_seat(*value);
    return status;
}

static reseat_status set_number(reseat_record *record, reseat_field field, const char *text,
                                reseat_unit unit, reseat_error *error)
{
    double value = 0.0;
    const reseat_status status = read_typed(field, text, strlen(text), unit, &value, error);
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
    double values[RESEAT_RECORD_COUNT_MAX + 1];
    size_t count = 0;
    for (const char *at = text; count <= RESEAT_RECORD_COUNT_MAX; at++) {
        const size_t length = strcspn(at, ",");
        const reseat_status status = read_typed(field, at, length, unit, &values[count++], error);
        if (status != RESEAT_OK)
            return status;
        at += length;
        if (*at == '\0')
            break;
    }
    return reseat_record_set_numbers(record, field, values, count, error);
}

static reseat_status set_typed(reseat_record *record, reseat_field field, const char *text,
                               reseat_unit unit, reseat_error *error)
{
    switch (reseat_field_about(field)->shape->kind) {
    case RESEAT_KIND_NUMBER_OR_NULL:
        if (strcmp(text, "unknown") == 0)
            return record_set_null(record, field, error);
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
    char option[sizeof error->key];
    if (!record || !text || !reseat_field_about(field))
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_field_option(field, option, sizeof option);
    return error_key(error, set_typed(record, field, text, unit, error), option);
}

reseat_status reseat_record_set_seat(reseat_record *record, const reseat_seat *seat,
                                     reseat_error *error)
{
    if (!record || !seat)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (seat->kind == RESEAT_SEAT_UNKNOWN) {
        record_clear(record, RESEAT_FIELD_WITHIN_DEG);
        return record_set_null(record, RESEAT_FIELD_SEAT_DEG, error);
    }
    const bool takes_within = record_takes(record->type, RESEAT_FIELD_WITHIN_DEG);
    if (seat->kind != RESEAT_SEAT_ANGLE || (seat->within_deg > 0 && !takes_within))
        return error_at(error, RESEAT_ERR_SYNTAX, "seat_deg", "expected an angle%s or `unknown`",
                        takes_within ? ", with +- if it was read roughly," : "");
    if (!(seat->within_deg >= 0 && seat->within_deg < 180))
        return error_plain(error, RESEAT_ERR_RANGE);
    const reseat_status status = reseat_record_set_number(record, RESEAT_FIELD_SEAT_DEG,
                                                          seat->seat_deg, error);
    if (status == RESEAT_OK && seat->within_deg > 0)
        return reseat_record_set_number(record, RESEAT_FIELD_WITHIN_DEG, seat->within_deg, error);
    if (status == RESEAT_OK)
        record_clear(record, RESEAT_FIELD_WITHIN_DEG);
    return status;
}
