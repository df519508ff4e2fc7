/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat reduce TOUCHES.csv: from the touches of a gauge to offset and radius. */

#include "commands.h"

#include <stdlib.h>
#include "log_target.h"
#include "recording.h"
#include "reduction.h"

static void fill(const reseat_reduction *r, draft *d)
{
    const option_value *options = d->args->options;
    const option_value *temperature = &options[OPT_TEMPERATURE];
    draft_options(d);
    draft_pair(d, OPT_OFFSET, r->offset_mm);
    draft_number(d, RESEAT_FIELD_OFFSET_U_MM, r->offset_u_mm);
    draft_number(d, RESEAT_FIELD_OFFSET_DOF, json_if(r->dof > 0, (double)r->dof));
    draft_number(d, RESEAT_FIELD_RADIUS_MM, r->radius_mm);
    draft_number(d, RESEAT_FIELD_RADIUS_U_MM, r->radius_u_mm);
    draft_number(d, RESEAT_FIELD_GAUGE_DIAMETER_MM, options[OPT_DIAMETER].number);
    draft_number(d, RESEAT_FIELD_TEMPERATURE_C, json_if(temperature->given, temperature->number));
    draft_number(d, RESEAT_FIELD_TOUCHES, (double)r->touches);
    draft_number(d, RESEAT_FIELD_FORM_MM, r->form_mm);
    draft_number(d, RESEAT_FIELD_REPEATABILITY_MM,
                 json_if(r->has_repeatability, r->repeatability_mm));
    draft_text(d, RESEAT_FIELD_GAUGE, options[OPT_GAUGE].text);
    draft_numbers(d, RESEAT_FIELD_DIRS_DEG, r->dirs_deg, r->dirs);
    draft_numbers(d, RESEAT_FIELD_RADII_MM, r->radii_mm, r->dirs);
}

/* A run is of a probe, and has an offset. */
static bool make_record(arguments *args, const reseat_reduction *r, draft *d)
{
    if (!r->has_offset)
        return refuse(args, "--record", reseat_advice_text(RESEAT_ADVICE_TURNS));
    *d = draft_begin(args, RESEAT_RECORD_RUN);
    fill(r, d);
    if (!draft_is_sound(d))
        return false;
    const char *dir = log_target_dir(args);
    if (!dir)
        return false;
    draft_choose_probe(d, dir, args->options[OPT_RECORD_IN].text);
    return draft_is_sound(d) &&
           (reseat_record_has(d->record, RESEAT_FIELD_PROBE) ||
            refuse(args, "--probe", "expected which probe this was"));
}

static void reduce(arguments *args, const char *file, reduced *found)
{
    const finding f = {found, reduced_screen, reduced_keys};
    const reseat_reduction *const r = &found->reduction;
    const bool records = args->options[OPT_RECORD_IN].given;
    draft d = {.args = args};
    if (!finding_check(args) || (records && !recording_needs_seat(args)) ||
        !reduction_read(args, file, found))
        return;
    if (!records || make_record(args, r, &d)) {
        if (args->json && !r->has_offset)
            fprintf(stderr, "reseat: no offset: %s\n", reseat_advice_text(RESEAT_ADVICE_TURNS));
        finding_finish(args, &f, records ? &d : NULL);
    }
    draft_end(&d);
}

void run_reduce(arguments *args)
{
    if (args->word_count != 1) {
        refuse(args, "",
               "expected one file of touches, or - for standard input; see reseat reduce --help");
        return;
    }
    reduced *found = calloc(1, sizeof *found);
    if (found)
        reduce(args, args->words[0], found);
    else
        fail_status(args, RESEAT_ERR_MEMORY, "reduce");
    free(found);
}
