/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which folder, which spindle, which time. */

#include "log_target.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "show/words.h"

/* A variable of the environment that is set and not empty. */
static const char *variable(const char *name)
{
    const char *value = getenv(name);
    return value && value[0] ? value : NULL;
}

const char *log_target_spindle(const arguments *args)
{
    return args->word_count > 0 ? args->words[0] : variable("RESEAT_SPINDLE");
}

const char *log_target_person(void)
{
    return variable("RESEAT_BY");
}

const char *log_target_folder(const arguments *args)
{
    const char *dir = args->options[OPT_LOG].text;
    return dir ? dir : variable("RESEAT_LOG");
}

bool log_target_set(arguments *args, const char *spindle)
{
    const option_value *known = &args->options[OPT_AS_KNOWN];
    const option_value *as_of = &args->options[args->options[OPT_AS_OF].given ? OPT_AS_OF
                                                                              : OPT_AS_KNOWN];
    args->log = (reseat_state_request){
        .dir = log_target_folder(args),
        .spindle = spindle,
        .probe = args->options[OPT_PROBE].text,
        .tip = args->options[OPT_TIP].text,
        .as_of = as_of->given ? as_of->time : (int64_t)time(NULL),
        .ahead = as_of->given ? 0 : INT64_MAX,
        .as_known = known->given ? known->time : 0,
        .despite_damage = args->options[OPT_DESPITE_DAMAGE].given,
    };
    return args->log.dir ||
           refuse(args, "", "no folder of logs: type --log DIR, or set RESEAT_LOG to it");
}

bool log_target_read(arguments *args)
{
    const char *spindle = log_target_spindle(args);
    if (!log_target_set(args, spindle))
        return false;
    if (!spindle)
        return refuse(args, "", "no SPINDLE: type its name");
    return args->word_count <= 1 || refuse(args, args->words[1], "one word too many; see --help");
}

bool log_target_share(arguments *args)
{
    args->log.whole = true;
    return succeeded(args, reseat_folder_open(args->log.dir, &args->log.folder),
                     args->log.spindle ? args->log.spindle : "overview");
}

/* Adds what logs there are to the end of a text, the nearest name first asked after. */
static void add_logs(char *text, size_t size, const reseat_log_names *list, const char *spindle)
{
    const char *names[256] = {NULL};
    size_t count = sizeof names / sizeof names[0];
    if (list->count < count)
        count = list->count;
    for (size_t i = 0; i < count; i++)
        names[i] = list->names[i];
    size_t used = strlen(text);
    const size_t nearest = reseat_text_nearest(spindle, names, count);
    if (nearest < count)
        used += (size_t)snprintf(text + used, size - used, "; did you mean %s?", names[nearest]);
    if (nearest < count && count == 1)
        return;
    const char *between = nearest < count ? " Logs there: " : "; logs there: ";
    for (size_t i = 0; i < count && used + RESEAT_LOG_NAME_SIZE + 16 < size; i++, between = ", ")
        used += (size_t)snprintf(text + used, size - used, "%s%s", between, names[i]);
}

bool log_succeeded(arguments *args, reseat_status status)
{
    reseat_error *error = &args->error;
    const char *spindle = args->log.spindle ? args->log.spindle : "";
    bool there = false;
    reseat_log_names list;
    if (status == RESEAT_ERR_NOT_FOUND && strcmp(spindle, RESEAT_LOG_GAUGES) != 0 &&
        reseat_log_list(args->log.dir, &list, NULL) == RESEAT_OK) {
        for (size_t i = 0; i < list.count; i++)
            there = there || strcmp(list.names[i], spindle) == 0;
        if (!there && list.count > 0)
            add_logs(error->text, sizeof error->text, &list, spindle);
        reseat_log_names_free(&list);
    }
    return succeeded(args, status, NULL);
}

bool log_target_state(arguments *args, reseat_state *state)
{
    return log_succeeded(args, reseat_state_read(&args->log, state, &args->error));
}

bool log_target_outlook(arguments *args, const reseat_state *state, reseat_outlook *outlook)
{
    if (!log_succeeded(args, reseat_outlook_find(&args->log, state, outlook, &args->error)))
        return false;
    if (outlook->bad_lines > 0)
        fprintf(stderr, "reseat: damage was ignored, as asked: %" PRIu64 " bad line%s\n",
                outlook->bad_lines, words_s(outlook->bad_lines));
    return true;
}
