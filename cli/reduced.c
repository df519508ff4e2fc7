/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reduced.h"

#include <stdio.h>

static void print_touches(const reduced *found, reseat_unit unit)
{
    const reseat_reduction *const r = &found->reduction;
    char diameter[TEXT_SIZE], turn[TEXT_SIZE];
    printf("%zu touches on a %s of %s %s, from %zu direction%s, spindle turned to", r->touches,
           reseat_gauge_kind_name(found->setup.gauge.kind),
           text_length(diameter, found->setup.gauge.diameter_mm, unit, 0), reseat_unit_name(unit),
           r->dirs, text_s(r->dirs));
    for (size_t i = 0; i < r->turns; i++)
        printf("%s %s", i > 0 ? "," : "", text_degrees(turn, r->turns_deg[i]));
    printf("\n");
}

static const char *degrees_of_freedom(size_t dof)
{
    return dof == 1 ? "degree of freedom" : "degrees of freedom";
}

static void print_offset(const reseat_reduction *r, reseat_unit unit)
{
    char x[TEXT_SIZE], y[TEXT_SIZE], u[TEXT_SIZE];
    const char *const name = reseat_unit_name(unit);
    if (!r->has_offset) {
        printf("no offset: %s\n", reseat_advice_text(RESEAT_ADVICE_TURNS));
        printf("centre of the touches X %s Y %s %s\n", text_signed(x, r->centre_mm.x, unit, 0),
               text_signed(y, r->centre_mm.y, unit, 0), name);
        return;
    }
    printf("offset X %s Y %s %s, ± %s (standard, per axis; %zu %s)\n",
           text_signed(x, r->offset_mm.x, unit, 0), text_signed(y, r->offset_mm.y, unit, 0), name,
           text_length(u, r->offset_u_mm, unit, 1), r->dof, degrees_of_freedom(r->dof));
}

static void print_radius(const reseat_reduction *r, reseat_unit unit)
{
    char radius[TEXT_SIZE], u[TEXT_SIZE], form[TEXT_SIZE], scatter[TEXT_SIZE];
    const char *const name = reseat_unit_name(unit);
    printf("radius %s %s, ± %s\n", text_length(radius, r->radius_mm, unit, 0), name,
           text_length(u, r->radius_u_mm, unit, 1));
    printf("form %s %s", text_length(form, r->form_mm, unit, 0), name);
    if (r->has_repeatability)
        printf(", repeatability %s %s", text_length(scatter, r->repeatability_mm, unit, 1), name);
    if (r->has_closure)
        printf(", closure %s %s", text_length(u, r->closure_mm, unit, 0), name);
    printf("\n");
}

static void print_lobing(const reseat_reduction *r, reseat_unit unit)
{
    static const char *const counts[RESEAT_RADIUS_ORDER_MAX + 1] = {
        [2] = "two",   [3] = "three", [4] = "four", [5] = "five",    [6] = "six",    [7] = "seven",
        [8] = "eight", [9] = "nine",  [10] = "ten", [11] = "eleven", [12] = "twelve"};
    char amplitude[TEXT_SIZE];
    size_t order = 0;
    double mm = 0;
    if (reseat_radius_lobing(&r->curve, &order, &mm) != RESEAT_OK || order == 0)
        printf("lobing: not to be seen from %zu directions\n", r->dirs);
    else if (mm < 0.00005) /* prints as nothing */
        printf("lobing: none\n");
    else
        printf("lobing: %s-lobed, %s %s\n", counts[order], text_length(amplitude, mm, unit, 0),
               reseat_unit_name(unit));
}

static void print_outliers(const reduced *found, reseat_unit unit)
{
    char residual[TEXT_SIZE];
    for (size_t i = 0; i < found->outlier_count; i++) {
        const outlier *const o = &found->outliers[i];
        printf("line %zu does not belong to the others, %s %s off the circle%s\n", o->line,
               text_signed(residual, o->residual_mm, unit, 0), reseat_unit_name(unit),
               found->dropped ? ": left out" : "");
    }
    if (!found->reduction.outliers_tested)
        printf("too few touches to single out a bad one\n");
}

static void print_assumed(const reseat_reduction *r)
{
    const char *before = "assumed: ";
    for (int i = 0; i < RESEAT_ASSUMPTION_COUNT; i++) {
        if (!(r->assumed & 1u << i))
            continue;
        printf("%s%s", before, reseat_assumption_meaning((reseat_assumption)i));
        before = "; ";
    }
    if (r->assumed)
        printf("\n");
}

static void print_advice(const reseat_reduction *r)
{
    for (int i = 0; i < RESEAT_ADVICE_COUNT; i++)
        if (r->advice & 1u << i && i != RESEAT_ADVICE_TURNS)
            printf("better next time: %s\n", reseat_advice_text((reseat_advice)i));
}

void reduced_screen(const arguments *args, const void *found)
{
    const reduced *const all = found;
    const reseat_reduction *const r = &all->reduction;
    print_touches(all, args->unit);
    print_radius(r, args->unit);
    print_lobing(r, args->unit);
    print_outliers(all, args->unit);
    print_assumed(r);
    print_advice(r);
    print_offset(r, args->unit);
}

static void keys_offset(json *j, const reseat_reduction *r)
{
    json_pair(j, "offset_mm", r->offset_mm);
    json_open(j, "offset_cov_mm2", '[');
    json_number(j, NULL, r->offset_cov_mm2.xx);
    json_number(j, NULL, r->offset_cov_mm2.xy);
    json_number(j, NULL, r->offset_cov_mm2.yy);
    json_close(j, ']');
    json_number(j, "offset_u_mm", r->offset_u_mm);
    json_integer(j, "offset_dof", (int64_t)r->dof);
}

static void keys_radii(json *j, const reseat_reduction *r)
{
    json_open(j, "dirs_deg", '[');
    for (size_t i = 0; i < r->dirs; i++)
        json_number(j, NULL, r->dirs_deg[i]);
    json_close(j, ']');
    json_open(j, "radii_mm", '[');
    for (size_t i = 0; i < r->dirs; i++)
        json_number(j, NULL, r->radii_mm[i]);
    json_close(j, ']');
    json_open(j, "harmonics", '[');
    for (size_t k = 2; k <= r->curve.order; k++) {
        double amplitude_mm, phase_deg;
        if (reseat_radius_harmonic(&r->curve, k, &amplitude_mm, &phase_deg) != RESEAT_OK)
            continue;
        json_open(j, NULL, '{');
        json_integer(j, "order", (int64_t)k);
        json_number(j, "amplitude_mm", amplitude_mm);
        json_number(j, "phase_deg", phase_deg);
        json_close(j, '}');
    }
    json_close(j, ']');
}

static void keys_lists(json *j, const reduced *found)
{
    const reseat_reduction *const r = &found->reduction;
    json_open(j, "turns_deg", '[');
    for (size_t i = 0; i < r->turns; i++)
        json_number(j, NULL, r->turns_deg[i]);
    json_close(j, ']');
    json_open(j, "outlier_rows", '[');
    for (size_t i = 0; i < found->outlier_count; i++)
        json_integer(j, NULL, (int64_t)found->outliers[i].line);
    json_close(j, ']');
    json_open(j, "assumed", '[');
    for (int i = 0; i < RESEAT_ASSUMPTION_COUNT; i++)
        if (r->assumed & 1u << i)
            json_text(j, NULL, reseat_assumption_name((reseat_assumption)i));
    json_close(j, ']');
}

void reduced_keys(json *j, const void *found)
{
    const reduced *const all = found;
    const reseat_reduction *const r = &all->reduction;
    if (r->has_offset)
        keys_offset(j, r);
    json_open(j, "centre_mm", '[');
    json_number(j, NULL, r->centre_mm.x);
    json_number(j, NULL, r->centre_mm.y);
    if (all->setup.gauge.kind == RESEAT_GAUGE_SPHERE)
        json_number(j, NULL, r->centre_mm.z);
    json_close(j, ']');
    json_number(j, "fit_radius_mm", r->fit_radius_mm);
    json_number(j, "radius_mm", r->radius_mm);
    json_number(j, "radius_u_mm", r->radius_u_mm);
    keys_radii(j, r);
    json_number(j, "form_mm", r->form_mm);
    if (r->dof > 0)
        json_number(j, "residual_sd_mm", r->residual_sd_mm);
    if (r->has_repeatability)
        json_number(j, "repeatability_mm", r->repeatability_mm);
    if (r->has_closure)
        json_number(j, "closure_mm", r->closure_mm);
    json_integer(j, "touches", (int64_t)r->touches);
    keys_lists(j, all);
}
