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

/* The verdict, and when results were in doubt; without a limit there is neither. */
static reseat_status decide(const reseat_state_request *log, page_probe *probe, reseat_error *error)
{
    reseat_status status = request_ask(&probe->asked, NULL, NULL);
    if (status == RESEAT_ERR_NOT_FOUND)
        return RESEAT_OK;
    if (status == RESEAT_OK)
        status = reseat_verdict_decide(probe->asked.question, &probe->answer);
    if (status == RESEAT_OK)
        status = reseat_suspect_read(log, &probe->asked.state, &probe->asked.logged,
                                     &probe->suspect, error);
    probe->judged = status == RESEAT_OK;
    return status;
}

static bool read_probe(report *r, page_probe *probe)
{
    arguments *args = r->args;
    const reseat_state_request asked = args->log;
    args->log.probe = probe->probe;
    args->log.tip = probe->tip;
    const bool read = log_target_state(args, &probe->asked.state) &&
                      log_target_outlook(args, &probe->asked.state, &probe->outlook) &&
                      log_succeeded(args, decide(&args->log, probe, &args->error));
    args->log = asked;
    return read;
}

/* What is worse comes first: RECALIBRATE, then no verdict, then what is due sooner. */
static int compare_probes(const void *a, const void *b)
{
    const page_probe *left = *(page_probe *const *)a, *right = *(page_probe *const *)b;
    const int ranks[] = {left->judged ? 2 * left->answer.ok : 1,
                         right->judged ? 2 * right->answer.ok : 1};
    if (ranks[0] != ranks[1])
        return ranks[0] - ranks[1];
    if (left->outlook.due_known != right->outlook.due_known)
        return left->outlook.due_known ? -1 : 1;
    if (left->outlook.due_at != right->outlook.due_at)
        return left->outlook.due_at < right->outlook.due_at ? -1 : 1;
    const int names = strcmp(left->probe, right->probe);
    return names != 0 ? names : strcmp(left->tip, right->tip);
}

/* Room for the tips with runs; a log without any, where none was asked for by name, is a page. */
static bool list_probes(report *r)
{
    const reseat_state_request *log = &r->args->log;
    const reseat_tip *tips = NULL;
    size_t count = 0;
    page *p = &r->page;
    if (!log_succeeded(r->args, reseat_folder_tips(log, &tips, &count, &r->args->error)))
        return false;
    p->probes = calloc(count + 1, sizeof *p->probes);
    for (; p->probes && p->probe_count < count; p->probe_count++) {
        page_probe *probe = calloc(1, sizeof *probe);
        if (!probe)
            return succeeded(r->args, RESEAT_ERR_MEMORY, NULL);
        p->probes[p->probe_count] = probe;
        snprintf(probe->probe, sizeof probe->probe, "%s", tips[p->probe_count].probe);
        snprintf(probe->tip, sizeof probe->tip, "%s", tips[p->probe_count].tip);
    }
    return succeeded(r->args, p->probes ? RESEAT_OK : RESEAT_ERR_MEMORY, NULL);
}

static bool read_probes(report *r)
{
    page *p = &r->page;
    reseat_state none;
    if (!log_target_share(r->args) || !list_probes(r))
        return false;
    if (p->probe_count == 0 && (r->args->log.probe || r->args->log.tip)) {
        if (log_target_state(r->args, &none))
            reseat_state_free(&none);
        return false;
    }
    for (size_t i = 0; i < p->probe_count; i++)
        if (!read_probe(r, p->probes[i]))
            return false;
    qsort(p->probes, p->probe_count, sizeof *p->probes, compare_probes);
    return true;
}

static void free_probes(page *p)
{
    for (size_t i = 0; i < p->probe_count; i++) {
        reseat_state_free(&p->probes[i]->asked.state);
        reseat_outlook_free(&p->probes[i]->outlook);
        reseat_suspect_free(&p->probes[i]->suspect);
        free(p->probes[i]);
    }
    free(p->probes);
}

static void answer_written(const report *r, size_t length)
{
    const char *name = r->args->options[OPT_OUTPUT].text;
    const page_probe *worst = r->page.probe_count > 0 ? r->page.probes[0] : NULL;
    const char *verdict = worst && worst->judged ? verdict_word(&worst->answer) : NULL;
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
    if (output_check(args) && begin(&r) && read_probes(&r))
        write_page(&r);
    free_probes(&r.page);
    free(r.page.log.events);
}
