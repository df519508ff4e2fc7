/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "found.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include "record_summary.h"

#define SEATS_SHOWN 6 /* of more the likeliest two are named */

static void put_seat(json *j, const void *list, size_t i)
{
    const reseat_found *found = list;
    json_print(j, "seat_deg:n turn_deg:n probability:n",
               json_if(found->seats_named, found->seats[i].seat_deg), found->seats[i].turn_deg,
               found->seats[i].probability);
}

static void put_record(json *j, const void *list, size_t i)
{
    recorded_json(j, &((const found_records *)list)->done[i]);
}

void found_json(const arguments *args, const request *asked, const reseat_found *found,
                const found_records *all)
{
    json j = json_begin(stdout);
    json_print(&j, "turn_deg:n turn_u_deg:n misfit:n p:n explained:b",
               json_if(found->resolvable, found->turn_deg),
               json_if(found->resolvable && !found->keyed, found->turn_u_deg), found->misfit,
               found->p, found->explained);
    if (found->keyed)
        json_objects(&j, "seats", found->count, put_seat, found);
    json_print(&j, "offset_now_mm:p", found->offset_now_mm);
    if (all->count > 0)
        json_objects(&j, "records", all->count, put_record, all);
    json_end(&j);
    answer_remarks(stderr, asked);
    answer_reasons(stderr, "", asked, args->unit);
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
               reseat_words_number(seat->misfit, 1).text, found->explained ? "   " : "",
               found->explained ? words_chance(seat->probability).text : "");
    }
}

static void print_measured(const arguments *args, const reseat_found *found)
{
    const reseat_unit unit = args->unit;
    const char *name = reseat_unit_name(unit);
    printf("shift %s %s, ± %s (standard, per axis)\n", words_pair(found->shift_mm, unit, 0).text,
           name, reseat_words_length(found->shift_u_mm, unit, 1).text);
    printf("offset now %s %s\n", words_pair(found->offset_now_mm, unit, 0).text, name);
    if (!found->keyed)
        printf("the ball is off its circle by %s times what scatters (%s)\n",
               reseat_words_number(fabs(found->misfit), 1).text, words_p(found->p).text);
}

/* Degrees as they can be typed, with no more digits than a person reads. */
static void print_typed(double deg)
{
    const words shown = words_degrees(deg);
    printf("%.*s", (int)(strlen(shown.text) - strlen("°")), shown.text);
}

static void print_next(const request *asked, const reseat_found *found, const found_records *all)
{
    if (found->explained && !found->settled) {
        printf("next: what check says of all possible seats stands\n");
    } else if (!found->settled && (found->keyed || found->outside) && all->count == 0) {
        printf("next: --seat any, if it may have gone in otherwise\n");
    } else if (found->settled && asked->from_log && all->count == 0) {
        printf("next: the same with --record, then reseat check %s\n", asked->state.spindle);
    } else if (found->settled && !asked->from_log) {
        printf("next: reseat check with --seat ");
        print_typed(found->seat_deg);
        if (found->within_deg > 0) {
            printf("+-");
            print_typed(found->within_deg);
        }
        printf("\n");
    }
}

void found_screen(const arguments *args, const request *asked, const reseat_found *found,
                  const found_records *all)
{
    char possible[2 * RESEAT_SEAT_SIZE], text[RESEAT_SENTENCE_SIZE];
    answer_source(args, asked);
    print_measured(args, found);
    print_seats(found);
    answer_remarks(stdout, asked);
    answer_reasons(stdout, "", asked, args->unit);
    print_next(asked, found, all);
    snprintf(possible, sizeof possible, "%s%s", asked->seat,
             asked->source == RESEAT_SOURCE_TYPED ? "" : " as the log has it");
    reseat_found_text(found, possible, args->unit, text, sizeof text);
    printf("%s\n", text);
    for (size_t i = 0; i < all->count; i++)
        recorded_print(asked->state.spindle, all->types[i], &all->done[i]);
}
