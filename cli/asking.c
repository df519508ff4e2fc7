/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From the command line to a question: an offset that is typed, or a spindle's log. */

#include "commands.h"

#include <string.h>

/* Options that stand in for what a log would say. */
static const option_id typed_only[] = {OPT_RUN_SEAT, OPT_SPINDLE_PART, OPT_RADII,     OPT_U_RUN,
                                       OPT_U_SEAT,   OPT_U_TURN,       OPT_U_SPINDLE, OPT_U_TOUCH,
                                       OPT_LOBING};
/* Options that a log alone can answer. */
static const option_id log_only[] = {OPT_LOG,    OPT_PROBE,         OPT_TIP,
                                     OPT_AS_OF,  OPT_DESPITE_DAMAGE, OPT_RECORD,
                                     OPT_RECORD_FOUND};

static int refuse_any(const arguments *args, const option_id *options, size_t count,
                      const char *text)
{
    char key[64];
    for (size_t i = 0; i < count; i++) {
        if (!args->options[options[i]].given)
            continue;
        snprintf(key, sizeof key, "--%s", option_table()[options[i]].name);
        return text_refuse(args, EXIT_INPUT, key, text);
    }
    return EXIT_DONE;
}

static int ask_log(const arguments *args, const char *spindle, asking *asked)
{
    const option_value *seat = &args->options[OPT_SEAT];
    const option_value *in_use = &args->options[OPT_IN_USE];
    reseat_standing_typed typed = {
        .seat = seat->given ? &seat->seat : NULL,
        .in_use_mm = in_use->given ? &in_use->pair : NULL,
        .confidence = args->options[OPT_CONFIDENCE].number,
        .no_limit = !command_takes(args->command, OPT_LIMIT),
    };
    reseat_error error = {0};
    int exit = typed_limit(args, &typed.limit_mm);
    asked->dir = exit == EXIT_DONE ? where_dir(args, &exit) : NULL;
    if (!asked->dir)
        return exit;

    const reseat_standing_query query = where_query(args, asked->dir, spindle);
    reseat_status status = reseat_standing_read(&query, &asked->standing, &error);
    if (status != RESEAT_OK)
        return where_fail(args, status, asked->dir, spindle, &error);
    status = reseat_standing_ask(&asked->standing, &typed, &asked->logged);
    if (status == RESEAT_ERR_NOT_FOUND)
        return text_refuse(args, EXIT_INPUT, "",
                           "no limit: type --limit L or --tolerance T, or record a policy "
                           "with --limit");
    if (status == RESEAT_OK)
        status = reseat_seat_format(&asked->logged.seat, asked->seat);
    if (status != RESEAT_OK)
        return text_status(args, status, spindle);
    asked->question = &asked->logged.question;
    asked->source = asked->logged.source;
    asked->in_use_typed = in_use->given;
    return EXIT_DONE;
}

int asking_begin(const arguments *args, asking *asked)
{
    const bool offset = args->options[OPT_OFFSET].given;
    memset(asked, 0, sizeof *asked);
    if (args->word_count > (offset ? 0 : 1))
        return text_refuse(args, EXIT_INPUT, args->words[offset ? 0 : 1],
                           offset ? "a SPINDLE and --offset exclude each other"
                                  : "one word too many; see --help");
    if (offset) {
        const int exit = refuse_any(args, log_only, sizeof log_only / sizeof log_only[0],
                                    "goes with a SPINDLE, not with --offset");
        return exit == EXIT_DONE ? typed_question(args, asked) : exit;
    }
    const char *spindle = where_spindle(args);
    if (!spindle)
        return text_refuse(args, EXIT_INPUT, "",
                           command_takes(args->command, OPT_OFFSET)
                               ? "no SPINDLE: type its name, or --offset X,Y as stored in the "
                                 "control"
                               : "no SPINDLE: type its name");
    asked->from_log = true;
    const int exit = refuse_any(args, typed_only, sizeof typed_only / sizeof typed_only[0],
                                "goes with --offset; with a SPINDLE the log and its policy say it");
    return exit == EXIT_DONE ? ask_log(args, spindle, asked) : exit;
}

void asking_end(asking *asked)
{
    if (asked->from_log)
        reseat_standing_free(&asked->standing);
}
