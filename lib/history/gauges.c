/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The register of gauges: which record is in force for a gauge at a time, and what a run that was
 * made with it takes over.
 */

#include "history/gauges.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/named.h"
#include "base/text.h"
#include "history/target.h"
#include "log/record.h"

#define SAME_FIGURE 1e-9   /* of their size: figures that differ by less agree */
#define SAME_GAUGE_MM 0.1  /* no gauge wears by so much from one certificate to the next */
#define HALF_DAY 43200     /* a date alone is noon of its day, which may lie ahead */

/* What a certificate says; what a record has of it is taken from the register. */
static const reseat_field certified[] = {
    RESEAT_FIELD_GAUGE,             RESEAT_FIELD_GAUGE_DIAMETER_MM,
    RESEAT_FIELD_GAUGE_DIAMETER_U_MM, RESEAT_FIELD_GAUGE_CERTIFICATE,
    RESEAT_FIELD_GAUGE_DUE_AT,      RESEAT_FIELD_EXPANSION_PER_K,
    RESEAT_FIELD_EXPANSION_U_PER_K, RESEAT_FIELD_CALIBRATED_AT};
#define CERTIFIED_COUNT (sizeof certified / sizeof certified[0])

reseat_status gauges_take(replay *read, reseat_record **record)
{
    reseat_record **gauges =
        grow(read->gauges, read->gauge_count, &read->gauge_room, sizeof(reseat_record *));
    if (!gauges)
        return RESEAT_ERR_MEMORY;
    read->gauges = gauges;
    gauges[read->gauge_count++] = *record;
    *record = NULL;
    return RESEAT_OK;
}

static const char *id_of(const reseat_record *record)
{
    return reseat_record_text(record, RESEAT_FIELD_GAUGE_ID);
}

/* By gauge, the record in force first. */
static int compare(const void *a, const void *b)
{
    const reseat_record *const *left = a, *const *right = b;
    const replay_fact one = fact_of(*left), other = fact_of(*right);
    const int ids = strcmp(id_of(*left), id_of(*right));
    return ids != 0 ? ids : fact_is_later(&other, &one) - fact_is_later(&one, &other);
}

void gauges_free(gauge_register *read)
{
    replay_free(read->read);
    free(read->gauges);
    *read = (gauge_register){.read = NULL};
}

static bool is_overdue(const reseat_record *gauge, int64_t time)
{
    return reseat_record_integer(gauge, RESEAT_FIELD_GAUGE_DUE_AT, INT64_MAX) < time;
}

/* Lists those in force. */
static reseat_status list_gauges(gauge_register *into, int64_t time, reseat_error *error)
{
    replay *read = into->read;
    if (read->gauge_count == 0)
        return RESEAT_OK;
    qsort(read->gauges, read->gauge_count, sizeof read->gauges[0], compare);
    into->gauges = malloc(read->gauge_count * sizeof into->gauges[0]);
    if (!into->gauges)
        return error_plain(error, RESEAT_ERR_MEMORY);
    for (size_t i = 0; i < read->gauge_count; i++)
        if (i == 0 || strcmp(id_of(read->gauges[i]), id_of(read->gauges[i - 1])) != 0)
            into->gauges[into->count++] = (reseat_gauge_entry){
                .record = read->gauges[i], .overdue = is_overdue(read->gauges[i], time)};
    return RESEAT_OK;
}

/* Whether a decision may rest on it. */
static reseat_status check_register(gauge_register *into, bool despite, reseat_error *error)
{
    if (!into->read->begun && into->read->bad_count == 0)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "the register of gauges is empty: put back a copy, or remove the file");
    const reseat_status status =
        replay_check(into->read, 0, despite, &into->bad_lines, error);
    return status == RESEAT_OK
               ? target_check_head(into->read, despite, &into->bad_lines, error) : status;
}

reseat_status gauges_read(const file_calls *calls, const reseat_state_request *request,
                          int64_t horizon, gauge_register *into, reseat_error *error)
{
    gauge_register fresh = {.read = NULL};
    const replay_request wanted = {.calls = calls, .dir = request->dir,
                                   .spindle = RESEAT_LOG_GAUGES, .horizon = horizon,
                                   .known = request->as_known, .depth = REPLAY_WHOLE};
    reseat_status status = replay_read(&wanted, &fresh.read, error);
    if (status == RESEAT_OK)
        status = check_register(&fresh, request->despite_damage, error);
    if (status == RESEAT_OK)
        status = list_gauges(&fresh, request->as_of, error);
    if (status == RESEAT_OK) {
        gauges_free(into);
        *into = fresh;
    } else {
        gauges_free(&fresh);
    }
    return status;
}

static const reseat_gauge_entry *find(const gauge_register *in, const char *id)
{
    for (size_t i = 0; i < in->count; i++)
        if (strcmp(id_of(in->gauges[i].record), id) == 0)
            return &in->gauges[i];
    return NULL;
}

/* The id nearest to one that is not there. */
static const char *nearest_id(const gauge_register *in, const char *id)
{
    const char **ids = malloc((in->count + 1) * sizeof *ids);
    if (!ids)
        return NULL;
    for (size_t i = 0; i < in->count; i++)
        ids[i] = id_of(in->gauges[i].record);
    const size_t nearest = reseat_text_nearest(id, ids, in->count);
    const char *name = nearest < in->count ? ids[nearest] : NULL;
    free(ids);
    return name;
}

/* A gauge that is not in the register, or not yet at that time. */
static reseat_status refuse_id(const file_calls *calls, const reseat_state_request *request,
                               const gauge_register *in, const char *id, reseat_error *error)
{
    char shown[2 * RESEAT_RECORD_NAME_MAX], near[2 * RESEAT_RECORD_NAME_MAX] = "";
    char since[RESEAT_TIME_SIZE] = "";
    gauge_register all = {.read = NULL};
    const char *name = nearest_id(in, id);
    reseat_text_terminal(id, strlen(id), shown, sizeof shown);
    if (name)
        reseat_text_terminal(name, strlen(name), near, sizeof near);
    const reseat_gauge_entry *later =
        gauges_read(calls, request, INT64_MAX, &all, NULL) == RESEAT_OK ? find(&all, id) : NULL;
    if (later)
        (void)reseat_time_format(fact_of(later->record).at, since);
    gauges_free(&all);
    if (since[0])
        return error_at(error, RESEAT_ERR_REFUSED, "gauge_id", "gauge %s is in the register only "
                        "from %s on; record the certificate that it had before", shown, since);
    return error_at(error, RESEAT_ERR_REFUSED, "gauge_id", "gauge %s is not in the register%s%s%s",
                    shown, near[0] ? " (did you mean " : "", near, near[0] ? "?)" : "");
}

static bool same_figure(double a, double b)
{
    return fabs(a - b) <= SAME_FIGURE * fmax(fabs(a), fabs(b));
}

/* Whether two records say the same of a field, or neither says anything. */
static bool agree(const reseat_record *a, const reseat_record *b, reseat_field field)
{
    const char *text = reseat_record_text(a, field), *other = reseat_record_text(b, field);
    if (reseat_record_has(a, field) != reseat_record_has(b, field))
        return false;
    if (text && other)
        return strcmp(text, other) == 0;
    return reseat_field_about(field)->shape->kind == RESEAT_KIND_TIME
               ? reseat_record_integer(a, field, 0) == reseat_record_integer(b, field, 0)
               : same_figure(reseat_record_number(a, field, 0), reseat_record_number(b, field, 0));
}

static reseat_status refuse_figure(const reseat_record *gauge, reseat_field field,
                                   reseat_error *error)
{
    char id[2 * RESEAT_RECORD_NAME_MAX], plain[RESEAT_RECORD_NAME_MAX + 1], value[160];
    reseat_text_terminal(id_of(gauge), strlen(id_of(gauge)), id, sizeof id);
    (void)reseat_record_show(gauge, field, plain, sizeof plain);
    reseat_text_terminal(plain, strlen(plain), value, sizeof value);
    return error_at(error, RESEAT_ERR_REFUSED, reseat_field_about(field)->name,
                    "the register says %s of gauge %s (record %lld): leave it out, or name the "
                    "gauge that was touched", value, id, (long long)fact_of(gauge).seq);
}

/* Takes over what the record does not say itself. */
static reseat_status take_over(const reseat_record *gauge, reseat_record *record,
                               reseat_error *error)
{
    for (size_t i = 0; i < CERTIFIED_COUNT; i++) {
        const reseat_field field = certified[i];
        if (!record_takes(record->type, field) || !reseat_record_has(gauge, field))
            continue;
        if (reseat_record_has(record, field) && !agree(gauge, record, field))
            return refuse_figure(gauge, field, error);
        if (!reseat_record_has(record, field) &&
            record_copy_value(record, field, gauge) != RESEAT_OK)
            return error_plain(error, RESEAT_ERR_MEMORY);
    }
    return RESEAT_OK;
}

reseat_status gauges_fill(const file_calls *calls, const reseat_state_request *request,
                          reseat_record *record, reseat_gauge_standing *standing,
                          reseat_error *error)
{
    gauge_register in = {.read = NULL};
    reseat_state_request then = *request;
    then.as_of = reseat_record_integer(record, RESEAT_FIELD_AT, request->as_of);
    then.despite_damage = false; /* a bad line may be a later certificate */
    *standing = RESEAT_GAUGE_UNREGISTERED;
    if (!id_of(record))
        return RESEAT_OK;
    reseat_status status = gauges_read(calls, &then, then.as_of, &in, error);
    if (status == RESEAT_ERR_NOT_FOUND)
        return RESEAT_OK;
    const reseat_gauge_entry *gauge = status == RESEAT_OK ? find(&in, id_of(record)) : NULL;
    if (status == RESEAT_OK && !gauge)
        status = refuse_id(calls, &then, &in, id_of(record), error);
    if (status == RESEAT_OK)
        status = take_over(gauge->record, record, error);
    if (status == RESEAT_OK)
        *standing = gauge->overdue ? RESEAT_GAUGE_OVERDUE : RESEAT_GAUGE_CERTIFIED;
    if (*standing == RESEAT_GAUGE_OVERDUE && record->type == RESEAT_RECORD_RUN)
        status = reseat_record_add_text(record, RESEAT_FIELD_DOUBTS, RESEAT_DOUBT_GAUGE_OVERDUE,
                                        error);
    gauges_free(&in);
    return status;
}

reseat_status reseat_gauge_fill(const reseat_state_request *request, reseat_record *record,
                                reseat_gauge_standing *standing, reseat_error *error)
{
    if (!request || !request->dir || !record || !standing)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return gauges_fill(&file_system_calls, request, record, standing, error);
}

reseat_status reseat_folder_gauges(const reseat_state_request *request, const char *gauge_id,
                                   const reseat_gauge_entry **gauges, size_t *count,
                                   uint64_t *bad_lines, reseat_error *error)
{
    if (!request || !request->dir || !request->folder || !gauges || !count || !bad_lines)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    gauge_register *in = folder_gauges(request->folder);
    const reseat_status status = gauges_read(&file_system_calls, request, request_horizon(request),
                                             in, error);
    if (status != RESEAT_OK)
        return status;
    const reseat_gauge_entry *found = gauge_id ? find(in, gauge_id) : in->gauges;
    if (gauge_id && !found)
        return refuse_id(&file_system_calls, request, in, gauge_id, error);
    *gauges = found;
    *count = gauge_id ? 1 : in->count;
    *bad_lines = in->bad_lines;
    return RESEAT_OK;
}

bool gauges_date(const file_calls *calls, reseat_record *record)
{
    const int64_t calibrated = reseat_record_integer(record, RESEAT_FIELD_CALIBRATED_AT, INT64_MAX);
    return !reseat_record_has(record, RESEAT_FIELD_AT) && calibrated <= calls->clock() &&
           reseat_record_set_integer(record, RESEAT_FIELD_AT, calibrated, NULL) == RESEAT_OK;
}

/* What a certificate cannot say. */
static reseat_status check_sense(const file_calls *calls, const reseat_record *record,
                                 reseat_error *error)
{
    const int64_t calibrated = reseat_record_integer(record, RESEAT_FIELD_CALIBRATED_AT, INT64_MIN);
    if (record_says(record, RESEAT_FIELD_GAUGE, "bore") ||
        record_says(record, RESEAT_FIELD_GAUGE, "boss"))
        return error_at(error, RESEAT_ERR_REFUSED, "gauge", "expected ring, plug or sphere: no "
                        "other gauge has a certified diameter");
    if (calibrated > calls->clock() + HALF_DAY)
        return error_at(error, RESEAT_ERR_REFUSED, "calibrated_at", "lies ahead");
    if (reseat_record_integer(record, RESEAT_FIELD_GAUGE_DUE_AT, INT64_MAX) <= calibrated)
        return error_at(error, RESEAT_ERR_REFUSED, "gauge_due_at",
                        "lies before the gauge was certified");
    return RESEAT_OK;
}

static bool says_the_same(const reseat_record *a, const reseat_record *b)
{
    size_t i = 0;
    while (i < CERTIFIED_COUNT && agree(a, b, certified[i]))
        i++;
    return i == CERTIFIED_COUNT;
}

/* The same gauge, as it was before. */
static reseat_status check_before(const reseat_record *before, const reseat_record *record,
                                  reseat_error *error)
{
    const replay_fact had = fact_of(before), now = fact_of(record);
    const double apart_mm = fabs(reseat_record_number(before, RESEAT_FIELD_GAUGE_DIAMETER_MM, 0) -
                                 reseat_record_number(record, RESEAT_FIELD_GAUGE_DIAMETER_MM, 0));
    if (had.at == now.at || says_the_same(before, record))
        return error_set(error, RESEAT_ERR_REFUSED, 0,
                         "that gauge is recorded as %lld%s: if that is wrong, void it first",
                         (long long)had.seq, had.at == now.at ? " from the same time on" : "");
    if (!(apart_mm <= SAME_GAUGE_MM) || !agree(before, record, RESEAT_FIELD_GAUGE))
        return error_set(error, RESEAT_ERR_REFUSED, 0,
                         "record %lld has another gauge of that name, of another kind or size: "
                         "void it if it is wrong, or name this one otherwise", (long long)had.seq);
    return RESEAT_OK;
}

reseat_status gauges_check(const file_calls *calls, const char *dir, const reseat_record *record,
                           bool *is_new, int64_t *later, reseat_error *error)
{
    const replay_request wanted = {.calls = calls, .dir = dir, .spindle = RESEAT_LOG_GAUGES,
                                   .horizon = INT64_MAX, .depth = REPLAY_WHOLE};
    const replay_fact now = fact_of(record);
    replay *read = NULL;
    *is_new = true;
    *later = -1;
    reseat_status status = check_sense(calls, record, error);
    if (status == RESEAT_OK)
        status = replay_read(&wanted, &read, error);
    if (status == RESEAT_ERR_NOT_FOUND) /* a dry run begins none */
        return RESEAT_OK;
    for (size_t i = 0; status == RESEAT_OK && i < read->gauge_count; i++) {
        const replay_fact had = fact_of(read->gauges[i]);
        if (strcmp(id_of(read->gauges[i]), id_of(record)) != 0)
            continue;
        *is_new = false;
        if (had.at > now.at)
            *later = had.seq;
        status = check_before(read->gauges[i], record, error);
    }
    replay_free(read);
    return status;
}
