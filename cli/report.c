/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page of a spindle: what check and drift say, to look at, print and mail. */

#include "commands.h"

#include <stdlib.h>
#include <string.h>
#include "files.h"
#include "log_target.h"
#include "report/page.h"
#include "request.h"
#include "show/sentences.h"

/* All that a page is made from; the page points to what could be had of it. */
typedef struct report {
    arguments *args;
    request asked;
    reseat_outlook outlook;
    reseat_answer answer;
    page page;
} report;

/* Facts up to then are on the page. */
static int64_t until(const arguments *args)
{
    return args->log.ahead > 0 ? INT64_MAX : args->log.as_of;
}

/* As of the newest record, unless a time is typed: the same log gives the same page. */
static bool begin(report *r)
{
    reseat_state_request *log = &r->args->log;
    reseat_error *error = &r->args->error;
    reseat_status status = RESEAT_OK;
    if (log->ahead > 0)
        status = page_log_newest(log, &log->as_of, error);
    if (status == RESEAT_OK)
        status = page_log_read(&r->page.log, log, until(r->args), error);
    return log_succeeded(r->args, status);
}

/* How things stand; a log without runs, where none was asked for by name, is a page too. */
static bool read_state(report *r)
{
    const reseat_state_request *log = &r->args->log;
    const reseat_status status = reseat_state_read(log, &r->asked.state, &r->args->error);
    if (status == RESEAT_OK)
        r->page.asked = &r->asked;
    return (status == RESEAT_ERR_NOT_FOUND && !log->probe && !log->tip) ||
           log_succeeded(r->args, status);
}

/* The verdict; without a limit there is none. */
static reseat_status decide(report *r)
{
    reseat_status status = request_ask(&r->asked, NULL, NULL);
    if (status == RESEAT_ERR_NOT_FOUND)
        return RESEAT_OK;
    if (status == RESEAT_OK)
        status = reseat_verdict_decide(r->asked.question, &r->answer);
    r->page.answer = status == RESEAT_OK ? &r->answer : NULL;
    return status;
}

static bool find_all(report *r)
{
    if (!r->page.asked)
        return true;
    if (!log_target_outlook(r->args, &r->asked.state, &r->outlook))
        return false;
    r->page.outlook = &r->outlook;
    return succeeded(r->args, decide(r), r->args->log.spindle);
}

static void answer_written(const report *r, size_t length)
{
    const char *name = r->args->options[OPT_OUTPUT].text;
    const char *verdict = r->page.answer ? verdict_word(r->page.answer) : NULL;
    char escaped[256];
    if (!r->args->json) {
        reseat_text_terminal(name, strlen(name), escaped, sizeof escaped);
        fprintf(stderr, "reseat: %s: written, %s\n", escaped, verdict ? verdict : "no verdict");
        return;
    }
    json j = json_begin(stdout);
    json_print(&j, "file:s bytes:i verdict:s", name, (int64_t)length, verdict);
    json_end(&j);
}

/* The page is made in memory first, so that a failure leaves nothing half written. */
static void write_page(report *r)
{
    char *bytes = NULL;
    size_t length = 0;
    const reseat_state_request *log = &r->args->log;
    reseat_error *error = &r->args->error;
    page *p = &r->page;
    *error = (reseat_error){0}; /* a log without runs left one */
    p->unit = r->args->unit;
    p->as_of = log->as_of;
    p->out = open_memstream(&bytes, &length);
    reseat_status status = p->out ? page_write(p, error) : RESEAT_ERR_MEMORY;
    if (p->out && !text_close(p->out, &bytes) && status == RESEAT_OK)
        status = RESEAT_ERR_MEMORY;
    if (succeeded(r->args, status, NULL) && output_write(r->args, bytes, length) &&
        strcmp(r->args->options[OPT_OUTPUT].text, "-") != 0)
        answer_written(r, length);
    free(bytes);
}

void run_report(arguments *args)
{
    report r = {.args = args};
    if (!log_target_read(args))
        return;
    if (!args->options[OPT_OUTPUT].given) {
        refuse(args, "-o", "type -o FILE.html, the page to write, or -o - for standard output");
        return;
    }
    if (output_check(args) && begin(&r) && read_state(&r) && find_all(&r))
        write_page(&r);
    if (r.page.outlook)
        reseat_outlook_free(&r.outlook);
    if (r.page.asked)
        reseat_state_free(&r.asked.state);
    free(r.page.log.events);
}
