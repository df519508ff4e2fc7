/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/seal.h"

#include <assert.h>
#include <inttypes.h>
#include <stdlib.h>
#include "base/json.h"
#include "base/text.h"
#include "log/record.h"
#include "maths/plane.h"

/* Records as sealed lines of a log, and their values as people type and read them. */

/* An empty array says no more than none. */
static reseat_status read_array(reseat_record *record, reseat_field field, const json_value *array,
                                bool numbers, reseat_error *error)
{
    union {
        double numbers[RESEAT_RECORD_COUNT_MAX + 1]; /* one too many is refused with its field */
        const char *texts[RESEAT_RECORD_COUNT_MAX + 1];
    } items;
    record_value value = {.as.owned = &items};
    json_value item;
    for (bool more = json_first(array, &item);
         more && value.count <= RESEAT_RECORD_COUNT_MAX; more = json_next(&item), value.count++) {
        if (item.kind != (numbers ? JSON_NUMBER : JSON_TEXT))
            return error_set(error, RESEAT_ERR_SYNTAX, 0, "expected an array of %s",
                             numbers ? "numbers" : "texts");
        if (numbers)
            items.numbers[value.count] = item.number;
        else
            items.texts[value.count] = item.text;
    }
    return value.count > 0 ? record_put(record, field, value, error) : RESEAT_OK;
}

static reseat_status read_kind(reseat_record *record, reseat_field field, const json_value *value,
                               reseat_error *error)
{
    static const struct {
        json_kind kind;
        const char *what;
    } expected[] = {
        [RESEAT_KIND_NUMBER] = {JSON_NUMBER, "a number"},
        [RESEAT_KIND_NUMBER_OR_NULL] = {JSON_NUMBER, "a number"},
        [RESEAT_KIND_INTEGER] = {JSON_NUMBER, "a number"},
        [RESEAT_KIND_TIME] = {JSON_TEXT, "a time in quotes"},
        [RESEAT_KIND_TEXT] = {JSON_TEXT, "a text"},
        [RESEAT_KIND_NUMBERS] = {JSON_ARRAY, "an array of numbers"},
        [RESEAT_KIND_TEXTS] = {JSON_ARRAY, "an array of texts"},
    };
    const reseat_kind kind = reseat_field_about(field)->shape->kind;
    record_value read = {.as.text = value->text};
    if (kind == RESEAT_KIND_NUMBER_OR_NULL && value->kind == JSON_NULL)
        return record_put(record, field, (record_value){.null = true}, error);
    if (value->kind != expected[kind].kind)
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "expected %s", expected[kind].what);
    if (value->kind == JSON_NUMBER)
        return record_put_number(record, field, value->number, error);
    if (value->kind == JSON_ARRAY)
        return read_array(record, field, value, kind == RESEAT_KIND_NUMBERS, error);
    if (kind == RESEAT_KIND_TIME) {
        const reseat_status status = reseat_time_parse(value->text, strlen(value->text),
                                                       &read.as.integer, error);
        if (status != RESEAT_OK)
            return status;
    }
    return record_put(record, field, read, error);
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

/* Reads `v` and `type` alone, or whatever the type takes that has not been read yet. */
static reseat_status read_members(reseat_record *record, const json_value *object, bool type_alone,
                                  reseat_error *error)
{
    size_t place = 0;
    json_value member;
    reseat_status status = RESEAT_OK;
    for (bool more = json_first(object, &member);
         more && status == RESEAT_OK && !(type_alone && record->values[RESEAT_FIELD_TYPE].has &&
                                          record->values[RESEAT_FIELD_V].has);
         more = json_next(&member)) {
        const reseat_field field = find_from(&place, member.name);
        const bool wanted = type_alone ? field == RESEAT_FIELD_V || field == RESEAT_FIELD_TYPE
                                       : field != RESEAT_FIELD_COUNT &&
                                             record_takes(record->type, field);
        if (wanted && !record->values[field].has)
            status = error_key(error, read_kind(record, field, &member, error), member.name);
    }
    return status;
}

static reseat_status read_line(reseat_record *record, const char *line, size_t length,
                               reseat_error *error)
{
    json_value object;
    reseat_status status = json_read(line, length, &object, error);
    if (status != RESEAT_OK)
        return status;
    status = read_members(record, &object, true, error); /* they say which fields there are */
    if (reseat_record_integer(record, RESEAT_FIELD_V, 0) == RESEAT_RECORD_VERSION)
        record->type = reseat_record_type_find(reseat_record_text(record, RESEAT_FIELD_TYPE));
    if (status == RESEAT_OK)
        status = read_members(record, &object, false, error);
    json_free(&object);
    if (status == RESEAT_OK)
        status = record_check(record, RESEAT_FIELD_COUNT, true, error);
    if (status != RESEAT_OK)
        return status;
    record->line = malloc(length + 1);
    if (!record->line)
        return error_plain(error, RESEAT_ERR_MEMORY);
    memcpy(record->line, line, length);
    record->line[length] = '\0';
    record->line_length = length;
    return RESEAT_OK;
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

/* The seal of a line. */

static const char mark[] = SEAL_MARK, end[] = SEAL_END;

bool seal_is_digits(const char *text, size_t length)
{
    unsigned all = length == SEAL_DIGITS;
    for (size_t i = 0; i < length; i++) { /* without a way out early: compilers do it all at once */
        const unsigned char c = (unsigned char)text[i];
        all &= (unsigned)(c >= '0' && c <= '9') | (unsigned)(c >= 'a' && c <= 'f');
    }
    return all != 0;
}

/*
 * Whether what follows the digits of a seal shows that the line was once whole: its end with more
 * behind it, or in the place of its end two bytes, one of them right. Zeros are what a file system
 * fills in, and other bytes what a crash may leave where the rest was to be written.
 */
static bool was_whole(const char *rest, size_t length)
{
    if (length == sizeof end - 1)
        return rest[0] == end[0] || rest[1] == end[1];
    bool more = false;
    for (size_t i = sizeof end - 1; i < length; i++)
        more = more || rest[i] != '\0';
    return more && memcmp(rest, end, sizeof end - 1) == 0;
}

/* The digits of a seal that begins there, which must be followed by as many bytes; else NULL. */
static const char *digits_at(const char *text)
{
    const char *const digits = text + sizeof mark - 1;
    return memcmp(text, mark, sizeof mark - 1) == 0 && seal_is_digits(digits, SEAL_DIGITS) ? digits
                                                                                         : NULL;
}

static bool has_end(const char *line, size_t length)
{
    return length >= sizeof end - 1 &&
           memcmp(line + length - (sizeof end - 1), end, sizeof end - 1) == 0;
}

bool seal_closes(const char *line, size_t length)
{
    if (has_end(line, length))
        return true;
    for (size_t i = 0; i + sizeof SEAL_MARK - 1 + SEAL_DIGITS < length; i++) {
        const char *const digits = digits_at(line + i);
        if (digits &&
            was_whole(digits + SEAL_DIGITS, (size_t)(line + length - digits) - SEAL_DIGITS))
            return true;
    }
    return false;
}

const char *seal_of(const char *line, size_t length)
{
    return length >= SEAL_TAIL && has_end(line, length) ? digits_at(line + length - SEAL_TAIL)
                                                        : NULL;
}

void seal_digits(struct sha256_ctx *context, char *digits)
{
    static const char hexadecimal[] = "0123456789abcdef";
    uint8_t hash[SHA256_DIGEST_SIZE];
    sha256_digest(context, sizeof hash, hash);
    for (size_t i = 0; i < sizeof hash; i++) {
        digits[2 * i] = hexadecimal[hash[i] >> 4];
        digits[2 * i + 1] = hexadecimal[hash[i] & 15];
    }
    digits[SEAL_DIGITS] = '\0';
}

void seal_make(const char *above, const char *bytes, size_t length, char *digits)
{
    struct sha256_ctx context;
    sha256_init(&context);
    if (above)
        sha256_update(&context, SEAL_DIGITS, (const uint8_t *)above);
    sha256_update(&context, length, (const uint8_t *)bytes);
    seal_digits(&context, digits);
}

bool seal_holds(const char *above, const char *line, size_t length)
{
    char digits[SEAL_DIGITS + 1];
    assert(length >= SEAL_TAIL);
    seal_make(above, line, length - SEAL_TAIL, digits);
    return memcmp(line + length - SEAL_DIGITS - 2, digits, SEAL_DIGITS) == 0;
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
    case RESEAT_KIND_INTEGER: sink_print(to, "%" PRId64, value->as.integer); break;
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
        const reseat_field field = reseat_field_at(place);
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

reseat_status record_seal(reseat_record *record, const char *above, reseat_error *error)
{
    char digits[RESEAT_SEAL_SIZE];
    reseat_status status = check_whole(record, error);
    if (status != RESEAT_OK)
        return status;
    char *line = malloc(RESEAT_RECORD_LINE_MAX + 1);
    if (!line)
        return error_plain(error, RESEAT_ERR_MEMORY);
    sink to = sink_start(line, RESEAT_RECORD_LINE_MAX + 1);
    put_fields(&to, record);
    if (to.length + SEAL_TAIL > RESEAT_RECORD_LINE_MAX) {
        status = error_set(error, RESEAT_ERR_RANGE, 0, "the record is longer than %d bytes",
                           RESEAT_RECORD_LINE_MAX);
    } else {
        seal_make(above, line, to.length, digits);
        sink_text(&to, SEAL_MARK);
        sink_text(&to, digits);
        sink_text(&to, SEAL_END);
        status = record_put(record, RESEAT_FIELD_SEAL, (record_value){.as.text = digits}, error);
    }
    if (status != RESEAT_OK) {
        free(line);
        return status;
    }
    free(record->line);
    char *const shorter = realloc(line, to.length + 1);
    record->line = shorter ? shorter : line;
    record->line_length = to.length;
    return RESEAT_OK;
}

size_t reseat_record_show(const reseat_record *record, reseat_field field, char *out, size_t size)
{
    sink to = sink_start(out, size);
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
    const reseat_kind kind = reseat_field_about(field)->shape->kind;
    int64_t seconds = 0;
    double value = 0;
    reseat_status status;
    if (kind == RESEAT_KIND_NUMBER_OR_NULL && strcmp(text, "unknown") == 0)
        return record_set_null(record, field, error);
    switch (kind) {
    case RESEAT_KIND_TEXT: return reseat_record_set_text(record, field, text, error);
    case RESEAT_KIND_TEXTS: return reseat_record_add_text(record, field, text, error);
    case RESEAT_KIND_NUMBERS: return set_numbers(record, field, text, unit, error);
    case RESEAT_KIND_TIME:
        status = reseat_time_parse(text, strlen(text), &seconds, error);
        return status != RESEAT_OK ? status
                                   : reseat_record_set_integer(record, field, seconds, error);
    case RESEAT_KIND_NUMBER:
    case RESEAT_KIND_NUMBER_OR_NULL:
    case RESEAT_KIND_INTEGER: break;
    }
    status = read_typed(field, text, strlen(text), unit, &value, error);
    return status != RESEAT_OK ? status : reseat_record_set_number(record, field, value, error);
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
