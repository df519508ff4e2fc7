/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the records say of a probe, told from the notes of them and not by the library. */

#include "shop.h"

#include <math.h>
#include "maths/plane.h"

typedef struct reader {
    const shop *s;
    int log, probe, tip;
    bool by_truth;
} reader;

static int64_t time_of(const reader *r, const shop_note *n)
{
    return r->by_truth ? n->true_at : n->at;
}

/* Nothing orders two logs at one time: then it counts as later. */
static bool is_later(const reader *r, const shop_note *n, const shop_note *than)
{
    const int64_t a = time_of(r, n), b = time_of(r, than);
    return a > b || (a == b && (n->log != than->log || n->seq > than->seq));
}

static bool is_here(const reader *r, const shop_note *n)
{
    return !n->voided && n->log == r->log && n->probe == r->probe;
}

static bool is_tip(const reader *r, const shop_note *n, reseat_record_type type)
{
    return is_here(r, n) && n->type == type && n->tip == r->tip;
}

/* The last note of a type of the tip, later than another unless that is NULL. */
static const shop_note *last_of(const reader *r, reseat_record_type type, const shop_note *than)
{
    const shop_note *last = NULL;
    for (size_t i = 0; i < r->s->count; i++) {
        const shop_note *n = &r->s->notes[i];
        if (is_tip(r, n, type) && (!than || is_later(r, n, than)) &&
            (!last || is_later(r, n, last)))
            last = n;
    }
    return last;
}

/* Who put it in last, as far as a seat was noted: a run, a reseat, a run of the other tip. */
static const shop_note *last_seating(const reader *r, const shop_note *run)
{
    const shop_note *last = run;
    for (size_t i = 0; i < r->s->count; i++) {
        const shop_note *n = &r->s->notes[i];
        const bool tells = n->type == RESEAT_RECORD_RESEAT ||
                           (n->type == RESEAT_RECORD_RUN && n->tip != r->tip && n->seat_known);
        if (is_here(r, n) && tells && is_later(r, n, last))
            last = n;
    }
    return last;
}

static bool is_use(const shop_note *n)
{
    return n->type == RESEAT_RECORD_RUN ||
           (n->type == RESEAT_RECORD_EVENT &&
            (n->kind == SHOP_COLLISION || n->kind == SHOP_STYLUS_CHANGE));
}

/* The last note that shows it out since: in the other log, or another probe in this one. */
static const shop_note *last_evidence(const reader *r, const shop_note *seating)
{
    const bool changer = r->s->spindles[r->log].policy.changer;
    const shop_note *last = NULL;
    for (size_t i = 0; i < r->s->count; i++) {
        const shop_note *n = &r->s->notes[i];
        const bool other = n->log == r->log && n->probe >= 0 && n->probe != r->probe &&
                           n->type != RESEAT_RECORD_EVENT && !changer;
        if (!n->voided && n->type != RESEAT_RECORD_VOID &&
            ((n->log != r->log && n->probe == r->probe) || other) && is_later(r, n, seating) &&
            (!last || is_later(r, n, last)))
            last = n;
    }
    return last;
}

static void read_events(const reader *r, shop_reading *out)
{
    for (size_t i = 0; i < r->s->count; i++) {
        const shop_note *n = &r->s->notes[i];
        if (n->voided || !is_later(r, n, out->run))
            continue;
        if (n->log == r->log && n->type == RESEAT_RECORD_EVENT && n->kind != SHOP_OTHER &&
            (n->probe == r->probe || n->probe == SHOP_NOBODY))
            out->bent = true;
        if (n->log != r->log && n->probe == r->probe && is_use(n))
            out->elsewhere = true;
    }
}

static double by_turn(reseat_xy q, double turn_deg)
{
    return 2 * reseat_plane_length(q) * fabs(sin(turn_deg * 3.14159265358979323846 / 360));
}

/* The part of the run's offset that turns, as far as the policy tells. */
static reseat_xy turning(const reader *r, const shop_note *run)
{
    const shop_policy *policy = &r->s->spindles[r->log].policy;
    return policy->part_known ? xy_less(run->offset_mm, policy->part_mm) : run->offset_mm;
}

/* The largest error over the seats that are possible. */
static double worst_by_turn(const reader *r, const shop_reading *out)
{
    const reseat_xy q = turning(r, out->run);
    const unsigned keys = r->s->spindles[r->log].policy.keys;
    double worst = 0;
    if (out->known && out->within_deg >= 180)
        return by_turn(q, 180);
    if (out->known)
        for (int end = -1; end <= 1; end++)
            worst = fmax(worst, by_turn(q, out->turn_deg + end * out->within_deg));
    else if (keys == 0)
        worst = by_turn(q, 180);
    else
        for (unsigned k = 0; k < keys; k++)
            worst = fmax(worst, by_turn(q, k * 360.0 / keys));
    return worst;
}

/* The error that a gauge check found in what the control adds now. */
static reseat_xy error_by_check(const shop_note *run, const shop_note *check)
{
    return (reseat_xy){check->shift_mm.x + run->offset_mm.x - check->in_use_mm.x,
                       check->shift_mm.y + run->offset_mm.y - check->in_use_mm.y};
}

/*
 * Whether the last gauge check since the run found what no turn at all comes near: the stylus was
 * bent, and no reseat mends that. It is wide of all turns by more than the limit, and by more than
 * 2.6 standard deviations of a sound one: two seatings, the run at either end of a turn and growth
 * are at most 0.0036 mm, with a spindle part that is not known to 0.002 mm 0.0054 mm.
 */
static bool found_bent(const reader *r, const shop_note *run)
{
    const shop_note *check = last_of(r, RESEAT_RECORD_VERIFY, run);
    if (!check)
        return false;
    const shop_policy *policy = &r->s->spindles[r->log].policy;
    const reseat_xy q = turning(r, run), left = xy_less(q, error_by_check(run, check));
    return fabs(reseat_plane_length(left) - reseat_plane_length(q)) >
           fmax(policy->limit_mm, 2.6 * (policy->part_known ? 0.0036 : 0.0054));
}

/*
 * Whether a later run of the other tip, at the seat of the one before it, found its offset beyond
 * the limit from that: no rule counts it against this tip, but whoever reads it has a doubt.
 */
static bool other_moved(const reader *r, const shop_note *run)
{
    const reader other = {.s = r->s, .log = r->log, .probe = r->probe, .tip = 1 - r->tip,
                          .by_truth = r->by_truth};
    const shop_note *after = last_of(&other, RESEAT_RECORD_RUN, run), *before = NULL;
    for (size_t i = 0; after && i < r->s->count; i++) {
        const shop_note *n = &r->s->notes[i];
        if (is_tip(&other, n, RESEAT_RECORD_RUN) && !is_later(r, n, run) &&
            (!before || is_later(r, n, before)))
            before = n;
    }
    return before && before->seat_known && after->seat_known &&
           fabs(reseat_plane_turn(before->seat_deg - after->seat_deg)) < 1 &&
           reseat_plane_length(xy_less(before->offset_mm, after->offset_mm)) >
               r->s->spindles[r->log].policy.limit_mm;
}

static void read_seat(const reader *r, shop_reading *out)
{
    const shop_note *seating = last_seating(r, out->run);
    const shop_note *evidence = last_evidence(r, seating);
    const shop_note *check = last_of(r, RESEAT_RECORD_VERIFY, seating);
    out->check = check && (!evidence || !is_later(r, evidence, check)) ? check : NULL;
    out->known = !evidence && (seating == out->run || (seating->seat_known &&
                                                        out->run->seat_known));
    if (out->known && seating != out->run) {
        out->turn_deg = reseat_plane_turn(seating->seat_deg - out->run->seat_deg);
        out->within_deg = seating->within_deg;
    }
}

shop_reading shop_read(const shop *s, int log, int probe, int tip, bool by_truth)
{
    const reader r = {.s = s, .log = log, .probe = probe, .tip = tip, .by_truth = by_truth};
    shop_reading out = {.run = last_of(&r, RESEAT_RECORD_RUN, NULL)};
    if (!out.run)
        return out;
    read_events(&r, &out);
    read_seat(&r, &out);
    out.unexplained = found_bent(&r, out.run);
    out.other_moved = other_moved(&r, out.run);
    out.error_mm = out.check ? reseat_plane_length(error_by_check(out.run, out.check))
                             : worst_by_turn(&r, &out);
    out.contradicts = out.bent || out.elsewhere || out.unexplained ||
                      out.error_mm > s->spindles[log].policy.limit_mm;
    return out;
}
