/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "history/suspect.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/grow.h"
#include "history/state.h"
#include "maths/plane.h"
#include "reseat/history.h"

/* How things stand on the way through the facts. */
typedef struct state {
    bool known; /* what is in use */
    bool open;  /* since `good`, until it turns out otherwise */
    const suspect_fact *good;
    const suspect_fact *renewed; /* the first new stylus since, NULL if there is none */
    reseat_xy in_use_mm;
} state;

static bool exceeds(const state *s, const suspect_fact *f, double limit_mm, reseat_xy *error_mm)
{
    *error_mm = f->kind == SUSPECT_RUN ? xy_less(s->in_use_mm, f->found_mm) : f->error_mm;
    return reseat_plane_length(*error_mm) > limit_mm;
}

/* What a run finds of a new stylus was so from the change on, and not of the one before. */
static reseat_window window_of(const state *s, const suspect_fact *f, reseat_xy error_mm)
{
    const bool run = f->kind == SUSPECT_RUN;
    const suspect_fact *from = run && s->renewed ? s->renewed : s->good;
    return (reseat_window){.from_seq = from->seq, .to_seq = f->seq, .from = from->at,
                           .to = f->at, .expected_mm = s->in_use_mm,
                           .found_mm = run ? f->found_mm : xy_less(s->in_use_mm, error_mm),
                           .error_mm = error_mm};
}

/* The next run or gauge check: whether it shows a window. */
static bool take(state *s, const suspect_fact *f, double limit_mm, reseat_window *window)
{
    const bool run = f->kind == SUSPECT_RUN;
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

static bool is_finite(const suspect_fact *f)
{
    return isfinite(f->found_mm.x) && isfinite(f->found_mm.y) && isfinite(f->in_use_mm.x) &&
           isfinite(f->in_use_mm.y) && isfinite(f->error_mm.x) && isfinite(f->error_mm.y);
}

reseat_status suspect_find(const suspect_fact *facts, size_t count, double limit_mm,
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

    state s = {.open = false};
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        if (facts[i].kind == SUSPECT_RENEWED) {
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

/* What is collected of a log. */
typedef struct collection {
    const reseat_state *standing;
    int64_t until;
    suspect_fact *facts;
    size_t count;
    size_t room;
    int64_t *voided;
    size_t void_count;
    size_t void_room;
} collection;

static bool is_named(const reseat_record *record, reseat_field field, const char *absent,
                     const char *name)
{
    const char *text = reseat_record_text(record, field);
    return strcmp(text ? text : absent, name) == 0;
}

/* Whether a record is a fact about the probe and tip; which one in *f. */
static bool is_fact(const collection *c, const reseat_record *record, suspect_fact *f)
{
    static const reseat_xy none = {0, 0};
    const reseat_record_type type = reseat_record_type_of(record);
    const reseat_state *s = c->standing;
    const bool event = type == RESEAT_RECORD_EVENT;
    const char *all = event ? s->probe : ""; /* an event without a probe is the whole spindle's */
    if ((type != RESEAT_RECORD_RUN && type != RESEAT_RECORD_VERIFY && !event) ||
        !is_named(record, RESEAT_FIELD_PROBE, all, s->probe) ||
        (!event && !is_named(record, RESEAT_FIELD_TIP, "main", s->tip)))
        return false;
    const fact when = fact_of(record);
    *f = (suspect_fact){.kind = SUSPECT_RENEWED, .seq = when.seq, .at = when.at};
    if (event)
        return is_named(record, RESEAT_FIELD_KIND, "", "stylus-change");
    f->kind = type == RESEAT_RECORD_RUN ? SUSPECT_RUN : SUSPECT_CHECK;
    const reseat_xy offset =
        pair_of(record, RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM, none);
    f->found_mm = pair_of(record, RESEAT_FIELD_FOUND_X_MM, RESEAT_FIELD_FOUND_Y_MM, offset);
    f->in_use_mm = pair_of(record, RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM, offset);
    f->error_mm = pair_of(record, RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM, none);
    return true;
}

/* Keeps what matters of a record; false where there is no memory. */
static bool take_record(collection *c, const reseat_record *record)
{
    suspect_fact f;
    if (reseat_record_type_of(record) == RESEAT_RECORD_VOID) {
        int64_t *voided = grow(c->voided, c->void_count, &c->void_room, sizeof *voided);
        if (!voided)
            return false;
        c->voided = voided;
        voided[c->void_count++] = reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1);
    } else if (is_fact(c, record, &f) && f.at <= c->until) {
        suspect_fact *facts = grow(c->facts, c->count, &c->room, sizeof *facts);
        if (!facts)
            return false;
        c->facts = facts;
        facts[c->count++] = f;
    }
    return true;
}

static reseat_status take_log(collection *c, const reseat_state_request *query, reseat_log *log,
                              uint64_t *bad_lines, reseat_error *error)
{
    reseat_log_line line;
    reseat_status status = reseat_log_next(log, &line, error);
    for (; status == RESEAT_OK && line.state != RESEAT_LINE_NONE;) {
        reseat_record *record = NULL;
        const bool bad = line.state == RESEAT_LINE_TORN || line.state == RESEAT_LINE_DAMAGED;
        if (bad && !query->despite_damage)
            return standing_bad_line(log, query->spindle, &line, error);
        *bad_lines += bad;
        if (line.state == RESEAT_LINE_SOUND)
            status = standing_parse(query, log, &line, bad_lines, &record, error);
        if (status == RESEAT_OK && record && !take_record(c, record))
            status = error_plain(error, RESEAT_ERR_MEMORY);
        reseat_record_free(record);
        if (status == RESEAT_OK)
            status = reseat_log_next(log, &line, error);
    }
    return status;
}

static int by_time(const void *a, const void *b)
{
    const suspect_fact *left = a, *right = b;
    if (left->at != right->at)
        return left->at < right->at ? -1 : 1;
    return (left->seq > right->seq) - (left->seq < right->seq);
}

static void drop_voided(collection *c)
{
    size_t kept = 0;
    for (size_t i = 0; i < c->count; i++) {
        bool voided = false;
        for (size_t k = 0; k < c->void_count; k++)
            voided = voided || c->voided[k] == c->facts[i].seq;
        if (!voided)
            c->facts[kept++] = c->facts[i];
    }
    c->count = kept;
}

static reseat_status find_windows(collection *c, double limit_mm, reseat_suspect *suspect)
{
    drop_voided(c);
    if (c->count > 1)
        qsort(c->facts, c->count, sizeof c->facts[0], by_time);
    suspect->windows = calloc(c->count + 1, sizeof suspect->windows[0]);
    if (!suspect->windows)
        return RESEAT_ERR_MEMORY;
    const reseat_status status =
        suspect_find(c->facts, c->count, limit_mm, suspect->windows, &suspect->count);
    if (status != RESEAT_OK)
        free(suspect->windows);
    return status;
}

reseat_status reseat_suspect_read(const reseat_state_request *query,
                                  const reseat_state *standing, double limit_mm,
                                  reseat_suspect *suspect, reseat_error *error)
{
    if (!query || !standing || !suspect)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    collection c = {.standing = standing, .until = standing_horizon(query)};
    reseat_suspect result = {.count = 0};
    reseat_log *log = NULL;
    reseat_status status = reseat_log_open(query->dir, query->spindle, &log, error);
    if (status == RESEAT_OK)
        status = take_log(&c, query, log, &result.bad_lines, error);
    reseat_log_close(log);
    if (status == RESEAT_OK) {
        status = find_windows(&c, limit_mm, &result);
        if (status != RESEAT_OK)
            error_plain(error, status);
    }
    free(c.facts);
    free(c.voided);
    if (status == RESEAT_OK)
        *suspect = result;
    return status;
}

void reseat_suspect_free(reseat_suspect *suspect)
{
    if (!suspect)
        return;
    free(suspect->windows);
    *suspect = (reseat_suspect){.count = 0};
}
