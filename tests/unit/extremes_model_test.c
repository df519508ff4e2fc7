/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Extremes in what is asked about a probe: estimate, verdict, features, seats, corrections, due. */
#include "extremes.h"
#include "question.h"
#include "reseat/rescue.h"
#include "reseat/history.h"
#include "reseat/probe.h"
#include "model/feature.h"
#include "model/estimate.h"
#include "reseat/rescue.h"
#include "history/drift.h"

static reseat_question question;
static reseat_radius_curve curve;
static double dirs_deg[2] = {10, 190};
static double turn_deg, share;
static reseat_feature feature;
static reseat_reported quantity;
static reseat_drift_growth growth;
static double max_age_days;
static reseat_xy shift_mm, reported_mm;
static reseat_reduction then, now;
static double shift_u_mm;
static reseat_datum datum;
static reseat_correction correction;

static void begin(const char *seat, const char *spec)
{
    question = ask(0.004, -0.0011, seat, 0.02);
    question.estimate.spindle_mm = (reseat_xy){0.001, 0.0005};
    curve = (reseat_radius_curve){.mean_mm = 3, .cosine_mm = {0, 0, 0.001},
                                  .sine_mm = {0, 0, 0.0004}, .residual_mm = 0.0003, .order = 2,
                                  .directions = 2};
    turn_deg = 90;
    share = 0.1;
    growth = (reseat_drift_growth){.q_mm2_per_day = 1e-12, .per_day_mm = 1e-9};
    max_age_days = 20;
    if (spec != NULL)
        assert_status(reseat_feature_parse(spec, strlen(spec), RESEAT_MM, &feature, NULL),
                      RESEAT_OK);
    quantity = feature.quantity;
}

/* The places of an estimate that were given a value above. */
static void add_estimate(extremes *e)
{
    reseat_estimate *estimate = &question.estimate;
    extremes_add(e, &estimate->offset_mm.x, 2);
    extremes_add(e, &estimate->in_use_mm.x, 2);
    extremes_add(e, &estimate->spindle_mm.x, 2);
    extremes_add(e, &estimate->terms.u_run_mm, 8);
    extremes_add(e, &estimate->shift_mm.x, 2);
    extremes_add(e, &estimate->shift_u_mm, 1);
}

static void add_curve(extremes *e)
{
    question.estimate.curve = &curve;
    extremes_add(e, &curve.mean_mm, 1);
    extremes_add(e, &curve.cosine_mm[2], 1);
    extremes_add(e, &curve.residual_mm, 1);
}

static reseat_status find_effect(void)
{
    EXTREMES_CALL(reseat_effect, effect,
                  reseat_estimate_effect(&question.estimate, turn_deg, &effect));
    assert_finite(&effect.turn_deg, 1);
    assert_finite(&effect.error_mm.x, 2);
    assert_finite(&effect.covariance_mm2.xx, 3);
    assert_finite(&effect.hidden_mm, 2);
    return status;
}

static reseat_status find_chance(void)
{
    EXTREMES_CALL(double, chance,
                  estimate_chance(&question.estimate, turn_deg, question.limit_mm, &chance));
    assert_true(chance >= 0 && chance <= 1);
    return status;
}

static void an_estimate_stays_finite(void **state)
{
    for (int way = 0; way < 8; way++) {
        extremes e = {.call = find_effect}, chances = {.call = find_chance};
        begin("keys:2", NULL);
        question.estimate.verified = way & 1;
        question.estimate.dirs_deg = way & 2 ? dirs_deg : NULL;
        question.estimate.dirs = way & 2 ? 2 : 0;
        curve.directions = way & 4 ? RESEAT_RADIUS_LOBES_SHOWN : 2;
        add_estimate(&e);
        extremes_add(&e, &turn_deg, 1);
        if (way > 0)
            add_curve(&e);
        if (way & 2)
            extremes_add(&e, dirs_deg, 1);
        extremes_try(&e, true);
        chances = e;
        chances.call = find_chance;
        extremes_add(&chances, &question.limit_mm, 1);
        extremes_try(&chances, way > 2);
    }
}

static reseat_status decide_it(void)
{
    EXTREMES_CALL(reseat_answer, answer, reseat_verdict_decide(&question, &answer));
    for (size_t i = 0; i < answer.count; i++)
        assert_finite(&answer.seats[i].turn_deg, sizeof answer.seats[i] / sizeof(double));
    assert_finite(&answer.worst.turn_deg, sizeof answer.worst / sizeof(double));
    assert_finite(&answer.turning_mm, 1);
    assert_finite(&answer.any.worst_mm, sizeof answer.any / sizeof(double));
    assert_finite(&answer.allowed_turn_deg, 2);
    for (size_t i = 0; i < answer.budget_count; i++)
        assert_finite(&answer.budget[i].u_mm, 1);
    return status;
}

static void a_verdict_stays_finite(void **state)
{
    static const char *const seats[] = {"same", "keys:2", "90", "90+-2", "any"};
    for (size_t i = 0; i < 5; i++)
        for (int verified = 0; verified < 2; verified++) {
            extremes e = {.call = decide_it};
            begin(seats[i], NULL);
            question.estimate.verified = verified;
            add_estimate(&e);
            extremes_add(&e, &question.limit_mm, 2);
            extremes_add(&e, &question.turns.first_deg, 3);
            extremes_try(&e, i == 1 && !verified);
        }
}

static reseat_status find_feature(void)
{
    EXTREMES_CALL(reseat_feature_row, row, feature_at(&question.estimate, &feature, quantity,
                                                      turn_deg, share, &row));
    assert_finite(&row.turn_deg, 7);
    assert_finite(&row.allowed_mm, 2);
    return status;
}

static reseat_status find_worst_feature(void)
{
    EXTREMES_CALL(reseat_feature_row, row, reseat_feature_worst(&question, &feature, quantity,
                                                                share, &row));
    assert_finite(&row.turn_deg, 7);
    assert_finite(&row.allowed_mm, 2);
    return status;
}

static void a_feature_stays_finite(void **state)
{
    static const char *const specs[] = {"surface:30=0.1", "slot:20:30=0.1", "ridge:20:30=0.1",
                                        "bore:20=0.1", "boss:20=0.1", "corner:0:90=0.1",
                                        "pair=0.1", "height=0.1"};
    for (size_t i = 0; i < 8; i++)
        for (int way = 0; way < 3; way++) {
            extremes e = {.call = find_feature};
            begin("keys:2", specs[i]);
            add_estimate(&e);
            extremes_add(&e, &feature.size_mm, 3);
            extremes_add(&e, &feature.tolerance_mm, 1);
            extremes_add(&e, &share, 1);
            curve.directions = way == 2 ? RESEAT_RADIUS_LOBES_SHOWN : 2;
            if (way > 0)
                add_curve(&e);
            extremes_try(&e, true);
            e.call = find_worst_feature;
            extremes_add(&e, &question.confidence, 1);
            extremes_add(&e, &question.turns.first_deg, 3);
            extremes_try(&e, false);
        }
}

static void check_found(const reseat_found *found)
{
    assert_finite(&found->turn_deg, 8);
    assert_finite(&found->shift_mm.x, 7);
    for (size_t i = 0; i < found->count; i++)
        assert_finite(&found->seats[i].turn_deg, sizeof found->seats[i] / sizeof(double));
}

static reseat_status find_seat(void)
{
    EXTREMES_CALL(reseat_found, found, reseat_find_seat(&question.estimate, &question.turns,
                                                        shift_mm, shift_u_mm, &found));
    check_found(&found);
    return status;
}

static reseat_status find_by_offset(void)
{
    EXTREMES_CALL(reseat_found, found,
                  reseat_find_seat_by_touches(&question.estimate, &question.turns, &then, &now, 0,
                                              &found));
    check_found(&found);
    return status;
}

static void a_seat_that_is_found_stays_finite(void **state)
{
    for (int keyed = 0; keyed < 2; keyed++) {
        extremes e = {.call = find_seat}, by_offset = {.call = find_by_offset};
        begin(keyed ? "keys:4" : "any", NULL);
        shift_mm = (reseat_xy){0.006, -0.003};
        shift_u_mm = 0.0005;
        then = (reseat_reduction){.has_offset = true, .offset_mm = {0.004, -0.001},
                                  .offset_u_mm = 3e-4};
        now = (reseat_reduction){.has_offset = true, .offset_mm = {-0.003, 0.002},
                                 .offset_u_mm = 3e-4};
        add_estimate(&e);
        by_offset = e;
        by_offset.call = find_by_offset;
        extremes_add(&e, &question.turns.first_deg, 3);
        extremes_add(&e, &shift_mm.x, 2);
        extremes_add(&e, &shift_u_mm, 1);
        extremes_try(&e, true);
        extremes_add(&by_offset, &then.offset_mm.x, 2);
        extremes_add(&by_offset, &then.offset_u_mm, 1);
        extremes_add(&by_offset, &now.offset_mm.x, 2);
        extremes_add(&by_offset, &now.offset_u_mm, 1);
        extremes_try(&by_offset, true);
    }
}

static reseat_status find_due(void)
{
    EXTREMES_CALL(due_date, due, due_find(&question.estimate, question.limit_mm,
                                          question.confidence, &growth, max_age_days,
                                          &due));
    assert_finite(&due.days, 1);
    return status;
}

static void the_day_that_it_is_due_stays_finite(void **state)
{
    extremes e = {.call = find_due};
    begin("same", NULL);
    add_estimate(&e);
    extremes_add(&e, &question.limit_mm, 2);
    extremes_add(&e, &growth.q_mm2_per_day, 2);
    extremes_add(&e, &max_age_days, 1);
    extremes_try(&e, false);
}

static reseat_status correct(void)
{
    EXTREMES_CALL(reseat_correction, result,
                  reseat_correct_at(&question.estimate, &question.turns, datum, &result));
    assert_finite(&result.turn_deg, 1);
    assert_finite(&result.error_mm.x, 2);
    assert_finite(&result.covariance_mm2.xx, 3);
    assert_finite(&result.u_mm, 1);
    assert_finite(&result.radius_u_mm, 2);
    return status;
}

static reseat_status correct_point(void)
{
    EXTREMES_CALL(reseat_corrected, corrected,
                  reseat_correct_point(&correction, reported_mm, &corrected));
    assert_finite(&corrected.at_mm.x, 2);
    assert_finite(&corrected.u_mm, 1);
    return status;
}

static reseat_status correct_surface(void)
{
    EXTREMES_CALL(reseat_corrected, corrected,
                  reseat_correct_surface(&correction, reported_mm, turn_deg, &corrected));
    assert_finite(&corrected.at_mm.x, 2);
    assert_finite(&corrected.u_mm, 1);
    return status;
}

static void a_correction_stays_finite(void **state)
{
    for (int way = 0; way < 4; way++) {
        extremes e = {.call = correct};
        begin("90", NULL);
        question.estimate.verified = way & 1;
        datum = RESEAT_DATUM_MACHINE;
        add_estimate(&e);
        extremes_add(&e, &question.turns.first_deg, 2);
        if (way & 2)
            add_curve(&e);
        extremes_try(&e, true);
        assert_status(reseat_correct_at(&question.estimate, &question.turns, datum, &correction),
                      RESEAT_OK);
        reported_mm = (reseat_xy){100, 50};
        e = (extremes){.call = correct_point};
        extremes_add(&e, &reported_mm.x, 2);
        extremes_add(&e, &correction.error_mm.x, 2);
        extremes_add(&e, &correction.u_mm, 1);
        extremes_try(&e, true);
        e.call = correct_surface;
        extremes_add(&e, &correction.covariance_mm2.xx, 3);
        extremes_add(&e, &turn_deg, 1);
        extremes_add(&e, &correction.radius_u_mm, 2);
        extremes_try(&e, true);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_estimate_stays_finite),
        cmocka_unit_test(a_verdict_stays_finite),
        cmocka_unit_test(a_feature_stays_finite),
        cmocka_unit_test(a_seat_that_is_found_stays_finite),
        cmocka_unit_test(the_day_that_it_is_due_stays_finite),
        cmocka_unit_test(a_correction_stays_finite),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
