/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page of a spindle: what check and drift say, to look at, print and mail. */

#include "commands.h"

#include <stdlib.h>
#include <string.h>
#include "files.h"
#include "log_target.h"
#include "report/page.h"

/* All that a page is made from; the page points to what could be had of it. */
typedef struct report {
    arguments *args;
    reseat_state_request query;
    page_log log;
    request asked;
    reseat_outlook outlook;
    reseat_answer answer;
    page page;
} report;

static bool fail(const report *r, reseat_status status, const reseat_error *error)
{
    return log_target_fail(r->args, status, r->query.dir, r->query.spindle, error);
}

/* As of the newest record, unless a time is typed: the same log gives the same page. */
static bool begin(report *r)
{
    reseat_error error = {0};
    reseat_status status = RESEAT_OK;
    if (!r->args->options[OPT_AS_OF].given)
        status = page_log_newest(r->query.dir, r->query.spindle, &r->query.as_of, &error);
    if (status == RESEAT_OK)
        status = page_log_read(&r->log, r->query.dir, r->query.spindle,
                               r->query.as_of + r->query.ahead, &error);
    return status == RESEAT_OK || fail(r, status, &error);
}

/* How things stand; a log without runs, where none was asked for by name, is a page too. */
static bool read_state(report *r)
{
    reseat_error error = {0};
    const reseat_status status = reseat_state_read(&r->query, &r->asked.state, &error);
    if (status == RESEAT_OK)
        r->page.asked = &r->asked;
    return status == RESEAT_OK ||
           (status == RESEAT_ERR_NOT_FOUND && !r->query.probe && !r->query.tip) ||
           fail(r, status, &error);
}

/* The verdict; without a limit there is none. */
static reseat_status decide(report *r)
{
    request *asked = &r->asked;
    asked->from_log = true;
    reseat_status status = reseat_state_ask(&asked->state, NULL, &asked->logged);
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

static bool find_all(report *r)
{
    const reseat_state *state = &r->asked.state;
    if (!r->page.asked)
        return true;
    if (!log_target_outlook(r->args, &r->query, state, &r->outlook))
        return false;
    r->page.outlook = &r->outlook;
    const reseat_status status = decide(r);
    return status == RESEAT_OK || fail_status(r->args, status, r->query.spindle);
}

static void answer_written(const report *r, size_t length)
{
    const char *name = r->args->options[OPT_OUTPUT].text;
    const char *verdict = r->page.answer ? reseat_verdict_name(r->page.answer) : NULL;
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
    if (status != RESEAT_OK)
        fail_error(r->args, status, &error);
    else if (output_write(r->args, bytes, length) &&
             strcmp(r->args->options[OPT_OUTPUT].text, "-") != 0)
        answer_written(r, length);
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
    if (begin(&r) && read_state(&r) && find_all(&r))
        write_page(&r);
    if (r.page.outlook)
        reseat_outlook_free(&r.outlook);
    if (r.page.asked)
        reseat_state_free(&r.asked.state);
    reseat_folder_close(r.query.folder);
    page_log_end(&r.log);
}
