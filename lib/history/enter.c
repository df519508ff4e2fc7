/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a person has recorded, held against what is on record. The checks run under the lock of the
 * log, so that two writers cannot both pass them.
 */

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "base/error.h"
#include "history/state.h"
#include "maths/plane.h"
#include "model/seat.h"

typedef struct entry {
    const reseat_record_request *request;
    reseat_state_request state; /* the probe's, now and despite damage, which appending tells of */
    reseat_recorded done;
} entry;

/* The reading of the log for a probe; NULL where there is no log yet. */
static reseat_status read_log(entry *e, const char *probe, replay **read, reseat_error *error)
{
    const replay_request wanted = {.spindle = e->request->spindle, .probe = probe,
                                   .horizon = INT64_MAX,
                                   .depth = REPLAY_STATE};
    *read = NULL;
    const reseat_status status = folder_read(e->state.folder, &wanted, read, error);
    return status == RESEAT_ERR_NOT_FOUND ? RESEAT_OK : status;
}

static bool has_runs(const replay_probe *probe)
{
    for (size_t i = 0; probe && i < probe->tips.count; i++)
        if (((const replay_tip *)probe->tips.items[i])->run)
            return true;
    return false;
}

static const replay_tip *tip_with_runs(const replay_probe *probe, const char *name)
{
    const replay_tip *tip = named_find(&probe->tips, name);
    return tip && tip->run ? tip : NULL;
}

/* The log of the folder, if any, that has runs of a probe that is new here. */
static void find_other_log(entry *e, const char *probe)
{
    reseat_log_names logs;
    if (reseat_log_list(e->request->dir, &logs, NULL) != RESEAT_OK)
        return;
    for (size_t i = 0; i < logs.count && !e->done.other_log[0]; i++) {
        const replay_request wanted = {.dir = e->request->dir, .spindle = logs.names[i],
                                       .horizon = INT64_MAX};
        named_list names = {.items = NULL};
        if (strcmp(logs.names[i], e->request->spindle) != 0 &&
            folder_names(e->state.folder, &wanted, &names, NULL) == RESEAT_OK &&
            named_find(&names, probe))
            memcpy(e->done.other_log, logs.names[i], sizeof logs.names[i]);
        named_free(&names);
    }
    reseat_log_names_free(&logs);
}

/* "; did you mean P1?", or the names that there are. */
static void suggest(const named_list *names, const char *word, char *out, size_t size)
{
    const char *const *list = (const char *const *)names->items;
    char shown[2 * RESEAT_RECORD_NAME_MAX];
    const size_t nearest = names->count > 0 ? reseat_text_nearest(word, list, names->count) : 0;
    out[0] = '\0';
    if (nearest == names->count)
        return;
    reseat_text_terminal(list[nearest], strlen(list[nearest]), shown, sizeof shown);
    snprintf(out, size, " (did you mean %s?)", shown);
}

static reseat_status refuse_probe(entry *e, const char *probe, reseat_error *error)
{
    const replay_request wanted = {.dir = e->request->dir, .spindle = e->request->spindle,
                                   .horizon = INT64_MAX};
    named_list names = {.items = NULL};
    char shown[2 * RESEAT_RECORD_NAME_MAX], nearest[3 * RESEAT_RECORD_NAME_MAX], other[96] = "";
    (void)folder_names(e->state.folder, &wanted, &names, NULL);
    reseat_text_terminal(probe, strlen(probe), shown, sizeof shown);
    suggest(&names, probe, nearest, sizeof nearest);
    named_free(&names);
    if (e->done.other_log[0])
        snprintf(other, sizeof other, "; its runs are in the log of %s", e->done.other_log);
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "no run of %s is on record for %s%s%s; --new if it is new here", shown,
                     e->request->spindle, nearest, other);
}

static reseat_status refuse_tip(const char *probe, const char *tip, const replay_probe *known,
                                reseat_error *error)
{
    char shown[2 * RESEAT_RECORD_NAME_MAX], named[2 * RESEAT_RECORD_NAME_MAX],
        nearest[3 * RESEAT_RECORD_NAME_MAX];
    reseat_text_terminal(probe, strlen(probe), shown, sizeof shown);
    reseat_text_terminal(tip, strlen(tip), named, sizeof named);
    suggest(&known->tips, tip, nearest, sizeof nearest);
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "no run of tip %s of %s is on record%s; --new if it is new", named, shown,
                     nearest);
}

/* Whether probe and tip are known, or said to be new. */
static reseat_status check_names(entry *e, const replay *read, const reseat_record *record,
                                 reseat_error *error)
{
    const bool begin = e->request->begin;
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    const char *tip = reseat_record_text(record, RESEAT_FIELD_TIP);
    const replay_probe *known = read && probe ? replay_find(read, probe) : NULL;
    e->done.new_log = !read || !read->begun; /* opening it may have made an empty file */
    if (!probe)
        return RESEAT_OK;
    if (!has_runs(known)) {
        find_other_log(e, probe);
        e->done.new_probe = true;
        return begin ? RESEAT_OK : refuse_probe(e, probe, error);
    }
    if (reseat_record_type_of(record) == RESEAT_RECORD_RUN &&
        !tip_with_runs(known, tip ? tip : "main")) {
        e->done.new_tip = true;
        return begin ? RESEAT_OK : refuse_tip(probe, tip ? tip : "main", known, error);
    }
    return RESEAT_OK;
}

static reseat_status check_begun(const entry *e, const reseat_record *record,
                                 reseat_error *error)
{
    const reseat_recorded *d = &e->done;
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    char shown[2 * RESEAT_RECORD_NAME_MAX];
    if (!e->request->begin || d->new_log || d->new_probe || d->new_tip)
        return RESEAT_OK;
    if (!probe)
        return error_set(error, RESEAT_ERR_REFUSED, 0,
                         "--new: the log of %s is there already; leave it out",
                         e->request->spindle);
    reseat_text_terminal(probe, strlen(probe), shown, sizeof shown);
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "--new: nothing is new, as the log of %s has such runs of %s; leave it out",
                     e->request->spindle, shown);
}

/* The same run twice is one. */
static reseat_status check_run(const replay *read, const reseat_record *record,
                               reseat_error *error)
{
    const replay_fact run = fact_of(record);
    const replay_probe *known =
        read ? replay_find(read, reseat_record_text(record, RESEAT_FIELD_PROBE)) : NULL;
    for (size_t i = 0; known && i < known->count; i++) {
        const replay_fact *fact = &known->facts[i];
        if (fact->type == RESEAT_RECORD_RUN && fact->at == run.at &&
            strcmp(fact->tip, run.tip) == 0)
            return error_set(error, RESEAT_ERR_REFUSED, 0,
                             "a run of that probe, tip and time is recorded as %lld: if that is "
                             "wrong, void it first", (long long)fact->seq);
    }
    return RESEAT_OK;
}

static bool same_pair(reseat_xy a, reseat_xy b)
{
    return !(a.x < b.x) && !(a.x > b.x) && !(a.y < b.y) && !(a.y > b.y);
}

/* What the run before left is no measurement of this one. */
static reseat_status check_found(const replay *read, const reseat_record *record,
                                 reseat_error *error)
{
    const replay_fact run = fact_of(record);
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    const replay_probe *known = read ? replay_find(read, probe) : NULL;
    const replay_fact *before = NULL;
    for (size_t i = 0; known && i < known->count; i++)
        if (known->facts[i].type == RESEAT_RECORD_RUN && fact_is_later(&run, &known->facts[i]) &&
            strcmp(known->facts[i].tip, run.tip) == 0)
            before = &known->facts[i];
    if (!before || !reseat_record_has(record, RESEAT_FIELD_FOUND_X_MM) ||
        same_pair(run.found_mm, run.run.offset_mm) ||
        !(same_pair(run.found_mm, before->run.offset_mm) ||
          same_pair(run.found_mm, before->in_use_mm)))
        return RESEAT_OK;
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "found is to the last digit what run %lld left: it is what this run measured "
                     "before the stylus was re-centred; type that, or leave it out",
                     (long long)before->seq);
}

/* What happened before the run in force says nothing of how the probe sits now. */
static reseat_status check_late(const entry *e, const reseat_state *state,
                                const reseat_record *record, reseat_error *error)
{
    const replay_fact fact = fact_of(record), run = fact_of(state->run);
    if (e->request->late || !reseat_record_has(record, RESEAT_FIELD_AT) || fact.at >= run.at)
        return RESEAT_OK;
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "this lies before run %lld, so it says nothing of how the probe sits now; "
                     "--late records it all the same", (long long)run.seq);
}

/* Of a seat that was read roughly the one that the keys allow is written down. */
static reseat_status check_seat(entry *e, const reseat_state *state, reseat_record *record,
                                reseat_error *error)
{
    const char *seats = reseat_record_text(state->policy, RESEAT_FIELD_SEATS);
    reseat_seat keys = {.kind = RESEAT_SEAT_ANY}, meant;
    if (!seats || reseat_seat_parse(seats, strlen(seats), &keys, NULL) != RESEAT_OK ||
        keys.kind != RESEAT_SEAT_KEYS || reseat_record_is_null(record, RESEAT_FIELD_SEAT_DEG) ||
        reseat_record_is_null(state->run, RESEAT_FIELD_SEAT_DEG))
        return RESEAT_OK;
    const reseat_seat typed = {
        .kind = RESEAT_SEAT_ANGLE,
        .seat_deg = reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, 0),
        .within_deg = reseat_record_number(record, RESEAT_FIELD_WITHIN_DEG, 0)};
    const reseat_status status =
        seat_by_keys(&typed, keys.keys, reseat_record_number(state->run, RESEAT_FIELD_SEAT_DEG, 0),
                     &meant, error);
    if (status != RESEAT_OK || meant.kind != RESEAT_SEAT_ANGLE)
        return status;
    e->done.seat_deg = meant.seat_deg;
    e->done.snapped = fabs(meant.seat_deg - plane_seat(typed.seat_deg)) > 1e-9 ||
                      meant.within_deg < typed.within_deg;
    return e->done.snapped ? reseat_record_set_seat(record, &meant, error) : RESEAT_OK;
}

/* A verify is of the tip that the state is of. */
static reseat_status name_tip(const reseat_state *state, reseat_record *record,
                              reseat_error *error)
{
    if (reseat_record_has(record, RESEAT_FIELD_TIP) || strcmp(state->tip, "main") == 0)
        return RESEAT_OK;
    return reseat_record_set_text(record, RESEAT_FIELD_TIP, state->tip, error);
}

/* A reseat, event or verify against the state of its probe. */
static reseat_status check_against_state(entry *e, reseat_record *record, reseat_error *error)
{
    const reseat_record_type type = reseat_record_type_of(record);
    reseat_state state = {.run = NULL};
    e->state.probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    e->state.tip = reseat_record_text(record, RESEAT_FIELD_TIP);
    reseat_status status = state_read_alone(e->state.folder, &e->state, &state, error);
    if (status == RESEAT_ERR_REFUSED && type != RESEAT_RECORD_VERIFY) {
        e->state.tip = NULL; /* any tip will do for a seat, but there are several */
        reseat_state_free(&state);
        return RESEAT_OK;
    }
    if (status == RESEAT_OK)
        status = check_late(e, &state, record, error);
    if (status == RESEAT_OK && type == RESEAT_RECORD_RESEAT)
        status = check_seat(e, &state, record, error);
    if (status == RESEAT_OK && type == RESEAT_RECORD_VERIFY)
        status = name_tip(&state, record, error);
    reseat_state_free(&state);
    return status == RESEAT_ERR_NOT_FOUND ? RESEAT_ERR_REFUSED : status;
}

/* The run in force that a void is about. */
static reseat_status note_void(entry *e, const reseat_record *record, reseat_error *error)
{
    replay *read = NULL;
    const int64_t voids = reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1);
    const reseat_status status = read_log(e, NULL, &read, error);
    for (size_t i = 1; status == RESEAT_OK && read && i < read->probes.count; i++) {
        const replay_probe *probe = read->probes.items[i];
        for (size_t k = 0; k < probe->tips.count; k++) {
            const replay_tip *tip = probe->tips.items[k];
            if (!tip->run || fact_of(tip->run).seq != voids)
                continue;
            e->done.voided_run = voids;
            for (size_t f = 0; f < probe->count; f++)
                if (probe->facts[f].type == RESEAT_RECORD_RUN && probe->facts[f].seq != voids &&
                    strcmp(probe->facts[f].tip, tip->name) == 0)
                    e->done.run_in_force = probe->facts[f].seq; /* the last of them */
        }
    }
    return status;
}

static reseat_status check_entry(void *context, reseat_record *record, reseat_error *error)
{
    entry *e = context;
    const reseat_record_type type = reseat_record_type_of(record);
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    replay *read = NULL;
    if (type == RESEAT_RECORD_VOID)
        return note_void(e, record, error);
    reseat_status status = read_log(e, probe, &read, error);
    if (status == RESEAT_OK)
        e->done.first_policy = type == RESEAT_RECORD_POLICY && (!read || read->policy_count == 0);
    if (status == RESEAT_OK)
        status = check_names(e, read, record, error);
    if (status == RESEAT_OK)
        status = check_begun(e, record, error);
    if (status == RESEAT_OK && type == RESEAT_RECORD_RUN)
        status = check_run(read, record, error);
    if (status == RESEAT_OK && type == RESEAT_RECORD_RUN)
        status = check_found(read, record, error);
    if (status == RESEAT_OK && probe && type != RESEAT_RECORD_RUN &&
        type != RESEAT_RECORD_VERDICT && !e->done.new_probe)
        status = check_against_state(e, record, error);
    return status;
}

reseat_status reseat_record_enter(const reseat_record_request *request, reseat_record *record,
                                  reseat_recorded *recorded, reseat_error *error)
{
    if (!request || !request->dir || !request->spindle || !record || !recorded)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    entry e = {.request = request,
               .state = {.dir = request->dir, .spindle = request->spindle, .ahead = INT64_MAX,
                         .despite_damage = true},
               .done = {.voided_run = -1, .run_in_force = -1}};
    reseat_status status = reseat_folder_open(request->dir, &e.state.folder);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    reseat_append how = request->append;
    how.begin = request->begin;
    how.check = check_entry;
    how.context = &e;
    status = reseat_log_append(request->dir, request->spindle, record, &how, &e.done.appended,
                               error);
    reseat_folder_close(e.state.folder);
    if (status == RESEAT_OK)
        *recorded = e.done;
    return status;
}
