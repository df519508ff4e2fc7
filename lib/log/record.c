/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/record.h"

#include <math.h>
#include <stdlib.h>
#include "base/text.h"
#include "base/time.h"
#include "log/seal.h"

enum { /* sets of kinds */
    NULLABLE = 1u << RESEAT_KIND_NUMBER_OR_NULL,
    NUMBER = 1u << RESEAT_KIND_NUMBER | NULLABLE,
    INTEGER = 1u << RESEAT_KIND_INTEGER,
    TIME = 1u << RESEAT_KIND_TIME,
    TEXT = 1u << RESEAT_KIND_TEXT,
    NUMBERS = 1u << RESEAT_KIND_NUMBERS,
    TEXTS = 1u << RESEAT_KIND_TEXTS,
    OWNED = TEXT | NUMBERS | TEXTS
};

static reseat_kind kind_of(reseat_field field)
{
    return reseat_field_about(field)->shape->kind;
}

static bool is_of(reseat_field field, unsigned kinds)
{
    return (kinds >> kind_of(field) & 1u) != 0;
}

static const char *name_of(reseat_field field)
{
    return reseat_field_about(field)->name;
}

reseat_status reseat_record_new(reseat_record_type type, reseat_record **record)
{
    const char *name = reseat_record_type_name(type);
    if (!record || name[0] == '\0')
        return RESEAT_ERR_ARGUMENT;
    reseat_record *made = calloc(1, sizeof *made);
    if (!made)
        return RESEAT_ERR_MEMORY;
    made->type = type;
    made->values[RESEAT_FIELD_V] = (record_value){.has = true, .as.integer = RESEAT_RECORD_VERSION};
    if (record_put(made, RESEAT_FIELD_TYPE, (record_value){.as.text = name}, NULL) != RESEAT_OK) {
        reseat_record_free(made);
        return RESEAT_ERR_MEMORY;
    }
    *record = made;
    return RESEAT_OK;
}

/* Frees what a field holds, and leaves it without a value. */
static void empty(reseat_record *record, reseat_field field)
{
    if (record->values[field].has && is_of(field, OWNED))
        free(record->values[field].as.owned);
    record->values[field] = (record_value){0};
}

static void drop_line(reseat_record *record)
{
    empty(record, RESEAT_FIELD_SEAL);
    free(record->line);
    record->line = NULL;
    record->line_length = 0;
}

void reseat_record_free(reseat_record *record)
{
    if (!record)
        return;
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++)
        if (record->values[i].has)
            empty(record, (reseat_field)i);
    free(record->line);
    free(record);
}

bool reseat_record_has(const reseat_record *record, reseat_field field)
{
    return record && reseat_field_about(field) && record->values[field].has;
}

/* The value of a field of one of these kinds; NULL if it is not there. */
static const record_value *find(const reseat_record *record, reseat_field field, unsigned kinds)
{
    if (!reseat_record_has(record, field) || record->values[field].null || !is_of(field, kinds))
        return NULL;
    return &record->values[field];
}

reseat_record_type reseat_record_type_of(const reseat_record *record)
{
    return record ? record->type : RESEAT_RECORD_OTHER;
}

bool reseat_record_is_null(const reseat_record *record, reseat_field field)
{
    return reseat_record_has(record, field) && record->values[field].null;
}

double reseat_record_number(const reseat_record *record, reseat_field field, double absent)
{
    const record_value *value = find(record, field, NUMBER);
    return value ? value->as.number : absent;
}

int64_t reseat_record_integer(const reseat_record *record, reseat_field field, int64_t absent)
{
    const record_value *value = find(record, field, INTEGER | TIME);
    return value ? value->as.integer : absent;
}

const char *reseat_record_text(const reseat_record *record, reseat_field field)
{
    const record_value *value = find(record, field, TEXT);
    return value ? value->as.text : NULL;
}

const double *reseat_record_numbers(const reseat_record *record, reseat_field field, size_t *count)
{
    const record_value *value = find(record, field, NUMBERS);
    if (count)
        *count = value ? value->count : 0;
    return value ? value->as.numbers : NULL;
}

const char *reseat_record_line(const reseat_record *record, size_t *length)
{
    if (length)
        *length = record ? record->line_length : 0;
    return record ? record->line : NULL;
}

/*
 * The range of a number in words: "must be above 0 and below 1". That a count has an end is said to
 * those alone who went beyond it.
 */
static reseat_status say_range(reseat_field field, double value, reseat_error *error)
{
    const reseat_shape *shape = reseat_field_about(field)->shape;
    char least[RESEAT_NUMBER_SIZE] = "", most[RESEAT_NUMBER_SIZE] = "";
    char read[RESEAT_NUMBER_SIZE] = "";
    const char *from = shape->above ? "above" : "at least";
    (void)reseat_number_format(shape->least, least); /* all three are finite */
    (void)reseat_number_format(shape->most, most);
    (void)reseat_number_format(value, read);
    const bool far = shape->kind == RESEAT_KIND_INTEGER && value < shape->most;
    if (far || record_is_open(shape->most))
        return error_at(error, RESEAT_ERR_RANGE, name_of(field), "must be %s %s, is %s", from,
                        least, read);
    return error_at(error, RESEAT_ERR_RANGE, name_of(field), "must be %s %s and %s %s, is %s", from,
                    least, shape->below ? "below" : "at most", most, read);
}

static reseat_status check_number(reseat_field field, double value, reseat_error *error)
{
    const reseat_shape *shape = reseat_field_about(field)->shape;
    if (!isfinite(value))
        return error_key(error, error_plain(error, RESEAT_ERR_NOT_FINITE), name_of(field));
    const bool low = shape->above ? !(value > shape->least) : !(value >= shape->least);
    const bool high = shape->below ? !(value < shape->most) : !(value <= shape->most);
    if (low || high)
        return say_range(field, value, error);
    if (shape->kind == RESEAT_KIND_INTEGER && value > floor(value))
        return error_at(error, RESEAT_ERR_RANGE, name_of(field), "must be a whole number");
    return RESEAT_OK;
}

static reseat_status check_integer(reseat_field field, int64_t value, reseat_error *error)
{
    const bool is_time = is_of(field, TIME);
    if (is_time ? value < FIRST_SECOND || value > LAST_SECOND : value > RECORD_WHOLE_MAX)
        return error_at(error, RESEAT_ERR_RANGE, name_of(field),
                        is_time ? "outside the years 1 to 9999" : "larger than 2^53");
    return is_time ? RESEAT_OK : check_number(field, (double)value, error);
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
    bool found = false;
    for (const char *at = words; *at != '\0' && !found; at += strspn(at, " ")) {
        const size_t length = strcspn(at, " ");
        found = word_is(at, length, text);
        at += length;
    }
    return found;
}

bool log_is_register(const char *name)
{
    return strcmp(name, RESEAT_LOG_GAUGES) == 0;
}

bool log_is_kept(const char *name)
{
    char stem[5] = ""; /* a device's name counts with whatever behind a dot */
    const size_t length = strcspn(name, ".");
    if (length < sizeof stem)
        memcpy(stem, name, length);
    if (length == 4 && stem[3] >= '0' && stem[3] <= '9')
        stem[3] = '#';
    return is_word("con prn aux nul com# lpt#", stem) || log_is_register(name) ||
           name[strlen(name) - 1] == '.';
}

bool log_is_name(const char *name)
{
    static const char first[] = "abcdefghijklmnopqrstuvwxyz0123456789";
    static const char rest[] = "abcdefghijklmnopqrstuvwxyz0123456789._-";
    const size_t length = name ? strlen(name) : 0;
    return length >= 1 && length <= RESEAT_RECORD_NAME_MAX && strspn(name, first) >= 1 &&
           strspn(name, rest) == length && !log_is_kept(name);
}

/* Rules of single fields: NULL, or what is expected. */
static const char *expected_form(reseat_field field, const char *text)
{
    reseat_seat seat;
    const bool is_seat = (field == RESEAT_FIELD_SEAT || field == RESEAT_FIELD_SEATS) &&
                         reseat_seat_parse(text, strlen(text), &seat, NULL) == RESEAT_OK;
    switch (field) {
    case RESEAT_FIELD_SPINDLE:
        return log_is_name(text) || log_is_register(text)
                   ? NULL : "a name of a-z 0-9 . _ - that begins with a-z 0-9";
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
        return error_at(error, RESEAT_ERR_SYNTAX, row->name, "must not be empty");
    if (length > row->shape->bytes_max)
        return error_at(error, RESEAT_ERR_SYNTAX, row->name, "longer than %u bytes",
                        (unsigned)row->shape->bytes_max);
    if (!text_is_utf8(text, length))
        return error_at(error, RESEAT_ERR_SYNTAX, row->name, "not UTF-8");
    if (has_control(text))
        return error_at(error, RESEAT_ERR_SYNTAX, row->name, "must hold no control characters");
    if (row->choices && !is_word(row->choices, text))
        return error_at(error, RESEAT_ERR_SYNTAX, row->name, "expected one of %s; read %s",
                        row->choices, error_echo(text, length).text);
    const char *form = expected_form(field, text);
    if (form)
        return error_at(error, RESEAT_ERR_SYNTAX, row->name, "expected %s, read %s", form,
                        error_echo(text, length).text);
    return RESEAT_OK;
}

static reseat_status check_value(reseat_field field, const record_value *value,
                                 reseat_error *error)
{
    const reseat_kind kind = kind_of(field);
    reseat_status status = RESEAT_OK;
    switch (kind) {
    case RESEAT_KIND_NUMBER:
    case RESEAT_KIND_NUMBER_OR_NULL:
        return value->null ? RESEAT_OK : check_number(field, value->as.number, error);
    case RESEAT_KIND_INTEGER:
    case RESEAT_KIND_TIME: return check_integer(field, value->as.integer, error);
    case RESEAT_KIND_TEXT: return check_text(field, value->as.text, error);
    case RESEAT_KIND_NUMBERS:
    case RESEAT_KIND_TEXTS: break;
    }
    if (value->count == 0 || value->count > RESEAT_RECORD_COUNT_MAX)
        return error_at(error, RESEAT_ERR_RANGE, name_of(field),
                        kind == RESEAT_KIND_NUMBERS ? "must be 1 to %d numbers"
                                                    : "more than %d texts",
                        RESEAT_RECORD_COUNT_MAX);
    for (size_t i = 0; i < value->count && status == RESEAT_OK; i++)
        status = kind == RESEAT_KIND_NUMBERS ? check_number(field, value->as.numbers[i], error)
                                             : check_text(field, value->as.texts[i], error);
    return status;
}

static void *copy_of(const void *bytes, size_t size)
{
    void *copy = malloc(size);
    return copy ? memcpy(copy, bytes, size) : NULL;
}

/* Where the texts begin, and they, in one piece. */
static void *copy_texts(const char *const *texts, size_t count)
{
    size_t size = count * sizeof *texts;
    for (size_t i = 0; i < count; i++)
        size += strlen(texts[i]) + 1;
    const char **copy = malloc(size);
    if (!copy)
        return NULL;
    char *at = (char *)(copy + count);
    for (size_t i = 0; i < count; i++) {
        const size_t length = strlen(texts[i]) + 1;
        copy[i] = memcpy(at, texts[i], length);
        at += length;
    }
    return copy;
}

reseat_status record_put(reseat_record *record, reseat_field field, record_value value,
                         reseat_error *error)
{
    const reseat_status status = check_value(field, &value, error);
    if (status != RESEAT_OK)
        return status;
    if (is_of(field, TEXT))
        value.as.owned = copy_of(value.as.text, strlen(value.as.text) + 1);
    else if (is_of(field, NUMBERS))
        value.as.owned = copy_of(value.as.numbers, value.count * sizeof *value.as.numbers);
    else if (is_of(field, TEXTS))
        value.as.owned = copy_texts(value.as.texts, value.count);
    if (is_of(field, OWNED) && !value.as.owned)
        return error_plain(error, RESEAT_ERR_MEMORY);
    value.has = true;
    empty(record, field);
    record->values[field] = value;
    return RESEAT_OK;
}

reseat_status record_put_number(reseat_record *record, reseat_field field, double value,
                                reseat_error *error)
{
    if (!is_of(field, INTEGER))
        return record_put(record, field, (record_value){.as.number = value}, error);
    const reseat_status status = check_number(field, value, error);
    if (status != RESEAT_OK)
        return status;
    return record_put(record, field, (record_value){.as.integer = (int64_t)value}, error);
}

reseat_status record_copy_value(reseat_record *to, reseat_field field, const reseat_record *from)
{
    if (from->values[field].has)
        return record_put(to, field, from->values[field], NULL);
    empty(to, field);
    return RESEAT_OK;
}

reseat_status record_copy(const reseat_record *record, reseat_record **copy)
{
    reseat_record *made = calloc(1, sizeof *made);
    reseat_status status = made ? RESEAT_OK : RESEAT_ERR_MEMORY;
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

/*
 * What a caller gives a field, in which it may set values of these kinds; `given` is NULL where a
 * pointer is. Once a value went in, the line no longer says what the record does.
 */
static reseat_status set(reseat_record *record, reseat_field field, const void *given,
                         unsigned kinds, record_value value, reseat_error *error)
{
    if (!record || !given || !reseat_field_about(field))
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (!record_takes(record->type, field) || field == RESEAT_FIELD_V ||
        field == RESEAT_FIELD_TYPE || field == RESEAT_FIELD_SEAL)
        return error_at(error, RESEAT_ERR_ARGUMENT, name_of(field),
                        "%s records have no such field to set",
                        reseat_record_type_name(record->type));
    if (!is_of(field, kinds))
        return error_at(error, RESEAT_ERR_ARGUMENT, name_of(field), "not a field of this kind");
    const reseat_status status = kinds & 1u << RESEAT_KIND_NUMBER
                                     ? record_put_number(record, field, value.as.number, error)
                                     : record_put(record, field, value, error);
    if (status == RESEAT_OK)
        drop_line(record);
    return status;
}

reseat_status reseat_record_set_integer(reseat_record *record, reseat_field field, int64_t value,
                                        reseat_error *error)
{
    return set(record, field, &value, INTEGER | TIME, (record_value){.as.integer = value}, error);
}

reseat_status reseat_record_set_number(reseat_record *record, reseat_field field, double value,
                                       reseat_error *error)
{
    return set(record, field, &value, NUMBER | INTEGER, (record_value){.as.number = value}, error);
}

reseat_status record_set_null(reseat_record *record, reseat_field field, reseat_error *error)
{
    return set(record, field, record, NULLABLE, (record_value){.null = true}, error);
}

reseat_status reseat_record_set_text(reseat_record *record, reseat_field field, const char *text,
                                     reseat_error *error)
{
    return set(record, field, text, TEXT, (record_value){.as.text = text}, error);
}

reseat_status reseat_record_set_numbers(reseat_record *record, reseat_field field,
                                        const double *values, size_t count, reseat_error *error)
{
    return set(record, field, values, NUMBERS,
               (record_value){.count = count, .as.numbers = values}, error);
}

reseat_status reseat_record_add_text(reseat_record *record, reseat_field field, const char *text,
                                     reseat_error *error)
{
    const char *texts[RESEAT_RECORD_COUNT_MAX + 1];
    const record_value *old = find(record, field, TEXTS);
    const size_t count = old ? old->count : 0;
    if (old)
        memcpy(texts, old->as.texts, count * sizeof *texts);
    texts[count] = text;
    return set(record, field, text, TEXTS, (record_value){.count = count + 1, .as.texts = texts},
               error);
}

void record_clear(reseat_record *record, reseat_field field)
{
    if (!reseat_record_has(record, field) || field == RESEAT_FIELD_TYPE ||
        field == RESEAT_FIELD_V)
        return;
    empty(record, field);
    drop_line(record);
}

static reseat_status check_required(const reseat_record *record, reseat_field but, bool given,
                                    reseat_error *error)
{
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)i;
        const bool by_log = field == RESEAT_FIELD_SEQ || field == RESEAT_FIELD_RECORDED_AT ||
                            field == RESEAT_FIELD_SEAL;
        if (!record->values[i].has && record_requires(record->type, field) && field != but &&
            (given || !by_log))
            return error_code(error, error_at(error, RESEAT_ERR_SYNTAX, name_of(field), "missing"),
                              RESEAT_CODE_MISSING, "");
    }
    return RESEAT_OK;
}

static reseat_status check_pairs(const reseat_record *record, reseat_error *error)
{
    const record_value *values = record->values;
    for (size_t i = 0; i < RECORD_PAIR_COUNT; i++) {
        const reseat_field *pair = record_pairs[i];
        const bool first = values[pair[0]].has;
        const char *missing = name_of(pair[first ? 1 : 0]), *other = name_of(pair[first ? 0 : 1]);
        if (first != values[pair[1]].has)
            return error_code(error, error_at(error, RESEAT_ERR_SYNTAX, missing,
                                              "missing, as %s is there", other),
                              RESEAT_CODE_MISSING_PARTNER, other);
    }
    if (values[RESEAT_FIELD_DIRS_DEG].count != values[RESEAT_FIELD_RADII_MM].count)
        return error_code(error, error_at(error, RESEAT_ERR_SYNTAX, "radii_mm",
                                          "must be as many as dirs_deg"),
                          RESEAT_CODE_COUNT_DIFFERS, "dirs_deg");
    return RESEAT_OK;
}

/*
 * A gauge check has a shift or the offset itself, and all of it; one in the making may have the
 * reading that its shift is still to come from.
 */
static reseat_status check_measured(const reseat_record *record, bool made, reseat_error *error)
{
    const record_value *values = record->values;
    const bool anew = values[RESEAT_FIELD_NOW_X_MM].has || values[RESEAT_FIELD_NOW_Y_MM].has ||
                      values[RESEAT_FIELD_NOW_U_MM].has;
    for (size_t i = 0; i < 3; i++) {
        const reseat_field needed = record_measured[anew][i], other = record_measured[!anew][i];
        const bool to_come = !made && needed != RESEAT_FIELD_SHIFT_U_MM &&
                             values[RESEAT_FIELD_READING_X_MM].has;
        if (!values[needed].has && !to_come)
            return error_code(error, error_at(error, RESEAT_ERR_SYNTAX, name_of(needed), "missing"),
                              RESEAT_CODE_MISSING, "");
        if (values[other].has)
            return error_at(error, RESEAT_ERR_SYNTAX, name_of(other),
                            "does not go together with %s", name_of(needed));
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

reseat_status record_check(const reseat_record *record, reseat_field but, bool given,
                           reseat_error *error)
{
    reseat_status status = check_required(record, but, given, error);
    if (status == RESEAT_OK)
        status = check_pairs(record, error);
    if (status == RESEAT_OK && record->type == RESEAT_RECORD_VERIFY)
        status = check_measured(record, but == RESEAT_FIELD_COUNT, error);
    if (status == RESEAT_OK && record->type == RESEAT_RECORD_POLICY && !has_policy(record))
        status = error_set(error, RESEAT_ERR_SYNTAX, 0, "a policy has at least one field");
    if (status == RESEAT_OK && record->values[RESEAT_FIELD_VOIDS_TO].has &&
        record->values[RESEAT_FIELD_VOIDS_TO].as.integer <
            record->values[RESEAT_FIELD_VOIDS].as.integer)
        status = error_at(error, RESEAT_ERR_RANGE, "voids_to", "lies before voids, the first");
    return status;
}

reseat_status reseat_record_check(const reseat_record *record, reseat_error *error)
{
    return record ? record_check(record, RESEAT_FIELD_COUNT, false, error)
                  : error_plain(error, RESEAT_ERR_ARGUMENT);
}
