/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * A number that was read is the one strtod reads, and written and read again has the same bits.
 * What is written, of it and of the first eight bytes as they are, is what printf writes.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/values.h"
#include "base/number.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void require_strtod_agrees(const char *bytes, size_t size, double value)
{
    char *text = malloc(size + 1);
    require(text != NULL);
    memcpy(text, bytes, size);
    text[size] = '\0';
    char *end = NULL;
    const double expected = strtod(text, &end);
    require(end == text + size && same_bits(value, expected));
    free(text);
}

/* The digits without sign, point and exponent, and without zeros before and after them. */
static void digits_of(const char *text, char *digits)
{
    size_t count = 0;
    for (; *text != '\0' && *text != 'e'; text++)
        if (*text >= '0' && *text <= '9' && (count > 0 || *text != '0'))
            digits[count++] = *text;
    while (count > 0 && digits[count - 1] == '0')
        count--;
    digits[count] = '\0';
}

static void require_as_printf(double value)
{
    char text[RESEAT_NUMBER_SIZE], plain[2 * RESEAT_NUMBER_SIZE];
    char found[RESEAT_NUMBER_SIZE], expected[RESEAT_NUMBER_SIZE];
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(plain, sizeof plain, "%.*e", digits - 1, value);
        if (same_bits(strtod(plain, NULL), value))
            break;
    }
    require(reseat_number_format(value, text) == RESEAT_OK);
    digits_of(text, found);
    digits_of(plain, expected);
    require(strcmp(found, expected) == 0 && same_bits(strtod(text, NULL), value));
    for (int decimals = 0; decimals <= 17; decimals++) {
        snprintf(plain, sizeof plain, "%.*f", decimals, value);
        require(number_fixed(value, decimals, text) == RESEAT_OK);
        const bool minus_zero = plain[0] == '-' && strspn(plain, "-0.") == strlen(plain);
        require(strcmp(text, plain + (minus_zero ? 1 : 0)) == 0);
    }
}

static void require_same_when_written(double value)
{
    char text[RESEAT_NUMBER_SIZE];
    double again = 0;
    require(reseat_number_format(value, text) == RESEAT_OK);
    require(reseat_number_parse(text, strlen(text), &again, NULL) == RESEAT_OK);
    require(same_bits(again, value));
    for (int decimals = 0; decimals <= 17; decimals++) {
        require(number_fixed(value, decimals, text) == RESEAT_OK);
        require(reseat_number_parse(text, strlen(text), &again, NULL) == RESEAT_OK);
        require(fabs(again - value) <= 0.51 * pow(10, -decimals) + fabs(value) * 1e-15);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const char *text = (const char *)data;
    const double before = 0.1;
    double value = before;
    reseat_error error;
    if (reseat_number_parse(text, size, &value, &error) == RESEAT_OK) {
        require(isfinite(value));
        require_strtod_agrees(text, size, value);
        require_same_when_written(value);
        require_as_printf(value);
    } else {
        require(same_bits(value, before));
        require_sound_error(&error, size);
    }
    if (size >= sizeof value) {
        memcpy(&value, data, sizeof value);
        if (isfinite(value))
            require_as_printf(value);
    }
    return 0;
}
