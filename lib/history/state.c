/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "history/state.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/time.h"
#include "history/drift.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/seat.h"
#include "model/verdict.h"
#include "reseat/history.h"

/* What is in force at a time, out of what reading the log has kept. */

static const struct {
    reseat_reason reason;
    const char *kind;
} event_reasons[] = {
    {RESEAT_REASON_COLLISION, "collision"},
    {RESEAT_REASON_STYLUS_CHANGE, "stylus-change"},
    {RESEAT_REASON_SERVICE, "service"},
};
#define EVENT_REASONS (sizeof event_reasons / sizeof event_reasons[0])

const char *reseat_seat_source_name(reseat_seat_source source)
{
    switch (source) {
    case RESEAT_SOURCE_RUN: return "run";
    case RESEAT_SOURCE_RESEAT: return "reseat";
    case RESEAT_SOURCE_VERIFY: return "verify";
    case RESEAT_SOURCE_POLICY: return "policy";
    case RESEAT_SOURCE_DEFAULT: return "default";
    case RESEAT_SOURCE_TYPED: return "typed";
    }
    return "";
}

void reseat_state_free(reseat_state *standing)
{
    if (!standing)
        return;
    reseat_record_free(standing->run);
    reseat_record_free(standing->outing);
    reseat_record_free(standing->check);
    reseat_record_free(standing->policy);
    free(standing->runs);
    free(standing->baselines);
    memset(standing, 0, sizeof *standing);
}

/* Takes a record out of where it was kept. */
static reseat_record *steal(reseat_record **place)
{
    reseat_record *record = *place;
    *place = NULL;
    return record;
}

/* Where the latest reseat of this probe stands, or verify of this tip; NULL if there is none. */
static reseat_record **find_latest(const gathering *g, const track *t, reseat_record_type type)
{
    for (size_t i = 0; i < g->latest.count; i++) {
        const reseat_record *record = g->latest.records[i];
        if (reseat_record_type_of(record) == type &&
            strcmp(reseat_record_text(record, RESEAT_FIELD_PROBE), t->probe) == 0 &&
            (type == RESEAT_RECORD_RESEAT || strcmp(standing_tip(record), t->tip) == 0))
            return &g->latest.records[i];
    }
    return NULL;
}

/* Which of the event reasons a record is for this probe; EVENT_REASONS for none. */
static size_t event_reason(const reseat_record *record, const track *t)
{
    size_t i = 0;
    const char *probe = reseat_record_text(record, RESEAT_FIELD_PROBE);
    const char *kind = reseat_record_text(record, RESEAT_FIELD_KIND);
    if (probe && strcmp(probe, t->probe) != 0)
        return EVENT_REASONS;
    while (i < EVENT_REASONS && strcmp(kind, event_reasons[i].kind) != 0)
        i++;
    return i;
}

/* Events: those since the run are reasons, and all part the runs into baselines. */
static reseat_status take_events(const gathering *g, const track *t, reseat_state *s)
{
    const fact run = fact_of(s->run);
    s->baselines = calloc(g->events.count + 1, sizeof *s->baselines);
    if (!s->baselines)
        return RESEAT_ERR_MEMORY;
    for (size_t i = 0; i < g->events.count; i++) {
        const size_t which = event_reason(g->events.records[i], t);
        if (which == EVENT_REASONS)
            continue;
        const fact f = fact_of(g->events.records[i]);
        reseat_state_event *event = &s->events[event_reasons[which].reason];
        s->baselines[s->baseline_count++] =
            (reseat_drift_event){.seq = (uint64_t)f.seq, .at = f.at};
        if (!fact_is_later(f, run))
            continue;
        s->reasons |= 1u << event_reasons[which].reason;
        if (event->seq < 0 || fact_is_later((fact){event->at, event->seq}, f))
            *event = (reseat_state_event){.seq = f.seq, .at = f.at};
    }
    return drift_sort_events(s->baselines, s->baseline_count);
}

/* The last reseat since the run, and a gauge check since both. */
static void take_seat(const gathering *g, const track *t, reseat_state *s)
{
    reseat_record **outing = find_latest(g, t, RESEAT_RECORD_RESEAT);
    reseat_record **check = find_latest(g, t, RESEAT_RECORD_VERIFY);
    if (outing && fact_is_later(fact_of(*outing), fact_of(s->run)))
        s->outing = steal(outing);
    const fact since = fact_of(s->outing ? s->outing : s->run);
    if (check && fact_is_later(fact_of(*check), since))
        s->check = steal(check);
}

static reseat_status take_runs(const track *t, reseat_state *s)
{
    s->runs = calloc(t->run_count, sizeof *s->runs);
    if (!s->runs)
        return RESEAT_ERR_MEMORY;
    memcpy(s->runs, t->runs, t->run_count * sizeof *s->runs);
    s->run_count = t->run_count;
    return RESEAT_OK;
}

double standing_max_age_days(const reseat_state *s)
{
    return reseat_record_number(s->policy, RESEAT_FIELD_MAX_AGE_DAYS, RESEAT_MAX_AGE_DAYS);
}

static void take_age(const gathering *g, reseat_state *s)
{
    const fact run = fact_of(s->run);
    const double seconds = (double)s->as_of - (double)run.at;
    s->age_days = seconds > 0 ? seconds / SECONDS_A_DAY : 0; /* the clocks may differ a little */
    if (s->age_days > standing_max_age_days(s))
        s->reasons |= 1u << RESEAT_REASON_TOO_OLD;
    for (size_t i = 0; i < g->unknown.count; i++)
        s->unknown_types += g->unknown.seqs[i] > run.seq;
}

static reseat_status take_elsewhere(const reseat_state_request *query, reseat_state *s,
                                    reseat_error *error)
{
    reseat_state_event *event = &s->events[RESEAT_REASON_ELSEWHERE];
    if (query->alone)
        return RESEAT_OK;
    const reseat_status status =
        standing_elsewhere(query, s->probe, fact_of(s->run), event, &s->bad_lines, error);
    if (status == RESEAT_OK && event->seq >= 0)
        s->reasons |= 1u << RESEAT_REASON_ELSEWHERE;
    return status;
}

static reseat_status assemble(gathering *g, track *t, reseat_state *s, reseat_error *error)
{
    memcpy(s->probe, t->probe, sizeof s->probe);
    memcpy(s->tip, t->tip, sizeof s->tip);
    memcpy(s->spindle, g->query->spindle, strlen(g->query->spindle) + 1);
    s->as_of = g->query->as_of;
    s->bad_lines = g->bad_lines;
    s->run = steal(&t->run);
    s->policy = steal(&g->policy);
    for (size_t i = 0; i < RESEAT_REASON_COUNT; i++)
        s->events[i].seq = -1;
    take_seat(g, t, s);
    take_age(g, s);
    reseat_status status = take_events(g, t, s);
    if (status == RESEAT_OK)
        status = take_runs(t, s);
    if (status != RESEAT_OK)
        return error_plain(error, status);
    status = take_elsewhere(g->query, s, error);
    if (s->bad_lines > 0)
        s->reasons |= 1u << RESEAT_REASON_DAMAGE_IGNORED;
    return status;
}

reseat_status reseat_state_read(const reseat_state_request *query, reseat_state *standing,
                                reseat_error *error)
{
    if (!query || !query->dir || !query->spindle || !standing)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    gathering g = {.query = query};
    reseat_state result;
    memset(&result, 0, sizeof result);
    reseat_status status = gathering_read(&g, error);
    track *chosen = status == RESEAT_OK ? gathering_choose(&g, &status, error) : NULL;
    if (chosen)
        status = assemble(&g, chosen, &result, error);
    if (status == RESEAT_OK)
        *standing = result;
    else
        reseat_state_free(&result);
    gathering_free(&g);
    return status;
}

/* From how things stand to the question for the verdict (handbook sections 3, 6 and 10). */

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
    const reseat_record *said = s->outing ? s->outing : s->run;
    *source = s->outing ? RESEAT_SOURCE_RESEAT : RESEAT_SOURCE_RUN;
    *seq = reseat_record_integer(said, RESEAT_FIELD_SEQ, -1);
    if (!s->outing)
        return (reseat_seat){.kind = RESEAT_SEAT_SAME};
    if (reseat_record_is_null(s->outing, RESEAT_FIELD_SEAT_DEG))
        return (reseat_seat){.kind = RESEAT_SEAT_UNKNOWN};
    return (reseat_seat){
        .kind = RESEAT_SEAT_ANGLE,
        .seat_deg = plane_seat(reseat_record_number(s->outing, RESEAT_FIELD_SEAT_DEG, 0)),
        .within_deg = reseat_record_number(s->outing, RESEAT_FIELD_WITHIN_DEG, 0)};
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
    return reseat_seat_turns(seat, reseat_record_number(s->run, RESEAT_FIELD_SEAT_DEG, 0),
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
    asked->contradicts = !meet(turns, logged) || (s->outing && seat->kind == RESEAT_SEAT_SAME);
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
                                   standing_says(s->policy, RESEAT_FIELD_RESEATS, "changer");
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
    const size_t size = reseat_drift_workspace(s->run_count, s->baseline_count);
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

reseat_status reseat_state_ask(const reseat_state *standing,
                               const reseat_state_typed *typed,
                               reseat_state_question *asked)
{
    static const reseat_state_typed nothing = {.seat = NULL};
    if (!standing || !standing->run || !asked)
        return RESEAT_ERR_ARGUMENT;
    if (!typed)
        typed = &nothing;
    reseat_status status = check_typed(typed);
    if (status != RESEAT_OK)
        return status;
    memset(asked, 0, sizeof *asked);
    reseat_question *question = &asked->question;
    question->reasons = standing->reasons;
    question->limit_mm = typed_or_policy(typed->limit_mm, standing, RESEAT_FIELD_LIMIT_MM, 0);
    question->confidence = typed_or_policy(typed->confidence, standing, RESEAT_FIELD_CONFIDENCE,
                                           RESEAT_CONFIDENCE);
    if (!(question->limit_mm > 0) && !typed->no_limit)
        return RESEAT_ERR_NOT_FOUND;

    reseat_turns logged;
    status = ask_seat(standing, typed, &logged, asked);
    if (status != RESEAT_OK)
        return status;
    ask_terms(standing, &question->estimate);
    ask_offsets(standing, typed, &question->estimate);
    status = ask_radius(standing, asked);
    if (status == RESEAT_OK)
        status = ask_drift(standing, asked);
    if (status == RESEAT_OK)
        status = ask_check(standing, typed, &logged, asked);
    return status;
}
