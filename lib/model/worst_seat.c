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

/* What the verdict itself asks of a turn. */
static reseat_outcome outcome_at(const void *context, double turn_deg, reseat_status *status)
{
    const reseat_question *const question = context;
    reseat_effect effect = {.turn_deg = turn_deg};
    if (*status == RESEAT_OK)
        *status = reseat_estimate_effect(&question->estimate, turn_deg, &effect);
    return (reseat_outcome){
        .turn_deg = effect.turn_deg,
        .seat_deg = seat_named(&question->turns, effect.turn_deg),
        .error_mm = effect.error_mm,
        .error_length_mm = reseat_plane_length(effect.error_mm),
        .error_bearing_deg = reseat_plane_bearing(effect.error_mm),
        .chance_within = estimate_chance_or_nan(&question->estimate, turn_deg, question->limit_mm,
                                                status),
    };
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
 * Tries one turn; the first one tried has best_chance below 0. Between turns that are equal to
 * rounding the smaller one wins, but no refinement wins over a turn of the grid so. Returns what a
 * refinement makes as small as it can.
 */
static double try_turn(seat_search *s, double turn_deg, bool by_turn)
{
    const reseat_outcome outcome = s->outcome_at(s->context, turn_deg, &s->status);
    if (s->status != RESEAT_OK)
        return (double)NAN;
    if (s->best_chance < 0 || is_worse(&outcome, &s->worst, by_turn))
        s->worst = outcome;
    s->best_chance = fmax(s->best_chance, outcome.chance_within);
    return s->by_error ? -outcome.error_length_mm : outcome.chance_within;
}

/* Golden section between two neighbours of a grid point that is no better than either. */
static void refine(seat_search *s, double low_deg, double high_deg)
{
    const double golden = (sqrt(5.0) - 1) / 2;
    double left = high_deg - golden * (high_deg - low_deg);
    double right = low_deg + golden * (high_deg - low_deg);
    double left_value = try_turn(s, left, false), right_value = try_turn(s, right, false);

    /* At a smooth minimum 1e-6 degrees are worth less than 1e-12 of chance. */
    while (high_deg - low_deg > 1e-6) {
        if (left_value < right_value) {
            high_deg = right;
            right = left;
            right_value = left_value;
            left = high_deg - golden * (high_deg - low_deg);
            left_value = try_turn(s, left, false);
        } else {
            low_deg = left;
            left = right;
            left_value = right_value;
            right = low_deg + golden * (high_deg - low_deg);
            right_value = try_turn(s, right, false);
        }
    }
}

/*
 * The turn that puts q along what the control adds has the least error, half a turn on from it the
 * largest; a long stylus may have its only good seat between two turns of the grid.
 */
static void try_extremes(const reseat_estimate *e, const reseat_turns *turns, seat_search *s)
{
    const reseat_xy q = xy_less(e->offset_mm, e->spindle_mm);
    const reseat_xy used = xy_less(e->in_use_mm, e->spindle_mm);
    const double least_deg =
        plane_turn_between(reseat_plane_bearing(q), reseat_plane_bearing(used));
    const double turns_deg[] = {reseat_plane_turn(least_deg + 180), least_deg};
    for (int i = 0; i < 2; i++)
        if (seat_has_turn(turns, turns_deg[i]))
            try_turn(s, turns_deg[i], true);
}

static void search_range(const reseat_question *question, seat_search *s)
{
    const reseat_turns *turns = &question->turns;
    double values[GRID_MAX + 1];
    try_extremes(&question->estimate, turns, s);
    const int steps = (int)ceil(turns->width_deg);
    assert(steps <= GRID_MAX);
    const double step = steps > 0 ? turns->width_deg / steps : 0;
    for (int i = 0; i <= steps; i++)
        values[i] = try_turn(s, turns->first_deg + i * step, true);
    for (int i = 0; i <= steps; i++) {
        const int before = i > 0 ? i - 1 : i;
        const int after = i < steps ? i + 1 : i;
        const bool lowest = values[i] <= values[before] && values[i] <= values[after];
        const bool flat = values[before] - values[i] <= EQUAL_CHANCE &&
                          values[after] - values[i] <= EQUAL_CHANCE;
        if (lowest && !flat)
            refine(s, turns->first_deg + before * step, turns->first_deg + after * step);
    }
}

static reseat_status check_turns(const reseat_turns *turns)
{
    if (!isfinite(turns->first_deg) || !isfinite(turns->width_deg) || !isfinite(turns->run_deg))
        return RESEAT_ERR_NOT_FINITE;
    const bool possible = turns->range
                              ? turns->width_deg >= 0 && turns->width_deg <= 360
                              : turns->count >= 1 && turns->count <= RESEAT_SEAT_KEYS_MAX;
    return possible ? RESEAT_OK : RESEAT_ERR_RANGE;
}

reseat_status worst_turn(const reseat_question *question, seat_search *search)
{
    const reseat_turns *turns = &question->turns;
    search->best_chance = -1;
    search->status = check_turns(turns);
    if (search->status != RESEAT_OK)
        return search->status;
    if (turns->range)
        search_range(question, search);
    for (unsigned k = 0; !turns->range && k < turns->count; k++)
        try_turn(search, seat_list_turn(turns, k), true);
    return search->status;
}

reseat_status worst_seat(const reseat_question *question, seat_search *search)
{
    *search = (seat_search){.outcome_at = outcome_at, .context = question};
    return worst_turn(question, search);
}

reseat_status shown_seats(const reseat_question *question, const reseat_outcome *worst,
                          reseat_outcome *seats, size_t *count)
{
    const reseat_turns *turns = &question->turns;
    reseat_status status = RESEAT_OK;
    size_t n = 0;
    if (!turns->range) {
        for (unsigned k = 0; k < turns->count; k++)
            seats[n++] = outcome_at(question, seat_list_turn(turns, k), &status);
    } else if (turns->width_deg < 360) {
        seats[n++] = outcome_at(question, turns->first_deg, &status);
        seats[n++] = outcome_at(question, turns->first_deg + turns->width_deg, &status);
        seats[n++] = *worst;
    } else {
        for (int turn = 0; turn < 360; turn += SHOWN_STEP_DEG)
            seats[n++] = outcome_at(question, turn, &status);
    }
    if (status == RESEAT_OK)
        *count = n;
    return status;
}
