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
#include "base/named.h"
#include "history/gauges.h"
#include "history/lost.h"
#include "log/file.h"
#include "log/record.h"

#define THIN_LEAST 256 /* facts of a probe that are kept without a thought */

static void free_probe(replay_probe *probe)
{
    for (size_t i = 0; i < probe->tips.count; i++) {
        replay_tip *tip = probe->tips.items[i];
        reseat_record_free(tip->run);
        reseat_record_free(tip->verify);
        reseat_record_free(tip->voided);
    }
    named_free(&probe->tips);
    reseat_record_free(probe->reseat);
    free(probe->facts);
}

reseat_status replay_open(const replay_request *request, log_reader **log, reseat_error *error)
{
    return log_open(request->calls, request->dir, request->spindle, log, error);
}

void replay_free(replay *read)
{
    if (!read)
        return;
    for (size_t i = 0; i < read->probes.count; i++)
        free_probe(read->probes.items[i]);
    named_free(&read->probes);
    for (size_t i = 0; i < read->policy_count; i++)
        reseat_record_free(read->policies[i].record);
    free(read->policies);
    for (size_t i = 0; i < read->gauge_count; i++)
        reseat_record_free(read->gauges[i]);
    free(read->gauges);
    for (size_t i = 0; i < read->settled.count; i++)
        reseat_record_free(read->settled.pieces[i].repair);
    free(read->settled.pieces);
    free(read->lost.pieces);
    free(read->bad);
    free(read);
}

replay_probe *replay_find(const replay *read, const char *name)
{
    return named_find(&read->probes, name);
}

bool replay_has_runs(const replay_probe *probe)
{
    for (size_t i = 0; probe && i < probe->tips.count; i++)
        if (((const replay_tip *)probe->tips.items[i])->run)
            return true;
    return false;
}

const reseat_record *replay_policy_at(const replay *read, int64_t time, uint64_t *offset)
{
    if (read->policy_count == 0)
        return NULL;
    size_t i = 0;
    while (i + 1 < read->policy_count && read->policies[i].written > time)
        i++;
    if (offset)
        *offset = read->policies[i].offset;
    return read->policies[i].record;
}

/* Whether such a record says that its probe was in the spindle. */
static bool is_seating(reseat_record_type type)
{
    return type == RESEAT_RECORD_RUN || type == RESEAT_RECORD_RESEAT ||
           type == RESEAT_RECORD_VERIFY;
}

/* Takes a use of another probe, if it is later. */
static void take_other(replay_other *other, const replay_fact *fact, const char *name,
                       size_t length)
{
    const replay_fact had = {.at = other->at, .seq = other->seq};
    if (!is_seating(fact->type) || (other->probe[0] && !fact_is_later(fact, &had)))
        return;
    *other = (replay_other){.type = fact->type, .at = fact->at, .seq = fact->seq};
    memcpy(other->probe, name, length);
}

bool replay_find_other(const replay *read, const char *probe, replay_other *other)
{
    *other = read->other;
    for (size_t i = 1; i < read->probes.count; i++) {
        const replay_probe *own = read->probes.items[i];
        size_t last = own->count;
        while (last > 0 && !is_seating(own->facts[last - 1].type))
            last--;
        if (last > 0 && strcmp(own->name, probe) != 0)
            take_other(other, &own->facts[last - 1], own->name, strlen(own->name));
    }
    return other->probe[0];
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

/* Whether a run is at another seat than the run before it, of whatever tip. */
static bool moves(const replay_probe *probe, size_t run)
{
    size_t before = run;
    while (before > 0 && probe->facts[before - 1].type != RESEAT_RECORD_RUN)
        before--;
    return before == 0 || !seats_alike(&probe->facts[before - 1].run, &probe->facts[run].run);
}

/* The tip that a state is of, once no earlier record can change which: NULL until then. */
static const replay_tip *settled_tip(const replay *read, const replay_probe *probe)
{
    return named_find(&probe->tips, read->request.tip ? read->request.tip : "main");
}

/*
 * Drops what no state rests on: runs before the latest of their tip, but of other tips than the
 * one asked for those that tell of a reseat.
 */
static void thin_out(const replay *read, replay_probe *probe)
{
    const replay_tip *asked = settled_tip(read, probe);
    sort_facts(probe);
    size_t kept = probe->count;
    for (size_t i = 0; i < probe->tips.count; i++)
        ((replay_tip *)probe->tips.items[i])->runs = 0;
    for (size_t i = probe->count; i > 0; i--) {
        const replay_fact fact = probe->facts[i - 1];
        replay_tip *tip = fact.type == RESEAT_RECORD_RUN ? named_find(&probe->tips, fact.tip)
                                                         : NULL;
        const bool spare = tip && tip->runs == RESEAT_STATE_RUNS_MAX;
        if (spare && (tip == asked || !moves(probe, i - 1)))
            continue;
        probe->facts[--kept] = fact;
        if (tip && !spare)
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
            thin_out(read, probe);
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

/* Keeps the latest use of another probe. */
static void note_other(replay *read, const replay_fact *fact, const char *name, size_t length)
{
    if (fact->at <= read->request.horizon)
        take_other(&read->other, fact, name, length);
}

/* Takes note of a line of another probe that is passed over, where its first bytes tell. */
static void glance_other(replay *read, const walk_step *step)
{
    const record_glance *seen = &step->seen;
    replay_fact fact = {.seq = step->seq, .type = step->type};
    if (!seen->at || seen->probe_length > RESEAT_RECORD_NAME_MAX ||
        reseat_time_parse(seen->at, GLANCE_TIME, &fact.at, NULL) != RESEAT_OK)
        return;
    note_other(read, &fact, seen->probe, seen->probe_length);
}

/* A fact, if it is of a probe that is asked for; *record is NULL if it was kept. */
static reseat_status take_fact(replay *read, const walk_step *step, reseat_record **record)
{
    replay_fact fact = fact_of(*record);
    const char *owner = owner_of(*record), *asked = read->request.probe;
    const bool tipped = fact.type == RESEAT_RECORD_RUN || fact.type == RESEAT_RECORD_VERIFY;
    if (asked && owner[0] != '\0' && strcmp(owner, asked) != 0) {
        note_other(read, &fact, owner, strlen(owner));
        return RESEAT_OK;
    }
    replay_probe *probe = named_make(&read->probes, owner, sizeof *probe);
    replay_tip *tip = probe && tipped ? named_make(&probe->tips, fact.tip, sizeof *tip) : NULL;
    if (!probe || (tipped && !tip))
        return RESEAT_ERR_MEMORY;
    fact.tip = tip ? tip->name : "";
    fact.offset = step->line.offset;
    if (!add_fact(read, probe, &fact))
        return RESEAT_ERR_MEMORY;
    if (fact.type == RESEAT_RECORD_RUN)
        tip->runs++;
    reseat_record **latest = latest_of(probe, tip, fact.type);
    if (latest)
        keep_latest(latest, record);
    return RESEAT_OK;
}

/* A run that is void counts for nothing, but the control may hold its offset still. */
static reseat_status take_voided(replay *read, const walk_step *step, reseat_record **record)
{
    const replay_fact fact = fact_of(*record);
    const char *owner = owner_of(*record), *asked = read->request.probe;
    if (fact.at > read->request.horizon || (asked && strcmp(owner, asked) != 0))
        return RESEAT_OK;
    replay_probe *probe = named_make(&read->probes, owner, sizeof *probe);
    replay_tip *tip = probe ? named_make(&probe->tips, fact.tip, sizeof *tip) : NULL;
    if (!tip)
        return RESEAT_ERR_MEMORY;
    keep_latest(&tip->voided, record);
    tip->voided_by = *record ? tip->voided_by : step->voided_by;
    return RESEAT_OK;
}

static reseat_status take_policy(replay *read, const walk_step *step, reseat_record **record)
{
    replay_policy *policies =
        grow(read->policies, read->policy_count, &read->policy_room, sizeof *policies);
    if (!policies)
        return RESEAT_ERR_MEMORY;
    read->policies = policies;
    policies[read->policy_count++] =
        (replay_policy){*record, fact_of(*record).written, step->line.offset};
    *record = NULL;
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
    case RESEAT_RECORD_VERDICT:
    case RESEAT_RECORD_OTHER: return take_fact(read, step, record);
    case RESEAT_RECORD_POLICY: return take_policy(read, step, record);
    case RESEAT_RECORD_GAUGE: return gauges_take(read, record);
    case RESEAT_RECORD_REPAIR: return lost_take_repair(read, step, record);
    default: return RESEAT_OK;
    }
}

/* Whether the policy of the horizon is known, so that no earlier one counts. */
static bool has_policy(const replay *read)
{
    return read->policy_count > 0 &&
           read->policies[read->policy_count - 1].written <= read->request.horizon;
}

/* Whether a record matters, by the first bytes of its line; what is not known so does. */
static bool can_matter(const replay *read, const walk_step *step)
{
    const replay_depth depth = read->request.depth;
    switch (step->type) {
    case RESEAT_RECORD_LOG:
    case RESEAT_RECORD_VOID: return false; /* the walk has taken note of it */
    case RESEAT_RECORD_VERDICT: return depth != REPLAY_STATE; /* it tells where a probe was */
    case RESEAT_RECORD_POLICY:
        return depth == REPLAY_WHOLE || (depth == REPLAY_STATE && !has_policy(read));
    default: return true;
    }
}

static bool is_of_other(const replay *read, const walk_step *step)
{
    const char *probe = read->request.probe;
    /* of one that was in the spindle it must be known when */
    return probe && glance_is_of_other(&step->seen, probe) &&
           (step->seen.at || !is_seating(step->type));
}

/* Whether it was written after the time whose knowledge is asked for; repairs always count. */
static bool is_unknown_yet(const replay *read, const walk_step *step)
{
    return read->request.known && step->type != RESEAT_RECORD_REPAIR &&
           !walk_was_known(step, read->request.known);
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
    lost_date(read, step);
    if (step->v > RESEAT_RECORD_VERSION)
        return note_bad(read, &step->line, step->seq);
    const bool voided = step->voided_by >= 0;
    if ((voided && step->type != RESEAT_RECORD_RUN) || !can_matter(read, step) ||
        is_unknown_yet(read, step))
        return RESEAT_OK;
    if (is_of_other(read, step)) {
        if (!voided)
            glance_other(read, step);
        return RESEAT_OK;
    }
    if (!step->invalid)
        status = record_parse(step->line.text, (size_t)step->line.length, &record, NULL);
    if (status == RESEAT_ERR_MEMORY)
        return status;
    if (!record && voided)
        return RESEAT_OK;
    if (!record && lost_repair_of(read, &step->line))
        return lost_note(read, &step->line);
    if (!record) {
        step->line.what = "its seal holds, but it is no record";
        return note_bad(read, &step->line, -1);
    }
    status = (voided ? take_voided : take_record)(read, step, &record);
    reseat_record_free(record);
    return status;
}

static int64_t earliest_kept(const replay_probe *probe, const replay_tip *tip)
{
    size_t left = RESEAT_STATE_RUNS_MAX, i = probe->count;
    while (i > 0 && left > 0)
        left -= probe->facts[--i].tip == tip->name && probe->facts[i].type == RESEAT_RECORD_RUN;
    return probe->facts[i].at;
}

/* How far back the state needs the log, as soon as that can be told. */
static reseat_status find_end(replay *read, log_reader *log, bool *found, uint64_t *end,
                              reseat_error *error)
{
    replay_probe *probe = read->request.probe ? replay_find(read, read->request.probe) : NULL;
    const replay_tip *tip = probe ? settled_tip(read, probe) : NULL;
    if (!has_policy(read) || read->request.known || !tip || tip->runs < RESEAT_STATE_RUNS_MAX)
        return RESEAT_OK;
    sort_facts(probe);
    *found = true;
    return log_first_written(log, earliest_kept(probe, tip) - SECONDS_AHEAD, end, error);
}

static reseat_status take_step(replay *read, walk_step *step, reseat_error *error)
{
    reseat_status status = RESEAT_OK;
    read->begun = read->begun || step->line.state == RESEAT_LINE_SOUND;
    if (step->line.state == RESEAT_LINE_SOUND)
        status = take_sound(read, step);
    else if (step->line.state == RESEAT_LINE_SEALED_OFF)
        status = lost_note(read, &step->line);
    else
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
    bool found = request->depth == REPLAY_SINCE && !request->known;
    log_walk walk;
    walk_step step;
    uint64_t end = 0;
    reseat_status status = RESEAT_OK;
    if (found)
        status = log_first_written(log, request->since - SECONDS_AHEAD, &end, error);
    read->log = log;
    walk_start(&walk, log);
    walk.until = request->known ? request->known : INT64_MAX;
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
    read->log = NULL;
    return status;
}

/* Whether the log begins as it should, or a person has sealed off what it begins with. */
static reseat_status judge_head(replay *read, log_reader *log, reseat_error *error)
{
    const reseat_log_line first = {.length = 0};
    read->has_head = log->has_head || log->lines.end == 0;
    return read->has_head ? RESEAT_OK : log_is_looked_at(log, &first, &read->has_head, error);
}

/* A copy of a name in `room`; NULL for one that no record has, as it is too long. */
static const char *keep_name(char *room, const char *name)
{
    return name && strlen(name) <= RESEAT_RECORD_NAME_MAX ? memcpy(room, name, strlen(name) + 1)
                                                          : NULL;
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
    read->request.probe = keep_name(read->probe, request->probe);
    read->request.tip = keep_name(read->tip, request->tip);
    if (!named_make(&read->probes, "", sizeof(replay_probe))) {
        replay_free(read);
        return NULL;
    }
    return read;
}

reseat_status replay_read(const replay_request *request, replay **out, reseat_error *error)
{
    log_reader *log = NULL;
    reseat_status status = replay_open(request, &log, error);
    if (status != RESEAT_OK)
        return status;
    replay *read = start(request);
    status = read ? read_back(read, log, error) : error_plain(error, RESEAT_ERR_MEMORY);
    if (status == RESEAT_OK)
        status = judge_head(read, log, error);
    if (status == RESEAT_OK) {
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

reseat_status replay_number(const replay *read, uint64_t offset, uint64_t *number,
                            reseat_error *error)
{
    log_reader *log = NULL;
    reseat_status status = replay_open(&read->request, &log, error);
    if (status == RESEAT_OK)
        status = log_number(log, offset, number, error);
    log_close(log);
    return status;
}

/* Says which line of a log is bad; RESEAT_ERR_DAMAGED, or why the log could not be read. */
static reseat_status bad_line(const replay *read, const replay_bad *bad, reseat_error *error)
{
    const reseat_log_line *line = &bad->line;
    const char *name = read->spindle;
    uint64_t number = 0;
    if (bad->later_version >= 0)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "record %lld of %s was written by a later version of reseat, which "
                         "alone can decide on it", (long long)bad->later_version, name);
    const reseat_status status = replay_number(read, line->offset, &number, error);
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

reseat_status replay_record(const replay *read, uint64_t offset, reseat_record **record,
                            reseat_error *error)
{
    log_reader *log = NULL;
    reseat_status status = replay_open(&read->request, &log, error);
    if (status == RESEAT_OK)
        status = log_read_record(log, offset, record, error);
    log_close(log);
    return status == RESEAT_OK && !*record ? error_plain(error, RESEAT_ERR_DAMAGED) : status;
}

reseat_status replay_first_written(const replay *read, int64_t since, uint64_t *offset,
                                   reseat_error *error)
{
    log_reader *log = NULL;
    reseat_status status = replay_open(&read->request, &log, error);
    if (status == RESEAT_OK)
        status = log_first_written(log, since - SECONDS_AHEAD, offset, error);
    log_close(log);
    return status;
}
