/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Every probe of every log of the folder, the worst first. */

#include "drift.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* In the order in which rows are shown, and in which exit codes win. */
typedef enum rank { RANK_FAILED, RANK_RECALIBRATE, RANK_NOTHING, RANK_OK } rank;

typedef struct row {
    rank rank;
    int exit;
    char spindle[RESEAT_LOG_NAME_SIZE];
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    char tip[RESEAT_RECORD_NAME_MAX + 1];
    char text[320]; /* FAILED, NOTHING: why there is no verdict */
    unsigned reasons;
    char reason[RESEAT_REASON_COUNT][200];
    double age_days;
    bool due_known;
    int64_t due_at;
    size_t findings;
} row;

typedef struct listing {
    const arguments *args;
    const char *dir;
    reseat_folder *folder;
    row *rows;
    size_t count, room;
} listing;

/* One more row, of zeros but for the spindle; NULL where there is no memory. */
static row *add_row(listing *list, const char *spindle)
{
    if (list->count == list->room) {
        const size_t room = list->room > 0 ? 2 * list->room : 16;
        row *more = realloc(list->rows, room * sizeof *more);
        if (more == NULL)
            return NULL;
        list->rows = more;
        list->room = room;
    }
    row *added = &list->rows[list->count++];
    memset(added, 0, sizeof *added);
    snprintf(added->spindle, sizeof added->spindle, "%s", spindle);
    return added;
}

static void fail_row(row *r, reseat_status status, const reseat_error *error)
{
    r->exit = text_exit(status);
    r->reasons = 0; /* a verdict that was found before is not told either */
    r->rank = r->exit == EXIT_NOTHING ? RANK_NOTHING : RANK_FAILED;
    snprintf(r->text, sizeof r->text, "%s",
             error != NULL && error->text[0] ? error->text : reseat_status_text(status));
}

static void take_answer(const asking *asked, const reseat_answer *answer, reseat_unit unit, row *r)
{
    char text[256];
    r->rank = answer->ok ? RANK_OK : RANK_RECALIBRATE;
    r->exit = answer->ok ? EXIT_DONE : EXIT_RECALIBRATE;
    r->reasons = answer->reasons;
    for (unsigned i = 0; i < RESEAT_REASON_COUNT; i++) {
        if (!(answer->reasons & 1u << i))
            continue;
        text_reason(text, sizeof text, asked, answer, (reseat_reason)i, unit);
        snprintf(r->reason[i], sizeof r->reason[i], "%.*s", (int)sizeof r->reason[i] - 1, text);
    }
}

/* The verdict on a standing; without a limit there is none. */
static reseat_status decide(const listing *list, asking *asked, row *r)
{
    reseat_answer answer;
    reseat_error error = {0};
    reseat_status status = reseat_state_ask(&asked->standing, NULL, &asked->logged, NULL);
    if (status == RESEAT_ERR_NOT_FOUND) {
        snprintf(error.text, sizeof error.text, "%s",
                 asked->standing.policy ? "no limit in its policy" : "no policy on record");
        fail_row(r, status, &error);
        return RESEAT_OK;
    }
    if (status == RESEAT_OK)
        status = reseat_verdict_decide(&asked->logged.question, &answer);
    if (status != RESEAT_OK)
        return status;
    asked->question = &asked->logged.question;
    take_answer(asked, &answer, list->args->json ? RESEAT_MM : list->args->unit, r);
    return RESEAT_OK;
}

/* Verdict, due date and findings of one tip. */
static reseat_status look_at(const listing *list, const reseat_state_request *query, row *r,
                             reseat_error *error)
{
    asking asked = {.from_log = true, .dir = query->dir};
    reseat_outlook outlook;
    reseat_status status = reseat_state_read(query, &asked.standing, error);
    if (status != RESEAT_OK)
        return status;
    r->age_days = asked.standing.age_days;
    status = decide(list, &asked, r);
    if (status == RESEAT_OK)
        status = reseat_outlook_find(query, &asked.standing, &outlook, error);
    if (status == RESEAT_OK) {
        r->due_known = outlook.due_known;
        r->due_at = outlook.due_at;
        r->findings = outlook.drift.finding_count;
        reseat_outlook_free(&outlook);
    }
    reseat_state_free(&asked.standing);
    return status;
}

/* A row for each tip of a log, yet to be looked at, or one that says why there is none. */
static reseat_status list_tips(listing *list, const char *spindle)
{
    reseat_state_request request = where_query(list->args, list->dir, spindle);
    reseat_error error = {.text = "no run on record"};
    const reseat_tip *tips = NULL;
    size_t count = 0;
    request.folder = list->folder;
    reseat_status status = reseat_folder_tips(&request, &tips, &count, &error);
    for (size_t i = 0; status == RESEAT_OK && i < count; i++) {
        row *r = add_row(list, spindle);
        if (!r)
            return RESEAT_ERR_MEMORY;
        snprintf(r->probe, sizeof r->probe, "%s", tips[i].probe);
        snprintf(r->tip, sizeof r->tip, "%s", tips[i].tip);
    }
    if (status == RESEAT_OK && count > 0)
        return RESEAT_OK;
    row *none = add_row(list, spindle);
    if (none)
        fail_row(none, status == RESEAT_OK ? RESEAT_ERR_NOT_FOUND : status, &error);
    return none ? RESEAT_OK : RESEAT_ERR_MEMORY;
}

static void look_at_row(listing *list, row *r)
{
    reseat_error error = {0};
    reseat_state_request request = where_query(list->args, list->dir, r->spindle);
    if (!r->probe[0])
        return;
    request.folder = list->folder;
    request.whole = true;
    request.probe = r->probe;
    request.tip = r->tip;
    const reseat_status status = look_at(list, &request, r, &error);
    if (status != RESEAT_OK)
        fail_row(r, status, &error);
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

static const char *verdict(const row *r)
{
    switch (r->rank) {
    case RANK_OK: return "OK";
    case RANK_RECALIBRATE: return "RECALIBRATE";
    case RANK_NOTHING:
    case RANK_FAILED: break;
    }
    return "";
}

static void row_json(json *j, const row *r)
{
    char due[RESEAT_TIME_SIZE] = "";
    json_open(j, NULL, '{');
    json_text(j, "spindle", r->spindle);
    if (r->probe[0]) {
        json_text(j, "probe", r->probe);
        json_text(j, "tip", r->tip);
    }
    if (r->text[0]) {
        text_error_json(j, r->exit, false, r->text);
    } else {
        json_text(j, "verdict", verdict(r));
        json_open(j, "reasons", '[');
        for (unsigned i = 0; i < RESEAT_REASON_COUNT; i++)
            if (r->reasons & 1u << i)
                json_text(j, NULL, reseat_reason_code((reseat_reason)i));
        json_close(j, ']');
    }
    if (r->rank != RANK_FAILED && r->probe[0]) {
        json_number(j, "age_days", r->age_days);
        if (r->due_known && reseat_time_format(r->due_at, due) == RESEAT_OK)
            json_text(j, "due_at", due);
        json_integer(j, "findings", (int64_t)r->findings);
    }
    json_close(j, '}');
}

static void print_json(const listing *list)
{
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    json_open(&j, "probes", '[');
    for (size_t i = 0; i < list->count; i++)
        row_json(&j, &list->rows[i]);
    json_close(&j, ']');
    json_end(&j);
}

/* The reasons of a RECALIBRATE, one after the other, or why there is no verdict. */
static void print_why(const row *r)
{
    const char *separator = "  ";
    if (r->text[0])
        printf("  %s", r->text);
    for (unsigned i = 0; i < RESEAT_REASON_COUNT; i++) {
        if (!(r->reasons & 1u << i))
            continue;
        printf("%s%s", separator, r->reason[i]);
        separator = "; ";
    }
    printf("\n");
}

static void print_row(const row *r)
{
    char name[160], shown[340], age[TEXT_SIZE] = "", due[TEXT_SIZE] = "", findings[TEXT_SIZE] = "";
    reseat_text_terminal(r->probe, strlen(r->probe), name, sizeof name);
    snprintf(shown, sizeof shown, "%s", name);
    if (r->tip[0] && strcmp(r->tip, "main") != 0) {
        reseat_text_terminal(r->tip, strlen(r->tip), name, sizeof name);
        const size_t used = strlen(shown);
        snprintf(shown + used, sizeof shown - used, "/%s", name);
    }
    if (r->rank != RANK_FAILED && r->probe[0]) {
        snprintf(age, sizeof age, "%.0f d", floor(r->age_days));
        snprintf(findings, sizeof findings, "%zu", r->findings);
        if (r->due_known)
            drift_date(due, r->due_at);
    }
    printf("%-10s %-8s %-11s %7s  %-10s %8s", r->spindle, shown, verdict(r), age, due, findings);
    print_why(r);
}

static void print_screen(const listing *list)
{
    printf("%s\n", text_caution());
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
    return list->count > 0 ? list->rows[0].exit : EXIT_NOTHING;
}

static int show(listing *list, const reseat_log_names *names)
{
    reseat_status status = RESEAT_OK;
    for (size_t i = 0; status == RESEAT_OK && i < names->count; i++)
        status = list_tips(list, names->names[i]);
    for (size_t i = 0; status == RESEAT_OK && i < list->count; i++)
        look_at_row(list, &list->rows[i]);
    if (status != RESEAT_OK)
        return text_status(list->args, status, "overview");
    if (!list->rows)
        return text_refuse(list->args, EXIT_NOTHING, list->dir, "no logs in this folder");
    qsort(list->rows, list->count, sizeof list->rows[0], compare_rows);
    if (list->args->json)
        print_json(list);
    else
        print_screen(list);
    return exit_of(list);
}

int cmd_overview(const arguments *args)
{
    int exit = EXIT_DONE;
    listing list = {.args = args};
    reseat_log_names names;
    reseat_error error = {0};
    if (args->word_count > 0)
        return text_refuse(args, EXIT_INPUT, args->words[0],
                           "overview shows all spindles and takes none; see --help");
    list.dir = where_dir(args, &exit);
    if (list.dir == NULL)
        return exit;
    reseat_status status = reseat_log_list(list.dir, &names, &error);
    if (status != RESEAT_OK)
        return text_fault(args, status, &error);
    status = reseat_folder_open(list.dir, &list.folder);
    exit = status == RESEAT_OK ? show(&list, &names) : text_status(args, status, "overview");
    reseat_folder_close(list.folder);
    reseat_log_names_free(&names);
    free(list.rows);
    return exit;
}
