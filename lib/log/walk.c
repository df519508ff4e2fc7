/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/file.h"

#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/named.h"
#include "base/text.h"

void walk_start(log_walk *walk, log_reader *log)
{
    *walk = (log_walk){.log = log};
}

void walk_end(log_walk *walk)
{
    free(walk->voided);
    *walk = (log_walk){0};
}

bool walk_can_void(reseat_record_type type)
{
    return type == RESEAT_RECORD_RUN || type == RESEAT_RECORD_RESEAT ||
           type == RESEAT_RECORD_EVENT || type == RESEAT_RECORD_VERIFY ||
           type == RESEAT_RECORD_POLICY;
}

static reseat_status add_void(log_walk *walk, int64_t seq, int64_t by)
{
    walk_void *voided = grow(walk->voided, walk->count, &walk->room, sizeof *voided);
    if (!voided)
        return RESEAT_ERR_MEMORY;
    walk->voided = voided;
    voided[walk->count++] = (walk_void){seq, by};
    return RESEAT_OK;
}

/* Which record named a number, -1 if none did; forgets it, as no other record has it. */
static int64_t take_void(log_walk *walk, int64_t seq)
{
    int64_t by = -1;
    for (size_t i = 0; i < walk->count;) {
        if (walk->voided[i].seq == seq) {
            by = walk->voided[i].by;
            walk->voided[i] = walk->voided[--walk->count];
        } else {
            i++;
        }
    }
    return by;
}

/* All that is known of a line before it is read. */
static void clear(walk_step *step)
{
    step->v = 0;
    step->seq = step->voids = step->voided_by = -1;
    step->type = RESEAT_RECORD_OTHER;
    step->seen = (record_glance){0};
    step->invalid = false;
}

reseat_status walk_read(walk_step *step)
{
    reseat_record *record = NULL;
    clear(step);
    const reseat_status status = record_parse(step->line.text, (size_t)step->line.length, &record,
                                              &step->why);
    step->invalid = status != RESEAT_OK;
    if (step->invalid)
        return status == RESEAT_ERR_MEMORY ? status : RESEAT_OK;
    step->v = reseat_record_integer(record, RESEAT_FIELD_V, 0);
    step->seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, 0);
    step->type = reseat_record_type_of(record);
    step->voids = reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1);
    reseat_record_show(record, RESEAT_FIELD_RECORDED_AT, step->recorded_at,
                       sizeof step->recorded_at);
    reseat_record_free(record);
    return RESEAT_OK;
}

bool walk_glance(walk_step *step)
{
    clear(step);
    if (!log_glance(step->line.text, (size_t)step->line.length, &step->seen))
        return false;
    step->v = RESEAT_RECORD_VERSION;
    step->seq = step->seen.seq;
    step->type = step->seen.type;
    memcpy(step->recorded_at, step->seen.recorded_at, GLANCE_TIME);
    step->recorded_at[GLANCE_TIME] = '\0';
    return true;
}

reseat_status walk_previous(log_walk *walk, walk_step *step, reseat_error *error)
{
    clear(step);
    reseat_status status = log_previous(walk->log, &step->line, error);
    if (status != RESEAT_OK || step->line.state != RESEAT_LINE_SOUND)
        return status;
    if (!walk_glance(step) || step->type == RESEAT_RECORD_VOID)
        status = walk_read(step);
    if (status == RESEAT_OK && step->voids >= 0 && step->voids < step->seq)
        status = add_void(walk, step->voids, step->seq);
    if (status != RESEAT_OK)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (walk_can_void(step->type) && walk->count > 0)
        step->voided_by = take_void(walk, step->seq);
    return RESEAT_OK;
}

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
    if (!end || memchr(from.at, '\\', (size_t)(end - from.at)))
        return;
    seen->probe = from.at;
    seen->probe_length = (size_t)(end - from.at);
}

bool glance_is_of_other(const record_glance *glance, const char *probe)
{
    return glance->probe && !word_is(glance->probe, glance->probe_length, probe);
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
    take_probe(from, &seen);
    *glance = seen;
    return true;
}
