/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/file.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/named.h"
#include "base/text.h"

void walk_start(log_walk *walk, log_reader *log)
{
    *walk = (log_walk){.log = log, .until = INT64_MAX};
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
           type == RESEAT_RECORD_POLICY || type == RESEAT_RECORD_GAUGE;
}

static reseat_status add_void(log_walk *walk, const walk_step *step)
{
    walk_void *voided = grow(walk->voided, walk->count, &walk->room, sizeof *voided);
    if (!voided)
        return RESEAT_ERR_MEMORY;
    walk->voided = voided;
    voided[walk->count++] = (walk_void){step->voids, step->voids_to, step->seq};
    return RESEAT_OK;
}

/*
 * Which record took a number back, the first that did, or -1; forgets what lies behind, as no
 * record above has such a number.
 */
static int64_t take_void(log_walk *walk, int64_t seq)
{
    int64_t by = -1;
    for (size_t i = 0; i < walk->count;) {
        const walk_void *named = &walk->voided[i];
        if (named->first <= seq && seq <= named->last && (by < 0 || named->by < by))
            by = named->by;
        if (named->first == seq)
            walk->voided[i] = walk->voided[--walk->count];
        else
            i++;
    }
    return by;
}

bool walk_was_known(const walk_step *step, int64_t until)
{
    int64_t written = INT64_MIN;
    (void)reseat_time_parse(step->recorded_at, strlen(step->recorded_at), &written, NULL);
    return written <= until;
}

/* All that is known of a line before it is read. */
static void clear(walk_step *step)
{
    step->v = 0;
    step->seq = step->voids = step->voids_to = step->voided_by = -1;
    step->type = RESEAT_RECORD_OTHER;
    step->seen = (record_glance){0};
    step->recorded_at[0] = '\0';
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
    step->voids_to = reseat_record_integer(record, RESEAT_FIELD_VOIDS_TO, step->voids);
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
    if (status == RESEAT_OK && step->voids >= 0 && step->voids < step->seq &&
        walk_was_known(step, walk->until))
        status = add_void(walk, step);
    if (status != RESEAT_OK)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (walk_can_void(step->type) && walk->count > 0)
        step->voided_by = take_void(walk, step->seq);
    return RESEAT_OK;
}

static reseat_status refuse_void(reseat_error *error, int64_t seq, const char *why)
{
    return error_at(error, RESEAT_ERR_REFUSED, "voids", "record %" PRId64 " cannot be voided: %s",
                    seq, why);
}

static reseat_status judge_void(const walk_step *step, int64_t seq, reseat_error *error)
{
    if (step->seq < seq) /* -1 where no line is left */
        return refuse_void(error, seq, "there is none of that number");
    if (!walk_can_void(step->type))
        return refuse_void(error, seq, "only run, reseat, event, verify, policy and gauge can be");
    return step->voided_by >= 0 ? refuse_void(error, seq, "it is void already") : RESEAT_OK;
}

/* The next record back that is no newer than `seq`; its number is -1 where there is none. */
static reseat_status find_record(log_walk *walk, int64_t seq, walk_step *step, reseat_error *error)
{
    reseat_status status;
    do
        status = walk_previous(walk, step, error);
    while (status == RESEAT_OK && step->line.state != RESEAT_LINE_NONE &&
           (step->line.state != RESEAT_LINE_SOUND || step->invalid || step->seq > seq));
    return status;
}

/*
 * What a void record names must be there, of a type that can be void, and not yet so; of several
 * one must be.
 */
reseat_status walk_check_void(log_reader *log, const reseat_record *record, reseat_error *error)
{
    const int64_t first = reseat_record_integer(record, RESEAT_FIELD_VOIDS, 0);
    const int64_t last = reseat_record_integer(record, RESEAT_FIELD_VOIDS_TO, first);
    log_walk walk;
    walk_step step = {.seq = -1};
    if (!log)
        return refuse_void(error, first, "there is none of that number");
    walk_start(&walk, log);
    reseat_status status = find_record(&walk, last, &step, error);
    if (status == RESEAT_OK)
        status = judge_void(&step, last, error);
    const bool several = step.seq == last && first < last;
    while (several && status == RESEAT_ERR_REFUSED && step.seq > first) {
        status = find_record(&walk, step.seq - 1, &step, error);
        if (status == RESEAT_OK)
            status = judge_void(&step, first, error);
    }
    walk_end(&walk);
    if (status == RESEAT_ERR_REFUSED && several)
        return error_at(error, status, "voids", "of the records %" PRId64 " to %" PRId64
                        " none can be voided: only run, reseat, event, verify and policy can be, "
                        "and only once", first, last);
    return status;
}

/* A line that cannot be read may have been a policy. */
static bool may_hide_policy(const walk_step *step)
{
    const reseat_line_state state = step->line.state;
    return state == RESEAT_LINE_DAMAGED || state == RESEAT_LINE_TORN || step->invalid;
}

reseat_status walk_find_policy(log_reader *log, bool despite, reseat_record **policy,
                               reseat_error *error)
{
    log_walk walk;
    walk_step step;
    reseat_status status;
    walk_start(&walk, log);
    do {
        status = walk_previous(&walk, &step, error);
        if (status != RESEAT_OK || step.type != RESEAT_RECORD_POLICY || step.voided_by >= 0)
            continue;
        status = record_of_line(step.line.text, (size_t)step.line.length, policy, error);
        step.invalid = !*policy; /* it may name itself a policy and be no record all the same */
    } while (status == RESEAT_OK && step.line.state != RESEAT_LINE_NONE && !*policy &&
             (despite || !may_hide_policy(&step)));
    walk_end(&walk);
    if (status != RESEAT_OK || *policy || step.line.state == RESEAT_LINE_NONE)
        return status;
    return error_set(error, RESEAT_ERR_DAMAGED, 0,
                     "a damaged line of the log of %s may have been a policy: nothing "
                     "was recorded; audit the log, or append despite the damage",
                     log->name);
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
    static const char key[] = ",\"probe\":\"", at[] = "\",\"at\":\"";
    if (!take(&from, key, sizeof key - 1))
        return;
    const char *end = memchr(from.at, '"', (size_t)(from.end - from.at));
    if (!end || memchr(from.at, '\\', (size_t)(end - from.at)))
        return;
    seen->probe = from.at;
    seen->probe_length = (size_t)(end - from.at);
    from.at = end;
    if (take(&from, at, sizeof at - 1) && take_time(&from))
        seen->at = from.at - GLANCE_TIME;
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

/* When a line was written, as text in which earlier is smaller; false where it does not say. */
static bool written_at(const char *text, size_t length, char *out)
{
    record_glance seen;
    reseat_record *record = NULL;
    if (!text)
        return false;
    if (log_glance(text, length, &seen)) {
        memcpy(out, seen.recorded_at, GLANCE_TIME);
        return true;
    }
    if (record_parse(text, length, &record, NULL) == RESEAT_OK)
        reseat_record_show(record, RESEAT_FIELD_RECORDED_AT, out, RESEAT_TIME_SIZE);
    const bool known = record;
    reseat_record_free(record);
    return known;
}

/* Bad lines right above that one that do not say when they were written may be as late. */
reseat_status log_first_written(log_reader *log, int64_t time, uint64_t *offset,
                                reseat_error *error)
{
    char before[RESEAT_TIME_SIZE] = "", written[RESEAT_TIME_SIZE] = "";
    line_reader *lines = &log->lines;
    const uint64_t back_at = lines->at;
    raw_line line;
    bool undated = false;
    file_fault fault;
    *offset = 0;
    if (reseat_time_format(time, before) != RESEAT_OK)
        return RESEAT_OK; /* before the calendar begins: nothing was written before */
    lines->at = 0;
    lines->trusting = true;
    while (!(fault = line_next(lines, &line)) && line.there) {
        const bool dated = written_at(line.text, (size_t)line.length, written);
        if (dated && memcmp(written, before, GLANCE_TIME) >= 0)
            break;
        if (!dated && !undated)
            *offset = line.offset;
        undated = !dated;
    }
    if (!undated)
        *offset = !fault && line.there ? line.offset : lines->end;
    lines->at = back_at;
    lines->trusting = false;
    return fault ? log_io_error(log->name, fault, error) : RESEAT_OK;
}
