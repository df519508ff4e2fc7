/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/grow.h"
#include "history/state.h"
#include "log/file.h"
#include "reseat/history.h"
#include "reseat/values.h"

/* Reads a log from its end back, no farther than is needed. */

static reseat_status later_version(const char *name, int64_t seq, reseat_error *error)
{
    return error_set(error, RESEAT_ERR_DAMAGED, 0,
                     "record %lld of %s was written by a later version of reseat, which "
                     "alone can decide on it", (long long)seq, name);
}

reseat_status standing_bad_line(reseat_log *log, const char *name, const reseat_log_line *line,
                                reseat_error *error)
{
    uint64_t number = 0;
    const reseat_status status = log_number(log, line->offset, &number, error);
    if (status != RESEAT_OK)
        return status;
    if (line->state == RESEAT_LINE_TORN)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "line %llu of the log of %s was cut short; record it again, then "
                         "check", (unsigned long long)number, name);
    /* an audit does not ask what the fields of a sealed line say */
    return error_set(error, RESEAT_ERR_DAMAGED, 0,
                     "line %llu of the log of %s is damaged: %s; reseat %s %s shows all",
                     (unsigned long long)number, name, line->what,
                     line->state == RESEAT_LINE_SOUND ? "history" : "audit", name);
}

reseat_status standing_parse(const reseat_state_request *query, reseat_log *log,
                             const reseat_log_line *line, uint64_t *bad_lines,
                             reseat_record **record, reseat_error *error)
{
    reseat_record *read = NULL;
    const reseat_status status = reseat_record_parse(line->text, (size_t)line->length, &read, NULL);
    if (status == RESEAT_ERR_MEMORY)
        return error_plain(error, status);
    if (status == RESEAT_OK && reseat_record_integer(read, RESEAT_FIELD_V, 0) >
                                   RESEAT_RECORD_VERSION) {
        const int64_t seq = fact_of(read).seq;
        reseat_record_free(read);
        return later_version(log->name, seq, error);
    }
    if (status != RESEAT_OK && !query->despite_damage) {
        reseat_log_line bad = *line;
        bad.what = "its seal holds, but it is no record";
        return standing_bad_line(log, log->name, &bad, error);
    }
    *bad_lines += status != RESEAT_OK;
    *record = read;
    return RESEAT_OK;
}

/*
 * How far reading back has come. A time is a text in which earlier is smaller, and "" where nothing
 * is known to be early enough. No fact lies further ahead of its writing than the log allows.
 */
typedef struct progress {
    bool settled; /* whose tip is meant, unless runs of another probe stand above */
    bool several; /* probes have runs and none is asked for: only their names are wanted */
    bool past;    /* no run, event or policy above counts: at most names are wanted */
    char before_run[RESEAT_TIME_SIZE];  /* what was written before is earlier than the latest run */
    char before_kept[RESEAT_TIME_SIZE]; /* ... than all runs that are kept, if none more are */
    const char *probe; /* the one asked for, or whose tip is settled; else NULL */
} progress;

static void write_before(int64_t at, char *text)
{
    if (reseat_time_format(at - RESEAT_LOG_AHEAD_SECONDS, text) != RESEAT_OK)
        text[0] = '\0';
}

static void look_at_progress(const gathering *g, progress *p)
{
    reseat_status ignored;
    const track *t = gathering_choose(g, &ignored, NULL);
    *p = (progress){.past = p->past, .probe = g->query->probe};
    p->several = !g->query->probe && gathering_has_several(g);
    if (!t || !(g->query->tip || strcmp(t->tip, "main") == 0))
        return;
    p->settled = true;
    p->probe = t->probe;
    write_before(t->runs[t->run_count - 1].at, p->before_run);
    if (t->run_count == RESEAT_STATE_RUNS_MAX)
        write_before(t->runs[0].at, p->before_kept);
}

static bool is_before(const record_glance *seen, const char *time)
{
    return time[0] != '\0' && memcmp(seen->recorded_at, time, GLANCE_TIME) < 0;
}

/* Whether a record can still matter, by the first bytes of its line. */
static bool can_matter(const gathering *g, const progress *p, const record_glance *seen)
{
    if (p->several)
        return seen->type == RESEAT_RECORD_VOID || seen->type == RESEAT_RECORD_RUN;
    const bool other = glance_is_of_other(seen, p->probe);
    switch (seen->type) {
    case RESEAT_RECORD_VOID: return true;
    case RESEAT_RECORD_POLICY: return !g->policy;
    case RESEAT_RECORD_RESEAT:
    case RESEAT_RECORD_VERIFY: return !other && !is_before(seen, p->before_run);
    case RESEAT_RECORD_EVENT: return !other && !is_before(seen, p->before_kept);
    case RESEAT_RECORD_RUN:
        if (!other && !is_before(seen, p->before_kept))
            return true;
        /* one of another probe leaves open which is meant, or is a name to tell */
        return g->query->probe ? !p->settled : other || seen->probe == NULL;
    default: return false;
    }
}

/* A sound line; *done when no line above it can matter. */
static reseat_status take_line(gathering *g, progress *p, reseat_log *log,
                               const reseat_log_line *line, bool *done, reseat_error *error)
{
    record_glance seen;
    if ((p->probe || p->several) && log_glance(line->text, (size_t)line->length, &seen)) {
        p->past = p->past || (p->settled && g->policy && is_before(&seen, p->before_kept));
        log->backward->trusting = p->past; /* nothing is decided on what names alone come from */
        *done = p->past && g->query->probe;
        if (*done || !can_matter(g, p, &seen))
            return RESEAT_OK;
    }
    reseat_record *record = NULL;
    uint64_t ignored = 0;
    const reseat_status status = standing_parse(g->query, log, line,
                                                p->past ? &ignored : &g->bad_lines, &record, error);
    if (status != RESEAT_OK || !record)
        return p->past && status == RESEAT_ERR_DAMAGED ? RESEAT_OK : status;
    const bool is_run = reseat_record_type_of(record) == RESEAT_RECORD_RUN;
    if (!gathering_take(g, record))
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (is_run && !p->several)
        look_at_progress(g, p);
    return RESEAT_OK;
}

static reseat_status take_bad_line(gathering *g, const progress *p, reseat_log *log,
                                   const reseat_log_line *line, reseat_error *error)
{
    if (p->past || line->state == RESEAT_LINE_SEALED_OFF)
        return RESEAT_OK;
    if (!g->query->despite_damage)
        return standing_bad_line(log, g->query->spindle, line, error);
    g->bad_lines++;
    return RESEAT_OK;
}

static reseat_status read_back(gathering *g, reseat_log *log, reseat_error *error)
{
    progress p = {.probe = g->query->probe};
    reseat_log_line line;
    bool done = false;
    reseat_status status = RESEAT_OK;
    while (status == RESEAT_OK && !done) {
        status = reseat_log_previous(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        status = line.state == RESEAT_LINE_SOUND ? take_line(g, &p, log, &line, &done, error)
                                                 : take_bad_line(g, &p, log, &line, error);
    }
    return status;
}

/* The line that begins the log must be sound too, also where reading stopped before it. */
static reseat_status check_head(gathering *g, const reseat_log *log, reseat_error *error)
{
    if (log->has_head || log->end == 0)
        return RESEAT_OK;
    if (!g->query->despite_damage)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "the log of %s does not begin with a sound `log` record; reseat "
                         "audit %s shows all", g->query->spindle, g->query->spindle);
    if (g->bad_lines == 0)
        g->bad_lines = 1;
    return RESEAT_OK;
}

reseat_status gathering_read(gathering *g, reseat_error *error)
{
    reseat_log *log;
    reseat_status status = reseat_log_open(g->query->dir, g->query->spindle, &log, error);
    if (status != RESEAT_OK)
        return status;
    status = read_back(g, log, error);
    if (status == RESEAT_OK)
        status = check_head(g, log, error);
    reseat_log_close(log);
    return status;
}

/*
 * What a standing can rest on, kept while a log is read from its end back. Voids are met before
 * what they void; the newest policy is met first; which run is the latest shows only in the end, as
 * entries may be late.
 */

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

reseat_xy pair_of(const reseat_record *record, reseat_field x, reseat_field y,
                  reseat_xy otherwise)
{
    return (reseat_xy){reseat_record_number(record, x, otherwise.x),
                       reseat_record_number(record, y, otherwise.y)};
}

int64_t standing_horizon(const reseat_state_request *query)
{
    const int64_t room = INT64_MAX - (query->as_of > 0 ? query->as_of : 0);
    return query->as_of + (query->ahead < room ? query->ahead : room);
}

static void free_records(record_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        reseat_record_free(list->records[i]);
    free(list->records);
}

void gathering_free(gathering *g)
{
    for (size_t i = 0; i < g->track_count; i++) {
        reseat_record_free(g->tracks[i]->run);
        free(g->tracks[i]);
    }
    free(g->tracks);
    free_records(&g->latest);
    free_records(&g->events);
    reseat_record_free(g->policy);
    free(g->voided.seqs);
    free(g->unknown.seqs);
}

bool seq_list_add(seq_list *list, int64_t seq)
{
    int64_t *seqs = grow(list->seqs, list->count, &list->room, sizeof *seqs);
    if (!seqs)
        return false;
    list->seqs = seqs;
    seqs[list->count++] = seq;
    return true;
}

bool seq_list_has(const seq_list *list, int64_t seq)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->seqs[i] == seq)
            return true;
    return false;
}

/* The list owns the record from here on. */
static bool add_record(record_list *list, reseat_record *record)
{
    reseat_record **records = grow(list->records, list->count, &list->room, sizeof *records);
    if (!records) {
        reseat_record_free(record);
        return false;
    }
    list->records = records;
    records[list->count++] = record;
    return true;
}

bool standing_says(const reseat_record *record, reseat_field field, const char *text)
{
    const char *value = reseat_record_text(record, field);
    return value && strcmp(value, text) == 0;
}

const char *standing_tip(const reseat_record *record)
{
    const char *tip = reseat_record_text(record, RESEAT_FIELD_TIP);
    return tip ? tip : "main";
}

static int compare_track(const track *t, const char *probe, const char *tip)
{
    const int probes = strcmp(t->probe, probe);
    return probes != 0 ? probes : strcmp(t->tip, tip);
}

/* The track that a run belongs to, begun if there is none; NULL where there is no memory. */
static track *track_for(gathering *g, const reseat_record *run)
{
    const char *probe = reseat_record_text(run, RESEAT_FIELD_PROBE);
    const char *tip = standing_tip(run);
    size_t place = 0;
    for (size_t end = g->track_count; place < end;) {
        const size_t middle = place + (end - place) / 2;
        if (compare_track(g->tracks[middle], probe, tip) < 0)
            place = middle + 1;
        else
            end = middle;
    }
    if (place < g->track_count && compare_track(g->tracks[place], probe, tip) == 0)
        return g->tracks[place];

    track **more = grow(g->tracks, g->track_count, &g->track_room, sizeof *more);
    if (!more)
        return NULL;
    g->tracks = more;
    track *made = calloc(1, sizeof *made);
    if (!made)
        return NULL;
    assert(strlen(probe) < sizeof made->probe && strlen(tip) < sizeof made->tip);
    strcpy(made->probe, probe);
    strcpy(made->tip, tip);
    memmove(more + place + 1, more + place, (g->track_count++ - place) * sizeof *more);
    more[place] = made;
    return made;
}

static fact fact_of_run(const reseat_drift_run *run)
{
    return (fact){run->at, (int64_t)run->seq};
}

/* Puts a run among the latest ones, which stay in order. */
static void keep_drift_run(track *t, const reseat_record *record)
{
    const reseat_drift_run run = reseat_gather_run(record);
    size_t place = t->run_count;
    while (place > 0 && fact_is_later(fact_of_run(&t->runs[place - 1]), fact_of_run(&run)))
        place--;
    if (t->run_count < RESEAT_STATE_RUNS_MAX) {
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

/* Reseats and verifies have a probe; reseats have no tip, so that theirs are all alike. */
static bool is_of_same(const reseat_record *a, const reseat_record *b)
{
    return reseat_record_type_of(a) == reseat_record_type_of(b) &&
           standing_says(a, RESEAT_FIELD_PROBE, reseat_record_text(b, RESEAT_FIELD_PROBE)) &&
           strcmp(standing_tip(a), standing_tip(b)) == 0;
}

static bool take_latest(gathering *g, reseat_record *record)
{
    for (size_t i = 0; i < g->latest.count; i++) {
        reseat_record **kept = &g->latest.records[i];
        if (!is_of_same(*kept, record))
            continue;
        const bool later = fact_is_later(fact_of(record), fact_of(*kept));
        reseat_record_free(later ? *kept : record);
        if (later)
            *kept = record;
        return true;
    }
    return add_record(&g->latest, record);
}

static bool take_void(gathering *g, reseat_record *record)
{
    const int64_t seq = reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1);
    reseat_record_free(record);
    return seq_list_add(&g->voided, seq);
}

static bool take_unknown(gathering *g, reseat_record *record)
{
    const int64_t seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1);
    reseat_record_free(record);
    return seq_list_add(&g->unknown, seq);
}

/* The newest comes first; those above it were replaced by it. */
static bool take_policy(gathering *g, reseat_record *record)
{
    if (g->policy)
        reseat_record_free(record);
    else
        g->policy = record;
    return true;
}

bool gathering_take(gathering *g, reseat_record *record)
{
    const reseat_record_type type = reseat_record_type_of(record);
    const bool timed = reseat_record_has(record, RESEAT_FIELD_AT); /* a policy is of no time */
    if (type == RESEAT_RECORD_VOID)
        return take_void(g, record);
    if ((timed && fact_of(record).at > standing_horizon(g->query)) ||
        seq_list_has(&g->voided, fact_of(record).seq)) {
        reseat_record_free(record);
        return true;
    }
    switch (type) {
    case RESEAT_RECORD_RUN: return take_run(g, record);
    case RESEAT_RECORD_RESEAT:
    case RESEAT_RECORD_VERIFY: return take_latest(g, record);
    case RESEAT_RECORD_EVENT: return add_record(&g->events, record);
    case RESEAT_RECORD_POLICY: return take_policy(g, record);
    case RESEAT_RECORD_OTHER: return take_unknown(g, record);
    default: reseat_record_free(record); return true;
    }
}

/* Which probe and tip are meant (handbook section 12). */

typedef const char *(*name_of)(const track *t);

static const char *probe_name(const track *t)
{
    return t->probe;
}

static const char *tip_name(const track *t)
{
    return t->tip;
}

/* Whether a track is of the probe; NULL: of any. */
static bool is_of(const track *t, const char *probe)
{
    return !probe || strcmp(t->probe, probe) == 0;
}

/* Whether the name of track i is also that of the one before it: tracks stand by their names. */
static bool is_met(const gathering *g, name_of name, size_t i)
{
    return name == probe_name && i > 0 &&
           strcmp(name(g->tracks[i - 1]), name(g->tracks[i])) == 0;
}

/* Writes the names of the tracks of a probe, separated by commas, as many as there is room for. */
static void list_names(const gathering *g, const char *probe, name_of name, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < g->track_count; i++) {
        char shown[2 * RESEAT_RECORD_NAME_MAX];
        if (!is_of(g->tracks[i], probe) || is_met(g, name, i))
            continue;
        reseat_text_terminal(name(g->tracks[i]), strlen(name(g->tracks[i])), shown, sizeof shown);
        if (used + strlen(shown) + sizeof ", , ..." > size) {
            snprintf(out + used, size - used, ", ...");
            return;
        }
        used += (size_t)snprintf(out + used, size - used, "%s%s", used > 0 ? ", " : "", shown);
    }
}

/* Says why there is no choice; the names that there are follow the text. */
static track *refuse(const gathering *g, const char *probe, name_of name, reseat_status status,
                     const char *text, reseat_status *out, reseat_error *error)
{
    char names[200];
    *out = status;
    if (error) {
        list_names(g, probe, name, names, sizeof names);
        (void)error_set(error, status, 0, "%s: %s", text, names);
    }
    return NULL;
}

static track *choose_tip(const gathering *g, const char *probe, reseat_status *status,
                         reseat_error *error)
{
    const char *tip = g->query->tip;
    track *only = NULL;
    size_t count = 0;
    for (size_t i = 0; i < g->track_count; i++) {
        track *t = g->tracks[i];
        if (strcmp(t->probe, probe) != 0)
            continue;
        if (g->query->any_tip || strcmp(t->tip, tip ? tip : "main") == 0)
            return t;
        only = t;
        count++;
    }
    if (!tip && count == 1)
        return only;
    if (tip)
        return refuse(g, probe, tip_name, RESEAT_ERR_NOT_FOUND,
                      "no run of that tip is on record; tips with runs", status, error);
    return refuse(g, probe, tip_name, RESEAT_ERR_REFUSED,
                  "say which tip with --tip, as several have runs", status, error);
}

static bool has_runs(const gathering *g, const char *probe)
{
    for (size_t i = 0; i < g->track_count; i++)
        if (is_of(g->tracks[i], probe))
            return true;
    return false;
}

bool gathering_has_several(const gathering *g)
{
    return g->track_count > 1 &&
           strcmp(g->tracks[0]->probe, g->tracks[g->track_count - 1]->probe) != 0;
}

track *gathering_choose(const gathering *g, reseat_status *status, reseat_error *error)
{
    const char *probe = g->query->probe;
    if (g->track_count == 0) {
        *status = error_set(error, RESEAT_ERR_NOT_FOUND, 0, "no run is on record for %s%s",
                            g->query->spindle, g->query->ahead > 0 ? "" : " by that time");
        return NULL;
    }
    if (!has_runs(g, probe))
        return refuse(g, NULL, probe_name, RESEAT_ERR_NOT_FOUND,
                      "no run of that probe is on record; probes with runs", status, error);
    if (!probe && gathering_has_several(g))
        return refuse(g, NULL, probe_name, RESEAT_ERR_REFUSED,
                      "say which probe with --probe, as several have runs", status, error);
    return choose_tip(g, probe ? probe : g->tracks[0]->probe, status, error);
}

/* What has become of the probe in other spindles: their logs stand in the same folder. */

typedef struct look {
    const reseat_state_request *query;
    const char *probe;
    fact since;
    char before[RESEAT_TIME_SIZE]; /* what was written before then is earlier than `since` */
    const char *name; /* of the log */
    seq_list voided;
    reseat_state_event *event;
    uint64_t *bad_lines;
} look;

/* Whether a record says that the probe was measured, hit or restyled there since. */
static bool tells(const look *l, const reseat_record *record)
{
    const reseat_record_type type = reseat_record_type_of(record);
    const fact f = fact_of(record);
    if (!standing_says(record, RESEAT_FIELD_PROBE, l->probe) || f.at <= l->since.at ||
        f.at > standing_horizon(l->query) || seq_list_has(&l->voided, f.seq))
        return false;
    return type == RESEAT_RECORD_RUN ||
           (type == RESEAT_RECORD_EVENT &&
            (standing_says(record, RESEAT_FIELD_KIND, "collision") ||
             standing_says(record, RESEAT_FIELD_KIND, "stylus-change")));
}

/* Keeps the first that tells something; false where there is no memory. */
static bool take(look *l, const reseat_record *record)
{
    const fact f = fact_of(record);
    if (reseat_record_type_of(record) == RESEAT_RECORD_VOID)
        return seq_list_add(&l->voided, reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1));
    if (tells(l, record) && (l->event->seq < 0 || f.at < l->event->at ||
                             (f.at == l->event->at && strcmp(l->name, l->event->log) == 0))) {
        *l->event = (reseat_state_event){.seq = f.seq, .at = f.at};
        memcpy(l->event->log, l->name, strlen(l->name) + 1);
    }
    return true;
}

/* *done: all that is above was written before the run. */
static reseat_status look_at_line(look *l, reseat_log *log, const reseat_log_line *line, bool *done,
                               reseat_error *error)
{
    record_glance seen;
    if (log_glance(line->text, (size_t)line->length, &seen)) {
        *done = l->before[0] != '\0' && memcmp(seen.recorded_at, l->before, GLANCE_TIME) < 0;
        if (*done || (seen.type != RESEAT_RECORD_RUN && seen.type != RESEAT_RECORD_EVENT &&
                      seen.type != RESEAT_RECORD_VOID))
            return RESEAT_OK;
    }
    reseat_record *record = NULL;
    const reseat_status status = standing_parse(l->query, log, line, l->bad_lines, &record, error);
    if (status != RESEAT_OK || !record)
        return status;
    const bool taken = take(l, record);
    reseat_record_free(record);
    return taken ? RESEAT_OK : error_plain(error, RESEAT_ERR_MEMORY);
}

static reseat_status look_back(look *l, reseat_log *log, reseat_error *error)
{
    reseat_log_line line;
    bool done = false;
    reseat_status status = RESEAT_OK;
    while (status == RESEAT_OK && !done) {
        status = reseat_log_previous(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        if (line.state == RESEAT_LINE_SOUND)
            status = look_at_line(l, log, &line, &done, error);
        else if (line.state != RESEAT_LINE_SEALED_OFF && !l->query->despite_damage)
            status = standing_bad_line(log, log->name, &line, error);
        else
            *l->bad_lines += line.state != RESEAT_LINE_SEALED_OFF;
    }
    return status;
}

static reseat_status look_into(look *l, const char *name, reseat_error *error)
{
    reseat_log *log = NULL;
    reseat_status status = reseat_log_open(l->query->dir, name, &log, error);
    if (status == RESEAT_ERR_DAMAGED && l->query->despite_damage) {
        ++*l->bad_lines; /* a file under another log's name */
        return RESEAT_OK;
    }
    l->voided.count = 0;
    l->name = name;
    if (status == RESEAT_OK)
        status = look_back(l, log, error);
    reseat_log_close(log);
    return status;
}

/* Adds what follows from it to the error about another log than the one asked for. */
static void explain(reseat_error *error, const char *probe)
{
    const size_t length = strlen(error->text);
    char shown[RESEAT_RECORD_NAME_MAX + 1];
    if (length + sizeof shown + 64 > sizeof error->text)
        return;
    reseat_text_terminal(probe, strlen(probe), shown, sizeof shown);
    snprintf(error->text + length, sizeof error->text - length,
             "; so whether %s was used there is not known", shown);
}

reseat_status standing_elsewhere(const reseat_state_request *query, const char *probe, fact since,
                                 reseat_state_event *event, uint64_t *bad_lines,
                                 reseat_error *error)
{
    look l = {.query = query, .probe = probe, .since = since, .event = event,
              .bad_lines = bad_lines};
    reseat_log_names list;
    if (reseat_time_format(since.at - RESEAT_LOG_AHEAD_SECONDS, l.before) != RESEAT_OK)
        l.before[0] = '\0';
    reseat_status status = reseat_log_list(query->dir, &list, error);
    if (status != RESEAT_OK)
        return status;
    for (size_t i = 0; status == RESEAT_OK && i < list.count; i++) {
        if (strcmp(list.names[i], query->spindle) != 0)
            status = look_into(&l, list.names[i], error);
        if (status == RESEAT_ERR_DAMAGED && event->seq >= 0)
            status = RESEAT_OK; /* that the probe was used is known, whatever else was there */
    }
    if (status != RESEAT_OK && status != RESEAT_ERR_MEMORY && error)
        explain(error, probe);
    reseat_log_names_free(&list);
    free(l.voided.seqs);
    return status;
}
