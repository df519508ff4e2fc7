/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/units.h"

#include <math.h>
#include <string.h>
#include "error.h"
#include "reseat/number.h"

reseat_status reseat_unit_parse(const char *text, size_t length, reseat_unit *unit,
                                reseat_error *error)
{
    static const struct {
        const char *name;
        reseat_unit unit;
    } names[] = {
        {"mm", RESEAT_MM},       {"um", RESEAT_UM},
        {"\xC2\xB5m", RESEAT_UM}, /* U+00B5 micro sign */
        {"\xCE\xBCm", RESEAT_UM}, /* U+03BC small letter mu */
        {"in", RESEAT_INCH},     {"thou", RESEAT_THOU},
    };
    if (text == NULL || unit == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (length == strlen(names[i].name) && memcmp(text, names[i].name, length) == 0) {
            *unit = names[i].unit;
            return RESEAT_OK;
        }
    }
    return reseat_error_set(error, RESEAT_ERR_SYNTAX, 1,
                            "unknown unit %s: use mm, um, in or thou",
                            reseat_error_echo(text, length).text);
}

const char *reseat_unit_name(reseat_unit unit)
{
    switch (unit) {
    case RESEAT_MM: return "mm";
    case RESEAT_UM: return "um";
    case RESEAT_INCH: return "in";
    case RESEAT_THOU: return "thou";
    }
    return "";
}

int reseat_unit_decimals(reseat_unit unit)
{
    switch (unit) {
    case RESEAT_MM: return 4;
    case RESEAT_UM: return 1;
    case RESEAT_INCH: return 6;
    case RESEAT_THOU: return 3;
    }
    return 0;
}

/*
 * 25.4 and 0.0254 are no doubles. Each is its nearest double and what that lacks, so that a product
 * or quotient with them comes out as if they were exact: 3in is 76.2, where 3 * 25.4 is one bit off.
 */
typedef struct factor {
    double nearest;
    double rest;
} factor;

static const factor mm_per_inch = {25.4, 1.4210854715202005e-15};
static const factor mm_per_thou = {0.0254, 1.0325074129013955e-18};

static double multiply(double value, factor by)
{
    const double product = value * by.nearest;
    if (!isfinite(product))
        return product;
    return product + (fma(value, by.nearest, -product) + value * by.rest);
}

static double divide(double value, factor by)
{
    const double quotient = value / by.nearest;
    if (!isfinite(quotient))
        return quotient;
    return quotient + (fma(-quotient, by.nearest, value) - quotient * by.rest) / by.nearest;
}

double reseat_unit_to_mm(double value, reseat_unit unit)
{
    switch (unit) {
    case RESEAT_MM: return value;
    case RESEAT_UM: return value / 1000;
    case RESEAT_INCH: return multiply(value, mm_per_inch);
    case RESEAT_THOU: return multiply(value, mm_per_thou);
    }
    return (double)NAN;
}

double reseat_unit_from_mm(double mm, reseat_unit unit)
{
    switch (unit) {
    case RESEAT_MM: return mm;
    case RESEAT_UM: return mm * 1000;
    case RESEAT_INCH: return divide(mm, mm_per_inch);
    case RESEAT_THOU: return divide(mm, mm_per_thou);
    }
    return (double)NAN;
}

/* How many bytes at the start may be meant as a number; a comma is, so that 3,14mm is explained. */
static size_t number_length(const char *text, size_t length)
{
    size_t at = 0;
    while (at < length && text[at] != '\0' && strchr("0123456789+-.,eE", text[at]) != NULL)
        at++;
    return at;
}

static bool holds_digit(const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (text[i] >= '0' && text[i] <= '9')
            return true;
    return false;
}

/*
 * Reads the number that a text begins with; *suffix is where it ends. A start without digits is no
 * number, so the whole text is put to the reader of numbers, which knows what to say of it.
 */
static reseat_status number_before_suffix(const char *text, size_t length, double *value,
                                          size_t *suffix, reseat_error *error)
{
    const size_t start = number_length(text, length);
    if (!holds_digit(text, start))
        return reseat_number_parse(text, length, value, error);
    if (start < length && (text[start] == ' ' || text[start] == '\t'))
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, start + 1,
                                "expected no blank after the number, read %s",
                                reseat_error_echo(text, length).text);
    *suffix = start;
    return reseat_number_parse(text, start, value, error);
}

/* Moves an error found in a part to where that part stands. */
static reseat_status at_offset(reseat_status status, size_t offset, reseat_error *error)
{
    if (status != RESEAT_OK && error != NULL)
        error->column += offset;
    return status;
}

reseat_status reseat_length_parse(const char *text, size_t length, reseat_unit unit, double *mm,
                                  reseat_error *error)
{
    if (text == NULL || mm == NULL || reseat_unit_name(unit)[0] == '\0')
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    double value = 0;
    size_t suffix = length;
    reseat_status status = number_before_suffix(text, length, &value, &suffix, error);
    if (status == RESEAT_OK && suffix < length)
        status = at_offset(reseat_unit_parse(text + suffix, length - suffix, &unit, error), suffix,
                           error);
    if (status != RESEAT_OK)
        return status;
    const double result = reseat_unit_to_mm(value, unit);
    if (!isfinite(result))
        return reseat_error_set(error, RESEAT_ERR_NOT_FINITE, 1, "expected a finite length, read %s",
                                reseat_error_echo(text, length).text);
    *mm = result;
    return RESEAT_OK;
}

/* Whether a length that was read without error carries a unit: numbers end in a digit or point. */
static bool ends_in_unit(const char *text, size_t length)
{
    return strchr("0123456789.", text[length - 1]) == NULL;
}

reseat_status reseat_length_pair_parse(const char *text, size_t length, reseat_unit unit,
                                       reseat_xy *mm, reseat_error *error)
{
    if (text == NULL || mm == NULL || reseat_unit_name(unit)[0] == '\0')
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    const char *comma = memchr(text, ',', length);
    if (comma == NULL)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, length + 1,
                                "expected a pair X,Y, read %s", reseat_error_echo(text, length).text);
    const size_t first = (size_t)(comma - text);
    const size_t second = length - first - 1;
    const char *again = memchr(comma + 1, ',', second);
    if (again != NULL)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, (size_t)(again - text) + 1,
                                "expected one comma, read %s (decimals take a point)",
                                reseat_error_echo(text, length).text);
    if (first == 0 || second == 0)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, first == 0 ? 1 : length + 1,
                                "expected a length on both sides of the comma, read %s",
                                reseat_error_echo(text, length).text);
    reseat_xy read;
    reseat_status status = reseat_length_parse(text, first, unit, &read.x, error);
    if (status == RESEAT_OK)
        status = at_offset(reseat_length_parse(comma + 1, second, unit, &read.y, error), first + 1,
                           error);
    if (status != RESEAT_OK)
        return status;
    if (ends_in_unit(text, first) != ends_in_unit(text, length))
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 1,
                                "expected a unit on both parts or on neither, read %s",
                                reseat_error_echo(text, length).text);
    *mm = read;
    return RESEAT_OK;
}

reseat_status reseat_share_parse(const char *text, size_t length, double *share,
                                 reseat_error *error)
{
    if (text == NULL || share == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    double value = 0;
    size_t suffix = length;
    const reseat_status status = number_before_suffix(text, length, &value, &suffix, error);
    if (status != RESEAT_OK)
        return status;
    if (suffix < length && (text[suffix] != '%' || suffix + 1 < length))
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, suffix + 1,
                                "expected a share such as 0.95 or 95%%, read %s",
                                reseat_error_echo(text, length).text);
    const double result = suffix < length ? value / 100 : value;
    if (!(result >= 0 && result <= 1))
        return reseat_error_set(error, RESEAT_ERR_RANGE, 1,
                                "expected a share from 0 to 1, or 0%% to 100%%, read %s",
                                reseat_error_echo(text, length).text);
    *share = result;
    return RESEAT_OK;
}
