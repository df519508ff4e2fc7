/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat find-seat: how the probe is turned, from one check at the machine. */

#include "commands.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include "log_target.h"
#include "recording.h"
#include "reduction.h"
#include "request.h"
#include "show/record_summary.h"
#include "show/sentences.h"

typedef struct search {
    arguments *args;
    const request *asked;
    reseat_found found;
    size_t count; /* records that came of it: the reseat, if a seat was found, and the check */
    reseat_appended done[2];
} search;

#define SEATS_SHOWN 6 /* of more the likeliest two are named */

static void put_seats(json *j, const reseat_found *found)
{
    json_print(j, "seats:[");
    for (size_t i = 0; i < found->count; i++)
        json_print(j, "{ seat_deg:n turn_deg:n probability:n }",
                   json_if(found->seats_named, found->seats[i].seat_deg),
                   found->seats[i].turn_deg, found->seats[i].probability);
    json_print(j, "]");
}

static void put_record(json *j, const void *list, size_t i)
{
    recorded_json(j, (const reseat_appended *)list + i);
}

static void print_json(const search *s)
{
    const reseat_found *found = &s->found;
    json j = json_begin(stdout);
    json_print(&j, "turn_deg:n turn_u_deg:n misfit:n p:n explained:b",
               json_if(found->resolvable, found->turn_deg),
               json_if(found->resolvable && !found->keyed, found->turn_u_deg), found->misfit,
               found->p, found->explained);
    if (found->keyed)
        put_seats(&j, found);
    json_print(&j, "offset_now_mm:p", found->offset_now_mm);
    if (s->count > 0)
        json_objects(&j, "records", s->count, put_record, s->done);
    json_end(&j);
    answer_remarks(stderr, s->asked);
    answer_reasons(stderr, "", s->asked, s->args->unit);
}

static void print_seats(const reseat_found *found)
{
    if (!found->keyed || found->count > SEATS_SHOWN)
        return;
    printf("  %7s   off by%s\n", found->seats_named ? "seat" : "turn",
           found->explained ? "   probability" : "");
    for (size_t k = 0; k < found->count; k++) {
        const reseat_found_seat *seat = &found->seats[k];
        printf("  %8s %6s u%s%s\n",
               words_degrees(found->seats_named ? seat->seat_deg : seat->turn_deg).text,
               words_decimal(seat->misfit, 1).text, found->explained ? "   " : "",
               found->explained ? words_chance(seat->probability).text : "");
    }
}

static void print_measured(const arguments *args, const reseat_found *found)
{
    const reseat_unit unit = args->unit;
    if (!found->anew)
        printf("shift %s, ± %s (standard, per axis)\n", words_pair_in(found->read_mm, unit).text,
               words_length(found->shift_u_mm, unit, 1).text);
    printf("offset now %s", words_pair_in(found->offset_now_mm, unit).text);
    if (found->anew)
        printf(", ± %s (standard, per axis)\npositions are off by %s",
               words_length(found->shift_u_mm, unit, 1).text,
               words_pair_in(found->error_mm, unit).text);
    printf("\n");
    if (!found->keyed)
        printf("the ball is off its circle by %s times what scatters (%s)\n",
               words_decimal(fabs(found->misfit), 1).text, words_p(found->p).text);
}

/* Degrees as they can be typed, with no more digits than a person reads. */
static void print_typed(double deg)
{
    const words shown = words_degrees(deg);
    printf("%.*s", (int)(strlen(shown.text) - strlen("°")), shown.text);
}

static void print_next(const search *s)
{
    const reseat_found *found = &s->found;
    if (found->unturned)
        return;
    if (found->anew && s->asked->from_log) { /* the error is known, whatever the seat */
        if (s->count == 0)
            printf("next: the same with --record, then reseat check %s\n",
                   s->asked->state.spindle);
    } else if (found->explained && !found->settled && !found->anew) {
        printf("next: what check says of all possible seats stands\n");
    } else if (!found->settled && (found->keyed || found->outside) && s->count == 0) {
        printf("next: --seat any, if it may have gone in otherwise\n");
    } else if (found->settled && s->asked->from_log && s->count == 0) {
        printf("next: the same with --record, then reseat check %s\n", s->asked->state.spindle);
    } else if (found->settled && !s->asked->from_log) {
        printf("next: reseat check with --seat ");
        print_typed(found->seat_deg);
        if (found->within_deg > 0) {
            printf("+-");
            print_typed(found->within_deg);
        }
        printf("\n");
    }
}

static void print_screen(const search *s)
{
    const request *asked = s->asked;
    answer_source(s->args, asked);
    print_measured(s->args, &s->found);
    print_seats(&s->found);
    answer_remarks(stdout, asked);
    answer_reasons(stdout, "", asked, s->args->unit);
    print_next(s);
    answer_found(stdout, asked, &s->found, s->args->unit);
    for (size_t i = 0; i < s->count; i++)
        recorded_print(asked->state.spindle,
                       i + 1 < s->count ? RESEAT_RECORD_RESEAT : RESEAT_RECORD_VERIFY, &s->done[i]);
}

/* How a check may be typed: each with an option that nothing else has. */
static const option_id ways[] = {OPT_SHIFT, OPT_READING, OPT_AT_0, OPT_NOW};

/* One way, and what goes with it. */
static bool check_way(arguments *args)
{
    const option_value *options = args->options;
    const option_id *way = NULL;
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        if (!options[ways[i]].given)
            continue;
        if (way) {
            char text[128];
            snprintf(text, sizeof text, "does not go together with %s",
                     option_key(option_table()[*way].name).text);
            return refuse(args, option_key(option_table()[ways[i]].name).text, text);
        }
        way = &ways[i];
    }
    if (options[OPT_AT_180].given && !options[OPT_AT_0].given)
        return refuse(args, "--at-0", "expected the centre as read there: --at-0 and --at-180 go "
                      "together");
    if (options[OPT_THEN].given && !options[OPT_NOW].given)
        return refuse(args, "--then", "goes with --now only");
    if (options[OPT_READING_U].given && !options[OPT_AT_0].given)
        return refuse(args, "--reading-u", "goes with --at-0 and --at-180 only");
    if (!way)
        return refuse(args, "", "expected a check: --at-0 X,Y --at-180 X,Y, the centre of any bore "
                      "read twice, or --shift DX,DY --shift-u U");
    if (*way == OPT_AT_0 && options[OPT_SHIFT_U].given)
        return refuse(args, "--shift-u", "does not go together with --at-0; type --reading-u");
    return *way == OPT_NOW || *way == OPT_AT_0 || options[OPT_SHIFT_U].given ||
           refuse(args, "--shift-u", "expected the standard uncertainty of the shift");
}

/* Options that say nothing without others. */
static bool check_rest(arguments *args)
{
    static const option_id gauge[] = {OPT_GAUGE,         OPT_DIAMETER,  OPT_DIAMETER_U,
                                      OPT_TEMPERATURE,   OPT_TEMPERATURE_U,
                                      OPT_EXPANSION,     OPT_EXPANSION_U};
    const option_value *options = args->options;
    if (!options[OPT_NOW].given && !request_without(args, gauge, sizeof gauge / sizeof gauge[0],
                                                    "goes with --now only"))
        return false;
    if (options[OPT_READING].given && options[OPT_OFFSET].given)
        return refuse(args, "--reading", "goes with a SPINDLE: its run has the reading then");
    static const option_id past[] = {OPT_AS_OF, OPT_AS_KNOWN};
    if (options[OPT_RECORD_FOUND].given)
        return request_without(args, past, 2, "does not go together with --record: a check is "
                               "recorded when it is made");
    option_value *gauge_id = &args->fields[RESEAT_FIELD_GAUGE_ID];
    const option_value typed = *gauge_id;
    gauge_id->given = typed.given && !options[OPT_READING].given && !options[OPT_NOW].given;
    const bool without = recording_without_fields(args, "goes with --record only");
    *gauge_id = typed;
    return without;
}

/* The reading is a shift from that of the run. */
static bool find_by_reading(search *s)
{
    arguments *args = s->args;
    option_value *shift = &args->options[OPT_SHIFT];
    const reseat_status status =
        reseat_state_shift(&s->asked->state, args->fields[RESEAT_FIELD_GAUGE_ID].text,
                           args->options[OPT_READING].pair, &shift->pair, &args->error);
    return succeeded(args, status, NULL) && request_find_seat(args, s->asked, &s->found);
}

/* `then` is NULL where it was not named. */
static bool find_by_touches(search *s, const reseat_reduction *then, const reseat_reduction *now)
{
    arguments *args = s->args;
    const reseat_question *question = s->asked->question;
    const bool anew = now->has_offset;
    const option_value *u = &args->options[OPT_SHIFT_U];
    if (anew && u->given)
        return refuse(args, "--shift-u",
                      "the spindle was turned: the touches bring their own uncertainty");
    if (!anew && !then)
        return refuse(args, "--now", "expected touches with the spindle turned as well, at 0, 180 "
                      "and 0 again, or --then beside it");
    if (!anew && !u->given)
        return refuse(args, "--shift-u", "expected the standard uncertainty of the gauge's "
                      "centre, both times together");
    const reseat_status status =
        reseat_find_seat_by_touches(&question->estimate, &question->turns, then, now, u->number,
                                    &s->found);
    if (status == RESEAT_ERR_SINGULAR)
        return refuse(args, "--now",
                      "expected the spindle turned now, or at its stop both times");
    return succeeded(args, status, "--now");
}

/* A check has no room for doubts: it is recorded without them, or not at all. */
static bool allow_doubts(arguments *args, option_id file, const reduced *found)
{
    if (args->options[OPT_RECORD_FOUND].given && found->reduction.doubts > 0)
        return reduction_refuse_doubts(args, option_key(option_table()[file].name).text, found,
                                       "");
    reduction_print_doubts(stderr, found, args->unit);
    return true;
}

static bool find_from_files(search *s)
{
    reduced then = {.count = 0}, now = {.count = 0};
    const char *first = s->args->options[OPT_THEN].text;
    const reseat_record *policy = s->asked->state.policy; /* NULL where the offset is typed */
    return (!first || reduction_read(s->args, first, policy, &then)) &&
           reduction_read(s->args, s->args->options[OPT_NOW].text, policy, &now) &&
           allow_doubts(s->args, OPT_THEN, &then) && allow_doubts(s->args, OPT_NOW, &now) &&
           find_by_touches(s, first ? &then.reduction : NULL, &now.reduction);
}

static bool find_any(search *s)
{
    const option_value *options = s->args->options;
    if (!recording_gauge(s->args)) /* which asks for a gauge of the register, however it is used */
        return false;
    if (options[OPT_NOW].given)
        return find_from_files(s);
    return options[OPT_READING].given ? find_by_reading(s)
                                      : request_find_seat(s->args, s->asked, &s->found);
}

static void fill(const search *s, reseat_record_type type, draft *d)
{
    const reseat_found *found = &s->found;
    const reseat_seat seat = {.kind = RESEAT_SEAT_ANGLE, .seat_deg = found->seat_deg,
                              .within_deg = found->within_deg};
    const option_value *fields = d->args->fields;
    draft_text(d, RESEAT_FIELD_PROBE, s->asked->state.probe);
    draft_typed(d, RESEAT_FIELD_BY,
                fields[RESEAT_FIELD_BY].given ? fields[RESEAT_FIELD_BY].text : log_target_person());
    draft_typed(d, RESEAT_FIELD_NOTE, fields[RESEAT_FIELD_NOTE].text);
    if (type == RESEAT_RECORD_RESEAT) {
        if (d->status == RESEAT_OK)
            d->status = reseat_record_set_seat(d->record, &seat, &d->args->error);
        draft_text(d, RESEAT_FIELD_WHY, "found by a gauge check");
        return;
    }
    const option_value *options = d->args->options;
    if (found->anew) {
        draft_number(d, RESEAT_FIELD_NOW_X_MM, found->offset_now_mm.x);
        draft_number(d, RESEAT_FIELD_NOW_Y_MM, found->offset_now_mm.y);
        draft_number(d, RESEAT_FIELD_NOW_U_MM, found->shift_u_mm);
    } else {
        draft_pair(d, OPT_SHIFT, found->read_mm);
        draft_number(d, RESEAT_FIELD_SHIFT_U_MM, found->shift_u_mm);
    }
    if (options[OPT_READING].given)
        draft_pair(d, OPT_READING, options[OPT_READING].pair);
    if (options[OPT_IN_USE].given)
        draft_pair(d, OPT_IN_USE, options[OPT_IN_USE].pair);
    draft_text(d, RESEAT_FIELD_TIP, s->asked->state.tip);
    draft_typed(d, RESEAT_FIELD_GAUGE_ID, fields[RESEAT_FIELD_GAUGE_ID].text);
}

static bool append(search *s, reseat_record_type type)
{
    draft d = draft_begin(s->args, type);
    fill(s, type, &d);
    const bool appended = draft_append(&d, &s->done[s->count]);
    s->count += appended;
    draft_end(&d);
    return appended;
}

/* The check must stand after the reseat, which would else make it out of date. */
static bool write_down(search *s)
{
    const reseat_found *found = &s->found;
    if (found->unturned)
        return refuse(s->args, s->args->options[OPT_AT_0].given ? "--at-180" : "--now",
                      "the readings agree, as if the spindle had not been turned: nothing was "
                      "recorded; read again, or record a run");
    const bool seat = found->explained && found->settled && found->seats_named;
    if ((!seat || append(s, RESEAT_RECORD_RESEAT)) && append(s, RESEAT_RECORD_VERIFY))
        return true;
    if (s->count > 0)
        fprintf(stderr, "reseat: the reseat was recorded as %" PRId64 ", the check was not\n",
                s->done[0].seq);
    return false;
}

static bool find(arguments *args, const request *asked)
{
    search s = {.args = args, .asked = asked};
    if (!find_any(&s) || (args->options[OPT_RECORD_FOUND].given && !write_down(&s)))
        return false;
    if (args->json)
        print_json(&s);
    else
        print_screen(&s);
    for (size_t i = 0; i < s.count; i++)
        recorded_check_output(&s.done[i]);
    args->exit = s.found.explained ? EXIT_DONE : EXIT_RECALIBRATE;
    return true;
}

void run_find_seat(arguments *args)
{
    if (check_way(args) && check_rest(args))
        request_answer(args, find);
}
