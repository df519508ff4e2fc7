/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What find-seat found: written down, and shown. */

#include "found.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define SEATS_SHOWN 6 /* of more the likeliest two are named */

/* Records that came of it: the reseat, if a seat was found, and the gauge check after it. */
typedef struct written {
    size_t count;
    reseat_record_type types[2];
    reseat_appended done[2];
} written;

static reseat_status fill_common(const arguments *args, const asking *asked,
                                 reseat_record *record, reseat_error *error)
{
    static const reseat_field typed[] = {RESEAT_FIELD_BY, RESEAT_FIELD_NOTE};
    reseat_status status =
        reseat_record_set_text(record, RESEAT_FIELD_PROBE, asked->standing.probe, error);
    for (size_t i = 0; status == RESEAT_OK && i < 2; i++)
        if (args->fields[typed[i]])
            status = reseat_record_set_typed(record, typed[i], args->fields[typed[i]],
                                             args->unit, error);
    const char *person = where_person();
    if (status == RESEAT_OK && person && !args->fields[RESEAT_FIELD_BY])
        status = reseat_record_set_typed(record, RESEAT_FIELD_BY, person, args->unit, error);
    return status;
}

static reseat_status fill_reseat(const reseat_found *found, reseat_record *record,
                                 reseat_error *error)
{
    const reseat_seat seat = {.kind = RESEAT_SEAT_ANGLE, .seat_deg = found->seat_deg,
                              .within_deg = found->within_deg};
    const reseat_status status = reseat_record_set_seat(record, &seat, error);
    if (status != RESEAT_OK)
        return status;
    return reseat_record_set_text(record, RESEAT_FIELD_WHY, "found by a gauge check", error);
}

static reseat_status fill_verify(const arguments *args, const asking *asked,
                                 const reseat_found *found, reseat_record *record,
                                 reseat_error *error)
{
    const char *gauge = args->fields[RESEAT_FIELD_GAUGE_ID];
    reseat_status status = reseat_record_set_number(record, RESEAT_FIELD_SHIFT_X_MM,
                                                    found->error_mm.x, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_SHIFT_Y_MM, found->error_mm.y,
                                          error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_SHIFT_U_MM, found->shift_u_mm,
                                          error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_TIP, asked->standing.tip, error);
    if (status == RESEAT_OK && gauge)
        status = reseat_record_set_typed(record, RESEAT_FIELD_GAUGE_ID, gauge, args->unit, error);
    return status;
}

static int append(const arguments *args, const asking *asked, const reseat_found *found,
                  reseat_record_type type, written *all)
{
    reseat_error error = {0};
    reseat_record *record = NULL;
    int exit = EXIT_DONE;
    reseat_status status = reseat_record_new(type, &record);
    if (status == RESEAT_OK)
        status = fill_common(args, asked, record, &error);
    if (status == RESEAT_OK)
        status = type == RESEAT_RECORD_RESEAT ? fill_reseat(found, record, &error)
                                              : fill_verify(args, asked, found, record, &error);
    if (status != RESEAT_OK) {
        record_name_option(&error);
        exit = text_fault(args, status, &error);
    }
    if (exit == EXIT_DONE)
        exit = record_append(args, asked->dir, asked->standing.spindle, record,
                             &all->done[all->count]);
    if (exit == EXIT_DONE)
        all->types[all->count++] = type;
    reseat_record_free(record);
    return exit;
}

/* The check must stand after the reseat, which would else make it out of date. */
static int write_down(const arguments *args, const asking *asked, const reseat_found *found,
                      written *all)
{
    int exit = EXIT_DONE;
    if (!args->options[OPT_RECORD_FOUND].given)
        return exit;
    if (found->explained && found->settled && found->seats_named)
        exit = append(args, asked, found, RESEAT_RECORD_RESEAT, all);
    if (exit == EXIT_DONE)
        exit = append(args, asked, found, RESEAT_RECORD_VERIFY, all);
    if (exit != EXIT_DONE && all->count > 0)
        fprintf(stderr, "reseat: the reseat was recorded as %" PRId64 ", the check was not\n",
                all->done[0].seq);
    return exit;
}

static void json_seats(json *j, const reseat_found *found)
{
    json_open(j, "seats", '[');
    for (size_t k = 0; k < found->count; k++) {
        json_open(j, NULL, '{');
        if (found->seats_named)
            json_number(j, "seat_deg", found->seats[k].seat_deg);
        json_number(j, "turn_deg", found->seats[k].turn_deg);
        json_number(j, "probability", found->seats[k].probability);
        json_close(j, '}');
    }
    json_close(j, ']');
}

static void print_json(const reseat_found *found, const written *all)
{
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    if (found->resolvable)
        json_number(&j, "turn_deg", found->turn_deg);
    if (found->resolvable && !found->keyed)
        json_number(&j, "turn_u_deg", found->turn_u_deg);
    json_number(&j, "misfit", found->misfit);
    json_number(&j, "p", found->p);
    json_bool(&j, "explained", found->explained);
    if (found->keyed)
        json_seats(&j, found);
    json_pair(&j, "offset_now_mm", found->offset_now_mm);
    if (all->count > 0) {
        json_open(&j, "records", '[');
        for (size_t i = 0; i < all->count; i++) {
            json_open(&j, NULL, '{');
            record_answer_json(&j, &all->done[i]);
            json_close(&j, '}');
        }
        json_close(&j, ']');
    }
    json_end(&j);
}

static const char *name_seat(char *out, const reseat_found *found, double seat_deg,
                             double turn_deg)
{
    char degrees[TEXT_SIZE];
    snprintf(out, TEXT_SIZE, "%s %.40s", found->seats_named ? "seat" : "a turn of",
             text_degrees(degrees, found->seats_named ? seat_deg : turn_deg));
    return out;
}

static const char *name_found_seat(char *out, const reseat_found *found, size_t k)
{
    return name_seat(out, found, found->seats[k].seat_deg, found->seats[k].turn_deg);
}

static void print_seats(const reseat_found *found)
{
    char degrees[TEXT_SIZE], chance[TEXT_SIZE], misfit[TEXT_SIZE];
    if (!found->keyed || found->count > SEATS_SHOWN)
        return;
    printf("  %7s   off by%s\n", found->seats_named ? "seat" : "turn",
           found->explained ? "   probability" : "");
    for (size_t k = 0; k < found->count; k++) {
        const reseat_found_seat *seat = &found->seats[k];
        text_degrees(degrees, found->seats_named ? seat->seat_deg : seat->turn_deg);
        printf("  %8s %6s u%s%s\n", degrees, text_decimal(misfit, seat->misfit, 1),
               found->explained ? "   " : "",
               found->explained ? text_chance(chance, seat->probability) : "");
    }
}

static void print_measured(const arguments *args, const reseat_found *found)
{
    const reseat_unit unit = args->unit;
    char x[TEXT_SIZE], y[TEXT_SIZE], u[TEXT_SIZE], misfit[TEXT_SIZE];
    printf("shift X %s Y %s %s, ± %s (standard, per axis)\n",
           text_signed(x, found->shift_mm.x, unit, 0), text_signed(y, found->shift_mm.y, unit, 0),
           reseat_unit_name(unit), text_length(u, found->shift_u_mm, unit, 1));
    printf("offset now X %s Y %s %s\n", text_signed(x, found->offset_now_mm.x, unit, 0),
           text_signed(y, found->offset_now_mm.y, unit, 0), reseat_unit_name(unit));
    if (!found->keyed)
        printf("the ball is off its circle by %s times what scatters (%s)\n",
               text_decimal(misfit, fabs(found->misfit), 1), text_p(u, found->p));
}

static void print_free(const asking *asked, const reseat_found *found)
{
    char turn[TEXT_SIZE], u[TEXT_SIZE], seat[TEXT_SIZE];
    printf("fits a turn of %s, ± %s (standard)", text_degrees(turn, found->turn_deg),
           text_degrees(u, found->turn_u_deg));
    if (found->seats_named)
        printf(": %s", name_seat(seat, found, found->seat_deg, found->turn_deg));
    if (found->outside)
        printf(", outside of %s%s\n", asked->seat, asked->source == RESEAT_SOURCE_TYPED
                                                       ? "" : " as the log has it");
    else
        printf("; a bent stylus can fit one too\n");
}

static void print_keyed(const reseat_found *found)
{
    char best[TEXT_SIZE], next[TEXT_SIZE], chance[TEXT_SIZE], other[TEXT_SIZE];
    name_found_seat(best, found, found->best);
    text_chance(chance, found->seats[found->best].probability);
    if (found->runner_up == found->count) {
        printf("fits %s\n", best);
        return;
    }
    name_found_seat(next, found, found->runner_up);
    text_chance(other, found->seats[found->runner_up].probability);
    if (found->settled)
        printf("fits %s, probability %s; next %s, %s\n", best, chance, next, other);
    else
        printf("fits %s best, probability %s; but %s cannot be ruled out, %s\n", best, chance,
               next, other);
}

static void print_conclusion(const arguments *args, const asking *asked,
                             const reseat_found *found)
{
    char turning[TEXT_SIZE], u[TEXT_SIZE];
    if (!found->explained && !found->outside)
        printf("no %s explains this shift: calibrate again, and look for what is bent or loose\n",
               found->keyed ? "seat that was possible" : "turn");
    else if (!found->resolvable)
        printf("the seat cannot be told: the part of the offset that turns, %s %s, is less than "
               "3 times what scatters, %s\n",
               text_length(turning, found->turning_mm, args->unit, 0),
               reseat_unit_name(args->unit), text_length(u, found->u_mm, args->unit, 0));
    else if (found->keyed)
        print_keyed(found);
    else
        print_free(asked, found);
}

#define TYPED_SIZE ((size_t)2 * TEXT_SIZE)

/* As it can be typed, with no more digits than a person reads. */
static const char *typed_seat(char *out, const reseat_found *found)
{
    char seat[TEXT_SIZE], within[TEXT_SIZE];
    const int sign = (int)strlen("°");
    text_degrees(seat, found->seat_deg);
    text_degrees(within, found->within_deg);
    const int seat_length = (int)strlen(seat) - sign, within_length = (int)strlen(within) - sign;
    if (found->within_deg > 0)
        snprintf(out, TYPED_SIZE, "%.*s+-%.*s", seat_length, seat, within_length, within);
    else
        snprintf(out, TYPED_SIZE, "%.*s", seat_length, seat);
    return out;
}

static void print_next(const asking *asked, const reseat_found *found, const written *all)
{
    char typed[TYPED_SIZE];
    if (found->explained && !found->settled)
        printf("next: what check says of all possible seats stands\n");
    else if (!found->settled && (found->keyed || found->outside) && all->count == 0)
        printf("next: --seat any, if it may have gone in otherwise\n");
    else if (found->settled && asked->from_log && all->count == 0)
        printf("next: the same with --record, then reseat check %s\n", asked->standing.spindle);
    else if (found->settled && !asked->from_log)
        printf("next: reseat check with --seat %s\n", typed_seat(typed, found));
}

static void print_screen(const arguments *args, const asking *asked, const reseat_found *found,
                         const written *all)
{
    answer_source(args, asked);
    print_measured(args, found);
    print_seats(found);
    check_remarks(stdout, asked);
    check_reasons(stdout, "", asked, args->unit);
    print_next(asked, found, all);
    print_conclusion(args, asked, found);
    for (size_t i = 0; i < all->count; i++)
        record_answer(asked->standing.spindle, all->types[i], &all->done[i]);
}

int found_finish(const arguments *args, const asking *asked, const reseat_found *found)
{
    written all = {0};
    const int exit = write_down(args, asked, found, &all);
    if (exit != EXIT_DONE)
        return exit;
    if (args->json) {
        print_json(found, &all);
        check_remarks(stderr, asked);
        check_reasons(stderr, "", asked, args->unit);
    } else {
        print_screen(args, asked, found, &all);
    }
    for (size_t i = 0; i < all.count; i++)
        record_check_output(&all.done[i]);
    return found->explained ? EXIT_DONE : EXIT_RECALIBRATE;
}
