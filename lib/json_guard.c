/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The grammar of RFC 8259 by recursive descent, at most JSON_DEPTH_MAX deep. It stands before the
 * parser because that one reads `01`, `1.`, raw control bytes and a byte order mark, ends a text
 * at \u0000, and returns the same NULL for bad text as for want of memory: what passes here and
 * fails there is want of memory.
 */
#include "json.h"

#include <stdint.h>
#include <string.h>
#include "reseat/text.h"

typedef struct scan {
    const char *text;
    size_t length;
    size_t at;
    int depth;
    const char *what; /* is wrong at `at`; NULL as long as nothing is */
} scan;

static bool fail(scan *s, const char *what)
{
    s->what = what;
    return false;
}

/* The next byte; at the end a NUL, which fits nowhere. */
static char next(const scan *s)
{
    return s->at < s->length ? s->text[s->at] : '\0';
}

static bool take(scan *s, char wanted)
{
    if (s->at >= s->length || s->text[s->at] != wanted)
        return false;
    s->at++;
    return true;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static size_t skip_digits(scan *s)
{
    const size_t first = s->at;
    while (is_digit(next(s)))
        s->at++;
    return s->at - first;
}

static void skip_blanks(scan *s)
{
    while (next(s) == ' ' || next(s) == '\t' || next(s) == '\r' || next(s) == '\n')
        s->at++;
}

static bool number(scan *s)
{
    const size_t first = s->at;
    take(s, '-');
    if (!take(s, '0') && skip_digits(s) == 0)
        return fail(s, "expected a digit");
    if (is_digit(next(s)))
        return fail(s, "a zero stands before another digit");
    if (take(s, '.') && skip_digits(s) == 0)
        return fail(s, "expected a digit after the point");
    if (take(s, 'e') || take(s, 'E')) {
        if (!take(s, '+'))
            take(s, '-');
        if (skip_digits(s) == 0)
            return fail(s, "expected a digit in the exponent");
    }
    if (s->at - first > JSON_NUMBER_MAX)
        return fail(s, "the number is too long");
    return true;
}

/* Four hexadecimal digits after \u. */
static bool code_unit(scan *s, uint32_t *code)
{
    *code = 0;
    for (int i = 0; i < 4; i++, s->at++) {
        const char c = next(s);
        const char letter = (char)(c | 0x20);
        if (is_digit(c))
            *code = *code << 4 | (uint32_t)(c - '0');
        else if (letter >= 'a' && letter <= 'f')
            *code = *code << 4 | (uint32_t)(letter - 'a' + 10);
        else
            return fail(s, "expected four hexadecimal digits after \\u");
    }
    return true;
}

/* After the backslash. */
static bool escape(scan *s)
{
    uint32_t code = 0;
    const char c = next(s);
    if (c == '\0' || strchr("\"\\/bfnrtu", c) == NULL)
        return fail(s, "no such escape");
    s->at++;
    if (c != 'u')
        return true;
    if (!code_unit(s, &code))
        return false;
    if (code == 0)
        return fail(s, "a text must hold no NUL");
    if (code >= 0xD800 && code <= 0xDBFF) {
        if (!take(s, '\\') || !take(s, 'u') || !code_unit(s, &code) || code < 0xDC00 ||
            code > 0xDFFF)
            return fail(s, "half a surrogate pair");
        return true;
    }
    if (code >= 0xDC00 && code <= 0xDFFF)
        return fail(s, "half a surrogate pair");
    return true;
}

static bool string(scan *s)
{
    if (!take(s, '"'))
        return fail(s, "expected a text in quotes");
    while (!take(s, '"')) {
        if (s->at >= s->length)
            return fail(s, "a text does not end");
        const unsigned char c = (unsigned char)s->text[s->at];
        if (c < 0x20)
            return fail(s, "a control byte stands in a text");
        s->at++;
        if (c == '\\' && !escape(s))
            return false;
    }
    return true;
}

static bool word(scan *s, const char *wanted)
{
    const size_t count = strlen(wanted);
    if (s->length - s->at < count || memcmp(s->text + s->at, wanted, count) != 0)
        return fail(s, "expected a value");
    s->at += count;
    return true;
}

static bool value(scan *s);

static bool container(scan *s, char close)
{
    if (++s->depth > JSON_DEPTH_MAX)
        return fail(s, "nested too deep");
    s->at++;
    skip_blanks(s);
    if (!take(s, close)) {
        do {
            skip_blanks(s);
            if (close == '}') {
                if (!string(s))
                    return false;
                skip_blanks(s);
                if (!take(s, ':'))
                    return fail(s, "expected a colon");
                skip_blanks(s);
            }
            if (!value(s))
                return false;
            skip_blanks(s);
        } while (take(s, ','));
        if (!take(s, close))
            return fail(s, close == '}' ? "expected , or }" : "expected , or ]");
    }
    s->depth--;
    return true;
}

static bool value(scan *s)
{
    switch (next(s)) {
    case '{': return container(s, '}');
    case '[': return container(s, ']');
    case '"': return string(s);
    case 't': return word(s, "true");
    case 'f': return word(s, "false");
    case 'n': return word(s, "null");
    default: return number(s);
    }
}

static bool is_ascii(const char *text, size_t length)
{
    unsigned char all = 0;
    for (size_t i = 0; i < length; i++)
        all |= (unsigned char)text[i];
    return all < 0x80;
}

const char *json_guard(const char *text, size_t length, size_t *wrong)
{
    scan s = {text, length, 0, 0, NULL};
    *wrong = 0;
    if (!is_ascii(text, length) && !reseat_text_is_utf8(text, length))
        return "not UTF-8";
    if (next(&s) != '{')
        fail(&s, "expected {");
    else if (container(&s, '}') && s.at != length)
        fail(&s, "something stands after the object");
    *wrong = s.at;
    return s.what;
}
