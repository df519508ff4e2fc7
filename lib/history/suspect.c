/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* When results were doubtful, as it turned out later. */

#include "history/suspect.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "history/state.h"
#include "history/target.h"
#include "maths/plane.h"

/* What is known on the way through the facts. */
typedef struct known_good {
    bool known; /* what is in use */
    bool open;  /* since `good`, until it turns out otherwise */
    const replay_fact *good;
    const replay_fact *renewed; /* the first new stylus since, NULL if there is none */
    reseat_xy in_use_mm;
} known_good;

static bool exceeds(const known_good *s, const replay_fact *f, double limit_mm,
                    reseat_xy *error_mm)
{
    *error_mm = f->type == RESEAT_RECORD_RUN ? xy_less(s->in_use_mm, f->found_mm) : f->shift_mm;
    return reseat_plane_length(*error_mm) > limit_mm;
}

/* What a run finds of a new stylus was so from the change on, and not of the one before. */
static reseat_window window_of(const known_good *s, const replay_fact *f, reseat_xy error_mm)
{
    const bool run = f->type == RESEAT_RECORD_RUN;
    const replay_fact *from = run && s->renewed ? s->renewed : s->good;
    return (reseat_window){.from_seq = from->seq, .to_seq = f->seq, .from = from->at,
                           .to = f->at, .expected_mm = s->in_use_mm,
                           .found_mm = run ? f->found_mm : xy_less(s->in_use_mm, error_mm),
                           .error_mm = error_mm};
}

/* The next run or gauge check: whether it shows a window. */
static bool take(known_good *s, const replay_fact *f, double limit_mm, reseat_window *window)
{
    const bool run = f->type == RESEAT_RECORD_RUN;
    reseat_xy error_mm;
    const bool wrong = exceeds(s, f, limit_mm, &error_mm);
    const bool at_once = run && s->renewed && s->renewed->at == f->at;
    const bool shows = s->open && wrong && !at_once;
    if (shows)
        *window = window_of(s, f, error_mm);
    if (run) {
        s->known = true;
        s->in_use_mm = f->in_use_mm;
    }
    s->open = run || (s->known && !wrong);
    s->good = f;
    s->renewed = NULL;
    return shows;
}

/* Differences of finite offsets may overflow. */
static bool is_window_finite(const reseat_window *w)
{
    return isfinite(reseat_plane_length(w->error_mm)) && isfinite(reseat_plane_length(w->found_mm));
}

static bool is_finite(const replay_fact *f)
{
    return isfinite(f->found_mm.x) && isfinite(f->found_mm.y) && isfinite(f->in_use_mm.x) &&
           isfinite(f->in_use_mm.y) && isfinite(f->shift_mm.x) && isfinite(f->shift_mm.y);
}

reseat_status suspect_find(const replay_fact *facts, size_t count, double limit_mm,
                           reseat_window *windows, size_t *found)
{
    if ((count > 0 && (!facts || !windows)) || !found)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(limit_mm))
        return RESEAT_ERR_NOT_FINITE;
    if (!(limit_mm > 0))
        return RESEAT_ERR_RANGE;
    for (size_t i = 0; i < count; i++)
        if (!is_finite(&facts[i]))
            return RESEAT_ERR_NOT_FINITE;

    known_good s = {.open = false};
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        if (facts[i].event == EVENT_STYLUS_CHANGE) {
            s.renewed = s.renewed ? s.renewed : &facts[i];
            continue;
        }
        if (!take(&s, &facts[i], limit_mm, &windows[n]))
            continue;
        if (!is_window_finite(&windows[n]))
            return RESEAT_ERR_NOT_FINITE;
        n++;
    }
    *found = n;
    return RESEAT_OK;
}

/* The error that a gauge check found, by its shift and what the control added at either time. */
static reseat_xy error_of(const replay_fact *check, const replay_fact *run)
{
    if (check->anew)
        return xy_less(run->in_use_mm, check->shift_mm);
    const reseat_xy then = check->in_use_known ? check->in_use_mm : run->in_use_mm;
    const reseat_xy missed = xy_less(run->in_use_mm, run->run.offset_mm),
                    changed = xy_less(run->in_use_mm, then);
    return (reseat_xy){check->shift_mm.x + missed.x + changed.x,
                       check->shift_mm.y + missed.y + changed.y};
}

/* Whether a fact says something of a tip here. */
static bool is_about(const replay_fact *fact, const char *tip)
{
    return fact->event == EVENT_STYLUS_CHANGE ||
           ((fact->type == RESEAT_RECORD_RUN || fact->type == RESEAT_RECORD_VERIFY) &&
            strcmp(fact->tip, tip) == 0);
}

static reseat_status find_windows(const replay *read, const reseat_state *state, double limit_mm,
                                  reseat_suspect *suspect)
{
    replay_cursor cursor = {.read = read, .probe = replay_find(read, state->probe)};
    const size_t most = replay_find(read, "")->count + (cursor.probe ? cursor.probe->count : 0);
    replay_fact *facts = calloc(most + 1, sizeof *facts);
    reseat_window *windows = calloc(most + 1, sizeof *windows);
    const replay_fact *fact, *run = NULL;
    size_t count = 0;
    reseat_status status = facts && windows ? RESEAT_OK : RESEAT_ERR_MEMORY;
    while (status == RESEAT_OK && replay_next(&cursor, &fact))
        if (is_about(fact, state->tip)) {
            facts[count] = *fact;
            if (fact->type == RESEAT_RECORD_RUN)
                run = fact;
            else if (run)
                facts[count].shift_mm = error_of(fact, run);
            count++;
        }
    if (status == RESEAT_OK)
        status = suspect_find(facts, count, limit_mm, windows, &suspect->count);
    free(facts);
    if (status == RESEAT_OK)
        suspect->windows = windows;
    else
        free(windows);
    return status;
}

reseat_status reseat_suspect_read(const reseat_state_request *request, const reseat_state *state,
                                  double limit_mm, reseat_suspect *suspect, reseat_error *error)
{
    reseat_folder *folder = NULL;
    replay *read = NULL;
    reseat_suspect found = {.count = 0};
    if (!request || !request->dir || !request->spindle || !state || !suspect)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_status status = folder_borrow(request, &folder);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    status = target_history(folder, request, state, &read, &found.bad_lines, error);
    if (status == RESEAT_OK) {
        status = find_windows(read, state, limit_mm, &found);
        if (status != RESEAT_OK)
            error_plain(error, status);
    }
    folder_release(request, folder);
    if (status == RESEAT_OK)
        *suspect = found;
    return status;
}

void reseat_suspect_free(reseat_suspect *suspect)
{
    if (!suspect)
        return;
    free(suspect->windows);
    *suspect = (reseat_suspect){.count = 0};
}
