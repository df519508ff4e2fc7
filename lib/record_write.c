/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "record_values.h"
#include "seal.h"
#include "sink.h"

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
    for (unsigned i = 0; i < RESEAT_FIELD_SEAL; i++) {
        if (!record->values[i].has)
            continue;
        const reseat_field_row *row = reseat_field_about((reseat_field)i);
        sink_text(to, i == 0 ? "{\"" : ",\"");
        sink_text(to, row->name);
        sink_text(to, "\":");
        put_value(to, &record->values[i], row->shape->kind);
    }
}

static reseat_status check_whole(const reseat_record *record, reseat_error *error)
{
    if (record == NULL || record->type == RESEAT_RECORD_OTHER ||
        !record->values[RESEAT_FIELD_SEQ].has || !record->values[RESEAT_FIELD_RECORDED_AT].has)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    return reseat_record_check(record, error);
}

reseat_status reseat_record_seal(reseat_record *record, const char *above, reseat_error *error)
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
        return reseat_error_set(error, RESEAT_ERR_RANGE, 0, "the record is longer than %d bytes",
                                RESEAT_RECORD_LINE_MAX);
    char *line = malloc(length + 1);
    if (line == NULL)
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
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
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
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
