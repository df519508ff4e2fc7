/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page of a spindle: what check and drift say, to look at, print and mail. */

#include "commands.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include "files.h"
#include "log_target.h"
#include "page.h"

/* All that a page is made from. */
typedef struct report {
    arguments *args;
    reseat_standing_query query;
    page_log log;
    reseat_gather *gather;
    request asked;
    bool has_runs, has_outlook, decided;
    reseat_outlook outlook;
    reseat_answer answer;
} report;

static bool fail(const report *r, reseat_status status, const reseat_error *error)
{
    return log_target_fail(r->args, status, r->query.dir, r->query.spindle, error);
}

/* As of the newest record, unless a time is typed: the same log gives the same page. */
static bool begin(report *r)
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
    return status == RESEAT_OK || fail(r, status, &error);
}

/* How things stand; a log without runs, where none was asked for by name, is a page too. */
static bool read_standing(report *r)
{
    reseat_error error = {0};
    const reseat_status status = reseat_standing_read(&r->query, &r->asked.standing, &error);
    r->has_runs = status == RESEAT_OK;
    if (status == RESEAT_ERR_NOT_FOUND && !r->query.probe && !r->query.tip)
        return true;
    return r->has_runs || fail(r, status, &error);
}

/* The verdict; without a limit there is none. */
static reseat_status decide(report *r)
{
    request *asked = &r->asked;
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

static bool find_all(report *r)
{
    const reseat_standing *standing = &r->asked.standing;
    r->asked.from_log = true;
    r->asked.dir = r->query.dir;
    if (!log_target_gather(r->args, &r->query, r->has_runs ? standing->probe : NULL,
                           r->has_runs ? standing->tip : NULL, &r->gather))
        return false;
    if (!r->has_runs)
        return true;
    reseat_status status = reseat_outlook_find(standing, r->gather, &r->outlook);
    r->has_outlook = status == RESEAT_OK;
    if (status == RESEAT_OK)
        status = decide(r);
    return status == RESEAT_OK || fail_status(r->args, status, r->query.spindle);
}

static void answer_written(const report *r, size_t length)
{
    const char *name = r->args->options[OPT_OUTPUT].text;
    const char *verdict = r->decided ? verdict_word(&r->answer) : "no verdict";
    char shown[256];
    if (!r->args->json) {
        reseat_text_terminal(name, strlen(name), shown, sizeof shown);
        fprintf(stderr, "reseat: %s: written, %s\n", shown, verdict);
        return;
    }
    json j = json_begin(stdout);
    json_print(&j, "file:s bytes:i verdict:s", name, (int64_t)length,
               r->decided ? verdict : NULL);
    json_end(&j);
}

/* The page is made in memory first, so that a failure leaves nothing half written. */
static void write_page(report *r)
{
    char *bytes = NULL;
    size_t length = 0;
    reseat_error error = {0};
    FILE *out = open_memstream(&bytes, &length);
    const page p = {.out = out,
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
    if (begin(&r) && read_standing(&r) && find_all(&r))
        write_page(&r);
    if (r.has_outlook)
        reseat_outlook_free(&r.outlook);
    if (r.has_runs)
        reseat_standing_free(&r.asked.standing);
    reseat_gather_free(r.gather);
    page_log_end(&r.log);
}
