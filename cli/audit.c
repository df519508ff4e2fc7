/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat audit [SPINDLE]: every line of one log, or of all in the folder, against its seal. */

#include "commands.h"

#include <inttypes.h>
#include <stdlib.h>
#include "log_target.h"
#include "show/words.h"

typedef struct auditing {
    arguments *args;
    const char *spindle;
    const reseat_log_mark *mark; /* a record that must be there; NULL if none */
    json json;
} auditing;

static void tell_bad(void *context, const reseat_log_bad *bad)
{
    auditing *a = context;
    if (a->args->json)
        json_print(&a->json, "{ line:i offset:i what:s }", (int64_t)bad->line,
                   (int64_t)bad->offset, bad->what);
    else
        printf("%s.jsonl:%" PRIu64 ": byte %" PRIu64 ": %s\n", a->spindle, bad->line, bad->offset,
               bad->what);
}

/* What became of the record that was written down. */
static const char *const expected_texts[] = {
    [RESEAT_EXPECTED_NOT_ASKED] = "",
    [RESEAT_EXPECTED_FOUND] = "; the record expected is there",
    [RESEAT_EXPECTED_MISSING] = "; the record expected is not there: the end was cut off",
    [RESEAT_EXPECTED_DIFFERENT] =
        "; the record expected has another seal: the log was written anew"};

static void print_result(const auditing *a, const reseat_audit *audit)
{
    if (audit->backwards > 0)
        printf("%s.jsonl:%" PRIu64 ": written at an earlier time than the line above says\n",
               a->spindle, audit->backwards);
    printf("%s: %s: ", a->spindle, audit->whole ? "whole" : "DAMAGED");
    if (audit->records > 0)
        printf("%" PRIu64 " record%s", audit->records, words_s(audit->records));
    else
        printf("no sound record");
    if (audit->sealed_off > 0)
        printf(", %" PRIu64 " bad line%s sealed off", audit->sealed_off,
               words_s(audit->sealed_off));
    if (audit->bad > 0)
        printf(", %" PRIu64 " bad line%s", audit->bad, words_s(audit->bad));
    if (audit->records > 0)
        printf(", newest %" PRId64 ":%s", audit->head_seq, audit->head_seal);
    printf("%s\n", expected_texts[audit->expected]);
}

static void close_json(auditing *a, const reseat_audit *audit)
{
    json *j = &a->json;
    json_print(j, "] spindle:s records:i", a->spindle, (int64_t)audit->records);
    if (audit->records > 0)
        json_print(j, "head_seq:i head_seal:s", audit->head_seq, audit->head_seal);
    if (audit->backwards > 0)
        json_print(j, "backwards_line:i", (int64_t)audit->backwards);
    if (a->mark)
        json_print(j, "expected:b", audit->expected == RESEAT_EXPECTED_FOUND);
    json_print(j, "}");
}

/* A damaged log does not keep the others from being audited. */
static bool audit_one(auditing *a, const char *spindle)
{
    reseat_audit audit;
    a->spindle = a->args->log.spindle = spindle;
    if (a->args->json)
        json_print(&a->json, "{ bad:[");
    if (!log_succeeded(a->args, reseat_log_audit(a->args->log.dir, spindle,
                                                 a->mark, tell_bad, a, &audit,
                                                 &a->args->error)))
        return false;
    if (a->args->json)
        close_json(a, &audit);
    else
        print_result(a, &audit);
    if (!audit.whole)
        a->args->exit = EXIT_DAMAGED;
    return true;
}

static bool has_register(const arguments *args)
{
    reseat_audit audit;
    return reseat_log_audit(args->log.dir, RESEAT_LOG_GAUGES, NULL, NULL, NULL, &audit, NULL) !=
           RESEAT_ERR_NOT_FOUND;
}

/* One log, or all in the folder, the register of gauges among them. */
static bool audit(auditing *a, const char *spindle)
{
    reseat_log_names list;
    bool done = true;
    if (spindle)
        return audit_one(a, spindle);
    if (!log_succeeded(a->args, reseat_log_list(a->args->log.dir, &list, &a->args->error)))
        return false;
    for (size_t i = 0; done && i < list.count; i++)
        done = audit_one(a, list.names[i]);
    const bool registered = done && has_register(a->args);
    if (registered)
        done = audit_one(a, RESEAT_LOG_GAUGES);
    if (list.count == 0 && !registered && !a->args->json)
        printf("no logs in this folder\n");
    reseat_log_names_free(&list);
    return done;
}

/* The one object of --json is held back until nothing can fail any more. */
static void audit_json(auditing *a, const char *spindle)
{
    char *text = NULL;
    size_t length = 0;
    FILE *held = open_memstream(&text, &length);
    if (!succeeded(a->args, held ? RESEAT_OK : RESEAT_ERR_MEMORY, "audit"))
        return;
    a->json = json_begin(held);
    json_print(&a->json, "logs:[");
    const bool done = audit(a, spindle);
    json_print(&a->json, "]");
    json_end(&a->json);
    if (!text_close(held, &text) && done)
        succeeded(a->args, RESEAT_ERR_MEMORY, "audit");
    else if (done)
        fwrite(text, 1, length, stdout);
    free(text);
}

void run_audit(arguments *args)
{
    const option_value *expect = &args->options[OPT_EXPECT];
    const char *spindle = log_target_spindle(args);
    auditing a = {.args = args, .mark = expect->given ? &expect->mark : NULL};
    if (!log_target_set(args, spindle))
        return;
    if (args->word_count > 1)
        refuse(args, args->words[1], "one word too many; see --help");
    else if (expect->given && !spindle)
        refuse(args, "--expect", "goes with the SPINDLE it is of");
    else if (args->json)
        audit_json(&a, spindle);
    else
        (void)audit(&a, spindle);
}
