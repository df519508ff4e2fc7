/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/record.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/text.h"
#include "base/time.h"
#include "log/seal.h"
#include "reseat/log.h"
#include "reseat/values.h"

reseat_status reseat_record_new(reseat_record_type type, reseat_record **record)
{
    const char *name = reseat_record_type_name(type);
    if (record == NULL || name[0] == '\0')
        return RESEAT_ERR_ARGUMENT;
    reseat_record *made = calloc(1, sizeof *made);
    if (made == NULL)
        return RESEAT_ERR_MEMORY;
    made->type = type;
    record_put_integer(made, RESEAT_FIELD_V, RESEAT_RECORD_VERSION);
    if (record_put_text(made, RESEAT_FIELD_TYPE, name) != RESEAT_OK) {
        reseat_record_free(made);
        return RESEAT_ERR_MEMORY;
    }
    *record = made;
    return RESEAT_OK;
}

/* Lets go what a field holds. */
static void empty(record_value *value, reseat_kind kind)
{
    if (value->has && kind == RESEAT_KIND_TEXT)
        free(value->as.text);
    if (value->has && kind == RESEAT_KIND_NUMBERS)
        free(value->as.numbers);
    for (size_t i = 0; value->has && kind == RESEAT_KIND_TEXTS && i < value->count; i++)
        free(value->as.texts[i]);
    if (value->has && kind == RESEAT_KIND_TEXTS)
        free(value->as.texts);
    *value = (record_value){0};
}

static reseat_kind kind_of(reseat_field field)
{
    return reseat_field_about(field)->shape->kind;
}

static void drop_line(reseat_record *record)
{
    empty(&record->values[RESEAT_FIELD_SEAL], RESEAT_KIND_TEXT);
    free(record->line);
    record->line = NULL;
    record->line_length = 0;
}

void reseat_record_free(reseat_record *record)
{
    if (record == NULL)
        return;
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++)
        if (record->values[i].has)
            empty(&record->values[i], kind_of((reseat_field)i));
    free(record->line);
    free(record);
}

bool reseat_record_has(const reseat_record *record, reseat_field field)
{
    return record != NULL && reseat_field_about(field) != NULL && record->values[field].has;
}

/* The value of a field of one of two kinds; NULL if it is not there. */
static const record_value *find(const reseat_record *record, reseat_field field, reseat_kind kind,
                                reseat_kind or_kind)
{
    if (!reseat_record_has(record, field) || record->values[field].null)
        return NULL;
    const reseat_kind actual = kind_of(field);
    return actual == kind || actual == or_kind ? &record->values[field] : NULL;
}

reseat_record_type reseat_record_type_of(const reseat_record *record)
{
    return record != NULL ? record->type : RESEAT_RECORD_OTHER;
}

bool reseat_record_is_null(const reseat_record *record, reseat_field field)
{
    return reseat_record_has(record, field) && record->values[field].null;
}

double reseat_record_number(const reseat_record *record, reseat_field field, double absent)
{
    const record_value *value = find(record, field, RESEAT_KIND_NUMBER, RESEAT_KIND_NUMBER_OR_NULL);
    return value != NULL ? value->as.number : absent;
}

int64_t reseat_record_integer(const reseat_record *record, reseat_field field, int64_t absent)
{
    const record_value *value = find(record, field, RESEAT_KIND_INTEGER, RESEAT_KIND_TIME);
    return value != NULL ? value->as.integer : absent;
}

const char *reseat_record_text(const reseat_record *record, reseat_field field)
{
    const record_value *value = find(record, field, RESEAT_KIND_TEXT, RESEAT_KIND_TEXT);
    return value != NULL ? value->as.text : NULL;
}

const double *reseat_record_numbers(const reseat_record *record, reseat_field field, size_t *count)
{
    const record_value *value = find(record, field, RESEAT_KIND_NUMBERS, RESEAT_KIND_NUMBERS);
    if (count != NULL)
        *count = value != NULL ? value->count : 0;
    return value != NULL ? value->as.numbers : NULL;
}

size_t reseat_record_text_count(const reseat_record *record, reseat_field field)
{
    const record_value *value = find(record, field, RESEAT_KIND_TEXTS, RESEAT_KIND_TEXTS);
    return value != NULL ? value->count : 0;
}

const char *reseat_record_text_at(const reseat_record *record, reseat_field field, size_t index)
{
    return index < reseat_record_text_count(record, field) ? record->values[field].as.texts[index]
                                                           : NULL;
}

const char *reseat_record_line(const reseat_record *record, size_t *length)
{
    if (length != NULL)
        *length = record != NULL ? record->line_length : 0;
    return record != NULL ? record->line : NULL;
}

static char *copy_text(const char *text)
{
    const size_t size = strlen(text) + 1;
    char *copy = malloc(size);
    return copy != NULL ? memcpy(copy, text, size) : NULL;
}

void record_put_number(reseat_record *record, reseat_field field, double value)
{
    record->values[field] = (record_value){.has = true, .as.number = value};
}

void record_put_integer(reseat_record *record, reseat_field field, int64_t value)
{
    record->values[field] = (record_value){.has = true, .as.integer = value};
}

reseat_status record_put_text(reseat_record *record, reseat_field field, const char *text)
{
    char *copy = copy_text(text);
    if (copy == NULL)
        return RESEAT_ERR_MEMORY;
    empty(&record->values[field], RESEAT_KIND_TEXT);
    record->values[field] = (record_value){.has = true, .as.text = copy};
    return RESEAT_OK;
}

reseat_status record_put_numbers(reseat_record *record, reseat_field field, const double *values,
                                 size_t count)
{
    assert(count > 0);
    double *copy = malloc(count * sizeof *copy);
    if (copy == NULL)
        return RESEAT_ERR_MEMORY;
    memcpy(copy, values, count * sizeof *copy);
    empty(&record->values[field], RESEAT_KIND_NUMBERS);
    record->values[field] = (record_value){.has = true, .count = count, .as.numbers = copy};
    return RESEAT_OK;
}

reseat_status record_append_text(reseat_record *record, reseat_field field, const char *text)
{
    record_value *value = &record->values[field];
    char *copy = copy_text(text);
    char **texts = copy == NULL ? NULL : realloc(value->has ? value->as.texts : NULL,
                                                 (value->count + 1) * sizeof *texts);
    if (texts == NULL) {
        free(copy);
        return RESEAT_ERR_MEMORY;
    }
    texts[value->count] = copy;
    *value = (record_value){.has = true, .count = value->count + 1, .as.texts = texts};
    return RESEAT_OK;
}

reseat_status record_copy_value(reseat_record *to, reseat_field field, const reseat_record *from)
{
    const record_value *value = &from->values[field];
    reseat_status status = RESEAT_OK;
    empty(&to->values[field], kind_of(field));
    if (!value->has)
        return RESEAT_OK;
    switch (kind_of(field)) {
    case RESEAT_KIND_TEXT: return record_put_text(to, field, value->as.text);
    case RESEAT_KIND_NUMBERS:
        return record_put_numbers(to, field, value->as.numbers, value->count);
    case RESEAT_KIND_TEXTS:
        for (size_t i = 0; i < value->count && status == RESEAT_OK; i++)
            status = record_append_text(to, field, value->as.texts[i]);
        return status;
    default: to->values[field] = *value; return RESEAT_OK;
    }
}

reseat_status record_copy(const reseat_record *record, reseat_record **copy)
{
    reseat_record *made = calloc(1, sizeof *made);
    reseat_status status = made != NULL ? RESEAT_OK : RESEAT_ERR_MEMORY;
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT && status == RESEAT_OK; i++)
        status = record_copy_value(made, (reseat_field)i, record);
    if (status != RESEAT_OK) {
        reseat_record_free(made);
        return status;
    }
    made->type = record->type;
    *copy = made;
    return RESEAT_OK;
}

void record_swap(reseat_record *a, reseat_record *b)
{
    const reseat_record held = *a;
    *a = *b;
    *b = held;
}

/* Whether a caller may set a field of this kind in this record. */
static reseat_status check_settable(const reseat_record *record, reseat_field field,
                                    reseat_kind kind, reseat_kind or_kind, reseat_error *error)
{
    const reseat_field_row *row = reseat_field_about(field);
    if (record == NULL || row == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const bool given = field == RESEAT_FIELD_V || field == RESEAT_FIELD_TYPE;
    if (given || field == RESEAT_FIELD_SEAL || !record_takes(record->type, field))
        return record_at_field(error, field, error_set(error, RESEAT_ERR_ARGUMENT, 0,
                               "%s records have no such field to set",
                               reseat_record_type_name(record->type)));
    if (row->shape->kind != kind && row->shape->kind != or_kind)
        return record_at_field(error, field, error_set(error, RESEAT_ERR_ARGUMENT, 0,
                                                       "not a field of this kind"));
    return RESEAT_OK;
}

/* After a value went in: the line no longer says what the record does. */
static reseat_status finish(reseat_record *record, reseat_status status, reseat_error *error)
{
    if (status != RESEAT_OK)
        return error_plain(error, status);
    drop_line(record);
    return RESEAT_OK;
}

reseat_status reseat_record_set_integer(reseat_record *record, reseat_field field, int64_t value,
                                        reseat_error *error)
{
    reseat_status status = check_settable(record, field, RESEAT_KIND_INTEGER, RESEAT_KIND_TIME,
                                          error);
    if (status == RESEAT_OK)
        status = record_check_integer(field, value, error);
    if (status != RESEAT_OK)
        return status;
    record_put_integer(record, field, value);
    return finish(record, RESEAT_OK, error);
}

reseat_status reseat_record_set_number(reseat_record *record, reseat_field field, double value,
                                       reseat_error *error)
{
    const reseat_field_row *row = reseat_field_about(field);
    const bool integer = row != NULL && row->shape->kind == RESEAT_KIND_INTEGER;
    reseat_status status = check_settable(record, field,
                                          integer ? RESEAT_KIND_INTEGER : RESEAT_KIND_NUMBER,
                                          RESEAT_KIND_NUMBER_OR_NULL, error);
    if (status == RESEAT_OK)
        status = record_check_number(field, value, error);
    if (status != RESEAT_OK)
        return status;
    if (integer)
        record_put_integer(record, field, (int64_t)value);
    else
        record_put_number(record, field, value);
    return finish(record, RESEAT_OK, error);
}

reseat_status reseat_record_set_null(reseat_record *record, reseat_field field,
                                     reseat_error *error)
{
    const reseat_status status = check_settable(record, field, RESEAT_KIND_NUMBER_OR_NULL,
                                                RESEAT_KIND_NUMBER_OR_NULL, error);
    if (status != RESEAT_OK)
        return status;
    record->values[field] = (record_value){.has = true, .null = true};
    return finish(record, RESEAT_OK, error);
}

reseat_status reseat_record_set_text(reseat_record *record, reseat_field field, const char *text,
                                     reseat_error *error)
{
    if (text == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = check_settable(record, field, RESEAT_KIND_TEXT, RESEAT_KIND_TEXT, error);
    if (status == RESEAT_OK)
        status = record_check_text(field, text, error);
    return status != RESEAT_OK ? status
                               : finish(record, record_put_text(record, field, text), error);
}

reseat_status reseat_record_set_numbers(reseat_record *record, reseat_field field,
                                        const double *values, size_t count, reseat_error *error)
{
    if (values == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = check_settable(record, field, RESEAT_KIND_NUMBERS, RESEAT_KIND_NUMBERS,
                                          error);
    if (status == RESEAT_OK && (count == 0 || count > RESEAT_RECORD_COUNT_MAX))
        status = record_at_field(error, field, error_set(error, RESEAT_ERR_RANGE, 0,
                                 "must be 1 to %d numbers", RESEAT_RECORD_COUNT_MAX));
    for (size_t i = 0; i < count && status == RESEAT_OK; i++)
        status = record_check_number(field, values[i], error);
    return status != RESEAT_OK
               ? status : finish(record, record_put_numbers(record, field, values, count), error);
}

reseat_status reseat_record_add_text(reseat_record *record, reseat_field field, const char *text,
                                     reseat_error *error)
{
    if (text == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = check_settable(record, field, RESEAT_KIND_TEXTS, RESEAT_KIND_TEXTS,
                                          error);
    if (status == RESEAT_OK && record->values[field].count >= RESEAT_RECORD_COUNT_MAX)
        status = error_plain(error, RESEAT_ERR_RANGE);
    if (status == RESEAT_OK)
        status = record_check_text(field, text, error);
    return status != RESEAT_OK ? status
                               : finish(record, record_append_text(record, field, text), error);
}

void reseat_record_clear(reseat_record *record, reseat_field field)
{
    if (!reseat_record_has(record, field) || field == RESEAT_FIELD_TYPE ||
        field == RESEAT_FIELD_V)
        return;
    empty(&record->values[field], kind_of(field));
    drop_line(record);
}

reseat_status record_at_field(reseat_error *error, reseat_field field, reseat_status status)
{
    const reseat_field_row *row = reseat_field_about(field);
    assert(row != NULL);
    if (status != RESEAT_OK && error != NULL) {
        memset(error->key, 0, sizeof error->key);
        memcpy(error->key, row->name, strlen(row->name));
    }
    return status;
}

/*
 * The range of a number in words: "must be above 0 and below 1". That a count has an end is said to
 * those alone who went beyond it.
 */
static reseat_status say_range(const reseat_shape *shape, double value, reseat_error *error)
{
    char least[RESEAT_NUMBER_SIZE] = "", most[RESEAT_NUMBER_SIZE] = "";
    char read[RESEAT_NUMBER_SIZE] = "";
    const char *from = shape->above ? "above" : "at least";
    (void)reseat_number_format(shape->least, least); /* all three are finite */
    (void)reseat_number_format(shape->most, most);
    (void)reseat_number_format(value, read);
    const bool far = shape->kind == RESEAT_KIND_INTEGER && value < shape->most;
    if (far || record_is_open(shape->most))
        return error_set(error, RESEAT_ERR_RANGE, 0, "must be %s %s, is %s", from, least,
                         read);
    return error_set(error, RESEAT_ERR_RANGE, 0, "must be %s %s and %s %s, is %s", from,
                     least, shape->below ? "below" : "at most", most, read);
}

reseat_status record_check_number(reseat_field field, double value, reseat_error *error)
{
    const reseat_field_row *row = reseat_field_about(field);
    assert(row != NULL);
    const reseat_shape *shape = row->shape;
    if (!isfinite(value))
        return record_at_field(error, field, error_plain(error, RESEAT_ERR_NOT_FINITE));
    const bool low = shape->above ? !(value > shape->least) : !(value >= shape->least);
    const bool high = shape->below ? !(value < shape->most) : !(value <= shape->most);
    if (low || high)
        return record_at_field(error, field, say_range(shape, value, error));
    if (shape->kind == RESEAT_KIND_INTEGER && value > floor(value))
        return record_at_field(error, field, error_set(error, RESEAT_ERR_RANGE, 0,
                                                       "must be a whole number"));
    return RESEAT_OK;
}

reseat_status record_check_integer(reseat_field field, int64_t value, reseat_error *error)
{
    const reseat_field_row *row = reseat_field_about(field);
    assert(row != NULL);
    const bool is_time = row->shape->kind == RESEAT_KIND_TIME;
    if (!is_time && value <= RECORD_WHOLE_MAX)
        return record_check_number(field, (double)value, error);
    if (!is_time || value < FIRST_SECOND || value > LAST_SECOND)
        return record_at_field(error, field, error_set(error, RESEAT_ERR_RANGE, 0,
                               is_time ? "outside the years 1 to 9999" : "larger than 2^53"));
    return RESEAT_OK;
}

/* Control characters of C0 and C1, and DEL; in UTF-8 a byte of 80 to BF stands behind C2. */
static bool has_control(const char *text)
{
    for (const unsigned char *at = (const unsigned char *)text; *at != 0; at++)
        if (*at < 0x20 || *at == 0x7F || (at[0] == 0xC2 && at[1] < 0xA0))
            return true;
    return false;
}

static bool is_word(const char *words, const char *text)
{
    const size_t length = strlen(text);
    for (const char *at = words; *at != '\0';) {
        const size_t word = strcspn(at, " ");
        if (word == length && memcmp(at, text, length) == 0)
            return true;
        at += word + (at[word] == ' ' ? 1 : 0);
    }
    return false;
}

bool record_is_log_name(const char *text)
{
    static const char first[] = "abcdefghijklmnopqrstuvwxyz0123456789";
    static const char rest[] = "abcdefghijklmnopqrstuvwxyz0123456789._-";
    const size_t length = strlen(text);
    return length >= 1 && length <= RESEAT_RECORD_NAME_MAX && strspn(text, first) >= 1 &&
           strspn(text, rest) == length;
}

/* Rules of single fields: NULL, or what is expected. */
static const char *expected_form(reseat_field field, const char *text)
{
    reseat_seat seat;
    const bool is_seat = (field == RESEAT_FIELD_SEAT || field == RESEAT_FIELD_SEATS) &&
                         reseat_seat_parse(text, strlen(text), &seat, NULL) == RESEAT_OK;
    switch (field) {
    case RESEAT_FIELD_SPINDLE:
        return record_is_log_name(text) ? NULL : "a name of a-z 0-9 . _ - that begins with a-z 0-9";
    case RESEAT_FIELD_SEAT:
        return is_seat ? NULL : "a seat";
    case RESEAT_FIELD_SEATS:
        return is_seat && (seat.kind == RESEAT_SEAT_KEYS || seat.kind == RESEAT_SEAT_ANY)
                   ? NULL : "keys:N or any";
    case RESEAT_FIELD_SHA256:
    case RESEAT_FIELD_SEAL:
        return seal_is_digits(text, strlen(text)) ? NULL : "64 hexadecimal digits";
    default:
        return NULL;
    }
}

static reseat_status check_text(reseat_field field, const char *text, reseat_error *error)
{
    const reseat_field_row *row = reseat_field_about(field);
    const size_t length = strlen(text);
    if (length == 0)
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "must not be empty");
    if (length > row->shape->bytes_max)
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "longer than %u bytes",
                         (unsigned)row->shape->bytes_max);
    if (!text_is_utf8(text, length))
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "not UTF-8");
    if (has_control(text))
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "must hold no control characters");
    if (row->choices != NULL && !is_word(row->choices, text))
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "expected one of %s; read %s",
                         row->choices, error_echo(text, length).text);
    const char *form = expected_form(field, text);
    if (form != NULL)
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "expected %s, read %s", form,
                         error_echo(text, length).text);
    return RESEAT_OK;
}

reseat_status record_check_text(reseat_field field, const char *text, reseat_error *error)
{
    assert(reseat_field_about(field) != NULL && text != NULL);
    return record_at_field(error, field, check_text(field, text, error));
}

/* Every record has its type and version. */
static bool is_given_by_log(reseat_field field)
{
    return field == RESEAT_FIELD_SEQ || field == RESEAT_FIELD_SEAL ||
           field == RESEAT_FIELD_RECORDED_AT;
}

reseat_status record_missing(reseat_error *error, reseat_field field)
{
    return error_name(error, error_set(error, RESEAT_ERR_SYNTAX, 0, "missing"),
                      RESEAT_CODE_MISSING, reseat_field_about(field)->name, NULL);
}

static reseat_status check_required(const reseat_record *record, reseat_field but,
                                    reseat_error *error)
{
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)i;
        const unsigned required = reseat_field_about(field)->required;
        if ((required >> record->type & 1u) != 0 && !record->values[i].has &&
            field != but && !is_given_by_log(field))
            return record_missing(error, field);
    }
    return RESEAT_OK;
}

static bool has_policy(const reseat_record *record)
{
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++)
        if (record->values[i].has && record_is_policy((reseat_field)i))
            return true;
    return false;
}

static reseat_status say_pair(reseat_error *error, reseat_error_code code, reseat_field field,
                              reseat_field other_field)
{
    const char *other = reseat_field_about(other_field)->name;
    const reseat_status status = error_set(error, RESEAT_ERR_SYNTAX, 0,
                                           code == RESEAT_CODE_COUNT_DIFFERS
                                               ? "must be as many as %s"
                                               : "missing, as %s is there", other);
    return error_name(error, status, code, reseat_field_about(field)->name, other);
}

static reseat_status check_pairs(const reseat_record *record, reseat_error *error)
{
    for (size_t i = 0; i < RECORD_PAIR_COUNT; i++) {
        const reseat_field *pair = record_pairs[i];
        const bool first = record->values[pair[0]].has;
        if (first != record->values[pair[1]].has)
            return say_pair(error, RESEAT_CODE_MISSING_PARTNER, pair[first ? 1 : 0],
                            pair[first ? 0 : 1]);
    }
    if (record->values[RESEAT_FIELD_DIRS_DEG].count != record->values[RESEAT_FIELD_RADII_MM].count)
        return say_pair(error, RESEAT_CODE_COUNT_DIFFERS, RESEAT_FIELD_RADII_MM,
                        RESEAT_FIELD_DIRS_DEG);
    return RESEAT_OK;
}

reseat_status record_check_but(const reseat_record *record, reseat_field missing,
                               reseat_error *error)
{
    reseat_status status = check_required(record, missing, error);
    if (status == RESEAT_OK)
        status = check_pairs(record, error);
    if (status == RESEAT_OK && record->type == RESEAT_RECORD_POLICY && !has_policy(record))
        status = error_set(error, RESEAT_ERR_SYNTAX, 0, "a policy has at least one field");
    return status;
}

reseat_status reseat_record_check(const reseat_record *record, reseat_error *error)
{
    if (record == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return record_check_but(record, RESEAT_FIELD_COUNT, error);
}
