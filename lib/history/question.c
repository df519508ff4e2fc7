/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From the state of a probe to the question for the verdict. */

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/time.h"
#include "history/drift.h"
#include "history/replay.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/seat.h"
#include "model/verdict.h"

static const reseat_xy none = {0, 0};

static bool has(const reseat_record *record, reseat_field field)
{
    return record && reseat_record_has(record, field);
}

/* What the policy says of a seat that nobody wrote down; `any` where it says nothing. */
static reseat_seat fallback_seat(const reseat_state *s, reseat_seat_source *source)
{
    reseat_seat seat = {.kind = RESEAT_SEAT_ANY};
    const char *text = s->policy ? reseat_record_text(s->policy, RESEAT_FIELD_SEATS) : NULL;
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

/* What is typed stands; where the log says otherwise, that is told. */
static reseat_status ask_typed_seat(const reseat_state *s, const reseat_seat *seat,
                                    const reseat_turns *logged, reseat_state_question *asked)
{
    reseat_turns *turns = &asked->question.turns;
    const reseat_status status = turns_of(s, seat, turns);
    if (status != RESEAT_OK)
        return status;
    asked->seat = *seat;
    asked->source = RESEAT_SOURCE_TYPED;
    asked->source_seq = -1;
    asked->contradicts = !meet(turns, logged) || (s->last_reseat && seat->kind == RESEAT_SEAT_SAME);
    asked->question.estimate.out = turns->out;
    return RESEAT_OK;
}

static void name_check(const reseat_state *s, reseat_state_question *asked)
{
    asked->source = RESEAT_SOURCE_VERIFY;
    asked->source_seq = reseat_record_integer(s->check, RESEAT_FIELD_SEQ, -1);
}

/* As the log says, or what stands for what it does not say. */
static void ask_logged_seat(const reseat_state *s, const reseat_turns *logged,
                            reseat_state_question *asked)
{
    const bool is_angle = asked->seat.kind == RESEAT_SEAT_ANGLE;
    asked->question.turns = *logged;
    if (s->check) {
        name_check(s, asked);
    } else if (asked->seat.kind == RESEAT_SEAT_UNKNOWN || (is_angle && !logged->run_known)) {
        asked->seat = fallback_seat(s, &asked->source);
        asked->source_seq = asked->source == RESEAT_SOURCE_POLICY
                                ? reseat_record_integer(s->policy, RESEAT_FIELD_SEQ, -1) : -1;
    }
    /* A tool changer takes the probe out at every change, and keeps its angle. */
    asked->question.estimate.out = logged->out ||
                                   record_says(s->policy, RESEAT_FIELD_RESEATS, "changer");
}

static reseat_status ask_seat(const reseat_state *s, const reseat_state_typed *typed,
                              reseat_turns *logged, reseat_state_question *asked)
{
    asked->seat = widened(seat_on_record(s, &asked->source, &asked->source_seq));
    const reseat_status status = turns_of(s, &asked->seat, logged);
    if (impossible(status != RESEAT_OK)) /* the records were checked */
        return status;
    if (typed->seat)
        return ask_typed_seat(s, typed->seat, logged, asked);
    ask_logged_seat(s, logged, asked);
    return RESEAT_OK;
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
        {RESEAT_TERM_SEAT, s->policy, RESEAT_FIELD_U_SEAT_MM},
        {RESEAT_TERM_TURN, s->policy, RESEAT_FIELD_U_TURN_DEG},
        {RESEAT_TERM_SPINDLE, s->policy, RESEAT_FIELD_U_SPINDLE_MM},
        {RESEAT_TERM_TOUCH, s->policy, RESEAT_FIELD_U_TOUCH_MM},
        {RESEAT_TERM_TOUCH, s->run, RESEAT_FIELD_REPEATABILITY_MM}, /* the run's own comes first */
        {RESEAT_TERM_AXIAL, s->policy, RESEAT_FIELD_U_AXIAL_MM},
        {RESEAT_TERM_LOBING, s->policy, RESEAT_FIELD_LOBING_MM},
    };
    e->terms = terms_assumed();
    for (size_t i = 0; i < sizeof given / sizeof given[0]; i++)
        if (has(given[i].record, given[i].field))
            (void)reseat_terms_set(&e->terms, given[i].term,
                                   reseat_record_number(given[i].record, given[i].field, 0));
    if (has(s->policy, RESEAT_FIELD_SPINDLE_X_MM))
        (void)reseat_estimate_set_spindle(
            e, pair_of(s->policy, RESEAT_FIELD_SPINDLE_X_MM, RESEAT_FIELD_SPINDLE_Y_MM, none));
}

static void ask_offsets(const reseat_state *s, const reseat_state_typed *typed,
                        reseat_estimate *e)
{
    e->offset_mm = pair_of(s->run, RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM, none);
    e->in_use_mm = typed->in_use_mm ? *typed->in_use_mm : in_use_on_record(s);
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
        e->curve = has(s->run, RESEAT_FIELD_RADIUS_MM) ? &asked->curve : NULL;
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
        .spindle_known = has(s->policy, RESEAT_FIELD_SPINDLE_X_MM),
        .limit_mm = asked->question.limit_mm,
    };
    const size_t size = drift_workspace(s->run_count, s->baseline_count);
    void *workspace = malloc(size);
    if (!workspace)
        return RESEAT_ERR_MEMORY;
    reseat_status status = drift_growth_find(&input, workspace, size, &asked->growth);
    free(workspace);
    if (status != RESEAT_OK)
        return status;

    if (asked->growth.assumed)
        e->terms.assumed |= 1u << RESEAT_TERM_DRIFT;
    return reseat_drift_growth_u(&asked->growth, s->age_days, &e->terms.u_drift_mm);
}

/* What the gauge check says in place of the run; another offset in use adds its difference. */
static void take_check(const reseat_state *s, const reseat_drift_growth *growth,
                       reseat_estimate *e)
{
    const double days = ((double)s->as_of - (double)fact_of(s->check).at) / SECONDS_A_DAY;
    const reseat_xy shift_mm =
        pair_of(s->check, RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM, none);
    const reseat_xy other_mm = xy_less(e->in_use_mm, in_use_on_record(s));
    e->verified = true;
    e->shift_mm = (reseat_xy){shift_mm.x + other_mm.x, shift_mm.y + other_mm.y};
    e->shift_u_mm = reseat_record_number(s->check, RESEAT_FIELD_SHIFT_U_MM, 0);
    /* no more than since the run, of which it is known to be finite */
    (void)reseat_drift_growth_u(growth, fmax(days, 0), &e->terms.u_drift_mm);
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
    if (s->check && holds)
        take_check(s, &asked->growth, &question->estimate);
    if (!asked->check_set_aside || asked->contradicts || typed->no_limit)
        return RESEAT_OK;
    reseat_question checked = *question;
    seat_search search;
    checked.turns = *logged;
    take_check(s, &asked->growth, &checked.estimate);
    const reseat_status status = worst_seat(&checked, &search);
    if (status == RESEAT_OK && search.worst.chance_within < question->confidence) {
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
    if (typed > 0)
        return typed;
    return s->policy ? reseat_record_number(s->policy, field, otherwise) : otherwise;
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

reseat_status reseat_state_ask(const reseat_state *state,
                               const reseat_state_typed *typed,
                               reseat_state_question *asked)
{
    static const reseat_state_typed nothing = {.seat = NULL};
    if (!state || !state->run || !asked)
        return RESEAT_ERR_ARGUMENT;
    if (!typed)
        typed = &nothing;
    reseat_status status = check_typed(typed);
    if (status != RESEAT_OK)
        return status;
    memset(asked, 0, sizeof *asked);
    reseat_question *question = &asked->question;
    question->reasons = state->reasons;
    question->limit_mm = typed_or_policy(typed->limit_mm, state, RESEAT_FIELD_LIMIT_MM, 0);
    question->confidence = typed_or_policy(typed->confidence, state, RESEAT_FIELD_CONFIDENCE,
                                           RESEAT_CONFIDENCE);
    if (!(question->limit_mm > 0) && !typed->no_limit)
        return RESEAT_ERR_NOT_FOUND;

    reseat_turns logged;
    status = ask_seat(state, typed, &logged, asked);
    if (status != RESEAT_OK)
        return status;
    ask_terms(state, &question->estimate);
    ask_offsets(state, typed, &question->estimate);
    status = ask_radius(state, asked);
    if (status == RESEAT_OK)
        status = ask_drift(state, asked);
    if (status == RESEAT_OK)
        status = ask_check(state, typed, &logged, asked);
    return status;
}
