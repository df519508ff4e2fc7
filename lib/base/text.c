/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/text.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include "base/error.h"
#include "reseat/values.h"

/* One character of a text: its code point, or a byte that is no part of well-formed UTF-8. */
typedef struct character {
    uint32_t code;
    size_t length;
    bool bad;
} character;

/*
 * The character at the start of a text of at least one byte. What a sequence of n bytes must reach
 * (least) rules out overlong forms; a bad sequence costs its first byte only, so that whatever
 * follows is looked at afresh.
 */
static character next_character(const char *text, size_t length)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    const unsigned char *bytes = (const unsigned char *)text;
    const unsigned char first = bytes[0];
    const size_t count = first < 0x80 ? 1 : first < 0xC0 ? 0 : first < 0xE0 ? 2 : first < 0xF0 ? 3
                       : first < 0xF8 ? 4 : 0;
    const character bad = {first, 1, true};
    if (count == 0 || count > length)
        return bad;
    uint32_t code = count == 1 ? first : first & (0x7Fu >> count);
    for (size_t i = 1; i < count; i++) {
        if ((bytes[i] & 0xC0) != 0x80)
            return bad;
        code = code << 6 | (bytes[i] & 0x3Fu);
    }
    if (code < least[count] || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF))
        return bad;
    return (character){code, count, false};
}

bool text_is_utf8(const char *text, size_t length)
{
    if (text == NULL)
        return length == 0;
    for (size_t at = 0; at < length;) {
        const character next = next_character(text + at, length - at);
        if (next.bad)
            return false;
        at += next.length;
    }
    return true;
}

/* Characters that steer a terminal, reorder a line or take no room: none may pass unseen. */
static bool is_unseen(uint32_t code)
{
    static const struct {
        uint32_t first, last;
    } ranges[] = {
        {0x00, 0x1F},     {0x7F, 0x9F},     /* C0, DEL, C1 */
        {0x061C, 0x061C}, {0x200B, 0x200F}, /* bidirectional marks, zero-width characters */
        {0x2028, 0x202E},                   /* separators, embeddings and overrides */
        {0x2060, 0x2060}, {0x2066, 0x2069}, /* word joiner, isolates */
        {0xFEFF, 0xFEFF},                   /* zero-width no-break space */
    };
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++)
        if (code >= ranges[i].first && code <= ranges[i].last)
            return true;
    return false;
}

/* Where a result goes: counts everything, keeps whole pieces while they fit. */
typedef struct escaped {
    char *out;
    size_t size;
    size_t kept;
    size_t length;
} escaped;

static escaped start(char *out, size_t size)
{
    if (out != NULL && size > 0)
        out[0] = '\0';
    return (escaped){out, out != NULL ? size : 0, 0, 0};
}

static void put(escaped *to, const char *piece, size_t length)
{
    if (to->kept == to->length && length < to->size - to->kept) {
        memcpy(to->out + to->kept, piece, length);
        to->kept += length;
        to->out[to->kept] = '\0';
    }
    to->length += length;
}

static void put_string(escaped *to, const char *piece)
{
    put(to, piece, strlen(piece));
}

static void put_hex(escaped *to, const char *format, uint32_t code)
{
    char piece[16];
    snprintf(piece, sizeof piece, format, (unsigned)code);
    put_string(to, piece);
}

/* A character as a person may safely see it. */
static void put_visible(escaped *to, const char *text, character it)
{
    if (it.bad || (it.code < 0x80 && is_unseen(it.code)))
        put_hex(to, "\\x%02X", it.code);
    else if (is_unseen(it.code))
        put_hex(to, "\\u{%04X}", it.code);
    else
        put(to, text, it.length);
}

static void put_terminal(escaped *to, const char *text, character it)
{
    put_visible(to, text, it);
}

static void put_csv(escaped *to, const char *text, character it)
{
    if (it.code == '"')
        put_string(to, "\"\"");
    else
        put_visible(to, text, it);
}

static void put_html(escaped *to, const char *text, character it)
{
    switch (it.code) {
    case '&': put_string(to, "&amp;"); break;
    case '<': put_string(to, "&lt;"); break;
    case '>': put_string(to, "&gt;"); break;
    case '"': put_string(to, "&quot;"); break;
    case '\'': put_string(to, "&#39;"); break;
    default: put_visible(to, text, it);
    }
}

static void put_json(escaped *to, const char *text, character it)
{
    if (it.bad) {
        put_string(to, "\xEF\xBF\xBD"); /* U+FFFD */
        return;
    }
    switch (it.code) {
    case '"': put_string(to, "\\\""); break;
    case '\\': put_string(to, "\\\\"); break;
    case '\n': put_string(to, "\\n"); break;
    case '\r': put_string(to, "\\r"); break;
    case '\t': put_string(to, "\\t"); break;
    default:
        if (is_unseen(it.code)) /* all within four digits */
            put_hex(to, "\\u%04X", it.code);
        else
            put(to, text, it.length);
    }
}

static void put_all(escaped *to, const char *text, size_t length,
                    void (*put_one)(escaped *, const char *, character))
{
    for (size_t at = 0; text != NULL && at < length;) {
        const character it = next_character(text + at, length - at);
        put_one(to, text + at, it);
        at += it.length;
    }
}

size_t reseat_text_terminal(const char *text, size_t length, char *out, size_t size)
{
    escaped to = start(out, size);
    put_all(&to, text, length, put_terminal);
    return to.length;
}

size_t reseat_text_html(const char *text, size_t length, char *out, size_t size)
{
    escaped to = start(out, size);
    put_all(&to, text, length, put_html);
    return to.length;
}

size_t reseat_text_json(const char *text, size_t length, char *out, size_t size)
{
    escaped to = start(out, size);
    put_all(&to, text, length, put_json);
    return to.length;
}

static bool holds_any(const char *text, size_t length, const char *bytes)
{
    for (size_t i = 0; i < length; i++)
        if (text[i] != '\0' && strchr(bytes, text[i]) != NULL)
            return true;
    return false;
}

/*
 * Line ends are escaped like all control bytes, so that commas and quotes alone call for quotes
 * by the standard; the semicolon does too, as it separates cells where decimals have a comma.
 */
size_t reseat_text_csv(const char *text, size_t length, char *out, size_t size)
{
    escaped to = start(out, size);
    if (text == NULL || length == 0)
        return 0;
    const bool quoted = holds_any(text, length, ",;\"");
    if (quoted)
        put_string(&to, "\"");
    if (holds_any(text, 1, "=+-@\t\r"))
        put_string(&to, "'");
    put_all(&to, text, length, put_csv);
    if (quoted)
        put_string(&to, "\"");
    return to.length;
}

#define WORD_MAX 64

static size_t smaller(size_t a, size_t b)
{
    return a < b ? a : b;
}

/*
 * Optimal string alignment: insertions, deletions, replacements, and swaps of neighbours that are
 * not touched again. Row i of the usual table needs the two rows above it, so three are kept.
 */
static size_t distance(const char *a, size_t a_length, const char *b, size_t b_length)
{
    size_t rows[3][WORD_MAX + 1];
    for (size_t j = 0; j <= b_length; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= a_length; i++) {
        size_t *row = rows[i % 3];
        const size_t *above = rows[(i + 2) % 3];
        const size_t *two_above = rows[(i + 1) % 3];
        row[0] = i;
        for (size_t j = 1; j <= b_length; j++) {
            const size_t replaced = above[j - 1] + (a[i - 1] != b[j - 1] ? 1 : 0);
            row[j] = smaller(replaced, smaller(above[j], row[j - 1]) + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = smaller(row[j], two_above[j - 2] + 1);
        }
    }
    return rows[a_length % 3][b_length];
}

size_t reseat_text_nearest(const char *word, const char *const *names, size_t count)
{
    if (word == NULL || names == NULL)
        return count;
    const size_t length = strlen(word);
    if (length > WORD_MAX)
        return count;
    size_t nearest = count;
    size_t least = length / 3 > 1 ? length / 3 : 1;
    for (size_t i = 0; i < count; i++) {
        const size_t name_length = names[i] != NULL ? strlen(names[i]) : WORD_MAX + 1;
        if (name_length > WORD_MAX)
            continue;
        const size_t steps = distance(word, length, names[i], name_length);
        if (steps < least || (steps == least && nearest == count)) {
            nearest = i;
            least = steps;
        }
    }
    return nearest;
}

size_t word_find(const char *text, size_t length, const char *const *words, size_t count)
{
    size_t i = 0;
    while (i < count && !word_is(text, length, words[i]))
        i++;
    return i;
}

sink sink_start(char *out, size_t size)
{
    if (size > 0)
        out[0] = '\0';
    return (sink){out, size, 0};
}

/* Bytes still free, with that for the NUL. */
static size_t room(const sink *to)
{
    return to->length < to->size ? to->size - to->length : 0;
}

void sink_bytes(sink *to, const char *bytes, size_t count)
{
    const size_t left = room(to);
    if (left > 0) {
        const size_t fits = count < left ? count : left - 1;
        memcpy(to->out + to->length, bytes, fits);
        to->out[to->length + fits] = '\0';
    }
    to->length += count;
}

void sink_text(sink *to, const char *text)
{
    sink_bytes(to, text, strlen(text));
}

void sink_print(sink *to, const char *format, ...)
{
    va_list values;
    const size_t left = room(to);
    va_start(values, format);
    const int more = vsnprintf(left > 0 ? to->out + to->length : NULL, left, format, values);
    va_end(values);
    to->length += more > 0 ? (size_t)more : 0;
}

void sink_integer(sink *to, int64_t value)
{
    char text[24];
    snprintf(text, sizeof text, "%" PRId64, value);
    sink_text(to, text);
}

void sink_number(sink *to, double value)
{
    char text[RESEAT_NUMBER_SIZE];
    const reseat_status status = reseat_number_format(value, text);
    if (!impossible(status != RESEAT_OK)) /* a record holds no other number */
        sink_text(to, text);
}

void sink_time(sink *to, int64_t seconds)
{
    char text[RESEAT_TIME_SIZE];
    const reseat_status status = reseat_time_format(seconds, text);
    if (!impossible(status != RESEAT_OK)) /* nor any other time */
        sink_text(to, text);
}

void sink_json(sink *to, const char *text)
{
    sink_text(to, "\"");
    const size_t left = room(to);
    char *out = left > 0 ? to->out + to->length : NULL;
    to->length += reseat_text_json(text, strlen(text), out, left);
    sink_text(to, "\"");
}
