/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift_runs.h"
#include "history/drift.h"
#include "maths/plane.h"

static void no_runs_are_no_error(void **state)
{
    const reseat_drift_input input = {0};
    reseat_drift drift;
    reseat_drift_growth growth;
    assert_int_equal(drift_workspace(0, 0), 0);
    assert_status(drift_find(&input, NULL, 0, &drift), RESEAT_OK);
    assert_int_equal(drift.point_count, 0);
    assert_int_equal(drift.baseline_count, 0);
    assert_int_equal(drift.finding_count, 0);
    assert_true(drift.points == NULL && drift.baselines == NULL);
    assert_false(drift.split_known);
    assert_status(drift_find(&input, workspace + 1, 0, &drift), RESEAT_OK);
    assert_status(drift_growth_find(&input, NULL, 0, &growth), RESEAT_OK);
    assert_true(growth.assumed);
}

static void fewer_than_8_runs_are_data_without_limits(void **state)
{
    make_runs(7);
    for (size_t count = 1; count <= 7; count += 6) {
        const reseat_drift drift = find(count);
        const reseat_drift_baseline *b = &drift.baselines[0];
        assert_int_equal(drift.point_count, count);
        assert_int_equal(drift.baseline_count, 1);
        assert_int_equal(b->from_seq, 10);
        assert_int_equal(b->to_seq, 10 + count - 1);
        assert_int_equal(b->count, count);
        assert_int_equal(b->charted | b->trended, 0);
        assert_false(b->newest_known || b->change_known);
        assert_true(b->growth.assumed);
        assert_int_equal(b->notes, NOTE(FEW_RUNS));
        assert_int_equal(drift.finding_count, 0);
        assert_same_bits(drift.points[0].value[RESEAT_SERIES_X], runs[0].offset_mm.x);
        assert_int_equal(drift.points[0].known, XY_LENGTH);
        assert_false(drift.points[0].t2_known);
    }
}

static void from_8_runs_on_there_are_limits_and_from_12_one_for_t2(void **state)
{
    make_runs(12);
    reseat_drift drift = find(8);
    assert_int_equal(drift.baselines[0].charted, XY_LENGTH);
    assert_int_equal(drift.baselines[0].trended, XY_LENGTH);
    assert_int_equal(drift.baselines[0].newest.before, 7);
    assert_int_equal(drift.baselines[0].newest.seq, 17);
    assert_int_equal(drift.baselines[0].growth.runs, 8);
    assert_int_equal(drift.baselines[0].begun_by_seq, 0);
    assert_int_equal(drift.baselines[0].notes, NOTE(T2_LIMIT));
    assert_same_bits(drift.baselines[0].t2_limit, 0.0);
    drift = find(12);
    assert_int_equal(drift.baselines[0].notes, 0);
    assert_near(drift.baselines[0].t2_limit, -2 * log(0.0027), 1e-14);
}

static void equal_runs_have_no_limits_and_no_flags(void **state)
{
    make_runs(20);
    for (size_t i = 0; i < 20; i++)
        runs[i].offset_mm = (reseat_xy){0.0101, -0.0037};
    const reseat_drift drift = find(20);
    const reseat_drift_baseline *b = &drift.baselines[0];
    assert_int_equal(b->charted | b->trended, 0);
    assert_int_equal(b->notes, NOTE(ALL_EQUAL) | NOTE(SINGULAR));
    assert_same_bits(b->growth.q_mm2_per_day, 0.0);
    assert_int_equal(drift.finding_count, 0);
    for (size_t i = 0; i < 20; i++)
        assert_int_equal(drift.points[i].beyond_3_sigma | drift.points[i].four_of_five, 0);
}

static void scatter_in_one_direction_alone_is_said_not_divided_by(void **state)
{
    make_runs(20);
    for (size_t i = 0; i < 20; i++)
        runs[i].offset_mm.y = 0.25 * runs[i].offset_mm.x;
    const reseat_drift drift = find(20);
    assert_int_equal(drift.baselines[0].charted, XY_LENGTH);
    assert_int_equal(drift.baselines[0].notes, NOTE(SINGULAR));
    assert_false(drift.baselines[0].newest_known || drift.baselines[0].change_known);
    assert_false(drift.points[0].t2_known);
    assert_same_bits(drift.baselines[0].t2_limit, 0.0);
}

static void runs_of_one_time_have_no_trend_and_no_rate(void **state)
{
    make_runs(12);
    for (size_t i = 0; i < 12; i++)
        runs[i].at = FIRST_AT;
    const reseat_drift drift = find(12);
    assert_int_equal(drift.baselines[0].charted, XY_LENGTH);
    assert_int_equal(drift.baselines[0].trended, 0);
    assert_int_equal(drift.baselines[0].notes, NOTE(SAME_TIME));
    assert_true(drift.baselines[0].growth.assumed);
    assert_true(drift.baselines[0].newest_known);
}

static void runs_without_a_seat_have_a_length_alone(void **state)
{
    make_runs(12);
    for (size_t i = 0; i < 12; i++)
        runs[i].seat_known = false;
    const reseat_drift drift = find(12);
    const reseat_drift_baseline *b = &drift.baselines[0];
    assert_int_equal(b->charted, LENGTH_BIT);
    assert_int_equal(b->notes, NOTE(UNSEATED) | NOTE(FEW_SEATED));
    assert_true(b->growth.assumed);
    assert_int_equal(drift.points[3].known, LENGTH_BIT);
    assert_near(drift.points[3].value[RESEAT_SERIES_LENGTH],
                hypot(runs[3].offset_mm.x, runs[3].offset_mm.y), 1e-17);
}

static void runs_with_and_without_a_seat_mix(void **state)
{
    make_runs(14);
    runs[4].seat_known = false;
    runs[13].seat_known = false;
    const reseat_drift drift = find(14);
    const reseat_drift_baseline *b = &drift.baselines[0];
    assert_int_equal(b->notes, NOTE(UNSEATED) | NOTE(NEWEST_UNSEATED));
    assert_int_equal(b->charted, XY_LENGTH);
    assert_false(b->newest_known);
    assert_true(b->change_known);
    assert_true(drift.points[b->change.after].seq == b->change.after_seq);
    assert_false(drift.points[4].t2_known);
    assert_true(drift.points[5].t2_known);
    assert_int_equal(b->growth.runs, 12);
}

/* All at 90 degrees, then all at 0 but for one without a seat: each note is of its own baseline. */
static void what_seats_lack_is_said_of_their_baseline(void **state)
{
    make_runs(18);
    const reseat_drift_event event = {.seq = 900, .at = runs[8].at + DAY};
    reseat_drift_input input = input_of(18);
    input.events = &event;
    input.event_count = 1;
    for (size_t i = 0; i < 9; i++)
        runs[i].seat_deg = 90;
    runs[12].seat_known = false;
    const unsigned of_seats = NOTE(UNSEATED) | NOTE(FEW_SEATED) | NOTE(SPINDLE_PART);
    reseat_drift drift = find_input(&input);
    assert_int_equal(drift.baselines[0].notes & of_seats, 0);
    assert_int_equal(drift.baselines[1].notes & of_seats, NOTE(UNSEATED));
    runs[13].seat_known = false;
    runs[3].seat_deg = 90.015;
    drift = find_input(&input);
    assert_int_equal(drift.baselines[0].notes & of_seats, NOTE(SPINDLE_PART));
    assert_int_equal(drift.baselines[1].notes & of_seats, NOTE(UNSEATED) | NOTE(FEW_SEATED));
    runs[3].seat_deg = 90.009;
    assert_int_equal(find_input(&input).baselines[0].notes & of_seats, 0);
}

/* o = a + R(seat) b at seats of 90 degrees: the charts are those of b, whatever the seats are. */
static void a_known_spindle_part_makes_all_seats_alike(void **state)
{
    make_runs(12);
    const reseat_drift plain = find(12);
    const reseat_drift_baseline before = plain.baselines[0];
    const reseat_xy spindle = {0.003, 0.001};
    for (size_t i = 0; i < 12; i++) {
        runs[i].seat_deg = (double)(i % 4) * 90;
        const reseat_xy b = plane_rotate(runs[i].offset_mm, runs[i].seat_deg);
        runs[i].offset_mm = (reseat_xy){spindle.x + b.x, spindle.y + b.y};
    }
    reseat_drift_input input = input_of(12);
    input.spindle_mm = spindle;
    input.spindle_known = true;
    const reseat_drift drift = find_input(&input);
    const reseat_drift_baseline *b = &drift.baselines[0];
    assert_int_equal(b->notes, 0);
    assert_near(b->charts[RESEAT_SERIES_X].sigma, before.charts[RESEAT_SERIES_X].sigma, 1e-16);
    assert_near(b->trends[RESEAT_SERIES_Y].slope, before.trends[RESEAT_SERIES_Y].slope, 1e-17);
    assert_near(b->newest.t2, before.newest.t2, 1e-10);
    assert_near(b->growth.q_mm2_per_day, before.growth.q_mm2_per_day, 1e-20);
    input.spindle_known = false;
    input.spindle_mm = (reseat_xy){0, 0};
    assert_int_equal(find_input(&input).baselines[0].notes, NOTE(SPINDLE_PART));
}

static void events_begin_new_baselines(void **state)
{
    make_runs(20);
    const reseat_drift_event events[] = {
        {5, FIRST_AT - DAY},          /* before the first run: it began with that */
        {18, runs[9].at},             /* run 19 is of the same second and comes after it */
        {90, runs[9].at + 1}, {91, runs[9].at + 2}, /* two at once begin one */
        {99, runs[19].at + 1},        /* after the last run: nothing to begin */
    };
    reseat_drift_input input = input_of(20);
    input.events = events;
    input.event_count = COUNT(events);
    const reseat_drift drift = find_input(&input);
    assert_int_equal(drift.baseline_count, 3);
    assert_int_equal(drift.baselines[0].begun_by_seq, 5);
    assert_int_equal(drift.baselines[0].count, 9);
    assert_int_equal(drift.baselines[1].begun_by_seq, 18);
    assert_int_equal(drift.baselines[1].first, 9);
    assert_int_equal(drift.baselines[1].count, 1);
    assert_int_equal(drift.baselines[2].begun_by_seq, 91);
    assert_int_equal(drift.baselines[2].from_seq, 20);
    assert_int_equal(drift.baselines[2].to_seq, 29);
    assert_int_equal(drift.baselines[2].charted, XY_LENGTH);
    assert_int_equal(drift.baselines[2].newest.before, 9);
}

/* x alternates by 2, so sigma is 2 / 1.128 = 1.77 about a mean near 0. */
static void flags_show_runs_beyond_limits_and_on_one_side(void **state)
{
    make_runs(30);
    for (size_t i = 0; i < 30; i++)
        runs[i].offset_mm.x = i % 2 == 0 ? 1 : -1;
    runs[10].offset_mm.x = 9;
    for (size_t i = 20; i < 25; i++)
        runs[i].offset_mm.x = i == 22 ? 0 : 4;
    runs[25].offset_mm.x = -1;
    const reseat_drift drift = find(30);
    const reseat_drift_chart *chart = &drift.baselines[0].charts[RESEAT_SERIES_X];
    assert_true(4 > chart->mean + chart->sigma && 4 < chart->upper);
    for (size_t i = 0; i < 30; i++) {
        assert_int_equal(drift.points[i].beyond_3_sigma & X_BIT, i == 10 ? X_BIT : 0);
        assert_int_equal(drift.points[i].four_of_five & X_BIT, i == 24 ? X_BIT : 0);
    }
}

static void a_change_leaves_two_runs_on_either_side(void **state)
{
    make_runs(16);
    runs[0].offset_mm.x += 1;
    assert_int_equal(find(16).baselines[0].change.before, 2);
    make_runs(16);
    runs[15].offset_mm.x += 1;
    assert_int_equal(find(16).baselines[0].change.before, 14);
    make_runs(16);
    runs[14].offset_mm.x += 1;
    runs[15].offset_mm.x += 1;
    const reseat_drift drift = find(16);
    assert_int_equal(drift.baselines[0].change.before, 14);
    assert_int_equal(drift.baselines[0].change.after_seq, FIRST_SEQ + 13);
}

static void what_moves_all_runs_in_time_changes_nothing(void **state)
{
    make_runs(16);
    const reseat_drift_baseline before = find(16).baselines[0];
    for (size_t i = 0; i < 16; i++)
        runs[i].at -= 40000 * (int64_t)DAY;
    const reseat_drift_baseline after = find(16).baselines[0];
    assert_memory_equal(&before, &after, sizeof before);
}

static void sorting_brings_runs_and_events_into_order(void **state)
{
    make_runs(20);
    const reseat_drift_baseline before = find(20).baselines[0];
    for (size_t i = 0; i < 10; i++) {
        const reseat_drift_run kept = runs[i];
        runs[i] = runs[19 - i];
        runs[19 - i] = kept;
    }
    assert_status(drift_sort_runs(runs, 20), RESEAT_OK);
    const reseat_drift_baseline after = find(20).baselines[0];
    assert_memory_equal(&before, &after, sizeof before);
    reseat_drift_event events[] = {{9, 5}, {8, 5}, {1, 6}, {7, 4}};
    assert_status(drift_sort_events(events, 4), RESEAT_OK);
    assert_int_equal(events[0].seq, 7);
    assert_int_equal(events[1].seq, 8);
    assert_int_equal(events[2].seq, 9);
    assert_int_equal(events[3].seq, 1);
    reseat_drift_run two[] = {{.seq = 2, .at = 9}, {.seq = 1, .at = 9}};
    assert_status(drift_sort_runs(two, 2), RESEAT_OK);
    assert_int_equal(two[0].seq, 1);
    assert_status(drift_sort_runs(NULL, 0), RESEAT_OK);
    assert_status(drift_sort_runs(NULL, 1), RESEAT_ERR_ARGUMENT);
    assert_status(drift_sort_events(NULL, 1), RESEAT_ERR_ARGUMENT);
}

/* The status of a find whose output must stay as it was. */
static reseat_status refused(const reseat_drift_input *input, void *room, size_t size)
{
    reseat_drift drift;
    reseat_drift_growth growth;
    memset(&drift, 42, sizeof drift);
    memset(&growth, 42, sizeof growth);
    const reseat_drift drift_before = drift;
    const reseat_drift_growth growth_before = growth;
    const reseat_status status = drift_find(input, room, size, &drift);
    assert_status(drift_growth_find(input, room, size, &growth), status);
    assert_memory_equal(&drift, &drift_before, sizeof drift);
    assert_memory_equal(&growth, &growth_before, sizeof growth);
    return status;
}

static void drift_refuses_what_it_cannot_take(void **state)
{
    make_runs(9);
    reseat_drift_input input = input_of(9);
    const size_t size = drift_workspace(9, 0);
    assert_status(drift_find(&input, workspace, size, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(drift_growth_find(&input, workspace, size, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(refused(NULL, workspace, size), RESEAT_ERR_ARGUMENT);
    assert_status(refused(&input, NULL, size), RESEAT_ERR_ARGUMENT);
    assert_status(refused(&input, workspace + 1, size), RESEAT_ERR_ARGUMENT);
    assert_status(refused(&input, workspace, size - 1), RESEAT_ERR_SPACE);
    input.runs = NULL;
    assert_status(refused(&input, workspace, size), RESEAT_ERR_ARGUMENT);
    input = input_of(9);
    input.limit_mm = -1;
    assert_status(refused(&input, workspace, size), RESEAT_ERR_RANGE);
    input.limit_mm = (double)NAN;
    assert_status(refused(&input, workspace, size), RESEAT_ERR_NOT_FINITE);
    input = input_of(9);
    input.event_count = 1;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_ARGUMENT);
    const reseat_drift_event events[] = {{3, 9}, {2, 9}, {1, 10}};
    input.events = events;
    for (input.event_count = 2; input.event_count <= 3; input.event_count++)
        assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_RANGE);
    input = input_of(1);
    assert_status(refused(&input, NULL, sizeof workspace), RESEAT_ERR_ARGUMENT);
    assert_status(refused(&input, workspace + 1, size), RESEAT_ERR_ARGUMENT);
    input.runs = NULL;
    assert_status(refused(&input, workspace, size), RESEAT_ERR_ARGUMENT);
}

static void runs_are_of_the_years_1_to_9999(void **state)
{
    make_runs(2);
    runs[0].at = -62135596800;
    runs[1].at = 253402300799;
    assert_int_equal(find(2).point_count, 2);
    const reseat_drift_input input = input_of(2);
    runs[1].at++;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_RANGE);
    runs[1].at--;
    runs[0].at--;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_RANGE);
}

static void drift_refuses_runs_that_are_none(void **state)
{
    make_runs(9);
    const reseat_drift_input input = input_of(9);
    const reseat_drift_run kept = runs[4];
    runs[4].at = runs[3].at - 1;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_RANGE);
    runs[4] = runs[3];
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_RANGE);
    runs[4] = kept;
    runs[4].offset_u_mm = -1;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_RANGE);
    runs[4] = kept;
    runs[4].seat_deg = (double)INFINITY;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_NOT_FINITE);
    runs[4] = kept;
    runs[0].at = runs[1].at + 1;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_RANGE);
    runs[0].at = INT64_MIN;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_RANGE);
    make_runs(9);
    for (size_t i = 0; i < 9; i++)
        runs[i].offset_mm.x *= 1e200;
    assert_status(refused(&input, workspace, sizeof workspace), RESEAT_ERR_NOT_FINITE);
}

/* Two baselines of 8, the second begun by an event after the eighth run. */
static void moving_ranges_are_those_that_the_limits_rest_on(void **state)
{
    make_runs(16);
    const reseat_drift_event event = {.seq = 900, .at = runs[7].at + DAY};
    reseat_drift_input input = input_of(16);
    input.events = &event;
    input.event_count = 1;
    runs[3].seat_known = false;
    const reseat_drift drift = find_input(&input);
    double range = -1, sum = 0;
    for (size_t i = 9; i < 16; i++) {
        assert_status(reseat_drift_moving_range(&drift, i, RESEAT_SERIES_Y, &range), RESEAT_OK);
        sum += range;
    }
    assert_near(sum / 7, drift.baselines[1].charts[RESEAT_SERIES_Y].mr_mean, 1e-15);

    assert_status(reseat_drift_moving_range(&drift, 4, RESEAT_SERIES_X, &range), RESEAT_OK);
    assert_same_bits(range, fabs(runs[4].offset_mm.x - runs[2].offset_mm.x));
    range = 7;
    for (size_t i = 0; i <= 8; i += 8) /* none before it in its baseline */
        assert_status(reseat_drift_moving_range(&drift, i, RESEAT_SERIES_X, &range),
                      RESEAT_ERR_TOO_FEW);
    assert_status(reseat_drift_moving_range(&drift, 3, RESEAT_SERIES_X, &range),
                  RESEAT_ERR_TOO_FEW);
    assert_status(reseat_drift_moving_range(&drift, 16, RESEAT_SERIES_X, &range), RESEAT_ERR_RANGE);
    assert_status(reseat_drift_moving_range(&drift, 1, RESEAT_SERIES_COUNT, &range),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_drift_moving_range(NULL, 1, RESEAT_SERIES_X, &range), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_drift_moving_range(&drift, 1, RESEAT_SERIES_X, NULL), RESEAT_ERR_ARGUMENT);
    assert_same_bits(range, 7.0);
}

/* Both parts lie on lines along X: their scatter is singular, and the split passed over. */
static void a_split_without_scatter_in_its_parts_is_passed_over(void **state)
{
    make_runs(12);
    for (size_t i = 0; i < 12; i++)
        runs[i].offset_mm = (reseat_xy){0.010 + (i % 3 == 0 ? 0.001 : i % 3 == 1 ? -0.0007 : 0),
                                        i < 6 ? -0.004 : 0.004};
    const reseat_drift drift = find(12);
    assert_true(drift.baselines[0].change_known);
    assert_true(drift.baselines[0].change.before != 6);
    assert_true(isfinite(drift.baselines[0].change.t2));
}

static void a_chance_of_many_splits_is_at_most_one(void **state)
{
    make_runs(20);
    for (size_t i = 0; i < 20; i++)
        runs[i].offset_mm = (reseat_xy){0.010 + (i % 2 ? 0.001 : -0.001),
                                        -0.004 + (i / 2 % 2 ? 0.001 : -0.001)};
    const reseat_drift drift = find(20);
    assert_true(drift.baselines[0].change_known);
    assert_same_bits(drift.baselines[0].change.p, 1.0);
}

static void a_newest_run_without_a_seat_is_not_named(void **state)
{
    make_runs(12);
    runs[11].seat_known = false;
    const reseat_drift drift = find(12);
    assert_false(drift.baselines[0].newest_known);
    assert_int_equal(drift.baselines[0].newest.seq, 0);
}

/* A run long before the others has the say in a line, but is no part that a split could take. */
static void a_first_run_long_before_makes_a_line(void **state)
{
    make_runs(14);
    runs[0].at -= 3000 * (int64_t)DAY;
    runs[0].offset_mm.x += 0.02;
    const reseat_drift drift = find(14);
    assert_true(drift.baselines[0].change_known);
    assert_true(drift.baselines[0].change.steady_fits);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_runs_are_no_error),
        cmocka_unit_test(fewer_than_8_runs_are_data_without_limits),
        cmocka_unit_test(from_8_runs_on_there_are_limits_and_from_12_one_for_t2),
        cmocka_unit_test(equal_runs_have_no_limits_and_no_flags),
        cmocka_unit_test(scatter_in_one_direction_alone_is_said_not_divided_by),
        cmocka_unit_test(runs_of_one_time_have_no_trend_and_no_rate),
        cmocka_unit_test(runs_without_a_seat_have_a_length_alone),
        cmocka_unit_test(runs_with_and_without_a_seat_mix),
        cmocka_unit_test(what_seats_lack_is_said_of_their_baseline),
        cmocka_unit_test(a_known_spindle_part_makes_all_seats_alike),
        cmocka_unit_test(events_begin_new_baselines),
        cmocka_unit_test(moving_ranges_are_those_that_the_limits_rest_on),
        cmocka_unit_test(flags_show_runs_beyond_limits_and_on_one_side),
        cmocka_unit_test(a_change_leaves_two_runs_on_either_side),
        cmocka_unit_test(what_moves_all_runs_in_time_changes_nothing),
        cmocka_unit_test(sorting_brings_runs_and_events_into_order),
        cmocka_unit_test(drift_refuses_what_it_cannot_take),
        cmocka_unit_test(runs_are_of_the_years_1_to_9999),
        cmocka_unit_test(drift_refuses_runs_that_are_none),
        cmocka_unit_test(a_split_without_scatter_in_its_parts_is_passed_over),
        cmocka_unit_test(a_chance_of_many_splits_is_at_most_one),
        cmocka_unit_test(a_newest_run_without_a_seat_is_not_named),
        cmocka_unit_test(a_first_run_long_before_makes_a_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
