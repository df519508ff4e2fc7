/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How facts get into the logs: right, with slips, late, or not at all. */

#include "shop.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "history/state.h"
#include "maths/plane.h"
#include "shop_files.h"

const char *shop_log_name(int log)
{
    static const char *const names[SHOP_LOGS] = {"mill-1", "mill-2"};
    return names[log];
}

const char *shop_probe_name(int probe)
{
    static const char *const names[2 * SHOP_PROBES] = {"P1", "P2", "P3", "P11", "P22", "P33"};
    return names[probe];
}

const char *shop_tip_name(int tip)
{
    static const char *const names[SHOP_TIPS] = {"main", "side"};
    return names[tip];
}

static void demand(reseat_status status, const char *what, const reseat_error *error)
{
    if (status == RESEAT_OK)
        return;
    fprintf(stderr, "shop: %s: %s\n", what, error ? error->text : "");
    exit(2);
}

static void set(reseat_record *record, reseat_field field, double value)
{
    reseat_error error;
    demand(reseat_record_set_number(record, field, value, &error), "a number", &error);
}

static void say(reseat_record *record, reseat_field field, const char *text)
{
    reseat_error error;
    demand(reseat_record_set_text(record, field, text, &error), "a text", &error);
}

static void set_pair(reseat_record *record, reseat_field x, reseat_xy value)
{
    set(record, x, value.x);
    set(record, (reseat_field)(x + 1), value.y); /* Y follows X */
}

static void fill_seat(const shop_note *note, reseat_record *record)
{
    const reseat_seat seat = {.kind = note->seat_known ? RESEAT_SEAT_ANGLE : RESEAT_SEAT_UNKNOWN,
                              .seat_deg = note->seat_known ? note->seat_deg : 0,
                              .within_deg = note->seat_known ? note->within_deg : 0};
    demand(reseat_record_set_seat(record, &seat, NULL), "a seat", NULL);
}

static void fill(const shop *s, const shop_note *note, reseat_record *record)
{
    static const char *const kinds[] = {"collision", "stylus-change", "service", "other"};
    if (note->type != RESEAT_RECORD_VOID && note->probe != SHOP_NOBODY)
        say(record, RESEAT_FIELD_PROBE, shop_probe_name(note->probe));
    if (note->at_typed)
        demand(reseat_record_set_integer(record, RESEAT_FIELD_AT, note->at, NULL), "at", NULL);
    if ((note->type == RESEAT_RECORD_RUN || note->type == RESEAT_RECORD_VERIFY) && note->tip > 0)
        say(record, RESEAT_FIELD_TIP, shop_tip_name(note->tip));
    switch (note->type) {
    case RESEAT_RECORD_RUN:
        fill_seat(note, record);
        set_pair(record, RESEAT_FIELD_OFFSET_X_MM, note->offset_mm);
        set(record, RESEAT_FIELD_OFFSET_U_MM, s->u_run_mm);
        break;
    case RESEAT_RECORD_RESEAT: fill_seat(note, record); break;
    case RESEAT_RECORD_EVENT: say(record, RESEAT_FIELD_KIND, kinds[note->kind]); break;
    case RESEAT_RECORD_VERIFY:
        set_pair(record, RESEAT_FIELD_SHIFT_X_MM, note->shift_mm);
        set(record, RESEAT_FIELD_SHIFT_U_MM, s->u_shift_mm);
        set_pair(record, RESEAT_FIELD_IN_USE_X_MM, note->in_use_mm);
        break;
    default:
        demand(reseat_record_set_integer(record, RESEAT_FIELD_VOIDS, note->voids, NULL), "voids",
               NULL);
        say(record, RESEAT_FIELD_WHY, "mistyped");
    }
}

/* Notes what went in, as the log has it. */
static const shop_note *note_down(shop *s, const shop_note *note, const reseat_record *record)
{
    if (s->count == SHOP_NOTES)
        demand(RESEAT_ERR_SPACE, "too many notes", NULL);
    shop_note *kept = &s->notes[s->count++];
    *kept = *note;
    kept->seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1);
    kept->at = reseat_record_integer(record, RESEAT_FIELD_AT, shop_clock);
    if (reseat_record_has(record, RESEAT_FIELD_TIP)) /* a gauge check gets one that is left out */
        kept->tip = strcmp(reseat_record_text(record, RESEAT_FIELD_TIP), shop_tip_name(1)) == 0;
    kept->seat_known = reseat_record_has(record, RESEAT_FIELD_SEAT_DEG) &&
                       !reseat_record_is_null(record, RESEAT_FIELD_SEAT_DEG);
    kept->seat_deg = reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, 0);
    kept->within_deg = reseat_record_number(record, RESEAT_FIELD_WITHIN_DEG, 0);
    s->spindles[note->log].written = shop_clock;
    return kept;
}

/* Types one record, at the machine where it happened; NULL where it was refused. */
static const shop_note *enter(shop *s, const shop_note *note, bool begin, bool late)
{
    const reseat_record_request request = {.dir = SHOP_DIR, .spindle = shop_log_name(note->log),
                                           .begin = begin, .late = late};
    reseat_record *record = NULL;
    reseat_recorded recorded;
    reseat_error error;
    demand(reseat_record_new(note->type, &record), "a record", NULL);
    fill(s, note, record);
    shop_clock = s->now + s->spindles[note->true_log].clock_off;
    const reseat_status status = record_enter(&shop_calls, &request, record, &recorded, &error);
    const shop_note *kept = status == RESEAT_OK ? note_down(s, note, record) : NULL;
    reseat_record_free(record);
    s->typed++;
    s->refused += status == RESEAT_ERR_REFUSED;
    if (status != RESEAT_ERR_REFUSED && status != RESEAT_ERR_NOT_FOUND)
        demand(status, "a record", &error);
    return kept;
}

/* The last run on record of a probe, of one tip or of any; NULL: there is none. */
static shop_note *last_run(shop *s, int log, int probe, int tip)
{
    shop_note *last = NULL;
    for (size_t i = 0; i < s->count; i++) {
        shop_note *n = &s->notes[i];
        if (n->type == RESEAT_RECORD_RUN && !n->voided && n->log == log && n->probe == probe &&
            (tip < 0 || n->tip == tip) && (!last || n->at >= last->at))
            last = n;
    }
    return last;
}

/* Whether a person who knows the probe would say that it is new in that log. */
static bool is_new(shop *s, const shop_note *fact)
{
    return fact->type == RESEAT_RECORD_RUN && !last_run(s, fact->log, fact->probe, fact->tip);
}

static bool has_seat(const shop_note *note)
{
    return note->type == RESEAT_RECORD_RUN || note->type == RESEAT_RECORD_RESEAT;
}

/* What is mistyped. */
static void spoil(shop *s, shop_note *note)
{
    const unsigned keys = s->spindles[note->log].policy.keys;
    const double p = random_uniform(&s->source);
    if (p < 0.2 && note->probe >= 0)
        note->probe += SHOP_PROBES;
    else if (p < 0.3 && note->probe >= 0)
        note->probe = (note->probe + 1) % SHOP_PROBES;
    else if (p < 0.45)
        note->log = 1 - note->log;
    else if (p < 0.55) {
        note->at = s->now + s->spindles[note->true_log].clock_off - 86400;
        note->at_typed = true;
    } else if (p < 0.75 && note->type == RESEAT_RECORD_RUN)
        note->offset_mm.x = -note->offset_mm.x;
    else if (p < 0.8 && note->type == RESEAT_RECORD_RUN)
        note->tip = (note->tip + 1) % s->probes[note->true_probe].tips;
    else if (p < 0.9 && has_seat(note) && note->seat_known)
        note->seat_deg += keys > 0 ? 360.0 / keys : 180;
    else if (has_seat(note) && note->seat_known)
        note->seat_deg += 8 * random_normal(&s->source);
}

static void void_note(shop *s, shop_note *wrong)
{
    const shop_note how = {.type = RESEAT_RECORD_VOID, .log = wrong->log, .probe = SHOP_NOBODY,
                           .voids = wrong->seq, .true_log = wrong->true_log, .true_at = s->now};
    if (enter(s, &how, false, false))
        wrong->voided = true;
}

/* A run that a wrong clock put too late is taken back and recorded at its time. */
static void mend_run(shop *s, shop_note *run)
{
    shop_note again = *run;
    again.at = run->true_at;
    again.at_typed = true;
    void_note(s, run);
    if (run->voided)
        enter(s, &again, is_new(s, &again), false);
}

/* What a person tries whose record was refused though it was typed right. */
static const shop_note *insist(shop *s, const shop_note *fact, bool begin)
{
    shop_note typed = *fact;
    const shop_note *kept = NULL;
    if (!typed.at_typed && s->now + s->spindles[fact->true_log].clock_off <
                               s->spindles[fact->log].written) {
        typed.at_typed = true;
        typed.at = s->now;
        kept = enter(s, &typed, begin, false);
    }
    if (kept || typed.type == RESEAT_RECORD_RUN || fact->probe < 0)
        return kept;
    shop_note *run = last_run(s, fact->log, fact->probe, -1);
    if (!run || (typed.at_typed ? typed.at : s->now + s->spindles[fact->true_log].clock_off) >=
                    run->at)
        return NULL;
    if (run->true_at > fact->true_at)
        return enter(s, &typed, begin, true);
    if (!shop_chance(s, 0.5))
        return NULL;
    mend_run(s, run);
    return enter(s, &typed, begin, false);
}

/* Typed wrong and refused: typed right, insisted upon as new, or let be. */
static const shop_note *retype(shop *s, const shop_note *fact, const shop_note *typed,
                               bool begin)
{
    const double p = random_uniform(&s->source);
    if (p < 0.7) {
        const shop_note *kept = enter(s, fact, begin, false);
        return kept ? kept : insist(s, fact, begin);
    }
    return p < 0.8 ? enter(s, typed, true, false) : NULL;
}

const shop_note *shop_tell(shop *s, const shop_note *fact)
{
    const bool begin = is_new(s, fact);
    shop_note typed = *fact;
    if (shop_chance(s, s->manners.forget)) {
        if (shop_chance(s, 0.4) && s->pending_count < SHOP_PENDING)
            s->pending[s->pending_count++] = *fact;
        return NULL;
    }
    const bool slips = shop_chance(s, s->manners.slip);
    if (slips)
        spoil(s, &typed);
    const size_t place = s->count;
    const shop_note *kept = enter(s, &typed, begin, false);
    if (!kept)
        return slips ? retype(s, fact, &typed, begin) : insist(s, fact, begin);
    if (slips && shop_chance(s, 0.25)) { /* it is noticed */
        void_note(s, &s->notes[place]);
        kept = enter(s, fact, is_new(s, fact), false);
    } else if (slips && shop_chance(s, 0.2)) {
        enter(s, &typed, false, false); /* twice */
    }
    return kept;
}

void shop_tell_pending(shop *s)
{
    for (size_t i = 0; i < s->pending_count; i++) {
        shop_note late = s->pending[i];
        if (!shop_chance(s, 0.2))
            continue;
        s->pending[i--] = s->pending[--s->pending_count];
        late.at_typed = true;
        late.at = late.true_at;
        if (!enter(s, &late, is_new(s, &late), false))
            insist(s, &late, is_new(s, &late));
    }
}

void shop_tell_policy(shop *s, int log)
{
    const shop_policy *policy = &s->spindles[log].policy;
    const reseat_record_request request = {.dir = SHOP_DIR, .spindle = shop_log_name(log),
                                           .begin = s->spindles[log].written == 0};
    reseat_record *record = NULL;
    reseat_recorded recorded;
    reseat_error error;
    char seats[32] = "any";
    if (policy->keys > 0)
        snprintf(seats, sizeof seats, "keys:%u", policy->keys);
    demand(reseat_record_new(RESEAT_RECORD_POLICY, &record), "a policy", NULL);
    say(record, RESEAT_FIELD_SEATS, seats);
    say(record, RESEAT_FIELD_RESEATS, policy->changer ? "changer" : "logged");
    set(record, RESEAT_FIELD_LIMIT_MM, policy->limit_mm);
    set(record, RESEAT_FIELD_U_SEAT_MM, s->u_seat_mm);
    set(record, RESEAT_FIELD_LOBING_MM, 0);
    if (policy->part_known)
        set_pair(record, RESEAT_FIELD_SPINDLE_X_MM, policy->part_mm);
    shop_clock = s->now + s->spindles[log].clock_off;
    demand(record_enter(&shop_calls, &request, record, &recorded, &error), "policy", &error);
    s->spindles[log].written = shop_clock;
    reseat_record_free(record);
}
