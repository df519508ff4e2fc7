/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/number.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
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

/* Where the parts of a number stand: digits [whole, point) and (point, end), then the exponent. */
typedef struct numeral {
    size_t whole;
    size_t point;
    size_t end;
    size_t exponent; /* after `e`, at its sign or first digit; the text's length if there is none */
} numeral;

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

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
    parts->whole = at;
    parts->point = at = digits_end(text, length, at);
    size_t digits = parts->point - parts->whole;
    if (at < length && text[at] == '.') {
        at = digits_end(text, length, at + 1);
        digits += at - parts->point - 1;
    }
    parts->end = *wrong = at;
    parts->exponent = length;
    if (digits == 0)
        return false;
    if (parts->point - parts->whole > 1 && text[parts->whole] == '0') {
        *wrong = parts->whole;
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
    for (size_t i = parts->whole; i < parts->end; i++) {
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
    const size_t skip = length > 0 && is_sign(text[0]) ? 1 : 0;
    for (size_t n = 0; n < sizeof names / sizeof names[0]; n++) {
        size_t i = skip;
        while (i < length && names[n][i - skip] != '\0' && (text[i] | 0x20) == names[n][i - skip])
            i++;
        if (i == length && names[n][i - skip] == '\0')
            return true;
    }
    return false;
}

/* What helps somebody whose text went wrong at a byte. */
static const char *advice(const char *text, size_t length, size_t wrong)
{
    if (wrong == length)
        return "";
    if (text[wrong] == ',' && memchr(text, '.', length) == NULL)
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
    if (text == NULL || value == NULL)
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

/* The digits of a value and the power of ten of the first: -123.5 is {true, "1235", 4, 2}. */
typedef struct decimal {
    bool negative;
    char digits[18];
    int count; /* without zeros at the end, but at least 1 */
    int power;
} decimal;

static decimal to_decimal(double value, int digits)
{
    char raw[64];
    snprintf(raw, sizeof raw, "%.*e", digits - 1, value);
    decimal result = {.negative = raw[0] == '-'};
    const char *at = raw;
    for (; *at != 'e'; at++)
        if (is_digit(*at))
            result.digits[result.count++] = *at;
    while (result.count > 1 && result.digits[result.count - 1] == '0')
        result.count--;
    result.power = (int)strtol(at + 1, NULL, 10);
    return result;
}

/* Writes count digits, zeros where the value has none any more; first may be negative. */
static char *put_digits(char *text, const decimal *value, int first, int end)
{
    for (int i = first; i < end; i++)
        *text++ = i < 0 || i >= value->count ? '0' : value->digits[i];
    return text;
}

/* Lays a decimal out as plain digits where that is no longer than `limit` digits, else with `e`. */
static void put_decimal(char *text, const decimal *value, int limit)
{
    const bool plain = value->power >= -4 && value->power < limit;
    const int whole_end = plain ? value->power + 1 : 1;
    if (value->negative)
        *text++ = '-';
    text = put_digits(text, value, whole_end > 0 ? 0 : -1, whole_end > 0 ? whole_end : 0);
    if (value->count > whole_end) {
        *text++ = '.';
        text = put_digits(text, value, whole_end, value->count);
    }
    if (plain)
        *text = '\0';
    else
        snprintf(text, 8, "e%d", value->power);
}

/* Whether the text reads back as the same number; its sign is always that of the number. */
static bool reads_back(const char *text, double value)
{
    double read = 0;
    return reseat_number_parse(text, strlen(text), &read, NULL) == RESEAT_OK &&
           !(read < value || read > value);
}

reseat_status reseat_number_format(double value, char *text)
{
    if (text == NULL)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(value))
        return RESEAT_ERR_NOT_FINITE;
    for (int digits = 15;; digits++) {
        const decimal rounded = to_decimal(value, digits);
        put_decimal(text, &rounded, digits);
        if (digits == 17 || reads_back(text, value)) /* 17 always do */
            return RESEAT_OK;
    }
}

reseat_status number_fixed(double value, int decimals, char *text)
{
    if (text == NULL)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(value))
        return RESEAT_ERR_NOT_FINITE;
    if (decimals < 0 || decimals > 17)
        return RESEAT_ERR_RANGE;
    char raw[RESEAT_NUMBER_SIZE];
    snprintf(raw, sizeof raw, "%.*f", decimals, fabs(value));
    const size_t end = strlen(raw);
    const bool zero = strspn(raw, "0") == digits_end(raw, end, 0) &&
                      strspn(raw + end - decimals, "0") == (size_t)decimals;
    if (signbit(value) && !zero)
        *text++ = '-';
    const size_t whole = digits_end(raw, end, 0);
    memcpy(text, raw, whole);
    text += whole;
    if (decimals > 0)
        *text++ = '.';
    memcpy(text, raw + end - decimals, (size_t)decimals + 1);
    return RESEAT_OK;
}
