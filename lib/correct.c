/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/correct.h"

#include <math.h>
#include "covariance.h"
#include "error.h"
#include "estimate_parts.h"
#include "radius_parts.h"
#include "word.h"
#include "xy.h"

reseat_status reseat_datum_parse(const char *text, size_t length, reseat_datum *datum,
                                 reseat_error *error)
{
    static const char *const names[] = {"machine", "before", "same"};
    if (!text || !datum)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    for (int i = 0; i < 3; i++) {
        if (word_is(text, length, names[i])) {
            *datum = (reseat_datum)i;
            return RESEAT_OK;
        }
    }
    return reseat_error_read(error, 1, "expected machine, before or same", text, length);
}

/* Where the probe may be turned to: an interval, or with 180 degrees to either side anywhere. */
typedef struct place {
    double turn_deg;
    double within_deg;
} place;

static place place_of(const reseat_turns *turns)
{
    if (turns->range)
        return (place){turns->first_deg + turns->width_deg / 2, turns->width_deg / 2};
    return turns->count == 1 ? (place){reseat_seat_list_turn(turns, 0), 0} : (place){0, 180};
}

/* What lobes leave of single surfaces: more where the turn is one of several. */
static void leave_lobes(const reseat_estimate *estimate, const reseat_effect *effect, place at,
                        reseat_correction *result)
{
    const reseat_radius_curve *const curve = estimate->curve;
    const double farthest_deg = fmin(fabs(effect->turn_deg) + at.within_deg, 180);
    result->curve = curve;
    result->radius_u_mm = farthest_deg > 0 ? effect->radius_u_mm : 0;
    result->hidden_mm = effect->hidden_mm;
    if (!(at.within_deg > 0))
        return;
    if (!reseat_radius_shows_lobes(curve))
        result->hidden_mm = fmax(reseat_estimate_hidden(estimate, farthest_deg),
                                 curve ? reseat_radius_change_within(curve, farthest_deg) : 0);
    result->hidden_mm += curve ? reseat_radius_change_within(curve, at.within_deg) : 0;
}

/* A gauge check has measured this seating: what the run missed is all that is left besides it. */
static reseat_cov measured_scatter(const reseat_estimate *estimate, reseat_cov of_check_mm2)
{
    const double run_mm2 = estimate->terms.u_run_mm * estimate->terms.u_run_mm;
    return (reseat_cov){of_check_mm2.xx + run_mm2, of_check_mm2.xy, of_check_mm2.yy + run_mm2};
}

reseat_status reseat_correct_at(const reseat_estimate *estimate, const reseat_turns *turns,
                                reseat_datum datum, reseat_correction *correction)
{
    if (!estimate || !turns || !correction || datum < RESEAT_DATUM_MACHINE ||
        datum > RESEAT_DATUM_SAME)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(turns->first_deg) || !isfinite(turns->width_deg))
        return RESEAT_ERR_NOT_FINITE;
    const bool some = turns->range ? turns->width_deg >= 0 : turns->count >= 1;
    const place at = place_of(turns);
    if (!some || (at.within_deg > 0 && !estimate->verified))
        return RESEAT_ERR_RANGE;
    reseat_effect effect;
    const reseat_status status = reseat_estimate_effect(estimate, at.turn_deg, &effect);
    if (status != RESEAT_OK)
        return status;

    reseat_correction result = {.datum = datum, .turn_known = at.within_deg < 180};
    result.turn_deg = result.turn_known ? effect.turn_deg : 0;
    if (datum != RESEAT_DATUM_SAME) {
        result.error_mm = effect.error_mm;
        result.covariance_mm2 = estimate->verified
                                    ? measured_scatter(estimate, effect.covariance_mm2)
                                    : effect.covariance_mm2;
        result.u_mm = sqrt(covariance_largest(result.covariance_mm2));
        leave_lobes(estimate, &effect, at, &result);
    }
    if (!isfinite(result.u_mm) || !isfinite(result.hidden_mm))
        return RESEAT_ERR_NOT_FINITE;
    *correction = result;
    return RESEAT_OK;
}

reseat_status reseat_correct_found(const reseat_estimate *estimate, const reseat_found *found,
                                   reseat_datum datum, reseat_correction *correction)
{
    if (!estimate || !found)
        return RESEAT_ERR_ARGUMENT;
    if (!found->found)
        return RESEAT_ERR_RANGE;
    reseat_estimate measured = *estimate;
    measured.verified = true;
    measured.shift_mm = found->error_mm;
    measured.shift_u_mm = found->shift_u_mm;
    measured.terms.u_drift_mm = 0; /* nothing has had time to grow */
    const double within_deg = found->within_deg;
    const reseat_turns turns = {.range = true, .first_deg = found->turn_deg - within_deg,
                                .width_deg = 2 * within_deg};
    return reseat_correct_at(&measured, &turns, datum, correction);
}

static reseat_status give(reseat_corrected result, reseat_corrected *corrected)
{
    if (!isfinite(result.at_mm.x) || !isfinite(result.at_mm.y) || !isfinite(result.u_mm))
        return RESEAT_ERR_NOT_FINITE;
    *corrected = result;
    return RESEAT_OK;
}

reseat_status reseat_correct_point(const reseat_correction *correction, reseat_xy reported_mm,
                                   reseat_corrected *corrected)
{
    if (!correction || !corrected)
        return RESEAT_ERR_ARGUMENT;
    const reseat_xy e = correction->error_mm;
    return give((reseat_corrected){xy_less(reported_mm, e), correction->u_mm},
                corrected);
}

reseat_status reseat_correct_surface(const reseat_correction *correction, reseat_xy reported_mm,
                                     double dir_deg, reseat_corrected *corrected)
{
    if (!correction || !corrected)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(dir_deg))
        return RESEAT_ERR_NOT_FINITE;
    if (correction->curve && correction->curve->order > 0 && !correction->turn_known)
        return RESEAT_ERR_RANGE;
    const reseat_xy u = reseat_plane_unit(dir_deg);
    double along = correction->error_mm.x * u.x + correction->error_mm.y * u.y;
    if (correction->curve)
        along += reseat_radius_change(correction->curve, dir_deg, correction->turn_deg);
    const double hidden = correction->hidden_mm / sqrt(2.0); /* a wave of that height, any phase */
    const double variance = covariance_along(correction->covariance_mm2, u) +
                            correction->radius_u_mm * correction->radius_u_mm + hidden * hidden;
    return give((reseat_corrected){{reported_mm.x - along * u.x, reported_mm.y - along * u.y},
                                   covariance_deviation(variance)},
                corrected);
}
