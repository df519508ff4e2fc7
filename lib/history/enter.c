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
    const file_calls *calls;
    const reseat_record_request *request;
    reseat_state_request state; /* the probe's, now and despite damage, which appending tells of */
    reseat_recorded done;
} entry;

/* The reading of the log for a probe and tip; NULL where there is no log yet. */
static reseat_status read_log(entry *e, const char *probe, const char *tip, replay_depth depth,
                              replay **read, reseat_error *error)
{
    const replay_request wanted = {.spindle = e->request->spindle, .probe = probe, .tip = tip,
                                   .horizon = INT64_MAX, .depth = depth};
    *read = NULL;
    const reseat_status status = folder_read(e->state.folder, &wanted, read, error);
    return status == RESEAT_ERR_NOT_FOUND ? RESEAT_OK : status;
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
    if (log_list(e->calls, e->request->dir, &logs, NULL) != RESEAT_OK)
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
    if (!replay_has_runs(known)) {
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

static bool is_run_of(const replay_fact *fact, const char *tip)
{
    return fact->type == RESEAT_RECORD_RUN && strcmp(fact->tip, tip) == 0;
}

/* Whether so many runs are later than one that those before them were not kept. */
static bool lies_deep(const replay_probe *known, const replay_fact *run)
{
    size_t later = 0;
    for (size_t i = 0; known && i < known->count; i++)
        later += is_run_of(&known->facts[i], run->tip) && known->facts[i].at > run->at;
    return later >= RESEAT_STATE_RUNS_MAX;
}

/* The same run twice is one. */
static reseat_status check_twice(const replay_probe *known, const replay_fact *run,
                                 reseat_error *error)
{
    for (size_t i = 0; known && i < known->count; i++)
        if (is_run_of(&known->facts[i], run->tip) && known->facts[i].at == run->at)
            return error_set(error, RESEAT_ERR_REFUSED, 0,
                             "a run of that probe, tip and time is recorded as %lld: if that is "
                             "wrong, void it first", (long long)known->facts[i].seq);
    return RESEAT_OK;
}

static bool same_pair(reseat_xy a, reseat_xy b)
{
    return !(a.x < b.x) && !(a.x > b.x) && !(a.y < b.y) && !(a.y > b.y);
}

/* What the run before left is no measurement of this one. */
static reseat_status check_found(const replay_probe *known, const replay_fact *run,
                                 reseat_error *error)
{
    const replay_fact *before = NULL;
    for (size_t i = 0; known && i < known->count; i++)
        if (is_run_of(&known->facts[i], run->tip) && known->facts[i].at < run->at)
            before = &known->facts[i];
    if (!before || same_pair(run->found_mm, run->run.offset_mm) ||
        !(same_pair(run->found_mm, before->run.offset_mm) ||
          same_pair(run->found_mm, before->in_use_mm)))
        return RESEAT_OK;
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "found is to the last digit what run %lld left: it is what this run measured "
                     "before the stylus was re-centred; type that, or leave it out",
                     (long long)before->seq);
}

/* A run against those on record of its probe and tip. */
static reseat_status check_run(entry *e, replay *read, const reseat_record *record,
                               reseat_error *error)
{
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    const replay_fact run = fact_of(record);
    reseat_status status = RESEAT_OK;
    if (read && lies_deep(replay_find(read, probe), &run))
        status = read_log(e, probe, run.tip, REPLAY_WHOLE, &read, error);
    const replay_probe *known = status == RESEAT_OK && read ? replay_find(read, probe) : NULL;
    const replay_tip *tip = known ? tip_with_runs(known, run.tip) : NULL;
    if (tip && fact_of(tip->run).at > run.at)
        e->done.run_in_force = fact_of(tip->run).seq;
    if (status == RESEAT_OK)
        status = check_twice(known, &run, error);
    return status == RESEAT_OK ? check_found(known, &run, error) : status;
}

/* What happened before the run in force says nothing of how the probe sits now. */
static reseat_status check_late(const entry *e, const reseat_state *state,
                                const reseat_record *record, reseat_error *error)
{
    const replay_fact fact = fact_of(record), run = fact_of(state->run);
    if (e->request->late || fact.at >= run.at)
        return RESEAT_OK;
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "this lies before run %lld, so it says nothing of how the probe sits now; "
                     "--late records it all the same", (long long)run.seq);
}

static bool has_run_by(const replay_probe *probe, int64_t time)
{
    for (size_t i = 0; i < probe->tips.count; i++) {
        const replay_tip *tip = probe->tips.items[i];
        if (tip->run && fact_of(tip->run).at <= time)
            return true;
    }
    return false;
}

/* The same of an event of the whole spindle, where it lies before the runs of all probes. */
static reseat_status check_common_late(entry *e, const reseat_record *record,
                                       reseat_error *error)
{
    replay *read = NULL;
    bool some = false;
    if (e->request->late || e->done.new_log)
        return RESEAT_OK;
    const reseat_status status = read_log(e, NULL, NULL, REPLAY_STATE, &read, error);
    for (size_t i = 1; status == RESEAT_OK && i < read->probes.count; i++) {
        if (has_run_by(read->probes.items[i], fact_of(record).at))
            return RESEAT_OK;
        some = some || replay_has_runs(read->probes.items[i]);
    }
    if (status != RESEAT_OK || !some)
        return status;
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "this lies before the runs of all probes, so it says nothing of how they sit "
                     "now; --late records it all the same");
}

/*
 * Of a seat that was read roughly the one that the keys allow is written down; where they allow
 * several, an interval that holds them.
 */
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
    if (status != RESEAT_OK)
        return status;
    if (meant.kind == RESEAT_SEAT_KEYS)
        meant = seat_widened(&typed);
    e->done.seat_deg = meant.seat_deg;
    e->done.snapped = meant.kind == RESEAT_SEAT_ANGLE && !(meant.within_deg > 0) &&
                      (fabs(meant.seat_deg - plane_seat(typed.seat_deg)) > 1e-9 ||
                       typed.within_deg > 0);
    return reseat_record_set_seat(record, &meant, error);
}

/* A verify is of the tip that the state is of. */
static reseat_status name_tip(const reseat_state *state, reseat_record *record,
                              reseat_error *error)
{
    if (reseat_record_has(record, RESEAT_FIELD_TIP) || strcmp(state->tip, "main") == 0)
        return RESEAT_OK;
    return reseat_record_set_text(record, RESEAT_FIELD_TIP, state->tip, error);
}

/* A reading of the run's gauge is a shift, unless that is typed as well. */
static reseat_status fill_shift(const reseat_state *state, reseat_record *record,
                                reseat_error *error)
{
    reseat_xy shift_mm = {0, 0};
    if (!reseat_record_has(record, RESEAT_FIELD_READING_X_MM) ||
        reseat_record_has(record, RESEAT_FIELD_SHIFT_X_MM))
        return RESEAT_OK;
    const reseat_xy reading_mm = pair_of(record, RESEAT_FIELD_READING_X_MM,
                                         RESEAT_FIELD_READING_Y_MM, shift_mm);
    reseat_status status =
        reseat_state_shift(state, reseat_record_text(record, RESEAT_FIELD_GAUGE_ID), reading_mm,
                           &shift_mm, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_SHIFT_X_MM, shift_mm.x, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_SHIFT_Y_MM, shift_mm.y, error);
    return status;
}

/* The tip whose run is the latest. */
static const replay_tip *latest_tip(const replay_probe *probe)
{
    const replay_tip *latest = NULL;
    replay_fact last = {.seq = -1};
    for (size_t i = 0; i < probe->tips.count; i++) {
        const replay_tip *tip = probe->tips.items[i];
        const replay_fact run = tip->run ? fact_of(tip->run) : last;
        if (tip->run && (!latest || fact_is_later(&run, &last))) {
            latest = tip;
            last = run;
        }
    }
    return latest;
}

/*
 * A reseat, event or verify against the state of its probe. All tips go out together: what is not
 * of one tip is held against the last that was measured.
 */
static reseat_status check_against_state(entry *e, const replay *read, reseat_record *record,
                                         reseat_error *error)
{
    const reseat_record_type type = reseat_record_type_of(record);
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    char tip[RESEAT_RECORD_NAME_MAX + 1]; /* a deeper reading may take the place of this one */
    reseat_state_request wanted = e->state;
    reseat_state state = {.run = NULL};
    wanted.probe = probe;
    wanted.tip = type == RESEAT_RECORD_VERIFY
                     ? reseat_record_text(record, RESEAT_FIELD_TIP)
                     : strcpy(tip, latest_tip(replay_find(read, probe))->name);
    reseat_status status = state_read_alone(wanted.folder, &wanted, &state, error);
    if (status == RESEAT_OK)
        status = check_late(e, &state, record, error);
    if (status == RESEAT_OK && type == RESEAT_RECORD_RESEAT)
        status = check_seat(e, &state, record, error);
    if (status == RESEAT_OK && type == RESEAT_RECORD_VERIFY)
        status = name_tip(&state, record, error);
    if (status == RESEAT_OK && type == RESEAT_RECORD_VERIFY)
        status = fill_shift(&state, record, error);
    reseat_state_free(&state);
    return status == RESEAT_ERR_NOT_FOUND ? RESEAT_ERR_REFUSED : status;
}

/* The run in force that a void is about. */
static reseat_status note_void(entry *e, const reseat_record *record, reseat_error *error)
{
    replay *read = NULL;
    const int64_t first = reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1);
    const int64_t last = reseat_record_integer(record, RESEAT_FIELD_VOIDS_TO, first);
    const reseat_status status = read_log(e, NULL, NULL, REPLAY_STATE, &read, error);
    for (size_t i = 1; status == RESEAT_OK && read && i < read->probes.count; i++) {
        const replay_probe *probe = read->probes.items[i];
        for (size_t k = 0; k < probe->tips.count; k++) {
            const replay_tip *tip = probe->tips.items[k];
            const int64_t run = tip->run ? fact_of(tip->run).seq : -1;
            if (run < first || run > last)
                continue;
            e->done.voided_run = run;
            for (size_t f = 0; f < probe->count; f++)
                if (probe->facts[f].type == RESEAT_RECORD_RUN &&
                    (probe->facts[f].seq < first || probe->facts[f].seq > last) &&
                    strcmp(probe->facts[f].tip, tip->name) == 0)
                    e->done.run_in_force = probe->facts[f].seq; /* the last of them */
        }
    }
    return status;
}

/* What the register says of the gauge of a run or check. */
static reseat_status fill_gauge(entry *e, reseat_record *record, reseat_error *error)
{
    const reseat_state_request asked = {.dir = e->request->dir};
    return gauges_fill(e->calls, &asked, record, &e->done.gauge, error);
}

/* A record of the register. */
static reseat_status check_register(entry *e, const reseat_record *record, reseat_error *error)
{
    reseat_recorded *d = &e->done;
    if (reseat_record_type_of(record) != RESEAT_RECORD_GAUGE)
        return RESEAT_OK;
    const reseat_status status = gauges_check(e->calls, e->request->dir, record, &d->new_gauge,
                                              &d->later_gauge, error);
    if (status != RESEAT_OK || !e->request->begin || d->new_gauge)
        return status;
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "--new: that gauge is in the register already; leave it out");
}

/* Whether a record says something of a probe that must not lie before its run. */
static bool is_of_state(reseat_record_type type)
{
    return type == RESEAT_RECORD_RESEAT || type == RESEAT_RECORD_EVENT ||
           type == RESEAT_RECORD_VERIFY;
}

static reseat_status check_entry(void *context, reseat_record *record, reseat_error *error)
{
    entry *e = context;
    const reseat_record_type type = reseat_record_type_of(record);
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    const char *tip = type == RESEAT_RECORD_RUN ? fact_of(record).tip : NULL;
    replay *read = NULL;
    if (log_is_register(e->request->spindle))
        return check_register(e, record, error);
    if (type == RESEAT_RECORD_VOID)
        return note_void(e, record, error);
    if (type == RESEAT_RECORD_REPAIR)
        return RESEAT_OK;
    reseat_status status = fill_gauge(e, record, error);
    if (status == RESEAT_OK)
        status = read_log(e, probe ? probe : "", tip, REPLAY_STATE, &read, error);
    if (status == RESEAT_OK)
        status = check_names(e, read, record, error);
    if (status == RESEAT_OK)
        status = check_begun(e, record, error);
    if (status != RESEAT_OK)
        return status;
    e->done.first_policy = type == RESEAT_RECORD_POLICY && (!read || read->policy_count == 0);
    if (type == RESEAT_RECORD_RUN)
        return check_run(e, read, record, error);
    if (type == RESEAT_RECORD_EVENT && !probe)
        return check_common_late(e, record, error);
    return is_of_state(type) && !e->done.new_probe ? check_against_state(e, read, record, error)
                                                   : RESEAT_OK;
}

reseat_status record_enter(const file_calls *calls, const reseat_record_request *request,
                           reseat_record *record, reseat_recorded *recorded, reseat_error *error)
{
    entry e = {.calls = calls,
               .request = request,
               .state = {.dir = request->dir, .spindle = request->spindle, .ahead = INT64_MAX,
                         .despite_damage = true},
               .done = {.voided_run = -1, .run_in_force = -1, .later_gauge = -1}};
    reseat_status status = folder_open(calls, request->dir, &e.state.folder);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    const bool dated = reseat_record_type_of(record) == RESEAT_RECORD_GAUGE &&
                       gauges_date(calls, record);
    reseat_append how = request->append;
    how.begin = request->begin;
    how.check = check_entry;
    how.context = &e;
    status = log_append(calls, request->dir, request->spindle, record, &how, &e.done.appended,
                        error);
    reseat_folder_close(e.state.folder);
    if (status == RESEAT_OK)
        *recorded = e.done;
    else if (dated)
        record_clear(record, RESEAT_FIELD_AT);
    return status;
}

reseat_status reseat_record_enter(const reseat_record_request *request, reseat_record *record,
                                  reseat_recorded *recorded, reseat_error *error)
{
    if (!request || !request->dir || !request->spindle || !record || !recorded)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return record_enter(&file_system_calls, request, record, recorded, error);
}
