/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From touches, seatings and results to offsets, verdicts and corrections. */
#include "jobs.h"
#include "history/drift.h"
#include "model/estimate.h"
#include "model/feature.h"
#include "model/radius.h"
#include "model/verdict.h"

void do_radius(const shared *s, notes *n)
{
    static const char text[] = "dir_deg,radius_mm\n0,2.9\n60,2.91\n120,2.9\n180,2.912\n240,2.9\n"
                               "300,2.911\n";
    double dirs[32], radii[32], amplitude = 0, phase = 0;
    size_t count = 0, order = 0;
    reseat_radius_curve curve;
    (void)s;
    demand(reseat_radius_read(text, strlen(text), dirs, radii, 32, &count, NULL) == RESEAT_OK);
    demand(reseat_radius_fit(dirs, radii, count, &curve) == RESEAT_OK);
    for (int deg = 0; deg < 360; deg += 7) {
        note_number(n, reseat_radius_at(&curve, deg));
        note_number(n, radius_change(&curve, deg, 180));
        note_number(n, radius_seen_change(&curve, 0.001, deg));
        note_number(n, radius_hidden_change(0.001, deg));
    }
    note_count(n, reseat_radius_harmonic(&curve, 3, &amplitude, &phase));
    note_number(n, amplitude + phase);
    note_count(n, radius_shows_lobes(&curve));
    note_count(n, reseat_radius_lobing(&curve, &order, &amplitude));
    note_number(n, amplitude);
}

/* The touches of the sample; to be freed. */
static reseat_touch *read_touches(const shared *s, reseat_touches *read)
{
    reseat_touch *touches = malloc(RESEAT_TOUCHES_MAX * sizeof *touches);
    reseat_error error = {0};
    demand(touches);
    demand(reseat_touches_read(s->touches, strlen(s->touches), touches, RESEAT_TOUCHES_MAX, read,
                               &error) == RESEAT_OK);
    return touches;
}

static void note_reduction(notes *n, const reseat_reduction *r)
{
    note_xy(n, r->offset_mm);
    note_number(n, r->offset_u_mm);
    note_number(n, r->radius_mm);
    note_number(n, r->form_mm);
    note_number(n, r->repeatability_mm);
    for (size_t i = 0; i < r->dirs; i++)
        note_number(n, r->radii_mm[i]);
    note_count(n, r->advice);
}

void do_reduction(const shared *s, notes *n)
{
    reseat_gauge_kind kind = RESEAT_GAUGE_PLUG;
    reseat_touches read;
    reseat_touch *touches = read_touches(s, &read);
    reseat_touch_result *results = malloc(read.count * sizeof *results);
    reseat_reduction *found = malloc(sizeof *found);
    demand(results && found);
    demand(reseat_gauge_kind_parse("ring", 4, &kind, NULL) == RESEAT_OK);
    const reseat_reduce_setup setup = reseat_reduce_assumed(kind, 50.0021);
    demand(reseat_reduce(touches, read.count, &setup, results, found, NULL) == RESEAT_OK);
    note_reduction(n, found);
    touches[5].x_mm += 0.03;
    demand(reseat_reduce(touches, read.count, &setup, results, found, NULL) == RESEAT_OK);
    note_count(n, found->outliers);
    note_count(n, reseat_reduce_keep(touches, read.count, results));
    free(touches);
    free(results);
    free(found);
}

void do_study(const shared *s, notes *n)
{
    reseat_seating seatings[64];
    reseat_study study;
    size_t count = 0;
    bool readings = false;
    demand(reseat_study_read(s->seatings, strlen(s->seatings), seatings, 64, &count, &readings,
                             NULL) == RESEAT_OK);
    demand(reseat_study_solve(seatings, count, readings, &study) == RESEAT_OK);
    note_number(n, study.u_seat_mm);
    note_xy(n, study.probe_mm);
    note_xy(n, study.spindle_mm);
}

/* A question on a typed offset, at these seats. */
static reseat_question question_at(const char *text)
{
    reseat_seat seat;
    reseat_question question;
    demand(reseat_seat_parse(text, strlen(text), &seat, NULL) == RESEAT_OK);
    demand(reseat_verdict_question((reseat_xy){0.012, -0.005}, 0, &seat, &question) == RESEAT_OK);
    demand(reseat_verdict_limit(0.2, RESEAT_SHARE, &question.limit_mm) == RESEAT_OK);
    return question;
}

static void note_answer(notes *n, const reseat_answer *answer)
{
    note_count(n, answer->ok);
    note_count(n, answer->reasons);
    for (size_t i = 0; i < answer->count; i++)
        note_number(n, answer->seats[i].chance_within);
    for (size_t i = 0; i < answer->budget_count; i++)
        note_number(n, answer->budget[i].u_mm);
    note_number(n, answer->allowed_turn_deg);
    note_number(n, answer->allowed_offset_mm);
}

static void note_estimate(notes *n, reseat_estimate *estimate)
{
    reseat_effect effect;
    due_date due;
    double value = 0;
    const reseat_drift_growth growth = drift_growth_assumed();
    demand(verdict_allowed_turn(estimate, 0.01, 0.95, &value) == RESEAT_OK);
    note_number(n, value);
    demand(verdict_allowed_offset(estimate, 0.01, 0.95, &value) == RESEAT_OK);
    note_number(n, value);
    estimate->terms = terms_assumed();
    demand(reseat_terms_set(&estimate->terms, RESEAT_TERM_TURN, 0.2) == RESEAT_OK);
    demand(reseat_estimate_set_spindle(estimate, (reseat_xy){0.001, 0}) == RESEAT_OK);
    demand(reseat_estimate_effect(estimate, 90, &effect) == RESEAT_OK);
    note_xy(n, effect.error_mm);
    demand(estimate_chance(estimate, 90, 0.01, &value) == RESEAT_OK);
    note_number(n, value);
    demand(due_find(estimate, 0.01, 0.95, &growth, 365, &due) == RESEAT_OK);
    note_number(n, due.days);
    demand(reseat_drift_growth_u(&growth, 30, &value) == RESEAT_OK);
    note_number(n, value);
}

void do_verdict(const shared *s, notes *n)
{
    static const char *const seats[] = {"180", "keys:2", "90+-20", "any"};
    (void)s;
    for (size_t i = 0; i < sizeof seats / sizeof seats[0]; i++) {
        reseat_question question = question_at(seats[i]);
        reseat_answer answer;
        demand(reseat_verdict_decide(&question, &answer) == RESEAT_OK);
        note_answer(n, &answer);
        note_estimate(n, &question.estimate);
    }
}

void do_features(const shared *s, notes *n)
{
    (void)s;
    const reseat_question question = question_at("any");
    for (size_t i = 0; i < RESEAT_FEATURE_STANDARD_COUNT; i++) {
        const char *text = reseat_feature_standard(i);
        reseat_feature feature;
        reseat_feature_row row;
        size_t count = 0;
        demand(reseat_feature_parse(text, strlen(text), RESEAT_MM, &feature, NULL) == RESEAT_OK);
        const reseat_reported *list = reseat_feature_quantities(feature.kind, &count);
        for (size_t k = 0; k < count; k++) {
            demand(feature_at(&question.estimate, &feature, list[k], 180, RESEAT_SHARE,
                              &row) == RESEAT_OK);
            note_number(n, row.error_mm);
            demand(reseat_feature_worst(&question, &feature, list[k], RESEAT_SHARE, &row) ==
                   RESEAT_OK);
            note_number(n, row.error_mm);
        }
    }
}

static void note_found(notes *n, const reseat_found *found)
{
    note_number(n, found->turn_deg);
    note_number(n, found->p);
    for (size_t i = 0; i < found->count; i++)
        note_number(n, found->seats[i].probability);
}

void do_find_seat(const shared *s, notes *n)
{
    const reseat_question question = question_at("keys:8");
    const reseat_estimate *estimate = &question.estimate;
    reseat_touches read;
    reseat_touch *touches = read_touches(s, &read);
    reseat_touch_result *results = malloc(read.count * sizeof *results);
    reseat_reduction *reduced = malloc(sizeof *reduced);
    reseat_found *found = malloc(sizeof *found);
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50.0021);
    demand(results && reduced && found);
    demand(reseat_find_seat(estimate, &question.turns, (reseat_xy){0.024, -0.01}, 0.0008,
                            found) == RESEAT_OK);
    note_found(n, found);
    demand(reseat_reduce(touches, read.count, &setup, results, reduced, NULL) == RESEAT_OK);
    note_count(n, reseat_find_seat_by_touches(estimate, &question.turns, reduced, reduced, 0.0005,
                                              found));
    note_found(n, found);
    reseat_xy offset;
    double u_mm;
    demand(reseat_half_turn_offset((reseat_xy){120.0121, 79.9968}, (reseat_xy){119.9883, 80.0036},
                                   RESEAT_READING_U_MM, &offset, &u_mm) == RESEAT_OK);
    demand(reseat_find_seat_by_offset(estimate, &question.turns, offset, u_mm, found) == RESEAT_OK);
    note_found(n, found);
    free(touches);
    free(results);
    free(reduced);
    free(found);
}

void do_correction(const shared *s, notes *n)
{
    reseat_question question = question_at("180");
    reseat_correction correction;
    reseat_correct_summary summary;
    reseat_corrected corrected;
    reseat_found *found = malloc(sizeof *found);
    reseat_datum datum = RESEAT_DATUM_SAME;
    char out[4096];
    demand(found && reseat_datum_parse("machine", 7, &datum, NULL) == RESEAT_OK);
    demand(reseat_correct_at(&question.estimate, &question.turns, datum, &correction) == RESEAT_OK);
    demand(reseat_correct_csv(&correction, s->results, strlen(s->results), out, sizeof out,
                              &summary, NULL) == RESEAT_OK && summary.length < sizeof out);
    note_text(n, out);
    demand(reseat_estimate_set_spindle(&question.estimate, (reseat_xy){0, 0}) == RESEAT_OK);
    demand(reseat_find_seat(&question.estimate, &question.turns, (reseat_xy){0.024, -0.01},
                            0.0008, found) == RESEAT_OK);
    demand(reseat_correct_found(&question.estimate, found, datum, &correction) == RESEAT_OK);
    demand(reseat_correct_point(&correction, (reseat_xy){40, 25}, &corrected) == RESEAT_OK);
    note_xy(n, corrected.at_mm);
    demand(reseat_correct_surface(&correction, (reseat_xy){40, 25}, 30, &corrected) == RESEAT_OK);
    note_xy(n, corrected.at_mm);
    free(found);
}
