/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Reads a log from its end back, keeping what a standing can rest on. Voids are met before what
 * they void; the newest policy is met first; which run is the latest shows only in the end, as
 * entries may be late.
 */

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "log_file.h"
#include "reseat/gather.h"
#include "reseat/time.h"
#include "standing_parts.h"

bool fact_is_later(fact a, fact b)
{
    return a.at > b.at || (a.at == b.at && a.seq > b.seq);
}

fact fact_of(const reseat_record *record)
{
    const int64_t written = reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0);
    return (fact){reseat_record_integer(record, RESEAT_FIELD_AT, written),
                  reseat_record_integer(record, RESEAT_FIELD_SEQ, -1)};
}

void gathering_free(gathering *g)
{
    for (size_t i = 0; i < g->track_count; i++) {
        reseat_record_free(g->tracks[i]->run);
        free(g->tracks[i]);
    }
    for (size_t i = 0; i < g->other_count; i++)
        reseat_record_free(g->others[i]);
    reseat_record_free(g->policy);
    free(g->tracks);
    free(g->others);
    free(g->voided);
    free(g->unknown);
}

/* Room for one more of `size` bytes in an array of `count`; false when there is none to be had. */
static bool make_room(void **array, size_t count, size_t *space, size_t size)
{
    if (count < *space)
        return true;
    const size_t more = *space ? 2 * *space : 16;
    void *grown = realloc(*array, more * size);
    if (!grown)
        return false;
    *array = grown;
    *space = more;
    return true;
}

static bool add_number(int64_t **array, size_t *count, size_t *space, int64_t number)
{
    void *bytes = *array;
    if (!make_room(&bytes, *count, space, sizeof **array))
        return false;
    *array = bytes;
    (*array)[(*count)++] = number;
    return true;
}

static bool is_voided(const gathering *g, int64_t seq)
{
    for (size_t i = 0; i < g->voided_count; i++)
        if (g->voided[i] == seq)
            return true;
    return false;
}

static const char *tip_of(const reseat_record *record)
{
    const char *tip = reseat_record_text(record, RESEAT_FIELD_TIP);
    return tip ? tip : "main";
}

static bool same_text(const char *a, const char *b)
{
    return a && b ? strcmp(a, b) == 0 : a == b;
}

static track *track_for(gathering *g, const reseat_record *run)
{
    const char *probe = reseat_record_text(run, RESEAT_FIELD_PROBE);
    for (size_t i = 0; i < g->track_count; i++)
        if (same_text(g->tracks[i]->probe, probe) && same_text(g->tracks[i]->tip, tip_of(run)))
            return g->tracks[i];
    track **more = realloc(g->tracks, (g->track_count + 1) * sizeof *more);
    if (!more)
        return NULL;
    g->tracks = more;
    track *made = calloc(1, sizeof *made);
    if (!made)
        return NULL;
    assert(strlen(probe) < sizeof made->probe && strlen(tip_of(run)) < sizeof made->tip);
    strcpy(made->probe, probe);
    strcpy(made->tip, tip_of(run));
    g->tracks[g->track_count++] = made;
    return made;
}

/* Puts a run among the latest ones, which stay in order. */
static void keep_drift_run(track *t, const reseat_record *record)
{
    const reseat_drift_run run = reseat_gather_run(record);
    const fact new = {run.at, (int64_t)run.seq};
    size_t place = t->run_count;
    while (place > 0 &&
           fact_is_later((fact){t->runs[place - 1].at, (int64_t)t->runs[place - 1].seq}, new))
        place--;
    if (t->run_count < RESEAT_STANDING_RUNS_MAX) {
        memmove(t->runs + place + 1, t->runs + place, (t->run_count - place) * sizeof run);
        t->run_count++;
    } else if (place == 0) {
        return; /* earlier than all that are kept */
    } else {
        memmove(t->runs, t->runs + 1, --place * sizeof run);
    }
    t->runs[place] = run;
}

/* Each taker owns the record from here on. */
static bool take_run(gathering *g, reseat_record *run)
{
    track *t = track_for(g, run);
    if (!t) {
        reseat_record_free(run);
        return false;
    }
    keep_drift_run(t, run);
    if (!t->run || fact_is_later(fact_of(run), fact_of(t->run))) {
        reseat_record_free(t->run);
        t->run = run;
    } else {
        reseat_record_free(run);
    }
    return true;
}

/* Of reseats and verifies only the latest of a probe, and tip, can count; events all part runs. */
static bool take_other(gathering *g, reseat_record *record)
{
    const reseat_record_type type = reseat_record_type_of(record);
    for (size_t i = 0; type != RESEAT_RECORD_EVENT && i < g->other_count; i++) {
        reseat_record *kept = g->others[i];
        if (reseat_record_type_of(kept) != type ||
            !same_text(reseat_record_text(kept, RESEAT_FIELD_PROBE),
                       reseat_record_text(record, RESEAT_FIELD_PROBE)) ||
            !same_text(tip_of(kept), tip_of(record)))
            continue;
        const bool later = fact_is_later(fact_of(record), fact_of(kept));
        reseat_record_free(later ? kept : record);
        if (later)
            g->others[i] = record;
        return true;
    }
    void *bytes = g->others;
    if (!make_room(&bytes, g->other_count, &g->other_space, sizeof *g->others)) {
        reseat_record_free(record);
        return false;
    }
    g->others = bytes;
    g->others[g->other_count++] = record;
    return true;
}

static bool take_policy(gathering *g, reseat_record *record)
{
    if (g->policy) {
        reseat_record_free(record);
        return true;
    }
    g->policy = record;
    return true;
}

static reseat_status later_version(const gathering *g, int64_t seq, reseat_error *error)
{
    return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                            "record %lld of %s was written by a later version of reseat, which "
                            "alone can decide on it",
                            (long long)seq, g->query->spindle);
}

/* Takes a sound record, or lets it go. */
static reseat_status take(gathering *g, reseat_record *record, reseat_error *error)
{
    const fact f = fact_of(record);
    const reseat_record_type type = reseat_record_type_of(record);
    bool taken = true;
    if (reseat_record_integer(record, RESEAT_FIELD_V, 0) > RESEAT_RECORD_VERSION) {
        reseat_record_free(record);
        return later_version(g, f.seq, error);
    }
    const bool timed = reseat_record_has(record, RESEAT_FIELD_AT); /* a policy is of no time */
    const bool counts = !is_voided(g, f.seq) &&
                        !(timed && f.at > g->query->as_of + g->query->ahead);
    if (type == RESEAT_RECORD_VOID)
        taken = add_number(&g->voided, &g->voided_count, &g->voided_space,
                           reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1));
    else if (type == RESEAT_RECORD_OTHER && counts)
        taken = add_number(&g->unknown, &g->unknown_count, &g->unknown_space, f.seq);

    if (counts && type == RESEAT_RECORD_RUN)
        taken = take_run(g, record);
    else if (counts && type == RESEAT_RECORD_POLICY)
        taken = take_policy(g, record);
    else if (counts && (type == RESEAT_RECORD_RESEAT || type == RESEAT_RECORD_EVENT ||
                        type == RESEAT_RECORD_VERIFY))
        taken = take_other(g, record);
    else
        reseat_record_free(record);
    return taken ? RESEAT_OK : reseat_error_plain(error, RESEAT_ERR_MEMORY);
}

reseat_status standing_bad_line(reseat_log *log, const char *name, const reseat_log_line *line,
                                reseat_error *error)
{
    uint64_t number = 0;
    const reseat_status status = reseat_log_number(log, line->offset, &number, error);
    if (status != RESEAT_OK)
        return status;
    if (line->state == RESEAT_LINE_TORN)
        return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                                "line %llu of the log of %s was cut short; record it again, then "
                                "check",
                                (unsigned long long)number, name);
    return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                            "line %llu of the log of %s is damaged: %s; reseat audit %s shows all",
                            (unsigned long long)number, name, line->what, name);
}

/* How far reading back has come with the probe and tip that are asked for. */
typedef struct progress {
    bool settled;                  /* an earlier run cannot make another tip the one meant */
    bool enough_runs;              /* nor can it count in any way */
    char before[RESEAT_TIME_SIZE]; /* settled: what was written before then is earlier than the run
                                      in force, as no fact lies further ahead of its writing */
} progress;

static void look_at_progress(const gathering *g, progress *p)
{
    reseat_status ignored;
    const track *chosen = gathering_choose(g, &ignored, NULL);
    const bool named = chosen && (g->query->tip || strcmp(chosen->tip, "main") == 0);
    p->settled = named && reseat_time_format(fact_of(chosen->run).at - RESEAT_LOG_AHEAD_SECONDS,
                                             p->before) == RESEAT_OK;
    p->enough_runs = p->settled && chosen->run_count == RESEAT_STANDING_RUNS_MAX;
}

/* Whether a record from before the run in force can still matter, by its type alone. */
static bool can_matter(const gathering *g, const progress *p, reseat_record_type type)
{
    switch (type) {
    case RESEAT_RECORD_VOID: return true;
    case RESEAT_RECORD_POLICY: return !g->policy;
    case RESEAT_RECORD_RUN:
    case RESEAT_RECORD_EVENT: return !p->enough_runs; /* for the drift */
    default: return false;
    }
}

/* A sound line; *done when no line above it can matter. */
static reseat_status take_line(gathering *g, progress *p, reseat_log *log,
                               const reseat_log_line *line, bool *done, reseat_error *error)
{
    record_glance seen;
    const bool glanced = log_glance(line->text, (size_t)line->length, &seen);
    const bool before_run = p->settled && glanced &&
                            memcmp(seen.recorded_at, p->before, GLANCE_TIME) < 0;
    if (before_run && p->enough_runs && g->policy) {
        *done = true;
        return RESEAT_OK;
    }
    if (before_run && !can_matter(g, p, seen.type))
        return RESEAT_OK;

    reseat_record *record = NULL;
    const reseat_status parsed = reseat_record_parse(line->text, (size_t)line->length, &record,
                                                     NULL);
    if (parsed == RESEAT_ERR_MEMORY)
        return reseat_error_plain(error, parsed);
    if (parsed != RESEAT_OK) {
        reseat_log_line bad = *line;
        bad.what = "its seal holds, but it is no record";
        if (!g->query->despite_damage)
            return standing_bad_line(log, g->query->spindle, &bad, error);
        g->bad_lines++;
        return RESEAT_OK;
    }
    const bool run = reseat_record_type_of(record) == RESEAT_RECORD_RUN;
    const reseat_status status = take(g, record, error);
    if (status == RESEAT_OK && run)
        look_at_progress(g, p);
    return status;
}

/* The line that begins the log must be sound too, also where reading stopped before it. */
static reseat_status check_head(gathering *g, const reseat_log *log, bool reached,
                                reseat_error *error)
{
    if (log->has_head || log->end == 0)
        return RESEAT_OK;
    if (!g->query->despite_damage)
        return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                                "the log of %s does not begin with a sound `log` record; reseat "
                                "audit %s shows all", g->query->spindle, g->query->spindle);
    g->bad_lines += reached ? 0 : 1;
    return RESEAT_OK;
}

reseat_status gathering_read(gathering *g, reseat_error *error)
{
    reseat_log *log;
    reseat_log_line line;
    progress p = {.settled = false};
    bool done = false;
    reseat_status status = reseat_log_open(g->query->dir, g->query->spindle, &log, error);
    if (status != RESEAT_OK)
        return status;
    while (status == RESEAT_OK && !done) {
        status = reseat_log_previous(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        if (line.state == RESEAT_LINE_SOUND)
            status = take_line(g, &p, log, &line, &done, error);
        else if (line.state != RESEAT_LINE_SEALED_OFF && !g->query->despite_damage)
            status = standing_bad_line(log, g->query->spindle, &line, error);
        else if (line.state != RESEAT_LINE_SEALED_OFF)
            g->bad_lines++;
    }
    if (status == RESEAT_OK)
        status = check_head(g, log, !done, error);
    reseat_log_close(log);
    return status;
}
