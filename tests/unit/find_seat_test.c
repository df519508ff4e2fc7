/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "random.h"
#include "reseat/rescue.h"
#include "model/seat.h"
#include "model/estimate.h"
#include "reseat/rescue.h"
#include "maths/plane.h"

static reseat_estimate plain(double x, double y)
{
    return (reseat_estimate){.offset_mm = {x, y},
                             .in_use_mm = {x, y},
                             .terms = terms_assumed(),
                             .out = true};
}

static reseat_turns turns_of(const char *typed, double run_deg)
{
    reseat_seat seat;
    reseat_turns turns;
    assert_status(reseat_seat_parse(typed, strlen(typed), &seat, NULL), RESEAT_OK);
    assert_status(seat_turns(&seat, run_deg, true, NULL, &turns), RESEAT_OK);
    return turns;
}

static reseat_xy shift_by(const reseat_estimate *e, double turn_deg)
{
    reseat_xy shift;
    assert_status(seat_error_by_turn(e->offset_mm, e->offset_mm, e->spindle_mm, turn_deg,
                                     &shift), RESEAT_OK);
    return shift;
}

static reseat_found found_at(const reseat_estimate *e, const char *seat, reseat_xy shift,
                             double u_mm)
{
    static reseat_found found;
    const reseat_turns turns = turns_of(seat, 15);
    assert_status(reseat_find_seat(e, &turns, shift, u_mm, &found), RESEAT_OK);
    return found;
}

static void finds_any_turn_where_nothing_scatters(void **state)
{
    uint64_t random = 3;
    double worst = 0;
    for (int i = 0; i < 2000; i++) {
        const double length = random_log(&random, -3, 2);
        const reseat_xy q = plane_rotate((reseat_xy){length, 0},
                                         random_between(&random, 0, 360));
        reseat_estimate e = plain(q.x, q.y);
        e.terms = (reseat_terms){0};
        const double turn = i < 361 ? i - 180 : random_between(&random, -180, 180);
        const reseat_found found = found_at(&e, "any", shift_by(&e, turn), 1e-6);
        assert_true(found.explained && found.resolvable && found.settled && !found.keyed);
        const double off = plane_turn_between(turn, found.turn_deg);
        assert_near(off, 0, 1e-9);
        assert_near(found.misfit, 0, length * 1e-8);
        assert_near(found.seat_deg, plane_seat(15 + found.turn_deg), 1e-12);
        worst = fmax(worst, fabs(off));
    }
    print_message("2000 turns, largest difference %.2g degrees\n", worst);
}

static void the_spindles_part_does_not_turn(void **state)
{
    reseat_estimate e = plain(0.012, -0.005);
    e.spindle_mm = (reseat_xy){0.004, 0.007};
    e.terms.u_seat_mm = e.terms.u_run_mm = e.terms.u_spindle_mm = 0;
    const reseat_xy shift = shift_by(&e, -75);
    const reseat_found found = found_at(&e, "any", shift, 0.0005);
    assert_near(found.turn_deg, -75, 1e-9);
    assert_near(found.turning_mm, hypot(0.008, 0.012), 1e-17);
    assert_near(found.offset_now_mm.x, 0.012 - shift.x, 0);
    assert_near(found.offset_now_mm.y, -0.005 - shift.y, 0);
    /* a spindle's part that is ignored gives another turn, and a misfit */
    e.spindle_mm = (reseat_xy){0, 0};
    assert_false(found_at(&e, "any", shift, 0.0001).explained);
}

static void uncertainty_is_put_together_as_the_handbook_says(void **state)
{
    reseat_estimate e = plain(0.03, 0.04);
    e.terms = (reseat_terms){.u_run_mm = 0.001, .u_seat_mm = 0.0005, .u_spindle_mm = 0.0007};
    const reseat_found found = found_at(&e, "any", shift_by(&e, 90), 0.0003);
    const double u = sqrt(0.0003 * 0.0003 + 2 * 0.0005 * 0.0005 +
                          4 * 0.5 * (0.001 * 0.001 + 0.0007 * 0.0007));
    assert_near(found.u_mm, u, 1e-15);
    assert_near(found.turn_u_deg, u / 0.05 * 180 / 3.14159265358979323846, 1e-12);
    assert_near(found.within_deg, 1.959963984540054 * found.turn_u_deg, 1e-12);
    const reseat_found keyed = found_at(&e, "keys:4", shift_by(&e, 90), 0.0003);
    assert_near(keyed.u_mm, u, 1e-15);
    assert_near(keyed.turn_u_deg, 0, 0);
    assert_near(keyed.turn_deg, 90, 0);
    assert_near(keyed.seat_deg, 105, 0);
}

static void what_leaves_the_circle_is_no_turn(void **state)
{
    reseat_estimate e = plain(0.02, 0);
    e.terms = (reseat_terms){0};
    /* q - d has length 0.02 + 0.0026 or 0.0025, in u of 0.001: p 0.0093, 0.0124 */
    const reseat_found off = found_at(&e, "any", (reseat_xy){-0.0026, 0}, 0.001);
    assert_near(off.misfit, 2.6, 1e-12);
    assert_near(off.p, erfc(2.6 / sqrt(2.0)), 1e-15);
    assert_false(off.explained || off.settled);
    assert_true(off.resolvable);
    const reseat_found on = found_at(&e, "any", (reseat_xy){-0.0025, 0}, 0.001);
    assert_true(on.explained && on.settled);
    assert_near(found_at(&e, "any", (reseat_xy){0.0026, 0}, 0.001).misfit, -2.6, 1e-12);
    assert_near(found_at(&e, "any", (reseat_xy){1000, 0}, 0.001).p, 0, 0);
}

/* Seats of the run at 15, so that a turn of 100 is seat 115; u of the turn 1 degree. */
static void a_turn_outside_of_what_was_possible_explains_nothing(void **state)
{
    reseat_estimate e = plain(0.02, 0);
    e.terms = (reseat_terms){0};
    const double u_mm = 0.02 * 3.14159265358979323846 / 180;
    const struct {
        const char *seat;
        double turn_deg;
        bool explained;
    } cases[] = {
        {"180+-5", 60, false},   {"180+-5", 165, true},    {"180+-5", 171.999, true},
        {"180+-5", 172.001, false}, {"180+-5", 158.001, true}, {"180+-5", 157.999, false},
        {"15+-5", -6.999, true}, {"15+-5", -7.001, false}, {"200+-5", -169, true},
        {"200+-5", -167.9, false}, {"195+-5", -173.1, true}, {"195+-179.9", 0, true},
        {"any", 60, true},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const reseat_xy shift = shift_by(&e, cases[i].turn_deg);
        const reseat_found found = found_at(&e, cases[i].seat, shift, u_mm);
        assert_near(found.turn_u_deg, 1, 1e-12);
        assert_int_equal(found.explained, cases[i].explained);
        assert_int_equal(found.settled, cases[i].explained);
        assert_int_equal(found.outside, !cases[i].explained);
        assert_true(found.resolvable && found.p > 0.99);
        assert_near(found.turn_deg, cases[i].turn_deg, 1e-9);
    }
    /* what cannot be told contradicts nothing */
    const reseat_found blind = found_at(&e, "180+-5", shift_by(&e, 60), 0.01);
    assert_true(blind.explained && !blind.resolvable && !blind.settled);
    /* a seat known exactly is a range without width */
    reseat_turns exact = {.range = true, .first_deg = 60};
    reseat_found found;
    assert_status(reseat_find_seat(&e, &exact, shift_by(&e, 61.9), u_mm, &found), RESEAT_OK);
    assert_true(found.settled);
    assert_status(reseat_find_seat(&e, &exact, shift_by(&e, 62.1), u_mm, &found), RESEAT_OK);
    assert_false(found.settled || found.explained);
    assert_true(found.outside);
}

static void a_small_offset_tells_no_seat(void **state)
{
    reseat_estimate e = plain(0.00299, 0);
    e.terms = (reseat_terms){0};
    const reseat_found blind = found_at(&e, "any", shift_by(&e, 120), 0.001);
    assert_false(blind.resolvable || blind.settled);
    assert_true(blind.explained);
    assert_near(blind.turn_deg, 0, 0);
    assert_near(blind.turn_u_deg, 0, 0);
    assert_near(blind.seat_deg, 0, 0);
    e = plain(0.00301, 0);
    e.terms = (reseat_terms){0};
    assert_true(found_at(&e, "any", shift_by(&e, 120), 0.001).resolvable);
    e = plain(0, 0);
    assert_false(found_at(&e, "any", (reseat_xy){0, 0}, 0.001).resolvable);
    assert_false(found_at(&e, "keys:2", (reseat_xy){0, 0}, 0.001).resolvable);
}

static void keyed_seats_are_judged_at_the_keys(void **state)
{
    reseat_estimate e = plain(0.02, 0);
    e.terms = (reseat_terms){0};
    /* 100 degrees fits a free turn, but no key of three: 120 is the nearest */
    const reseat_xy shift = shift_by(&e, 100);
    assert_true(found_at(&e, "any", shift, 0.001).explained);
    const reseat_found off = found_at(&e, "keys:3", shift, 0.001);
    assert_false(off.explained);
    assert_int_equal(off.best, 1);
    assert_near(off.turn_deg, 120, 0);
    /* chord of 20 degrees */
    const double misfit = 2 * 0.02 * sin(10 * 3.14159265358979323846 / 180) / 0.001;
    assert_near(off.misfit, misfit, 1e-11);
    assert_near(off.p, exp(-misfit * misfit / 2), 1e-15);

    const reseat_found on = found_at(&e, "keys:3", shift_by(&e, 120), 0.001);
    assert_true(on.settled);
    assert_near(on.p, 1, 0);
    assert_near(on.seats[1].probability, 1, 1e-12);
    assert_near(on.seats[1].seat_deg, 135, 0);
    assert_int_equal(on.count, 3);
}

static void probabilities_weigh_fit_and_scatter(void **state)
{
    reseat_estimate e = plain(0.004, 0.001);
    const double shift_u = 0.0015;
    const reseat_xy shift = {0.003, 0.001};
    const reseat_found found = found_at(&e, "keys:4", shift, shift_u);
    double weight[4], sum = 0;
    for (int k = 0; k < 4; k++) {
        const reseat_xy d = shift_by(&e, 90 * k);
        const double sine = sin(45 * k * 3.14159265358979323846 / 180);
        const double u2 = shift_u * shift_u + 2 * 0.002 * 0.002 +
                          4 * sine * sine * (0.001 * 0.001 + 0.002 * 0.002);
        const double x = shift.x - d.x, y = shift.y - d.y;
        assert_near(found.seats[k].p, exp(-(x * x + y * y) / u2 / 2), 1e-14);
        weight[k] = found.seats[k].p / u2;
        sum += weight[k];
    }
    for (int k = 0; k < 4; k++) {
        assert_near(found.seats[k].probability, weight[k] / sum, 1e-14);
        assert_true(weight[k] <= weight[found.best]);
        assert_true(k == (int)found.best || weight[k] <= weight[found.runner_up]);
    }
    assert_true(found.best != found.runner_up);
    assert_false(found.settled); /* none of them is likely enough */
}

static void probabilities_hold_where_no_seat_fits(void **state)
{
    const reseat_estimate e = plain(0.004, 0.001);
    const reseat_found far_off = found_at(&e, "keys:2", (reseat_xy){5, 0}, 0.0001);
    assert_near(far_off.p, 0, 0);
    assert_near(far_off.seats[0].probability + far_off.seats[1].probability, 1, 1e-15);
    const reseat_found alone = found_at(&e, "keys:1", (reseat_xy){0, 0}, 0.001);
    assert_int_equal(alone.runner_up, alone.count);
    assert_near(alone.seats[0].probability, 1, 0);
}

static void many_keys_are_not_told_apart(void **state)
{
    const reseat_estimate e = plain(0.05, 0);
    const reseat_found found = found_at(&e, "keys:360", shift_by(&e, 77), 0.001);
    assert_true(found.explained);
    assert_near(found.seats[found.best].turn_deg, 77, 0);
    assert_false(found.resolvable || found.settled);
}

static reseat_status by_offsets(const reseat_estimate *e, const reseat_turns *turns,
                                reseat_xy then_mm, double then_u_mm, reseat_xy now_mm,
                                double now_u_mm, reseat_found *found)
{
    static reseat_reduction then, now;
    then = (reseat_reduction){.has_offset = true, .offset_mm = then_mm, .offset_u_mm = then_u_mm};
    now = (reseat_reduction){.has_offset = true, .offset_mm = now_mm, .offset_u_mm = now_u_mm};
    return reseat_find_seat_by_touches(e, turns, &then, &now, 0, found);
}

static void the_offset_now_tells_the_shift_without_the_gauge(void **state)
{
    reseat_estimate e = plain(0.012, -0.005);
    e.terms = (reseat_terms){0};
    const reseat_turns turns = turns_of("any", 0);
    const reseat_xy now = plane_rotate(e.offset_mm, 130);
    reseat_found found;
    assert_status(by_offsets(&e, &turns, e.offset_mm, 1e-4, now, 2e-4, &found), RESEAT_OK);
    assert_near(found.turn_deg, 130, 1e-9);
    assert_near(found.shift_u_mm, 2e-4, 0);
    assert_true(found.anew);
    assert_near(found.offset_now_mm.x, now.x, 0);
    assert_near(found.offset_now_mm.y, now.y, 0);
    assert_near(found.shift_mm.x, e.offset_mm.x - now.x, 0);
}

static void the_error_counts_what_the_control_adds(void **state)
{
    reseat_estimate e = plain(0.012, -0.005);
    e.in_use_mm = (reseat_xy){0.010, 0};
    e.terms = (reseat_terms){0};
    const reseat_xy shift = shift_by(&e, 90);
    const reseat_found found = found_at(&e, "any", shift, 0.001);
    reseat_xy error;
    assert_status(seat_error_by_turn(e.offset_mm, e.in_use_mm, e.spindle_mm, 90, &error),
                  RESEAT_OK);
    assert_near(found.error_mm.x, error.x, 1e-17);
    assert_near(found.error_mm.y, error.y, 1e-17);
    assert_near(found.turn_deg, 90, 1e-9);
}

static void touches_tell_the_shift_by_offsets_or_centres(void **state)
{
    static reseat_reduction then, now;
    reseat_estimate e = plain(0.012, -0.005);
    e.terms = (reseat_terms){0};
    const reseat_turns turns = turns_of("any", 0);
    const reseat_xy turned = plane_rotate(e.offset_mm, 130);
    reseat_found found;
    then.has_offset = now.has_offset = true;
    then.offset_mm = e.offset_mm;
    now.offset_mm = turned;
    then.offset_u_mm = 0.0003;
    now.offset_u_mm = 0.0004;
    now.centre_mm.x = 5; /* the gauge stands elsewhere */
    assert_status(reseat_find_seat_by_touches(&e, &turns, &then, &now, 0, &found), RESEAT_OK);
    assert_near(found.turn_deg, 130, 1e-9);
    assert_near(found.shift_u_mm, 0.0004, 0);
    assert_status(reseat_find_seat_by_touches(&e, &turns, NULL, &now, 0, &found), RESEAT_OK);
    assert_near(found.turn_deg, 130, 1e-9);
    assert_status(reseat_find_seat_by_touches(&e, &turns, &then, &now, -0.001, &found),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_find_seat_by_touches(&e, &turns, &then, &now, (double)NAN, &found),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_find_seat_by_touches(&e, &turns, &then, &now, 0.001, &found),
                  RESEAT_ERR_RANGE);
    now.has_offset = false;
    assert_status(reseat_find_seat_by_touches(&e, &turns, &then, &now, 0.001, &found),
                  RESEAT_ERR_SINGULAR);

    /* the centre of the touches is that of the gauge less the offset */
    then.has_offset = false;
    then.turns = now.turns = 1;
    then.centre_mm = (reseat_xyz){100 - e.offset_mm.x, 50 - e.offset_mm.y, 0};
    now.centre_mm = (reseat_xyz){100 - turned.x, 50 - turned.y, 0};
    assert_status(reseat_find_seat_by_touches(&e, &turns, &then, &now, 0.001, &found), RESEAT_OK);
    assert_near(found.turn_deg, 130, 1e-8); /* a centre at 100 mm has its own rounding */
    assert_status(reseat_find_seat_by_touches(&e, &turns, &then, &now, 0, &found),
                  RESEAT_ERR_RANGE);
    for (int k = 0; k < 4; k++) {
        static const double turned_deg[] = {90, -90, 0.5, -0.5};
        now.turns_deg[0] = turned_deg[k];
        assert_status(reseat_find_seat_by_touches(&e, &turns, &then, &now, 0.001, &found),
                      RESEAT_ERR_SINGULAR);
    }
    assert_status(reseat_find_seat_by_touches(&e, &turns, NULL, &now, 0.001, &found),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_find_seat_by_touches(&e, &turns, &then, NULL, 0.001, &found),
                  RESEAT_ERR_ARGUMENT);
}

static void each_wrong_input_is_refused_untouched(void **state)
{
    static reseat_found found, before;
    memset(&found, 0x55, sizeof found);
    before = found;
    const reseat_estimate good = plain(0.012, -0.005);
    const reseat_turns any = turns_of("any", 0);
    const reseat_xy d = {0.001, 0.002};

    assert_status(reseat_find_seat(NULL, &any, d, 0.001, &found), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_find_seat(&good, NULL, d, 0.001, &found), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_find_seat(&good, &any, d, 0.001, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_find_seat(&good, &any, d, 0, &found), RESEAT_ERR_RANGE);
    assert_status(reseat_find_seat(&good, &any, d, -1, &found), RESEAT_ERR_RANGE);
    assert_status(reseat_find_seat(&good, &any, d, (double)NAN, &found), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_find_seat(&good, &any, (reseat_xy){(double)NAN, 0}, 0.001, &found),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_find_seat(&good, &any, (reseat_xy){1e300, 1e300}, 1e-300, &found),
                  RESEAT_ERR_NOT_FINITE);
    reseat_estimate bad = good;
    bad.terms.u_seat_mm = -1;
    assert_status(reseat_find_seat(&bad, &any, d, 0.001, &found), RESEAT_ERR_RANGE);
    bad.terms.u_seat_mm = (double)INFINITY;
    assert_status(reseat_find_seat(&bad, &any, d, 0.001, &found), RESEAT_ERR_NOT_FINITE);
    bad = good;
    bad.spindle_mm.y = (double)NAN;
    assert_status(reseat_find_seat(&bad, &any, d, 0.001, &found), RESEAT_ERR_NOT_FINITE);
    reseat_turns part = turns_of("30+-5", 0);
    part.width_deg = -1e-9;
    assert_status(reseat_find_seat(&good, &part, d, 0.001, &found), RESEAT_ERR_RANGE);
    reseat_turns none = any;
    none.range = false;
    assert_status(reseat_find_seat(&good, &none, d, 0.001, &found), RESEAT_ERR_RANGE);

    assert_status(by_offsets(&good, &any, d, 0, d, 0, &found), RESEAT_ERR_RANGE);
    assert_status(by_offsets(&good, &any, d, 1e-4, d, (double)NAN, &found),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(by_offsets(&good, &any, d, 1e-4, (reseat_xy){(double)INFINITY, 0}, 1e-4, &found),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(by_offsets(NULL, &any, d, 1e-4, d, 1e-4, &found), RESEAT_ERR_ARGUMENT);
    assert_status(by_offsets(&good, NULL, d, 1e-4, d, 1e-4, &found), RESEAT_ERR_ARGUMENT);
    assert_status(by_offsets(&good, &any, d, 1e-4, d, 1e-4, NULL), RESEAT_ERR_ARGUMENT);
    assert_memory_equal(&found, &before, sizeof found);
}

/* Two readings of a bore at a place unknown, with whatever the control adds, to both the same. */
static void half_a_turn_measures_the_offset(void **state)
{
    uint64_t random = 11;
    for (int i = 0; i < 1000; i++) {
        const reseat_xy offset = {random_between(&random, -0.1, 0.1),
                                  random_between(&random, -0.1, 0.1)};
        const reseat_xy place = {random_between(&random, -500, 500),
                                 random_between(&random, -500, 500)};
        const reseat_xy at_0 = xy_less(place, offset);
        const reseat_xy at_180 = {place.x + offset.x, place.y + offset.y};
        reseat_xy found;
        double u_mm = 0;
        assert_status(reseat_half_turn_offset(at_0, at_180, 0.002, &found, &u_mm), RESEAT_OK);
        assert_near(found.x, offset.x, 1e-13); /* readings of 500 mm have their own rounding */
        assert_near(found.y, offset.y, 1e-13);
        assert_near(u_mm, 0.002 / sqrt(2.0), 1e-18);
    }
}

/* Readings that agree say that the ball is centred, or that nobody turned the spindle. */
static void readings_that_agree_explain_nothing(void **state)
{
    const reseat_estimate e = {.offset_mm = {0.0041, 0}, .in_use_mm = {0.0041, 0},
                               .terms = {.u_run_mm = 0.001, .u_seat_mm = 0.002}};
    const reseat_turns turns = turns_of("keys:2", 0);
    reseat_found found;
    assert_status(reseat_find_seat_by_offset(&e, &turns, (reseat_xy){0.0012, -0.0011}, 7.1e-4,
                                             &found), RESEAT_OK);
    assert_true(found.unturned);
    assert_false(found.explained || found.settled || found.outside);
    assert_status(reseat_find_seat_by_offset(&e, &turns, (reseat_xy){0.0014, -0.0012}, 7.1e-4,
                                             &found), RESEAT_OK);
    assert_false(found.unturned); /* 1.84 away where 1.74 decide */
    assert_true(found.explained);
    assert_status(reseat_find_seat_by_offset(&e, &turns, (reseat_xy){0.0012, -0.0011}, 9e-4,
                                             &found), RESEAT_OK);
    assert_false(found.unturned); /* 4.1 could not be told from none */
}

static void half_a_turn_refuses_what_is_no_reading(void **state)
{
    const reseat_xy a = {1, 2}, b = {(double)NAN, 0};
    reseat_xy offset = {7, 8};
    double u_mm = 9;
    assert_status(reseat_half_turn_offset(a, b, 0.001, &offset, &u_mm), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_half_turn_offset(a, a, (double)INFINITY, &offset, &u_mm),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_half_turn_offset(a, a, 0, &offset, &u_mm), RESEAT_ERR_RANGE);
    assert_status(reseat_half_turn_offset(a, a, (double)NAN, &offset, &u_mm),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_half_turn_offset(a, a, 0.001, &offset, &u_mm), RESEAT_ERR_SINGULAR);
    assert_status(reseat_half_turn_offset(a, a, 0.001, NULL, &u_mm), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_half_turn_offset(a, a, 0.001, &offset, NULL), RESEAT_ERR_ARGUMENT);
    assert_near(offset.x, 7, 0);
    assert_near(offset.y, 8, 0);
    assert_near(u_mm, 9, 0);
}

/* At the run's seat all of the run's error stands between its offset and the one now. */
static void the_offset_now_carries_the_error_of_the_run(void **state)
{
    reseat_estimate e = plain(0.012, -0.005);
    e.terms = (reseat_terms){.u_run_mm = 0.003};
    const reseat_turns same = turns_of("keys:1", 15);
    reseat_found found;
    assert_status(reseat_find_seat_by_offset(&e, &same, e.offset_mm, 0.004, &found), RESEAT_OK);
    assert_near(found.u_mm, 0.005, 1e-18);
    assert_near(found.misfit, 0, 0);
    assert_near(found_at(&e, "keys:1", (reseat_xy){0, 0}, 0.004).u_mm, 0.004, 1e-18);
}

static void the_error_now_is_what_the_control_adds_less_the_offset_now(void **state)
{
    reseat_estimate e = plain(0.012, -0.005);
    e.in_use_mm = (reseat_xy){0.010, 0.001};
    const reseat_turns keys = turns_of("keys:2", 15);
    reseat_found found;
    assert_status(reseat_find_seat_by_offset(&e, &keys, (reseat_xy){-0.012, 0.005}, 0.0005, &found),
                  RESEAT_OK);
    assert_true(found.settled && found.anew);
    assert_near(found.turn_deg, 180, 0);
    assert_near(found.error_mm.x, 0.022, 1e-17);
    assert_near(found.error_mm.y, -0.004, 1e-17);
}

/* A reading with another offset in the control moves by the difference, which no turn explains. */
static void what_the_control_adds_since_is_no_part_of_a_turn(void **state)
{
    reseat_estimate e = plain(0.012, -0.005);
    const reseat_xy by_turn = shift_by(&e, 180);
    e.in_use_mm = (reseat_xy){0.020, 0};
    e.in_use_change_mm = xy_less(e.in_use_mm, e.offset_mm);
    const reseat_xy read = {by_turn.x + e.in_use_change_mm.x, by_turn.y + e.in_use_change_mm.y};
    const reseat_found found = found_at(&e, "keys:2", read, 0.0005);
    assert_near(found.turn_deg, 180, 0);
    assert_near(found.misfit, 0, 1e-12);
    assert_near(found.error_mm.x, e.in_use_mm.x + 0.012, 1e-17);
    assert_near(found.error_mm.y, e.in_use_mm.y - 0.005, 1e-17);
}

static void readings_taken_off_the_wrong_way_round_are_told(void **state)
{
    const reseat_estimate e = plain(0.02, 0);
    const reseat_xy d = shift_by(&e, 180), minus = {-d.x, -d.y};
    const reseat_found right = found_at(&e, "keys:2", d, 0.0005);
    assert_true(right.explained && !right.opposite);
    const reseat_found wrong = found_at(&e, "keys:2", minus, 0.0005);
    assert_true(!wrong.explained && wrong.opposite);
    assert_near(wrong.opposite_deg, 195, 0);
    assert_false(found_at(&e, "keys:2", (reseat_xy){0, 0.3}, 0.0005).opposite);
}

static void keys_are_told_by_their_probability_alone(void **state)
{
    const reseat_estimate e = plain(0.005, 0); /* |q| below 3 u_m, the two seats 2 |q| apart */
    const reseat_found found = found_at(&e, "keys:2", shift_by(&e, 180), 0.001);
    assert_true(found.turning_mm < 3 * found.u_mm);
    assert_true(found.seats[found.best].probability >= RESEAT_FOUND_CHANCE);
    assert_true(found.resolvable && found.settled);
}

static void growth_since_the_run_counts(void **state)
{
    reseat_estimate e = plain(0.05, 0);
    e.terms = (reseat_terms){.u_drift_mm = 0.003};
    assert_near(found_at(&e, "any", shift_by(&e, 0), 0.004).u_mm, 0.005, 1e-18);
}

static void an_offset_of_nothing_that_did_not_move_fits(void **state)
{
    const reseat_estimate e = plain(0, 0);
    const reseat_found found = found_at(&e, "any", (reseat_xy){0, 0}, 0.001);
    assert_same_bits(found.misfit, 0.0);
    assert_same_bits(found.p, 1.0);
    assert_false(found.resolvable);
}

/* The next best key may be the one tried after the best, or the one before. */
static void the_runner_up_is_the_next_best_key(void **state)
{
    reseat_estimate e = plain(0.02, 0);
    e.terms = (reseat_terms){0};
    static const struct {
        double turn_deg;
        size_t best, runner_up;
    } cases[] = {{20, 0, 1}, {-20, 0, 2}, {100, 1, 0}, {140, 1, 2}, {-140, 2, 1}, {-100, 2, 0}};
    for (size_t i = 0; i < 6; i++) {
        const reseat_found found = found_at(&e, "keys:3", shift_by(&e, cases[i].turn_deg), 0.001);
        assert_int_equal(found.best, cases[i].best);
        assert_int_equal(found.runner_up, cases[i].runner_up);
    }
    assert_int_equal(found_at(&e, "keys:2", (reseat_xy){0, 0}, 0.001).runner_up, 1);
}

static void what_is_not_told_has_no_turn_and_an_unknown_run_no_seats(void **state)
{
    reseat_turns turns = turns_of("keys:3", 15);
    static reseat_found found;
    const reseat_estimate small = plain(0.001, 0), e = plain(0.02, 0);
    assert_status(reseat_find_seat(&small, &turns, shift_by(&small, 120), 0.01, &found), RESEAT_OK);
    assert_false(found.resolvable);
    assert_same_bits(found.turn_deg, 0.0);
    turns.run_known = false;
    assert_status(reseat_find_seat(&e, &turns, shift_by(&e, 120), 0.001, &found), RESEAT_OK);
    assert_false(found.seats_named);
    for (size_t k = 0; k < 3; k++)
        assert_same_bits(found.seats[k].seat_deg, 0.0);
    assert_same_bits(found.seat_deg, 0.0);
}

static void every_figure_must_be_finite(void **state)
{
    static reseat_found found;
    reseat_estimate e = plain(0.012, -0.005);
    reseat_turns turns = turns_of("any", 0);
    reseat_xy d = {0.001, 0.002};
    double u_mm = 0.001;
    double *const all[] = {&e.offset_mm.x, &e.offset_mm.y, &e.spindle_mm.x, &e.spindle_mm.y,
                           &e.in_use_mm.x, &e.in_use_mm.y, &d.x, &d.y, &u_mm, &turns.first_deg,
                           &turns.run_deg, &turns.width_deg, &e.terms.u_run_mm,
                           &e.terms.u_seat_mm, &e.terms.u_spindle_mm};
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
        const double good = *all[i];
        *all[i] = (double)NAN;
        assert_status(reseat_find_seat(&e, &turns, d, u_mm, &found), RESEAT_ERR_NOT_FINITE);
        *all[i] = -1;
        if (i >= 12)
            assert_status(reseat_find_seat(&e, &turns, d, u_mm, &found), RESEAT_ERR_RANGE);
        *all[i] = good;
    }
    assert_status(reseat_find_seat(&e, &turns, d, u_mm, &found), RESEAT_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_any_turn_where_nothing_scatters),
        cmocka_unit_test(the_spindles_part_does_not_turn),
        cmocka_unit_test(uncertainty_is_put_together_as_the_handbook_says),
        cmocka_unit_test(what_leaves_the_circle_is_no_turn),
        cmocka_unit_test(a_turn_outside_of_what_was_possible_explains_nothing),
        cmocka_unit_test(a_small_offset_tells_no_seat),
        cmocka_unit_test(keyed_seats_are_judged_at_the_keys),
        cmocka_unit_test(probabilities_weigh_fit_and_scatter),
        cmocka_unit_test(probabilities_hold_where_no_seat_fits),
        cmocka_unit_test(many_keys_are_not_told_apart),
        cmocka_unit_test(the_offset_now_tells_the_shift_without_the_gauge),
        cmocka_unit_test(half_a_turn_measures_the_offset),
        cmocka_unit_test(readings_that_agree_explain_nothing),
        cmocka_unit_test(half_a_turn_refuses_what_is_no_reading),
        cmocka_unit_test(the_offset_now_carries_the_error_of_the_run),
        cmocka_unit_test(the_error_now_is_what_the_control_adds_less_the_offset_now),
        cmocka_unit_test(what_the_control_adds_since_is_no_part_of_a_turn),
        cmocka_unit_test(readings_taken_off_the_wrong_way_round_are_told),
        cmocka_unit_test(keys_are_told_by_their_probability_alone),
        cmocka_unit_test(growth_since_the_run_counts),
        cmocka_unit_test(the_error_counts_what_the_control_adds),
        cmocka_unit_test(touches_tell_the_shift_by_offsets_or_centres),
        cmocka_unit_test(each_wrong_input_is_refused_untouched),
        cmocka_unit_test(an_offset_of_nothing_that_did_not_move_fits),
        cmocka_unit_test(the_runner_up_is_the_next_best_key),
        cmocka_unit_test(what_is_not_told_has_no_turn_and_an_unknown_run_no_seats),
        cmocka_unit_test(every_figure_must_be_finite),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
