/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What effects shows: a row a quantity, then to a person what it comes to in words. */

#include "effects.h"

#include <math.h>
#include <string.h>
#include "cautions.h"

/* The row of a quantity of the first feature of that kind; NULL where it was left out. */
static const reseat_feature_row *row_of(const effects *all, reseat_feature_kind kind,
                                        reseat_reported quantity)
{
    for (size_t i = 0; i < all->count; i++)
        if (all->rows[i].feature->kind == kind && all->rows[i].found.quantity == quantity)
            return &all->rows[i].found;
    return NULL;
}

/* Whether it prints as nothing. */
static bool is_nothing(double mm, reseat_unit unit)
{
    return strcmp(reseat_words_length(fabs(mm), unit, 0).text,
                  reseat_words_length(0, unit, 0).text) == 0;
}

static words place_of(const effects *all, const reseat_feature_row *row)
{
    return words_degrees(all->named ? row->seat_deg : row->turn_deg);
}

static size_t spec_width(const effects *all)
{
    size_t width = strlen("feature, thou");
    for (size_t i = 0; i < all->count; i++)
        if (all->rows[i].feature->spec_length > width)
            width = all->rows[i].feature->spec_length;
    return width < 40 ? width : 40;
}

static void print_row(const effects *all, const effect_row *row, int width, bool judged,
                      reseat_unit unit)
{
    const reseat_feature_row *found = &row->found;
    char spec[256];
    int more = 0;
    if (found->judged)
        more = reseat_words_more_digits(fabs(found->error_mm), found->allowed_mm, unit);
    reseat_text_terminal(row->spec, row->feature->spec_length, spec, sizeof spec);
    printf("  %-*s  %-9s %8s %9s %8s", width, spec, reseat_reported_name(found->quantity),
           place_of(all, found).text, words_signed(found->error_mm, unit, more).text,
           reseat_words_length(found->u_mm, unit, 0).text);
    if (judged && found->judged)
        printf(" %8s  %7s  %s", reseat_words_length(found->allowed_mm, unit, more).text,
               words_chance(found->chance_within).text, found->ok ? "OK" : "RECALIBRATE");
    printf("\n");
}

static void print_table(const effects *all, reseat_unit unit)
{
    bool judged = false;
    const int width = (int)spec_width(all);
    for (size_t i = 0; i < all->count; i++)
        judged = judged || all->rows[i].found.judged;
    printf("  feature, %-*s  %-9s %7s %9s %8s%s\n", width - (int)strlen("feature, "),
           reseat_unit_name(unit), "quantity", all->named ? "seat" : "turn", "off by", "u",
           judged ? "  allowed   chance" : "");
    for (size_t i = 0; i < all->count; i++)
        print_row(all, &all->rows[i], width, judged, unit);
}

/* "-Y", "+X and -Y": the axes along which a vector has more than a third of its length. */
static void print_direction(reseat_xy v)
{
    const double third = reseat_plane_length(v) / 3;
    const char *x = v.x > third ? "+X" : v.x < -third ? "-X" : "";
    const char *y = v.y > third ? "+Y" : v.y < -third ? "-Y" : "";
    printf("%s%s%s", x, x[0] && y[0] ? " and " : "", y);
}

static void say_holes(const request *asked, const effects *all, const reseat_feature_row *hole,
                      reseat_unit unit)
{
    const bool one = !asked->question->turns.range && asked->question->turns.count == 1;
    if (is_nothing(hole->error_mm, unit)) {
        printf("Hole positions are not affected.");
        return;
    }
    printf("Hole positions are off by %s%s %s, toward ", one ? "" : "up to ",
           reseat_words_length(hole->error_mm, unit, 0).text, reseat_unit_name(unit));
    print_direction(hole->toward_mm);
    printf("%s%s.", one ? "" : " at ",
           one ? "" : words_place(all->named, hole->seat_deg, hole->turn_deg).text);
}

static void say_sizes(const reseat_feature_row *diameter, const reseat_feature_row *width,
                      reseat_unit unit)
{
    const char *name = reseat_unit_name(unit);
    if (is_nothing(diameter->error_mm, unit) && is_nothing(width->error_mm, unit))
        printf(" Diameters and slot widths are not affected.");
    else
        printf(" Diameters are off by up to %s %s, slot widths by up to %s %s.",
               reseat_words_length(fabs(diameter->error_mm), unit, 0).text, name,
               reseat_words_length(fabs(width->error_mm), unit, 0).text, name);
    printf(" Distances between features probed since are not affected.\n");
}

/* A surface is one touch: what may hide there may hide in every other one. */
static void say_lobes(const request *asked, const effects *all, reseat_unit unit)
{
    double most_mm = 0;
    const unsigned assumed = asked->question->estimate.terms.assumed & 1u << RESEAT_TERM_LOBING;
    for (size_t i = 0; i < all->count; i++)
        if (all->rows[i].feature->kind == RESEAT_FEATURE_SURFACE)
            most_mm = fmax(most_mm, all->rows[i].found.hidden_mm);
    if (!is_nothing(most_mm, unit))
        printf("Lobes are not on record: a touch may be off by %s %s more%s.\n",
               reseat_words_length(most_mm, unit, 0).text, reseat_unit_name(unit),
               assumed ? " (assumed)" : "");
}

/* The standard set in words. */
static void say_all(const request *asked, const effects *all, reseat_unit unit)
{
    const reseat_feature_row *hole = row_of(all, RESEAT_FEATURE_BORE, RESEAT_REPORTED_CENTRE);
    const reseat_feature_row *diameter =
        row_of(all, RESEAT_FEATURE_BORE, RESEAT_REPORTED_DIAMETER);
    const reseat_feature_row *width = row_of(all, RESEAT_FEATURE_SLOT, RESEAT_REPORTED_WIDTH);
    say_lobes(asked, all, unit);
    if (!hole || !diameter || !width)
        return; /* a long stylus: its error does not fit the bore of the set */
    say_holes(asked, all, hole, unit);
    say_sizes(diameter, width, unit);
}

/* Why a quantity is not kept; what is off by little is so by what may hide in its touches. */
static void say_not_kept(const effect_row *row, reseat_unit unit)
{
    const reseat_feature_row *found = &row->found;
    const char *name = reseat_unit_name(unit);
    const double error_mm = fabs(found->error_mm);
    const int more = reseat_words_more_digits(error_mm, found->allowed_mm, unit);
    const words hidden = reseat_words_length(found->hidden_mm, unit, more);
    const bool lobes = !is_nothing(found->hidden_mm, unit);
    printf("RECALIBRATE: %s of ", reseat_reported_name(found->quantity));
    text_put(stdout, reseat_text_terminal, row->spec, row->feature->spec_length);
    if (lobes && is_nothing(error_mm, unit))
        printf(": lobes that are not on record may spoil it by %s %s", hidden.text, name);
    else
        printf(" is off by %s %s", reseat_words_length(error_mm, unit, more).text, name);
    if (lobes && !is_nothing(error_mm, unit) && error_mm <= found->allowed_mm)
        printf(", for lobes uncertain by %s", hidden.text);
    printf(", allowed %s %s, chance within %s\n",
           reseat_words_length(found->allowed_mm, unit, more).text, name,
           words_chance(found->chance_within).text);
}

static void say_verdict(const request *asked, const effects *all, reseat_unit unit)
{
    size_t judged = 0, kept = 0;
    for (size_t i = 0; i < all->count; i++) {
        const reseat_feature_row *found = &all->rows[i].found;
        judged += found->judged;
        kept += found->judged && found->ok;
        if (!found->ok && found->chance_within < asked->question->confidence)
            say_not_kept(&all->rows[i], unit);
    }
    if (judged > 0 && kept == judged)
        printf("OK: what is allowed is kept with chance %s or more\n",
               words_confidence(asked->question->confidence).text);
}

void effects_screen(const arguments *args, const request *asked, const effects *all)
{
    answer_head(args, asked);
    print_table(all, args->unit);
    answer_remarks(stdout, asked);
    printf("%s\n", caution_sentence());
    if (all->standard)
        say_all(asked, all, args->unit);
    answer_reasons(stdout, all->ok ? "" : "RECALIBRATE: ", asked, args->unit);
    say_verdict(asked, all, args->unit);
}

static void put_row(json *j, const void *list, size_t i)
{
    char spec[256];
    const effects *all = list;
    const effect_row *row = &all->rows[i];
    const reseat_feature_row *found = &row->found;
    snprintf(spec, sizeof spec, "%.*s", (int)row->feature->spec_length, row->spec);
    json_print(j, "feature:s seat_deg:n turn_deg:n quantity:s error_mm:n u_mm:n", spec,
               json_if(all->named, found->seat_deg), found->turn_deg,
               reseat_reported_name(found->quantity), found->error_mm, found->u_mm);
    if (found->judged)
        json_print(j, "allowed_mm:n chance_within:n verdict:s", found->allowed_mm,
                   found->chance_within, found->ok ? "OK" : "RECALIBRATE");
}

void effects_json(const effects *all)
{
    json j = json_begin(stdout);
    json_objects(&j, "features", all->count, put_row, all);
    json_end(&j);
}
