/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "base/number.h"
#include "base/text.h"
#include "reseat/values.h"

/* A value times factor * 10^power is mm, and so it is times `times` over `over`. */
static const struct {
    const char *name;
    int decimals;
    int factor, power;
    double times, over;
} units[] = {
    [RESEAT_MM] = {"mm", 4, 1, 0, 1, 1},
    [RESEAT_UM] = {"um", 1, 1, -3, 1, 1000},
    [RESEAT_INCH] = {"in", 6, 254, -1, 254, 10},
    [RESEAT_THOU] = {"thou", 3, 254, -4, 254, 10000},
};

static bool exists(reseat_unit unit)
{
    return (size_t)unit < sizeof units / sizeof *units;
}

reseat_status reseat_unit_parse(const char *text, size_t length, reseat_unit *unit,
                                reseat_error *error)
{
    /* in the order of the enum, then um with the micro sign U+00B5 and with the letter mu U+03BC */
    static const char *const names[] = {"mm", "um", "in", "thou", "\xC2\xB5m", "\xCE\xBCm"};
    enum { NAMES = sizeof names / sizeof *names };
    if (!text || !unit)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const size_t name = word_find(text, length, names, NAMES);
    if (name < NAMES) {
        *unit = name > RESEAT_THOU ? RESEAT_UM : (reseat_unit)name;
        return RESEAT_OK;
    }
    if (length == 0)
        return error_read(error, 1, "expected mm, um, in or thou", text, length);
    return error_set(error, RESEAT_ERR_SYNTAX, 1, "unknown unit %s: use mm, um, in or thou",
                     error_echo(text, length).text);
}

const char *reseat_unit_name(reseat_unit unit)
{
    return exists(unit) ? units[unit].name : "";
}

int reseat_unit_decimals(reseat_unit unit)
{
    return exists(unit) ? units[unit].decimals : 0;
}

double reseat_unit_to_mm(double value, reseat_unit unit)
{
    return exists(unit) ? value * units[unit].times / units[unit].over : (double)NAN;
}

double reseat_unit_from_mm(double mm, reseat_unit unit)
{
    return exists(unit) ? mm * units[unit].over / units[unit].times : (double)NAN;
}

/* Bytes that may be meant as part of a number; the comma is, so that 3,14mm is explained. */
static bool in_number(char c)
{
    return c != '\0' && strchr("0123456789+-.,eE", c);
}

/*
 * Finds where a number ends and its suffix begins. Where no digit stands before a suffix the whole
 * text is taken for the number, so that its reader says what to say of `nan` or `mm`.
 */
static reseat_status find_suffix(const char *text, size_t length, size_t *suffix,
                                 reseat_error *error)
{
    size_t end = 0;
    bool digit = false;
    for (; end < length && in_number(text[end]); end++)
        digit = digit || is_digit(text[end]);
    if (digit && end < length && (text[end] == ' ' || text[end] == '\t'))
        return error_read(error, end + 1, "expected no blank after the number", text, length);
    *suffix = digit ? end : length;
    return RESEAT_OK;
}

/* Moves an error found in a part to where that part stands. */
static reseat_status moved(reseat_status status, size_t offset, reseat_error *error)
{
    if (status != RESEAT_OK && error)
        error->column += offset;
    return status;
}

reseat_status reseat_length_parse(const char *text, size_t length, reseat_unit unit, double *mm,
                                  reseat_error *error)
{
    if (!text || !mm || !exists(unit))
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    size_t suffix = 0;
    reseat_status status = find_suffix(text, length, &suffix, error);
    if (status == RESEAT_OK && suffix < length)
        status = moved(reseat_unit_parse(text + suffix, length - suffix, &unit, error), suffix,
                       error);
    if (status != RESEAT_OK)
        return status;
    return number_scaled(text, suffix, units[unit].factor, units[unit].power, mm, error);
}

/* Finds the one comma of a pair, with something on both sides of it. */
static reseat_status find_comma(const char *text, size_t length, size_t *comma, reseat_error *error)
{
    const char *first = memchr(text, ',', length);
    if (!first)
        return error_read(error, length + 1, "expected a pair X,Y", text, length);
    const size_t at = (size_t)(first - text);
    const char *second = memchr(first + 1, ',', length - at - 1);
    if (second)
        return error_read(error, (size_t)(second - text) + 1,
                          "expected one comma (decimals take a point)", text, length);
    if (at == 0 || at + 1 == length)
        return error_read(error, at == 0 ? 1 : length + 1,
                          "expected a length on both sides of the comma", text, length);
    *comma = at;
    return RESEAT_OK;
}

/* Whether a length that was read without error carries a unit: numbers end in a digit or point. */
static bool ends_in_unit(const char *text, size_t length)
{
    return !strchr("0123456789.", text[length - 1]);
}

reseat_status reseat_length_pair_parse(const char *text, size_t length, reseat_unit unit,
                                       reseat_xy *mm, reseat_error *error)
{
    if (!text || !mm || !exists(unit))
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    size_t comma = 0;
    reseat_xy read = {0, 0};
    reseat_status status = find_comma(text, length, &comma, error);
    if (status == RESEAT_OK)
        status = reseat_length_parse(text, comma, unit, &read.x, error);
    if (status == RESEAT_OK)
        status = moved(reseat_length_parse(text + comma + 1, length - comma - 1, unit, &read.y,
                                           error), comma + 1, error);
    if (status != RESEAT_OK)
        return status;
    if (ends_in_unit(text, comma) != ends_in_unit(text, length))
        return error_read(error, 1, "expected a unit on both parts or on neither", text, length);
    *mm = read;
    return RESEAT_OK;
}

reseat_status reseat_share_parse(const char *text, size_t length, double *share,
                                 reseat_error *error)
{
    if (!text || !share)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    size_t suffix = 0;
    double read = 0;
    reseat_status status = find_suffix(text, length, &suffix, error);
    if (status != RESEAT_OK)
        return status;
    const bool percent = suffix + 1 == length && text[suffix] == '%';
    if (suffix < length && !percent)
        return error_read(error, suffix + 1, "expected a share such as 0.95 or 95%", text, length);
    status = number_scaled(text, suffix, 1, percent ? -2 : 0, &read, error);
    if (status != RESEAT_OK)
        return status;
    if (!(read >= 0 && read <= 1))
        return error_set(error, RESEAT_ERR_RANGE, 1,
                         "expected a share from 0 to 1, or 0%% to 100%%, read %s",
                         error_echo(text, length).text);
    *share = read;
    return RESEAT_OK;
}
