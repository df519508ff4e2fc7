/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <assert.h>
#include <math.h>
#include <string.h>
#include "calendar.h"
#include "error.h"
#include "reseat/number.h"
#include "reseat/text.h"
#include "record_values.h"
#include "seal.h"

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

bool record_is_open(double bound)
{
    return fabs(bound) > 1e300;
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
        return reseat_error_set(error, RESEAT_ERR_RANGE, 0, "must be %s %s, is %s", from, least,
                                read);
    return reseat_error_set(error, RESEAT_ERR_RANGE, 0, "must be %s %s and %s %s, is %s", from,
                            least, shape->below ? "below" : "at most", most, read);
}

reseat_status record_check_number(reseat_field field, double value, reseat_error *error)
{
    const reseat_field_row *row = reseat_field_about(field);
    assert(row != NULL);
    const reseat_shape *shape = row->shape;
    if (!isfinite(value))
        return record_at_field(error, field, reseat_error_plain(error, RESEAT_ERR_NOT_FINITE));
    const bool low = shape->above ? !(value > shape->least) : !(value >= shape->least);
    const bool high = shape->below ? !(value < shape->most) : !(value <= shape->most);
    if (low || high)
        return record_at_field(error, field, say_range(shape, value, error));
    if (shape->kind == RESEAT_KIND_INTEGER && value > floor(value))
        return record_at_field(error, field, reseat_error_set(error, RESEAT_ERR_RANGE, 0,
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
        return record_at_field(error, field, reseat_error_set(error, RESEAT_ERR_RANGE, 0,
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
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "must not be empty");
    if (length > row->shape->bytes_max)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "longer than %u bytes",
                                (unsigned)row->shape->bytes_max);
    if (!reseat_text_is_utf8(text, length))
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "not UTF-8");
    if (has_control(text))
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "must hold no control characters");
    if (row->choices != NULL && !is_word(row->choices, text))
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "expected one of %s; read %s",
                                row->choices, reseat_error_echo(text, length).text);
    const char *form = expected_form(field, text);
    if (form != NULL)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "expected %s, read %s", form,
                                reseat_error_echo(text, length).text);
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

static reseat_status check_required(const reseat_record *record, reseat_field but,
                                    reseat_error *error)
{
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)i;
        const unsigned required = reseat_field_about(field)->required;
        if ((required >> record->type & 1u) != 0 && !record->values[i].has &&
            field != but && !is_given_by_log(field))
            return record_at_field(error, field, reseat_error_set(error, RESEAT_ERR_SYNTAX, 0,
                                                                  "missing"));
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

static reseat_status check_pairs(const reseat_record *record, reseat_error *error)
{
    for (size_t i = 0; i < RECORD_PAIR_COUNT; i++) {
        const reseat_field *pair = record_pairs[i];
        const bool first = record->values[pair[0]].has;
        const reseat_field missing = pair[first ? 1 : 0];
        const char *other = reseat_field_about(pair[first ? 0 : 1])->name;
        if (first != record->values[pair[1]].has)
            return record_at_field(error, missing, reseat_error_set(error, RESEAT_ERR_SYNTAX, 0,
                                                    "missing, as %s is there", other));
    }
    if (record->values[RESEAT_FIELD_DIRS_DEG].count != record->values[RESEAT_FIELD_RADII_MM].count)
        return record_at_field(error, RESEAT_FIELD_RADII_MM, reseat_error_set(error,
                               RESEAT_ERR_SYNTAX, 0, "must be as many as dirs_deg"));
    return RESEAT_OK;
}

reseat_status record_check_but(const reseat_record *record, reseat_field missing,
                               reseat_error *error)
{
    reseat_status status = check_required(record, missing, error);
    if (status == RESEAT_OK)
        status = check_pairs(record, error);
    if (status == RESEAT_OK && record->type == RESEAT_RECORD_POLICY && !has_policy(record))
        status = reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "a policy has at least one field");
    return status;
}

reseat_status reseat_record_check(const reseat_record *record, reseat_error *error)
{
    if (record == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    return record_check_but(record, RESEAT_FIELD_COUNT, error);
}
