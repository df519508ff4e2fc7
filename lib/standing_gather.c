/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a standing can rest on, kept while a log is read from its end back. Voids are met before
 * what they void; the newest policy is met first; which run is the latest shows only in the end, as
 * entries may be late.
 */

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include "grow.h"
#include "reseat/gather.h"
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

reseat_xy pair_of(const reseat_record *record, reseat_field x, reseat_field y,
                  reseat_xy otherwise)
{
    return (reseat_xy){reseat_record_number(record, x, otherwise.x),
                       reseat_record_number(record, y, otherwise.y)};
}

int64_t standing_horizon(const reseat_standing_query *query)
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
