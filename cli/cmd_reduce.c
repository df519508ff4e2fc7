/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat reduce TOUCHES.csv: from the touches of a gauge to offset and radius. */

#include "recorded.h"
#include "reduced.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const unsigned assumed_temperature = 1u << RESEAT_ASSUMED_TEMPERATURE;
static const unsigned assumed_expansion = 1u << RESEAT_ASSUMED_EXPANSION;

static void take(const arguments *args, option_id id, double *value, unsigned *assumed,
                 unsigned bit)
{
    if (!args->options[id].given)
        return;
    *value = args->options[id].number;
    *assumed &= ~bit;
}

static int read_setup(const arguments *args, reseat_reduce_setup *setup)
{
    const option_value *kind = &args->options[OPT_GAUGE];
    reseat_gauge_kind gauge;
    reseat_error error = {0};
    if (!kind->given)
        return text_refuse(args, EXIT_INPUT, "--gauge", "expected ring, plug or sphere");
    if (!args->options[OPT_DIAMETER].given)
        return text_refuse(args, EXIT_INPUT, "--diameter",
                           "expected the certified diameter of the gauge");
    if (args->options[OPT_CENTRE].given != args->options[OPT_CENTRE_U].given)
        return text_refuse(args, EXIT_INPUT, "--centre",
                           "goes together with --centre-u, its standard uncertainty");
    if (reseat_gauge_kind_parse(kind->text, strlen(kind->text), &gauge, &error) != RESEAT_OK) {
        snprintf(error.key, sizeof error.key, "--gauge");
        return text_fail(args, EXIT_INPUT, false, &error);
    }
    *setup = reseat_reduce_assumed(gauge, args->options[OPT_DIAMETER].number);
    reseat_gauge *const g = &setup->gauge;
    take(args, OPT_DIAMETER_U, &g->diameter_u_mm, &setup->assumed, 1u << RESEAT_ASSUMED_GAUGE_U);
    take(args, OPT_TEMPERATURE, &g->temperature_c, &setup->assumed, assumed_temperature);
    take(args, OPT_TEMPERATURE_U, &g->temperature_u_c, &setup->assumed, 0);
    take(args, OPT_EXPANSION, &g->expansion_per_k, &setup->assumed, assumed_expansion);
    take(args, OPT_EXPANSION_U, &g->expansion_u_per_k, &setup->assumed, 0);
    take(args, OPT_U_TOUCH, &setup->u_touch_mm, &setup->assumed, 0);
    setup->centre_known = args->options[OPT_CENTRE].given;
    setup->centre_mm = args->options[OPT_CENTRE].pair;
    setup->centre_u_mm = args->options[OPT_CENTRE_U].number;
    return EXIT_DONE;
}

static int read_touches(const arguments *args, const char *file, reduced *found)
{
    size_t length;
    int exit;
    reseat_touches read;
    reseat_error error = {0};
    char *bytes = file_load(args, file, &length, &exit);
    if (!bytes)
        return exit;
    const reseat_status status = reseat_touches_read(bytes, length, found->touches,
                                                     RESEAT_TOUCHES_MAX, &read, &error);
    free(bytes);
    if (status != RESEAT_OK)
        return text_fault_in(args, status, file, &error);
    found->count = read.count;
    return EXIT_DONE;
}

static void note_outliers(reduced *found)
{
    for (size_t i = 0; i < found->count; i++)
        if (found->results[i].outlier)
            found->outliers[found->outlier_count++] =
                (outlier){found->touches[i].line, found->results[i].residual_mm};
}

/* With --drop-outliers again and again, until none is left. */
static int reduce(const arguments *args, const char *file, reduced *found)
{
    const reseat_reduction *const r = &found->reduction;
    found->dropped = args->options[OPT_DROP_OUTLIERS].given;
    do {
        reseat_error error = {0};
        const reseat_status status = reseat_reduce(found->touches, found->count, &found->setup,
                                                   found->results, &found->reduction, &error);
        if (status != RESEAT_OK)
            return text_fault_in(args, status, file, &error);
        note_outliers(found);
        if (found->dropped)
            found->count = reseat_reduce_keep(found->touches, found->count, found->results);
    } while (found->dropped && r->outliers > 0);
    return EXIT_DONE;
}

static reseat_status set_number(reseat_record *record, reseat_field field, bool known,
                                double value, reseat_error *error)
{
    return known ? reseat_record_set_number(record, field, value, error) : RESEAT_OK;
}

static reseat_status fill_numbers(const arguments *args, const reseat_reduction *r,
                                  reseat_record *record, reseat_error *error)
{
    const struct {
        reseat_field field;
        bool known;
        double value;
    } numbers[] = {
        {RESEAT_FIELD_OFFSET_X_MM, true, r->offset_mm.x},
        {RESEAT_FIELD_OFFSET_Y_MM, true, r->offset_mm.y},
        {RESEAT_FIELD_OFFSET_U_MM, true, r->offset_u_mm},
        {RESEAT_FIELD_OFFSET_DOF, r->dof > 0, (double)r->dof},
        {RESEAT_FIELD_RADIUS_MM, true, r->radius_mm},
        {RESEAT_FIELD_RADIUS_U_MM, true, r->radius_u_mm},
        {RESEAT_FIELD_GAUGE_DIAMETER_MM, true, args->options[OPT_DIAMETER].number},
        {RESEAT_FIELD_TEMPERATURE_C, args->options[OPT_TEMPERATURE].given,
         args->options[OPT_TEMPERATURE].number},
        {RESEAT_FIELD_TOUCHES, true, (double)r->touches},
        {RESEAT_FIELD_FORM_MM, true, r->form_mm},
        {RESEAT_FIELD_REPEATABILITY_MM, r->has_repeatability, r->repeatability_mm},
    };
    reseat_status status = RESEAT_OK;
    for (size_t i = 0; status == RESEAT_OK && i < sizeof numbers / sizeof numbers[0]; i++)
        status = set_number(record, numbers[i].field, numbers[i].known, numbers[i].value, error);
    return status;
}

static reseat_status fill(const arguments *args, const reseat_reduction *r, reseat_record *record,
                          reseat_error *error)
{
    reseat_status status = record_fill(args, record, error);
    if (status == RESEAT_OK)
        status = fill_numbers(args, r, record, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_GAUGE,
                                        args->options[OPT_GAUGE].text, error);
    if (status == RESEAT_OK && r->dirs > 0)
        status = reseat_record_set_numbers(record, RESEAT_FIELD_DIRS_DEG, r->dirs_deg, r->dirs,
                                           error);
    if (status == RESEAT_OK && r->dirs > 0)
        status = reseat_record_set_numbers(record, RESEAT_FIELD_RADII_MM, r->radii_mm, r->dirs,
                                           error);
    return status;
}

/* What a run must have, and what goes with --record alone. */
static int check_options(const arguments *args)
{
    const int exit = recorded_check(args);
    if (exit != EXIT_DONE || !args->options[OPT_RECORD_IN].given)
        return exit;
    return record_need_seat(args);
}

static int make_record(const arguments *args, const reseat_reduction *r, reseat_record **record)
{
    if (!r->has_offset)
        return text_refuse(args, EXIT_INPUT, "--record", reseat_advice_text(RESEAT_ADVICE_TURNS));
    reseat_error error = {0};
    reseat_status status = reseat_record_new(RESEAT_RECORD_RUN, record);
    if (status == RESEAT_OK)
        status = fill(args, r, *record, &error);
    if (status != RESEAT_OK)
        return text_fault(args, status, &error);
    int exit = EXIT_DONE;
    const char *dir = where_dir(args, &exit);
    if (dir)
        exit = record_choose_probe(args, dir, args->options[OPT_RECORD_IN].text, *record);
    if (exit != EXIT_DONE || reseat_record_has(*record, RESEAT_FIELD_PROBE))
        return exit;
    return text_refuse(args, EXIT_INPUT, "--probe", "expected which probe this was");
}

int reduced_read(const arguments *args, const char *file, reduced *found)
{
    int exit = read_setup(args, &found->setup);
    if (exit == EXIT_DONE)
        exit = read_touches(args, file, found);
    return exit == EXIT_DONE ? reduce(args, file, found) : exit;
}

static int run(const arguments *args, const char *file, reduced *found)
{
    finding f = {found, reduced_screen, reduced_keys, NULL};
    int exit = check_options(args);
    if (exit == EXIT_DONE)
        exit = reduced_read(args, file, found);
    if (exit == EXIT_DONE && args->options[OPT_RECORD_IN].given)
        exit = make_record(args, &found->reduction, &f.record);
    if (exit == EXIT_DONE && args->json && !found->reduction.has_offset)
        fprintf(stderr, "reseat: no offset: %s\n", reseat_advice_text(RESEAT_ADVICE_TURNS));
    if (exit == EXIT_DONE)
        exit = recorded_finish(args, &f);
    reseat_record_free(f.record);
    return exit;
}

int cmd_reduce(const arguments *args)
{
    if (args->word_count != 1)
        return text_refuse(args, EXIT_INPUT, "", "expected one file of touches, or - for standard "
                                                 "input; see reseat reduce --help");
    reduced *found = calloc(1, sizeof *found);
    if (!found)
        return text_status(args, RESEAT_ERR_MEMORY, "reduce");
    const int exit = run(args, args->words[0], found);
    free(found);
    return exit;
}
