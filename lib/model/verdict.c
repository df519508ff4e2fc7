/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "model/verdict.h"

#include <math.h>
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/radius.h"
#include "model/seat.h"
#include "reseat/probe.h"

const char *reseat_reason_code(reseat_reason reason)
{
    static const char *const codes[RESEAT_REASON_COUNT] = {
        [RESEAT_REASON_ERROR_EXCEEDS_LIMIT] = "error-exceeds-limit",
        [RESEAT_REASON_CHANCE_BELOW_CONFIDENCE] = "chance-below-confidence",
        [RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY] = "limit-below-uncertainty",
        [RESEAT_REASON_COLLISION] = "collision",
        [RESEAT_REASON_STYLUS_CHANGE] = "stylus-change",
        [RESEAT_REASON_SERVICE] = "service",
        [RESEAT_REASON_TOO_OLD] = "too-old",
        [RESEAT_REASON_ELSEWHERE] = "elsewhere",
        [RESEAT_REASON_DAMAGE_IGNORED] = "damage-ignored",
        [RESEAT_REASON_LOST_RECORDS] = "lost-records",
        [RESEAT_REASON_UNEXPLAINED_SHIFT] = "unexplained-shift",
        [RESEAT_REASON_UNLIKE_BEFORE] = "unlike-before",
    };
    return (size_t)reason < RESEAT_REASON_COUNT ? codes[reason] : "";
}

/* What the log holds against the run, whatever the figures. */
static unsigned in_log(unsigned reasons)
{
    return reasons & ~(1u << RESEAT_REASON_DAMAGE_IGNORED);
}

reseat_status reseat_verdict_question(reseat_xy offset_mm, double run_deg,
                                      const reseat_seat *seat, reseat_question *question)
{
    if (!question)
        return RESEAT_ERR_ARGUMENT;
    if (!xy_is_finite(offset_mm))
        return RESEAT_ERR_NOT_FINITE;
    reseat_question result = {
        .estimate = {.offset_mm = offset_mm, .in_use_mm = offset_mm, .terms = terms_assumed()},
        .confidence = RESEAT_CONFIDENCE,
    };
    const reseat_status status = seat_turns(seat, run_deg, true, NULL, &result.turns);
    if (status != RESEAT_OK)
        return status;
    result.estimate.out = result.turns.out;
    *question = result;
    return RESEAT_OK;
}

/*
 * Whether the verdict would turn if what was assumed vanished (RECALIBRATE) or doubled (OK). The
 * seat that was worst most often settles it: one seat that fails is enough.
 */
static bool assumptions_decide(const reseat_question *question, const reseat_outcome *worst,
                               reseat_status *status)
{
    const bool within = worst->chance_within >= question->confidence;
    reseat_question other = *question;
    terms_scale_assumed(&other.estimate.terms, within ? 2 : 0);
    double chance =
        estimate_chance_or_nan(&other.estimate, worst->turn_deg, question->limit_mm, status);
    if (chance >= question->confidence) {
        seat_search search;
        *status = worst_seat(&other, &search);
        chance = search.worst.chance_within;
    }
    return (chance >= question->confidence) != within;
}

/* Chance with nothing wrong but the scatter: no turn, the run's offset in use. */
static double chance_without_error(const reseat_question *question, bool out, reseat_status *status)
{
    reseat_estimate still = question->estimate;
    still.in_use_mm = still.offset_mm;
    still.shift_mm = (reseat_xy){0, 0};
    still.out = out;
    return estimate_chance_or_nan(&still, 0, question->limit_mm, status);
}

static unsigned find_reasons(const reseat_question *question, const reseat_outcome *worst,
                             reseat_status *status)
{
    unsigned reasons = question->reasons;
    if (worst->chance_within >= question->confidence)
        return reasons;
    reasons |= 1u << (worst->error_length_mm > question->limit_mm
                          ? RESEAT_REASON_ERROR_EXCEEDS_LIMIT
                          : RESEAT_REASON_CHANCE_BELOW_CONFIDENCE);
    if (chance_without_error(question, question->estimate.out, status) < question->confidence)
        reasons |= 1u << RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY;
    return reasons;
}

static void fill_budget(const reseat_estimate *estimate, reseat_answer *answer)
{
    const reseat_terms *t = &estimate->terms;
    const bool lobes = radius_shows_lobes(estimate->curve);
    const double turn_deg = answer->worst.turn_deg;
    const double lobing_mm = lobes ? radius_change_u(estimate->curve, turn_deg)
                                   : estimate_hidden(estimate, turn_deg);
    const bool measured = lobes || lobing_mm > radius_hidden_change(t->lobing_mm, turn_deg);
    double sine, cosine;
    plane_sincos(reseat_plane_turn(turn_deg) / 2, &sine, &cosine);

    /* a gauge check's shift stands for all that is calculated without one, less the run */
    const bool shown = !estimate->verified;
    const bool out = estimate->verified ? estimate->shift_reseated : estimate->out;
    const double drift_mm = estimate->verified ? estimate->shift_drift_mm : t->u_drift_mm;
    const struct {
        bool shown;
        reseat_term term;
        double u_mm;
    } rows[] = {
        {shown || !estimate->shift_anew, RESEAT_TERM_RUN, t->u_run_mm},
        {!shown, RESEAT_TERM_SHIFT, estimate->shift_u_mm},
        {shown || out, RESEAT_TERM_SEAT, out ? sqrt(2.0) * t->u_seat_mm : 0},
        {shown, RESEAT_TERM_TURN,
         sqrt(2.0) * answer->turning_mm * t->u_turn_deg * RADIANS_PER_DEGREE},
        {shown, RESEAT_TERM_SPINDLE, fabs(2 * sine) * t->u_spindle_mm},
        {shown, RESEAT_TERM_TOUCH, t->u_touch_mm},
        {true, RESEAT_TERM_DRIFT, drift_mm},
        {true, RESEAT_TERM_LOBING, lobing_mm},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const bool assumed = (t->assumed & 1u << rows[i].term) &&
                             !(measured && rows[i].term == RESEAT_TERM_LOBING);
        if (rows[i].shown)
            answer->budget[answer->budget_count++] =
                (reseat_budget_row){rows[i].term, rows[i].u_mm, assumed};
    }
}

/* The largest row of the budget; of what scatters without a turn, if so asked. */
static const reseat_budget_row *largest_row(const reseat_answer *answer, bool unturned)
{
    const reseat_budget_row *largest = &answer->budget[0];
    for (size_t i = 1; i < answer->budget_count; i++) {
        const reseat_budget_row *row = &answer->budget[i];
        const bool of_turn = row->term == RESEAT_TERM_SPINDLE || row->term == RESEAT_TERM_LOBING;
        if (row->u_mm > largest->u_mm && !(unturned && of_turn))
            largest = row;
    }
    return largest;
}

/* The one step that helps most. */
static void choose_next(const reseat_question *question, bool some_seat_is_well,
                        bool new_run_is_well, reseat_answer *answer)
{
    const bool one_seat = question->turns.range ? !(question->turns.width_deg > 0)
                                                : question->turns.count == 1;
    const bool too_fine = answer->reasons & 1u << RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY;
    const bool exceeds = answer->reasons & 1u << RESEAT_REASON_ERROR_EXCEEDS_LIMIT;
    const reseat_budget_row *largest = largest_row(answer, too_fine);
    answer->next_term = largest->term;

    if (answer->ok)
        answer->next = RESEAT_NEXT_NONE;
    else if (in_log(question->reasons))
        answer->next = RESEAT_NEXT_CALIBRATE; /* no measurement of today undoes what happened */
    else if (one_seat && exceeds && new_run_is_well)
        answer->next = RESEAT_NEXT_CALIBRATE; /* no smaller scatter makes up for the error */
    else if (too_fine)
        answer->next = RESEAT_NEXT_BETTER_U;
    else if (!one_seat)
        answer->next = some_seat_is_well ? RESEAT_NEXT_GAUGE_CHECK : RESEAT_NEXT_RECORD_SEAT;
    else if (largest->term == RESEAT_TERM_SPINDLE)
        answer->next = RESEAT_NEXT_SPINDLE_PART;
    else
        answer->next = RESEAT_NEXT_BETTER_U;
}

static reseat_status fill_allowed(const reseat_question *question, reseat_answer *answer)
{
    reseat_status status = seat_any(answer->turning_mm, question->limit_mm, &answer->any);
    if (status == RESEAT_OK)
        status = verdict_allowed_turn(&question->estimate, question->limit_mm,
                                      question->confidence, &answer->allowed_turn_deg);
    if (status == RESEAT_OK)
        status = verdict_allowed_offset(&question->estimate, question->limit_mm,
                                        question->confidence, &answer->allowed_offset_mm);
    return status;
}

reseat_status reseat_verdict_decide(const reseat_question *question, reseat_answer *answer)
{
    if (!question || !answer)
        return RESEAT_ERR_ARGUMENT;
    reseat_answer result = {.seats_named = question->turns.run_known};
    seat_search search;
    reseat_status status = verdict_check_limit(question->limit_mm, question->confidence);
    if (status == RESEAT_OK)
        status = worst_seat(question, &search);
    if (status == RESEAT_OK)
        status = shown_seats(question, &search.worst, result.seats, &result.count);
    if (status != RESEAT_OK)
        return status;

    const reseat_estimate *e = &question->estimate;
    bool new_run_is_well = false;
    result.worst = search.worst;
    result.turning_mm = reseat_plane_length(xy_less(e->offset_mm, e->spindle_mm));
    result.reasons = find_reasons(question, &search.worst, &status);
    if (!in_log(question->reasons))
        result.assumed_decides = assumptions_decide(question, &search.worst, &status);
    if (result.reasons & 1u << RESEAT_REASON_ERROR_EXCEEDS_LIMIT)
        new_run_is_well = chance_without_error(question, false, &status) >= question->confidence;
    if (status == RESEAT_OK)
        status = fill_allowed(question, &result);
    if (status != RESEAT_OK)
        return status;

    result.ok = !in_log(result.reasons);
    fill_budget(e, &result);
    choose_next(question, search.best_chance >= question->confidence, new_run_is_well, &result);
    *answer = result;
    return RESEAT_OK;
}

reseat_status reseat_verdict_limit(double tolerance_mm, double share, double *limit_mm)
{
    if (!limit_mm)
        return RESEAT_ERR_ARGUMENT;
    const double limit = share * tolerance_mm / 2;
    if (!isfinite(tolerance_mm) || !isfinite(share) || !isfinite(limit))
        return RESEAT_ERR_NOT_FINITE;
    if (!(tolerance_mm > 0) || !(share > 0) || !(limit > 0))
        return RESEAT_ERR_RANGE;
    *limit_mm = limit;
    return RESEAT_OK;
}

/* How far the probe may be turned, and how far off the ball may sit, before a limit is used up. */

#define BISECTIONS 60         /* narrows a degree, or a limit, to the last bit */
#define NO_TURN_DEG 1e-9      /* a turn smaller than this is none */

/* Both are asked of a probe that goes out and comes back, and whose seat is not checked. */
static reseat_question put_back(const reseat_estimate *estimate, double limit_mm,
                                double confidence)
{
    reseat_question back = {.estimate = *estimate, .limit_mm = limit_mm,
                            .confidence = confidence};
    back.estimate.out = true;
    back.estimate.verified = false;
    return back;
}

/* Whether the limit holds at a turn, or with an offset, of so much; not once *status is not OK. */
typedef bool holding(const reseat_question *back, double by, reseat_status *status);

static bool chance_holds(const reseat_question *back, double turn_deg, reseat_status *status)
{
    return estimate_chance_or_nan(&back->estimate, turn_deg, back->limit_mm, status) >=
           back->confidence;
}

static bool turn_holds(const reseat_question *back, double turn_deg, reseat_status *status)
{
    return chance_holds(back, turn_deg, status) && chance_holds(back, -turn_deg, status);
}

/* With a turning part of that length, in the direction that it has now, after half a turn. */
static bool offset_holds(const reseat_question *back, double turning_mm, reseat_status *status)
{
    reseat_question moved = *back;
    reseat_estimate *const e = &moved.estimate;
    const reseat_xy direction =
        reseat_plane_unit(reseat_plane_bearing(xy_less(e->offset_mm, e->spindle_mm)));
    e->offset_mm = (reseat_xy){e->spindle_mm.x + turning_mm * direction.x,
                               e->spindle_mm.y + turning_mm * direction.y};
    e->in_use_mm = e->offset_mm;
    return chance_holds(&moved, 180, status);
}

/* The last value between one that holds and one that does not that still does. */
static double bisect(holding *holds, const reseat_question *back, double low, double high,
                     reseat_status *status)
{
    for (int i = 0; high > low && i < BISECTIONS; i++) {
        const double middle = low + (high - low) / 2;
        *(holds(back, middle, status) ? &low : &high) = middle;
    }
    return low;
}

reseat_status verdict_allowed_turn(const reseat_estimate *estimate, double limit_mm,
                                   double confidence, double *turn_deg)
{
    const reseat_question back = put_back(estimate, limit_mm, confidence);
    reseat_status status = verdict_check_limit(limit_mm, confidence);

    /* The first whole degree that fails, then the turn between it and the one before. */
    int degree = 0;
    while (degree <= 180 && turn_holds(&back, degree, &status))
        degree++;
    double turn = degree > 180 ? 180 : 0;
    if (degree > 0 && degree <= 180)
        turn = bisect(turn_holds, &back, degree - 1, degree, &status);
    if (status == RESEAT_OK)
        *turn_deg = turn < NO_TURN_DEG ? 0 : turn;
    return status;
}

reseat_status verdict_allowed_offset(const reseat_estimate *estimate, double limit_mm,
                                     double confidence, double *offset_mm)
{
    const reseat_question back = put_back(estimate, limit_mm, confidence);
    reseat_status status = verdict_check_limit(limit_mm, confidence);

    /* Below a confidence of one half, half a turn may cost more than the limit: widen. */
    double low = 0, high = 0;
    if (offset_holds(&back, 0, &status))
        for (high = limit_mm; offset_holds(&back, high, &status); high *= 2)
            low = high;
    low = bisect(offset_holds, &back, low, high, &status);
    if (status == RESEAT_OK)
        *offset_mm = low;
    return status;
}
