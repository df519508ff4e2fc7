/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "history/folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/named.h"
#include "log/file.h"

/* What was last read of a log. */
typedef struct folder_log {
    char name[RESEAT_LOG_NAME_SIZE];
    replay *read;
} folder_log;

struct reseat_folder {
    const file_calls *calls;
    char *dir;
    bool many;       /* all probes of a log were asked for, so those of others will be */
    bool listed;     /* all logs there are in the list */
    named_list logs; /* folder_log */
    reseat_tip *tips; /* those last given */
    gauge_register gauges;
};

reseat_status folder_open(const file_calls *calls, const char *dir, reseat_folder **folder)
{
    reseat_folder *made = calloc(1, sizeof *made);
    char *copy = malloc(strlen(dir) + 1);
    if (!made || !copy) {
        free(made);
        free(copy);
        return RESEAT_ERR_MEMORY;
    }
    made->calls = calls;
    made->dir = memcpy(copy, dir, strlen(dir) + 1);
    *folder = made;
    return RESEAT_OK;
}

reseat_status reseat_folder_open(const char *dir, reseat_folder **folder)
{
    return dir && folder ? folder_open(&file_system_calls, dir, folder) : RESEAT_ERR_ARGUMENT;
}

void reseat_folder_close(reseat_folder *folder)
{
    if (!folder)
        return;
    for (size_t i = 0; i < folder->logs.count; i++)
        replay_free(((folder_log *)folder->logs.items[i])->read);
    named_free(&folder->logs);
    free(folder->tips);
    gauges_free(&folder->gauges);
    free(folder->dir);
    free(folder);
}

reseat_status folder_borrow(const reseat_state_request *request, reseat_folder **folder)
{
    *folder = request->folder;
    return *folder ? RESEAT_OK : reseat_folder_open(request->dir, folder);
}

void folder_release(const reseat_state_request *request, reseat_folder *folder)
{
    if (!request->folder)
        reseat_folder_close(folder);
}

gauge_register *folder_gauges(reseat_folder *folder)
{
    return &folder->gauges;
}

int64_t request_horizon(const reseat_state_request *request)
{
    const int64_t room = INT64_MAX - (request->as_of > 0 ? request->as_of : 0);
    return request->as_of + (request->ahead < room ? request->ahead : room);
}

static bool is_same(const char *a, const char *b)
{
    return (!a && !b) || (a && b && strcmp(a, b) == 0);
}

/* Whether a reading holds what is asked for; one for the state of a probe may have ended early. */
static bool holds(const replay *read, const replay_request *request)
{
    const replay_request *had = &read->request;
    if (had->horizon != request->horizon || had->known != request->known)
        return false;
    if (had->depth == REPLAY_STATE && request->depth == REPLAY_STATE)
        return is_same(had->probe, request->probe) && is_same(had->tip, request->tip);
    return had->depth == REPLAY_WHOLE && (!had->probe || is_same(had->probe, request->probe));
}

static reseat_status read_log(reseat_folder *folder, folder_log *log,
                              const replay_request *request, replay **read, reseat_error *error)
{
    replay_request wanted = *request;
    replay *fresh = NULL;
    wanted.calls = folder->calls;
    wanted.dir = folder->dir;
    wanted.spindle = log->name;
    const bool other = log->read && wanted.probe && !holds(log->read, &wanted) &&
                       !is_same(log->read->request.probe, wanted.probe);
    if (folder->many || other) {
        wanted.probe = NULL;
        wanted.depth = REPLAY_WHOLE;
    }
    if (!log->read || !holds(log->read, &wanted)) {
        const reseat_status status = replay_read(&wanted, &fresh, error);
        if (status != RESEAT_OK)
            return status;
        log = named_make(&folder->logs, fresh->spindle, sizeof *log);
        if (!log) {
            replay_free(fresh);
            return error_plain(error, RESEAT_ERR_MEMORY);
        }
        replay_free(log->read);
        log->read = fresh;
    }
    *read = log->read;
    return RESEAT_OK;
}

reseat_status folder_read(reseat_folder *folder, const replay_request *request, replay **read,
                          reseat_error *error)
{
    const reseat_status status = log_check_name(request->spindle, error);
    if (status != RESEAT_OK)
        return status;
    folder_log *log = named_make(&folder->logs, request->spindle, sizeof *log);
    return log ? read_log(folder, log, request, read, error)
               : error_plain(error, RESEAT_ERR_MEMORY);
}

/* Puts all logs of the folder into the list. */
static reseat_status list_logs(reseat_folder *folder, reseat_error *error)
{
    reseat_log_names names;
    reseat_status status = log_list(folder->calls, folder->dir, &names, error);
    if (status != RESEAT_OK)
        return status;
    folder->listed = true;
    for (size_t i = 0; i < names.count; i++)
        if (!named_make(&folder->logs, names.names[i], sizeof(folder_log)))
            folder->listed = false;
    reseat_log_names_free(&names);
    return folder->listed ? RESEAT_OK : error_plain(error, RESEAT_ERR_MEMORY);
}

static reseat_status list_probes(const replay *read, named_list *names, reseat_error *error)
{
    for (size_t i = 0; i < read->probes.count; i++) {
        const replay_probe *probe = read->probes.items[i];
        if (replay_has_runs(probe) && !named_make(names, probe->name, sizeof probe->name))
            return error_plain(error, RESEAT_ERR_MEMORY);
    }
    return RESEAT_OK;
}

/* Whether a run names a probe that is on the list already. */
static bool is_listed(const named_list *list, const walk_step *step)
{
    for (size_t i = 0; step->seen.probe && i < list->count; i++)
        if (!glance_is_of_other(&step->seen, list->items[i]))
            return true;
    return false;
}

static reseat_status take_name(const replay_request *request, named_list *list,
                               const walk_step *step)
{
    reseat_record *record = NULL;
    if (step->line.state != RESEAT_LINE_SOUND || step->voided_by >= 0 ||
        step->type != RESEAT_RECORD_RUN || is_listed(list, step))
        return RESEAT_OK;
    reseat_status status = record_parse(step->line.text, (size_t)step->line.length,
                                               &record, NULL);
    if (status != RESEAT_OK)
        return status == RESEAT_ERR_MEMORY ? status : RESEAT_OK;
    if (fact_of(record).at <= request->horizon &&
        !named_make(list, reseat_record_text(record, RESEAT_FIELD_PROBE),
                    RESEAT_RECORD_NAME_MAX + 1))
        status = RESEAT_ERR_MEMORY;
    reseat_record_free(record);
    return status;
}

/* The probes with runs of a log, without a look at seals. */
static reseat_status glance_names(const replay_request *request, named_list *names,
                                  reseat_error *error)
{
    log_reader *log = NULL;
    log_walk walk;
    walk_step step = {.line.state = RESEAT_LINE_SOUND};
    reseat_status status = replay_open(request, &log, error);
    if (status != RESEAT_OK)
        return status;
    walk_start(&walk, log);
    log->lines.trusting = true;
    while (status == RESEAT_OK && step.line.state != RESEAT_LINE_NONE) {
        status = walk_previous(&walk, &step, error);
        if (status == RESEAT_OK && take_name(request, names, &step) != RESEAT_OK)
            status = error_plain(error, RESEAT_ERR_MEMORY);
    }
    walk_end(&walk);
    log_close(log);
    return status;
}

reseat_status folder_names(reseat_folder *folder, const replay_request *request,
                           named_list *names, reseat_error *error)
{
    const reseat_status status = log_check_name(request->spindle, error);
    if (status != RESEAT_OK)
        return status;
    replay_request wanted = *request;
    const folder_log *log = named_find(&folder->logs, wanted.spindle);
    wanted.calls = folder->calls;
    wanted.dir = folder->dir;
    wanted.probe = NULL;
    return log && log->read && holds(log->read, &wanted) ? list_probes(log->read, names, error)
                                            : glance_names(&wanted, names, error);
}

static bool is_use(const replay_fact *fact)
{
    return fact->type == RESEAT_RECORD_RUN || fact->event == EVENT_COLLISION ||
           fact->event == EVENT_STYLUS_CHANGE;
}

static reseat_state_event event_of(const replay *read, const replay_fact *fact)
{
    reseat_state_event event = {.seq = fact->seq, .at = fact->at, .type = fact->type};
    memcpy(event.log, read->spindle, sizeof event.log);
    return event;
}

/* Keeps the first use of all; of two at one time that of the earlier log. */
static void take_use(const replay *read, const replay_fact *fact, reseat_state_event *use)
{
    if (use->seq < 0 || fact->at < use->at)
        *use = event_of(read, fact);
}

/* Keeps the last of all evidence; of two at one time not that of the log that is asked about. */
static void take_evidence(const replay *read, const replay_fact *fact,
                          reseat_state_event *evidence)
{
    if (evidence->seq < 0 || fact->at > evidence->at ||
        (fact->at == evidence->at && !evidence->log[0]))
        *evidence = event_of(read, fact);
}

/* The first use of the probe since its run that a log tells of, and the last evidence. */
static void take_facts(const replay *read, int64_t since, int64_t seated, reseat_state *state)
{
    const replay_probe *own = replay_find(read, state->probe);
    for (size_t i = 0; own && i < own->count; i++) {
        const replay_fact *fact = &own->facts[i];
        if (is_use(fact) && fact->at >= since)
            take_use(read, fact, &state->events[RESEAT_REASON_ELSEWHERE]);
        if (fact->at >= seated)
            take_evidence(read, fact, &state->evidence);
    }
}

/*
 * Bad lines of another log count where the probe may have been used there since; *lost is the first
 * of those that were sealed off with nobody having looked at them, UINT64_MAX if there is none.
 */
static reseat_status check_other(const replay *read, int64_t since, bool despite,
                                 uint64_t *bad_lines, uint64_t *lost, reseat_error *error)
{
    uint64_t from = 0;
    reseat_status status = RESEAT_OK;
    *lost = UINT64_MAX;
    if (read->bad_count + read->lost.count > 0 && !read->request.known)
        status = replay_first_written(read, since, &from, error);
    for (size_t i = 0; status == RESEAT_OK && i < read->lost.count; i++)
        if (!read->lost.pieces[i].repair && read->lost.pieces[i].from >= from)
            *lost = read->lost.pieces[i].from; /* the last of them comes first */
    return status == RESEAT_OK ? replay_check(read, from, despite, bad_lines, error) : status;
}

/* What was lost in a log that names the probe may have been its use there, or a collision. */
static reseat_status note_lost(const replay *read, uint64_t lost, reseat_state *state,
                               reseat_error *error)
{
    state->reasons |= 1u << RESEAT_REASON_LOST_RECORDS;
    if (state->lost++ > 0)
        return RESEAT_OK;
    memcpy(state->lost_log, read->spindle, sizeof state->lost_log);
    return replay_number(read, lost, &state->lost_line, error);
}

/*
 * Whether what can be read of a log names the probe at any time. What a later version wrote may
 * name it in its own way.
 */
static bool names_probe(reseat_folder *folder, folder_log *log, const replay_request *request)
{
    replay_request wanted = *request;
    replay *read = NULL;
    wanted.depth = REPLAY_WHOLE;
    wanted.horizon = INT64_MAX;
    wanted.known = 0;
    if (read_log(folder, log, &wanted, &read, NULL) != RESEAT_OK ||
        replay_find(read, request->probe))
        return true;
    for (size_t i = 0; i < read->bad_count; i++)
        if (read->bad[i].later_version >= 0)
            return true;
    return false;
}

static reseat_status look_into(reseat_folder *folder, folder_log *log,
                               const replay_request *request, int64_t seated, bool despite,
                               reseat_state *state, reseat_error *error)
{
    replay *read = NULL;
    uint64_t lost = UINT64_MAX;
    reseat_status status = read_log(folder, log, request, &read, error);
    if (status == RESEAT_ERR_DAMAGED && despite) {
        state->bad_lines++; /* a file under another log's name */
        return RESEAT_OK;
    }
    if (status != RESEAT_OK)
        return status;
    take_facts(read, request->since, seated, state);
    status = check_other(read, request->since, despite, &state->bad_lines, &lost, error);
    if (status == RESEAT_OK && lost != UINT64_MAX && names_probe(folder, log, request))
        status = note_lost(log->read, lost, state, error);
    if (status != RESEAT_ERR_DAMAGED)
        return status;
    /* that the probe was used is known, whatever else was there */
    if (state->events[RESEAT_REASON_ELSEWHERE].seq >= 0)
        return RESEAT_OK;
    if (names_probe(folder, log, request))
        return status;
    memcpy(state->bad_log, log->name, sizeof state->bad_log);
    return RESEAT_OK;
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

reseat_status folder_find_use(reseat_folder *folder, const reseat_state_request *request,
                              int64_t seated, reseat_state *state, reseat_error *error)
{
    const replay_request wanted = {
        .probe = state->probe, .horizon = request_horizon(request), .depth = REPLAY_SINCE,
        .known = request->as_known,
        .since = reseat_record_integer(state->run, RESEAT_FIELD_AT, 0)};
    reseat_status status = folder->listed ? RESEAT_OK : list_logs(folder, error);
    if (status != RESEAT_OK)
        return status;
    for (size_t i = 0; status == RESEAT_OK && i < folder->logs.count; i++) {
        folder_log *log = folder->logs.items[i];
        if (strcmp(log->name, request->spindle) != 0)
            status = look_into(folder, log, &wanted, seated, request->despite_damage, state,
                               error);
    }
    if (status != RESEAT_OK && status != RESEAT_ERR_MEMORY && error)
        explain(error, state->probe);
    return status;
}

/* The tips with runs of a reading, by probe and tip; how many, or SIZE_MAX without memory. */
static size_t list_tips(const replay *read, const reseat_state_request *request,
                        reseat_tip **tips)
{
    size_t count = 0, room = 0;
    for (size_t i = 1; i < read->probes.count; i++) {
        const replay_probe *probe = read->probes.items[i];
        for (size_t k = 0; k < probe->tips.count; k++) {
            const replay_tip *tip = probe->tips.items[k];
            if (!tip->run || (request->probe && strcmp(request->probe, probe->name) != 0) ||
                (request->tip && strcmp(request->tip, tip->name) != 0))
                continue;
            reseat_tip *more = grow(*tips, count, &room, sizeof *more);
            if (!more)
                return SIZE_MAX;
            *tips = more;
            more[count++] = (reseat_tip){probe->name, tip->name};
        }
    }
    return count;
}

reseat_status reseat_folder_tips(const reseat_state_request *request, const reseat_tip **tips,
                                 size_t *count, reseat_error *error)
{
    if (!request || !request->folder || !request->spindle || !tips || !count)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_folder *folder = request->folder;
    const replay_request wanted = {.spindle = request->spindle, .probe = request->probe,
                                   .horizon = request_horizon(request), .depth = REPLAY_WHOLE,
                                   .known = request->as_known};
    replay *read = NULL;
    uint64_t ignored = 0;
    folder->many = folder->many || !request->probe;
    reseat_status status = folder_read(folder, &wanted, &read, error);
    if (status == RESEAT_OK)
        status = replay_check(read, 0, request->despite_damage, &ignored, error);
    if (status != RESEAT_OK)
        return status;
    free(folder->tips);
    folder->tips = NULL;
    const size_t found = list_tips(read, request, &folder->tips);
    if (found == SIZE_MAX)
        return error_plain(error, RESEAT_ERR_MEMORY);
    *tips = folder->tips;
    *count = found;
    return RESEAT_OK;
}
