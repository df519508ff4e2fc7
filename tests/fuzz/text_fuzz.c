/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The first byte is the room given. What comes out is UTF-8 without control characters, is the
 * start of the whole result, and what was made harmless once stays as it is.
 */
#include <stdint.h>
#include "check.h"
#include "base/text.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef size_t writer(const char *, size_t, char *, size_t);

static char *write_whole(writer *write, const char *text, size_t size, size_t *length)
{
    *length = write(text, size, NULL, 0);
    char *whole = malloc(*length + 1);
    require(whole != NULL);
    require(write(text, size, whole, *length + 1) == *length && strlen(whole) == *length);
    require(text_is_utf8(whole, *length));
    for (size_t i = 0; i < *length; i++)
        require((unsigned char)whole[i] >= 0x20 && whole[i] != 0x7F);
    return whole;
}

static void require_start_of_whole(writer *write, const char *text, size_t size, size_t room)
{
    size_t length = 0;
    char *whole = write_whole(write, text, size, &length);
    char *part = malloc(room + 1);
    require(part != NULL);
    require(write(text, size, part, room + 1) == length);
    const size_t kept = strlen(part);
    require(kept <= room && (kept == length || length > room));
    require(memcmp(part, whole, kept) == 0 && text_is_utf8(part, kept));
    free(part);
    free(whole);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static writer *const writers[] = {reseat_text_terminal, reseat_text_csv, reseat_text_html,
                                      reseat_text_json};
    if (size == 0)
        return 0;
    const char *text = (const char *)data + 1;
    for (size_t w = 0; w < sizeof writers / sizeof writers[0]; w++)
        require_start_of_whole(writers[w], text, size - 1, data[0]);
    size_t length = 0;
    char *harmless = write_whole(reseat_text_terminal, text, size - 1, &length);
    require(reseat_text_terminal(harmless, length, NULL, 0) == length);
    free(harmless);
    return 0;
}
