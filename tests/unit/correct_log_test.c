/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What is corrected from a check at once, and from the log once the check is recorded. */

#include "maths/plane.h"
#include "random.h"
#include "reseat/rescue.h"
#include "states.h"

#define LOBES " dirs_deg=0,30,60,90,120,150,180,210,240,270,300,330 " \
    "radii_mm=2.991,2.990,2.989,2.990,2.991,2.990,2.989,2.990,2.991,2.990,2.989,2.990"

static reseat_state known;
static reseat_state_question asked;

static void ask_on(double on)
{
    const reseat_state_typed typed = {.no_limit = true};
    known = stand_on(on);
    assert_status(reseat_state_ask(&known, &typed, &asked, NULL), RESEAT_OK);
}

/* As find-seat records it: the seat, where one was found, then the check. */
static void record_found(double on, const reseat_found *found)
{
    char fields[256];
    if (found->settled && found->seats_named) {
        snprintf(fields, sizeof fields, "probe=P1 seat_deg=%.17g within_deg=%.17g",
                 found->seat_deg, found->within_deg);
        put(RESEATED, on, fields);
    }
    if (found->anew)
        snprintf(fields, sizeof fields, "probe=P1 now_x_mm=%.17g now_y_mm=%.17g now_u_mm=%.17g",
                 found->offset_now_mm.x, found->offset_now_mm.y, found->shift_u_mm);
    else
        snprintf(fields, sizeof fields,
                 "probe=P1 shift_x_mm=%.17g shift_y_mm=%.17g shift_u_mm=%.17g", found->read_mm.x,
                 found->read_mm.y, found->shift_u_mm);
    put(VERIFY, on, fields);
}

/* Both must correct alike whatever was found; they count as much as they differ in knowledge. */
static bool compare(double on, reseat_xy mm, bool anew)
{
    reseat_found found;
    reseat_correction now, later;
    ask_on(on);
    const reseat_estimate *e = &asked.question.estimate;
    assert_status((anew ? reseat_find_seat_by_offset : reseat_find_seat)(
                      e, &asked.question.turns, mm, 0.0005, &found), RESEAT_OK);
    const reseat_status at_once = reseat_correct_found(e, &found, RESEAT_DATUM_MACHINE, &now);
    reseat_state_free(&known);
    if (found.unturned) {
        assert_status(at_once, RESEAT_ERR_RANGE);
        return false;
    }
    assert_status(at_once, RESEAT_OK);
    record_found(on, &found);
    ask_on(on);
    assert_status(reseat_correct_at(&asked.question.estimate, &asked.question.turns,
                                    RESEAT_DATUM_MACHINE, &later), RESEAT_OK);
    assert_near(now.error_mm.x, later.error_mm.x, 1e-15);
    assert_near(now.error_mm.y, later.error_mm.y, 1e-15);
    assert_near(now.u_mm, later.u_mm, 1e-15);
    assert_int_equal(now.turn_known, later.turn_known);
    assert_near(now.turn_deg, later.turn_deg, 1e-9);
    assert_near(now.hidden_mm, later.hidden_mm, 1e-12);
    assert_near(now.radius_u_mm, later.radius_u_mm, 1e-12);
    reseat_state_free(&known);
    return found.settled;
}

static void what_find_seat_records_is_corrected_at_once_alike(void **state)
{
    static const char *const seats[] = {"keys:2", "any", "keys:6"};
    uint64_t random = 21;
    int settled = 0;
    double on = 1;
    for (int i = 0; i < 240; i++, on += 0.01) {
        char policy[96], reseat[64];
        put(RUN, on, i % 2 ? P1_RUN LOBES : P1_RUN);
        snprintf(policy, sizeof policy, "seats=%s u_seat_mm=0.0003 u_spindle_mm=0.0003",
                 seats[i % 3]);
        put(POLICY, on, policy);
        snprintf(reseat, sizeof reseat, "probe=P1 seat_deg=%s", i % 5 == 0 ? "210" : "unknown");
        put(RESEATED, on + 0.001, reseat);
        /* a turn by half, or by anything, or something bent */
        const double turn_deg = i % 4 == 0 ? 180 : random_between(&random, -180, 180);
        const reseat_xy q = {0.004, -0.0011}, b = plane_rotate(q, turn_deg);
        const double bent = i % 7 == 0 ? 0.01 : 0.0004;
        const reseat_xy now = {b.x + random_between(&random, -bent, bent),
                               b.y + random_between(&random, -bent, bent)};
        const bool anew = i / 2 % 2;
        settled += compare(on + 0.002, anew ? now : (reseat_xy){q.x - now.x, q.y - now.y}, anew);
    }
    print_message("a seat was found %d times of 240\n", settled);
    assert_true(settled > 60 && settled < 200);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(what_find_seat_records_is_corrected_at_once_alike),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
