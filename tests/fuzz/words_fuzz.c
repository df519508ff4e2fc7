/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The readers of one word: what they take is spelt as they spell it themselves, what they do not
 * take leaves the output alone. The nearest name is the one that a plain count of changes finds.
 */
#include <stdint.h>
#include "check.h"
#include "reseat/rescue.h"
#include "reseat/log.h"
#include "reseat/touches.h"
#include "reseat/values.h"
#include "log/file.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool is(const char *text, size_t size, const char *word)
{
    return strlen(word) == size && memcmp(text, word, size) == 0;
}

static void try_unit(const char *text, size_t size)
{
    reseat_unit unit = RESEAT_THOU;
    reseat_error error;
    if (reseat_unit_parse(text, size, &unit, &error) != RESEAT_OK) {
        require(unit == RESEAT_THOU);
        require_sound_error(&error, size);
        return;
    }
    require(is(text, size, reseat_unit_name(unit)) ||
            (unit == RESEAT_UM && (is(text, size, "\302\265m") || is(text, size, "\316\274m"))));
}

static void try_gauge(const char *text, size_t size)
{
    reseat_gauge_kind kind = RESEAT_GAUGE_SPHERE;
    reseat_error error;
    if (reseat_gauge_kind_parse(text, size, &kind, &error) == RESEAT_OK) {
        require(is(text, size, reseat_gauge_kind_name(kind)));
    } else {
        require(kind == RESEAT_GAUGE_SPHERE);
        require_sound_error(&error, size);
    }
}

static void try_datum(const char *text, size_t size)
{
    reseat_datum datum = RESEAT_DATUM_SAME;
    reseat_error error;
    if (reseat_datum_parse(text, size, &datum, &error) == RESEAT_OK) {
        require(is(text, size, "machine") || is(text, size, "before") || is(text, size, "same"));
        require(is(text, size, "same") == (datum == RESEAT_DATUM_SAME));
    } else {
        require(datum == RESEAT_DATUM_SAME);
        require_sound_error(&error, size);
    }
}

static void try_mark(const char *text, size_t size)
{
    reseat_log_mark mark = {-5, "x"};
    reseat_error error;
    char written[RESEAT_SEAL_SIZE + 32];
    if (reseat_log_mark_parse(text, size, &mark, &error) == RESEAT_OK) {
        const int length = snprintf(written, sizeof written, "%lld:%s", (long long)mark.seq,
                                    mark.seal);
        require(mark.seq >= 0 && strlen(mark.seal) >= 8);
        require(strspn(mark.seal, "0123456789abcdef") == strlen(mark.seal));
        require((size_t)length <= size);
    } else {
        require(mark.seq == -5 && strcmp(mark.seal, "x") == 0);
        require(error.text[0] != '\0' && error.column == 0); /* it is one thing or none */
    }
}

/* Names that end in NUL. */
static void try_names(const char *word)
{
    const reseat_record_type type = reseat_record_type_find(word);
    const reseat_field field = reseat_field_find(word);
    if (type != RESEAT_RECORD_OTHER)
        require(strcmp(word, reseat_record_type_name(type)) == 0);
    if (field < RESEAT_FIELD_COUNT)
        require(strcmp(word, reseat_field_about(field)->name) == 0);
    if (log_is_name(word))
        require(word[0] != '\0' && word[0] != '.' && strchr(word, '/') == NULL);
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* Steps from the first i bytes of a to the first j of b, by recursion as it is defined. */
static int distance(const char *a, const char *b, int i, int j)
{
    if (i == 0 || j == 0)
        return i + j;
    const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
    if (a[i - 1] == b[j - 1])
        return distance(a, b, i - 1, j - 1);
    const int changed = least(distance(a, b, i - 1, j - 1),
                              least(distance(a, b, i - 1, j), distance(a, b, i, j - 1)));
    return 1 + (swapped ? least(changed, distance(a, b, i - 2, j - 2)) : changed);
}

static void try_nearest(const char *word)
{
    static const char *const names[] = {"same", "any", "keys", "drift", "audit"};
    const size_t count = sizeof names / sizeof names[0];
    const int length = (int)strlen(word);
    size_t expected = count;
    int best = length / 3 > 1 ? length / 3 : 1;
    if (length > 8)
        return;
    for (size_t i = count; i-- > 0;) {
        const int steps = distance(word, names[i], length, (int)strlen(names[i]));
        if (steps <= best) {
            best = steps;
            expected = i;
        }
    }
    require(reseat_text_nearest(word, names, count) == expected);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *word = malloc(size + 1);
    require(word != NULL);
    if (size > 0)
        memcpy(word, data, size);
    word[size] = '\0';
    try_unit(word, size);
    try_gauge(word, size);
    try_datum(word, size);
    try_mark(word, size);
    try_names(word);
    try_nearest(word);
    free(word);
    return 0;
}
