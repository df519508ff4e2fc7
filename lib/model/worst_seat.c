/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <assert.h>
#include <math.h>
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/seat.h"
#include "model/verdict.h"

#define EQUAL_CHANCE 1e-12 /* the accuracy of a chance: closer ones count as equal */
#define GRID_MAX 360       /* steps of at most 1 degree in a whole turn */
#define SHOWN_STEP_DEG 15

reseat_status verdict_check_confidence(double confidence)
{
    if (!isfinite(confidence))
        return RESEAT_ERR_NOT_FINITE;
    return confidence > 0 && confidence < 1 ? RESEAT_OK : RESEAT_ERR_RANGE;
}

reseat_status verdict_check_limit(double limit_mm, double confidence)
{
    if (!isfinite(limit_mm))
        return RESEAT_ERR_NOT_FINITE;
    const reseat_status status = verdict_check_confidence(confidence);
    return status == RESEAT_OK && !(limit_mm > 0) ? RESEAT_ERR_RANGE : status;
}

double seat_named(const reseat_turns *turns, double turn_deg)
{
    return turns->run_known ? plane_seat(turns->run_deg + turn_deg) : 0;
}

/* The trial of the verdict itself. */
static reseat_status outcome_at(const void *context, double turn_deg, reseat_outcome *outcome)
{
    const reseat_question *const question = context;
    reseat_effect effect;
    double chance = 0;
    reseat_status status = reseat_estimate_effect(&question->estimate, turn_deg, &effect);
    if (status == RESEAT_OK)
        status = estimate_chance(&question->estimate, turn_deg, question->limit_mm, &chance);
    if (status != RESEAT_OK)
        return status;
    *outcome = (reseat_outcome){
        .turn_deg = effect.turn_deg,
        .seat_deg = seat_named(&question->turns, effect.turn_deg),
        .error_mm = effect.error_mm,
        .error_length_mm = reseat_plane_length(effect.error_mm),
        .error_bearing_deg = reseat_plane_bearing(effect.error_mm),
        .chance_within = chance,
    };
    return RESEAT_OK;
}

/* What a refinement makes as small as it can. */
static double merit(const seat_trial *trial, const reseat_outcome *outcome)
{
    return trial->by_error ? -outcome->error_length_mm : outcome->chance_within;
}

/* Errors that differ by rounding alone count as equal: seats at equal turns either way do. */
static bool is_worse(const reseat_outcome *a, const reseat_outcome *b, bool by_turn)
{
    if (fabs(a->chance_within - b->chance_within) > EQUAL_CHANCE)
        return a->chance_within < b->chance_within;
    const double longer = fmax(a->error_length_mm, b->error_length_mm);
    if (fabs(a->error_length_mm - b->error_length_mm) > 1e-12 * longer)
        return a->error_length_mm > b->error_length_mm;
    return by_turn && fabs(a->turn_deg) < fabs(b->turn_deg);
}

/*
 * Tries one turn; the first one tried has search->best_chance below 0. Between turns that are
 * equal to rounding the smaller one wins, but no refinement wins over a turn of the grid so.
 */
static reseat_status try_turn(const seat_trial *trial, double turn_deg, bool by_turn,
                              seat_search *search, double *value)
{
    reseat_outcome outcome;
    const reseat_status status = trial->outcome_at(trial->context, turn_deg, &outcome);
    if (status != RESEAT_OK)
        return status;
    if (search->best_chance < 0 || is_worse(&outcome, &search->worst, by_turn))
        search->worst = outcome;
    search->best_chance = fmax(search->best_chance, outcome.chance_within);
    *value = merit(trial, &outcome);
    return RESEAT_OK;
}

/* Golden section between two neighbours of a grid point that is no better than either. */
static reseat_status refine(const seat_trial *trial, double low_deg, double high_deg,
                            seat_search *search)
{
    const double golden = (sqrt(5.0) - 1) / 2;
    double left = high_deg - golden * (high_deg - low_deg), left_value;
    double right = low_deg + golden * (high_deg - low_deg), right_value;
    reseat_status status = try_turn(trial, left, false, search, &left_value);
    if (status == RESEAT_OK)
        status = try_turn(trial, right, false, search, &right_value);

    /* At a smooth minimum 1e-6 degrees are worth less than 1e-12 of chance. */
    while (status == RESEAT_OK && high_deg - low_deg > 1e-6) {
        if (left_value < right_value) {
            high_deg = right;
            right = left;
            right_value = left_value;
            left = high_deg - golden * (high_deg - low_deg);
            status = try_turn(trial, left, false, search, &left_value);
        } else {
            low_deg = left;
            left = right;
            left_value = right_value;
            right = low_deg + golden * (high_deg - low_deg);
            status = try_turn(trial, right, false, search, &right_value);
        }
    }
    return status;
}

/*
 * The turn that puts q along what the control adds has the least error, half a turn on from
 * it the largest; a long stylus may have its only good seat between two turns of the grid.
 */
static reseat_status try_extremes(const reseat_estimate *e, const reseat_turns *turns,
                                  const seat_trial *trial, seat_search *search)
{
    const reseat_xy q = xy_less(e->offset_mm, e->spindle_mm);
    const reseat_xy used = xy_less(e->in_use_mm, e->spindle_mm);
    const double least_deg =
        plane_turn_between(reseat_plane_bearing(q), reseat_plane_bearing(used));
    const double turns_deg[] = {reseat_plane_turn(least_deg + 180), least_deg};
    reseat_status status = RESEAT_OK;
    double ignored;
    for (int i = 0; status == RESEAT_OK && i < 2; i++)
        if (seat_has_turn(turns, turns_deg[i]))
            status = try_turn(trial, turns_deg[i], true, search, &ignored);
    return status;
}

static reseat_status search_range(const reseat_question *question, const seat_trial *trial,
                                  seat_search *search)
{
    const reseat_turns *turns = &question->turns;
    double values[GRID_MAX + 1];
    reseat_status status = try_extremes(&question->estimate, turns, trial, search);
    const int steps = (int)ceil(turns->width_deg);
    assert(steps <= GRID_MAX);
    const double step = steps > 0 ? turns->width_deg / steps : 0;
    for (int i = 0; status == RESEAT_OK && i <= steps; i++)
        status = try_turn(trial, turns->first_deg + i * step, true, search, &values[i]);
    for (int i = 0; status == RESEAT_OK && i <= steps; i++) {
        const int before = i > 0 ? i - 1 : i;
        const int after = i < steps ? i + 1 : i;
        const bool lowest = values[i] <= values[before] && values[i] <= values[after];
        const bool flat = values[before] - values[i] <= EQUAL_CHANCE &&
                          values[after] - values[i] <= EQUAL_CHANCE;
        if (lowest && !flat)
            status = refine(trial, turns->first_deg + before * step,
                            turns->first_deg + after * step, search);
    }
    return status;
}

static reseat_status check_turns(const reseat_turns *turns)
{
    if (!isfinite(turns->first_deg) || !isfinite(turns->width_deg) || !isfinite(turns->run_deg))
        return RESEAT_ERR_NOT_FINITE;
    if (turns->range ? !(turns->width_deg >= 0 && turns->width_deg <= 360)
                     : !(turns->count >= 1 && turns->count <= RESEAT_SEAT_KEYS_MAX))
        return RESEAT_ERR_RANGE;
    return RESEAT_OK;
}

reseat_status worst_turn(const reseat_question *question, const seat_trial *trial,
                         seat_search *search)
{
    const reseat_turns *turns = &question->turns;
    seat_search result = {.best_chance = -1};
    double ignored;
    reseat_status status = check_turns(turns);
    if (status == RESEAT_OK && turns->range)
        status = search_range(question, trial, &result);
    for (unsigned k = 0; status == RESEAT_OK && !turns->range && k < turns->count; k++)
        status = try_turn(trial, seat_list_turn(turns, k), true, &result, &ignored);
    if (status == RESEAT_OK)
        *search = result;
    return status;
}

reseat_status worst_seat(const reseat_question *question, seat_search *search)
{
    const seat_trial trial = {.outcome_at = outcome_at, .context = question};
    return worst_turn(question, &trial, search);
}

reseat_status shown_seats(const reseat_question *question, const reseat_outcome *worst,
                          reseat_outcome *seats, size_t *count)
{
    const reseat_turns *turns = &question->turns;
    reseat_status status = RESEAT_OK;
    size_t n = 0;
    if (!turns->range) {
        for (unsigned k = 0; status == RESEAT_OK && k < turns->count; k++)
            status = outcome_at(question, seat_list_turn(turns, k), &seats[n++]);
    } else if (turns->width_deg < 360) {
        status = outcome_at(question, turns->first_deg, &seats[n++]);
        if (status == RESEAT_OK)
            status = outcome_at(question, turns->first_deg + turns->width_deg, &seats[n++]);
        seats[n++] = *worst;
    } else {
        for (int turn = 0; status == RESEAT_OK && turn < 360; turn += SHOWN_STEP_DEG)
            status = outcome_at(question, turn, &seats[n++]);
    }
    if (status == RESEAT_OK)
        *count = n;
    return status;
}
