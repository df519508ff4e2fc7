/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a verdict, a log and a seat found say in English. */

#include "question.h"
#include "reseat/rescue.h"
#include "states.h"

static char text[RESEAT_SENTENCE_SIZE];

static void a_verdict_has_a_name_and_a_next_step(void **state)
{
    reseat_question question = ask(0.012, -0.005, "180", 0.02);
    reseat_answer answer = decide(&question);
    assert_string_equal(reseat_verdict_name(&answer), "RECALIBRATE");
    assert_string_equal(reseat_next_text(&answer), "calibrate again, or restore the calibration's "
                                                   "seat and its offset in the control");
    answer.reasons |= BIT(COLLISION);
    assert_string_equal(reseat_next_text(&answer), "calibrate again");
    answer.next = RESEAT_NEXT_GAUGE_CHECK;
    assert_string_equal(reseat_next_text(&answer), "one gauge check can settle which seat it is");
    question.limit_mm = 0.1;
    answer = decide(&question);
    assert_string_equal(reseat_verdict_name(&answer), "OK");
    assert_string_equal(reseat_next_text(&answer), "");
    assert_string_equal(reseat_verdict_name(NULL), "");
    assert_string_equal(reseat_next_text(NULL), "");
}

/* Of the terms that may be named as the heaviest, each has its own step. */
static void every_term_has_a_meaning_and_a_step(void **state)
{
    reseat_answer answer = {.next = RESEAT_NEXT_BETTER_U};
    for (unsigned term = 0; term < RESEAT_TERM_COUNT; term++) {
        answer.next_term = (reseat_term)term;
        assert_int_equal(reseat_term_meaning((reseat_term)term)[0] == '\0',
                         term == RESEAT_TERM_AXIAL);
        assert_int_equal(reseat_next_text(&answer)[0] == '\0', term == RESEAT_TERM_AXIAL);
    }
    answer.next_term = (reseat_term)99;
    assert_string_equal(reseat_next_text(&answer), "");
    assert_string_equal(reseat_term_meaning((reseat_term)99), "");
    assert_string_equal(reseat_term_meaning(RESEAT_TERM_RUN), "stored offset");
}

static void assert_text(const reseat_question *question, const reseat_answer *answer,
                        const reseat_state *probe_state, const char *expected)
{
    const size_t length = reseat_verdict_text(question, answer, probe_state, RESEAT_MM, text,
                                              sizeof text);
    assert_string_equal(text, expected);
    assert_int_equal(length, strlen(expected));
}

/* 26 um at half a turn. */
static void a_verdict_says_why(void **state)
{
    reseat_question question = ask(0.012, -0.005, "180", 0.02);
    reseat_answer answer = decide(&question);
    assert_text(&question, &answer, NULL,
                "at seat 180° positions are off by 0.0260 mm, limit 0.0200 mm");
    answer.seats_named = false;
    assert_text(&question, &answer, NULL,
                "at a turn of 180° positions are off by 0.0260 mm, limit 0.0200 mm");
    question.limit_mm = 0.1;
    answer = decide(&question);
    assert_text(&question, &answer, NULL, "at seat 180° positions are off by 0.0260 mm, within "
                                          "0.1000 mm with chance 100 %");
    question.limit_mm = 0.026001;
    question.confidence = 0.9973;
    answer.worst.chance_within = 0.67994;
    answer.ok = false;
    answer.reasons = BIT(CHANCE_BELOW_CONFIDENCE) | BIT(LIMIT_BELOW_UNCERTAINTY);
    assert_text(&question, &answer, NULL,
                "at seat 180° the chance of staying within 0.026001 mm is 67.99 %, 99.73 % is "
                "asked for; the scatter alone is too large for this limit");
}

/* Two are joined, and those that a log has alone need no answer. */
static void what_a_log_has_against_a_probe_is_told_of(void **state)
{
    reseat_state_question asked;
    put(POLICY, 0, "limit_mm=0.05");
    put(RUN, 0, P1_RUN);
    put(EVENT, 1, "kind=collision probe=P1");
    reseat_state s = stand_on(400);
    assert_status(reseat_state_ask(&s, NULL, &asked), RESEAT_OK);
    const reseat_answer answer = {.reasons = asked.question.reasons};
    assert_text(&asked.question, &answer, &s,
                "collision since the run (record 3, 2026-03-03); the run is 400 days old");
    assert_int_equal(reseat_reason_text(RESEAT_REASON_TOO_OLD, &asked.question, NULL, &s,
                                        RESEAT_MM, text, sizeof text), 23);
    assert_string_equal(text, "the run is 400 days old");
    assert_int_equal(reseat_reason_text(RESEAT_REASON_COLLISION, &asked.question, NULL, NULL,
                                        RESEAT_MM, text, sizeof text), 0);
    assert_int_equal(reseat_reason_text(RESEAT_REASON_ERROR_EXCEEDS_LIMIT, &asked.question, NULL,
                                        &s, RESEAT_MM, text, sizeof text), 0);
    reseat_reason_text(RESEAT_REASON_DAMAGE_IGNORED, &asked.question, NULL, &s, RESEAT_MM, text,
                       sizeof text);
    assert_string_equal(text, "damage in the log was ignored, as asked");
    reseat_state_free(&s);
}

static void assert_state(double on, const reseat_seat *seat, reseat_state_sentence which,
                         const char *expected)
{
    const reseat_state_typed typed = {.seat = seat};
    reseat_state_question asked;
    reseat_state s = stand_on(on);
    assert_status(reseat_state_ask(&s, &typed, &asked), RESEAT_OK);
    const size_t length = reseat_state_text(which, &s, &asked, &typed, RESEAT_MM, text,
                                            sizeof text);
    assert_string_equal(text, expected);
    assert_int_equal(length, strlen(expected));
    reseat_state_free(&s);
}

static void a_log_says_where_the_seat_is_known_from(void **state)
{
    const reseat_seat same = {.kind = RESEAT_SEAT_SAME};
    put(POLICY, 0, "limit_mm=0.05 seats=keys:2");
    put(RUN, 0, P1_RUN);
    assert_state(1, NULL, RESEAT_STATE_SEAT, "not out since the run");
    assert_state(1, NULL, RESEAT_STATE_CONTRADICTION, "");
    put(RESEATED, 2, "probe=P1 seat_deg=210 why=battery");
    assert_state(3, NULL, RESEAT_STATE_SEAT, "210, by reseat 3 (2026-03-04, battery)");
    assert_state(3, &same, RESEAT_STATE_SEAT, "same, as typed");
    assert_state(3, &same, RESEAT_STATE_CONTRADICTION,
                 "the seat typed, same, contradicts the log: reseat 3 (2026-03-04, battery)");
    put(RESEATED, 4, "probe=P1 seat_deg=unknown");
    assert_state(5, NULL, RESEAT_STATE_SEAT,
                 "not recorded at reseat 4 (2026-03-06); the policy allows keys:2");
    put(VERIFY, 6, P1_CHECK);
    assert_state(7, NULL, RESEAT_STATE_SEAT,
                 "gauge check 5 of 2026-03-08: shift X +0.0002 Y +0.0001 mm");
    assert_state(7, NULL, RESEAT_STATE_UNKNOWN_TYPES, "");
    assert_state(7, NULL, RESEAT_STATE_DAMAGE, "");
}

static void what_was_passed_over_is_told_of(void **state)
{
    reseat_state_question asked = {.check_set_aside = true};
    put(RUN, 0, P1_RUN);
    put(VERIFY, 1, P1_CHECK);
    reseat_state s = stand_on(2);
    s.unknown_types = 1;
    s.bad_lines = 2;
    reseat_state_text(RESEAT_STATE_CHECK_UNUSED, &s, &asked, NULL, RESEAT_MM, text, sizeof text);
    assert_string_equal(text,
                        "gauge check 2 is not used: it holds for the seat as the log has it");
    reseat_state_text(RESEAT_STATE_UNKNOWN_TYPES, &s, &asked, NULL, RESEAT_MM, text, sizeof text);
    assert_string_equal(text,
                        "since the run: 1 record of a kind that this version does not know");
    reseat_state_text(RESEAT_STATE_DAMAGE, &s, &asked, NULL, RESEAT_MM, text, sizeof text);
    assert_string_equal(text, "damage was ignored, as asked: 2 bad lines");
    reseat_state_free(&s);
}

/* A reason that would steer a terminal does not, in a sentence either. */
static void foreign_texts_are_escaped(void **state)
{
    put(POLICY, 0, "limit_mm=0.05");
    put(RUN, 0, P1_RUN);
    put(RESEATED, 1, "probe=P1 seat_deg=30 why=\xE2\x80\xAEtac");
    assert_state(2, NULL, RESEAT_STATE_SEAT, "30, by reseat 3 (2026-03-03, \\u{202E}tac)");
}

static void assert_found(const reseat_found *found, const char *expected)
{
    assert_int_equal(reseat_found_text(found, "keys:2", RESEAT_MM, text, sizeof text),
                     strlen(expected));
    assert_string_equal(text, expected);
}

static void a_seat_found_is_concluded_in_a_line(void **state)
{
    reseat_found found = {.keyed = true, .explained = true, .resolvable = true, .settled = true,
                          .seats_named = true, .count = 2, .best = 1, .runner_up = 0,
                          .turning_mm = 0.004, .u_mm = 0.003};
    found.seats[0] = (reseat_found_seat){.seat_deg = 0, .turn_deg = 0, .probability = 0.001};
    found.seats[1] = (reseat_found_seat){.seat_deg = 180, .turn_deg = 180, .probability = 0.999};
    assert_found(&found, "fits seat 180°, probability 99.9 %; next seat 0°, 0.1 %");
    found.settled = false;
    assert_found(&found, "fits seat 180° best, probability 99.9 %; but seat 0° cannot be ruled "
                         "out, 0.1 %");
    found.runner_up = found.count;
    assert_found(&found, "fits seat 180°");
    found.resolvable = false;
    assert_found(&found, "the seat cannot be told: the part of the offset that turns, 0.0040 mm, "
                         "is less than 3 times what scatters, 0.0030");
    found.explained = false;
    assert_found(&found, "no seat that was possible explains this shift: calibrate again, and "
                         "look for what is bent or loose");
}

static void a_free_turn_is_concluded_in_a_line(void **state)
{
    reseat_found found = {.explained = true, .resolvable = true, .settled = true,
                          .turn_deg = 42.5, .turn_u_deg = 1.25};
    assert_found(&found, "fits a turn of 42.5°, ± 1.25° (standard); a bent stylus can fit one "
                         "too");
    found.seats_named = true;
    found.seat_deg = 72.5;
    found.outside = true;
    assert_found(&found, "fits a turn of 42.5°, ± 1.25° (standard): seat 72.5°, outside of "
                         "keys:2");
    found.explained = found.outside = false;
    assert_found(&found, "no turn explains this shift: calibrate again, and look for what is bent "
                         "or loose");
}

static void why_nothing_falls_due_is_told(void **state)
{
    reseat_outlook outlook;
    reseat_state_request query = asked_on(1);
    put(RUN, 0, P1_RUN);
    reseat_state s = stand(&query);
    assert_status(reseat_outlook_find(&query, &s, &outlook, NULL), RESEAT_OK);
    assert_string_equal(outlook.not_due, "no policy is on record, so no limit");
    reseat_outlook_free(&outlook);
    reseat_state_free(&s);
    put(POLICY, 0, "confidence=0.9");
    s = stand(&query);
    assert_status(reseat_outlook_find(&query, &s, &outlook, NULL), RESEAT_OK);
    assert_string_equal(outlook.not_due, "the policy sets no limit");
    reseat_outlook_free(&outlook);
    reseat_state_free(&s);
    put(POLICY, 0, "limit_mm=0.05");
    s = stand(&query);
    assert_status(reseat_outlook_find(&query, &s, &outlook, NULL), RESEAT_OK);
    assert_true(outlook.due_known);
    assert_string_equal(outlook.not_due, "");
    reseat_outlook_free(&outlook);
    reseat_state_free(&s);
}

/* The length is that of the whole sentence, however much of it there is room for. */
static void sentences_are_cut_to_their_room(void **state)
{
    const reseat_question question = ask(0.012, -0.005, "180", 0.02);
    const reseat_answer answer = decide(&question);
    const reseat_state_question asked = {.contradicts = true};
    const size_t length = reseat_verdict_text(&question, &answer, NULL, RESEAT_MM, NULL, 0);
    memset(text, 'x', 10);
    assert_int_equal(reseat_verdict_text(&question, &answer, NULL, RESEAT_MM, text, 8), length);
    assert_string_equal(text, "at seat");
    assert_int_equal(text[8], 'x');
    assert_int_equal(reseat_verdict_text(NULL, &answer, NULL, RESEAT_MM, text, 8), 0);
    assert_int_equal(reseat_verdict_text(&question, NULL, NULL, RESEAT_MM, text, 8), 0);
    assert_int_equal(reseat_verdict_text(&question, &answer, NULL, RESEAT_MM, NULL, 8), 0);
    assert_int_equal(reseat_reason_text(RESEAT_REASON_TOO_OLD, NULL, &answer, NULL, RESEAT_MM,
                                        text, 8), 0);
    assert_int_equal(reseat_state_text(RESEAT_STATE_SEAT, NULL, &asked, NULL, RESEAT_MM, text, 8),
                     0);
    assert_int_equal(reseat_found_text(NULL, "any", RESEAT_MM, text, 8), 0);
    assert_string_equal(text, "at seat");
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_verdict_has_a_name_and_a_next_step),
        cmocka_unit_test(every_term_has_a_meaning_and_a_step),
        cmocka_unit_test(a_verdict_says_why),
        in_folder(what_a_log_has_against_a_probe_is_told_of),
        in_folder(a_log_says_where_the_seat_is_known_from),
        in_folder(what_was_passed_over_is_told_of),
        in_folder(foreign_texts_are_escaped),
        cmocka_unit_test(a_seat_found_is_concluded_in_a_line),
        cmocka_unit_test(a_free_turn_is_concluded_in_a_line),
        in_folder(why_nothing_falls_due_is_told),
        cmocka_unit_test(sentences_are_cut_to_their_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
