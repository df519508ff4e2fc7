/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * A value as it is typed for a field of a record: the first byte names the type, the second the
 * field, the third the unit. What is taken can be written as a line that reads back the same;
 * what is refused leaves the record as it was.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/log.h"
#include "base/text.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void show(const reseat_record *record, reseat_field field, char *text, size_t size)
{
    require(reseat_record_show(record, field, text, size) < size);
}

static void check_number(const reseat_record *record, reseat_field field)
{
    const reseat_shape *shape = reseat_field_about(field)->shape;
    const double value = reseat_record_number(record, field, NAN);
    require(shape->above ? value > shape->least : value >= shape->least);
    require(shape->below ? value < shape->most : value <= shape->most);
}

/* A line needs what its type requires, which is not here: the value alone is looked at. */
static void check_taken(const reseat_record *record, reseat_field field, size_t room)
{
    char *text = malloc(room);
    require(text != NULL);
    show(record, field, text, room);
    require(reseat_record_has(record, field) && text[0] != '\0');
    require(text_is_utf8(text, strlen(text)));
    require(reseat_text_terminal(text, strlen(text), NULL, 0) == strlen(text));
    if (reseat_field_about(field)->shape->kind == RESEAT_KIND_NUMBER)
        check_number(record, field);
    free(text);
}

static void try_field(reseat_record *record, reseat_field field, const char *text,
                      reseat_unit unit)
{
    reseat_error error;
    const bool had = reseat_record_has(record, field); /* its type, for one */
    const reseat_status status = reseat_record_set_typed(record, field, text, unit, &error);
    if (status == RESEAT_OK) {
        check_taken(record, field, 64 * strlen(text) + 400);
        return;
    }
    const size_t length = strlen(error.text);
    require(length > 0 && reseat_text_terminal(error.text, length, NULL, 0) == length);
    require(reseat_record_has(record, field) == had);
}

static void try_seat(reseat_record_type type, const char *text)
{
    reseat_record *record = NULL;
    reseat_seat seat;
    if (reseat_seat_parse(text, strlen(text), &seat, NULL) != RESEAT_OK)
        return;
    require(reseat_record_new(type, &record) == RESEAT_OK);
    if (reseat_record_set_seat(record, &seat, NULL) == RESEAT_OK) {
        const double deg = reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, 0);
        require(seat.kind == RESEAT_SEAT_ANGLE || seat.kind == RESEAT_SEAT_UNKNOWN);
        require(same_bits(deg, seat.seat_deg));
    } else {
        require(!reseat_record_has(record, RESEAT_FIELD_SEAT_DEG));
    }
    reseat_record_free(record);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 3)
        return 0;
    const reseat_record_type type = (reseat_record_type)(data[0] % RESEAT_RECORD_TYPE_COUNT);
    const reseat_field field = (reseat_field)(data[1] % RESEAT_FIELD_COUNT);
    reseat_record *record = NULL;
    char *text = malloc(size - 2);
    require(text != NULL);
    memcpy(text, data + 3, size - 3);
    text[size - 3] = '\0';
    if (reseat_record_new(type, &record) == RESEAT_OK) {
        try_field(record, field, text, (reseat_unit)(data[2] % 4));
        try_seat(type, text);
    }
    reseat_record_free(record);
    free(text);
    return 0;
}
