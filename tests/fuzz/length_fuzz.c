/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The first byte says what a bare number is in, the rest is read as a length, a pair and a share.
 * Two lengths that are read stand as a pair, and a pair is two lengths.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/values.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const double before = 0.1;

static void try_length(const char *text, size_t size, reseat_unit unit)
{
    double mm = before;
    reseat_error error;
    if (reseat_length_parse(text, size, unit, &mm, &error) == RESEAT_OK) {
        require(isfinite(mm));
        require(memchr(text, ',', size) == NULL);
    } else {
        require(same_bits(mm, before));
        require_sound_error(&error, size);
    }
}

static void try_pair(const char *text, size_t size, reseat_unit unit)
{
    reseat_xy mm = {before, before};
    reseat_error error;
    if (reseat_length_pair_parse(text, size, unit, &mm, &error) == RESEAT_OK) {
        const char *comma = memchr(text, ',', size);
        require(comma != NULL);
        const size_t first = (size_t)(comma - text);
        reseat_xy parts = {0, 0};
        require(reseat_length_parse(text, first, unit, &parts.x, NULL) == RESEAT_OK);
        require(reseat_length_parse(comma + 1, size - first - 1, unit, &parts.y, NULL) ==
                RESEAT_OK);
        require(same_bits(mm.x, parts.x) && same_bits(mm.y, parts.y));
    } else {
        require(same_bits(mm.x, before) && same_bits(mm.y, before));
        require_sound_error(&error, size);
    }
}

static void try_share(const char *text, size_t size)
{
    double share = before;
    reseat_error error;
    if (reseat_share_parse(text, size, &share, &error) == RESEAT_OK) {
        require(share >= 0 && share <= 1);
    } else {
        require(same_bits(share, before));
        require_sound_error(&error, size);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    const char *text = (const char *)data + 1;
    const reseat_unit unit = (reseat_unit)(data[0] % 4);
    try_length(text, size - 1, unit);
    try_pair(text, size - 1, unit);
    try_share(text, size - 1);
    return 0;
}
