/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "record_values.h"
#include "reseat/number.h"
#include "reseat/plane.h"
#include "reseat/time.h"

static reseat_status read_number(const reseat_field_row *row, const char *text, size_t length,
                                 reseat_unit unit, double *value, reseat_error *error)
{
    if (row->shape->quantity == RESEAT_QUANTITY_LENGTH)
        return reseat_length_parse(text, length, unit, value, error);
    if (row->shape->quantity == RESEAT_QUANTITY_SHARE)
        return reseat_share_parse(text, length, value, error);
    const reseat_status status = reseat_number_parse(text, length, value, error);
    if (status == RESEAT_OK && row->shape->quantity == RESEAT_QUANTITY_ANGLE)
        *value = reseat_plane_seat(*value);
    return status;
}

static reseat_status set_number(reseat_record *record, reseat_field field, const char *text,
                                reseat_unit unit, reseat_error *error)
{
    double value = 0.0;
    const reseat_status status = read_number(reseat_field_about(field), text, strlen(text), unit,
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
            return reseat_error_set(error, RESEAT_ERR_RANGE, 0, "more than %d numbers",
                                    RESEAT_RECORD_COUNT_MAX);
        const reseat_status status = read_number(reseat_field_about(field), at, length, unit,
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
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
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
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    if (seat->kind == RESEAT_SEAT_UNKNOWN) {
        reseat_record_clear(record, RESEAT_FIELD_WITHIN_DEG);
        return reseat_record_set_null(record, RESEAT_FIELD_SEAT_DEG, error);
    }
    const bool takes_within = record_takes(record->type, RESEAT_FIELD_WITHIN_DEG);
    if (seat->kind != RESEAT_SEAT_ANGLE || (seat->within_deg > 0 && !takes_within))
        return record_at_field(error, RESEAT_FIELD_SEAT_DEG, reseat_error_set(error,
                               RESEAT_ERR_SYNTAX, 0, "expected an angle%s or `unknown`",
                               takes_within ? ", with +- if it was read roughly," : ""));
    if (!isfinite(seat->within_deg) || !(seat->within_deg >= 0) || !(seat->within_deg < 180))
        return reseat_error_plain(error, RESEAT_ERR_RANGE);
    const reseat_status status = reseat_record_set_number(record, RESEAT_FIELD_SEAT_DEG,
                                                          seat->seat_deg, error);
    if (status != RESEAT_OK || !(seat->within_deg > 0)) {
        if (status == RESEAT_OK)
            reseat_record_clear(record, RESEAT_FIELD_WITHIN_DEG);
        return status;
    }
    return reseat_record_set_number(record, RESEAT_FIELD_WITHIN_DEG, seat->within_deg, error);
}
