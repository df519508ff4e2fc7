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
    switch (reason) {
    case RESEAT_REASON_ERROR_EXCEEDS_LIMIT: return "error-exceeds-limit";
    case RESEAT_REASON_CHANCE_BELOW_CONFIDENCE: return "chance-below-confidence";
    case RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY: return "limit-below-uncertainty";
    case RESEAT_REASON_COLLISION: return "collision";
    case RESEAT_REASON_STYLUS_CHANGE: return "stylus-change";
    case RESEAT_REASON_SERVICE: return "service";
    case RESEAT_REASON_TOO_OLD: return "too-old";
    case RESEAT_REASON_ELSEWHERE: return "elsewhere";
    case RESEAT_REASON_DAMAGE_IGNORED: return "damage-ignored";
    }
    return "";
}

const char *reseat_verdict_name(const reseat_answer *answer)
{
    return !answer ? "" : answer->ok ? "OK" : "RECALIBRATE";
}

/* How to come by a better figure for what weighs most. */
static const char *better_u(reseat_term term)
{
    static const char *const steps[RESEAT_TERM_COUNT] = {
        [RESEAT_TERM_RUN] = "calibrate with more touches: u_run weighs most",
        [RESEAT_TERM_SEAT] = "measure how one seating scatters here: u_seat weighs most",
        [RESEAT_TERM_TURN] = "measure how the orientation stop scatters: u_turn weighs most",
        [RESEAT_TERM_SPINDLE] = "measure the spindle's part: u_spindle weighs most",
        [RESEAT_TERM_TOUCH] = "measure the probe's repeatability: u_touch weighs most",
        [RESEAT_TERM_DRIFT] = "calibrate again: growth since the run weighs most",
        [RESEAT_TERM_LOBING] =
            "calibrate in 12 directions or more, all round: lobing weighs most",
        [RESEAT_TERM_SHIFT] = "repeat the gauge check with more touches",
    };
    const char *step = (unsigned)term < RESEAT_TERM_COUNT ? steps[term] : NULL;
    return step ? step : "";
}

/* Reasons that no seat and no offset undo. */
#define LOG_REASONS                                                                            \
    (1u << RESEAT_REASON_COLLISION | 1u << RESEAT_REASON_STYLUS_CHANGE |                       \
     1u << RESEAT_REASON_SERVICE | 1u << RESEAT_REASON_TOO_OLD | 1u << RESEAT_REASON_ELSEWHERE)

const char *reseat_next_text(const reseat_answer *answer)
{
    if (!answer)
        return "";
    switch (answer->next) {
    case RESEAT_NEXT_NONE: break;
    case RESEAT_NEXT_CALIBRATE:
        if (answer->reasons & LOG_REASONS)
            return "calibrate again";
        return "calibrate again, or restore the calibration's seat and its offset in the control";
    case RESEAT_NEXT_GAUGE_CHECK: return "one gauge check can settle which seat it is";
    case RESEAT_NEXT_SPINDLE_PART:
        return "two runs half a turn apart tell what stays with the spindle (--spindle-part)";
    case RESEAT_NEXT_RECORD_SEAT:
        return "no possible seat keeps the limit: calibrate again, and write the seat down";
    case RESEAT_NEXT_BETTER_U: return better_u(answer->next_term);
    }
    return "";
}

reseat_status reseat_verdict_question(reseat_xy offset_mm, double run_deg,
                                      const reseat_seat *seat, reseat_question *question)
{
    if (!question)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(offset_mm.x) || !isfinite(offset_mm.y))
        return RESEAT_ERR_NOT_FINITE;
    reseat_question result = {
        .estimate = {.offset_mm = offset_mm,
                     .in_use_mm = offset_mm,
                     .terms = terms_assumed()},
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
static reseat_status weigh_assumptions(const reseat_question *question,
                                       const reseat_outcome *worst, bool *decides)
{
    const bool within = worst->chance_within >= question->confidence;
    reseat_question other = *question;
    terms_scale_assumed(&other.estimate.terms, within ? 2 : 0);
    double chance = 0;
    reseat_status status = estimate_chance(&other.estimate, worst->turn_deg,
                                           question->limit_mm, &chance);
    if (status == RESEAT_OK && chance >= question->confidence) {
        seat_search search;
        status = worst_seat(&other, &search);
        if (status == RESEAT_OK)
            chance = search.worst.chance_within;
    }
    if (status == RESEAT_OK)
        *decides = (chance >= question->confidence) != within;
    return status;
}

/* The estimate with nothing wrong but its scatter: no turn, the run's offset in use. */
static reseat_estimate without_error(const reseat_estimate *estimate)
{
    reseat_estimate still = *estimate;
    still.in_use_mm = still.offset_mm;
    still.shift_mm = (reseat_xy){0, 0};
    return still;
}

static reseat_status find_reasons(const reseat_question *question, const reseat_outcome *worst,
                                  unsigned *reasons)
{
    *reasons = question->reasons;
    if (worst->chance_within >= question->confidence)
        return RESEAT_OK;
    *reasons |= 1u << (worst->error_length_mm > question->limit_mm
                           ? RESEAT_REASON_ERROR_EXCEEDS_LIMIT
                           : RESEAT_REASON_CHANCE_BELOW_CONFIDENCE);

    const reseat_estimate still = without_error(&question->estimate);
    double chance = 0;
    const reseat_status status = estimate_chance(&still, 0, question->limit_mm, &chance);
    if (status == RESEAT_OK && chance < question->confidence)
        *reasons |= 1u << RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY;
    return status;
}

/* Whether a new run, which the probe has not been out since, would be well with this scatter. */
static reseat_status weigh_new_run(const reseat_question *question, bool *is_well)
{
    reseat_estimate fresh = without_error(&question->estimate);
    double chance = 0;
    fresh.out = false;
    const reseat_status status = estimate_chance(&fresh, 0, question->limit_mm, &chance);
    *is_well = chance >= question->confidence;
    return status;
}

static void fill_budget(const reseat_estimate *estimate, reseat_answer *answer)
{
    const reseat_terms *t = &estimate->terms;
    const bool lobes = radius_shows_lobes(estimate->curve);
    const double half_deg = reseat_plane_turn(answer->worst.turn_deg) / 2;
    double sine, cosine;
    plane_sincos(half_deg, &sine, &cosine);

    const reseat_budget_row calculated[] = {
        {RESEAT_TERM_RUN, t->u_run_mm, false},
        {RESEAT_TERM_SEAT, estimate->out ? sqrt(2.0) * t->u_seat_mm : 0, false},
        {RESEAT_TERM_TURN,
         sqrt(2.0) * answer->turning_mm * t->u_turn_deg * RADIANS_PER_DEGREE, false},
        {RESEAT_TERM_SPINDLE, fabs(2 * sine) * t->u_spindle_mm, false},
        {RESEAT_TERM_TOUCH, t->u_touch_mm, false},
    };
    const reseat_budget_row shift = {RESEAT_TERM_SHIFT, estimate->shift_u_mm, false};
    const reseat_budget_row drift = {RESEAT_TERM_DRIFT, t->u_drift_mm, false};
    const reseat_budget_row lobing = {
        RESEAT_TERM_LOBING,
        lobes ? estimate->curve->residual_mm
              : estimate_hidden(estimate, answer->worst.turn_deg),
        false};

    size_t n = 0;
    if (estimate->verified)
        answer->budget[n++] = shift;
    for (size_t i = 0; !estimate->verified && i < sizeof calculated / sizeof calculated[0]; i++)
        answer->budget[n++] = calculated[i];
    answer->budget[n++] = drift;
    answer->budget[n++] = lobing;
    answer->budget_count = n;
    const bool measured = lobes || lobing.u_mm > radius_hidden_change(
                                                     t->lobing_mm, answer->worst.turn_deg);
    for (size_t i = 0; i < n; i++) {
        reseat_budget_row *row = &answer->budget[i];
        row->assumed = (t->assumed & 1u << row->term) &&
                       !(measured && row->term == RESEAT_TERM_LOBING);
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
    const unsigned in_log = question->reasons & ~(1u << RESEAT_REASON_DAMAGE_IGNORED);
    const bool one_seat = question->turns.range ? !(question->turns.width_deg > 0)
                                                : question->turns.count == 1;
    const bool too_fine = answer->reasons & 1u << RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY;
    const bool exceeds = answer->reasons & 1u << RESEAT_REASON_ERROR_EXCEEDS_LIMIT;
    const reseat_budget_row *largest = largest_row(answer, too_fine);
    answer->next_term = largest->term;

    if (answer->ok)
        answer->next = RESEAT_NEXT_NONE;
    else if (in_log)
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
    result.worst = search.worst;
    result.turning_mm = reseat_plane_length((reseat_xy){e->offset_mm.x - e->spindle_mm.x,
                                                        e->offset_mm.y - e->spindle_mm.y});
    status = find_reasons(question, &search.worst, &result.reasons);
    /* What the log holds against the run stands whatever the figures. */
    if (status == RESEAT_OK && !(question->reasons & ~(1u << RESEAT_REASON_DAMAGE_IGNORED)))
        status = weigh_assumptions(question, &search.worst, &result.assumed_decides);
    bool new_run_is_well = false;
    if (status == RESEAT_OK && (result.reasons & 1u << RESEAT_REASON_ERROR_EXCEEDS_LIMIT))
        status = weigh_new_run(question, &new_run_is_well);
    if (status == RESEAT_OK)
        status = fill_allowed(question, &result);
    if (status != RESEAT_OK)
        return status;

    result.ok = (result.reasons & ~(1u << RESEAT_REASON_DAMAGE_IGNORED)) == 0;
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

static reseat_status check(const reseat_estimate *estimate, double limit_mm, double confidence,
                           const double *out)
{
    if (!estimate || !out)
        return RESEAT_ERR_ARGUMENT;
    return verdict_check_limit(limit_mm, confidence);
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
    reseat_status status = estimate_chance(estimate, turn_deg, limit_mm, &one);
    if (status == RESEAT_OK)
        status = estimate_chance(estimate, -turn_deg, limit_mm, &other);
    if (status == RESEAT_OK)
        *holds = fmin(one, other) >= confidence;
    return status;
}

reseat_status verdict_allowed_turn(const reseat_estimate *estimate, double limit_mm,
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
    const reseat_status status = estimate_chance(&moved, 180, limit_mm, &chance);
    if (status == RESEAT_OK)
        *holds = chance >= confidence;
    return status;
}

reseat_status verdict_allowed_offset(const reseat_estimate *estimate, double limit_mm,
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
