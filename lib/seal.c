/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "seal.h"

#include <stdint.h>
#include <string.h>

bool seal_is_digits(const char *text, size_t length)
{
    bool all = length == SEAL_DIGITS;
    for (size_t i = 0; all && i < length; i++)
        all = (text[i] >= '0' && text[i] <= '9') || (text[i] >= 'a' && text[i] <= 'f');
    return all;
}

const char *seal_of(const char *line, size_t length)
{
    static const char mark[] = SEAL_MARK, end[] = SEAL_END;
    if (length < SEAL_TAIL)
        return NULL;
    const char *tail = line + length - SEAL_TAIL;
    const char *digits = tail + sizeof mark - 1;
    if (memcmp(tail, mark, sizeof mark - 1) != 0 ||
        memcmp(digits + SEAL_DIGITS, end, sizeof end - 1) != 0 ||
        !seal_is_digits(digits, SEAL_DIGITS))
        return NULL;
    return digits;
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
    if (above != NULL)
        sha256_update(&context, SEAL_DIGITS, (const uint8_t *)above);
    sha256_update(&context, length, (const uint8_t *)bytes);
    seal_digits(&context, digits);
}

bool seal_holds(const char *above, const char *line, size_t length)
{
    char digits[SEAL_DIGITS + 1];
    const char *seal = seal_of(line, length);
    if (seal == NULL)
        return false;
    seal_make(above, line, length - SEAL_TAIL, digits);
    return memcmp(seal, digits, SEAL_DIGITS) == 0;
}
