/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <string.h>
#include "log_file.h"
#include "word.h"

typedef struct cursor {
    const char *at;
    const char *end;
} cursor;

static bool take(cursor *from, const char *text, size_t length)
{
    if ((size_t)(from->end - from->at) < length || memcmp(from->at, text, length) != 0)
        return false;
    from->at += length;
    return true;
}

static bool take_seq(cursor *from, int64_t *seq)
{
    const char *first = from->at;
    int64_t value = 0;
    while (from->at < from->end && *from->at >= '0' && *from->at <= '9' && from->at - first < 16)
        value = 10 * value + (*from->at++ - '0');
    *seq = value;
    return from->at > first && (*first != '0' || from->at - first == 1);
}

static bool take_type(cursor *from, reseat_record_type *type)
{
    for (unsigned i = 1; i < RESEAT_RECORD_TYPE_COUNT; i++) {
        const char *name = reseat_record_type_name((reseat_record_type)i);
        const size_t length = strlen(name);
        if ((size_t)(from->end - from->at) > length && from->at[length] == '"' &&
            memcmp(from->at, name, length) == 0) {
            from->at += length;
            *type = (reseat_record_type)i;
            return true;
        }
    }
    return false;
}

/* 2026-03-02T06:00:00Z: whether it is a time at all is left to who reads the whole record. */
static bool take_time(cursor *from)
{
    static const char form[] = "dddd-dd-ddTdd:dd:ddZ";
    if (from->end - from->at < GLANCE_TIME)
        return false;
    for (size_t i = 0; i < GLANCE_TIME; i++, from->at++) {
        const bool digit = *from->at >= '0' && *from->at <= '9';
        if (form[i] == 'd' ? !digit : *from->at != form[i])
            return false;
    }
    return true;
}

/* A text that ends in its next quotation mark and needs no reading of escapes. */
static void take_probe(cursor from, record_glance *seen)
{
    static const char key[] = ",\"probe\":\"";
    if (!take(&from, key, sizeof key - 1))
        return;
    const char *end = memchr(from.at, '"', (size_t)(from.end - from.at));
    if (end == NULL || memchr(from.at, '\\', (size_t)(end - from.at)) != NULL)
        return;
    seen->probe = from.at;
    seen->probe_length = (size_t)(end - from.at);
}

bool glance_is_of_other(const record_glance *glance, const char *probe)
{
    return glance->probe != NULL && !word_is(glance->probe, glance->probe_length, probe);
}

bool log_glance(const char *line, size_t length, record_glance *glance)
{
    static const char v[] = "{\"v\":1,\"seq\":", type[] = ",\"type\":\"", when[] =
        "\",\"recorded_at\":\"";
    cursor from = {line, line + length};
    record_glance seen = {0};
    if (!take(&from, v, sizeof v - 1) || !take_seq(&from, &seen.seq) ||
        !take(&from, type, sizeof type - 1) || !take_type(&from, &seen.type) ||
        !take(&from, when, sizeof when - 1) || !take_time(&from))
        return false;
    seen.recorded_at = from.at - GLANCE_TIME;
    if (!take(&from, "\"", 1))
        return false;
    seen.rest = from.at;
    take_probe(from, &seen);
    *glance = seen;
    return true;
}
