/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What effects shows a person: a row a quantity, then what it comes to in words. */

#include "effects.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

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
    char value[TEXT_SIZE], nothing[TEXT_SIZE];
    return strcmp(text_length(value, fabs(mm), unit, 0), text_length(nothing, 0, unit, 0)) == 0;
}

static const char *place_of(char *out, const asking *asked, const reseat_feature_row *row)
{
    const bool named = asked->question->turns.run_known;
    return text_degrees(out, named ? row->seat_deg : row->turn_deg);
}

static size_t spec_width(const effects *all)
{
    size_t width = strlen("feature, thou");
    for (size_t i = 0; i < all->count; i++)
        if (all->rows[i].feature->spec_length > width)
            width = all->rows[i].feature->spec_length;
    return width < 40 ? width : 40;
}

static void print_row(const asking *asked, const effect_row *row, int width, bool judged,
                      reseat_unit unit)
{
    const reseat_feature_row *found = &row->found;
    char spec[256], place[TEXT_SIZE], error[TEXT_SIZE], u[TEXT_SIZE], allowed[TEXT_SIZE],
        chance[TEXT_SIZE];
    const int more = found->judged ? text_more_digits(fabs(found->error_mm), found->allowed_mm,
                                                      unit) : 0;
    reseat_text_terminal(row->spec, row->feature->spec_length, spec, sizeof spec);
    printf("  %-*s  %-9s %8s %9s %8s", width, spec, reseat_reported_name(found->quantity),
           place_of(place, asked, found), text_signed(error, found->error_mm, unit, more),
           text_length(u, found->u_mm, unit, 0));
    if (judged && found->judged)
        printf(" %8s  %7s  %s", text_length(allowed, found->allowed_mm, unit, more),
               text_chance(chance, found->chance_within), found->ok ? "OK" : "RECALIBRATE");
    printf("\n");
}

static void print_table(const asking *asked, const effects *all, reseat_unit unit)
{
    bool judged = false;
    char first[TEXT_SIZE];
    const int width = (int)spec_width(all);
    for (size_t i = 0; i < all->count; i++)
        judged = judged || all->rows[i].found.judged;
    snprintf(first, sizeof first, "feature, %s", reseat_unit_name(unit));
    printf("  %-*s  %-9s %7s %9s %8s%s\n", width, first, "quantity",
           asked->question->turns.run_known ? "seat" : "turn", "off by", "u",
           judged ? "  allowed   chance" : "");
    for (size_t i = 0; i < all->count; i++)
        print_row(asked, &all->rows[i], width, judged, unit);
}

/* "-Y", "+X and -Y": the axes along which a vector has more than a third of its length. */
static const char *direction(char *out, reseat_xy v)
{
    const double third = reseat_plane_length(v) / 3;
    const char *x = v.x > third ? "+X" : v.x < -third ? "-X" : "";
    const char *y = v.y > third ? "+Y" : v.y < -third ? "-Y" : "";
    snprintf(out, TEXT_SIZE, "%s%s%s", x, x[0] && y[0] ? " and " : "", y);
    return out;
}

static void say_holes(const asking *asked, const reseat_feature_row *hole, reseat_unit unit)
{
    char error[TEXT_SIZE], way[TEXT_SIZE], place[TEXT_SIZE];
    const bool one = !asked->question->turns.range && asked->question->turns.count == 1;
    if (is_nothing(hole->error_mm, unit)) {
        printf("Hole positions are not affected.");
        return;
    }
    printf("Hole positions are off by %s%s %s, toward %s", one ? "" : "up to ",
           text_length(error, hole->error_mm, unit, 0), reseat_unit_name(unit),
           direction(way, hole->toward_mm));
    if (one)
        printf(".");
    else
        printf(" at %s %s.", asked->question->turns.run_known ? "seat" : "a turn of",
               place_of(place, asked, hole));
}

static void say_sizes(const reseat_feature_row *diameter, const reseat_feature_row *width,
                      reseat_unit unit)
{
    char one[TEXT_SIZE], other[TEXT_SIZE];
    if (is_nothing(diameter->error_mm, unit) && is_nothing(width->error_mm, unit))
        printf(" Diameters and slot widths are not affected.");
    else
        printf(" Diameters are off by up to %s %s, slot widths by up to %s %s.",
               text_length(one, fabs(diameter->error_mm), unit, 0), reseat_unit_name(unit),
               text_length(other, fabs(width->error_mm), unit, 0), reseat_unit_name(unit));
    printf(" Distances between features probed since are not affected.\n");
}

/* A surface is one touch: what may hide there may hide in every other one. */
static void say_lobes(const asking *asked, const effects *all, reseat_unit unit)
{
    char hidden[TEXT_SIZE];
    double most_mm = 0;
    const unsigned assumed = asked->question->estimate.terms.assumed & 1u << RESEAT_TERM_LOBING;
    for (size_t i = 0; i < all->count; i++)
        if (all->rows[i].feature->kind == RESEAT_FEATURE_SURFACE)
            most_mm = fmax(most_mm, all->rows[i].found.hidden_mm);
    if (!is_nothing(most_mm, unit))
        printf("Lobes are not on record: a touch may be off by %s %s more%s.\n",
               text_length(hidden, most_mm, unit, 0), reseat_unit_name(unit),
               assumed ? " (assumed)" : "");
}

/* The standard set in words. */
static void say_all(const asking *asked, const effects *all, reseat_unit unit)
{
    const reseat_feature_row *hole = row_of(all, RESEAT_FEATURE_BORE, RESEAT_REPORTED_CENTRE);
    const reseat_feature_row *diameter =
        row_of(all, RESEAT_FEATURE_BORE, RESEAT_REPORTED_DIAMETER);
    const reseat_feature_row *width = row_of(all, RESEAT_FEATURE_SLOT, RESEAT_REPORTED_WIDTH);
    say_lobes(asked, all, unit);
    if (!hole || !diameter || !width)
        return; /* a long stylus: its error does not fit the bore of the set */
    say_holes(asked, hole, unit);
    say_sizes(diameter, width, unit);
}

/* Why a quantity is not kept; what is off by little is so by what may hide in its touches. */
static void say_not_kept(const effect_row *row, reseat_unit unit)
{
    char spec[256], error[TEXT_SIZE], allowed[TEXT_SIZE], hidden[TEXT_SIZE], chance[TEXT_SIZE];
    const reseat_feature_row *found = &row->found;
    const char *name = reseat_unit_name(unit);
    const int more = text_more_digits(fabs(found->error_mm), found->allowed_mm, unit);
    text_length(error, fabs(found->error_mm), unit, more);
    text_length(hidden, found->hidden_mm, unit, more);
    reseat_text_terminal(row->spec, row->feature->spec_length, spec, sizeof spec);
    printf("RECALIBRATE: %s of %s", reseat_reported_name(found->quantity), spec);
    const bool lobes = !is_nothing(found->hidden_mm, unit);
    if (lobes && is_nothing(found->error_mm, unit))
        printf(": lobes that are not on record may spoil it by %s %s", hidden, name);
    else
        printf(" is off by %s %s", error, name);
    if (lobes && !is_nothing(found->error_mm, unit) && fabs(found->error_mm) <= found->allowed_mm)
        printf(", for lobes uncertain by %s", hidden);
    printf(", allowed %s %s, chance within %s\n",
           text_length(allowed, found->allowed_mm, unit, more), name,
           text_chance(chance, found->chance_within));
}

static void say_verdict(const asking *asked, const effects *all, reseat_unit unit)
{
    size_t judged = 0, kept = 0;
    char chance[TEXT_SIZE];
    for (size_t i = 0; i < all->count; i++) {
        const reseat_feature_row *found = &all->rows[i].found;
        judged += found->judged;
        kept += found->judged && found->ok;
        if (!found->ok && found->chance_within < asked->question->confidence)
            say_not_kept(&all->rows[i], unit);
    }
    if (judged > 0 && kept == judged)
        printf("OK: what is allowed is kept with chance %s or more\n",
               text_confidence(chance, asked->question->confidence));
}

void effects_screen(const arguments *args, const asking *asked, const effects *all)
{
    check_head(args, asked);
    print_table(asked, all, args->unit);
    check_remarks(stdout, asked);
    printf("%s\n", text_caution());
    if (all->standard)
        say_all(asked, all, args->unit);
    check_reasons(stdout, effects_ok(all) ? "" : "RECALIBRATE: ", asked, args->unit);
    say_verdict(asked, all, args->unit);
}
