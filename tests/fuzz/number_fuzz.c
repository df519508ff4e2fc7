/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A number that was read is the one strtod reads, and written and read again has the same bits. */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/number.h"

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

static void require_same_when_written(double value)
{
    char text[RESEAT_NUMBER_SIZE];
    double again = 0;
    require(reseat_number_format(value, text) == RESEAT_OK);
    require(reseat_number_parse(text, strlen(text), &again, NULL) == RESEAT_OK);
    require(same_bits(again, value));
    for (int decimals = 0; decimals <= 17; decimals++) {
        require(reseat_number_fixed(value, decimals, text) == RESEAT_OK);
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
    } else {
        require(same_bits(value, before));
        require_sound_error(&error, size);
    }
    return 0;
}
