/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How far the probe may be turned, and how far off the ball may sit, before a limit is used up. */

#include "reseat/verdict.h"

#include <math.h>
#include "worst_seat.h"

#define BISECTIONS 60         /* narrows a degree, or a limit, to the last bit */
#define NO_TURN_DEG 1e-9      /* a turn smaller than this is none */

static reseat_status check(const reseat_estimate *estimate, double limit_mm, double confidence,
                           const double *out)
{
    if (!estimate || !out)
        return RESEAT_ERR_ARGUMENT;
    return reseat_check_limit(limit_mm, confidence);
}

/* Both questions are about a probe that goes out and comes back, and whose seat is not checked. */
static reseat_estimate put_back(const reseat_estimate *estimate)
{
    reseat_estimate back = *estimate;
    back.out = true;
    back.verified = false;
    return back;
}

static reseat_status holds_either_way(const reseat_estimate *estimate, double turn_deg,
                                      double limit_mm, double confidence, bool *holds)
{
    double one = 0, other = 0;
    reseat_status status = reseat_estimate_chance(estimate, turn_deg, limit_mm, &one);
    if (status == RESEAT_OK)
        status = reseat_estimate_chance(estimate, -turn_deg, limit_mm, &other);
    if (status == RESEAT_OK)
        *holds = fmin(one, other) >= confidence;
    return status;
}

reseat_status reseat_verdict_allowed_turn(const reseat_estimate *estimate, double limit_mm,
                                          double confidence, double *turn_deg)
{
    reseat_status status = check(estimate, limit_mm, confidence, turn_deg);
    if (status != RESEAT_OK)
        return status;
    const reseat_estimate back = put_back(estimate);

    /* The first whole degree that fails, then the turn between it and the one before. */
    int degree = -1;
    bool holds = true;
    while (status == RESEAT_OK && holds && degree < 180)
        status = holds_either_way(&back, ++degree, limit_mm, confidence, &holds);
    double low = holds ? 180 : degree - 1, high = degree;
    for (int i = 0; status == RESEAT_OK && !holds && degree > 0 && i < BISECTIONS; i++) {
        const double middle = low + (high - low) / 2;
        bool middle_holds = false;
        status = holds_either_way(&back, middle, limit_mm, confidence, &middle_holds);
        *(middle_holds ? &low : &high) = middle;
    }
    if (status == RESEAT_OK)
        *turn_deg = low < NO_TURN_DEG ? 0 : low;
    return status;
}

static reseat_status offset_holds(const reseat_estimate *estimate, double turning_mm,
                                  reseat_xy direction, double limit_mm, double confidence,
                                  bool *holds)
{
    reseat_estimate moved = put_back(estimate);
    moved.offset_mm = (reseat_xy){moved.spindle_mm.x + turning_mm * direction.x,
                                  moved.spindle_mm.y + turning_mm * direction.y};
    moved.in_use_mm = moved.offset_mm;
    double chance = 0;
    const reseat_status status = reseat_estimate_chance(&moved, 180, limit_mm, &chance);
    if (status == RESEAT_OK)
        *holds = chance >= confidence;
    return status;
}

reseat_status reseat_verdict_allowed_offset(const reseat_estimate *estimate, double limit_mm,
                                            double confidence, double *offset_mm)
{
    reseat_status status = check(estimate, limit_mm, confidence, offset_mm);
    if (status != RESEAT_OK)
        return status;
    const reseat_xy direction = reseat_plane_unit(
        reseat_plane_bearing((reseat_xy){estimate->offset_mm.x - estimate->spindle_mm.x,
                                         estimate->offset_mm.y - estimate->spindle_mm.y}));

    /* Below a confidence of one half, half a turn may cost more than the limit: widen. */
    double low = 0, high = limit_mm;
    bool holds = true;
    status = offset_holds(estimate, 0, direction, limit_mm, confidence, &holds);
    if (status == RESEAT_OK && !holds)
        high = 0;
    while (status == RESEAT_OK && holds) {
        status = offset_holds(estimate, high, direction, limit_mm, confidence, &holds);
        if (holds) {
            low = high;
            high *= 2;
        }
    }
    for (int i = 0; status == RESEAT_OK && high > low && i < BISECTIONS; i++) {
        const double middle = low + (high - low) / 2;
        status = offset_holds(estimate, middle, direction, limit_mm, confidence, &holds);
        *(holds ? &low : &high) = middle;
    }
    if (status == RESEAT_OK)
        *offset_mm = low;
    return status;
}
