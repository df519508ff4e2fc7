/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From what the log, or somebody who types it, knows of the seat to the turns that are possible. */

#include "states.h"

#define POLICY_SEQ 1
#define RUN_SEQ 2
#define RESEAT_SEQ 3

/* A policy, a run and perhaps a reseat, in this order. */
static void make_log(const char *policy, const char *run_seat, const char *reseat)
{
    char fields[128];
    snprintf(fields, sizeof fields, "limit_mm=0.005%s%s", policy ? " " : "", policy ? policy : "");
    put(POLICY, 0, fields);
    snprintf(fields, sizeof fields, "probe=P1 seat_deg=%s" XY, run_seat);
    put(RUN, 1, fields);
    if (!reseat)
        return;
    snprintf(fields, sizeof fields, "probe=P1 seat_deg=%s", reseat);
    put(RESEATED, 2, fields);
}

/* What follows on day 3 from the log and a seat that is typed, NULL for none. */
static void ask(const char *typed_seat, reseat_state_question *asked)
{
    reseat_seat seat;
    const reseat_state_typed typed = {.seat = &seat};
    reseat_state s = stand_on(3);
    if (typed_seat)
        assert_status(reseat_seat_parse(typed_seat, strlen(typed_seat), &seat, NULL), RESEAT_OK);
    assert_status(reseat_state_ask(&s, typed_seat ? &typed : NULL, asked, NULL), RESEAT_OK);
    reseat_state_free(&s);
}

/* The seat as people type it, where from, how many turns (0: a range) from where on, twice out. */
static void assert_seat(const reseat_state_question *asked, const char *seat,
                        reseat_seat_source source, int64_t seq)
{
    char text[RESEAT_SEAT_SIZE];
    assert_status(reseat_seat_format(&asked->seat, text), RESEAT_OK);
    assert_string_equal(text, seat);
    assert_int_equal(asked->source, source);
    assert_int_equal(asked->source_seq, seq);
    assert_false(asked->contradicts);
}

static void assert_turns(const reseat_state_question *asked, unsigned count, double first,
                         double width, bool out)
{
    const reseat_turns *turns = &asked->question.turns;
    assert_int_equal(turns->range, count == 0);
    assert_int_equal(turns->count, count);
    assert_near(turns->first_deg, first, 0);
    assert_near(turns->width_deg, width, 0);
    assert_int_equal(asked->question.estimate.out, out);
}

static void without_a_reseat_the_probe_sits_as_it_did(void **state)
{
    reseat_state_question asked;
    make_log("seats=keys:2", "30", NULL);
    ask(NULL, &asked);
    assert_seat(&asked, "same", RESEAT_SOURCE_RUN, RUN_SEQ);
    assert_turns(&asked, 1, 0, 0, false);
    assert_true(asked.question.turns.run_known);
    assert_near(asked.question.turns.run_deg, 30, 0);
}

static void a_recorded_angle_gives_the_turn_since_the_run(void **state)
{
    reseat_state_question asked;
    make_log(NULL, "30", "210");
    ask(NULL, &asked);
    assert_seat(&asked, "210", RESEAT_SOURCE_RESEAT, RESEAT_SEQ);
    assert_turns(&asked, 1, 180, 0, true);
}

static void an_angle_read_roughly_gives_a_range(void **state)
{
    reseat_state_question asked;
    make_log(NULL, "30", "210 within_deg=5");
    ask(NULL, &asked);
    assert_seat(&asked, "210+-5", RESEAT_SOURCE_RESEAT, RESEAT_SEQ);
    assert_turns(&asked, 0, 175, 10, true);
}

static void half_a_turn_either_way_is_any_seat(void **state)
{
    reseat_state_question asked;
    make_log(NULL, "30", "210 within_deg=180");
    ask(NULL, &asked);
    assert_seat(&asked, "any", RESEAT_SOURCE_RESEAT, RESEAT_SEQ);
    assert_turns(&asked, 0, -180, 360, true);
}

static void a_seat_that_nobody_wrote_down_is_what_the_policy_says(void **state)
{
    reseat_state_question asked;
    make_log("seats=keys:2", "30", "unknown");
    ask(NULL, &asked);
    assert_seat(&asked, "keys:2", RESEAT_SOURCE_POLICY, POLICY_SEQ);
    assert_turns(&asked, 2, 0, 0, true);
}

static void without_a_policy_for_seats_it_is_any(void **state)
{
    reseat_state_question asked;
    make_log(NULL, "30", "unknown");
    ask(NULL, &asked);
    assert_seat(&asked, "any", RESEAT_SOURCE_DEFAULT, -1);
    assert_turns(&asked, 0, -180, 360, true);
}

/* An angle says nothing where the run's was not written down. */
static void without_the_seat_of_the_run_an_angle_is_unknown(void **state)
{
    reseat_state_question asked;
    make_log("seats=keys:3", "unknown", "210 within_deg=5");
    ask(NULL, &asked);
    assert_seat(&asked, "keys:3", RESEAT_SOURCE_POLICY, POLICY_SEQ);
    assert_turns(&asked, 3, 0, 0, true);
    assert_false(asked.question.turns.run_known);
    ask("210", &asked);
    assert_seat(&asked, "210", RESEAT_SOURCE_TYPED, -1);
    assert_turns(&asked, 3, 0, 0, true);
}

static void without_the_seat_of_the_run_same_stays_same(void **state)
{
    reseat_state_question asked;
    make_log("seats=keys:3", "unknown", NULL);
    ask(NULL, &asked);
    assert_seat(&asked, "same", RESEAT_SOURCE_RUN, RUN_SEQ);
    assert_turns(&asked, 1, 0, 0, false);
}

static void a_tool_changer_seats_it_anew_at_the_same_angle(void **state)
{
    reseat_state_question asked;
    make_log("reseats=changer", "30", NULL);
    ask(NULL, &asked);
    assert_seat(&asked, "same", RESEAT_SOURCE_RUN, RUN_SEQ);
    assert_turns(&asked, 1, 0, 0, true);
    ask("same", &asked);
    assert_turns(&asked, 1, 0, 0, false);
    put(POLICY, 2, "limit_mm=0.005 reseats=logged");
    ask(NULL, &asked);
    assert_turns(&asked, 1, 0, 0, false);
}

static void a_seat_that_is_typed_stands(void **state)
{
    reseat_state_question asked;
    make_log("u_seat_mm=0.001", "30", "unknown");
    ask("unknown", &asked);
    assert_seat(&asked, "unknown", RESEAT_SOURCE_TYPED, -1);
    assert_turns(&asked, 0, -180, 360, true);
    ask("keys:4", &asked);
    assert_seat(&asked, "keys:4", RESEAT_SOURCE_TYPED, -1);
    ask("210+-5", &asked);
    assert_seat(&asked, "210+-5", RESEAT_SOURCE_TYPED, -1);
    assert_turns(&asked, 0, 175, 10, true);
    assert_false(asked.snapped);
}

/* What is typed must not be asked, and why. */
static void refuse_seat(const char *typed_seat, const char *text)
{
    reseat_state_question asked;
    reseat_seat seat;
    reseat_error error;
    const reseat_state_typed typed = {.seat = &seat};
    reseat_state s = stand_on(3);
    assert_status(reseat_seat_parse(typed_seat, strlen(typed_seat), &seat, NULL), RESEAT_OK);
    assert_status(reseat_state_ask(&s, &typed, &asked, &error), RESEAT_ERR_REFUSED);
    assert_string_equal(error.text, text);
    assert_status(reseat_state_ask(&s, &typed, &asked, NULL), RESEAT_ERR_REFUSED);
    reseat_state_free(&s);
}

/* A seat is read from a scale: near one that the keys allow it is that one, else a slip. */
static void a_seat_that_is_typed_is_one_of_those_that_the_keys_allow(void **state)
{
    static const struct {
        const char *typed, *meant;
        unsigned count; /* 0: a range */
        double first, width;
        bool snapped;
    } cases[] = {{"30", "30", 1, 0, 0, false},      {"390", "30", 1, 0, 0, false},
                 {"33", "30", 1, 0, 0, true},       {"35", "30", 1, 0, 0, true},
                 {"25", "30", 1, 0, 0, true},       {"215", "210", 1, 180, 0, true},
                 {"210+-5", "210", 1, 180, 0, true}, {"210+-0", "210", 1, 180, 0, false},
                 {"60+-25", "30", 1, 0, 0, true},   {"120+-85", "keys:2", 2, 0, 0, true},
                 {"unknown", "unknown", 2, 0, 0, false}, {"keys:4", "keys:4", 4, 0, 0, false},
                 {"any", "any", 0, -180, 360, false}};
    make_log("seats=keys:2", "30", "unknown");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        reseat_state_question asked;
        ask(cases[i].typed, &asked);
        assert_seat(&asked, cases[i].meant, RESEAT_SOURCE_TYPED, -1);
        assert_turns(&asked, cases[i].count, cases[i].first, cases[i].width, true);
        assert_int_equal(asked.snapped, cases[i].snapped);
    }
    refuse_seat("36", "36 is none of the seats that the keys allow from the run's 30: 30, 210; "
                      "type one, or unknown");
    refuse_seat("120+-84", "120+-84 is none of the seats that the keys allow from the run's 30: "
                           "30, 210; type one, or unknown");
}

/* What was out has to be seated again; `same` takes a record back that says so. */
static void same_is_refused_where_the_log_says_that_it_was_out(void **state)
{
    reseat_state_question asked;
    make_log("seats=keys:2", "30", NULL);
    ask("same", &asked);
    assert_turns(&asked, 1, 0, 0, false);
    const int64_t other = put(RUN, 2, "probe=P2 seat_deg=0" XY);
    const int64_t slip = put(RUN, 2, "probe=P2 seat_deg=0" XY);
    char text[96];
    snprintf(text, sizeof text, "record %d says that the probe was out since the run: void %d if "
             "it never happened", (int)slip, (int)slip);
    reseat_state_request query = asked_on(3);
    query.probe = "P1";
    reseat_seat same = {.kind = RESEAT_SEAT_SAME};
    const reseat_state_typed typed = {.seat = &same, .limit_mm = 0.005};
    reseat_error error;
    reseat_state s = stand(&query);
    assert_status(reseat_state_ask(&s, &typed, &asked, &error), RESEAT_ERR_REFUSED);
    assert_string_equal(error.text, text);
    reseat_state_free(&s);
    put_void(2, slip);
    put_void(2, other);
    ask("same", &asked);
    put(RESEATED, 2, "probe=P1 seat_deg=30"); /* as it was, but out */
    refuse_seat("same", "record 7 says that the probe was out since the run: void 7 if it never "
                        "happened");
    put_void(2, 7);
    put_late("hmc-1", 2, VERIFY, 2, P1_CHECK);
    refuse_seat("same", "record 1 of hmc-1 says that the probe was there since the run: same only "
                        "if that is void");
}

/* What the log says, what is typed, and whether both cannot be true. */
typedef struct told_case {
    const char *reseat;
    const char *typed;
    bool contradicts;
} told_case;

static void assert_told(const told_case *cases, size_t count)
{
    int64_t outing = -1;
    for (size_t i = 0; i < count; i++) {
        reseat_state_question asked;
        char fields[64];
        if (outing >= 0)
            put_void(2, outing);
        outing = -1;
        if (cases[i].reseat) {
            snprintf(fields, sizeof fields, "probe=P1 seat_deg=%s", cases[i].reseat);
            outing = put(RESEATED, 2, fields);
        }
        ask(cases[i].typed, &asked);
        if (asked.contradicts != cases[i].contradicts)
            print_error("log %s, typed %s\n", cases[i].reseat, cases[i].typed);
        assert_int_equal(asked.contradicts, cases[i].contradicts);
    }
}

static void a_seat_that_contradicts_the_log_is_told(void **state)
{
    static const told_case cases[] = {
        {NULL, "same", false},       {NULL, "30", false},        {NULL, "210", true},
        {NULL, "keys:2", false},     {NULL, "any", false},       {NULL, "unknown", false},
        {NULL, "90+-59", true},      {NULL, "90+-60", false},    {NULL, "90+-61", false},
        {"30", "30", false},         {"unknown", "30", false},
        {"210", "210", false},       {"210", "30", true},        {"210", "keys:2", false},
        {"210", "keys:3", true},     {"210", "208+-1", true},    {"210", "208+-2", false},
        {"210 within_deg=5", "214", false},     {"210 within_deg=5", "216", true},
        {"210 within_deg=5", "220+-5", false},  {"210 within_deg=5", "220+-4", true},
        {"210 within_deg=5", "200+-6", false},  {"210 within_deg=5", "210+-170", false},
        {"210 within_deg=5", "keys:2", false},  {"210 within_deg=5", "keys:3", true},
    };
    make_log(NULL, "30", NULL);
    assert_told(cases, sizeof cases / sizeof cases[0]);
}

/* By the seat that counts, not by the number that was read. */
static void a_key_seat_that_contradicts_the_log_is_told(void **state)
{
    static const told_case cases[] = {
        {NULL, "31", false},         {NULL, "209", true},        {"210", "208+-1", false},
        {"210", "34", true},         {"unknown", "30", false},   {"unknown", "210", false},
        {"unknown", "keys:3", false}, {"210 within_deg=5", "205", false},
    };
    make_log("seats=keys:2", "30", NULL);
    assert_told(cases, sizeof cases / sizeof cases[0]);
}

static void nobody_types_a_seat_that_does_not_exist(void **state)
{
    reseat_state_question asked;
    const reseat_seat seats[] = {{.kind = RESEAT_SEAT_KEYS, .keys = 0},
                                 {.kind = RESEAT_SEAT_ANGLE, .within_deg = 180},
                                 {.kind = RESEAT_SEAT_ANGLE, .seat_deg = (double)NAN},
                                 {.kind = (reseat_seat_kind)9}};
    const reseat_status expected[] = {RESEAT_ERR_RANGE, RESEAT_ERR_RANGE, RESEAT_ERR_NOT_FINITE,
                                      RESEAT_ERR_ARGUMENT};
    make_log(NULL, "30", NULL);
    reseat_state s = stand_on(3);
    for (size_t i = 0; i < 4; i++) {
        const reseat_state_typed typed = {.seat = &seats[i]};
        assert_status(reseat_state_ask(&s, &typed, &asked, NULL), expected[i]);
    }
    reseat_state_free(&s);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(without_a_reseat_the_probe_sits_as_it_did),
        TEST(a_recorded_angle_gives_the_turn_since_the_run),
        TEST(an_angle_read_roughly_gives_a_range),
        TEST(half_a_turn_either_way_is_any_seat),
        TEST(a_seat_that_nobody_wrote_down_is_what_the_policy_says),
        TEST(without_a_policy_for_seats_it_is_any),
        TEST(without_the_seat_of_the_run_an_angle_is_unknown),
        TEST(without_the_seat_of_the_run_same_stays_same),
        TEST(a_tool_changer_seats_it_anew_at_the_same_angle),
        TEST(a_seat_that_is_typed_stands),
        TEST(a_seat_that_is_typed_is_one_of_those_that_the_keys_allow),
        TEST(same_is_refused_where_the_log_says_that_it_was_out),
        TEST(a_seat_that_contradicts_the_log_is_told),
        TEST(a_key_seat_that_contradicts_the_log_is_told),
        TEST(nobody_types_a_seat_that_does_not_exist),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
