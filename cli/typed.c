/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From typed values to a question. */

#include "commands.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* A slip in the unit shows as a large number: said, not refused, as star styli are that long. */
void typed_warn_if_large(const arguments *args, option_id id)
{
    const option_value *value = &args->options[id];
    char x[TEXT_SIZE], y[TEXT_SIZE];
    if (value->given && !args->json && (fabs(value->pair.x) > 1 || fabs(value->pair.y) > 1))
        fprintf(stderr, "reseat: --%s: read as X %s mm, Y %s mm: unusually large: unit?\n",
                option_table()[id].name, text_length(x, value->pair.x, RESEAT_MM, 0),
                text_length(y, value->pair.y, RESEAT_MM, 0));
}

static void give_terms(const arguments *args, reseat_estimate *estimate)
{
    static const struct {
        option_id option;
        reseat_term term;
    } terms[] = {
        {OPT_U_RUN, RESEAT_TERM_RUN},         {OPT_U_SEAT, RESEAT_TERM_SEAT},
        {OPT_U_TURN, RESEAT_TERM_TURN},       {OPT_U_SPINDLE, RESEAT_TERM_SPINDLE},
        {OPT_U_TOUCH, RESEAT_TERM_TOUCH},     {OPT_LOBING, RESEAT_TERM_LOBING},
    };
    for (size_t i = 0; i < sizeof terms / sizeof terms[0]; i++) {
        const option_value *value = &args->options[terms[i].option];
        if (value->given) /* finite and 0 or more, as it was read */
            (void)reseat_terms_set(&estimate->terms, terms[i].term, value->number);
    }
}

/* Radii by direction from a file. */
static int give_radii(const arguments *args, asking *asked)
{
    const char *name = args->options[OPT_RADII].text;
    double radii_mm[RESEAT_RADIUS_COUNT_MAX];
    size_t length, count;
    int exit;
    reseat_error error = {0};
    if (!name)
        return EXIT_DONE;
    char *bytes = file_load(args, name, &length, &exit);
    if (!bytes)
        return exit;
    const reseat_status read = reseat_radius_read(bytes, length, asked->dirs_deg, radii_mm,
                                                  RESEAT_RADIUS_COUNT_MAX, &count, &error);
    free(bytes);
    if (read != RESEAT_OK)
        return text_fault_in(args, read, name, &error);
    const reseat_status status = reseat_radius_fit(asked->dirs_deg, radii_mm, count, &asked->curve);
    if (status != RESEAT_OK)
        return text_status(args, status, "--radii");
    asked->typed.estimate.curve = &asked->curve;
    asked->typed.estimate.dirs_deg = asked->dirs_deg;
    asked->typed.estimate.dirs = count;
    return EXIT_DONE;
}

int typed_limit(const arguments *args, double *limit_mm)
{
    const option_value *limit = &args->options[OPT_LIMIT];
    const option_value *tolerance = &args->options[OPT_TOLERANCE];
    const option_value *share = &args->options[OPT_SHARE];
    *limit_mm = 0;
    if (!command_takes(args->command, OPT_LIMIT))
        return EXIT_DONE;
    if (limit->given && tolerance->given)
        return text_refuse(args, EXIT_INPUT, "--limit",
                           "does not go together with --tolerance: type one of the two");
    if (share->given && !tolerance->given)
        return text_refuse(args, EXIT_INPUT, "--share", "goes with --tolerance only");

    *limit_mm = limit->number;
    if (!tolerance->given)
        return EXIT_DONE;
    const reseat_status status = reseat_verdict_limit(
        tolerance->number, share->given ? share->number : RESEAT_SHARE, limit_mm);
    return status == RESEAT_OK ? EXIT_DONE : text_status(args, status, "--tolerance");
}

int typed_question(const arguments *args, asking *asked)
{
    const option_value *seat = &args->options[OPT_SEAT];
    const option_value *run_seat = &args->options[OPT_RUN_SEAT];
    const reseat_seat any = {.kind = RESEAT_SEAT_ANY};
    const reseat_seat *known = seat->given ? &seat->seat : &any;
    reseat_question *question = &asked->typed;
    asked->question = question;
    asked->source = seat->given ? RESEAT_SOURCE_TYPED : RESEAT_SOURCE_DEFAULT;

    reseat_status status = reseat_verdict_question(args->options[OPT_OFFSET].pair,
                                                   run_seat->given ? run_seat->number : 0, known,
                                                   question);
    if (status == RESEAT_OK)
        status = reseat_seat_format(known, asked->seat);
    if (status == RESEAT_OK && args->options[OPT_SPINDLE_PART].given)
        status = reseat_estimate_set_spindle(&question->estimate,
                                             args->options[OPT_SPINDLE_PART].pair);
    if (status != RESEAT_OK)
        return text_status(args, status, "--offset");
    if (args->options[OPT_IN_USE].given)
        question->estimate.in_use_mm = args->options[OPT_IN_USE].pair;
    if (args->options[OPT_CONFIDENCE].given)
        question->confidence = args->options[OPT_CONFIDENCE].number;

    give_terms(args, &question->estimate);
    int exit = give_radii(args, asked);
    if (exit == EXIT_DONE)
        exit = typed_limit(args, &question->limit_mm);
    if (exit == EXIT_DONE && command_takes(args->command, OPT_LIMIT) && !(question->limit_mm > 0))
        exit = text_refuse(args, EXIT_INPUT, "", "no limit: type --limit L (largest error the "
                                                 "probe may add), or --tolerance T");
    if (exit != EXIT_DONE)
        return exit;
    typed_warn_if_large(args, OPT_OFFSET);
    typed_warn_if_large(args, OPT_IN_USE);
    typed_warn_if_large(args, OPT_SPINDLE_PART);
    return EXIT_DONE;
}
