/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a person records, held against what is on record: slips, and the right thing beside each. */

#include "states.h"

#include <fcntl.h>
#include <sys/file.h>
#include "base/error.h"

#define P2_RUN "probe=P2 seat_deg=0" XY
#define AHEAD 1e4 /* days: `at` is left out */

typedef enum options { PLAIN = 0, NEW = 1, LATE = 2, DRY = 4, CARRY = 8 } options;

static reseat_record *typed(reseat_record_type type, double on, const char *fields)
{
    reseat_record *record = logs_record(type);
    fill(record, fields);
    if (type != POLICY && type != VOID && on < AHEAD)
        assert_status(reseat_record_set_integer(record, RESEAT_FIELD_AT, day(on), NULL),
                      RESEAT_OK);
    return record;
}

static reseat_record_request request_of(unsigned how)
{
    return (reseat_record_request){
        .dir = logs_dir, .spindle = "mill-1", .begin = how & NEW, .late = how & LATE,
        .append = {.dry_run = how & DRY, .carry = how & CARRY}};
}

/* Enters a record, which must be taken, and gives it; to be freed. */
static reseat_record *take(reseat_record_type type, double on, const char *fields, unsigned how,
                           reseat_recorded *done)
{
    const reseat_record_request request = request_of(how);
    reseat_record *record = typed(type, on, fields);
    reseat_error error;
    if (reseat_record_enter(&request, record, done, &error) != RESEAT_OK)
        fail_msg("%s: %s", error.key, error.text);
    return record;
}

static reseat_recorded enter(reseat_record_type type, double on, const char *fields, unsigned how)
{
    reseat_recorded done;
    reseat_record_free(take(type, on, fields, how, &done));
    return done;
}

/* A slip: it is refused with that text, and record, output and log are as they were. */
static void slip(reseat_record_type type, double on, const char *fields, unsigned how,
                 const char *text)
{
    const reseat_record_request request = request_of(how);
    reseat_record *record = typed(type, on, fields), *same = typed(type, on, fields);
    reseat_recorded done, before;
    reseat_error error;
    size_t length = 0, left = 0;
    memset(&done, 0x5a, sizeof done);
    memset(&before, 0x5a, sizeof before);
    char *bytes = logs_read("mill-1", &length);
    assert_status(reseat_record_enter(&request, record, &done, &error), RESEAT_ERR_REFUSED);
    assert_string_equal(error.text, text);
    assert_status(reseat_record_enter(&request, record, &done, NULL), RESEAT_ERR_REFUSED);
    assert_memory_equal(&done, &before, sizeof done);
    for (size_t i = 0; i < RESEAT_FIELD_COUNT; i++) {
        char is[128] = "", was[128] = "";
        assert_int_equal(reseat_record_has(record, (reseat_field)i),
                         reseat_record_has(same, (reseat_field)i));
        reseat_record_show(record, (reseat_field)i, is, sizeof is);
        reseat_record_show(same, (reseat_field)i, was, sizeof was);
        assert_string_equal(is, was);
    }
    char *now = logs_read("mill-1", &left);
    assert_int_equal(left, length);
    assert_memory_equal(now, bytes, length);
    free(bytes);
    free(now);
    reseat_record_free(record);
    reseat_record_free(same);
}

static void assert_nothing_new(const reseat_recorded *done)
{
    assert_false(done->new_log || done->new_probe || done->new_tip || done->snapped ||
                 done->first_policy);
    assert_string_equal(done->other_log, "");
    assert_int_equal(done->voided_run, -1);
    assert_int_equal(done->run_in_force, -1);
}

static void a_probe_that_is_not_known_is_refused(void **state)
{
    static const char text[] = "no run of P2 is on record for mill-1 (did you mean P1?); --new if "
                               "it is new here";
    put(RUN, 0, P1_RUN);
    slip(RESEATED, 1, "probe=P2 seat_deg=0", PLAIN, text);
    slip(EVENT, 1, "probe=P2 kind=collision", PLAIN, text);
    slip(VERIFY, 1, "probe=P2 shift_x_mm=0 shift_y_mm=0 shift_u_mm=0.001", PLAIN, text);
    slip(RUN, 1, P2_RUN, PLAIN, text);
    slip(RUN, AHEAD, P2_RUN, PLAIN, text);
    slip(RUN, 1, "probe=long-one seat_deg=0" XY, PLAIN,
         "no run of long-one is on record for mill-1; --new if it is new here");
    const reseat_record_type types[] = {RESEATED, EVENT, VERIFY, RUN};
    const char *const right[] = {"probe=P1 seat_deg=0", "probe=P1 kind=other", P1_CHECK, P1_RUN};
    for (size_t i = 0; i < 4; i++) {
        const reseat_recorded done = enter(types[i], 1 + (double)i, right[i], PLAIN);
        assert_nothing_new(&done);
        assert_int_equal(done.appended.seq, 2 + i);
    }
    const reseat_recorded done = enter(RUN, 6, P2_RUN, NEW);
    assert_true(done.new_probe && !done.new_log && !done.new_tip);
    enter(RESEATED, 7, "probe=P2 seat_deg=0", PLAIN);
}

static void the_log_that_has_runs_of_the_probe_is_named(void **state)
{
    put(RUN, 0, P1_RUN);
    put_late("hmc-1", 0, RUN, 0, "probe=long-one seat_deg=0" XY);
    slip(RESEATED, 1, "probe=long-one seat_deg=0", PLAIN,
         "no run of long-one is on record for mill-1; its runs are in the log of hmc-1; --new if "
         "it is new here");
    const reseat_recorded done = enter(RUN, 1, "probe=long-one seat_deg=0" XY, NEW);
    assert_true(done.new_probe);
    assert_string_equal(done.other_log, "hmc-1");
    const reseat_recorded again = enter(RUN, 2, "probe=long-one seat_deg=0" XY, PLAIN);
    assert_nothing_new(&again);
}

/* A reseat that was let in with --new makes no probe known: its run is still to come. */
static void a_probe_is_known_by_its_runs(void **state)
{
    put(RUN, 0, P1_RUN);
    const reseat_recorded done = enter(RESEATED, 1, "probe=P2 seat_deg=0", NEW);
    assert_true(done.new_probe);
    slip(RUN, 2, P2_RUN, PLAIN,
         "no run of P2 is on record for mill-1 (did you mean P1?); --new if it is new here");
    put_void(2, 1);
    slip(RESEATED, 2, "probe=P1 seat_deg=0", PLAIN,
         "no run of P1 is on record for mill-1; --new if it is new here");
}

static void a_tip_that_is_not_known_is_refused(void **state)
{
    put(RUN, 0, P1_RUN " tip=left");
    slip(RUN, 1, P1_RUN " tip=lfet", PLAIN,
         "no run of tip lfet of P1 is on record (did you mean left?); --new if it is new");
    slip(RUN, 1, P1_RUN, PLAIN, "no run of tip main of P1 is on record; --new if it is new");
    slip(VERIFY, 1, P1_CHECK " tip=lfet", PLAIN,
         "no run of that tip is on record; tips with runs: left");
    const reseat_recorded left = enter(RUN, 1, P1_RUN " tip=left", PLAIN);
    assert_nothing_new(&left);
    const reseat_recorded right = enter(RUN, 2, P1_RUN " tip=right", NEW);
    assert_true(right.new_tip && !right.new_probe && !right.new_log);
}

/* Behind a hundred runs of the usual tip. */
static void a_tip_measured_long_ago_is_known(void **state)
{
    put(RUN, 0, P1_RUN " tip=left");
    for (int i = 1; i <= RESEAT_STATE_RUNS_MAX; i++)
        put(RUN, i, P1_RUN);
    put(POLICY, 101, "limit_mm=0.005");
    const reseat_recorded done = enter(RUN, 101, P1_RUN " tip=left", PLAIN);
    assert_nothing_new(&done);
}

static void new_is_refused_where_nothing_is(void **state)
{
    static const char known[] = "--new: nothing is new, as the log of mill-1 has such runs of P1; "
                                "leave it out";
    static const char there[] = "--new: the log of mill-1 is there already; leave it out";
    put(RUN, 0, P1_RUN);
    slip(RUN, 1, P1_RUN, NEW, known);
    slip(RESEATED, 1, "probe=P1 seat_deg=0", NEW, known);
    slip(POLICY, 1, "limit_mm=0.005", NEW, there);
    slip(EVENT, 1, "kind=service", NEW, there);
    enter(POLICY, 1, "limit_mm=0.005", PLAIN);
    enter(EVENT, 1, "kind=service", PLAIN);
}

static void any_record_may_begin_a_log(void **state)
{
    const reseat_record_type types[] = {POLICY, EVENT, RUN, RESEATED};
    const char *const fields[] = {"limit_mm=0.005", "kind=service", P1_RUN, "probe=P1 seat_deg=0"};
    for (size_t i = 0; i < 8; i++) {
        const reseat_record_request request = request_of(PLAIN);
        reseat_record *record = typed(types[i / 2], 0, fields[i / 2]);
        reseat_recorded done;
        if (i % 2) /* somebody made it, and died before writing */
            logs_write("mill-1", "", 0);
        assert_status(reseat_record_enter(&request, record, &done, NULL), RESEAT_ERR_NOT_FOUND);
        reseat_record_free(record);
        done = enter(types[i / 2], 0, fields[i / 2], NEW);
        assert_true(done.new_log && done.appended.began);
        assert_int_equal(done.first_policy, i / 2 == 0);
        assert_int_equal(done.new_probe, i / 2 >= 2);
        assert_int_equal(remove(logs_path("mill-1")), 0);
    }
}

static void the_first_policy_of_a_log_is_told(void **state)
{
    put(RUN, 0, P1_RUN);
    assert_true(enter(POLICY, 1, "limit_mm=0.005", PLAIN).first_policy);
    const reseat_recorded second = enter(POLICY, 1, "reseats=logged", CARRY);
    assert_false(second.first_policy);
    assert_int_equal(second.appended.carried_count, 1);
    put_void(2, 2);
    assert_false(enter(POLICY, 1, "limit_mm=0.006", PLAIN).first_policy);
    put_void(2, 3);
    put_void(2, 5);
    assert_true(enter(POLICY, 1, "limit_mm=0.005", PLAIN).first_policy);
}

static void what_lies_before_the_run_is_refused_unless_it_is_meant(void **state)
{
    static const char text[] = "this lies before run 1, so it says nothing of how the probe sits "
                               "now; --late records it all the same";
    const reseat_record_type types[] = {RESEATED, EVENT, VERIFY};
    const char *const fields[] = {"probe=P1 seat_deg=0", "probe=P1 kind=other", P1_CHECK};
    const double second = 1.0 / 86400;
    put(RUN, 10, P1_RUN);
    for (size_t i = 0; i < 3; i++) {
        slip(types[i], 9, fields[i], PLAIN, text);
        slip(types[i], 10 - second, fields[i], PLAIN, text);
        enter(types[i], 10, fields[i], PLAIN); /* of one time what is written later is later */
        enter(types[i], AHEAD, fields[i], PLAIN);
        enter(types[i], 9, fields[i], LATE);
    }
    enter(RUN, 9, P1_RUN, PLAIN);           /* a run stands for itself */
    slip(RESEATED, 9.5, "probe=P1 seat_deg=0", PLAIN, text);
    put_void(20, 1);
    enter(RESEATED, 9.5, "probe=P1 seat_deg=0", PLAIN); /* later than the run that is left */
}

/* With the wrong day typed, a collision would say nothing of any probe. */
static void an_event_of_the_spindle_before_all_runs_is_refused_unless_it_is_meant(void **state)
{
    static const char text[] = "this lies before the runs of all probes, so it says nothing of how "
                               "they sit now; --late records it all the same";
    enter(EVENT, 1, "kind=service", NEW); /* there is none yet */
    enter(EVENT, 0, "kind=collision", PLAIN);
    put(RUN, 10, P1_RUN);
    put(RUN, 9, P1_RUN " tip=left");
    put(RUN, 12, P2_RUN);
    slip(EVENT, 8.99, "kind=collision", PLAIN, text);
    enter(EVENT, 8.99, "kind=collision", LATE);
    enter(EVENT, 9, "kind=collision", PLAIN); /* since the run of the left tip */
    enter(EVENT, AHEAD, "kind=collision", PLAIN);
    put(RUN, 11, P1_RUN " tip=left");
    slip(EVENT, 9, "kind=collision", PLAIN, text);
}

/* All tips leave the spindle together, and the run that tells how they sit now is the latest. */
static void of_several_tips_the_latest_run_counts(void **state)
{
    put(RUN, 10, P1_RUN " tip=right");
    put(RUN, 12, P1_RUN " tip=left");
    put(RUN, 11, "probe=P1 seat_deg=90 tip=top" XY);
    static const char text[] = "this lies before run 2, so it says nothing of how the probe sits "
                               "now; --late records it all the same";
    slip(RESEATED, 11.5, "probe=P1 seat_deg=0", PLAIN, text);
    slip(EVENT, 11.5, "probe=P1 kind=collision", PLAIN, text);
    slip(VERIFY, 13, P1_CHECK, PLAIN,
         "say which tip with --tip, as several have runs: left, right, top");
    slip(VERIFY, 11.5, P1_CHECK " tip=left", PLAIN, text);
    enter(VERIFY, 11.5, P1_CHECK " tip=top", PLAIN);
    put(POLICY, 13, "seats=keys:2");
    slip(RESEATED, 14, "probe=P1 seat_deg=90", PLAIN,
         "90 is none of the seats that the keys allow from the run's 30: 30, 210; type one, or "
         "unknown");
    enter(RESEATED, 14, "probe=P1 seat_deg=210", PLAIN);
    put(RUN, 15, P1_RUN);
    slip(RESEATED, 14.5, "probe=P1 seat_deg=210", PLAIN,
         "this lies before run 7, so it says nothing of how the probe sits now; --late records it "
         "all the same");
}

static void the_same_run_twice_is_refused(void **state)
{
    static const char text[] = "a run of that probe, tip and time is recorded as 1: if that is "
                               "wrong, void it first";
    put(RUN, 0, P1_RUN);
    put(RUN, 1, P1_RUN " tip=left");
    put(RUN, 1, P2_RUN);
    slip(RUN, 0, P1_RUN, PLAIN, text);
    slip(RUN, 0, P1_RUN " tip=main", PLAIN, text);
    slip(RUN, 0, "probe=P1 seat_deg=90 offset_x_mm=0.1 offset_y_mm=0", PLAIN, text);
    enter(RUN, 0, P1_RUN " tip=left", PLAIN);
    enter(RUN, 0, P2_RUN, PLAIN);
    enter(RUN, 1.0 / 86400, P1_RUN, PLAIN);
    put_void(3, 1);
    enter(RUN, 0, P1_RUN, PLAIN);
}

/* With a hundred later ones, a run so old is not among those that a state keeps. */
static void a_run_recorded_long_ago_is_not_recorded_twice(void **state)
{
    for (int i = 0; i < RESEAT_STATE_RUNS_MAX + 5; i++)
        put(RUN, i, P1_RUN);
    put(POLICY, RESEAT_STATE_RUNS_MAX + 5, "limit_mm=0.005");
    slip(RUN, 1, P1_RUN, PLAIN,
         "a run of that probe, tip and time is recorded as 2: if that is wrong, void it first");
    slip(RUN, 5, P1_RUN, PLAIN,
         "a run of that probe, tip and time is recorded as 6: if that is wrong, void it first");
    slip(RUN, 104, P1_RUN, PLAIN,
         "a run of that probe, tip and time is recorded as 105: if that is wrong, void it first");
    slip(RUN, 1.5, "probe=P1 seat_deg=0 offset_x_mm=0 offset_y_mm=0 found_x_mm=0.004 "
                   "found_y_mm=-0.0011", PLAIN,
         "found is to the last digit what run 2 left: it is what this run measured before the "
         "stylus was re-centred; type that, or leave it out");
    enter(RUN, 1.5, P1_RUN, PLAIN);
}

static void an_offset_as_found_that_was_copied_is_refused(void **state)
{
    static const char text[] =
        "found is to the last digit what run 1 left: it is what this run measured before the "
        "stylus was re-centred; type that, or leave it out";
    put(RUN, 0, "probe=P1 seat_deg=0 offset_x_mm=0.004 offset_y_mm=-0.001 in_use_x_mm=0.003 "
                "in_use_y_mm=0.002");
#define NEXT "probe=P1 seat_deg=0 offset_x_mm=0.001 offset_y_mm=0.0005 "
    slip(RUN, 1, NEXT "found_x_mm=0.004 found_y_mm=-0.001", PLAIN, text);
    slip(RUN, 1, NEXT "found_x_mm=0.003 found_y_mm=0.002", PLAIN, text);
    put(RUN, 5, "probe=P1 seat_deg=0 offset_x_mm=0.009 offset_y_mm=0"); /* later: not before it */
    slip(RUN, 1, NEXT "found_x_mm=0.004 found_y_mm=-0.001", PLAIN, text);
    enter(RUN, 1, NEXT "found_x_mm=0.009 found_y_mm=0", PLAIN);
    enter(RUN, 2, NEXT "found_x_mm=0.0041 found_y_mm=-0.001", PLAIN);
    enter(RUN, 6, NEXT, PLAIN);
    enter(RUN, 7, NEXT "found_x_mm=0.001 found_y_mm=0.0005", PLAIN); /* and left so */
    enter(RUN, 8, "probe=P1 tip=left seat_deg=0 offset_x_mm=0 offset_y_mm=0 found_x_mm=0.001 "
                  "found_y_mm=0.0005", NEW);
}

/* The seat of a reseat that was taken, as it is on record, and whether it was read as another. */
static void assert_seat(const char *seat, double seat_deg, double within_deg, bool snapped)
{
    char fields[64];
    reseat_recorded done;
    snprintf(fields, sizeof fields, "probe=P1 seat_deg=%s", seat);
    reseat_record *record = take(RESEATED, 2, fields, DRY, &done);
    assert_near(reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, -1), seat_deg, 1e-12);
    assert_near(reseat_record_number(record, RESEAT_FIELD_WITHIN_DEG, 0), within_deg, 1e-12);
    assert_int_equal(reseat_record_has(record, RESEAT_FIELD_WITHIN_DEG), within_deg > 0);
    assert_int_equal(done.snapped, snapped);
    if (snapped)
        assert_near(done.seat_deg, seat_deg, 1e-12);
    reseat_record_free(record);
}

static void a_seat_that_the_keys_do_not_allow_is_refused(void **state)
{
    put(RUN, 0, P1_RUN);
    put(POLICY, 0, "seats=keys:4");
    slip(RESEATED, 2, "probe=P1 seat_deg=36", PLAIN,
         "36 is none of the seats that the keys allow from the run's 30: 30, 120, 210, 300; type "
         "one, or unknown");
    slip(RESEATED, 2, "probe=P1 seat_deg=75 within_deg=39.9", PLAIN,
         "75+-39.9 is none of the seats that the keys allow from the run's 30: 30, 120, 210, 300; "
         "type one, or unknown");
    assert_seat("30", 30, 0, false);
    assert_seat("300", 300, 0, false);
    assert_seat("35", 30, 0, true);
    assert_seat("295", 300, 0, true);
    assert_seat("-58", 300, 0, true);
    assert_seat("35 within_deg=3", 30, 0, true);
    assert_seat("210 within_deg=5", 210, 0, true);
    assert_seat("75 within_deg=42", 75, 47, false); /* holds 30 and 120, which both may be meant */
    assert_seat("30 within_deg=174", 30, 179, false);
    reseat_recorded done;
    const char *const unknown[] = {"probe=P1 seat_deg=unknown",
                                   "probe=P1 seat_deg=30 within_deg=176"};
    for (size_t i = 0; i < 2; i++) {
        reseat_record *record = take(RESEATED, 2, unknown[i], DRY, &done);
        assert_true(reseat_record_is_null(record, RESEAT_FIELD_SEAT_DEG));
        assert_false(done.snapped);
        reseat_record_free(record);
    }
}

static void without_keys_or_the_seat_of_the_run_any_angle_is_taken(void **state)
{
    put(RUN, 0, P1_RUN);
    assert_seat("36", 36, 0, false);
    put(POLICY, 0, "seats=any");
    assert_seat("36 within_deg=7", 36, 7, false);
    put(POLICY, 0, "seats=keys:2");
    put(RUN, 1, "probe=P1 seat_deg=unknown" XY);
    assert_seat("36", 36, 0, false);
}

static void a_verify_gets_the_tip_that_the_state_is_of(void **state)
{
    reseat_recorded done;
    put(RUN, 0, P1_RUN " tip=left");
    reseat_record *record = take(VERIFY, 1, P1_CHECK, PLAIN, &done);
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_TIP), "left");
    reseat_record_free(record);
    put(RUN, 0, P1_RUN);
    record = take(VERIFY, 1, P1_CHECK, PLAIN, &done);
    assert_null(reseat_record_text(record, RESEAT_FIELD_TIP)); /* main */
    reseat_record_free(record);
    record = take(VERIFY, 1, P1_CHECK " tip=left", PLAIN, &done);
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_TIP), "left");
    reseat_record_free(record);
}

static void assert_voided_range(int first, int last, int64_t run, int64_t in_force)
{
    char fields[64];
    snprintf(fields, sizeof fields, "voids=%d voids_to=%d why=slip", first, last);
    const reseat_recorded done = enter(VOID, 0, fields, DRY);
    assert_int_equal(done.voided_run, run);
    assert_int_equal(done.run_in_force, in_force);
}

static void assert_voided(int voids, int64_t run, int64_t in_force)
{
    assert_voided_range(voids, voids, run, in_force);
}

static void what_is_in_force_after_a_run_is_void_is_told(void **state)
{
    put(RUN, 0, P1_RUN);
    put(RUN, 5, P1_RUN);
    put(RUN, 3, P1_RUN);
    put(RUN, 9, P1_RUN " tip=left");
    put(RUN, 9, P2_RUN);
    put(RESEATED, 9, "probe=P1 seat_deg=0");
    assert_voided(1, -1, -1);
    assert_voided(2, 2, 3);
    assert_voided(3, -1, -1);
    assert_voided(4, 4, -1);
    assert_voided(5, 5, -1);
    assert_voided(6, -1, -1);
    assert_voided_range(2, 3, 2, 1);
    assert_voided_range(1, 3, 2, -1);
    assert_voided_range(3, 6, 5, -1);
    put_void(10, 3);
    assert_voided(2, 2, 1);
    slip(VOID, 0, "voids=3 why=slip", PLAIN, "record 3 cannot be voided: it is void already");
}

static void a_dry_run_says_all_and_writes_nothing(void **state)
{
    size_t before = 0, after = 0;
    put(RUN, 0, P1_RUN);
    free(logs_read("mill-1", &before));
    slip(RUN, 0, P1_RUN, DRY,
         "a run of that probe, tip and time is recorded as 1: if that is wrong, void it first");
    assert_true(enter(RUN, 1, P2_RUN, DRY | NEW).new_probe);
    free(logs_read("mill-1", &after));
    assert_int_equal(before, after);
    assert_int_equal(remove(logs_path("mill-1")), 0);
    assert_true(enter(RUN, 1, P2_RUN, DRY | NEW).new_log);
    assert_int_equal(access(logs_path("mill-1"), F_OK), -1);
}

/* How often a check was asked, and with what it answers. */
typedef struct asked_check {
    int times;
    size_t length;
    reseat_status answer;
} asked_check;

static reseat_status look(void *context, reseat_record *record, reseat_error *error)
{
    asked_check *asked = context;
    size_t length = 0;
    const int file = open(logs_path("mill-1"), O_RDONLY);
    assert_true(file >= 0);
    assert_int_equal(flock(file, LOCK_EX | LOCK_NB), -1); /* nobody else gets it */
    close(file);
    free(logs_read("mill-1", &length));
    assert_int_equal(length, asked->length);
    asked->times++;
    fill(record, "note=checked");
    return asked->answer == RESEAT_OK ? RESEAT_OK
                                      : error_set(error, asked->answer, 0, "not today");
}

static void a_check_runs_under_the_lock_before_anything_is_written(void **state)
{
    put(RUN, 0, P1_RUN);
    asked_check asked = {.answer = RESEAT_ERR_REFUSED};
    const reseat_append how = {.check = look, .context = &asked};
    free(logs_read("mill-1", &asked.length));
    logs_refuse("mill-1", logs_run("0"), &how, RESEAT_ERR_REFUSED, "not today");
    assert_int_equal(asked.times, 1);
    asked.answer = RESEAT_OK;
    reseat_record *record = logs_run("0");
    assert_status(reseat_log_append(logs_dir, "mill-1", record, &how, NULL, NULL), RESEAT_OK);
    assert_int_equal(asked.times, 2);
    size_t length = 0;
    char *bytes = logs_read("mill-1", &length);
    assert_non_null(strstr(bytes, "\"note\":\"checked\""));
    free(bytes);
    reseat_record_free(record);
}

static void refuses_what_is_no_request(void **state)
{
    reseat_record_request request = request_of(PLAIN);
    reseat_record *record = logs_run("0");
    reseat_recorded done;
    reseat_error error;
    assert_status(reseat_record_enter(NULL, record, &done, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_enter(&request, NULL, &done, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_enter(&request, record, NULL, NULL), RESEAT_ERR_ARGUMENT);
    request.spindle = NULL;
    assert_status(reseat_record_enter(&request, record, &done, &error), RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, reseat_status_text(RESEAT_ERR_ARGUMENT));
    request.spindle = "../mill-1";
    assert_status(reseat_record_enter(&request, record, &done, NULL), RESEAT_ERR_SYNTAX);
    request.spindle = "mill-1";
    request.dir = "/nowhere";
    assert_status(reseat_record_enter(&request, record, &done, NULL), RESEAT_ERR_ARGUMENT);
    request.dir = NULL;
    assert_status(reseat_record_enter(&request, record, &done, NULL), RESEAT_ERR_ARGUMENT);
    reseat_record_free(record);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_probe_that_is_not_known_is_refused),
        TEST(the_log_that_has_runs_of_the_probe_is_named),
        TEST(a_probe_is_known_by_its_runs),
        TEST(a_tip_that_is_not_known_is_refused),
        TEST(a_tip_measured_long_ago_is_known),
        TEST(new_is_refused_where_nothing_is),
        TEST(any_record_may_begin_a_log),
        TEST(the_first_policy_of_a_log_is_told),
        TEST(what_lies_before_the_run_is_refused_unless_it_is_meant),
        TEST(an_event_of_the_spindle_before_all_runs_is_refused_unless_it_is_meant),
        TEST(of_several_tips_the_latest_run_counts),
        TEST(the_same_run_twice_is_refused),
        TEST(a_run_recorded_long_ago_is_not_recorded_twice),
        TEST(an_offset_as_found_that_was_copied_is_refused),
        TEST(a_seat_that_the_keys_do_not_allow_is_refused),
        TEST(without_keys_or_the_seat_of_the_run_any_angle_is_taken),
        TEST(a_verify_gets_the_tip_that_the_state_is_of),
        TEST(what_is_in_force_after_a_run_is_void_is_told),
        TEST(a_dry_run_says_all_and_writes_nothing),
        TEST(a_check_runs_under_the_lock_before_anything_is_written),
        TEST(refuses_what_is_no_request),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
