/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page of a spindle: what check and drift say, to look at, print and mail. */

#include "drift.h"
#include "report/page.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

/* All that a page is made from. */
typedef struct report {
    const arguments *args;
    reseat_standing_query query;
    page_log log;
    reseat_gather *gather;
    asking asked;
    bool has_runs, has_outlook, decided;
    reseat_outlook outlook;
    reseat_answer answer;
} report;

static int fail(const report *r, reseat_status status, const reseat_error *error)
{
    return where_fail(r->args, status, r->query.dir, r->query.spindle, error);
}

/* As of the newest record, unless a time is typed: the same log gives the same page. */
static int begin(report *r)
{
    reseat_error error = {0};
    reseat_status status = reseat_log_open(r->query.dir, r->query.spindle, &r->log.open, &error);
    if (status == RESEAT_OK && !r->args->options[OPT_AS_OF].given) {
        status = page_log_newest(&r->log, &error);
        r->query.as_of = r->log.newest;
        r->query.ahead = RESEAT_LOG_AHEAD_SECONDS;
    }
    if (status == RESEAT_OK)
        status = page_log_read(&r->log, r->query.dir, r->query.spindle,
                               r->query.as_of + r->query.ahead, &error);
    return status == RESEAT_OK ? EXIT_DONE : fail(r, status, &error);
}

/* How things stand; a log without runs, where none was asked for by name, is a page too. */
static int read_standing(report *r)
{
    reseat_error error = {0};
    const reseat_status status = reseat_standing_read(&r->query, &r->asked.standing, &error);
    r->has_runs = status == RESEAT_OK;
    if (status == RESEAT_ERR_NOT_FOUND && !r->query.probe && !r->query.tip)
        return EXIT_DONE;
    return r->has_runs ? EXIT_DONE : fail(r, status, &error);
}

/* The verdict; without a limit there is none. */
static reseat_status decide(report *r)
{
    asking *asked = &r->asked;
    reseat_status status = reseat_standing_ask(&asked->standing, NULL, &asked->logged);
    if (status == RESEAT_ERR_NOT_FOUND)
        return RESEAT_OK;
    if (status == RESEAT_OK)
        status = reseat_seat_format(&asked->logged.seat, asked->seat);
    asked->question = &asked->logged.question;
    asked->source = asked->logged.source;
    if (status == RESEAT_OK)
        status = reseat_verdict_decide(asked->question, &r->answer);
    r->decided = status == RESEAT_OK;
    return status;
}

static int find_all(report *r)
{
    const reseat_standing *standing = &r->asked.standing;
    r->asked.from_log = true;
    r->asked.dir = r->query.dir;
    int exit = drift_gather(r->args, &r->query, r->has_runs ? standing->probe : NULL,
                            r->has_runs ? standing->tip : NULL, &r->gather);
    if (exit != EXIT_DONE || !r->has_runs)
        return exit;
    reseat_status status = reseat_outlook_find(standing, r->gather, &r->outlook);
    r->has_outlook = status == RESEAT_OK;
    if (status == RESEAT_OK)
        status = decide(r);
    return status == RESEAT_OK ? EXIT_DONE : text_status(r->args, status, r->query.spindle);
}

static void answer_written(const report *r, size_t length)
{
    const char *name = r->args->options[OPT_OUTPUT].text;
    const char *verdict = r->decided ? check_verdict(&r->answer) : "no verdict";
    char harmless[256];
    json j = {.out = stdout};
    if (!r->args->json) {
        reseat_text_terminal(name, strlen(name), harmless, sizeof harmless);
        fprintf(stderr, "reseat: %s: written, %s\n", harmless, verdict);
        return;
    }
    json_open(&j, NULL, '{');
    json_text(&j, "file", name);
    json_integer(&j, "bytes", (int64_t)length);
    if (r->decided)
        json_text(&j, "verdict", verdict);
    json_end(&j);
}

/* The page is made in memory first, so that a failure leaves nothing half written. */
static int write_page(report *r)
{
    char *bytes = NULL;
    size_t length = 0;
    reseat_error error = {0};
    FILE *out = open_memstream(&bytes, &length);
    page p = {.out = out,
              .unit = r->args->unit,
              .spindle = r->query.spindle,
              .as_of = r->query.as_of,
              .until = r->query.as_of + r->query.ahead,
              .log = &r->log,
              .asked = r->has_runs ? &r->asked : NULL,
              .outlook = r->has_outlook ? &r->outlook : NULL,
              .answer = r->decided ? &r->answer : NULL};
    reseat_status status = out ? page_write(&p, &error) : RESEAT_ERR_MEMORY;
    if (out && !text_close(out, &bytes) && status == RESEAT_OK)
        status = RESEAT_ERR_MEMORY;
    int exit = status == RESEAT_OK ? output_write(r->args, bytes, length)
                                   : text_fault(r->args, status, &error);
    if (exit == EXIT_DONE && strcmp(r->args->options[OPT_OUTPUT].text, "-") != 0)
        answer_written(r, length);
    free(bytes);
    return exit;
}

static int make(report *r)
{
    int exit = begin(r);
    if (exit == EXIT_DONE)
        exit = read_standing(r);
    if (exit == EXIT_DONE)
        exit = find_all(r);
    return exit == EXIT_DONE ? write_page(r) : exit;
}

int cmd_report(const arguments *args)
{
    report r = {.args = args};
    const char *dir, *spindle;
    int exit = where_log(args, &dir, &spindle);
    if (exit == EXIT_DONE && !args->options[OPT_OUTPUT].given)
        return text_refuse(args, EXIT_INPUT, "-o",
                           "type -o FILE.html, the page to write, or -o - for standard output");
    if (exit == EXIT_DONE)
        exit = output_refuse(args);
    if (exit != EXIT_DONE)
        return exit;
    r.query = where_query(args, dir, spindle);
    exit = make(&r);
    if (r.has_outlook)
        reseat_outlook_free(&r.outlook);
    if (r.has_runs)
        reseat_standing_free(&r.asked.standing);
    reseat_gather_free(r.gather);
    page_log_end(&r.log);
    return exit;
}
