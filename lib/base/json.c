/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/json.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <stdlib.h>
#include "base/text.h"

static json_kind kind_of(const cJSON *node)
{
    if (cJSON_IsNumber(node))
        return JSON_NUMBER;
    if (cJSON_IsString(node))
        return JSON_TEXT;
    if (cJSON_IsArray(node))
        return JSON_ARRAY;
    if (cJSON_IsObject(node))
        return JSON_OBJECT;
    return cJSON_IsNull(node) ? JSON_NULL : JSON_BOOL;
}

static bool show(cJSON *node, json_value *value)
{
    if (!node)
        return false;
    *value = (json_value){kind_of(node), node->string, node->valuedouble, node->valuestring, node};
    return true;
}

bool json_first(const json_value *container, json_value *value)
{
    assert(container->kind == JSON_ARRAY || container->kind == JSON_OBJECT);
    return show(((const cJSON *)container->node)->child, value);
}

bool json_next(json_value *value)
{
    return show(((const cJSON *)value->node)->next, value);
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* A name that an object has twice, or NULL. Sorted, as comparing all pairs would take long. */
static reseat_status find_duplicate(const cJSON *object, const char **duplicate)
{
    const char *few[64], **names = few;
    const size_t count = (size_t)cJSON_GetArraySize(object);
    if (count > sizeof few / sizeof few[0])
        names = malloc(count * sizeof *names);
    if (!names)
        return RESEAT_ERR_MEMORY;
    size_t filled = 0;
    for (const cJSON *node = object->child; node; node = node->next)
        names[filled++] = node->string;
    qsort(names, count, sizeof *names, compare_names);
    for (size_t i = 1; i < count && !*duplicate; i++)
        if (strcmp(names[i - 1], names[i]) == 0)
            *duplicate = names[i];
    if (names != few)
        free(names);
    return RESEAT_OK;
}

/* Keys and numbers of a value and all within it; at most JSON_DEPTH_MAX deep. */
static reseat_status check_tree(const cJSON *value, reseat_error *error)
{
    const char *duplicate = NULL;
    if (cJSON_IsNumber(value) && !isfinite(value->valuedouble))
        return error_set(error, RESEAT_ERR_NOT_FINITE, 0, "a number is too large");
    if (cJSON_IsObject(value) && find_duplicate(value, &duplicate) != RESEAT_OK)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (duplicate)
        return error_set(error, RESEAT_ERR_SYNTAX, 0, "duplicate key %s",
                         error_echo(duplicate, strlen(duplicate)).text);
    reseat_status status = RESEAT_OK;
    for (const cJSON *node = value->child; node && status == RESEAT_OK; node = node->next)
        status = check_tree(node, error);
    return status;
}

/*
 * The grammar of RFC 8259 by recursive descent, at most JSON_DEPTH_MAX deep. It stands before the
 * parser because that one reads `01`, `1.`, raw control bytes and a byte order mark, ends a text
 * at \u0000, and returns the same NULL for bad text as for want of memory: what passes here and
 * fails there is want of memory.
 */

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
    const bool there = s->at < s->length && s->text[s->at] == wanted;
    s->at += there;
    return there;
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
        return fail(s, "leading zero");
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

/* What stands behind \u: a character, or the two halves of one beyond U+FFFF. */
static bool code_point(scan *s)
{
    uint32_t code = 0, low = 0;
    if (!code_unit(s, &code))
        return false;
    if (code == 0)
        return fail(s, "a text must hold no NUL");
    if (code < 0xD800 || code > 0xDFFF)
        return true;
    const bool pair = code <= 0xDBFF && take(s, '\\') && take(s, 'u') && code_unit(s, &low);
    return (pair && low >= 0xDC00 && low <= 0xDFFF) || fail(s, "half a surrogate pair");
}

/* After the backslash. */
static bool escape(scan *s)
{
    const char c = next(s);
    if (c == '\0' || !strchr("\"\\/bfnrtu", c))
        return fail(s, "no such escape");
    s->at++;
    return c != 'u' || code_point(s);
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
            return fail(s, "control byte in a text");
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

static bool name(scan *s)
{
    if (!string(s))
        return false;
    skip_blanks(s);
    return take(s, ':') || fail(s, "expected a colon");
}

static bool items(scan *s, char close)
{
    do {
        skip_blanks(s);
        if (close == '}' && !name(s))
            return false;
        skip_blanks(s);
        if (!value(s))
            return false;
        skip_blanks(s);
    } while (take(s, ','));
    return take(s, close) || fail(s, close == '}' ? "expected , or }" : "expected , or ]");
}

static bool container(scan *s, char close)
{
    if (++s->depth > JSON_DEPTH_MAX)
        return fail(s, "nested too deep");
    s->at++;
    skip_blanks(s);
    if (!take(s, close) && !items(s, close))
        return false;
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

/* What is wrong with a text that should be one JSON object, and at which byte; NULL if nothing. */
static const char *guard(const char *text, size_t length, size_t *wrong)
{
    scan s = {text, length, 0, 0, NULL};
    *wrong = 0;
    if (!is_ascii(text, length) && !text_is_utf8(text, length))
        return "not UTF-8";
    if (next(&s) != '{')
        fail(&s, "expected {");
    else if (container(&s, '}') && s.at != length)
        fail(&s, "more text after the object");
    *wrong = s.at;
    return s.what;
}

reseat_status json_read(const char *text, size_t length, json_value *object, reseat_error *error)
{
    size_t wrong = 0;
    const char *what = guard(text, length, &wrong);
    if (what)
        return error_set(error, RESEAT_ERR_SYNTAX, wrong + 1, "%s", what);
    cJSON *tree = cJSON_ParseWithLengthOpts(text, length, NULL, false);
    if (!tree)
        return error_plain(error, RESEAT_ERR_MEMORY);
    const reseat_status status = check_tree(tree, error);
    if (status == RESEAT_OK)
        show(tree, object);
    else
        cJSON_Delete(tree);
    return status;
}

void json_free(const json_value *object)
{
    cJSON_Delete((cJSON *)object->node);
}
