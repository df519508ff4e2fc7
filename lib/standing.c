/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What is in force at a time, out of what reading the log has kept. */

#include "reseat/standing.h"

#include <stdlib.h>
#include <string.h>
#include "calendar.h"
#include "error.h"
#include "standing_parts.h"

static const struct {
    reseat_reason reason;
    const char *kind;
} event_reasons[] = {
    {RESEAT_REASON_COLLISION, "collision"},
    {RESEAT_REASON_STYLUS_CHANGE, "stylus-change"},
    {RESEAT_REASON_SERVICE, "service"},
};
#define EVENT_REASONS (sizeof event_reasons / sizeof event_reasons[0])

const char *reseat_seat_source_name(reseat_seat_source source)
{
    switch (source) {
    case RESEAT_SOURCE_RUN: return "run";
    case RESEAT_SOURCE_RESEAT: return "reseat";
    case RESEAT_SOURCE_VERIFY: return "verify";
    case RESEAT_SOURCE_POLICY: return "policy";
    case RESEAT_SOURCE_DEFAULT: return "default";
    case RESEAT_SOURCE_TYPED: return "typed";
    }
    return "";
}

void reseat_standing_free(reseat_standing *standing)
{
    if (!standing)
        return;
    reseat_record_free(standing->run);
    reseat_record_free(standing->outing);
    reseat_record_free(standing->check);
    reseat_record_free(standing->policy);
    free(standing->runs);
    free(standing->baselines);
    memset(standing, 0, sizeof *standing);
}

/* Takes a record out of where it was kept. */
static reseat_record *steal(reseat_record **place)
{
    reseat_record *record = *place;
    *place = NULL;
    return record;
}

/* Where the latest reseat of this probe stands, or verify of this tip; NULL if there is none. */
static reseat_record **find_latest(const gathering *g, const track *t, reseat_record_type type)
{
    for (size_t i = 0; i < g->latest.count; i++) {
        const reseat_record *record = g->latest.records[i];
        if (reseat_record_type_of(record) == type &&
            strcmp(reseat_record_text(record, RESEAT_FIELD_PROBE), t->probe) == 0 &&
            (type == RESEAT_RECORD_RESEAT || strcmp(standing_tip(record), t->tip) == 0))
            return &g->latest.records[i];
    }
    return NULL;
}

/* Which of the event reasons a record is for this probe; EVENT_REASONS for none. */
static size_t event_reason(const reseat_record *record, const track *t)
{
    size_t i = 0;
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    const char *kind = reseat_record_text(record, RESEAT_FIELD_KIND);
    if (probe && strcmp(probe, t->probe) != 0)
        return EVENT_REASONS;
    while (i < EVENT_REASONS && strcmp(kind, event_reasons[i].kind) != 0)
        i++;
    return i;
}

/* Events: those since the run are reasons, and all part the runs into baselines. */
static reseat_status take_events(const gathering *g, const track *t, reseat_standing *s)
{
    const fact run = fact_of(s->run);
    s->baselines = calloc(g->events.count + 1, sizeof *s->baselines);
    if (!s->baselines)
        return RESEAT_ERR_MEMORY;
    for (size_t i = 0; i < g->events.count; i++) {
        const size_t which = event_reason(g->events.records[i], t);
        if (which == EVENT_REASONS)
            continue;
        const fact f = fact_of(g->events.records[i]);
        reseat_standing_event *event = &s->events[event_reasons[which].reason];
        s->baselines[s->baseline_count++] =
            (reseat_drift_event){.seq = (uint64_t)f.seq, .at = f.at};
        if (!fact_is_later(f, run))
            continue;
        s->reasons |= 1u << event_reasons[which].reason;
        if (event->seq < 0 || fact_is_later((fact){event->at, event->seq}, f))
            *event = (reseat_standing_event){.seq = f.seq, .at = f.at};
    }
    return reseat_drift_sort_events(s->baselines, s->baseline_count);
}

/* The last reseat since the run, and a gauge check since both. */
static void take_seat(const gathering *g, const track *t, reseat_standing *s)
{
    reseat_record **outing = find_latest(g, t, RESEAT_RECORD_RESEAT);
    reseat_record **check = find_latest(g, t, RESEAT_RECORD_VERIFY);
    if (outing && fact_is_later(fact_of(*outing), fact_of(s->run)))
        s->outing = steal(outing);
    const fact since = fact_of(s->outing ? s->outing : s->run);
    if (check && fact_is_later(fact_of(*check), since))
        s->check = steal(check);
}

static reseat_status take_runs(const track *t, reseat_standing *s)
{
    s->runs = calloc(t->run_count, sizeof *s->runs);
    if (!s->runs)
        return RESEAT_ERR_MEMORY;
    memcpy(s->runs, t->runs, t->run_count * sizeof *s->runs);
    s->run_count = t->run_count;
    return RESEAT_OK;
}

double standing_max_age_days(const reseat_standing *s)
{
    return reseat_record_number(s->policy, RESEAT_FIELD_MAX_AGE_DAYS, RESEAT_MAX_AGE_DAYS);
}

static void take_age(const gathering *g, reseat_standing *s)
{
    const fact run = fact_of(s->run);
    const double seconds = (double)s->as_of - (double)run.at;
    s->age_days = seconds > 0 ? seconds / SECONDS_A_DAY : 0; /* the clocks may differ a little */
    if (s->age_days > standing_max_age_days(s))
        s->reasons |= 1u << RESEAT_REASON_TOO_OLD;
    for (size_t i = 0; i < g->unknown.count; i++)
        s->unknown_types += g->unknown.seqs[i] > run.seq;
}

static reseat_status take_elsewhere(const reseat_standing_query *query, reseat_standing *s,
                                    reseat_error *error)
{
    reseat_standing_event *event = &s->events[RESEAT_REASON_ELSEWHERE];
    if (query->alone)
        return RESEAT_OK;
    const reseat_status status =
        standing_elsewhere(query, s->probe, fact_of(s->run), event, &s->bad_lines, error);
    if (status == RESEAT_OK && event->seq >= 0)
        s->reasons |= 1u << RESEAT_REASON_ELSEWHERE;
    return status;
}

static reseat_status assemble(gathering *g, track *t, reseat_standing *s, reseat_error *error)
{
    memcpy(s->probe, t->probe, sizeof s->probe);
    memcpy(s->tip, t->tip, sizeof s->tip);
    memcpy(s->spindle, g->query->spindle, strlen(g->query->spindle) + 1);
    s->as_of = g->query->as_of;
    s->bad_lines = g->bad_lines;
    s->run = steal(&t->run);
    s->policy = steal(&g->policy);
    for (size_t i = 0; i < RESEAT_REASON_COUNT; i++)
        s->events[i].seq = -1;
    take_seat(g, t, s);
    take_age(g, s);
    reseat_status status = take_events(g, t, s);
    if (status == RESEAT_OK)
        status = take_runs(t, s);
    if (status != RESEAT_OK)
        return reseat_error_plain(error, status);
    status = take_elsewhere(g->query, s, error);
    if (s->bad_lines > 0)
        s->reasons |= 1u << RESEAT_REASON_DAMAGE_IGNORED;
    return status;
}

reseat_status reseat_standing_read(const reseat_standing_query *query, reseat_standing *standing,
                                   reseat_error *error)
{
    if (!query || !query->dir || !query->spindle || !standing)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    gathering g = {.query = query};
    reseat_standing result;
    memset(&result, 0, sizeof result);
    reseat_status status = gathering_read(&g, error);
    track *chosen = status == RESEAT_OK ? gathering_choose(&g, &status, error) : NULL;
    if (chosen)
        status = assemble(&g, chosen, &result, error);
    if (status == RESEAT_OK)
        *standing = result;
    else
        reseat_standing_free(&result);
    gathering_free(&g);
    return status;
}
