/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "request.h"

#include <stdlib.h>
#include <string.h>
#include "files.h"
#include "log_target.h"

/* Options that stand in for what a log would say. */
static const option_id typed_only[] = {OPT_RUN_SEAT, OPT_SPINDLE_PART, OPT_RADII,     OPT_U_RUN,
                                       OPT_U_SEAT,   OPT_U_TURN,       OPT_U_SPINDLE, OPT_U_TOUCH,
                                       OPT_LOBING};
/* Options that a log alone can answer. */
static const option_id log_only[] = {OPT_LOG,   OPT_PROBE,          OPT_TIP,
                                     OPT_AS_OF, OPT_AS_KNOWN, OPT_DESPITE_DAMAGE, OPT_RECORD,
                                     OPT_RECORD_FOUND};

bool request_without(arguments *args, const option_id *options, size_t count, const char *text)
{
    for (size_t i = 0; i < count; i++)
        if (args->options[options[i]].given)
            return refuse(args, option_key(option_table()[options[i]].name).text, text);
    return true;
}

bool request_format(arguments *args, bool *csv)
{
    const option_value *format = &args->options[OPT_FORMAT];
    *csv = format->given && strcmp(format->text, "csv") == 0;
    if (format->given && !*csv && strcmp(format->text, "table") != 0)
        return refuse(args, "--format", "expected table or csv");
    return !format->given || !args->json ||
           refuse(args, "--format", "does not go together with --json");
}

static void set_terms(const arguments *args, reseat_estimate *estimate)
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
static bool set_radii(arguments *args, request *asked)
{
    const char *name = args->options[OPT_RADII].text;
    double radii_mm[RESEAT_RADIUS_COUNT_MAX];
    size_t length;
    reseat_estimate *estimate = &asked->typed.estimate;
    char *bytes = name ? file_load(args, name, &length) : NULL;
    if (!bytes)
        return !name;
    const reseat_status read =
        reseat_radius_read(bytes, length, asked->dirs_deg, radii_mm, RESEAT_RADIUS_COUNT_MAX,
                           &estimate->dirs, &args->error);
    free(bytes);
    estimate->curve = &asked->curve;
    estimate->dirs_deg = asked->dirs_deg;
    return succeeded_in_file(args, read, name) &&
           succeeded(args, reseat_radius_fit(asked->dirs_deg, radii_mm, estimate->dirs,
                                             &asked->curve), "--radii");
}

/* The limit that is typed, 0 if none is. */
static bool read_limit(arguments *args, double *limit_mm)
{
    const option_value *limit = &args->options[OPT_LIMIT];
    const option_value *tolerance = &args->options[OPT_TOLERANCE];
    const option_value *share = &args->options[OPT_SHARE];
    *limit_mm = limit->number;
    if (!command_takes(args->command, OPT_LIMIT))
        return true;
    if (limit->given && tolerance->given)
        return refuse(args, "--limit",
                      "does not go together with --tolerance: type one of the two");
    if (share->given && !tolerance->given)
        return refuse(args, "--share", "goes with --tolerance only");
    if (!tolerance->given)
        return true;
    return succeeded(args, reseat_verdict_limit(tolerance->number,
                                                share->given ? share->number : RESEAT_SHARE,
                                                limit_mm), "--tolerance");
}

/* Offset, seat and what goes with them. */
static reseat_status begin_typed(const arguments *args, request *asked)
{
    static const reseat_seat any = {.kind = RESEAT_SEAT_ANY};
    const option_value *options = args->options;
    const reseat_seat *seat = options[OPT_SEAT].given ? &options[OPT_SEAT].seat : &any;
    reseat_question *question = &asked->typed;
    asked->question = question;
    asked->source = options[OPT_SEAT].given ? RESEAT_SOURCE_TYPED : RESEAT_SOURCE_DEFAULT;
    reseat_status status = reseat_verdict_question(
        options[OPT_OFFSET].pair, options[OPT_RUN_SEAT].number, seat, question);
    if (status == RESEAT_OK)
        status = reseat_seat_format(seat, asked->seat);
    if (status == RESEAT_OK && options[OPT_SPINDLE_PART].given)
        status = reseat_estimate_set_spindle(&question->estimate, options[OPT_SPINDLE_PART].pair);
    if (options[OPT_IN_USE].given)
        question->estimate.in_use_mm = options[OPT_IN_USE].pair;
    if (options[OPT_CONFIDENCE].given)
        question->confidence = options[OPT_CONFIDENCE].number;
    return status;
}

bool request_typed(arguments *args, request *asked)
{
    reseat_question *question = &asked->typed;
    if (!succeeded(args, begin_typed(args, asked), "--offset"))
        return false;
    set_terms(args, &question->estimate);
    if (!set_radii(args, asked) || !read_limit(args, &question->limit_mm))
        return false;
    if (command_takes(args->command, OPT_LIMIT) && !(question->limit_mm > 0))
        return refuse(args, "", "no limit: type --limit L (largest error the probe may add), or "
                      "--tolerance T");
    return true;
}

reseat_status request_ask(request *asked, const reseat_state_typed *beside, reseat_error *error)
{
    asked->from_log = true;
    reseat_status status = reseat_state_ask(&asked->state, beside, &asked->logged, error);
    if (status == RESEAT_OK)
        status = reseat_seat_format(&asked->logged.seat, asked->seat);
    asked->question = &asked->logged.question;
    asked->source = asked->logged.source;
    return status;
}

static bool ask_log(arguments *args, const char *spindle, request *asked)
{
    const option_value *seat = &args->options[OPT_SEAT];
    const option_value *in_use = &args->options[OPT_IN_USE];
    asked->beside = (reseat_state_typed){
        .seat = seat->given ? &seat->seat : NULL,
        .in_use_mm = in_use->given ? &in_use->pair : NULL,
        .confidence = args->options[OPT_CONFIDENCE].number,
        .no_limit = !command_takes(args->command, OPT_LIMIT),
    };
    if (!read_limit(args, &asked->beside.limit_mm) || !log_target_set(args, spindle) ||
        (args->command == CMD_SUSPECT && !log_target_share(args)) ||
        !log_target_state(args, &asked->state))
        return false;
    const reseat_status status = request_ask(asked, &asked->beside, &args->error);
    if (status == RESEAT_ERR_NOT_FOUND || status == RESEAT_ERR_REFUSED)
        return refuse(args, "", args->error.text);
    return succeeded(args, status, spindle);
}

static bool begin(arguments *args, request *asked)
{
    const bool offset = args->options[OPT_OFFSET].given;
    if (args->word_count > (offset ? 0 : 1))
        return refuse(args, args->words[offset ? 0 : 1],
                      offset ? "a SPINDLE and --offset exclude each other"
                             : "one word too many; see --help");
    if (offset)
        return request_without(args, log_only, sizeof log_only / sizeof log_only[0],
                               "goes with a SPINDLE, not with --offset") &&
               request_typed(args, asked);
    const char *spindle = log_target_spindle(args);
    if (!spindle)
        return refuse(args, "",
                      command_takes(args->command, OPT_OFFSET)
                          ? "no SPINDLE: type its name, or --offset X,Y"
                          : "no SPINDLE: type its name");
    return request_without(args, typed_only, sizeof typed_only / sizeof typed_only[0],
                           "goes with --offset; with a SPINDLE the log and its policy say it") &&
           ask_log(args, spindle, asked);
}

void request_answer(arguments *args, bool (*answer)(arguments *args, const request *asked))
{
    request asked = {0};
    if (begin(args, &asked))
        (void)answer(args, &asked);
    reseat_state_free(&asked.state);
}

bool request_half_turn(arguments *args, reseat_xy *offset_mm, double *u_mm)
{
    const option_value *options = args->options;
    const option_value *u = &options[OPT_READING_U];
    if (!options[OPT_AT_0].given || !options[OPT_AT_180].given)
        return refuse(args, options[OPT_AT_0].given ? "--at-180" : "--at-0",
                      "expected the centre as read there: --at-0 and --at-180 go together");
    const reseat_status status =
        reseat_half_turn_offset(options[OPT_AT_0].pair, options[OPT_AT_180].pair,
                                u->given ? u->number : RESEAT_READING_U_MM, offset_mm, u_mm);
    if (status == RESEAT_ERR_SINGULAR)
        return refuse(args, "--at-180", "the same as --at-0: turn the spindle by 180, read again");
    return succeeded(args, status, "--at-180");
}

bool request_find_seat(arguments *args, const request *asked, reseat_found *found)
{
    const reseat_question *question = asked->question;
    const option_value *options = args->options;
    const reseat_xy shift_mm = options[OPT_SHIFT].pair;
    reseat_xy offset_mm;
    double u_mm = options[OPT_SHIFT_U].number;
    if (!options[OPT_AT_0].given)
        return succeeded(args, reseat_find_seat(&question->estimate, &question->turns, shift_mm,
                                                u_mm, found), "--shift");
    return request_half_turn(args, &offset_mm, &u_mm) &&
           succeeded(args, reseat_find_seat_by_offset(&question->estimate, &question->turns,
                                                      offset_mm, u_mm, found), "--at-180");
}
