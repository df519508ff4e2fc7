/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat reduce TOUCHES.csv: from the touches of a gauge to offset and radius. */

#include "commands.h"

#include "log_target.h"
#include "recording.h"
#include "reduction.h"
#include "show/words.h"

static void print_touches(const reduced *found, reseat_unit unit)
{
    const reseat_reduction *const r = &found->reduction;
    printf("%zu touches on a %s", r->touches, reseat_gauge_kind_name(found->setup.gauge.kind));
    if (r->has_radius)
        printf(" of %s", words_length_in(found->setup.gauge.diameter_mm, unit, 0).text);
    printf(", from %zu direction%s, spindle turned to", r->dirs, words_s(r->dirs));
    for (size_t i = 0; i < r->turns; i++)
        printf("%s %s", i > 0 ? "," : "", words_degrees(r->turns_deg[i]).text);
    printf("\n");
}

static void print_offset(const reseat_reduction *r, reseat_unit unit)
{
    const reseat_xy centre_mm = {r->centre_mm.x, r->centre_mm.y};
    if (!r->has_offset) {
        printf("no offset: %s\n", reseat_advice_text(RESEAT_ADVICE_TURNS));
        printf("centre of the touches %s\n", words_pair_in(centre_mm, unit).text);
        return;
    }
    printf("offset %s, ± %s (standard, per axis; %zu degree%s of freedom)\n",
           words_pair_in(r->offset_mm, unit).text, words_length(r->offset_u_mm, unit, 1).text,
           r->dof, words_s(r->dof));
}

static void print_radius(const reseat_reduction *r, reseat_unit unit)
{
    if (r->has_radius)
        printf("radius %s, ± %s\n", words_length_in(r->radius_mm, unit, 0).text,
               words_length(r->radius_u_mm, unit, 1).text);
    printf("form %s", words_length_in(r->form_mm, unit, 0).text);
    if (r->has_repeatability)
        printf(", repeatability %s", words_length_in(r->repeatability_mm, unit, 1).text);
    if (r->has_closure)
        printf(", closure %s", words_length_in(r->closure_mm, unit, 0).text);
    printf("\n");
}

static void print_lobing(const reseat_reduction *r, reseat_unit unit)
{
    static const char *const counts[RESEAT_RADIUS_ORDER_MAX + 1] = {
        [2] = "two",   [3] = "three", [4] = "four", [5] = "five",    [6] = "six",    [7] = "seven",
        [8] = "eight", [9] = "nine",  [10] = "ten", [11] = "eleven", [12] = "twelve"};
    size_t order = 0;
    double mm = 0;
    if (reseat_radius_lobing(&r->curve, &order, &mm) != RESEAT_OK || order == 0)
        printf("lobing: not to be seen from %zu directions\n", r->dirs);
    else if (mm < 0.00005) /* prints as nothing */
        printf("lobing: none\n");
    else
        printf("lobing: %s-lobed, %s\n", counts[order], words_length_in(mm, unit, 0).text);
}

static void print_outliers(const reduced *found, reseat_unit unit)
{
    for (size_t i = 0; i < found->outlier_count; i++) {
        const outlier *const o = &found->outliers[i];
        printf("line %zu does not belong to the others, %s %s off the circle%s\n", o->line,
               words_signed(o->residual_mm, unit, 0).text, reseat_unit_name(unit),
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

static void screen(const arguments *args, const void *found)
{
    const reduced *const all = found;
    const reseat_reduction *const r = &all->reduction;
    print_touches(all, args->unit);
    print_radius(r, args->unit);
    print_lobing(r, args->unit);
    print_outliers(all, args->unit);
    print_assumed(r);
    for (int i = 0; i < RESEAT_ADVICE_COUNT; i++)
        if (r->advice & 1u << i && i != RESEAT_ADVICE_TURNS && i != RESEAT_ADVICE_OUTLIERS)
            printf("next time: %s\n", reseat_advice_text((reseat_advice)i));
    reduction_print_doubts(stdout, all, args->unit);
    print_offset(r, args->unit);
}

static void put_harmonics(json *j, const reseat_reduction *r)
{
    json_print(j, "harmonics:[");
    for (size_t k = 2; k <= r->curve.order; k++) {
        double amplitude_mm, phase_deg;
        if (reseat_radius_harmonic(&r->curve, k, &amplitude_mm, &phase_deg) == RESEAT_OK)
            json_print(j, "{ order:i amplitude_mm:n phase_deg:n }", (int64_t)k, amplitude_mm,
                       phase_deg);
    }
    json_print(j, "]");
}

static void put_lists(json *j, const reduced *found)
{
    const reseat_reduction *const r = &found->reduction;
    json_numbers(j, "turns_deg", r->turns_deg, r->turns);
    json_print(j, "outlier_rows:[");
    for (size_t i = 0; i < found->outlier_count; i++)
        json_print(j, "i", (int64_t)found->outliers[i].line);
    json_print(j, "] assumed:[");
    for (int i = 0; i < RESEAT_ASSUMPTION_COUNT; i++)
        if (r->assumed & 1u << i)
            json_print(j, "s", reseat_assumption_name((reseat_assumption)i));
    json_print(j, "] doubts:[");
    for (size_t i = 0; i < r->doubts; i++)
        json_print(j, "s", r->doubt[i]);
    if (found->gauge_overdue)
        json_print(j, "s", RESEAT_DOUBT_GAUGE_OVERDUE);
    json_print(j, "]");
}

static void keys(json *j, const void *found)
{
    const reduced *const all = found;
    const reseat_reduction *const r = &all->reduction;
    const reseat_cov *cov = &r->offset_cov_mm2;
    const bool sphere = all->setup.gauge.kind == RESEAT_GAUGE_SPHERE;
    if (r->has_offset)
        json_print(j, "offset_mm:p offset_cov_mm2:[ n n n ] offset_u_mm:n offset_dof:i",
                   r->offset_mm, cov->xx, cov->xy, cov->yy, r->offset_u_mm, (int64_t)r->dof);
    json_print(j, "centre_mm:[ n n n ] fit_radius_mm:n radius_mm:n radius_u_mm:n",
               r->centre_mm.x, r->centre_mm.y, json_if(sphere, r->centre_mm.z), r->fit_radius_mm,
               json_if(r->has_radius, r->radius_mm), json_if(r->has_radius, r->radius_u_mm));
    json_numbers(j, "dirs_deg", r->dirs_deg, r->dirs);
    if (r->has_radius)
        json_numbers(j, "radii_mm", r->radii_mm, r->dirs);
    put_harmonics(j, r);
    json_print(j, "form_mm:n residual_sd_mm:n repeatability_mm:n closure_mm:n touches:i",
               r->form_mm, json_if(r->dof > 0, r->residual_sd_mm),
               json_if(r->has_repeatability, r->repeatability_mm),
               json_if(r->has_closure, r->closure_mm), (int64_t)r->touches);
    put_lists(j, all);
}

static void fill_radius(const reseat_reduction *r, draft *d)
{
    const option_value *options = d->args->options;
    const option_value *temperature = &options[OPT_TEMPERATURE];
    draft_number(d, RESEAT_FIELD_TEMPERATURE_C, json_if(temperature->given, temperature->number));
    if (!r->has_radius)
        return;
    draft_number(d, RESEAT_FIELD_RADIUS_MM, r->radius_mm);
    draft_number(d, RESEAT_FIELD_RADIUS_U_MM, r->radius_u_mm);
    draft_number(d, RESEAT_FIELD_GAUGE_DIAMETER_MM, options[OPT_DIAMETER].number);
    draft_number(d, RESEAT_FIELD_GAUGE_DIAMETER_U_MM,
                 json_if(options[OPT_DIAMETER_U].given, options[OPT_DIAMETER_U].number));
    draft_numbers(d, RESEAT_FIELD_DIRS_DEG, r->dirs_deg, r->dirs);
    draft_numbers(d, RESEAT_FIELD_RADII_MM, r->radii_mm, r->dirs);
}

static void fill(const reseat_reduction *r, draft *d)
{
    const arguments *args = d->args;
    draft_options(d);
    draft_pair(d, OPT_OFFSET, r->offset_mm);
    draft_number(d, RESEAT_FIELD_OFFSET_U_MM, r->offset_u_mm);
    draft_number(d, RESEAT_FIELD_OFFSET_DOF, json_if(r->dof > 0, (double)r->dof));
    fill_radius(r, d);
    draft_number(d, RESEAT_FIELD_TOUCHES, (double)r->touches);
    draft_number(d, RESEAT_FIELD_FORM_MM, r->form_mm);
    draft_number(d, RESEAT_FIELD_REPEATABILITY_MM,
                 json_if(r->has_repeatability, r->repeatability_mm));
    draft_text(d, RESEAT_FIELD_GAUGE, args->options[OPT_GAUGE].text);
    if (args->fields[RESEAT_FIELD_GAUGE_ID].given)
        draft_pair(d, OPT_READING, r->reading_mm);
    draft_words(d, RESEAT_FIELD_DOUBTS, r->doubt, r->doubts);
}

/* A run is of a probe, and has an offset. */
static bool make_record(arguments *args, const reduced *found, draft *d)
{
    const reseat_reduction *const r = &found->reduction;
    if (!r->has_offset)
        return refuse(args, "--record", reseat_advice_text(RESEAT_ADVICE_TURNS));
    if (r->doubts > 0 && !args->options[OPT_DESPITE_DOUBTS].given)
        return reduction_refuse_doubts(args, "--record", found, "; or add --despite-doubts");
    *d = draft_begin(args, RESEAT_RECORD_RUN);
    fill(r, d);
    if (!draft_is_sound(d))
        return false;
    draft_choose_probe(d);
    return draft_is_sound(d) &&
           (reseat_record_has(d->record, RESEAT_FIELD_PROBE) ||
            refuse(args, "--probe", "expected which probe this was"));
}

/* What the log has a run recorded in says of the probe. */
static bool read_policy(arguments *args, reseat_record **policy)
{
    return recording_needs_seat(args) &&
           log_target_set(args, args->options[OPT_RECORD_IN].text) &&
           log_succeeded(args, reseat_state_policy(&args->log, policy, &args->error));
}

static void reduce(arguments *args)
{
    reduced found = {.count = 0};
    reseat_record *policy = NULL;
    const finding f = {&found, screen, keys};
    const reseat_reduction *const r = &found.reduction;
    const bool records = args->options[OPT_RECORD_IN].given;
    draft d = {.args = args};
    const bool read = finding_check(args) && (!records || read_policy(args, &policy)) &&
                      recording_gauge(args) && reduction_read(args, args->words[0], policy, &found);
    reseat_record_free(policy);
    if (!read)
        return;
    found.gauge_overdue = args->gauge_standing == RESEAT_GAUGE_OVERDUE;
    if (!records || make_record(args, &found, &d)) {
        if (args->json && !r->has_offset)
            fprintf(stderr, "reseat: no offset: %s\n", reseat_advice_text(RESEAT_ADVICE_TURNS));
        finding_finish(args, &f, records ? &d : NULL);
    }
    draft_end(&d);
}

void run_reduce(arguments *args)
{
    if (args->word_count != 1)
        refuse(args, "",
               "expected one file of touches, or - for standard input; see reseat reduce --help");
    else
        reduce(args);
}
