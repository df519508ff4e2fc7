/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat overview: every probe of every log of the folder, the worst first. */

#include "commands.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "log_target.h"
#include "request.h"
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
    double error_mm; /* at the worst seat, with the verdict */
    double limit_mm;
    double age_days;
    bool due_known;
    int64_t due_at;
    unsigned findings; /* bits 1u << reseat_drift_code */
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
    r->error_mm = answer.worst.error_length_mm;
    r->limit_mm = asked.question.limit_mm;
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
    for (size_t i = 0; i < outlook.drift.finding_count; i++)
        r->findings |= 1u << outlook.drift.findings[i].code;
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

/* A log of which nothing can be said but that it is damaged. */
static bool is_damaged(const row *r)
{
    return r->exit == EXIT_DAMAGED && !r->probe[0];
}

static int compare_rows(const void *a, const void *b)
{
    const row *left = a;
    const row *right = b;
    if (is_damaged(left) != is_damaged(right))
        return is_damaged(left) ? -1 : 1;
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

static void put_codes(json *j, const char *key, unsigned bits, int count,
                      const char *(*code)(unsigned))
{
    json_print(j, "%:[", key);
    for (unsigned k = 0; k < (unsigned)count; k++)
        if (bits & 1u << k)
            json_print(j, "s", code(k));
    json_print(j, "]");
}

static const char *reason_code(unsigned k)
{
    return reseat_reason_code((reseat_reason)k);
}

static const char *finding_code(unsigned k)
{
    return reseat_drift_code_name((reseat_drift_code)k);
}

static void put_row(json *j, const void *rows, size_t i)
{
    const row *r = &((const row *)rows)[i];
    json_print(j, "spindle:s probe:s tip:s", r->spindle, r->probe[0] ? r->probe : NULL,
               r->probe[0] ? r->tip : NULL);
    if (!r->verdict[0]) {
        failure_json(j, r->exit, false, r->text);
    } else {
        json_print(j, "verdict:s", r->verdict);
        put_codes(j, "reasons", r->reasons, RESEAT_REASON_COUNT, reason_code);
        json_print(j, "error_mm:n limit_mm:n", r->error_mm, r->limit_mm);
    }
    if (r->rank == RANK_FAILED || !r->probe[0])
        return;
    json_print(j, "age_days:n", r->age_days);
    if (r->due_known)
        json_print(j, "due_at:t", r->due_at);
    put_codes(j, "findings", r->findings, RESEAT_DRIFT_CODE_COUNT, finding_code);
}

static void put_damaged(json *j, const void *rows, size_t i)
{
    const row *r = &((const row *)rows)[i];
    json_print(j, "spindle:s text:s", r->spindle, r->text);
}

/* A text that goes on from a column, in lines that a terminal holds. */
static void print_wrapped(const char *text, size_t used)
{
    const char *set = getenv("COLUMNS");
    const long columns = set ? strtol(set, NULL, 10) : 0;
    const size_t most = (size_t)(columns >= 40 && columns <= 1000 ? columns : 100);
    for (size_t length; text[0]; text += length) {
        while (text[0] == ' ')
            text++;
        length = strcspn(text, " ");
        if (used + 1 + length > most)
            used = (size_t)printf("\n     ") - 1;
        used += (size_t)printf(" %.*s", (int)length, text);
    }
    printf("\n");
}

static void add_codes(char *text, size_t size, unsigned bits, int count,
                      const char *(*code)(unsigned), const char *between)
{
    text[0] = '\0';
    for (unsigned k = 0; k < (unsigned)count; k++) {
        const size_t used = strlen(text);
        if (bits & 1u << k)
            snprintf(text + used, size - used, "%s%s", used > 0 ? between : "", code(k));
    }
}

static void print_row(const row *r, reseat_unit unit)
{
    char name[160], shown[340];
    reseat_text_terminal(r->probe, strlen(r->probe), shown, sizeof name);
    if (r->tip[0] && strcmp(r->tip, "main") != 0) {
        reseat_text_terminal(r->tip, strlen(r->tip), name, sizeof name);
        snprintf(shown + strlen(shown), sizeof shown - strlen(shown), "/%s", name);
    }
    const int width = printf("%-10s %-8s", r->spindle, shown);
    if (!r->verdict[0]) {
        print_wrapped(r->text, (size_t)width);
        return;
    }
    const int more = words_more_digits(r->error_mm, r->limit_mm, unit);
    printf(" %-11s %8s %8s %5s d", r->verdict, words_length(r->error_mm, unit, more).text,
           words_length(r->limit_mm, unit, more).text, words_decimal(floor(r->age_days), 0).text);
    printf("%s%s\n", r->due_known ? "  " : "", r->due_known ? words_date(r->due_at).text : "");
    if (r->text[0])
        print_wrapped(r->text, (size_t)printf("    "));
    add_codes(shown, sizeof shown, r->findings, RESEAT_DRIFT_CODE_COUNT, finding_code, ", ");
    if (shown[0])
        print_wrapped(shown, (size_t)printf("     drift finds"));
}

static void print_screen(const arguments *args, const listing *list)
{
    if (args->log.ahead == 0) {
        printf("all logs");
        answer_as_of(stdout, args);
        printf("\n");
    }
    printf("%s\n", caution_sentence());
    printf("%-10s %-8s %-11s %5s %-2s %8s %7s  due\n", "spindle", "probe", "verdict", "error",
           reseat_unit_name(args->unit), "limit", "age");
    for (size_t i = 0; i < list->count; i++)
        print_row(&list->rows[i], args->unit);
}

/* Quoted as a whole where it must be. */
static void print_cell(const char *text, const char *end)
{
    char cell[2 * SENTENCE_SIZE + 4];
    reseat_text_csv(text, strlen(text), cell, sizeof cell);
    printf("%s%s", cell, end);
}

static void print_csv(const row *r)
{
    char reasons[400], findings[400];
    add_codes(reasons, sizeof reasons, r->reasons, RESEAT_REASON_COUNT, reason_code, " ");
    add_codes(findings, sizeof findings, r->findings, RESEAT_DRIFT_CODE_COUNT, finding_code, " ");
    printf("%s,", r->spindle);
    print_cell(r->probe, ",");
    print_cell(r->tip, ",");
    printf("%s,%s,", r->verdict, reasons);
    if (r->verdict[0])
        printf("%s,%s,", words_number(r->error_mm).text, words_number(r->limit_mm).text);
    else
        printf(",,");
    if (r->rank != RANK_FAILED && r->probe[0])
        printf("%s", words_number(r->age_days).text);
    printf(",%s,%s,", r->due_known ? words_time(r->due_at).text : "", findings);
    print_cell(r->text, "\n");
}

/* 3 before all others, then as the rows are sorted: what failed otherwise, 1, 6, 0. */
static int exit_of(const listing *list)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->rows[i].exit == EXIT_DAMAGED)
            return EXIT_DAMAGED;
    return list->rows[0].exit;
}

static void print_table(const listing *list)
{
    printf("spindle,probe,tip,verdict,reasons,error_mm,limit_mm,age_days,due_at,findings,text\n");
    for (size_t i = 0; i < list->count; i++)
        print_csv(&list->rows[i]);
}

/* Damaged logs come first. */
static void print_json(const listing *list, const reseat_log_names *names)
{
    json j = json_begin(stdout);
    size_t damaged = 0;
    while (damaged < list->count && is_damaged(&list->rows[damaged]))
        damaged++;
    json_objects(&j, "probes", list->count - damaged, put_row, list->rows + damaged);
    json_objects(&j, "damaged", damaged, put_damaged, list->rows);
    if (names->alike_count > 0)
        json_print(&j, "no_logs:[");
    for (size_t i = 0; i < names->alike_count; i++)
        json_print(&j, "s", names->alike[i]);
    if (names->alike_count > 0)
        json_print(&j, "]");
    json_end(&j);
}

/* Damage in the register of gauges. */
static void list_register(listing *list)
{
    const reseat_gauge_entry *gauges;
    size_t count;
    uint64_t bad_lines;
    reseat_error error = {0};
    const reseat_status status =
        reseat_folder_gauges(&list->args->log, NULL, &gauges, &count, &bad_lines, &error);
    if (status != RESEAT_OK && status != RESEAT_ERR_NOT_FOUND)
        fail_row(add_row(list, RESEAT_LOG_GAUGES), status, error.text);
}

static void show(listing *list, const reseat_log_names *names, bool csv)
{
    arguments *args = list->args;
    for (size_t i = 0; list->status == RESEAT_OK && i < names->count; i++)
        list_tips(list, names->names[i]);
    if (list->status == RESEAT_OK)
        list_register(list);
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
    if (args->json)
        print_json(list, names);
    else if (csv)
        print_table(list);
    else
        print_screen(list->args, list);
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
    bool csv = false;
    if (args->word_count > 0) {
        refuse(args, args->words[0], "overview shows all spindles and takes none; see --help");
        return;
    }
    if (!request_format(args, &csv) || !log_target_set(args, NULL) ||
        !succeeded(args, reseat_log_list(args->log.dir, &names, &args->error), NULL))
        return;
    for (size_t i = 0; i < names.alike_count; i++)
        say_alike(names.alike[i]);
    if (log_target_share(args))
        show(&list, &names, csv);
    reseat_log_names_free(&names);
    free(list.rows);
}
