/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * A log is read from its end back, so that what is void is known before it is met, and sorted by
 * time afterwards. Records of other probes are passed over by the first bytes of their lines.
 */

#include "history/replay.h"

#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/grow.h"
#include "log/file.h"
#include "log/walk.h"

#define THIN_LEAST 256 /* facts of a probe that are kept without a thought */

bool fact_is_later(const replay_fact *a, const replay_fact *b)
{
    return a->at > b->at || (a->at == b->at && a->seq > b->seq);
}

reseat_xy pair_of(const reseat_record *record, reseat_field x, reseat_field y,
                  reseat_xy otherwise)
{
    return (reseat_xy){reseat_record_number(record, x, otherwise.x),
                       reseat_record_number(record, y, otherwise.y)};
}

bool record_says(const reseat_record *record, reseat_field field, const char *text)
{
    const char *value = reseat_record_text(record, field);
    return value && strcmp(value, text) == 0;
}

static event_kind event_of(const reseat_record *record)
{
    static const char *const kinds[] = {[EVENT_COLLISION] = "collision",
                                        [EVENT_STYLUS_CHANGE] = "stylus-change",
                                        [EVENT_SERVICE] = "service"};
    for (unsigned kind = EVENT_COLLISION; kind <= EVENT_SERVICE; kind++)
        if (record_says(record, RESEAT_FIELD_KIND, kinds[kind]))
            return (event_kind)kind;
    return EVENT_OTHER;
}

/* A field's number into *value; whether it is there. */
static bool has_number(const reseat_record *record, reseat_field field, double *value)
{
    *value = reseat_record_number(record, field, 0);
    return reseat_record_has(record, field) && !reseat_record_is_null(record, field);
}

static reseat_drift_run run_of(const reseat_record *record)
{
    reseat_drift_run run = {
        .seq = (uint64_t)reseat_record_integer(record, RESEAT_FIELD_SEQ, 0),
        .at = reseat_record_integer(record, RESEAT_FIELD_AT, 0),
        .offset_mm = pair_of(record, RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM,
                             (reseat_xy){0, 0}),
    };
    run.seat_known = has_number(record, RESEAT_FIELD_SEAT_DEG, &run.seat_deg);
    run.offset_u_known = has_number(record, RESEAT_FIELD_OFFSET_U_MM, &run.offset_u_mm);
    run.radius_known = has_number(record, RESEAT_FIELD_RADIUS_MM, &run.radius_mm);
    run.stylus_length_known =
        has_number(record, RESEAT_FIELD_STYLUS_LENGTH_MM, &run.stylus_length_mm);
    return run;
}

replay_fact fact_of(const reseat_record *record)
{
    const reseat_record_type type = reseat_record_type_of(record);
    const int64_t written = reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0);
    const char *tip = reseat_record_text(record, RESEAT_FIELD_TIP);
    replay_fact fact = {
        .at = reseat_record_integer(record, RESEAT_FIELD_AT, written),
        .seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1),
        .type = type,
        .event = type == RESEAT_RECORD_EVENT ? event_of(record) : EVENT_NONE,
        .tip = tip ? tip : "main",
        .run = run_of(record),
    };
    const reseat_xy offset_mm = fact.run.offset_mm;
    fact.found_mm = pair_of(record, RESEAT_FIELD_FOUND_X_MM, RESEAT_FIELD_FOUND_Y_MM, offset_mm);
    fact.in_use_mm =
        pair_of(record, RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM, offset_mm);
    fact.shift_mm = pair_of(record, RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM,
                            (reseat_xy){0, 0});
    return fact;
}

static void free_probe(replay_probe *probe)
{
    for (size_t i = 0; i < probe->tips.count; i++) {
        replay_tip *tip = probe->tips.items[i];
        reseat_record_free(tip->run);
        reseat_record_free(tip->verify);
    }
    named_free(&probe->tips);
    reseat_record_free(probe->reseat);
    free(probe->facts);
}

void replay_free(replay *read)
{
    if (!read)
        return;
    for (size_t i = 0; i < read->probes.count; i++)
        free_probe(read->probes.items[i]);
    named_free(&read->probes);
    reseat_record_free(read->policy);
    free(read->bad);
    free(read);
}

replay_probe *replay_find(const replay *read, const char *name)
{
    return named_find(&read->probes, name);
}

static int by_time(const void *a, const void *b)
{
    const replay_fact *left = a, *right = b;
    return fact_is_later(left, right) - fact_is_later(right, left);
}

static void sort_facts(replay_probe *probe)
{
    if (probe->count > 1)
        qsort(probe->facts, probe->count, sizeof probe->facts[0], by_time);
}

/* Drops what no state rests on: runs before the latest of their tip. */
static void thin_out(replay_probe *probe)
{
    sort_facts(probe);
    size_t kept = probe->count;
    for (size_t i = 0; i < probe->tips.count; i++)
        ((replay_tip *)probe->tips.items[i])->runs = 0;
    for (size_t i = probe->count; i > 0; i--) {
        const replay_fact fact = probe->facts[i - 1];
        replay_tip *tip = fact.type == RESEAT_RECORD_RUN ? named_find(&probe->tips, fact.tip)
                                                         : NULL;
        if (tip && tip->runs == RESEAT_STATE_RUNS_MAX)
            continue;
        probe->facts[--kept] = fact;
        if (tip)
            tip->runs++;
    }
    probe->count -= kept;
    memmove(probe->facts, probe->facts + kept, probe->count * sizeof probe->facts[0]);
    probe->thin_at = 2 * probe->count; /* so that each fact is sorted a few times at most */
}

static bool add_fact(replay *read, replay_probe *probe, const replay_fact *fact)
{
    if (read->request.depth == REPLAY_STATE) {
        if (fact->type == RESEAT_RECORD_RESEAT || fact->type == RESEAT_RECORD_VERIFY)
            return true; /* a state needs the latest alone, which is kept as a record */
        if (probe->count >= THIN_LEAST && probe->count >= probe->thin_at)
            thin_out(probe);
    }
    replay_fact *facts = grow(probe->facts, probe->count, &probe->room, sizeof *facts);
    if (!facts)
        return false;
    probe->facts = facts;
    facts[probe->count++] = *fact;
    return true;
}

/* Keeps the later of two records; *record is NULL if it was taken. */
static void keep_latest(reseat_record **kept, reseat_record **record)
{
    if (*kept) {
        const replay_fact old = fact_of(*kept), new = fact_of(*record);
        if (!fact_is_later(&new, &old))
            return;
    }
    reseat_record_free(*kept);
    *kept = *record;
    *record = NULL;
}

/* The probe that a record is about; "": the spindle, or not known, as of a type not known. */
static const char *owner_of(const reseat_record *record)
{
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    return probe && reseat_record_type_of(record) != RESEAT_RECORD_OTHER ? probe : "";
}

/* Where the latest record of its kind is kept; NULL: none of the kind is. */
static reseat_record **latest_of(replay_probe *probe, replay_tip *tip, reseat_record_type type)
{
    switch (type) {
    case RESEAT_RECORD_RUN: return &tip->run;
    case RESEAT_RECORD_VERIFY: return &tip->verify;
    case RESEAT_RECORD_RESEAT: return &probe->reseat;
    default: return NULL;
    }
}

/* A fact, if it is of a probe that is asked for; *record is NULL if it was kept. */
static reseat_status take_fact(replay *read, reseat_record **record)
{
    replay_fact fact = fact_of(*record);
    const char *owner = owner_of(*record), *asked = read->request.probe;
    const bool tipped = fact.type == RESEAT_RECORD_RUN || fact.type == RESEAT_RECORD_VERIFY;
    if (asked && owner[0] != '\0' && strcmp(owner, asked) != 0)
        return RESEAT_OK;
    replay_probe *probe = named_make(&read->probes, owner, sizeof *probe);
    replay_tip *tip = probe && tipped ? named_make(&probe->tips, fact.tip, sizeof *tip) : NULL;
    if (!probe || (tipped && !tip))
        return RESEAT_ERR_MEMORY;
    fact.tip = tip ? tip->name : "";
    if (!add_fact(read, probe, &fact))
        return RESEAT_ERR_MEMORY;
    if (fact.type == RESEAT_RECORD_RUN)
        tip->runs++;
    reseat_record **latest = latest_of(probe, tip, fact.type);
    if (latest)
        keep_latest(latest, record);
    return RESEAT_OK;
}

/* A sound record that is not void. */
static reseat_status take_record(replay *read, const walk_step *step, reseat_record **record)
{
    const bool timed = reseat_record_has(*record, RESEAT_FIELD_AT); /* a policy is of no time */
    if (timed && fact_of(*record).at > read->request.horizon)
        return RESEAT_OK;
    switch (reseat_record_type_of(*record)) {
    case RESEAT_RECORD_RUN:
    case RESEAT_RECORD_RESEAT:
    case RESEAT_RECORD_EVENT:
    case RESEAT_RECORD_VERIFY:
    case RESEAT_RECORD_OTHER: return take_fact(read, record);
    case RESEAT_RECORD_POLICY:
        if (read->policy)
            return RESEAT_OK; /* the newest comes first and has replaced it */
        read->policy = *record;
        read->policy_offset = step->line.offset;
        *record = NULL;
        return RESEAT_OK;
    default: return RESEAT_OK;
    }
}

/* Whether a record matters, by the first bytes of its line; what is not known so does. */
static bool can_matter(const replay *read, const walk_step *step)
{
    const char *probe = read->request.probe;
    const bool other = step->rest && probe && glance_is_of_other(&step->seen, probe);
    switch (step->type) {
    case RESEAT_RECORD_LOG:
    case RESEAT_RECORD_VOID: /* the walk has taken note of it */
    case RESEAT_RECORD_VERDICT:
    case RESEAT_RECORD_REPAIR: return false;
    case RESEAT_RECORD_POLICY: return !read->policy && read->request.depth != REPLAY_SINCE;
    case RESEAT_RECORD_RUN:
    case RESEAT_RECORD_EVENT: return !other;
    case RESEAT_RECORD_RESEAT:
    case RESEAT_RECORD_VERIFY: return !other && read->request.depth != REPLAY_SINCE;
    default: return true;
    }
}

static reseat_status note_bad(replay *read, const reseat_log_line *line, int64_t later_version)
{
    replay_bad *bad = grow(read->bad, read->bad_count, &read->bad_room, sizeof *bad);
    if (!bad)
        return RESEAT_ERR_MEMORY;
    read->bad = bad;
    bad[read->bad_count] = (replay_bad){.line = *line, .later_version = later_version};
    bad[read->bad_count++].line.text = NULL;
    return RESEAT_OK;
}

static reseat_status take_sound(replay *read, walk_step *step)
{
    reseat_record *record = NULL;
    reseat_status status = RESEAT_OK;
    if (step->v > RESEAT_RECORD_VERSION)
        return note_bad(read, &step->line, step->seq);
    if (step->voided_by >= 0 || !can_matter(read, step))
        return RESEAT_OK;
    if (!step->invalid)
        status = record_parse(step->line.text, (size_t)step->line.length, &record, NULL);
    if (status == RESEAT_ERR_MEMORY)
        return status;
    if (!record) {
        step->line.what = "its seal holds, but it is no record";
        return note_bad(read, &step->line, -1);
    }
    status = take_record(read, step, &record);
    reseat_record_free(record);
    return status;
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

/*
 * Where the first line begins that was written at or after `since`, less what a fact may lie ahead
 * of its writing: every line above that says when it was written was so before, whatever clocks
 * did. The end of the log where there is none. One forward glance; no seal is computed.
 */
static reseat_status first_written(const log_reader *log, int64_t since, uint64_t *offset,
                                   reseat_error *error)
{
    char before[RESEAT_TIME_SIZE] = "", written[RESEAT_TIME_SIZE] = "";
    raw_line line;
    *offset = 0;
    if (reseat_time_format(since - SECONDS_AHEAD, before) != RESEAT_OK)
        return RESEAT_OK; /* before the calendar begins: nothing was written before */
    line_forward *lines = malloc(sizeof *lines);
    if (!lines)
        return error_plain(error, RESEAT_ERR_MEMORY);
    line_forward_start(lines, log->calls, log->file, log->end);
    lines->trusting = true;
    file_fault fault = line_forward_next(lines, &line);
    while (!fault && line.there && !(written_at(line.text, (size_t)line.length, written) &&
                                     memcmp(written, before, GLANCE_TIME) >= 0))
        fault = line_forward_next(lines, &line);
    *offset = !fault && line.there ? line.offset : log->end;
    free(lines);
    return fault ? log_io_error(log->name, fault, error) : RESEAT_OK;
}

/* The tip that a state is of, once no earlier record can change which: NULL until then. */
static const replay_tip *settled_tip(const replay *read, const replay_probe *probe)
{
    return named_find(&probe->tips, read->request.tip ? read->request.tip : "main");
}

static int64_t earliest_kept(const replay_probe *probe, const replay_tip *tip)
{
    size_t left = RESEAT_STATE_RUNS_MAX, i = probe->count;
    while (i > 0 && left > 0)
        left -= probe->facts[--i].tip == tip->name && probe->facts[i].type == RESEAT_RECORD_RUN;
    return probe->facts[i].at;
}

/* How far back the state needs the log, as soon as that can be told. */
static reseat_status find_end(replay *read, const log_reader *log, bool *found, uint64_t *end,
                              reseat_error *error)
{
    replay_probe *probe = read->request.probe ? replay_find(read, read->request.probe) : NULL;
    const replay_tip *tip = probe ? settled_tip(read, probe) : NULL;
    if (!read->policy || !tip || tip->runs < RESEAT_STATE_RUNS_MAX)
        return RESEAT_OK;
    sort_facts(probe);
    *found = true;
    return first_written(log, earliest_kept(probe, tip), end, error);
}

static reseat_status take_step(replay *read, walk_step *step, reseat_error *error)
{
    reseat_status status = RESEAT_OK;
    if (step->line.state == RESEAT_LINE_SOUND)
        status = take_sound(read, step);
    else if (step->line.state != RESEAT_LINE_SEALED_OFF)
        status = note_bad(read, &step->line, -1);
    return status == RESEAT_OK ? status : error_plain(error, status);
}

/*
 * Reads on above `end` while lines are bad: when they were written is not known. Lines above the
 * first good one are held to be as old as that.
 */
static reseat_status read_back(replay *read, log_reader *log, reseat_error *error)
{
    const replay_request *request = &read->request;
    bool found = request->depth == REPLAY_SINCE;
    log_walk walk;
    walk_step step;
    uint64_t end = 0;
    reseat_status status = found ? first_written(log, request->since, &end, error) : RESEAT_OK;
    walk_start(&walk, log);
    while (status == RESEAT_OK) {
        const size_t bad = read->bad_count;
        status = walk_previous(&walk, &step, error);
        if (status != RESEAT_OK || step.line.state == RESEAT_LINE_NONE)
            break;
        status = take_step(read, &step, error);
        if (status == RESEAT_OK && !found && request->depth == REPLAY_STATE)
            status = find_end(read, log, &found, &end, error);
        if (found && step.line.offset < end && read->bad_count == bad)
            break;
    }
    walk_end(&walk);
    return status;
}

/* Of whom the request speaks is kept, as the replay may outlive it. */
static replay *start(const replay_request *request)
{
    replay *read = calloc(1, sizeof *read);
    if (!read)
        return NULL;
    read->request = *request;
    memcpy(read->spindle, request->spindle, strlen(request->spindle) + 1);
    read->request.spindle = read->spindle;
    read->request.probe = NULL;
    if (request->probe && strlen(request->probe) < sizeof read->probe) /* else none has it */
        read->request.probe = memcpy(read->probe, request->probe, strlen(request->probe) + 1);
    if (!named_make(&read->probes, "", sizeof(replay_probe))) {
        replay_free(read);
        return NULL;
    }
    return read;
}

reseat_status replay_read(const replay_request *request, replay **out, reseat_error *error)
{
    log_reader *log = NULL;
    reseat_status status = log_open(request->calls, request->dir, request->spindle, &log, error);
    if (status != RESEAT_OK)
        return status;
    replay *read = start(request);
    status = read ? read_back(read, log, error) : error_plain(error, RESEAT_ERR_MEMORY);
    if (status == RESEAT_OK) {
        read->has_head = log->has_head || log->end == 0;
        read->request.tip = NULL; /* the caller's */
        for (size_t i = 0; i < read->probes.count; i++)
            sort_facts(read->probes.items[i]);
        *out = read;
    } else {
        replay_free(read);
    }
    log_close(log);
    return status;
}

bool replay_next(replay_cursor *cursor, const replay_fact **fact)
{
    const replay_probe *common = cursor->read->probes.items[0], *probe = cursor->probe;
    const bool own_left = probe && cursor->next < probe->count;
    const bool common_left = cursor->next_common < common->count;
    if (!own_left && !common_left)
        return false;
    const bool own = own_left && (!common_left || fact_is_later(
        &common->facts[cursor->next_common], &probe->facts[cursor->next]));
    *fact = own ? &probe->facts[cursor->next++] : &common->facts[cursor->next_common++];
    return true;
}

/* Says which line of a log is bad; RESEAT_ERR_DAMAGED, or why the log could not be read. */
static reseat_status bad_line(const replay *read, const replay_bad *bad, reseat_error *error)
{
    const reseat_log_line *line = &bad->line;
    const char *name = read->spindle;
    log_reader *log = NULL;
    uint64_t number = 0;
    if (bad->later_version >= 0)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "record %lld of %s was written by a later version of reseat, which "
                         "alone can decide on it", (long long)bad->later_version, name);
    const replay_request *of = &read->request;
    reseat_status status = log_open(of->calls, of->dir, of->spindle, &log, error);
    if (status == RESEAT_OK)
        status = log_number(log, line->offset, &number, error);
    log_close(log);
    if (status != RESEAT_OK)
        return status;
    if (line->state == RESEAT_LINE_TORN)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "line %llu of the log of %s was cut short; record it again, then check",
                         (unsigned long long)number, name);
    /* an audit does not ask what the fields of a sealed line say */
    return error_set(error, RESEAT_ERR_DAMAGED, 0,
                     "line %llu of the log of %s is damaged: %s; reseat %s %s shows all",
                     (unsigned long long)number, name, line->what,
                     line->state == RESEAT_LINE_SOUND ? "history" : "audit", name);
}

reseat_status replay_check(const replay *read, uint64_t from, bool despite, uint64_t *count,
                           reseat_error *error)
{
    for (size_t i = 0; i < read->bad_count; i++) {
        const replay_bad *bad = &read->bad[i];
        if (bad->line.offset + bad->line.length + 1 < from)
            break;
        if (bad->line.offset < from)
            from = bad->line.offset; /* right above: so are those right above it */
        if (!despite || bad->later_version >= 0)
            return bad_line(read, bad, error);
        ++*count;
    }
    return RESEAT_OK;
}

reseat_status replay_first_written(const replay *read, int64_t since, uint64_t *offset,
                                   reseat_error *error)
{
    log_reader *log = NULL;
    const replay_request *of = &read->request;
    reseat_status status = log_open(of->calls, of->dir, of->spindle, &log, error);
    if (status == RESEAT_OK)
        status = first_written(log, since, offset, error);
    log_close(log);
    return status;
}

/* Whether a run names a probe that is on the list already. */
static bool is_listed(const named_list *list, const walk_step *step)
{
    for (size_t i = 0; step->rest && step->seen.probe && i < list->count; i++)
        if (!glance_is_of_other(&step->seen, list->items[i]))
            return true;
    return false;
}

static reseat_status take_name(const replay_request *request, named_list *list,
                               const walk_step *step, reseat_error *error)
{
    reseat_record *record = NULL;
    if (step->line.state != RESEAT_LINE_SOUND || step->voided_by >= 0 ||
        step->type != RESEAT_RECORD_RUN || is_listed(list, step))
        return RESEAT_OK;
    reseat_status status = record_parse(step->line.text, (size_t)step->line.length,
                                        &record, NULL);
    if (status != RESEAT_OK)
        return status == RESEAT_ERR_MEMORY ? error_plain(error, status) : RESEAT_OK;
    if (fact_of(record).at <= request->horizon &&
        !named_make(list, reseat_record_text(record, RESEAT_FIELD_PROBE),
                    RESEAT_RECORD_NAME_MAX + 1))
        status = error_plain(error, RESEAT_ERR_MEMORY);
    reseat_record_free(record);
    return status;
}

reseat_status replay_names(const replay_request *request, named_list *names, reseat_error *error)
{
    log_reader *log = NULL;
    log_walk walk;
    walk_step step = {.line.state = RESEAT_LINE_SOUND};
    reseat_status status = log_open(request->calls, request->dir, request->spindle, &log, error);
    if (status != RESEAT_OK)
        return status;
    walk_start(&walk, log);
    walk.trusting = true;
    while (status == RESEAT_OK && step.line.state != RESEAT_LINE_NONE) {
        status = walk_previous(&walk, &step, error);
        if (status == RESEAT_OK)
            status = take_name(request, names, &step, error);
    }
    walk_end(&walk);
    log_close(log);
    return status;
}
