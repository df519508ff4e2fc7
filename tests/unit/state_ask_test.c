/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From the state to the question: uncertainty, offsets, limit, radii, drift, gauge check. */

#include "states.h"
#include "history/drift.h"

#define BIT(term) (1u << RESEAT_TERM_##term)
#define ALL_ASSUMED ((1u << RESEAT_TERM_COUNT) - 1u - BIT(SHIFT))

/* The state on a day and the question that follows; the state is to be freed. */
static reseat_state ask_on(double on, const reseat_state_typed *typed,
                           reseat_state_question *asked)
{
    reseat_state s = stand_on(on);
    assert_status(reseat_state_ask(&s, typed, asked, NULL), RESEAT_OK);
    return s;
}

static void without_figures_on_record_all_are_assumed(void **state)
{
    reseat_state_question asked;
    put(POLICY, 0, "limit_mm=0.005");
    put(RUN, 0, P1_RUN);
    reseat_state s = ask_on(30, NULL, &asked);
    const reseat_estimate *e = &asked.question.estimate;
    assert_near(e->terms.u_run_mm, 0.001, 0);
    assert_near(e->terms.u_seat_mm, 0.002, 0);
    assert_near(e->terms.u_turn_deg, 0.2, 0);
    assert_near(e->terms.u_spindle_mm, 0.002, 0);
    assert_near(e->terms.u_touch_mm, 0.0005, 0);
    assert_near(e->terms.u_axial_mm, 0.005, 0);
    assert_near(e->terms.lobing_mm, 0.003, 0);
    assert_near(e->terms.u_drift_mm, 0.001, 1e-18); /* (0.001 mm)^2 in 30 days */
    assert_int_equal(e->terms.assumed, ALL_ASSUMED);
    assert_near(e->offset_mm.x, 0.004, 0);
    assert_near(e->offset_mm.y, -0.0011, 0);
    assert_same_bits(e->in_use_mm.x, e->offset_mm.x);
    assert_same_bits(e->in_use_mm.y, e->offset_mm.y);
    assert_near(fabs(e->spindle_mm.x) + fabs(e->spindle_mm.y), 0, 0);
    assert_true(!e->curve && !e->dirs_deg && e->dirs == 0 && !e->verified);
    assert_int_equal(asked.question.reasons, 0);
    reseat_state_free(&s);
}

/* Student's t: a scatter known from few seatings counts more; from hardly any, as assumed. */
static void a_measured_scatter_counts_by_its_degrees_of_freedom(void **state)
{
    static const struct {
        const char *fields;
        double expected_mm;
        bool assumed;
    } cases[] = {
        {"u_seat_mm=0.0012 u_seat_dof=8", 0.0012 * 1.1547005383792515, false},
        {"u_seat_mm=0.0012 u_seat_dof=3", 0.0012 * 1.7320508075688772, false},
        {"u_seat_mm=0.0012 u_seat_dof=2", 0.002, true},
        {"u_seat_mm=0.0031 u_seat_dof=1", 0.0031, false},
        {"u_seat_dof=20", 0.002, true},
        {"u_seat_mm=0.0012", 0.0012, false},
        {"u_seat_mm=0 u_seat_dof=4", 0, false},
    };
    put(RUN, 0, P1_RUN);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        reseat_state_question asked;
        char fields[96];
        snprintf(fields, sizeof fields, "limit_mm=0.005 %s", cases[i].fields);
        put(POLICY, 0.1 + 0.01 * (double)i, fields);
        reseat_state s = ask_on(1, NULL, &asked);
        const reseat_terms *terms = &asked.question.estimate.terms;
        assert_near(terms->u_seat_mm, cases[i].expected_mm, 1e-18);
        assert_int_equal((terms->assumed & BIT(SEAT)) != 0, cases[i].assumed);
        reseat_state_free(&s);
    }
}

static void figures_come_from_run_and_policy(void **state)
{
    reseat_state_question asked;
    put(POLICY, 0, "limit_mm=0.005 u_seat_mm=0.0011 u_turn_deg=0.3 u_spindle_mm=0.0007 "
                   "u_touch_mm=0.0004 u_axial_mm=0.003 lobing_mm=0.001");
    put(RUN, 0, P1_RUN " offset_u_mm=0.0006");
    reseat_state s = ask_on(1, NULL, &asked);
    const reseat_terms *terms = &asked.question.estimate.terms;
    assert_near(terms->u_run_mm, 0.0006, 0);
    assert_near(terms->u_seat_mm, 0.0011, 0);
    assert_near(terms->u_turn_deg, 0.3, 0);
    assert_near(terms->u_spindle_mm, 0.0007, 0);
    assert_near(terms->u_touch_mm, 0.0004, 0);
    assert_near(terms->u_axial_mm, 0.003, 0);
    assert_near(terms->lobing_mm, 0.001, 0);
    assert_int_equal(terms->assumed, BIT(DRIFT));
    reseat_state_free(&s);
}

static void the_repeatability_of_the_run_comes_before_that_of_the_policy(void **state)
{
    reseat_state_question asked;
    put(RUN, 0, P1_RUN " repeatability_mm=0.0003");
    put(POLICY, 0, "limit_mm=0.005");
    reseat_state s = ask_on(1, NULL, &asked);
    assert_near(asked.question.estimate.terms.u_touch_mm, 0.0003, 0);
    assert_int_equal(asked.question.estimate.terms.assumed, ALL_ASSUMED - BIT(TOUCH));
    reseat_state_free(&s);
    put(POLICY, 0, "limit_mm=0.005 u_touch_mm=0.0009");
    s = ask_on(1, NULL, &asked);
    assert_near(asked.question.estimate.terms.u_touch_mm, 0.0003, 0);
    reseat_state_free(&s);
}

static void a_known_spindle_part_is_known_better(void **state)
{
    reseat_state_question asked;
    put(RUN, 0, P1_RUN);
    put(POLICY, 0, "limit_mm=0.005 spindle_x_mm=0.001 spindle_y_mm=-0.002");
    reseat_state s = ask_on(1, NULL, &asked);
    const reseat_estimate *e = &asked.question.estimate;
    assert_near(e->spindle_mm.x, 0.001, 0);
    assert_near(e->spindle_mm.y, -0.002, 0);
    assert_near(e->terms.u_spindle_mm, 0.0002, 0);
    assert_int_equal(e->terms.assumed & BIT(SPINDLE), BIT(SPINDLE));
    reseat_state_free(&s);
    put(POLICY, 0, "limit_mm=0.005 spindle_x_mm=0.001 spindle_y_mm=-0.002 u_spindle_mm=0.0006");
    s = ask_on(1, NULL, &asked);
    assert_near(e->terms.u_spindle_mm, 0.0006, 0);
    assert_int_equal(e->terms.assumed & BIT(SPINDLE), 0);
    reseat_state_free(&s);
}

static void the_offset_in_use_is_typed_or_that_of_the_run(void **state)
{
    reseat_state_question asked;
    const reseat_xy in_use = {0.007, 0.008};
    const reseat_state_typed typed = {.in_use_mm = &in_use};
    put(POLICY, 0, "limit_mm=0.005");
    put(RUN, 0, P1_RUN " in_use_x_mm=0.005 in_use_y_mm=-0.002");
    reseat_state s = ask_on(1, NULL, &asked);
    assert_near(asked.question.estimate.in_use_mm.x, 0.005, 0);
    assert_near(asked.question.estimate.in_use_mm.y, -0.002, 0);
    assert_near(asked.question.estimate.offset_mm.x, 0.004, 0);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_OK);
    assert_near(asked.question.estimate.in_use_mm.x, 0.007, 0);
    assert_near(asked.question.estimate.in_use_mm.y, 0.008, 0);
    reseat_state_free(&s);
}

static void limit_and_confidence_are_typed_or_those_of_the_policy(void **state)
{
    reseat_state_question asked;
    const reseat_state_typed typed = {.limit_mm = 0.02, .confidence = 0.9};
    put(RUN, 0, P1_RUN);
    reseat_state s = stand_on(1);
    assert_status(reseat_state_ask(&s, NULL, &asked, NULL), RESEAT_ERR_NOT_FOUND);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_OK);
    assert_near(asked.question.limit_mm, 0.02, 0);
    assert_near(asked.question.confidence, 0.9, 0);
    reseat_state_free(&s);
    put(POLICY, 0, "limit_mm=0.005");
    s = ask_on(1, NULL, &asked);
    assert_near(asked.question.limit_mm, 0.005, 0);
    assert_near(asked.question.confidence, RESEAT_CONFIDENCE, 0);
    reseat_state_free(&s);
    put(POLICY, 0, "limit_mm=0.005 confidence=99%");
    s = ask_on(1, NULL, &asked);
    assert_near(asked.question.confidence, 0.99, 0);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_OK);
    assert_near(asked.question.confidence, 0.9, 0);
    reseat_state_free(&s);
}

static void the_reasons_of_the_state_go_into_the_question(void **state)
{
    reseat_state_question asked;
    reseat_answer answer;
    put(POLICY, 0, "limit_mm=0.05");
    put(RUN, 0, P1_RUN);
    put(EVENT, 1, "kind=collision");
    reseat_state s = ask_on(400, NULL, &asked);
    const unsigned reasons = 1u << RESEAT_REASON_COLLISION | 1u << RESEAT_REASON_TOO_OLD;
    assert_int_equal(asked.question.reasons, reasons);
    assert_status(reseat_verdict_decide(&asked.question, &answer), RESEAT_OK);
    assert_false(answer.ok);
    assert_int_equal(answer.reasons, reasons);
    assert_false(answer.assumed_decides); /* no figure undoes a collision */
    reseat_state_free(&s);
}

static void radii_on_record_become_a_curve(void **state)
{
    reseat_state_question asked;
    const double dirs_deg[] = {0, 60, 120, 180, 240, 300};
    const double radii_mm[] = {2.99, 2.991, 2.99, 2.989, 2.99, 2.991};
    reseat_radius_curve curve;
    put(POLICY, 0, "limit_mm=0.005");
    put(RUN, 0, P1_RUN " dirs_deg=0,60,120,180,240,300 radii_mm=2.99,2.991,2.99,2.989,2.99,2.991");
    reseat_state s = ask_on(1, NULL, &asked);
    const reseat_estimate *e = &asked.question.estimate;
    assert_status(reseat_radius_fit(dirs_deg, radii_mm, 6, &curve), RESEAT_OK);
    assert_true(e->curve == &asked.curve && e->dirs == 6);
    assert_memory_equal(e->dirs_deg, dirs_deg, sizeof dirs_deg);
    for (double dir = 0; dir < 360; dir += 7)
        assert_same_bits(reseat_radius_at(e->curve, dir), reseat_radius_at(&curve, dir));
    reseat_state_free(&s);
}

static void a_gauge_check_replaces_the_estimate(void **state)
{
    reseat_state_question asked;
    put(POLICY, 0, "limit_mm=0.005 seats=keys:2");
    put(RUN, 0, P1_RUN);
    put(RESEATED, 10, "probe=P1 seat_deg=unknown");
    put(VERIFY, 20, P1_CHECK);
    reseat_state s = ask_on(50, NULL, &asked);
    const reseat_estimate *e = &asked.question.estimate;
    assert_true(e->verified);
    assert_near(e->shift_mm.x, 0.0002, 0);
    assert_near(e->shift_mm.y, 0.0001, 0);
    assert_near(e->shift_u_mm, 0.0005, 0);
    assert_near(e->shift_drift_mm, 0.001, 1e-18); /* of the 30 days since the check */
    assert_near(e->terms.u_drift_mm, sqrt(1e-6 / 30 * 50), 1e-18); /* since the run: for others */
    assert_false(e->shift_reseated);
    assert_int_equal(asked.source, RESEAT_SOURCE_VERIFY);
    assert_int_equal(asked.source_seq, 4);
    reseat_state_free(&s);
    put(EVENT, 30, "kind=collision probe=P1");
    s = ask_on(50, NULL, &asked);
    assert_true(e->verified);
    assert_int_equal(asked.question.reasons, 1u << RESEAT_REASON_COLLISION);
    reseat_state_free(&s);
}

/* A tool changer takes the probe out after the check as before it. */
static void a_changer_seats_the_probe_anew_after_a_gauge_check(void **state)
{
    reseat_state_question asked;
    put(POLICY, 0, "limit_mm=0.005 reseats=changer");
    put(RUN, 0, P1_RUN);
    put(VERIFY, 20, P1_CHECK);
    reseat_state s = ask_on(50, NULL, &asked);
    assert_true(asked.question.estimate.verified && asked.question.estimate.shift_reseated);
    reseat_state_free(&s);
}

/* The seat as typed, and whether a gauge check that is on record stands in for the run. */
typedef enum check_answer { STANDS, ASIDE, REFUSED } check_answer;

typedef struct check_case {
    const char *seat;
    check_answer answer;
} check_case;

static void assert_check_cases(const check_case *cases, size_t count, reseat_state *s)
{
    for (size_t i = 0; i < count; i++) {
        reseat_state_question asked;
        const reseat_estimate *e = &asked.question.estimate;
        reseat_seat seat;
        const reseat_state_typed typed = {.seat = &seat};
        assert_status(reseat_seat_parse(cases[i].seat, strlen(cases[i].seat), &seat, NULL),
                      RESEAT_OK);
        const reseat_status status = reseat_state_ask(s, &typed, &asked, NULL);
        if ((status == RESEAT_ERR_REFUSED) != (cases[i].answer == REFUSED) ||
            (status == RESEAT_OK && e->verified != (cases[i].answer == STANDS)))
            fail_msg("%s: status %d", cases[i].seat, (int)status);
        if (cases[i].answer == REFUSED)
            continue;
        assert_int_equal(asked.check_set_aside, cases[i].answer == ASIDE);
        assert_near(e->terms.u_drift_mm, sqrt(1e-6 / 30 * 50), 1e-18); /* since the run */
        assert_near(e->shift_drift_mm, cases[i].answer == STANDS ? 0.001 : 0, 1e-18);
    }
    reseat_state_free(s);
}

/* A seat typed that the log does not leave possible, or more of them than it does. */
static void a_gauge_check_holds_only_for_the_seat_it_was_made_with(void **state)
{
    static const check_case cases[] = {
        {"same", REFUSED}, {"30", STANDS}, {"210", STANDS}, {"keys:2", STANDS},
        {"keys:4", ASIDE}, {"any", ASIDE}, {"unknown", STANDS}, {"31", STANDS},
        {"25", STANDS}, {"24.9", REFUSED}, {"120", REFUSED}, {"210+-1", STANDS},
        {"60+-20", REFUSED}, {"60+-25", STANDS}, {"120+-86", STANDS}};
    put(POLICY, 0, "limit_mm=0.02 seats=keys:2");
    put(RUN, 0, P1_RUN);
    put(RESEATED, 10, "probe=P1 seat_deg=unknown");
    put(VERIFY, 20, P1_CHECK);
    reseat_state s = stand_on(50);
    assert_check_cases(cases, sizeof cases / sizeof cases[0], &s);
}

/* More seats do not undo an error that it found; those that contradict the log do. */
static void a_gauge_check_that_failed_stands_where_more_seats_are_typed(void **state)
{
    static const check_case cases[] = {{"same", STANDS}, {"30", STANDS}, {"keys:4", STANDS},
                                       {"any", STANDS}, {"30+-1", STANDS}, {"31", STANDS},
                                       {"210", ASIDE}, {"180", REFUSED}};
    put(POLICY, 0, "limit_mm=0.05 seats=keys:2");
    put(RUN, 0, P1_RUN);
    put(VERIFY, 20, "probe=P1 shift_x_mm=0.06 shift_y_mm=0 shift_u_mm=0.0005");
    reseat_state s = stand_on(50);
    assert_check_cases(cases, sizeof cases / sizeof cases[0], &s);
}

/* Whether a check with that shift in Y, beside what half a turn does in X, is beyond all seats. */
static void assert_unexplained(const char *shift_y, double limit_mm, const char *typed_seat,
                               bool unexplained)
{
    reseat_state_question asked;
    reseat_seat seat;
    const reseat_state_typed typed = {.seat = typed_seat ? &seat : NULL, .limit_mm = limit_mm};
    char fields[128];
    snprintf(fields, sizeof fields, "probe=P1 shift_x_mm=0.04 shift_y_mm=%s shift_u_mm=0.0005",
             shift_y);
    const int64_t seq = put(VERIFY, 2, fields);
    if (typed_seat)
        assert_status(reseat_seat_parse(typed_seat, strlen(typed_seat), &seat, NULL), RESEAT_OK);
    reseat_state s = ask_on(3, &typed, &asked);
    assert_int_equal(asked.question.reasons,
                     unexplained ? 1u << RESEAT_REASON_UNEXPLAINED_SHIFT : 0);
    reseat_state_free(&s);
    put_void(2, seq);
}

/*
 * q = (0.02, 0), so that 180 moves the reading by (0.04, 0), with u_m^2 = 0.25 + 8 + 4 (1 + 4) in
 * square micrometres, 28, and what drifted: a distance of 12 has p = exp(-144 / 56), 0.08, and one
 * of 20 exp(-400 / 56), 0.0008.
 */
static void a_shift_that_no_possible_seat_explains_is_a_reason(void **state)
{
    put(POLICY, 0, "seats=keys:2");
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=0.02 offset_y_mm=0");
    put(RESEATED, 1, "probe=P1 seat_deg=unknown");
    assert_unexplained("0.012", 0.01, NULL, false);
    assert_unexplained("0.02", 0.01, NULL, true);
    assert_unexplained("-0.02", 0.05, "any", true); /* by the seats that the log leaves */
    assert_unexplained("0.02", 0.079, NULL, true);
    assert_unexplained("0.02", 0.081, NULL, false); /* within a quarter of the limit */
}

/* What is held against a probe on day 9; "": as the log has it. */
static void assert_reasons(const char *typed_seat, unsigned reasons)
{
    reseat_state_question asked;
    reseat_seat seat;
    const reseat_state_typed typed = {.seat = typed_seat[0] ? &seat : NULL};
    if (typed.seat)
        assert_status(reseat_seat_parse(typed_seat, strlen(typed_seat), &seat, NULL), RESEAT_OK);
    reseat_state s = ask_on(9, &typed, &asked);
    assert_int_equal(asked.question.reasons, reasons);
    reseat_state_free(&s);
}

/* q = (0.02, 0); nor does a seat that is typed, as it says that the probe was out since. */
static void to_put_it_back_clears_no_shift_that_no_seat_explains(void **state)
{
    const unsigned bent = 1u << RESEAT_REASON_UNEXPLAINED_SHIFT;
    put(POLICY, 0, "seats=keys:2 limit_mm=0.03");
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=0.02 offset_y_mm=0");
    put(VERIFY, 1, "probe=P1 shift_x_mm=0 shift_y_mm=0.04 shift_u_mm=0.0005");
    assert_reasons("", bent);
    assert_reasons("180", bent);
    put(RESEATED, 2, "probe=P1 seat_deg=0");
    assert_reasons("", bent);
    assert_reasons("180", bent);
    put_late("hmc-1", 3, RESEATED, 3, "probe=P1 seat_deg=0"); /* it was out once more */
    assert_reasons("", bent);
    put(VERIFY, 4, "probe=P1 shift_x_mm=0.04 shift_y_mm=0 shift_u_mm=0.0005"); /* turned */
    assert_reasons("", 0);
    put(RESEATED, 5, "probe=P1 seat_deg=0");
    assert_reasons("", 0);
    const int64_t again = put(VERIFY, 6, "probe=P1 shift_x_mm=0 shift_y_mm=0.04 shift_u_mm=0.0005");
    put(RESEATED, 7, "probe=P1 seat_deg=0");
    assert_reasons("", bent);
    const int64_t run = put(RUN, 8, "probe=P1 seat_deg=0 offset_x_mm=0.02 offset_y_mm=0.04");
    assert_reasons("", 0);
    put_void(8, run);
    assert_reasons("", bent);
    put_void(8, again);
    assert_reasons("", 0);
}

/* By its own direction, lobes and all: a length shorter than what is typed says nothing. */
static void a_gauge_check_that_failed_by_lobes_alone_stands(void **state)
{
    reseat_state_question asked;
    const reseat_seat any = {.kind = RESEAT_SEAT_ANY};
    reseat_state_typed typed = {.seat = &any};
    put(POLICY, 0, "limit_mm=0.0055 lobing_mm=0.003");
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=0.002 offset_y_mm=0");
    put(RESEATED, 1, "probe=P1 seat_deg=180");
    put(VERIFY, 20, "probe=P1 shift_x_mm=0 shift_y_mm=0.0035 shift_u_mm=0.0003");
    reseat_state s = ask_on(20, &typed, &asked);
    assert_true(asked.question.estimate.verified);
    assert_int_equal(asked.question.turns.count, 1);
    assert_near(asked.question.turns.first_deg, 180, 0);
    assert_int_equal(asked.source, RESEAT_SOURCE_VERIFY);
    assert_int_equal(asked.source_seq, 4);
    reseat_state_free(&s);
    typed.no_limit = true; /* there is nothing to fail by */
    s = ask_on(20, &typed, &asked);
    assert_false(asked.question.estimate.verified);
    assert_true(asked.check_set_aside);
    reseat_state_free(&s);
}

/*
 * The error is the shift, and what the run's offset in use missed of the offset then, and what is
 * in use now beyond what was at the check.
 */
static void assert_shift(const reseat_xy *in_use, double x, double y)
{
    reseat_state_question asked;
    const reseat_state_typed typed = {.in_use_mm = in_use};
    reseat_state s = ask_on(50, &typed, &asked);
    assert_true(asked.question.estimate.verified);
    assert_false(asked.check_set_aside);
    assert_int_equal(asked.source, RESEAT_SOURCE_VERIFY);
    assert_near(asked.question.estimate.shift_mm.x, x, 1e-17);
    assert_near(asked.question.estimate.shift_mm.y, y, 1e-17);
    assert_near(asked.question.estimate.shift_drift_mm, 0.001, 1e-18);
    reseat_state_free(&s);
}

static void offsets_in_use_add_to_the_shift_of_a_gauge_check(void **state)
{
    const reseat_xy in_use = {0.007, 0.002};
    put(POLICY, 0, "limit_mm=0.005");
    put(RUN, 0, "probe=P1 seat_deg=30 offset_x_mm=0.004 offset_y_mm=-0.001 in_use_x_mm=0.006 "
                "in_use_y_mm=0");
    put(VERIFY, 20, P1_CHECK);
    assert_shift(NULL, 0.0002 + 0.002, 0.0001 + 0.001);
    assert_shift(&in_use, 0.0002 + 0.002 + 0.001, 0.0001 + 0.001 + 0.002);
    put(VERIFY, 20, P1_CHECK " in_use_x_mm=0.005 in_use_y_mm=0.001");
    assert_shift(NULL, 0.0002 + 0.002 + 0.001, 0.0001 + 0.001 - 0.001);
    assert_shift(&in_use, 0.0002 + 0.002 + 0.002, 0.0001 + 0.001 + 0.001);
}

/* The offset itself: the error is what the control adds less that, and the run's own is no part. */
static void an_offset_measured_anew_stands_for_itself(void **state)
{
    const reseat_xy in_use = {0.007, 0.002};
    put(POLICY, 0, "limit_mm=0.005");
    put(RUN, 0, "probe=P1 seat_deg=30 offset_x_mm=0.004 offset_y_mm=-0.001 in_use_x_mm=0.006 "
                "in_use_y_mm=0");
    put(VERIFY, 20, "probe=P1 now_x_mm=-0.004 now_y_mm=0.001 now_u_mm=0.0005 in_use_x_mm=0.1 "
                    "in_use_y_mm=0.1");
    assert_shift(NULL, 0.006 + 0.004, -0.001);
    assert_shift(&in_use, 0.007 + 0.004, 0.002 - 0.001);
    reseat_state_question asked;
    reseat_state s = ask_on(50, NULL, &asked);
    const reseat_estimate *e = &asked.question.estimate;
    reseat_effect effect;
    assert_true(e->shift_anew);
    assert_status(reseat_estimate_effect(e, 90, &effect), RESEAT_OK);
    assert_near(effect.covariance_mm2.xx, 0.0005 * 0.0005 + 0.001 * 0.001, 1e-20);
    reseat_state_free(&s);
}

/* Half a turn explains it; what no possible seat does is a reason, within the limit or not. */
static void an_offset_measured_anew_is_held_against_the_seats(void **state)
{
    reseat_state_question asked;
    put(POLICY, 0, "limit_mm=0.03 seats=keys:2 u_seat_mm=0.0002 u_spindle_mm=0.0002");
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=0.01 offset_y_mm=0 offset_u_mm=0.0002");
    put(RESEATED, 10, "probe=P1 seat_deg=unknown");
    put(VERIFY, 20, "probe=P1 now_x_mm=-0.01 now_y_mm=0 now_u_mm=0.0005");
    reseat_state s = ask_on(21, NULL, &asked);
    assert_int_equal(asked.question.reasons, 0);
    reseat_state_free(&s);
    put(VERIFY, 20, "probe=P1 now_x_mm=0 now_y_mm=0.01 now_u_mm=0.0005");
    s = ask_on(21, NULL, &asked);
    assert_int_equal(asked.question.reasons, 1u << RESEAT_REASON_UNEXPLAINED_SHIFT);
    reseat_state_free(&s);
}

static void a_reading_is_a_shift_from_the_run_s_of_the_same_gauge(void **state)
{
    reseat_xy shift = {7, 8};
    reseat_error error = {0};
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=0.01 offset_y_mm=0 gauge_id=R50-3 "
                "reading_x_mm=100 reading_y_mm=50");
    reseat_state s = stand_on(1);
    const reseat_xy read = {100.25, 49.5};
    assert_status(reseat_state_shift(&s, "R50-4", read, &shift, &error), RESEAT_ERR_REFUSED);
    assert_status(reseat_state_shift(&s, NULL, read, &shift, &error), RESEAT_ERR_REFUSED);
    assert_status(reseat_state_shift(&s, "R50-3", (reseat_xy){(double)NAN, 0}, &shift, &error),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_state_shift(NULL, "R50-3", read, &shift, &error), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_state_shift(&s, "R50-3", read, NULL, &error), RESEAT_ERR_ARGUMENT);
    assert_near(shift.x, 7, 0);
    assert_status(reseat_state_shift(&s, "R50-3", read, &shift, &error), RESEAT_OK);
    assert_near(shift.x, 0.25, 0);
    assert_near(shift.y, -0.5, 0);
    reseat_state_free(&s);
    put(RUN, 1, "probe=P1 seat_deg=0 offset_x_mm=0.01 offset_y_mm=0 gauge_id=R50-3");
    s = stand_on(2);
    assert_status(reseat_state_shift(&s, "R50-3", read, &shift, &error), RESEAT_ERR_REFUSED);
    reseat_state_free(&s);
}

/* A ball that was found 2 um out and left so reads the gauge as wrong as ever: no shift at all. */
static void an_error_that_the_run_left_is_not_lost_with_a_check(void **state)
{
    put(POLICY, 0, "limit_mm=0.005");
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=0.004 offset_y_mm=0 in_use_x_mm=0.002 "
                "in_use_y_mm=0");
    put(VERIFY, 20, "probe=P1 shift_x_mm=0 shift_y_mm=0 shift_u_mm=0.0005");
    assert_shift(NULL, -0.002, 0);
}

/* Runs that wander, one every ten days; returns the day of the last. */
static double put_runs(int count)
{
    for (int i = 0; i < count; i++) {
        char fields[128];
        snprintf(fields, sizeof fields,
                 "probe=P1 seat_deg=%d offset_x_mm=0.00%d offset_y_mm=0.00%d", i % 2 * 180,
                 40 + i * i % 7, 10 + i * 3 % 5);
        put(RUN, 10 * i, fields);
    }
    return 10 * (count - 1);
}

/* What the drift of these runs is by itself. */
static reseat_drift_growth growth_of(const reseat_state *s, reseat_xy spindle_mm)
{
    const reseat_drift_input input = {.runs = s->runs, .run_count = s->run_count,
                                      .events = s->baselines, .event_count = s->baseline_count,
                                      .spindle_mm = spindle_mm, .spindle_known = true};
    const size_t size = drift_workspace(s->run_count, s->baseline_count);
    void *workspace = malloc(size);
    reseat_drift_growth growth;
    assert_non_null(workspace);
    assert_status(drift_growth_find(&input, workspace, size, &growth), RESEAT_OK);
    free(workspace);
    return growth;
}

static void from_eight_runs_on_drift_is_their_own(void **state)
{
    reseat_state_question asked;
    double u_mm = 0;
    put(POLICY, 0, "limit_mm=0.005 spindle_x_mm=0.001 spindle_y_mm=0.002");
    put_runs(7);
    reseat_state s = ask_on(100, NULL, &asked);
    assert_true(asked.growth.assumed);
    reseat_state_free(&s);
    put_runs(9); /* nine more at the same times */
    s = ask_on(100, NULL, &asked);
    const reseat_drift_growth growth = growth_of(&s, (reseat_xy){0.001, 0.002});
    assert_false(asked.growth.assumed);
    assert_int_equal(asked.growth.runs, 16);
    assert_true(growth.q_mm2_per_day > 0);
    assert_same_bits(asked.growth.q_mm2_per_day, growth.q_mm2_per_day);
    assert_same_bits(asked.growth.per_day_mm, growth.per_day_mm);
    assert_status(reseat_drift_growth_u(&growth, 20, &u_mm), RESEAT_OK);
    assert_same_bits(asked.question.estimate.terms.u_drift_mm, u_mm); /* last run: day 80 */
    assert_int_equal(asked.question.estimate.terms.assumed & BIT(DRIFT), 0);
    reseat_state_free(&s);
}

static void drift_is_that_of_the_baseline_of_the_run_in_force(void **state)
{
    reseat_state_question asked;
    put(POLICY, 0, "limit_mm=0.005");
    const double last = put_runs(10);
    put(EVENT, last + 5, "kind=service");
    reseat_state s = ask_on(last + 6, NULL, &asked); /* no run after it yet */
    assert_int_equal(asked.growth.runs, 10);
    reseat_state_free(&s);
    put(RUN, last + 10, P1_RUN);
    s = ask_on(last + 11, NULL, &asked);
    assert_true(asked.growth.assumed);
    assert_int_equal(s.run_count, 11);
    reseat_state_free(&s);
}

static void ask_refuses_what_makes_no_question(void **state)
{
    reseat_state_question asked;
    const reseat_xy in_use = {(double)NAN, 0};
    const reseat_state_typed bad[] = {
        {.limit_mm = (double)NAN}, {.limit_mm = (double)INFINITY},
        {.limit_mm = 1, .confidence = (double)NAN},
        {.in_use_mm = &in_use}, {.limit_mm = -1}, {.confidence = -0.5}, {.confidence = 1}};
    put(POLICY, 0, "limit_mm=0.005");
    put(RUN, 0, P1_RUN);
    reseat_state s = stand_on(1);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_status(reseat_state_ask(&s, &bad[i], &asked, NULL),
                      i < 4 ? RESEAT_ERR_NOT_FINITE : RESEAT_ERR_RANGE);
    assert_status(reseat_state_ask(NULL, NULL, &asked, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_state_ask(&s, NULL, NULL, NULL), RESEAT_ERR_ARGUMENT);
    reseat_state_free(&s);
    assert_status(reseat_state_ask(&s, NULL, &asked, NULL), RESEAT_ERR_ARGUMENT); /* let go */
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(without_figures_on_record_all_are_assumed),
        TEST(a_measured_scatter_counts_by_its_degrees_of_freedom),
        TEST(figures_come_from_run_and_policy),
        TEST(the_repeatability_of_the_run_comes_before_that_of_the_policy),
        TEST(a_known_spindle_part_is_known_better),
        TEST(the_offset_in_use_is_typed_or_that_of_the_run),
        TEST(limit_and_confidence_are_typed_or_those_of_the_policy),
        TEST(the_reasons_of_the_state_go_into_the_question),
        TEST(radii_on_record_become_a_curve),
        TEST(a_gauge_check_replaces_the_estimate),
        TEST(a_gauge_check_holds_only_for_the_seat_it_was_made_with),
        TEST(a_gauge_check_that_failed_stands_where_more_seats_are_typed),
        TEST(a_gauge_check_that_failed_by_lobes_alone_stands),
        TEST(a_changer_seats_the_probe_anew_after_a_gauge_check),
        TEST(a_shift_that_no_possible_seat_explains_is_a_reason),
        TEST(to_put_it_back_clears_no_shift_that_no_seat_explains),
        TEST(offsets_in_use_add_to_the_shift_of_a_gauge_check),
        TEST(an_offset_measured_anew_stands_for_itself),
        TEST(an_offset_measured_anew_is_held_against_the_seats),
        TEST(a_reading_is_a_shift_from_the_run_s_of_the_same_gauge),
        TEST(an_error_that_the_run_left_is_not_lost_with_a_check),
        TEST(from_eight_runs_on_drift_is_their_own),
        TEST(drift_is_that_of_the_baseline_of_the_run_in_force),
        TEST(ask_refuses_what_makes_no_question),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
