/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "history/gather.h"

#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/grow.h"
#include "history/drift.h"
#include "history/state.h"
#include "log/file.h"
#include "reseat/history.h"

/* Runs of one tip. */
typedef struct series_track {
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    reseat_drift_run *runs;
    size_t count;
    size_t room;
} series_track;

/* An event and whose it is; "" for the whole spindle. */
typedef struct parting {
    reseat_drift_event event;
    char probe[RESEAT_RECORD_NAME_MAX + 1];
} parting;

struct reseat_gather {
    char probe[RESEAT_RECORD_NAME_MAX + 1]; /* "" for all */
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    int64_t until;
    series_track *tracks;
    size_t track_count;
    size_t track_room;
    parting *partings;
    size_t parting_count;
    size_t parting_room;
    uint64_t *voids; /* numbers of records that do not count */
    size_t void_count;
    size_t void_room;
    reseat_drift_event *given; /* events of the tip last given */
};

/* A name of at most RESEAT_RECORD_NAME_MAX bytes. */
static void copy_name(char *out, const char *name)
{
    memcpy(out, name, strlen(name) + 1);
}

reseat_status reseat_gather_new(const char *probe, const char *tip, int64_t until,
                                reseat_gather **gather)
{
    if (gather == NULL)
        return RESEAT_ERR_ARGUMENT;
    if ((probe != NULL && strlen(probe) > RESEAT_RECORD_NAME_MAX) ||
        (tip != NULL && strlen(tip) > RESEAT_RECORD_NAME_MAX))
        return RESEAT_ERR_RANGE;
    reseat_gather *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return RESEAT_ERR_MEMORY;
    copy_name(fresh->probe, probe != NULL ? probe : "");
    copy_name(fresh->tip, tip != NULL ? tip : "");
    fresh->until = until;
    *gather = fresh;
    return RESEAT_OK;
}

void reseat_gather_free(reseat_gather *gather)
{
    if (gather == NULL)
        return;
    for (size_t i = 0; i < gather->track_count; i++)
        free(gather->tracks[i].runs);
    free(gather->tracks);
    free(gather->partings);
    free(gather->voids);
    free(gather->given);
    free(gather);
}

const char *gather_probe(const reseat_gather *gather)
{
    return gather->probe;
}

/* A field's number into *value; whether it is there. */
static bool get(const reseat_record *record, reseat_field field, double *value)
{
    *value = reseat_record_number(record, field, 0);
    return reseat_record_has(record, field) && !reseat_record_is_null(record, field);
}

static uint64_t seq_of(const reseat_record *record)
{
    return (uint64_t)reseat_record_integer(record, RESEAT_FIELD_SEQ, 0);
}

static const char *name_of(const reseat_record *record, reseat_field field, const char *absent)
{
    const char *text = reseat_record_text(record, field);
    return text != NULL ? text : absent;
}

static bool is_asked(const char *asked, const char *name)
{
    return asked[0] == '\0' || strcmp(asked, name) == 0;
}

/* The series_track of a tip, begun if there is none; NULL where there is no memory. */
static series_track *track_of(reseat_gather *gather, const char *probe, const char *tip)
{
    for (size_t i = 0; i < gather->track_count; i++)
        if (strcmp(gather->tracks[i].probe, probe) == 0 && strcmp(gather->tracks[i].tip, tip) == 0)
            return &gather->tracks[i];
    series_track *tracks =
        grow(gather->tracks, gather->track_count, &gather->track_room, sizeof *tracks);
    if (tracks == NULL)
        return NULL;
    gather->tracks = tracks;
    series_track *begun = &tracks[gather->track_count++];
    memset(begun, 0, sizeof *begun);
    copy_name(begun->probe, probe);
    copy_name(begun->tip, tip);
    return begun;
}

reseat_drift_run reseat_gather_run(const reseat_record *record)
{
    reseat_drift_run run = {0};
    if (record == NULL)
        return run;
    run.seq = seq_of(record);
    run.at = reseat_record_integer(record, RESEAT_FIELD_AT, 0);
    run.offset_mm.x = reseat_record_number(record, RESEAT_FIELD_OFFSET_X_MM, 0);
    run.offset_mm.y = reseat_record_number(record, RESEAT_FIELD_OFFSET_Y_MM, 0);
    run.seat_known = get(record, RESEAT_FIELD_SEAT_DEG, &run.seat_deg);
    run.offset_u_known = get(record, RESEAT_FIELD_OFFSET_U_MM, &run.offset_u_mm);
    run.radius_known = get(record, RESEAT_FIELD_RADIUS_MM, &run.radius_mm);
    run.stylus_length_known = get(record, RESEAT_FIELD_STYLUS_LENGTH_MM, &run.stylus_length_mm);
    return run;
}

static reseat_status take_run(reseat_gather *gather, const reseat_record *record)
{
    const char *probe = name_of(record, RESEAT_FIELD_PROBE, "");
    const char *tip = name_of(record, RESEAT_FIELD_TIP, "main");
    if (!is_asked(gather->probe, probe) || !is_asked(gather->tip, tip))
        return RESEAT_OK;
    series_track *own = track_of(gather, probe, tip);
    reseat_drift_run *runs = own == NULL ? NULL : grow(own->runs, own->count, &own->room,
                                                       sizeof *runs);
    if (runs == NULL)
        return RESEAT_ERR_MEMORY;
    own->runs = runs;
    runs[own->count++] = reseat_gather_run(record);
    return RESEAT_OK;
}

/* Of a kind that ends a baseline, and of a probe that is asked for or of the whole spindle. */
static reseat_status take_event(reseat_gather *gather, const reseat_record *record)
{
    const char *probe = name_of(record, RESEAT_FIELD_PROBE, "");
    if (strcmp(name_of(record, RESEAT_FIELD_KIND, "other"), "other") == 0 ||
        (probe[0] != '\0' && !is_asked(gather->probe, probe)))
        return RESEAT_OK;
    parting *partings = grow(gather->partings, gather->parting_count, &gather->parting_room,
                             sizeof *partings);
    if (partings == NULL)
        return RESEAT_ERR_MEMORY;
    gather->partings = partings;
    parting *last = &partings[gather->parting_count++];
    last->event.seq = seq_of(record);
    last->event.at = reseat_record_integer(record, RESEAT_FIELD_AT, 0);
    copy_name(last->probe, probe);
    return RESEAT_OK;
}

static reseat_status take_void(reseat_gather *gather, const reseat_record *record)
{
    uint64_t *voids = grow(gather->voids, gather->void_count, &gather->void_room, sizeof *voids);
    if (voids == NULL)
        return RESEAT_ERR_MEMORY;
    gather->voids = voids;
    voids[gather->void_count++] = (uint64_t)reseat_record_integer(record, RESEAT_FIELD_VOIDS, 0);
    return RESEAT_OK;
}

reseat_status reseat_gather_take(reseat_gather *gather, const reseat_record *record)
{
    if (gather == NULL || record == NULL)
        return RESEAT_ERR_ARGUMENT;
    const reseat_record_type type = reseat_record_type_of(record);
    if (type == RESEAT_RECORD_VOID)
        return take_void(gather, record);
    if (reseat_record_integer(record, RESEAT_FIELD_AT, INT64_MAX) > gather->until)
        return RESEAT_OK;
    if (type == RESEAT_RECORD_RUN)
        return take_run(gather, record);
    return type == RESEAT_RECORD_EVENT ? take_event(gather, record) : RESEAT_OK;
}

static int compare_numbers(const void *a, const void *b)
{
    const uint64_t left = *(const uint64_t *)a;
    const uint64_t right = *(const uint64_t *)b;
    return (left > right) - (left < right);
}

static bool is_void(const reseat_gather *gather, uint64_t seq)
{
    return gather->void_count > 0 && bsearch(&seq, gather->voids, gather->void_count,
                                             sizeof seq, compare_numbers) != NULL;
}

static void drop_voided_runs(const reseat_gather *gather, series_track *t)
{
    size_t kept = 0;
    for (size_t i = 0; i < t->count; i++)
        if (!is_void(gather, t->runs[i].seq))
            t->runs[kept++] = t->runs[i];
    t->count = kept;
}

/* Tips with runs first, then by their names. */
static int compare_tracks(const void *a, const void *b)
{
    const series_track *left = a;
    const series_track *right = b;
    if ((left->count > 0) != (right->count > 0))
        return left->count > 0 ? -1 : 1;
    const int probes = strcmp(left->probe, right->probe);
    return probes != 0 ? probes : strcmp(left->tip, right->tip);
}

size_t reseat_gather_count(reseat_gather *gather)
{
    if (gather == NULL || gather->track_count == 0)
        return 0;
    if (gather->void_count > 1)
        qsort(gather->voids, gather->void_count, sizeof gather->voids[0], compare_numbers);
    for (size_t i = 0; i < gather->track_count; i++)
        drop_voided_runs(gather, &gather->tracks[i]);
    qsort(gather->tracks, gather->track_count, sizeof gather->tracks[0], compare_tracks);
    size_t count = 0;
    while (count < gather->track_count && gather->tracks[count].count > 0)
        count++;
    return count;
}

/* Events of a probe, and of the spindle, that were not voided. */
static size_t choose_events(const reseat_gather *gather, const char *probe)
{
    size_t count = 0;
    for (size_t i = 0; i < gather->parting_count; i++) {
        const parting *p = &gather->partings[i];
        if (is_asked(p->probe, probe) && !is_void(gather, p->event.seq))
            gather->given[count++] = p->event;
    }
    return count;
}

reseat_status reseat_gather_get(reseat_gather *gather, size_t index, const char **probe,
                                const char **tip, reseat_drift_input *input)
{
    if (gather == NULL || input == NULL)
        return RESEAT_ERR_ARGUMENT;
    if (index >= reseat_gather_count(gather))
        return RESEAT_ERR_RANGE;
    void *given = realloc(gather->given, (gather->parting_count + 1) * sizeof gather->given[0]);
    if (given == NULL)
        return RESEAT_ERR_MEMORY;
    gather->given = given;
    series_track *own = &gather->tracks[index];
    (void)drift_sort_runs(own->runs, own->count);
    input->runs = own->runs;
    input->run_count = own->count;
    input->event_count = choose_events(gather, own->probe);
    (void)drift_sort_events(gather->given, input->event_count);
    input->events = gather->given;
    if (probe != NULL)
        *probe = own->probe;
    if (tip != NULL)
        *tip = own->tip;
    return RESEAT_OK;
}

/* Whether a line's first bytes show that nothing of it would be kept. */
static bool is_of_no_use(const reseat_gather *gather, const reseat_log_line *line)
{
    record_glance seen;
    const char *probe = gather_probe(gather);
    if (!log_glance(line->text, (size_t)line->length, &seen))
        return false;
    switch (seen.type) {
    case RESEAT_RECORD_RUN:
    case RESEAT_RECORD_EVENT: return probe[0] != '\0' && glance_is_of_other(&seen, probe);
    default: return seen.type != RESEAT_RECORD_VOID;
    }
}

/* A sound line; *bad is set where its seal holds and it is no record all the same. */
static reseat_status take_line(reseat_gather *gather, reseat_log_line *line, bool *bad)
{
    reseat_record *record = NULL;
    if (is_of_no_use(gather, line))
        return RESEAT_OK;
    reseat_status status = reseat_record_parse(line->text, (size_t)line->length, &record, NULL);
    if (status == RESEAT_ERR_MEMORY)
        return status;
    *bad = status != RESEAT_OK;
    if (*bad) {
        line->what = "its seal holds, but it is no record";
        return RESEAT_OK;
    }
    status = reseat_gather_take(gather, record);
    reseat_record_free(record);
    return status;
}

reseat_status reseat_gather_log(reseat_gather *gather, reseat_log *log, bool despite_damage,
                                uint64_t *bad_lines, reseat_error *error)
{
    if (gather == NULL || log == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    uint64_t passed = 0;
    for (;;) {
        reseat_log_line line;
        reseat_status status = reseat_log_next(log, &line, error);
        if (status != RESEAT_OK)
            return status;
        if (line.state == RESEAT_LINE_NONE)
            break;
        bool bad = line.state == RESEAT_LINE_TORN || line.state == RESEAT_LINE_DAMAGED;
        if (line.state == RESEAT_LINE_SOUND)
            status = take_line(gather, &line, &bad);
        if (status != RESEAT_OK)
            return error_plain(error, status);
        if (bad && !despite_damage)
            return standing_bad_line(log, log->name, &line, error);
        passed += bad;
    }
    if (bad_lines != NULL)
        *bad_lines = passed;
    return RESEAT_OK;
}
