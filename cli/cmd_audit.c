/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat audit [SPINDLE]: every line of one log, or of all in the folder, against its seal. */

#include "commands.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct auditing {
    const arguments *args;
    const char *dir;
    const char *spindle;
    reseat_log_mark mark;
    bool expects;
    json json;
} auditing;

static void tell_bad(void *context, const reseat_log_bad *bad)
{
    auditing *a = context;
    if (!a->args->json) {
        printf("%s.jsonl:%" PRIu64 ": byte %" PRIu64 ": %s\n", a->spindle, bad->line, bad->offset,
               bad->what);
        return;
    }
    json_open(&a->json, NULL, '{');
    json_integer(&a->json, "line", (int64_t)bad->line);
    json_integer(&a->json, "offset", (int64_t)bad->offset);
    json_text(&a->json, "what", bad->what);
    json_close(&a->json, '}');
}

/* What became of the record that was written down. */
static const char *expected_text(reseat_expected expected)
{
    switch (expected) {
    case RESEAT_EXPECTED_NOT_ASKED: return "";
    case RESEAT_EXPECTED_FOUND: return "; the record expected is there";
    case RESEAT_EXPECTED_MISSING: return "; the record expected is not there: the end was cut off";
    case RESEAT_EXPECTED_DIFFERENT:
        return "; the record expected has another seal: the log was written anew";
    }
    return "";
}

static void print_result(const auditing *a, const reseat_audit *audit)
{
    if (audit->backwards > 0)
        printf("%s.jsonl:%" PRIu64 ": written at an earlier time than the line above says\n",
               a->spindle, audit->backwards);
    printf("%s: %s: ", a->spindle, audit->whole ? "whole" : "DAMAGED");
    if (audit->records > 0)
        printf("%" PRIu64 " record%s", audit->records, text_s(audit->records));
    else
        printf("no sound record");
    if (audit->sealed_off > 0)
        printf(", %" PRIu64 " bad line%s sealed off", audit->sealed_off,
               text_s(audit->sealed_off));
    if (audit->bad > 0)
        printf(", %" PRIu64 " bad line%s", audit->bad, text_s(audit->bad));
    if (audit->records > 0)
        printf(", newest %" PRId64 ":%s", audit->head_seq, audit->head_seal);
    printf("%s\n", expected_text(audit->expected));
}

static void close_json(auditing *a, const reseat_audit *audit)
{
    json *j = &a->json;
    json_close(j, ']');
    json_text(j, "spindle", a->spindle);
    json_integer(j, "records", (int64_t)audit->records);
    if (audit->records > 0) {
        json_integer(j, "head_seq", audit->head_seq);
        json_text(j, "head_seal", audit->head_seal);
    }
    if (audit->backwards > 0)
        json_integer(j, "backwards_line", (int64_t)audit->backwards);
    if (a->expects)
        json_bool(j, "expected", audit->expected == RESEAT_EXPECTED_FOUND);
    json_close(j, '}');
}

/* EXIT_DONE for a whole log, EXIT_DAMAGED for one that is not. */
static int audit_one(auditing *a, const char *spindle)
{
    reseat_audit audit;
    reseat_error error = {0};
    a->spindle = spindle;
    if (a->args->json) {
        json_open(&a->json, NULL, '{');
        json_open(&a->json, "bad", '[');
    }
    const reseat_status status = reseat_log_audit(a->dir, spindle, a->expects ? &a->mark : NULL,
                                                  tell_bad, a, &audit, &error);
    if (status != RESEAT_OK)
        return where_fail(a->args, status, a->dir, spindle, &error);
    if (a->args->json)
        close_json(a, &audit);
    else
        print_result(a, &audit);
    return audit.whole ? EXIT_DONE : EXIT_DAMAGED;
}

static int audit_all(auditing *a)
{
    reseat_log_names list;
    reseat_error error = {0};
    int worst = EXIT_DONE;
    const reseat_status status = reseat_log_list(a->dir, &list, &error);
    if (status != RESEAT_OK)
        return where_fail(a->args, status, a->dir, "", &error);
    for (size_t i = 0; i < list.count && (worst == EXIT_DONE || worst == EXIT_DAMAGED); i++) {
        const int exit = audit_one(a, list.names[i]);
        worst = exit == EXIT_DONE ? worst : exit;
    }
    if (list.count == 0 && !a->args->json)
        printf("no logs in this folder\n");
    reseat_log_names_free(&list);
    return worst;
}

/* The one object of --json is held back until nothing can fail any more. */
static int audit_json(auditing *a, const char *spindle)
{
    char *text = NULL;
    size_t length = 0;
    a->json.out = open_memstream(&text, &length);
    if (!a->json.out)
        return text_status(a->args, RESEAT_ERR_MEMORY, "audit");
    json_open(&a->json, NULL, '{');
    json_open(&a->json, "logs", '[');
    int exit = spindle ? audit_one(a, spindle) : audit_all(a);
    json_close(&a->json, ']');
    json_end(&a->json);
    const bool held = text_close(a->json.out, &text);
    const bool audited = exit == EXIT_DONE || exit == EXIT_DAMAGED; /* else it has been said why */
    if (audited && !held)
        exit = text_status(a->args, RESEAT_ERR_MEMORY, "audit");
    else if (audited)
        fwrite(text, 1, length, stdout);
    free(text);
    return exit;
}

int cmd_audit(const arguments *args)
{
    auditing a = {.args = args};
    const option_value *expect = &args->options[OPT_EXPECT];
    reseat_error error = {0};
    int exit = EXIT_DONE;
    const char *spindle = where_spindle(args);
    a.dir = where_dir(args, &exit);
    a.expects = expect->given;
    if (!a.dir)
        return exit;
    if (args->word_count > 1)
        return text_refuse(args, EXIT_INPUT, args->words[1], "one word too many; see --help");
    if (expect->given && !spindle)
        return text_refuse(args, EXIT_INPUT, "--expect", "goes with the SPINDLE it is of");
    if (expect->given && reseat_log_mark_parse(expect->text, strlen(expect->text), &a.mark,
                                               &error) != RESEAT_OK) {
        snprintf(error.key, sizeof error.key, "--expect");
        return text_fail(args, EXIT_INPUT, false, &error);
    }

    if (args->json)
        return audit_json(&a, spindle);
    return spindle ? audit_one(&a, spindle) : audit_all(&a);
}
