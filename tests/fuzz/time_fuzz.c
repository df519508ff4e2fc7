/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A time that was read, written and read again is the same second. */
#include <stdint.h>
#include "check.h"
#include "reseat/values.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const char *text = (const char *)data;
    int64_t seconds = -1, again = 0;
    reseat_error error;
    if (reseat_time_parse(text, size, &seconds, &error) != RESEAT_OK) {
        require(seconds == -1);
        require_sound_error(&error, size);
        return 0;
    }
    char written[RESEAT_TIME_SIZE];
    require(reseat_time_format(seconds, written) == RESEAT_OK);
    require(strlen(written) == RESEAT_TIME_SIZE - 1);
    require(reseat_time_parse(written, strlen(written), &again, NULL) == RESEAT_OK);
    require(again == seconds);
    if (size == RESEAT_TIME_SIZE - 1 && text[size - 1] == 'Z' && text[10] == 'T')
        require(memcmp(written, text, size) == 0);
    return 0;
}
