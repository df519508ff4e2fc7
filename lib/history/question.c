/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From the state of a probe to the question for the verdict. */

#include <assert.h>
#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/time.h"
#include "history/drift.h"
#include "history/state.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/seat.h"
#include "model/verdict.h"
#include "reseat/rescue.h"

#define UNLIKE_P 0.001
#define UNLIKE_T2 11.829 /* -2 ln 0.0027: two runs further apart than chance puts them */

static const reseat_xy none = {0, 0};

const reseat_seat state_same = {.kind = RESEAT_SEAT_SAME};

const char *reseat_seat_source_name(reseat_seat_source source)
{
    static const char *const names[] = {"run",     "reseat", "verify",   "policy",
                                        "default", "typed",  "evidence", "late"};
    return (unsigned)source < sizeof names / sizeof names[0] ? names[source] : "";
}

/* What the policy says of a seat that nobody wrote down; `any` where it says nothing. */
static reseat_seat fallback_seat(const reseat_state *s, reseat_seat_source *source)
{
    reseat_seat seat = {.kind = RESEAT_SEAT_ANY};
    const char *text = reseat_record_text(s->policy, RESEAT_FIELD_SEATS);
    *source = RESEAT_SOURCE_DEFAULT;
    if (text) {
        (void)reseat_seat_parse(text, strlen(text), &seat, NULL); /* a policy says keys:N or any */
        *source = RESEAT_SOURCE_POLICY;
    }
    return seat;
}

/* The seat as the log knows it, with the record that says so. */
static reseat_seat seat_on_record(const reseat_state *s, reseat_seat_source *source,
                                  int64_t *seq)
{
    const reseat_record *said = s->last_reseat ? s->last_reseat : s->run;
    *source = s->last_reseat ? RESEAT_SOURCE_RESEAT : RESEAT_SOURCE_RUN;
    *seq = reseat_record_integer(said, RESEAT_FIELD_SEQ, -1);
    if (s->evidence.seq >= 0) {
        *source = RESEAT_SOURCE_EVIDENCE;
        *seq = s->evidence.seq;
    } else if (s->late) {
        *source = RESEAT_SOURCE_LATE;
    }
    if (s->evidence.seq >= 0 || s->late)
        return (reseat_seat){.kind = RESEAT_SEAT_UNKNOWN};
    if (!s->last_reseat)
        return (reseat_seat){.kind = RESEAT_SEAT_SAME};
    if (reseat_record_is_null(s->last_reseat, RESEAT_FIELD_SEAT_DEG))
        return (reseat_seat){.kind = RESEAT_SEAT_UNKNOWN};
    return (reseat_seat){
        .kind = RESEAT_SEAT_ANGLE,
        .seat_deg = plane_seat(reseat_record_number(s->last_reseat, RESEAT_FIELD_SEAT_DEG, 0)),
        .within_deg = reseat_record_number(s->last_reseat, RESEAT_FIELD_WITHIN_DEG, 0)};
}

/* A half width of 180 or more leaves every seat possible. */
static reseat_seat widened(reseat_seat seat)
{
    if (seat.kind == RESEAT_SEAT_ANGLE && !(seat.within_deg < 180))
        return (reseat_seat){.kind = RESEAT_SEAT_ANY};
    return seat;
}

static reseat_status turns_of(const reseat_state *s, const reseat_seat *seat,
                              reseat_turns *turns)
{
    reseat_seat_source ignored;
    const reseat_seat fallback = fallback_seat(s, &ignored);
    const bool known = !reseat_record_is_null(s->run, RESEAT_FIELD_SEAT_DEG);
    return seat_turns(seat, reseat_record_number(s->run, RESEAT_FIELD_SEAT_DEG, 0),
                             known, &fallback, turns);
}

/* Whether every turn of one set is in the other. */
static bool lies_within(const reseat_turns *turns, const reseat_turns *wide)
{
    if (wide->range && !(wide->width_deg < 360))
        return true;
    if (turns->range)
        return wide->range && turns->width_deg <= wide->width_deg &&
               seat_has_turn(wide, turns->first_deg) &&
               seat_has_turn(wide, turns->first_deg + turns->width_deg);
    for (unsigned k = 0; k < turns->count; k++)
        if (!seat_has_turn(wide, seat_list_turn(turns, k)))
            return false;
    return true;
}

/* Whether two sets have a turn in common. */
static bool meet(const reseat_turns *a, const reseat_turns *b)
{
    if (a->range && b->range)
        return seat_has_turn(a, b->first_deg) || seat_has_turn(b, a->first_deg);
    const reseat_turns *list = a->range ? b : a;
    for (unsigned k = 0; k < list->count; k++)
        if (seat_has_turn(a->range ? a : b, seat_list_turn(list, k)))
            return true;
    return false;
}

/* The offset that the control adds; a record has both of its parts or none. */
static reseat_xy in_use_on_record(const reseat_state *s)
{
    const reseat_xy offset_mm =
        pair_of(s->run, RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM, none);
    return pair_of(s->run, RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM, offset_mm);
}

/* That the probe was out since is on record, and whoever types `same` has to take that back. */
static reseat_status refuse_same(const reseat_state *s, reseat_error *error)
{
    const reseat_state_event *evidence = &s->evidence;
    if (evidence->seq >= 0 && evidence->log[0])
        return error_set(error, RESEAT_ERR_REFUSED, 0,
                         "record %lld of %s says that the probe was there since the run: same "
                         "only if that is void", (long long)evidence->seq, evidence->log);
    const int64_t seq = evidence->seq >= 0
                            ? evidence->seq
                            : reseat_record_integer(s->last_reseat, RESEAT_FIELD_SEQ, -1);
    return error_set(error, RESEAT_ERR_REFUSED, 0,
                     "record %lld says that the probe was out since the run: void %lld if it "
                     "never happened", (long long)seq, (long long)seq);
}

/* The seat that is meant by what was typed, where the policy's keys leave few. */
static reseat_status ask_keys(const reseat_state *s, const reseat_seat *typed,
                              reseat_state_question *asked, reseat_error *error)
{
    reseat_seat_source ignored;
    const reseat_seat fallback = fallback_seat(s, &ignored);
    asked->seat = *typed;
    if (fallback.kind != RESEAT_SEAT_KEYS ||
        reseat_record_is_null(s->run, RESEAT_FIELD_SEAT_DEG))
        return RESEAT_OK;
    const reseat_status status =
        seat_by_keys(typed, fallback.keys, reseat_record_number(s->run, RESEAT_FIELD_SEAT_DEG, 0),
                     &asked->seat, error);
    asked->snapped = status == RESEAT_OK && typed->kind == RESEAT_SEAT_ANGLE &&
                     (asked->seat.kind != typed->kind || typed->within_deg > 0 ||
                      fabs(asked->seat.seat_deg - plane_seat(typed->seat_deg)) > 1e-9);
    return status;
}

/* What is typed stands; where the log says otherwise, that is told. */
static reseat_status ask_typed_seat(const reseat_state *s, const reseat_seat *seat,
                                    const reseat_turns *logged, reseat_state_question *asked,
                                    reseat_error *error)
{
    reseat_turns *turns = &asked->question.turns;
    const bool was_out = s->last_reseat || s->evidence.seq >= 0;
    if (seat->kind == RESEAT_SEAT_SAME && seat != &state_same && was_out)
        return refuse_same(s, error);
    reseat_status status = ask_keys(s, seat, asked, error);
    if (status == RESEAT_OK)
        status = turns_of(s, &asked->seat, turns);
    if (status != RESEAT_OK)
        return status;
    asked->source = RESEAT_SOURCE_TYPED;
    asked->source_seq = -1;
    asked->contradicts = !meet(turns, logged);
    asked->question.estimate.out = turns->out;
    return RESEAT_OK;
}

static void name_check(const reseat_state *s, reseat_state_question *asked)
{
    asked->source = RESEAT_SOURCE_VERIFY;
    asked->source_seq = fact_of(s->check).seq;
}

/* What stands for a seat that nobody wrote down; what shows that it was out is kept as source. */
static void ask_unknown_seat(const reseat_state *s, reseat_state_question *asked)
{
    reseat_seat_source source;
    asked->seat = fallback_seat(s, &source);
    if (asked->source == RESEAT_SOURCE_EVIDENCE || asked->source == RESEAT_SOURCE_LATE)
        return;
    asked->source = source;
    asked->source_seq = source == RESEAT_SOURCE_POLICY
                            ? reseat_record_integer(s->policy, RESEAT_FIELD_SEQ, -1) : -1;
}

/* As the log says, or what is assumed where it does not. */
static void ask_logged_seat(const reseat_state *s, const reseat_turns *logged,
                            reseat_state_question *asked)
{
    const bool is_angle = asked->seat.kind == RESEAT_SEAT_ANGLE;
    asked->question.turns = *logged;
    if (s->check)
        name_check(s, asked);
    else if (asked->seat.kind == RESEAT_SEAT_UNKNOWN || (is_angle && !logged->run_known))
        ask_unknown_seat(s, asked);
    /* A tool changer takes the probe out at every change, and keeps its angle. */
    asked->question.estimate.out = logged->out ||
                                   record_says(s->policy, RESEAT_FIELD_RESEATS, "changer");
}

static reseat_status ask_seat(const reseat_state *s, const reseat_state_typed *typed,
                              reseat_turns *logged, reseat_state_question *asked,
                              reseat_error *error)
{
    asked->seat = widened(seat_on_record(s, &asked->source, &asked->source_seq));
    const reseat_status status = turns_of(s, &asked->seat, logged);
    if (impossible(status != RESEAT_OK)) /* the records were checked */
        return status;
    if (typed->seat)
        return ask_typed_seat(s, typed->seat, logged, asked, error);
    ask_logged_seat(s, logged, asked);
    return RESEAT_OK;
}

void policy_take_seat(const reseat_record *policy, reseat_terms *terms)
{
    if (reseat_record_has(policy, RESEAT_FIELD_U_SEAT_MM))
        terms_set_seat(terms, reseat_record_number(policy, RESEAT_FIELD_U_SEAT_MM, 0),
                       reseat_record_number(policy, RESEAT_FIELD_U_SEAT_DOF, (double)INFINITY));
}

/* No value on record is negative or not finite. */
static void ask_terms(const reseat_state *s, reseat_estimate *e)
{
    const struct {
        reseat_term term;
        const reseat_record *record;
        reseat_field field;
    } given[] = {
        {RESEAT_TERM_RUN, s->run, RESEAT_FIELD_OFFSET_U_MM},
        {RESEAT_TERM_TURN, s->policy, RESEAT_FIELD_U_TURN_DEG},
        {RESEAT_TERM_SPINDLE, s->policy, RESEAT_FIELD_U_SPINDLE_MM},
        {RESEAT_TERM_TOUCH, s->policy, RESEAT_FIELD_U_TOUCH_MM},
        {RESEAT_TERM_TOUCH, s->run, RESEAT_FIELD_REPEATABILITY_MM}, /* the run's own comes first */
        {RESEAT_TERM_AXIAL, s->policy, RESEAT_FIELD_U_AXIAL_MM},
        {RESEAT_TERM_LOBING, s->policy, RESEAT_FIELD_LOBING_MM},
    };
    e->terms = terms_assumed();
    for (size_t i = 0; i < sizeof given / sizeof given[0]; i++)
        if (reseat_record_has(given[i].record, given[i].field))
            (void)reseat_terms_set(&e->terms, given[i].term,
                                   reseat_record_number(given[i].record, given[i].field, 0));
    policy_take_seat(s->policy, &e->terms);
    if (reseat_record_has(s->policy, RESEAT_FIELD_SPINDLE_X_MM))
        (void)reseat_estimate_set_spindle(
            e, pair_of(s->policy, RESEAT_FIELD_SPINDLE_X_MM, RESEAT_FIELD_SPINDLE_Y_MM,
                       (reseat_xy){0, 0}));
}

static void ask_offsets(const reseat_state *s, const reseat_state_typed *typed,
                        reseat_estimate *e)
{
    const replay_fact run = fact_of(s->run);
    e->offset_mm = run.run.offset_mm;
    e->in_use_mm = typed->in_use_mm ? *typed->in_use_mm : run.in_use_mm;
    e->in_use_change_mm = xy_less(e->in_use_mm, run.in_use_mm);
}

static reseat_status ask_radius(const reseat_state *s, reseat_state_question *asked)
{
    reseat_estimate *e = &asked->question.estimate;
    size_t dirs = 0, radii = 0;
    const double *dirs_deg = reseat_record_numbers(s->run, RESEAT_FIELD_DIRS_DEG, &dirs);
    const double *radii_mm = reseat_record_numbers(s->run, RESEAT_FIELD_RADII_MM, &radii);
    assert(dirs == radii); /* a record has both, as many of each, or none */
    if (dirs == 0) {
        /* the size of the ball without its lobes still tells what it fits into */
        asked->curve.mean_mm = reseat_record_number(s->run, RESEAT_FIELD_RADIUS_MM, 0);
        e->curve = reseat_record_has(s->run, RESEAT_FIELD_RADIUS_MM) ? &asked->curve : NULL;
        return RESEAT_OK;
    }
    const reseat_status status = reseat_radius_fit(dirs_deg, radii_mm, dirs, &asked->curve);
    if (status == RESEAT_OK) {
        e->curve = &asked->curve;
        e->dirs_deg = dirs_deg;
        e->dirs = dirs;
    }
    return status;
}

/* How the offset wanders: from the latest runs of the baseline that the run in force is of. */
static reseat_status ask_drift(const reseat_state *s, reseat_state_question *asked)
{
    reseat_estimate *e = &asked->question.estimate;
    const reseat_drift_input input = {
        .runs = s->runs,
        .run_count = s->run_count,
        .events = s->baselines,
        .event_count = s->baseline_count,
        .spindle_mm = e->spindle_mm,
        .spindle_known = reseat_record_has(s->policy, RESEAT_FIELD_SPINDLE_X_MM),
        .limit_mm = asked->question.limit_mm,
    };
    const size_t size = drift_workspace(s->run_count, s->baseline_count);
    void *workspace = malloc(size);
    if (!workspace)
        return RESEAT_ERR_MEMORY;
    reseat_status status = drift_growth_find(&input, workspace, size, &asked->growth);
    asked->newest_known = status == RESEAT_OK && drift_newest_find(&input, workspace, size,
                                                                  &asked->newest) == RESEAT_OK;
    free(workspace);
    if (status != RESEAT_OK)
        return status;

    if (asked->growth.assumed)
        e->terms.assumed |= 1u << RESEAT_TERM_DRIFT;
    return reseat_drift_growth_u(&asked->growth, s->age_days, &e->terms.u_drift_mm);
}

static reseat_xy plus(reseat_xy a, reseat_xy b)
{
    return (reseat_xy){a.x + b.x, a.y + b.y};
}

/* What a gauge check says: how far the gauge moved, or the offset itself. */
typedef struct measured {
    bool anew;
    reseat_xy mm;
    double u_mm;
} measured;

static measured measured_by(const reseat_record *check)
{
    const replay_fact fact = fact_of(check);
    return (measured){fact.anew, fact.shift_mm, fact.shift_u_mm};
}

/* What the control added when the gauge was checked. */
static reseat_xy in_use_at(const reseat_state *s, const reseat_record *check)
{
    return pair_of(check, RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM,
                   in_use_on_record(s));
}

/*
 * What a gauge check says in place of the run: its shift, from a reading with the run's offset in
 * use to one with that of the check, and what the control adds now instead of either.
 */
static void take_check(const reseat_state *s, const reseat_drift_growth *growth,
                       reseat_estimate *e)
{
    const double days = ((double)s->as_of - (double)fact_of(s->check).at) / SECONDS_A_DAY;
    const measured check = measured_by(s->check);
    e->verified = true;
    e->shift_anew = check.anew;
    e->shift_mm = check.anew
                      ? xy_less(e->in_use_mm, check.mm)
                      : plus(check.mm, plus(xy_less(in_use_on_record(s), e->offset_mm),
                                            xy_less(e->in_use_mm, in_use_at(s, s->check))));
    e->shift_u_mm = check.u_mm;
    e->shift_reseated = record_says(s->policy, RESEAT_FIELD_RESEATS, "changer");
    /* no more than since the run, of which it is known to be finite */
    (void)reseat_drift_growth_u(growth, fmax(days, 0), &e->shift_drift_mm);
}

/* What a turn alone moves the reading of a gauge by. */
static reseat_xy moved_by(reseat_xy q, double turn_deg)
{
    return xy_less(q, plane_rotate(q, turn_deg));
}

/* How far a shift lies from what the nearest possible turn would do. */
static double distance_to_turns(const reseat_estimate *e, const reseat_turns *turns,
                                const reseat_found *found)
{
    const reseat_xy q = xy_less(e->offset_mm, e->spindle_mm), d = found->shift_mm;
    double least = DBL_MAX;
    for (size_t k = 0; k < found->count; k++)
        least = fmin(least, reseat_plane_length(
                                xy_less(moved_by(q, found->seats[k].turn_deg), d)));
    if (found->keyed)
        return least;
    for (int end = 0; end < 2; end++)
        least = fmin(least, reseat_plane_length(xy_less(
                                moved_by(q, turns->first_deg + end * turns->width_deg), d)));
    const double off_circle_mm =
        fabs(reseat_plane_length(xy_less(q, d)) - reseat_plane_length(q));
    return found->outside ? least : fmin(least, off_circle_mm);
}

/* Whether something is bent or loose: no possible turn comes near the shift of a check. */
static reseat_status ask_shift(const reseat_state *s, const reseat_record *check,
                               const reseat_turns *turns, reseat_state_question *asked)
{
    const double days = ((double)fact_of(check).at - (double)fact_of(s->run).at) / SECONDS_A_DAY;
    const measured said = measured_by(check);
    reseat_estimate run = asked->question.estimate;
    reseat_found found;
    run.verified = false;
    run.in_use_change_mm = xy_less(in_use_at(s, check), in_use_on_record(s));
    (void)reseat_drift_growth_u(&asked->growth, fmax(days, 0), &run.terms.u_drift_mm);
    const reseat_status status =
        (said.anew ? reseat_find_seat_by_offset : reseat_find_seat)(&run, turns, said.mm,
                                                                    said.u_mm, &found);
    if (status != RESEAT_OK)
        return status == RESEAT_ERR_RANGE ? RESEAT_OK : status; /* a shift without uncertainty */
    if (!found.explained &&
        distance_to_turns(&run, turns, &found) > asked->question.limit_mm / 4)
        asked->question.reasons |= 1u << RESEAT_REASON_UNEXPLAINED_SHIFT;
    return RESEAT_OK;
}

/*
 * The last gauge check, where the probe was not out since, against the seats of the log. To put the
 * probe back straightens no stylus: one made before is held against all seats that there are.
 */
static reseat_status ask_bent(const reseat_state *s, const reseat_turns *logged,
                              reseat_state_question *asked)
{
    static const reseat_seat unknown = {.kind = RESEAT_SEAT_UNKNOWN};
    reseat_turns turns;
    if (s->check && !asked->contradicts)
        return ask_shift(s, s->check, logged, asked);
    const reseat_status status = turns_of(s, &unknown, &turns);
    if (impossible(status != RESEAT_OK))
        return status;
    return ask_shift(s, s->check ? s->check : s->past_check, &turns, asked);
}

/*
 * A gauge check holds for the seats that it was made with. Where more are typed it is set aside,
 * unless it fails the probe as the log has it: to know less of the seat makes nothing better.
 */
static reseat_status ask_check(const reseat_state *s, const reseat_state_typed *typed,
                               const reseat_turns *logged, reseat_state_question *asked)
{
    reseat_question *question = &asked->question;
    const bool holds = !typed->seat || lies_within(&question->turns, logged);
    asked->check_set_aside = s->check && !holds;
    if ((s->check || s->past_check) && question->limit_mm > 0) {
        const reseat_status status = ask_bent(s, logged, asked);
        if (status != RESEAT_OK)
            return status;
    }
    if (s->check && holds)
        take_check(s, &asked->growth, &question->estimate);
    if (!asked->check_set_aside || asked->contradicts || typed->no_limit)
        return RESEAT_OK;
    reseat_question checked = *question;
    seat_search search;
    checked.turns = *logged;
    take_check(s, &asked->growth, &checked.estimate);
    const reseat_status status = worst_seat(&checked, &search);
    if (status == RESEAT_OK && (search.worst.chance_within < question->confidence ||
                                (question->reasons & 1u << RESEAT_REASON_UNEXPLAINED_SHIFT))) {
        *question = checked;
        name_check(s, asked);
        asked->check_set_aside = false;
    }
    return status;
}

/* What was typed comes first, then the policy's, then the last resort. */
static double typed_or_policy(double typed, const reseat_state *s, reseat_field field,
                              double otherwise)
{
    return typed > 0 ? typed : reseat_record_number(s->policy, field, otherwise);
}

static reseat_status check_typed(const reseat_state_typed *typed)
{
    const reseat_xy *in_use = typed->in_use_mm;
    if (!isfinite(typed->limit_mm) || !isfinite(typed->confidence) ||
        (in_use && (!isfinite(in_use->x) || !isfinite(in_use->y))))
        return RESEAT_ERR_NOT_FINITE;
    return typed->limit_mm >= 0 && typed->confidence >= 0 && typed->confidence < 1
               ? RESEAT_OK : RESEAT_ERR_RANGE;
}

/*
 * The run in force is most often a slip where it is unlike all before it and the one right before
 * it is no like one; a gauge check that stands has measured the probe since.
 */
static void ask_unlike(reseat_state_question *asked)
{
    const reseat_drift_newest *newest = &asked->newest;
    if (asked->newest_known && !asked->question.estimate.verified && newest->p < UNLIKE_P &&
        newest->away_mm > asked->question.limit_mm / 2 && newest->step_t2 > UNLIKE_T2)
        asked->question.reasons |= 1u << RESEAT_REASON_UNLIKE_BEFORE;
}

/* What is asked, once it is known to be in range. */
static reseat_status ask(const reseat_state *state, const reseat_state_typed *typed,
                         reseat_state_question *asked, reseat_error *error)
{
    reseat_turns logged;
    reseat_status status = ask_seat(state, typed, &logged, asked, error);
    if (status == RESEAT_ERR_REFUSED)
        return status;
    ask_terms(state, &asked->question.estimate);
    ask_offsets(state, typed, &asked->question.estimate);
    if (status == RESEAT_OK)
        status = ask_radius(state, asked);
    if (status == RESEAT_OK)
        status = ask_drift(state, asked);
    if (status == RESEAT_OK)
        status = ask_check(state, typed, &logged, asked);
    if (status == RESEAT_OK && asked->question.limit_mm > 0)
        ask_unlike(asked);
    return status == RESEAT_OK ? status : error_plain(error, status);
}

reseat_status reseat_state_shift(const reseat_state *state, const char *gauge_id,
                                 reseat_xy reading_mm, reseat_xy *shift_mm, reseat_error *error)
{
    if (!state || !state->run || !shift_mm)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const int64_t seq = fact_of(state->run).seq;
    if (!xy_is_finite(reading_mm))
        return error_plain(error, RESEAT_ERR_NOT_FINITE);
    if (!gauge_id)
        return error_set(error, RESEAT_ERR_REFUSED, 0,
                         "a reading needs --gauge-id, so that it is held against the same gauge");
    if (!reseat_record_has(state->run, RESEAT_FIELD_READING_X_MM) ||
        !record_says(state->run, RESEAT_FIELD_GAUGE_ID, gauge_id))
        return error_set(error, RESEAT_ERR_REFUSED, 0,
                         "run %lld has no reading of that gauge on record: type --shift, or read "
                         "any bore twice, --at-0 and --at-180", (long long)seq);
    *shift_mm = xy_less(reading_mm, pair_of(state->run, RESEAT_FIELD_READING_X_MM,
                                            RESEAT_FIELD_READING_Y_MM, none));
    return RESEAT_OK;
}

reseat_status reseat_state_ask(const reseat_state *state, const reseat_state_typed *typed,
                               reseat_state_question *asked, reseat_error *error)
{
    static const reseat_state_typed nothing = {.seat = NULL};
    if (!state || !state->run || !asked)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (!typed)
        typed = &nothing;
    const reseat_status status = check_typed(typed);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    memset(asked, 0, sizeof *asked);
    reseat_question *question = &asked->question;
    question->reasons = state->reasons;
    question->limit_mm = typed_or_policy(typed->limit_mm, state, RESEAT_FIELD_LIMIT_MM, 0);
    question->confidence = typed_or_policy(typed->confidence, state, RESEAT_FIELD_CONFIDENCE,
                                           RESEAT_CONFIDENCE);
    if (!(question->limit_mm > 0) && !typed->no_limit)
        return error_set(error, RESEAT_ERR_NOT_FOUND, 0,
                         "no limit: type --limit L or --tolerance T, or record a policy with "
                         "--limit");
    return ask(state, typed, asked, error);
}
