/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What truly happens in the shop, and what of it people mean to record. */

#include "shop.h"

#include <math.h>
#include "maths/plane.h"
#include "shop_files.h"

#define OPENED 1767254400 /* 2026-01-01T08:00:00Z */
#define DAY 86400.0
#define PLAY_DEG 0.2

static reseat_xy plus(reseat_xy a, reseat_xy b)
{
    return (reseat_xy){a.x + b.x, a.y + b.y};
}

/* To a tenth of a micrometre, as lengths are typed. */
static reseat_xy as_typed(reseat_xy v)
{
    return (reseat_xy){round(v.x * 1e4) / 1e4, round(v.y * 1e4) / 1e4};
}

reseat_xy shop_offset(const shop *s, int log, int probe, int tip)
{
    const shop_probe *p = &s->probes[probe];
    const reseat_xy turned = plane_rotate(p->part_mm[tip], p->seat_deg + p->play_deg);
    return plus(s->spindles[log].part_mm, plus(turned, p->scatter_mm));
}

static void seat(shop *s, int probe, double seat_deg)
{
    shop_probe *p = &s->probes[probe];
    p->seat_deg = plane_seat(seat_deg);
    p->play_deg = PLAY_DEG * random_normal(&s->source);
    p->scatter_mm = shop_scatter(s, s->u_seat_mm);
}

/* How it happens to go in: the right way round more often than not. */
static double some_seat(shop *s, int log)
{
    const unsigned keys = s->spindles[log].policy.keys;
    if (s->manners.faultless || shop_chance(s, 0.55))
        return 0;
    return keys > 0 ? 360.0 / keys * shop_pick(s, (int)keys) : shop_between(s, 0, 360);
}

static void put_in(shop *s, int log, int probe, double seat_deg)
{
    shop_probe *p = &s->probes[probe];
    p->log = log;
    p->seated_at = s->now;
    seat(s, probe, seat_deg);
}

/* A fact about a probe in a spindle as it is now. */
static shop_note fact_of_now(const shop *s, reseat_record_type type, int log, int probe)
{
    return (shop_note){.type = type, .log = log, .probe = probe, .true_at = s->now,
                       .true_seat_deg = probe >= 0 ? s->probes[probe].seat_deg : 0,
                       .true_log = log, .true_probe = probe};
}

/* The seat as a person writes it down. */
static void read_seat(shop *s, int log, shop_note *fact)
{
    const bool turns_freely = s->spindles[log].policy.keys == 0;
    const double p = random_uniform(&s->source);
    fact->seat_known = true;
    fact->seat_deg = fact->true_seat_deg;
    if (s->manners.faultless)
        return;
    if (turns_freely)
        fact->seat_deg = round(fact->seat_deg);
    if (p < 0.15) {
        fact->seat_known = false;
    } else if (p < 0.25) { /* roughly, and said so */
        fact->within_deg = 5;
        fact->seat_deg += shop_between(s, -5, 5);
    } else if (p < 0.33) {
        fact->seat_deg += shop_between(s, -4, 4);
    }
}

static void calibrate_tip(shop *s, int log, int probe, int tip, const shop_note *seated)
{
    shop_control *control = &s->spindles[log].control[probe][tip];
    shop_note run = *seated;
    control->known = true;
    control->then_mm = shop_offset(s, log, probe, tip);
    control->in_use_mm = as_typed(plus(control->then_mm, shop_scatter(s, s->u_run_mm)));
    run.tip = run.true_tip = tip;
    run.offset_mm = control->in_use_mm;
    const shop_note *kept = shop_tell(s, &run);
    if (kept) /* control and log are typed from one slip of paper */
        control->in_use_mm = kept->offset_mm;
}

static void calibrate(shop *s, int log, int probe)
{
    const bool all = s->manners.faultless || shop_chance(s, 0.75);
    const int tips = s->probes[probe].tips, only = shop_pick(s, tips);
    shop_note run = fact_of_now(s, RESEAT_RECORD_RUN, log, probe);
    read_seat(s, log, &run);
    run.within_deg = 0;
    for (int tip = 0; tip < tips; tip++)
        if (all || tip == only)
            calibrate_tip(s, log, probe, tip, &run);
}

static void tell_reseat(shop *s, int log, int probe)
{
    shop_note fact = fact_of_now(s, RESEAT_RECORD_RESEAT, log, probe);
    read_seat(s, log, &fact);
    shop_tell(s, &fact);
}

/* Out and in again, for a battery say. */
static void reseat_by_hand(shop *s, int log, int probe)
{
    const bool kept = s->manners.faultless || shop_chance(s, 0.3);
    put_in(s, log, probe, kept ? s->probes[probe].seat_deg : some_seat(s, log));
    tell_reseat(s, log, probe);
}

static bool is_calibrated(const shop *s, int log, int probe)
{
    for (int tip = 0; tip < s->probes[probe].tips; tip++)
        if (!s->spindles[log].control[probe][tip].known)
            return false;
    return true;
}

/* Whether it was in the other spindle since it was calibrated in this one, as people know it. */
static bool was_away(const shop *s, int log, int probe)
{
    return s->probes[probe].log != log && s->probes[probe].log != SHOP_NOBODY;
}

/* From the shelf or the other spindle, in place of what is there. */
static void move(shop *s, int log, int probe)
{
    const bool away = was_away(s, log, probe);
    for (int other = 0; other < SHOP_PROBES; other++)
        if (s->probes[other].log == log && !s->spindles[log].policy.changer)
            s->probes[other].log = SHOP_NOBODY;
    put_in(s, log, probe, some_seat(s, log));
    s->now += 60;
    if (!is_calibrated(s, log, probe) || (away && s->manners.faultless) || shop_chance(s, 0.4))
        calibrate(s, log, probe);
    else
        tell_reseat(s, log, probe);
}

static void tell_event(shop *s, shop_kind kind, int log, int probe)
{
    shop_note fact = fact_of_now(s, RESEAT_RECORD_EVENT, log, probe);
    fact.kind = kind;
    shop_tell(s, &fact);
}

static void bend(shop *s, int probe, double sigma)
{
    shop_probe *p = &s->probes[probe];
    p->bent_at = s->now;
    for (int tip = 0; tip < p->tips; tip++)
        p->part_mm[tip] = plus(p->part_mm[tip], shop_scatter(s, sigma));
}

/* What calls for a calibration, which follows at once, or later, or not. */
static void follow_up(shop *s, int log, int probe)
{
    if (!s->manners.faultless && !shop_chance(s, 0.4))
        return;
    s->now += 600;
    calibrate(s, log, probe);
}

static void collide(shop *s, int log, int probe)
{
    shop_probe *p = &s->probes[probe];
    if (shop_chance(s, 0.7))
        bend(s, probe, 0.006);
    if (s->spindles[log].policy.keys == 0 && shop_chance(s, 0.3))
        put_in(s, log, probe, p->seat_deg + 10 * random_normal(&s->source));
    if (!s->manners.faultless && shop_chance(s, 0.4))
        return; /* nobody saw it */
    tell_event(s, SHOP_COLLISION, log, shop_chance(s, 0.2) ? SHOP_NOBODY : probe);
    if (s->manners.faultless)
        reseat_by_hand(s, log, probe);
    follow_up(s, log, probe);
}

static void change_stylus(shop *s, int log, int probe)
{
    bend(s, probe, 0.005);
    tell_event(s, SHOP_STYLUS_CHANGE, log, probe);
    follow_up(s, log, probe);
}

/* A gauge check of a tip, and what people do about one that failed. */
static void check_gauge(shop *s, int log, int probe)
{
    const int tip = shop_pick(s, s->probes[probe].tips);
    const shop_control *control = &s->spindles[log].control[probe][tip];
    shop_note fact = fact_of_now(s, RESEAT_RECORD_VERIFY, log, probe);
    if (!control->known)
        return;
    fact.tip = fact.true_tip = tip;
    fact.in_use_mm = control->in_use_mm;
    fact.shift_mm = as_typed(plus(xy_less(control->then_mm, shop_offset(s, log, probe, tip)),
                                  shop_scatter(s, s->u_shift_mm)));
    shop_tell(s, &fact);
    if (reseat_plane_length(fact.shift_mm) < s->spindles[log].policy.limit_mm)
        return;
    s->now += 300;
    if (shop_chance(s, 0.3))
        calibrate(s, log, probe);
    else if (shop_chance(s, 0.7)) /* wiped and put back, in the hope that it helps */
        reseat_by_hand(s, log, probe);
}

/* The spindle is taken apart, and its part measured anew where it was known. */
static void service(shop *s, int log)
{
    shop_spindle *spindle = &s->spindles[log];
    const reseat_xy change = shop_scatter(s, 0.002);
    spindle->serviced_at = s->now;
    spindle->part_mm = plus(spindle->part_mm, change);
    tell_event(s, SHOP_SERVICE, log, SHOP_NOBODY);
    if (spindle->policy.part_known) {
        spindle->policy.part_mm = as_typed(spindle->part_mm);
        shop_tell_policy(s, log);
    }
    for (int probe = 0; probe < SHOP_PROBES; probe++)
        if (s->probes[probe].log == log && is_calibrated(s, log, probe))
            follow_up(s, log, probe);
}

static void set_clock(shop *s, int log)
{
    const bool right = !shop_chance(s, s->manners.clock);
    s->spindles[log].clock_off = right ? 0 : (int64_t)shop_between(s, -DAY, DAY);
}

/* Time passes: parts wander, and a changer puts its probes away and takes them out again. */
static void pass(shop *s)
{
    const double days = shop_chance(s, 0.4) ? shop_between(s, 0, 0.3)
                                            : -4 * log(random_uniform(&s->source));
    s->now += 60 + (int64_t)(days * DAY);
    for (int probe = 0; probe < SHOP_PROBES; probe++) {
        shop_probe *p = &s->probes[probe];
        for (int tip = 0; tip < p->tips; tip++)
            p->part_mm[tip] = plus(p->part_mm[tip], shop_scatter(s, sqrt(s->growth_mm2 * days)));
        if (p->log != SHOP_NOBODY && s->spindles[p->log].policy.changer)
            seat(s, probe, p->seat_deg);
    }
}

/* A probe that is in a spindle; SHOP_NOBODY if there is none. */
static int pick_placed(shop *s, int log)
{
    const int first = shop_pick(s, SHOP_PROBES);
    for (int i = 0; i < SHOP_PROBES; i++)
        if (s->probes[(first + i) % SHOP_PROBES].log == log)
            return (first + i) % SHOP_PROBES;
    return SHOP_NOBODY;
}

static void happen(shop *s, int log, int probe)
{
    const double p = random_uniform(&s->source);
    if (p < 0.3)
        calibrate(s, log, probe);
    else if (p < 0.53)
        reseat_by_hand(s, log, probe);
    else if (p < 0.62)
        collide(s, log, probe);
    else if (p < 0.66)
        change_stylus(s, log, probe);
    else if (p < 0.86)
        check_gauge(s, log, probe);
    else if (p < 0.88)
        service(s, log);
    else if (p < 0.9)
        tell_event(s, SHOP_OTHER, log, probe);
    else if (p < 0.95)
        set_clock(s, log);
}

void shop_step(shop *s)
{
    pass(s);
    shop_tell_pending(s);
    const int log = shop_pick(s, SHOP_LOGS), placed = pick_placed(s, log);
    const int other = shop_pick(s, SHOP_PROBES);
    if (placed == SHOP_NOBODY || (s->probes[other].log != log && shop_chance(s, 0.3)))
        move(s, log, other);
    else
        happen(s, log, placed);
}

static void open_spindle(shop *s, int log)
{
    shop_spindle *spindle = &s->spindles[log];
    shop_policy *policy = &spindle->policy;
    const double p = random_uniform(&s->source);
    spindle->part_mm = shop_scatter(s, 0.0015);
    spindle->serviced_at = OPENED;
    policy->changer = shop_chance(s, 0.35);
    policy->keys = p < 0.1 ? 1 : p < 0.6 ? 2 : 0;
    policy->limit_mm = s->manners.faultless ? shop_between(s, 0.008, 0.012)
                                            : shop_between(s, 0.003, 0.012);
    policy->part_known = shop_chance(s, 0.5);
    policy->part_mm = as_typed(spindle->part_mm);
    if (!s->manners.faultless)
        set_clock(s, log);
    shop_tell_policy(s, log);
}

void shop_open(shop *s, uint64_t seed, const shop_manners *manners)
{
    *s = (shop){.source = {seed | 1}, .manners = *manners, .now = OPENED};
    for (int i = 0; i < 8; i++) /* seeds that are near each other part */
        (void)random_uniform(&s->source);
    s->u_run_mm = shop_between(s, 0.0003, 0.001);
    s->u_seat_mm = shop_between(s, 0.0003, 0.001);
    s->u_shift_mm = 0.0005;
    s->growth_mm2 = 1e-6 / 30 * random_uniform(&s->source);
    shop_files_clear();
    for (int probe = 0; probe < SHOP_PROBES; probe++) {
        shop_probe *p = &s->probes[probe];
        p->log = SHOP_NOBODY;
        p->tips = 1 + shop_pick(s, SHOP_TIPS);
        p->bent_at = OPENED;
        for (int tip = 0; tip < p->tips; tip++)
            p->part_mm[tip] = shop_scatter(s, 0.007);
    }
    for (int log = 0; log < SHOP_LOGS; log++) {
        open_spindle(s, log);
        move(s, log, log);
    }
}
