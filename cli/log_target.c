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

const char *log_target_dir(arguments *args)
{
    const char *typed = args->options[OPT_LOG].text;
    const char *dir = typed ? typed : variable("RESEAT_LOG");
    if (!dir)
        refuse(args, "", "no folder of logs: type --log DIR, or set RESEAT_LOG to it");
    return dir;
}

const char *log_target_spindle(const arguments *args)
{
    return args->word_count > 0 ? args->words[0] : variable("RESEAT_SPINDLE");
}

const char *log_target_person(void)
{
    return variable("RESEAT_BY");
}

bool log_target_read(arguments *args, reseat_state_request *query)
{
    const char *dir = log_target_dir(args);
    const char *spindle = log_target_spindle(args);
    if (!dir)
        return false;
    if (!spindle)
        return refuse(args, "", "no SPINDLE: type its name");
    if (args->word_count > 1)
        return refuse(args, args->words[1], "one word too many; see --help");
    *query = log_target_query(args, dir, spindle);
    return true;
}

reseat_state_request log_target_query(const arguments *args, const char *dir,
                                      const char *spindle)
{
    const option_value *known = &args->options[OPT_AS_KNOWN];
    const option_value *as_of = &args->options[args->options[OPT_AS_OF].given ? OPT_AS_OF
                                                                              : OPT_AS_KNOWN];
    return (reseat_state_request){
        .dir = dir,
        .spindle = spindle,
        .probe = args->options[OPT_PROBE].text,
        .tip = args->options[OPT_TIP].text,
        .as_of = as_of->given ? as_of->time : (int64_t)time(NULL),
        .ahead = as_of->given ? 0 : INT64_MAX,
        .as_known = known->given ? known->time : 0,
        .despite_damage = args->options[OPT_DESPITE_DAMAGE].given,
    };
}

/* Adds what logs there are to the end of a text, the nearest name first asked after. */
static void add_logs(char *text, size_t size, const reseat_log_names *list, const char *spindle)
{
    const char *names[256];
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

bool log_target_fail(arguments *args, reseat_status status, const char *dir, const char *spindle,
                     const reseat_error *error)
{
    reseat_error full = *error;
    bool there = false;
    reseat_log_names list;
    if (status == RESEAT_ERR_NOT_FOUND && reseat_log_list(dir, &list, NULL) == RESEAT_OK) {
        for (size_t i = 0; i < list.count; i++)
            there = there || strcmp(list.names[i], spindle) == 0;
        if (!there && list.count > 0)
            add_logs(full.text, sizeof full.text, &list, spindle);
        reseat_log_names_free(&list);
    }
    return fail_error(args, status, &full);
}

bool log_target_share(arguments *args, reseat_state_request *query)
{
    const reseat_status status = reseat_folder_open(query->dir, &query->folder);
    query->whole = true;
    return status == RESEAT_OK || fail_status(args, status, query->spindle);
}

bool log_target_outlook(arguments *args, const reseat_state_request *query,
                        const reseat_state *state, reseat_outlook *outlook)
{
    reseat_error error = {0};
    const reseat_status status = reseat_outlook_find(query, state, outlook, &error);
    if (status != RESEAT_OK)
        return log_target_fail(args, status, query->dir, query->spindle, &error);
    if (outlook->bad_lines > 0)
        fprintf(stderr, "reseat: damage was ignored, as asked: %" PRIu64 " bad line%s\n",
                outlook->bad_lines, words_s(outlook->bad_lines));
    return true;
}
