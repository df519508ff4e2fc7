/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reduction.h"

#include <stdlib.h>
#include <string.h>
#include "files.h"
#include "show/sentences.h"

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

static void take_policy(const reseat_record *policy, reseat_reduce_setup *setup)
{
    setup->u_touch_mm = reseat_record_number(policy, RESEAT_FIELD_U_TOUCH_MM, setup->u_touch_mm);
    setup->lobing_mm = reseat_record_number(policy, RESEAT_FIELD_LOBING_MM, setup->lobing_mm);
    if (reseat_record_has(policy, RESEAT_FIELD_LOBING_MM))
        setup->assumed &= ~(1u << RESEAT_ASSUMED_LOBING);
}

static bool read_setup(arguments *args, const reseat_record *policy, reseat_reduce_setup *setup)
{
    const option_value *options = args->options;
    const reseat_gauge_kind kind = options[OPT_GAUGE].gauge;
    if (!options[OPT_GAUGE].given)
        return refuse(args, "--gauge", "expected ring, plug, sphere, bore or boss");
    if (!options[OPT_DIAMETER].given && kind != RESEAT_GAUGE_BORE && kind != RESEAT_GAUGE_BOSS)
        return refuse(args, "--diameter", "expected the certified diameter of the gauge");
    if (options[OPT_CENTRE].given != options[OPT_CENTRE_U].given)
        return refuse(args, "--centre", "goes together with --centre-u, its standard uncertainty");
    *setup = reseat_reduce_assumed(options[OPT_GAUGE].gauge, options[OPT_DIAMETER].number);
    reseat_gauge *const g = &setup->gauge;
    take(args, OPT_DIAMETER_U, &g->diameter_u_mm, &setup->assumed, 1u << RESEAT_ASSUMED_GAUGE_U);
    take(args, OPT_TEMPERATURE, &g->temperature_c, &setup->assumed, assumed_temperature);
    take(args, OPT_TEMPERATURE_U, &g->temperature_u_c, &setup->assumed, 0);
    take(args, OPT_EXPANSION, &g->expansion_per_k, &setup->assumed, assumed_expansion);
    take(args, OPT_EXPANSION_U, &g->expansion_u_per_k, &setup->assumed, 0);
    take_policy(policy, setup);
    take(args, OPT_U_TOUCH, &setup->u_touch_mm, &setup->assumed, 0);
    setup->centre_known = options[OPT_CENTRE].given;
    setup->centre_mm = options[OPT_CENTRE].pair;
    setup->centre_u_mm = options[OPT_CENTRE_U].number;
    setup->in_use_known = options[OPT_IN_USE].given;
    setup->in_use_mm = options[OPT_IN_USE].pair;
    return true;
}

static bool read_touches(arguments *args, const char *file, reduced *found)
{
    size_t length;
    reseat_touches read;
    char *bytes = file_load(args, file, &length);
    if (!bytes)
        return false;
    const reseat_status status = reseat_touches_read(bytes, length, found->touches,
                                                     RESEAT_TOUCHES_MAX, &read, &args->error);
    free(bytes);
    found->count = read.count;
    return succeeded_in_file(args, status, file);
}

static void note_outliers(reduced *found)
{
    for (size_t i = 0; i < found->count; i++)
        if (found->results[i].outlier)
            found->outliers[found->outlier_count++] =
                (outlier){found->touches[i].line, found->results[i].residual_mm};
}

/* With --drop-outliers again and again, until none is left. */
static bool reduce(arguments *args, const char *file, reduced *found)
{
    const reseat_reduction *const r = &found->reduction;
    found->dropped = args->options[OPT_DROP_OUTLIERS].given;
    do {
        const reseat_status status = reseat_reduce(found->touches, found->count, &found->setup,
                                                   found->results, &found->reduction,
                                                   &args->error);
        if (!succeeded_in_file(args, status, file))
            return false;
        note_outliers(found);
        if (found->dropped)
            found->count = reseat_reduce_keep(found->touches, found->count, found->results);
    } while (found->dropped && r->outliers > 0);
    return true;
}

void reduction_print_doubts(FILE *out, const reduced *found, reseat_unit unit)
{
    char text[SENTENCE_SIZE];
    const reseat_reduction *const r = &found->reduction;
    for (size_t i = 0; i < r->doubts; i++) {
        doubt_sentence(r->doubt[i], r, found->touches, found->results, unit, text, sizeof text);
        fprintf(out, "%s: %s\n", out == stderr ? "reseat" : "now", text);
    }
}

bool reduction_refuse_doubts(arguments *args, const char *key, const reduced *found,
                             const char *otherwise)
{
    char text[SENTENCE_SIZE] = "";
    const reseat_reduction *const r = &found->reduction;
    for (size_t i = 0; i < r->doubts; i++) {
        char one[SENTENCE_SIZE / 4];
        const size_t length = strlen(text);
        doubt_sentence(r->doubt[i], r, found->touches, found->results, args->unit, one,
                       sizeof one);
        snprintf(text + length, sizeof text - length, "%s%s", i > 0 ? "; " : "", one);
    }
    strncat(text, otherwise, sizeof text - strlen(text) - 1);
    return refuse(args, key, text);
}

bool reduction_read(arguments *args, const char *file, const reseat_record *policy,
                    reduced *found)
{
    return read_setup(args, policy, &found->setup) && read_touches(args, file, found) &&
           reduce(args, file, found);
}
