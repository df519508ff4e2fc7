/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat overview: every probe of every log of the folder, the worst first. */

#include "commands.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "log_target.h"
#include "show/answer.h"
#include "show/sentences.h"
#include "show/words.h"

/* In the order in which rows are shown, and in which exit codes win. */
typedef enum rank { RANK_FAILED, RANK_RECALIBRATE, RANK_NOTHING, RANK_OK } rank;

typedef struct row {
    rank rank;
    int exit;
    char spindle[RESEAT_LOG_NAME_SIZE];
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    const char *verdict;      /* "" where there is none, and then why ... */
    char text[SENTENCE_SIZE]; /* ... or the reasons of the verdict */
    unsigned reasons;
    double age_days;
    bool due_known;
    int64_t due_at;
    size_t findings;
} row;

typedef struct listing {
    arguments *args;
    row *rows;
    size_t count, room;
    reseat_status status; /* why there is no list at all */
} listing;

/* One more row, of zeros but for the spindle; NULL where there is no memory. */
static row *add_row(listing *list, const char *spindle)
{
    if (list->count == list->room) {
        const size_t room = list->room > 0 ? 2 * list->room : 16;
        row *more = realloc(list->rows, room * sizeof *more);
        if (!more) {
            list->status = RESEAT_ERR_MEMORY;
            return NULL;
        }
        list->rows = more;
        list->room = room;
    }
    row *added = &list->rows[list->count++];
    *added = (row){.verdict = ""};
    snprintf(added->spindle, sizeof added->spindle, "%s", spindle);
    return added;
}

/* A verdict that was found before is not told either. */
static void fail_row(row *r, reseat_status status, const char *text)
{
    if (!r)
        return;
    r->exit = failure_exit(status);
    r->verdict = "";
    r->rank = r->exit == EXIT_NOTHING ? RANK_NOTHING : RANK_FAILED;
    snprintf(r->text, sizeof r->text, "%s", text[0] ? text : reseat_status_text(status));
}

/* The verdict on a state; without a limit there is none. */
static reseat_status decide(const listing *list, const reseat_state *state, row *r)
{
    reseat_answer answer;
    reseat_state_question asked;
    reseat_status status = reseat_state_ask(state, NULL, &asked, NULL);
    if (status == RESEAT_ERR_NOT_FOUND) {
        fail_row(r, status, state->policy ? "no limit in its policy" : "no policy on record");
        return RESEAT_OK;
    }
    if (status == RESEAT_OK)
        status = reseat_verdict_decide(&asked.question, &answer);
    if (status != RESEAT_OK)
        return status;
    r->rank = answer.ok ? RANK_OK : RANK_RECALIBRATE;
    r->exit = answer.ok ? EXIT_DONE : EXIT_RECALIBRATE;
    r->verdict = verdict_word(&answer);
    r->reasons = answer.reasons;
    reasons_sentence(&asked.question, &answer, state, list->args->unit, r->text,
                     sizeof r->text);
    return RESEAT_OK;
}

/* Verdict, due date and findings of one tip. */
static void judge(const listing *list, row *r)
{
    reseat_error error = {0};
    reseat_state state;
    reseat_outlook outlook;
    reseat_state_request query = list->args->log;
    query.spindle = r->spindle;
    query.probe = r->probe;
    query.tip = r->tip;
    reseat_status status = reseat_state_read(&query, &state, &error);
    if (status == RESEAT_OK) {
        r->age_days = state.age_days;
        status = decide(list, &state, r);
        if (status == RESEAT_OK)
            status = reseat_outlook_find(&query, &state, &outlook, &error);
        reseat_state_free(&state);
    }
    if (status != RESEAT_OK) {
        fail_row(r, status, error.text);
        return;
    }
    r->due_known = outlook.due_known;
    r->due_at = outlook.due_at;
    r->findings = outlook.drift.finding_count;
    reseat_outlook_free(&outlook);
}

/* A row for each tip of a log, yet to be judged, or one that says why there is none. */
static void list_tips(listing *list, const char *spindle)
{
    reseat_state_request query = list->args->log;
    reseat_error error = {0};
    const reseat_tip *tips = NULL;
    size_t count = 0;
    query.spindle = spindle;
    const reseat_status status = reseat_folder_tips(&query, &tips, &count, &error);
    for (size_t i = 0; status == RESEAT_OK && i < count; i++) {
        row *r = add_row(list, spindle);
        if (!r)
            return;
        snprintf(r->probe, sizeof r->probe, "%s", tips[i].probe);
        snprintf(r->tip, sizeof r->tip, "%s", tips[i].tip);
    }
    if (status != RESEAT_OK)
        fail_row(add_row(list, spindle), status, error.text);
    else if (count == 0)
        fail_row(add_row(list, spindle), RESEAT_ERR_NOT_FOUND, "no run on record");
}

static int compare_rows(const void *a, const void *b)
{
    const row *left = a;
    const row *right = b;
    if (left->rank != right->rank)
        return left->rank < right->rank ? -1 : 1;
    if (left->due_known != right->due_known)
        return left->due_known ? -1 : 1;
    if (left->due_at != right->due_at)
        return left->due_at < right->due_at ? -1 : 1;
    const int spindles = strcmp(left->spindle, right->spindle);
    const int probes = strcmp(left->probe, right->probe);
    return spindles != 0 ? spindles : probes != 0 ? probes : strcmp(left->tip, right->tip);
}

static void put_row(json *j, const void *rows, size_t i)
{
    const row *r = &((const row *)rows)[i];
    json_print(j, "spindle:s probe:s tip:s", r->spindle, r->probe[0] ? r->probe : NULL,
               r->probe[0] ? r->tip : NULL);
    if (!r->verdict[0]) {
        failure_json(j, r->exit, false, r->text);
    } else {
        json_print(j, "verdict:s reasons:[", r->verdict);
        for (unsigned k = 0; k < RESEAT_REASON_COUNT; k++)
            if (r->reasons & 1u << k)
                json_print(j, "s", reseat_reason_code((reseat_reason)k));
        json_print(j, "]");
    }
    if (r->rank == RANK_FAILED || !r->probe[0])
        return;
    json_print(j, "age_days:n", r->age_days);
    if (r->due_known)
        json_print(j, "due_at:t", r->due_at);
    json_print(j, "findings:i", (int64_t)r->findings);
}

static void print_row(const row *r)
{
    char name[160], shown[340], age[32] = "", findings[32] = "";
    const bool judged = r->rank != RANK_FAILED && r->probe[0];
    reseat_text_terminal(r->probe, strlen(r->probe), shown, sizeof name);
    if (r->tip[0] && strcmp(r->tip, "main") != 0) {
        reseat_text_terminal(r->tip, strlen(r->tip), name, sizeof name);
        snprintf(shown + strlen(shown), sizeof shown - strlen(shown), "/%s", name);
    }
    if (judged) {
        snprintf(age, sizeof age, "%.0f d", floor(r->age_days));
        snprintf(findings, sizeof findings, "%zu", r->findings);
    }
    printf("%-10s %-8s %-11s %7s  %-10s %8s%s%s\n", r->spindle, shown, r->verdict, age,
           judged && r->due_known ? words_date(r->due_at).text : "", findings,
           r->text[0] ? "  " : "", r->text);
}

static void print_screen(const arguments *args, const listing *list)
{
    if (args->options[OPT_AS_OF].given) {
        printf("all logs");
        answer_as_of(args);
        printf("\n");
    }
    printf("%s\n", caution_sentence());
    printf("%-10s %-8s %-11s %7s  %-10s %8s\n", "spindle", "probe", "verdict", "age", "due",
           "findings");
    for (size_t i = 0; i < list->count; i++)
        print_row(&list->rows[i]);
}

/* 3 before all others, then as the rows are sorted: what failed otherwise, 1, 6, 0. */
static int exit_of(const listing *list)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->rows[i].exit == EXIT_DAMAGED)
            return EXIT_DAMAGED;
    return list->rows[0].exit;
}

static void show(listing *list, const reseat_log_names *names)
{
    arguments *args = list->args;
    for (size_t i = 0; list->status == RESEAT_OK && i < names->count; i++)
        list_tips(list, names->names[i]);
    for (size_t i = 0; list->status == RESEAT_OK && i < list->count; i++)
        if (list->rows[i].probe[0])
            judge(list, &list->rows[i]);
    if (!succeeded(args, list->status, "overview"))
        return;
    if (!list->rows) {
        fail_text(args, EXIT_NOTHING, args->log.dir, "no logs in this folder");
        return;
    }
    qsort(list->rows, list->count, sizeof list->rows[0], compare_rows);
    if (args->json) {
        json j = json_begin(stdout);
        json_objects(&j, "probes", list->count, put_row, list->rows);
        if (names->alike_count > 0)
            json_print(&j, "no_logs:[");
        for (size_t i = 0; i < names->alike_count; i++)
            json_print(&j, "s", names->alike[i]);
        if (names->alike_count > 0)
            json_print(&j, "]");
        json_end(&j);
    } else {
        print_screen(list->args, list);
    }
    args->exit = exit_of(list);
}

/* A file that may be held for a log. */
static void say_alike(const char *entry)
{
    fprintf(stderr, "reseat: ");
    text_put(stderr, reseat_text_terminal, entry, strlen(entry));
    fprintf(stderr, " is no log: those are NAME.jsonl, with a name of a-z 0-9 . _ -\n");
}

void run_overview(arguments *args)
{
    listing list = {.args = args};
    reseat_log_names names;
    if (args->word_count > 0) {
        refuse(args, args->words[0], "overview shows all spindles and takes none; see --help");
        return;
    }
    if (!log_target_set(args, NULL) ||
        !succeeded(args, reseat_log_list(args->log.dir, &names, &args->error), NULL))
        return;
    for (size_t i = 0; i < names.alike_count; i++)
        say_alike(names.alike[i]);
    if (log_target_share(args))
        show(&list, &names);
    reseat_log_names_free(&names);
    free(list.rows);
}
