/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat find-seat: how the probe is turned, from one gauge check. */

#include "found.h"
#include "reduced.h"
#include "recorded.h"

#include <stdio.h>
#include <stdlib.h>

static int refuse_shift(const arguments *args)
{
    const bool files = args->options[OPT_THEN].given || args->options[OPT_NOW].given;
    if (args->options[OPT_SHIFT].given && files)
        return text_refuse(args, EXIT_INPUT, "--shift", "does not go together with --then and "
                                                        "--now");
    if (files && !(args->options[OPT_THEN].given && args->options[OPT_NOW].given))
        return text_refuse(args, EXIT_INPUT, args->options[OPT_THEN].given ? "--then" : "--now",
                           "--then and --now go together");
    return files ? EXIT_DONE : found_check_shift(args);
}

/* Options that say nothing without others. */
static int refuse_rest(const arguments *args)
{
    static const option_id gauge[] = {OPT_GAUGE,         OPT_DIAMETER,  OPT_DIAMETER_U,
                                      OPT_TEMPERATURE,   OPT_TEMPERATURE_U,
                                      OPT_EXPANSION,     OPT_EXPANSION_U};
    char key[64];
    for (size_t i = 0; !args->options[OPT_THEN].given && i < sizeof gauge / sizeof gauge[0]; i++) {
        snprintf(key, sizeof key, "--%s", option_table()[gauge[i]].name);
        if (args->options[gauge[i]].given)
            return text_refuse(args, EXIT_INPUT, key, "goes with --then and --now only");
    }
    if (args->options[OPT_RECORD_FOUND].given && args->options[OPT_AS_OF].given)
        return text_refuse(args, EXIT_INPUT, "--as-of", "does not go together with --record: a "
                                                        "check is recorded when it is made");
    return args->options[OPT_RECORD_FOUND].given
               ? EXIT_DONE
               : recorded_refuse_fields(args, "goes with --record only");
}

int found_check_shift(const arguments *args)
{
    if (!args->options[OPT_SHIFT].given)
        return text_refuse(args, EXIT_INPUT, "--shift",
                           "expected by how much the gauge reads off now, DX,DY");
    if (!args->options[OPT_SHIFT_U].given)
        return text_refuse(args, EXIT_INPUT, "--shift-u",
                           "expected the standard uncertainty of the shift");
    return EXIT_DONE;
}

int found_by_shift(const arguments *args, const asking *asked, reseat_found *found)
{
    const reseat_question *question = asked->question;
    typed_warn_if_large(args, OPT_SHIFT);
    const reseat_status status =
        reseat_find_seat(&question->estimate, &question->turns, args->options[OPT_SHIFT].pair,
                         args->options[OPT_SHIFT_U].number, found);
    return status == RESEAT_OK ? EXIT_DONE : text_status(args, status, "--shift");
}

static int reduce_both(const arguments *args, reduced *then, reduced *now)
{
    int exit = reduced_read(args, args->options[OPT_THEN].text, then);
    if (exit == EXIT_DONE)
        exit = reduced_read(args, args->options[OPT_NOW].text, now);
    return exit;
}

static int find_by_touches(const arguments *args, const asking *asked, const reduced *then,
                           const reduced *now, reseat_found *found)
{
    const reseat_question *question = asked->question;
    const bool offsets = then->reduction.has_offset && now->reduction.has_offset;
    const option_value *u = &args->options[OPT_SHIFT_U];
    if (offsets && u->given)
        return text_refuse(args, EXIT_INPUT, "--shift-u",
                           "the spindle was turned both times: the touches bring their own");
    if (!offsets && !u->given)
        return text_refuse(args, EXIT_INPUT, "--shift-u",
                           "expected the standard uncertainty of the gauge's centre, both times "
                           "together");
    const reseat_status status =
        reseat_find_seat_by_touches(&question->estimate, &question->turns, &then->reduction,
                                    &now->reduction, u->number, found);
    if (status == RESEAT_ERR_SINGULAR)
        return text_refuse(args, EXIT_INPUT, "--now",
                           "expected the spindle turned both times, or at its stop both times");
    return status == RESEAT_OK ? EXIT_DONE : text_status(args, status, "--now");
}

static int find_from_files(const arguments *args, const asking *asked, reseat_found *found)
{
    reduced *both = calloc(2, sizeof *both);
    if (!both)
        return text_status(args, RESEAT_ERR_MEMORY, "find-seat");
    int exit = reduce_both(args, &both[0], &both[1]);
    if (exit == EXIT_DONE)
        exit = find_by_touches(args, asked, &both[0], &both[1], found);
    free(both);
    return exit;
}

int cmd_find_seat(const arguments *args)
{
    asking asked;
    reseat_found found;
    const bool files = args->options[OPT_THEN].given;
    int exit = refuse_shift(args);
    if (exit == EXIT_DONE)
        exit = refuse_rest(args);
    if (exit != EXIT_DONE)
        return exit;
    exit = asking_begin(args, &asked);
    if (exit == EXIT_DONE)
        exit = files ? find_from_files(args, &asked, &found) : found_by_shift(args, &asked, &found);
    if (exit == EXIT_DONE)
        exit = found_finish(args, &asked, &found);
    asking_end(&asked);
    return exit;
}
