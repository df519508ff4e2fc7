/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page of a spindle: what check and drift say, to look at, print and mail. */

#include "drift.h"
#include "report/page.h"

#include <stdlib.h>
#include <string.h>

/* All that a page is made from; the page points to what could be had of it. */
typedef struct report {
    const arguments *args;
    reseat_standing_query query;
    page_log log;
    reseat_gather *gather;
    asking asked;
    reseat_outlook outlook;
    reseat_answer answer;
    page page;
} report;

/* As of the newest record, unless a time is typed: the same log gives the same page. */
static int begin(report *r)
{
    reseat_error error = {0};
    reseat_status status = reseat_log_open(r->query.dir, r->query.spindle, &r->log.open, &error);
    if (status == RESEAT_OK && !r->args->options[OPT_AS_OF].given) {
        r->query.ahead = RESEAT_LOG_AHEAD_SECONDS;
        status = page_log_newest(&r->log, &r->query.as_of, &error);
    }
    if (status == RESEAT_OK)
        status = page_log_read(&r->log, r->query.dir, r->query.spindle,
                               r->query.as_of + r->query.ahead, &error);
    if (status != RESEAT_OK)
        return where_fail(r->args, status, r->query.dir, r->query.spindle, &error);
    return EXIT_DONE;
}

/* How things stand; a log without runs, where none was asked for by name, is a page too. */
static int read_standing(report *r)
{
    reseat_error error = {0};
    const reseat_status status = reseat_standing_read(&r->query, &r->asked.standing, &error);
    if (status == RESEAT_OK)
        r->page.asked = &r->asked;
    else if (status != RESEAT_ERR_NOT_FOUND || r->query.probe || r->query.tip)
        return where_fail(r->args, status, r->query.dir, r->query.spindle, &error);
    return EXIT_DONE;
}

/* The verdict; without a limit there is none. */
static reseat_status decide(report *r)
{
    asking *asked = &r->asked;
    asked->from_log = true;
    asked->dir = r->query.dir;
    reseat_status status = reseat_standing_ask(&asked->standing, NULL, &asked->logged);
    if (status == RESEAT_ERR_NOT_FOUND)
        return RESEAT_OK;
    if (status == RESEAT_OK)
        status = reseat_seat_format(&asked->logged.seat, asked->seat);
    asked->question = &asked->logged.question;
    asked->source = asked->logged.source;
    if (status == RESEAT_OK)
        status = reseat_verdict_decide(asked->question, &r->answer);
    r->page.answer = status == RESEAT_OK ? &r->answer : NULL;
    return status;
}

static int find_all(report *r)
{
    const reseat_standing *standing = r->page.asked ? &r->asked.standing : NULL;
    const int exit = drift_gather(r->args, &r->query, standing ? standing->probe : NULL,
                                  standing ? standing->tip : NULL, &r->gather);
    if (exit != EXIT_DONE || !standing)
        return exit;
    reseat_status status = reseat_outlook_find(standing, r->gather, &r->outlook);
    if (status == RESEAT_OK) {
        r->page.outlook = &r->outlook;
        status = decide(r);
    }
    return status == RESEAT_OK ? EXIT_DONE : text_status(r->args, status, r->query.spindle);
}

static void answer_written(const report *r, size_t length)
{
    const char *name = r->args->options[OPT_OUTPUT].text;
    const char *verdict = r->page.answer ? check_verdict(r->page.answer) : "no verdict";
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
    if (r->page.answer)
        json_text(&j, "verdict", verdict);
    json_end(&j);
}

/* The page is made in memory first, so that a failure leaves nothing half written. */
static int write_page(report *r)
{
    char *bytes = NULL;
    size_t length = 0;
    reseat_error error = {0};
    page *p = &r->page;
    p->unit = r->args->unit;
    p->spindle = r->query.spindle;
    p->as_of = r->query.as_of;
    p->until = r->query.as_of + r->query.ahead;
    p->log = &r->log;
    p->out = open_memstream(&bytes, &length);
    reseat_status status = p->out ? page_write(p, &error) : RESEAT_ERR_MEMORY;
    if (p->out && !text_close(p->out, &bytes) && status == RESEAT_OK)
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
    if (r.page.outlook)
        reseat_outlook_free(&r.outlook);
    if (r.page.asked)
        reseat_standing_free(&r.asked.standing);
    reseat_gather_free(r.gather);
    page_log_end(&r.log);
    return exit;
}
