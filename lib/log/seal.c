/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/seal.h"

#include <assert.h>
#include <stdint.h>
#include <string.h>

static const char mark[] = SEAL_MARK, end[] = SEAL_END;

bool seal_is_digits(const char *text, size_t length)
{
    unsigned all = length == SEAL_DIGITS;
    for (size_t i = 0; i < length; i++) { /* without a way out early: compilers do it all at once */
        const unsigned char c = (unsigned char)text[i];
        all &= (unsigned)(c >= '0' && c <= '9') | (unsigned)(c >= 'a' && c <= 'f');
    }
    return all != 0;
}

/*
 * Whether what follows the digits of a seal shows that the line was once whole: its end with more
 * behind it, or in the place of its end two bytes, one of them right. Zeros are what a file system
 * fills in, and other bytes what a crash may leave where the rest was to be written.
 */
static bool was_whole(const char *rest, size_t length)
{
    if (length == sizeof end - 1)
        return rest[0] == end[0] || rest[1] == end[1];
    bool more = false;
    for (size_t i = sizeof end - 1; i < length; i++)
        more = more || rest[i] != '\0';
    return more && memcmp(rest, end, sizeof end - 1) == 0;
}

/* The digits of a seal that begins there, which must be followed by as many bytes; else NULL. */
static const char *digits_at(const char *text)
{
    const char *const digits = text + sizeof mark - 1;
    return memcmp(text, mark, sizeof mark - 1) == 0 && seal_is_digits(digits, SEAL_DIGITS) ? digits
                                                                                         : NULL;
}

static bool has_end(const char *line, size_t length)
{
    return length >= sizeof end - 1 &&
           memcmp(line + length - (sizeof end - 1), end, sizeof end - 1) == 0;
}

bool seal_closes(const char *line, size_t length)
{
    if (has_end(line, length))
        return true;
    for (size_t i = 0; i + sizeof SEAL_MARK - 1 + SEAL_DIGITS < length; i++) {
        const char *const digits = digits_at(line + i);
        if (digits &&
            was_whole(digits + SEAL_DIGITS, (size_t)(line + length - digits) - SEAL_DIGITS))
            return true;
    }
    return false;
}

const char *seal_of(const char *line, size_t length)
{
    return length >= SEAL_TAIL && has_end(line, length) ? digits_at(line + length - SEAL_TAIL)
                                                        : NULL;
}

void seal_digits(struct sha256_ctx *context, char *digits)
{
    static const char hexadecimal[] = "0123456789abcdef";
    uint8_t hash[SHA256_DIGEST_SIZE];
    sha256_digest(context, sizeof hash, hash);
    for (size_t i = 0; i < sizeof hash; i++) {
        digits[2 * i] = hexadecimal[hash[i] >> 4];
        digits[2 * i + 1] = hexadecimal[hash[i] & 15];
    }
    digits[SEAL_DIGITS] = '\0';
}

void seal_make(const char *above, const char *bytes, size_t length, char *digits)
{
    struct sha256_ctx context;
    sha256_init(&context);
    if (above)
        sha256_update(&context, SEAL_DIGITS, (const uint8_t *)above);
    sha256_update(&context, length, (const uint8_t *)bytes);
    seal_digits(&context, digits);
}

bool seal_holds(const char *above, const char *line, size_t length)
{
    char digits[SEAL_DIGITS + 1];
    assert(length >= SEAL_TAIL);
    seal_make(above, line, length - SEAL_TAIL, digits);
    return memcmp(line + length - SEAL_DIGITS - 2, digits, SEAL_DIGITS) == 0;
}
