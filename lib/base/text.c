/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
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
    if (!text)
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

sink sink_start(char *out, size_t size)
{
    if (out && size > 0)
        out[0] = '\0';
    return (sink){.out = out, .size = out ? size : 0};
}

void sink_bytes(sink *to, const char *bytes, size_t count)
{
    const size_t left = to->length < to->size ? to->size - to->length : 0;
    if (left > 0 && (count < left || !to->whole)) {
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
    char *const out = to->length < to->size ? to->out + to->length : NULL;
    va_list values;
    va_start(values, format);
    const int length = vsnprintf(out, out ? to->size - to->length : 0, format, values);
    va_end(values);
    to->length += (size_t)length;
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

static void put_hex(sink *to, const char *format, uint32_t code)
{
    char piece[16];
    snprintf(piece, sizeof piece, format, (unsigned)code);
    sink_text(to, piece);
}

/* A character as a person may safely see it. */
static void put_visible(sink *to, const char *text, character it)
{
    if (it.bad || (it.code < 0x80 && is_unseen(it.code)))
        put_hex(to, "\\x%02X", it.code);
    else if (is_unseen(it.code))
        put_hex(to, "\\u{%04X}", it.code);
    else
        sink_bytes(to, text, it.length);
}

static void put_json(sink *to, const char *text, character it)
{
    if (it.bad)
        sink_text(to, "\xEF\xBF\xBD"); /* U+FFFD */
    else if (is_unseen(it.code)) /* all within four digits */
        put_hex(to, "\\u%04X", it.code);
    else
        sink_bytes(to, text, it.length);
}

/* What stands for a character of one place. */
typedef struct replacement {
    char byte;
    const char *text;
} replacement;

static const replacement in_csv[] = {{'"', "\"\""}, {0, NULL}};
static const replacement in_html[] = {{'&', "&amp;"},  {'<', "&lt;"},   {'>', "&gt;"},
                                      {'"', "&quot;"}, {'\'', "&#39;"}, {0, NULL}};
static const replacement in_json[] = {{'"', "\\\""}, {'\\', "\\\\"}, {'\n', "\\n"},
                                      {'\r', "\\r"}, {'\t', "\\t"},   {0, NULL}};

/* Puts the whole text, by the list where a character stands there and else by `put_one`. */
static void put_all(sink *to, const char *text, size_t length, const replacement *list,
                    void (*put_one)(sink *, const char *, character))
{
    for (size_t at = 0; text && at < length;) {
        const character it = next_character(text + at, length - at);
        const replacement *known = list;
        while (known && known->text && (unsigned char)known->byte != it.code)
            known++;
        if (known && known->text)
            sink_text(to, known->text);
        else
            put_one(to, text + at, it);
        at += it.length;
    }
}

void sink_json(sink *to, const char *text)
{
    sink_text(to, "\"");
    put_all(to, text, strlen(text), in_json, put_json);
    sink_text(to, "\"");
}

/* Cut between characters, not within one. */
static size_t escape(const char *text, size_t length, const replacement *list,
                     void (*put_one)(sink *, const char *, character), char *out, size_t size)
{
    sink to = sink_start(out, size);
    to.whole = true;
    put_all(&to, text, length, list, put_one);
    return to.length;
}

size_t reseat_text_terminal(const char *text, size_t length, char *out, size_t size)
{
    return escape(text, length, NULL, put_visible, out, size);
}

size_t reseat_text_html(const char *text, size_t length, char *out, size_t size)
{
    return escape(text, length, in_html, put_visible, out, size);
}

size_t reseat_text_json(const char *text, size_t length, char *out, size_t size)
{
    return escape(text, length, in_json, put_json, out, size);
}

static bool holds_any(const char *text, size_t length, const char *bytes)
{
    for (size_t i = 0; i < length; i++)
        if (text[i] != '\0' && strchr(bytes, text[i]))
            return true;
    return false;
}

/*
 * Line ends are escaped like all control bytes, so that commas and quotes alone call for quotes
 * by the standard; the semicolon does too, as it separates cells where decimals have a comma.
 */
size_t reseat_text_csv(const char *text, size_t length, char *out, size_t size)
{
    sink to = sink_start(out, size);
    to.whole = true;
    if (!text || length == 0)
        return 0;
    const char *const quote = holds_any(text, length, ",;\"") ? "\"" : "";
    sink_text(&to, quote);
    sink_text(&to, holds_any(text, 1, "=+-@\t\r") ? "'" : "");
    put_all(&to, text, length, in_csv, put_visible);
    sink_text(&to, quote);
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
    const size_t length = word ? strlen(word) : 0;
    if (!word || !names || length > WORD_MAX)
        return count;
    size_t nearest = count;
    size_t least = length / 3 > 1 ? length / 3 : 1;
    for (size_t i = 0; i < count; i++) {
        const size_t name_length = names[i] ? strlen(names[i]) : WORD_MAX + 1;
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
