/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/number.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include "base/text.h"
#include "reseat/values.h"

/*
 * strtod and snprintf are exact, but read and write the radix character of whatever locale the
 * program has set. So strtod is only ever given whole digits and a power of ten (`314e-2`), and of
 * what snprintf writes only the digits are taken.
 */

/*
 * Two neighbouring doubles and the point half-way between them have at most 767 significant
 * digits, so of all later ones it matters only whether they are zero.
 */
#define DIGITS_KEPT 768
#define POWER_MAX 9999 /* far beyond any double, whatever digits stand before it */

/* Where the parts of a number stand: digits [first, point) and (point, end), then the exponent. */
typedef struct numeral {
    size_t first;
    size_t point;
    size_t end;
    size_t exponent; /* after `e`, at its sign or first digit; the text's length if there is none */
} numeral;

static bool is_sign(char c)
{
    return c == '+' || c == '-';
}

static size_t digits_end(const char *text, size_t length, size_t at)
{
    while (at < length && is_digit(text[at]))
        at++;
    return at;
}

/* Whether the whole text is a number; if not, *wrong is the byte at which it fails. */
static bool find_parts(const char *text, size_t length, numeral *parts, size_t *wrong)
{
    size_t at = length > 0 && is_sign(text[0]) ? 1 : 0;
    parts->first = at;
    parts->point = at = digits_end(text, length, at);
    size_t digits = parts->point - parts->first;
    if (at < length && text[at] == '.') {
        at = digits_end(text, length, at + 1);
        digits += at - parts->point - 1;
    }
    parts->end = *wrong = at;
    parts->exponent = length;
    if (digits == 0)
        return false;
    if (parts->point - parts->first > 1 && text[parts->first] == '0') {
        *wrong = parts->first;
        return false;
    }
    if (at < length && (text[at] == 'e' || text[at] == 'E')) {
        parts->exponent = ++at;
        const size_t first = at < length && is_sign(text[at]) ? at + 1 : at;
        *wrong = at = digits_end(text, length, first);
        if (at == first)
            return false;
    }
    return at == length;
}

/* The exponent's value, held where one digit more or less changes nothing. */
static long long read_exponent(const char *text, size_t length, size_t at)
{
    const long long enough = 1000000000000000; /* more than a text has bytes */
    const bool negative = at < length && text[at] == '-';
    long long value = 0;
    for (size_t i = at; i < length && value < enough; i++)
        if (is_digit(text[i]))
            value = 10 * value + (text[i] - '0');
    return negative ? -value : value;
}

/* Multiplies a row of digits, whose first ones are zeros with room for the carry. */
static void multiply(char *digits, size_t count, int factor)
{
    int carry = 0;
    for (size_t i = count; i-- > 0; carry /= 10) {
        carry += (digits[i] - '0') * factor;
        digits[i] = (char)('0' + carry % 10);
    }
    assert(carry == 0);
}

static double to_double(const char *text, size_t length, const numeral *parts, int factor,
                        int shift)
{
    enum { LEAD = 3, TAIL = 16 }; /* zeros for the carry; a last 1, `e`, the power, NUL */
    char digits[LEAD + DIGITS_KEPT + TAIL] = {'0', '0', '0'};
    size_t count = LEAD;
    bool more = false; /* a digit left out was not zero */
    long long power = read_exponent(text, length, parts->exponent) + shift;
    for (size_t i = parts->first; i < parts->end; i++) {
        if (i == parts->point)
            continue;
        if (i > parts->point)
            power--;
        if (count < LEAD + DIGITS_KEPT) {
            if (count > LEAD || text[i] != '0')
                digits[count++] = text[i];
        } else {
            power++;
            more = more || text[i] != '0';
        }
    }
    if (more) {
        digits[count++] = '1';
        power--;
    }
    if (factor > 1)
        multiply(digits, count, factor);
    if (power > POWER_MAX || power < -POWER_MAX)
        power = power < 0 ? -POWER_MAX : POWER_MAX;
    snprintf(digits + count, sizeof digits - count, "e%d", (int)power);
    const double magnitude = strtod(digits, NULL);
    return text[0] == '-' ? -magnitude : magnitude;
}

/* nan, inf or infinity, whatever the case and sign. */
static bool is_not_finite(const char *text, size_t length)
{
    static const char *const names[] = {"nan", "inf", "infinity"};
    char lower[9];
    const size_t skip = length > 0 && is_sign(text[0]) ? 1 : 0, left = length - skip;
    for (size_t i = 0; i < left && left < sizeof lower; i++)
        lower[i] = (char)(text[skip + i] | 0x20);
    return left < sizeof lower && word_find(lower, left, names, 3) < 3;
}

/* What helps somebody whose text went wrong at a byte. */
static const char *advice(const char *text, size_t length, size_t wrong)
{
    if (wrong == length)
        return "";
    if (text[wrong] == ',' && !memchr(text, '.', length))
        return " (use a point)";
    if (text[wrong] == '0')
        return " (no zero before another digit; write decimals with a point, as in 0.003)";
    if (text[wrong] == ' ' || text[wrong] == '\t')
        return " (no blanks)";
    if (length - wrong >= 3 && memcmp(text + wrong, "\xE2\x88\x92", 3) == 0) /* U+2212 */
        return " (type the minus sign as -)";
    return "";
}

reseat_status number_scaled(const char *text, size_t length, int factor, int power,
                            double *value, reseat_error *error)
{
    assert(factor >= 1 && factor <= NUMBER_FACTOR_MAX && power >= -99 && power <= 99);
    if (!text || !value)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    numeral parts;
    size_t wrong = 0;
    if (!find_parts(text, length, &parts, &wrong)) {
        const bool named = is_not_finite(text, length);
        return error_set(error, RESEAT_ERR_SYNTAX, wrong + 1,
                         "expected a %snumber, read %s%s", named ? "finite " : "",
                         error_echo(text, length).text,
                         advice(text, length, wrong));
    }
    const double result = to_double(text, length, &parts, factor, power);
    if (!isfinite(result))
        return error_set(error, RESEAT_ERR_NOT_FINITE, 1,
                         "expected a finite number, read %s",
                         error_echo(text, length).text);
    *value = result;
    return RESEAT_OK;
}

reseat_status reseat_number_parse(const char *text, size_t length, double *value,
                                  reseat_error *error)
{
    return number_scaled(text, length, 1, 0, value, error);
}

/* As %g writes it, but with a point in every locale, and the exponent without + and zeros. */
static void put_decimal(char *text, double value, int digits)
{
    char raw[64];
    snprintf(raw, sizeof raw, "%.*g", digits, value);
    for (const char *at = raw; *at != '\0' && *at != 'e'; at++) {
        if (is_digit(*at) || *at == '-')
            *text++ = *at;
        else if (is_digit(at[1])) /* the last byte of the radix character */
            *text++ = '.';
    }
    *text = '\0';
    const char *exponent = strchr(raw, 'e');
    if (exponent)
        snprintf(text, 8, "e%d", (int)strtol(exponent + 1, NULL, 10));
}

reseat_status reseat_number_format(double value, char *text)
{
    if (!text)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(value))
        return RESEAT_ERR_NOT_FINITE;
    for (int digits = 15;; digits++) {
        double read = (double)NAN;
        put_decimal(text, value, digits);
        /* 15 digits may round to what is too large to read: then it stays NaN */
        (void)reseat_number_parse(text, strlen(text), &read, NULL);
        if (digits == 17 || (read <= value && read >= value)) /* 17 always read back the same */
            return RESEAT_OK;
    }
}

reseat_status reseat_number_fixed(double value, int decimals, char *text)
{
    if (!text)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(value))
        return RESEAT_ERR_NOT_FINITE;
    if (decimals < 0 || decimals > 17)
        return RESEAT_ERR_RANGE;
    char raw[RESEAT_NUMBER_SIZE];
    snprintf(raw, sizeof raw, "%.*f", decimals, fabs(value));
    const size_t end = strlen(raw);
    if (signbit(value) && strpbrk(raw, "123456789")) /* else it is a zero */
        *text++ = '-';
    const size_t before_point = digits_end(raw, end, 0);
    memcpy(text, raw, before_point);
    text += before_point;
    if (decimals > 0)
        *text++ = '.';
    memcpy(text, raw + end - decimals, (size_t)decimals + 1);
    return RESEAT_OK;
}

/* Lengths and shares: numbers with a unit. */

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

/*
 * Finds where a number ends and its suffix begins. Where no digit stands before a suffix the whole
 * text is taken for the number, so that its reader says what to say of `nan` or `mm`.
 */
static reseat_status find_suffix(const char *text, size_t length, size_t *suffix,
                                 reseat_error *error)
{
    static const char in_number[] = "0123456789+-.,eE"; /* the comma, so that 3,14mm is explained */
    size_t end = 0;
    bool digit = false;
    for (; end < length && text[end] != '\0' && strchr(in_number, text[end]); end++)
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
