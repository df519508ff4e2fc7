/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page of a spindle: what check and drift say, to look at, print and mail. */

#include "commands.h"

#include <stdlib.h>
#include <string.h>
#include "files.h"
#include "log_target.h"
#include "report/page.h"
#include "show/sentences.h"

/* All that a page is made from; the page points to what could be had of it. */
typedef struct report {
    arguments *args;
    reseat_state_request query;
    request asked;
    reseat_outlook outlook;
    reseat_answer answer;
    page page;
} report;

/*
 * As of the newest record, unless a time is typed: the same log gives the same page. A log without
 * runs, where none was asked for by name, is a page too.
 */
static bool read_log(report *r)
{
    reseat_error error = {0};
    reseat_state_request *query = &r->query;
    reseat_status status = RESEAT_OK;
    if (!r->args->options[OPT_AS_OF].given)
        status = page_log_newest(query->dir, query->spindle, &query->as_of, &error);
    if (status == RESEAT_OK)
        status = page_log_read(&r->page.log, query->dir, query->spindle,
                               query->as_of + query->ahead, &error);
    if (status == RESEAT_OK) {
        status = reseat_state_read(query, &r->asked.state, &error);
        r->page.asked = status == RESEAT_OK ? &r->asked : NULL;
        if (status == RESEAT_ERR_NOT_FOUND && !query->probe && !query->tip)
            status = RESEAT_OK;
    }
    return status == RESEAT_OK ||
           log_target_fail(r->args, status, query->dir, query->spindle, &error);
}

/* Drift and due date, and the verdict; without a limit there is none. */
static bool find_all(report *r)
{
    request *asked = &r->asked;
    if (!r->page.asked)
        return true;
    if (!log_target_outlook(r->args, &r->query, &asked->state, &r->outlook))
        return false;
    r->page.outlook = &r->outlook;
    asked->from_log = true;
    reseat_status status = reseat_state_ask(&asked->state, NULL, &asked->logged);
    if (status == RESEAT_ERR_NOT_FOUND)
        return true;
    if (status == RESEAT_OK)
        status = reseat_seat_format(&asked->logged.seat, asked->seat);
    asked->question = &asked->logged.question;
    asked->source = asked->logged.source;
    if (status == RESEAT_OK)
        status = reseat_verdict_decide(asked->question, &r->answer);
    r->page.answer = status == RESEAT_OK ? &r->answer : NULL;
    return status == RESEAT_OK || fail_status(r->args, status, r->query.spindle);
}

/* The page is made in memory first, so that a failure leaves nothing half written. */
static void write_page(report *r)
{
    const char *name = r->args->options[OPT_OUTPUT].text;
    char *bytes = NULL;
    size_t length = 0;
    reseat_error error = {0};
    page *p = &r->page;
    p->unit = r->args->unit;
    p->as_of = r->query.as_of;
    p->out = open_memstream(&bytes, &length);
    reseat_status status = p->out ? page_write(p, &error) : RESEAT_ERR_MEMORY;
    if (p->out && !text_close(p->out, &bytes) && status == RESEAT_OK)
        status = RESEAT_ERR_MEMORY;
    if (status != RESEAT_OK) {
        fail_error(r->args, status, &error);
    } else if (output_write(r->args, bytes, length) && strcmp(name, "-") != 0) {
        const char *verdict = p->answer ? verdict_word(p->answer) : NULL;
        char escaped[256];
        reseat_text_terminal(name, strlen(name), escaped, sizeof escaped);
        if (r->args->json) {
            json j = json_begin(stdout);
            json_print(&j, "file:s bytes:i verdict:s", name, (int64_t)length, verdict);
            json_end(&j);
        } else {
            fprintf(stderr, "reseat: %s: written, %s\n", escaped, verdict ? verdict : "no verdict");
        }
    }
    free(bytes);
}

void run_report(arguments *args)
{
    report r = {.args = args};
    if (!log_target_read(args, &r.query))
        return;
    if (!args->options[OPT_OUTPUT].given) {
        refuse(args, "-o", "type -o FILE.html, the page to write, or -o - for standard output");
        return;
    }
    if (!output_check(args))
        return;
    if (read_log(&r) && find_all(&r))
        write_page(&r);
    if (r.page.outlook)
        reseat_outlook_free(&r.outlook);
    if (r.page.asked)
        reseat_state_free(&r.asked.state);
    reseat_folder_close(r.query.folder);
    free(r.page.log.events);
}
