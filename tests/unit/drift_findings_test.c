/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "../montecarlo/random.h"
#include "check.h"
#include "reseat/history.h"
#include "maths/plane.h"
#include "history/drift.h"

#define RUNS 24
#define DAY 86400

static _Alignas(16) unsigned char workspace[1 << 16];

/* Runs every 7 days about an offset of 0.010 mm at 25 degrees, with a scatter of 0.0003 mm. */
static void make_runs(reseat_drift_run *runs)
{
    random_source source = {20260302};
    for (size_t i = 0; i < RUNS; i++) {
        const reseat_xy o = plane_rotate((reseat_xy){0.010, 0}, 25);
        runs[i] = (reseat_drift_run){.seq = 10 + i, .at = (int64_t)i * 7 * DAY,
                                     .seat_known = true};
        runs[i].offset_mm.x = o.x + 0.0003 * random_normal(&source);
        runs[i].offset_mm.y = o.y + 0.0003 * random_normal(&source);
        runs[i].radius_known = true;
        runs[i].radius_mm = 2.99 + 0.0003 * random_normal(&source);
    }
}

static reseat_drift find(const reseat_drift_run *runs, double limit_mm)
{
    const reseat_drift_input input = {.runs = runs, .run_count = RUNS, .limit_mm = limit_mm};
    reseat_drift drift;
    assert_status(drift_find(&input, workspace, sizeof workspace, &drift), RESEAT_OK);
    return drift;
}

static void assert_text(const reseat_drift_finding *finding, reseat_unit unit, const char *text)
{
    char out[256];
    assert_int_equal(reseat_drift_finding_text(finding, unit, out, sizeof out), strlen(text));
    assert_string_equal(out, text);
}

static void a_healthy_log_has_no_findings(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    assert_int_equal(find(runs, 0.005).finding_count, 0);
}

static void a_wrong_sign_in_the_newest_run_is_found(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    runs[RUNS - 1].offset_mm.x *= -1;
    const reseat_drift drift = find(runs, 0.005);
    assert_int_equal(drift.finding_count, 1);
    const reseat_drift_finding *f = &drift.findings[0];
    assert_int_equal(f->code, RESEAT_DRIFT_NEWEST_RUN_ODD);
    assert_int_equal(f->seq, 33);
    assert_int_equal(f->first, 0);
    assert_int_equal(f->count, RUNS);
    assert_int_equal(f->runs, RUNS);
    assert_int_equal(f->needs, 3);
    assert_text(f, RESEAT_MM,
                "run 33 is unlike the 23 before it (p < 0.0001): sign, unit, seat?");
}

/* The two last runs make a split with a p of its own, which is no change of level yet. */
static void an_odd_newest_run_is_no_change_besides(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    runs[RUNS - 2].offset_mm.x += 0.04;
    runs[RUNS - 1].offset_mm.x += 0.1;
    const reseat_drift drift = find(runs, 0.005);
    assert_int_equal(drift.baselines[0].change.before, RUNS - 2);
    assert_true(drift.baselines[0].change.p < 0.01);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].code, RESEAT_DRIFT_NEWEST_RUN_ODD);
}

/* p of the trend lies between a quarter of 0.01, for the four series there are, and a third. */
static void the_chance_of_a_wrong_move_is_shared_among_the_series(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    for (size_t i = 0; i < RUNS; i++)
        runs[i].radius_mm = 2.99 + 0.0001 * (double)((i * 7 + 3) % 24) + 0.000051 * (double)i;
    const reseat_drift drift = find(runs, 0.0001);
    assert_int_equal(drift.baselines[0].trended, 15);
    const double p = drift.baselines[0].trends[RESEAT_SERIES_RADIUS].p;
    assert_true(p < 0.01 / 3 && p > 0.0025);
    assert_int_equal(drift.finding_count, 0);
}

static void a_turned_probe_is_found_and_told_from_a_bent_stylus(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    for (size_t i = 12; i < RUNS; i++)
        runs[i].offset_mm = plane_rotate(runs[i].offset_mm, 40);
    reseat_drift drift = find(runs, 0.005);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].code, RESEAT_DRIFT_LEVEL_CHANGED);
    assert_int_equal(drift.findings[0].seq, 21);
    assert_true(drift.findings[0].turned);
    assert_near(drift.findings[0].turn_deg, 40, 2);

    make_runs(runs);
    for (size_t i = 12; i < RUNS; i++)
        runs[i].offset_mm.x += 0.004;
    drift = find(runs, 0.005);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].code, RESEAT_DRIFT_LEVEL_CHANGED);
    assert_int_equal(drift.findings[0].seq, 21);
    assert_false(drift.findings[0].turned);
    assert_near(drift.findings[0].length_mm,
                hypot(0.010 * cos(25 * 0.017453292519943295) + 0.004, 0.010 * sin(
                    25 * 0.017453292519943295)) - 0.010, 0.0003);
}

/* Within 3 sigma, but along the offset: no turn does that. */
static void a_small_change_of_length_is_no_turn(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    for (size_t i = 12; i < RUNS; i++) {
        runs[i].offset_mm.x *= 1.08;
        runs[i].offset_mm.y *= 1.08;
    }
    const reseat_drift drift = find(runs, 0.005);
    const reseat_drift_finding *f = &drift.findings[0];
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(f->code, RESEAT_DRIFT_LEVEL_CHANGED);
    assert_true(f->length_mm < 3 * drift.baselines[0].charts[RESEAT_SERIES_LENGTH].sigma);
    assert_false(f->turned);
}

static void a_steady_move_is_found_once_and_not_as_a_change(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    for (size_t i = 0; i < RUNS; i++)
        runs[i].offset_mm.y += 0.0002 * (double)i;
    const reseat_drift drift = find(runs, 0.005);
    assert_int_equal(drift.finding_count, 1);
    const reseat_drift_finding *f = &drift.findings[0];
    assert_int_equal(f->code, RESEAT_DRIFT_MOVED_STEADILY);
    assert_int_equal(f->series, RESEAT_SERIES_Y);
    assert_near(f->per_day_mm, 0.0002 / 7, 0.00003 / 7);
    assert_near(f->limit_share, f->per_day_mm * 90 / 0.005, 1e-15);
    assert_int_equal(f->needs, 1u << RESEAT_SERIES_Y);

    /* A limit so large that it takes no harm, or none at all. */
    assert_int_equal(find(runs, 1).finding_count, 0);
    const reseat_drift unjudged = find(runs, 0);
    assert_int_equal(unjudged.finding_count, 0);
    assert_true(unjudged.baselines[0].notes & 1u << RESEAT_DRIFT_NOTE_NO_LIMIT);
}

static void a_worn_ball_moves_the_radius(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    for (size_t i = 0; i < RUNS; i++)
        runs[i].radius_mm -= 0.0002 * (double)i;
    const reseat_drift drift = find(runs, 0.005);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].series, RESEAT_SERIES_RADIUS);
    assert_true(drift.findings[0].per_day_mm < 0);
}

static void findings_are_of_the_latest_baseline(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    for (size_t i = 6; i < RUNS; i++)
        runs[i].offset_mm.x += 0.004;
    const reseat_drift_event event = {1, 12 * 7 * DAY - 1};
    const reseat_drift_input input = {.runs = runs, .run_count = RUNS, .events = &event,
                                      .event_count = 1, .limit_mm = 0.005};
    reseat_drift drift;
    assert_status(drift_find(&input, workspace, sizeof workspace, &drift), RESEAT_OK);
    assert_true(drift.baselines[0].change.p < 0.01);
    assert_int_equal(drift.finding_count, 0);
}

static void half_a_turn_is_said_without_a_minus(void **state)
{
    const reseat_drift_finding turned = {.code = RESEAT_DRIFT_LEVEL_CHANGED, .seq = 26,
                                         .p = 0.0042, .turned = true, .turn_deg = -179.97};
    assert_text(&turned, RESEAT_MM,
                "after run 26 the bearing changed by +180.0°, length unchanged "
                "(p = 0.0042): consistent with a turn by that angle");
}

static void texts_say_lengths_in_the_unit(void **state)
{
    const reseat_drift_finding turned = {.code = RESEAT_DRIFT_LEVEL_CHANGED, .seq = 12,
                                         .p = 0.0042, .turned = true, .turn_deg = -30.04};
    const reseat_drift_finding bent = {.code = RESEAT_DRIFT_LEVEL_CHANGED, .seq = 12, .p = 1e-9,
                                       .length_mm = 0.00312, .turn_deg = 4};
    const reseat_drift_finding moved = {.code = RESEAT_DRIFT_MOVED_STEADILY, .p = 0.00011,
                                        .series = RESEAT_SERIES_STYLUS_LENGTH,
                                        .per_day_mm = -0.00001, .limit_share = 0.96};
    assert_text(&turned, RESEAT_MM,
                "after run 12 the bearing changed by -30.0°, length unchanged "
                "(p = 0.0042): consistent with a turn by that angle");
    assert_text(&bent, RESEAT_UM,
                "after run 12 the length of the offset moved by +3.1 um and its bearing by +4.0° "
                "(p < 0.0001): stylus bent, loose or re-centred?");
    assert_text(&moved, RESEAT_MM,
                "stylus length moves steadily, by -0.0009 mm over 90 days (p = 0.0001): 96 % of "
                "the limit");
    char out[8] = "kept";
    assert_true(reseat_drift_finding_text(&moved, RESEAT_MM, out, sizeof out) > 80);
    assert_string_equal(out, "stylus ");
    assert_true(reseat_drift_finding_text(&moved, RESEAT_MM, NULL, 0) > 80);
    assert_int_equal(reseat_drift_finding_text(NULL, RESEAT_MM, out, sizeof out), 0);
    assert_int_equal(reseat_drift_finding_text(&moved, (reseat_unit)9, out, sizeof out), 0);
}

static void every_series_code_and_note_has_a_name(void **state)
{
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
        assert_true(strlen(reseat_series_name((reseat_series)s)) > 0);
    for (int c = 0; c < RESEAT_DRIFT_CODE_COUNT; c++)
        assert_true(strlen(reseat_drift_code_name((reseat_drift_code)c)) > 0);
    for (int n = 0; n < RESEAT_DRIFT_NOTE_COUNT; n++) {
        assert_true(strlen(reseat_drift_note_code((reseat_drift_note)n)) > 0);
        assert_true(strlen(reseat_drift_note_text((reseat_drift_note)n)) > 0);
    }
    assert_string_equal(reseat_series_name((reseat_series)RESEAT_SERIES_COUNT), "");
    assert_string_equal(reseat_drift_code_name((reseat_drift_code)RESEAT_DRIFT_CODE_COUNT), "");
    assert_string_equal(reseat_drift_note_code((reseat_drift_note)RESEAT_DRIFT_NOTE_COUNT), "");
    assert_string_equal(reseat_drift_note_text((reseat_drift_note)RESEAT_DRIFT_NOTE_COUNT), "");
}

/* The mean moves along the circle and every length is 0.005 exactly: there is no chart of it. */
static void a_turn_is_told_where_no_length_varies(void **state)
{
    static const reseat_xy corners[] = {{0.003, 0.004}, {0.004, 0.003}, {0.0048, 0.0014},
                                        {0.0014, 0.0048}};
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    for (size_t i = 0; i < RUNS; i++) {
        const reseat_xy c = corners[(i * i + i / 3) % 4];
        runs[i].offset_mm = i < RUNS / 2 ? c : (reseat_xy){-c.y, c.x};
    }
    const reseat_drift drift = find(runs, 0.005);
    assert_int_equal(drift.baselines[0].charted & 1u << RESEAT_SERIES_LENGTH, 0);
    assert_true(drift.baselines[0].notes & 1u << RESEAT_DRIFT_NOTE_ALL_EQUAL);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].code, RESEAT_DRIFT_LEVEL_CHANGED);
    assert_near(drift.findings[0].turn_deg, 90, 20);
}

static void runs_without_a_seat_or_radius_are_not_counted(void **state)
{
    reseat_drift_run runs[RUNS];
    make_runs(runs);
    for (size_t i = RUNS / 2; i < RUNS; i++)
        runs[i].offset_mm.x += 0.005;
    runs[2].seat_known = runs[RUNS - 1].seat_known = false;
    reseat_drift drift = find(runs, 0.005);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].code, RESEAT_DRIFT_LEVEL_CHANGED);
    assert_int_equal(drift.findings[0].runs, RUNS - 2);
    assert_int_equal(drift.findings[0].seq, 10 + RUNS / 2 - 1);

    make_runs(runs);
    for (size_t i = 0; i < RUNS; i++)
        runs[i].radius_mm = 3 - 0.0001 * (double)i + (i % 2 ? 0.00001 : 0);
    runs[4].radius_known = false;
    drift = find(runs, 0.005);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].series, RESEAT_SERIES_RADIUS);
    assert_int_equal(drift.findings[0].runs, RUNS - 1);
}

static void a_text_that_cannot_be_made_is_none(void **state)
{
    char out[256] = "as it was";
    reseat_drift_finding f = {.code = RESEAT_DRIFT_LEVEL_CHANGED, .p = 0.001};
    assert_int_equal(reseat_drift_finding_text(NULL, RESEAT_MM, out, sizeof out), 0);
    assert_int_equal(reseat_drift_finding_text(&f, RESEAT_MM, NULL, 1), 0);
    assert_int_equal(reseat_drift_finding_text(&f, (reseat_unit)99, out, sizeof out), 0);
    f.code = (reseat_drift_code)99;
    assert_int_equal(reseat_drift_finding_text(&f, RESEAT_MM, out, sizeof out), 0);
    assert_string_equal(out, "as it was");
    f.code = RESEAT_DRIFT_LEVEL_CHANGED;
    assert_true(reseat_drift_finding_text(&f, RESEAT_MM, NULL, 0) > 0);
    f.turn_deg = (double)NAN;
    assert_true(reseat_drift_finding_text(&f, RESEAT_MM, out, sizeof out) > 0);
    assert_non_null(strstr(out, "its bearing by +°"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_healthy_log_has_no_findings),
        cmocka_unit_test(a_wrong_sign_in_the_newest_run_is_found),
        cmocka_unit_test(an_odd_newest_run_is_no_change_besides),
        cmocka_unit_test(the_chance_of_a_wrong_move_is_shared_among_the_series),
        cmocka_unit_test(a_turned_probe_is_found_and_told_from_a_bent_stylus),
        cmocka_unit_test(a_small_change_of_length_is_no_turn),
        cmocka_unit_test(a_steady_move_is_found_once_and_not_as_a_change),
        cmocka_unit_test(a_worn_ball_moves_the_radius),
        cmocka_unit_test(findings_are_of_the_latest_baseline),
        cmocka_unit_test(half_a_turn_is_said_without_a_minus),
        cmocka_unit_test(texts_say_lengths_in_the_unit),
        cmocka_unit_test(every_series_code_and_note_has_a_name),
        cmocka_unit_test(a_turn_is_told_where_no_length_varies),
        cmocka_unit_test(runs_without_a_seat_or_radius_are_not_counted),
        cmocka_unit_test(a_text_that_cannot_be_made_is_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
