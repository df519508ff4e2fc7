/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The worst of the possible seats against a scan of them, twice as fine as the search's own grid
 * and beside it; and up to the turn that is allowed the chance must hold.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "input.h"
#include "model/verdict.h"
#include "model/seat.h"
#include "model/estimate.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define STEPS 720

static reseat_xy take_pair(input *in, double most)
{
    const double x = take_between(in, -most, most);
    return (reseat_xy){x, take_between(in, -most, most)};
}

static void take_curve(input *in, reseat_radius_curve *curve)
{
    memset(curve, 0, sizeof *curve);
    curve->mean_mm = take_between(in, 0.25, 5);
    curve->residual_mm = take_between(in, 0, 0.001);
    curve->directions = 24;
    curve->order = 1 + take_byte(in) % RESEAT_RADIUS_ORDER_MAX;
    for (size_t k = 1; k <= curve->order; k++) {
        curve->cosine_mm[k] = take_between(in, -0.002, 0.002);
        curve->sine_mm[k] = take_between(in, -0.002, 0.002);
    }
}

static reseat_question take_question(input *in, reseat_radius_curve *curve)
{
    const unsigned bits = take_byte(in);
    reseat_question q = {.confidence = 0.95, .limit_mm = take_size(in, -4, -1)};
    reseat_estimate *e = &q.estimate;
    reseat_terms *t = &e->terms;
    e->offset_mm = take_pair(in, bits & 1 ? 1 : 0.02);
    e->in_use_mm = bits & 2 ? take_pair(in, 0.02) : e->offset_mm;
    e->spindle_mm = take_pair(in, bits & 4 ? 0.02 : 0);
    e->out = bits & 8;
    t->u_run_mm = take_between(in, 0, 0.003);
    t->u_seat_mm = take_between(in, 0, 0.003);
    t->u_turn_deg = take_between(in, 0, 1);
    t->u_spindle_mm = take_between(in, 0, 0.003);
    t->u_touch_mm = take_between(in, 0, 0.001);
    t->lobing_mm = take_between(in, 0, 0.004);
    q.turns = (reseat_turns){.range = true, .first_deg = take_between(in, -180, 180),
                             .width_deg = take_between(in, 0, 360), .out = e->out};
    if (bits & 16) {
        take_curve(in, curve);
        e->curve = curve;
    }
    return q;
}

static double chance_at(const reseat_question *q, double turn_deg)
{
    double chance;
    require(estimate_chance(&q->estimate, turn_deg, q->limit_mm, &chance) == RESEAT_OK);
    return chance;
}

static void check_worst(const reseat_question *q, double beside)
{
    seat_search search;
    double least = 1;
    require(worst_seat(q, &search) == RESEAT_OK);
    for (int i = 0; i < STEPS; i++)
        least = fmin(least, chance_at(q, q->turns.first_deg +
                                             q->turns.width_deg * (i + beside) / STEPS));
    require(search.worst.chance_within <= least + 1e-9);
    require(fabs(search.worst.chance_within - chance_at(q, search.worst.turn_deg)) <= 1e-12);
    require(seat_has_turn(&q->turns, search.worst.turn_deg));
}

static void check_allowed(reseat_question *q)
{
    double allowed_deg;
    require(verdict_allowed_turn(&q->estimate, q->limit_mm, q->confidence,
                                 &allowed_deg) == RESEAT_OK);
    q->estimate.out = true;
    for (int i = -64; i <= 64 && allowed_deg > 0; i++)
        require(chance_at(q, allowed_deg * i / 64) >= q->confidence - 1e-9);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    input in = {data, size};
    const double beside = take_between(&in, 0, 1);
    reseat_radius_curve curve;
    reseat_question q = take_question(&in, &curve);
    check_worst(&q, beside);
    check_allowed(&q);
    return 0;
}
