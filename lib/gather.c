/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/gather.h"

#include <stdlib.h>
#include <string.h>

struct reseat_gather {
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    int64_t until;
    reseat_drift_run *runs;
    size_t run_count;
    size_t run_room;
    reseat_drift_event *events;
    size_t event_count;
    size_t event_room;
    uint64_t *voids; /* numbers of records that do not count */
    size_t void_count;
    size_t void_room;
};

/* Makes room for one more of `size` bytes each; false where there is no memory. */
static bool grow(void **items, size_t count, size_t *room, size_t size)
{
    if (count < *room)
        return true;
    const size_t more = *room > 0 ? 2 * *room : 64;
    void *grown = more <= SIZE_MAX / size ? realloc(*items, more * size) : NULL;
    if (grown == NULL)
        return false;
    *items = grown;
    *room = more;
    return true;
}

reseat_status reseat_gather_new(const char *probe, const char *tip, int64_t until,
                                reseat_gather **gather)
{
    if (probe == NULL || tip == NULL || gather == NULL)
        return RESEAT_ERR_ARGUMENT;
    if (strlen(probe) > RESEAT_RECORD_NAME_MAX || strlen(tip) > RESEAT_RECORD_NAME_MAX)
        return RESEAT_ERR_RANGE;
    reseat_gather *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return RESEAT_ERR_MEMORY;
    memcpy(fresh->probe, probe, strlen(probe));
    memcpy(fresh->tip, tip, strlen(tip));
    fresh->until = until;
    *gather = fresh;
    return RESEAT_OK;
}

void reseat_gather_free(reseat_gather *gather)
{
    if (gather == NULL)
        return;
    free(gather->runs);
    free(gather->events);
    free(gather->voids);
    free(gather);
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

static bool is_named(const reseat_record *record, reseat_field field, const char *name,
                     const char *absent)
{
    const char *text = reseat_record_text(record, field);
    return strcmp(text != NULL ? text : absent, name) == 0;
}

static reseat_status take_run(reseat_gather *gather, const reseat_record *record)
{
    if (!is_named(record, RESEAT_FIELD_PROBE, gather->probe, "") ||
        !is_named(record, RESEAT_FIELD_TIP, gather->tip, "main"))
        return RESEAT_OK;
    void *runs = gather->runs;
    if (!grow(&runs, gather->run_count, &gather->run_room, sizeof gather->runs[0]))
        return RESEAT_ERR_MEMORY;
    gather->runs = runs;
    reseat_drift_run *run = &gather->runs[gather->run_count++];
    memset(run, 0, sizeof *run);
    run->seq = seq_of(record);
    run->at = reseat_record_integer(record, RESEAT_FIELD_AT, 0);
    run->offset_mm.x = reseat_record_number(record, RESEAT_FIELD_OFFSET_X_MM, 0);
    run->offset_mm.y = reseat_record_number(record, RESEAT_FIELD_OFFSET_Y_MM, 0);
    run->seat_known = get(record, RESEAT_FIELD_SEAT_DEG, &run->seat_deg);
    run->offset_u_known = get(record, RESEAT_FIELD_OFFSET_U_MM, &run->offset_u_mm);
    run->radius_known = get(record, RESEAT_FIELD_RADIUS_MM, &run->radius_mm);
    run->stylus_length_known = get(record, RESEAT_FIELD_STYLUS_LENGTH_MM,
                                    &run->stylus_length_mm);
    return RESEAT_OK;
}

/* An event of the probe, or, where it names none, of the spindle; of another kind, none. */
static reseat_status take_event(reseat_gather *gather, const reseat_record *record)
{
    if (!is_named(record, RESEAT_FIELD_PROBE, gather->probe, gather->probe) ||
        is_named(record, RESEAT_FIELD_KIND, "other", "other"))
        return RESEAT_OK;
    void *events = gather->events;
    if (!grow(&events, gather->event_count, &gather->event_room, sizeof gather->events[0]))
        return RESEAT_ERR_MEMORY;
    gather->events = events;
    gather->events[gather->event_count++] = (reseat_drift_event){
        seq_of(record), reseat_record_integer(record, RESEAT_FIELD_AT, 0)};
    return RESEAT_OK;
}

static reseat_status take_void(reseat_gather *gather, const reseat_record *record)
{
    void *voids = gather->voids;
    if (!grow(&voids, gather->void_count, &gather->void_room, sizeof gather->voids[0]))
        return RESEAT_ERR_MEMORY;
    gather->voids = voids;
    gather->voids[gather->void_count++] =
        (uint64_t)reseat_record_integer(record, RESEAT_FIELD_VOIDS, 0);
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

static void drop_voided(reseat_gather *gather)
{
    size_t kept = 0;
    if (gather->void_count > 1)
        qsort(gather->voids, gather->void_count, sizeof gather->voids[0], compare_numbers);
    for (size_t i = 0; i < gather->run_count; i++)
        if (!is_void(gather, gather->runs[i].seq))
            gather->runs[kept++] = gather->runs[i];
    gather->run_count = kept;
    kept = 0;
    for (size_t i = 0; i < gather->event_count; i++)
        if (!is_void(gather, gather->events[i].seq))
            gather->events[kept++] = gather->events[i];
    gather->event_count = kept;
}

reseat_status reseat_gather_give(reseat_gather *gather, reseat_drift_input *input)
{
    if (gather == NULL || input == NULL)
        return RESEAT_ERR_ARGUMENT;
    drop_voided(gather);
    (void)reseat_drift_sort_runs(gather->runs, gather->run_count);
    (void)reseat_drift_sort_events(gather->events, gather->event_count);
    input->runs = gather->runs;
    input->run_count = gather->run_count;
    input->events = gather->events;
    input->event_count = gather->event_count;
    return RESEAT_OK;
}
