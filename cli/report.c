/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * reseat report: the page of a spindle, what check and drift say, to look at, print and mail; or a
 * folder of them with an index.
 */

#include "commands.h"

#include <stdlib.h>
#include <string.h>
#include "files.h"
#include "log_target.h"
#include "report/index.h"
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
    if (!list_probes(r))
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

/* What was printed into memory goes to its file, so that a failure leaves nothing half written. */
static bool end_page(arguments *args, FILE *out, char **bytes, size_t *length, reseat_status status)
{
    if (out && !text_close(out, bytes) && status == RESEAT_OK)
        status = RESEAT_ERR_MEMORY;
    return succeeded(args, status, NULL) && output_write(args, *bytes, *length);
}

static bool write_page(report *r, size_t *length)
{
    char *bytes = NULL;
    const reseat_state_request *log = &r->args->log;
    reseat_error *error = &r->args->error;
    page *p = &r->page;
    *error = (reseat_error){0}; /* a log without runs left one */
    p->unit = r->args->unit;
    p->as_of = log->as_of;
    p->out = open_memstream(&bytes, length);
    const reseat_status status = p->out ? page_write(p, error) : RESEAT_ERR_MEMORY;
    const bool written = end_page(r->args, p->out, &bytes, length, status);
    free(bytes);
    return written;
}

static void end(report *r)
{
    free_probes(&r->page);
    free(r->page.log.events);
}

static void report_spindle(arguments *args)
{
    report r = {.args = args};
    size_t length = 0;
    if (output_check(args) && begin(&r) && log_target_share(args) && read_probes(&r) &&
        write_page(&r, &length) && strcmp(args->options[OPT_OUTPUT].text, "-") != 0)
        answer_written(&r, length);
    end(&r);
}

/* The file of a name in the folder that -o names; the path stands in `path` as long as args do. */
static void name_output(arguments *args, const char *folder, const char *name, char *path,
                        size_t size)
{
    snprintf(path, size, "%s/%s.html", folder, name);
    args->options[OPT_OUTPUT].text = path;
}

#define PATH_SIZE 4096

/* Nothing is written where one of the files is there, unless they may be replaced. */
static bool check_folder(arguments *args, const char *folder, const reseat_log_names *names)
{
    char path[PATH_SIZE];
    if (strlen(folder) + RESEAT_LOG_NAME_SIZE + sizeof "/.html" > sizeof path)
        return refuse(args, "-o", "a shorter path");
    if (!output_folder(args, folder))
        return false;
    name_output(args, folder, "index", path, sizeof path);
    bool fine = output_check(args);
    for (size_t i = 0; fine && i < names->count; i++) {
        name_output(args, folder, names->names[i], path, sizeof path);
        fine = output_check(args);
    }
    args->options[OPT_OUTPUT].text = folder;
    return fine;
}

/* The time of a shop is that of its newest record, unless one is typed. */
static bool find_newest(arguments *args, const reseat_log_names *names)
{
    int64_t newest = 0;
    if (args->log.ahead == 0)
        return true;
    for (size_t i = 0; i < names->count; i++) {
        int64_t recorded_at = 0;
        args->log.spindle = names->names[i];
        (void)page_log_newest(&args->log, &recorded_at, NULL); /* what fails is told below */
        newest = recorded_at > newest ? recorded_at : newest;
    }
    args->log.as_of = newest;
    return true;
}

/* Why a log cannot be read; "" where it can. */
static reseat_status try_log(arguments *args, report *r)
{
    const reseat_tip *tips = NULL;
    size_t count = 0;
    const reseat_status status = page_log_read(&r->page.log, &args->log, until(args), &args->error);
    return status == RESEAT_OK ? reseat_folder_tips(&args->log, &tips, &count, &args->error)
                               : status;
}

/* A page a spindle; one that cannot be read has a line in the index. */
static bool write_spindle(arguments *args, const char *folder, const char *spindle,
                          shop_index *shop, size_t *pages)
{
    report r = {.args = args};
    char path[PATH_SIZE];
    size_t length = 0;
    args->log.spindle = spindle;
    args->error = (reseat_error){0};
    name_output(args, folder, spindle, path, sizeof path);
    const reseat_status status = try_log(args, &r);
    bool fine = true;
    if (status != RESEAT_OK) {
        index_fail(shop, spindle, args->error.text[0] ? args->error.text
                                                      : reseat_status_text(status));
        args->exit = failure_exit(status);
    } else {
        fine = read_probes(&r);
        if (fine)
            index_add(shop, &r.page);
        fine = fine && write_page(&r, &length);
        *pages += fine;
    }
    end(&r);
    return fine;
}

static bool write_index(arguments *args, const char *folder, shop_index *shop)
{
    char path[PATH_SIZE], *bytes = NULL;
    size_t length = 0, count = 0;
    uint64_t bad_lines = 0;
    const reseat_gauge_entry *gauges = NULL;
    reseat_error error = {0};
    const reseat_status status =
        reseat_folder_gauges(&args->log, NULL, &gauges, &count, &bad_lines, &error);
    if (status != RESEAT_OK && status != RESEAT_ERR_NOT_FOUND)
        index_fail(shop, RESEAT_LOG_GAUGES, error.text);
    name_output(args, folder, "index", path, sizeof path);
    FILE *out = shop->failed ? NULL : open_memstream(&bytes, &length);
    if (out)
        index_write(shop, out, args->log.as_of, args->unit, gauges,
                    status == RESEAT_OK ? count : 0);
    const bool written =
        end_page(args, out, &bytes, &length, out ? RESEAT_OK : RESEAT_ERR_MEMORY);
    free(bytes);
    return written;
}

static void answer_folder(const arguments *args, const char *folder, size_t pages)
{
    char escaped[256];
    reseat_text_terminal(folder, strlen(folder), escaped, sizeof escaped);
    if (!args->json) {
        fprintf(stderr, "reseat: %s: written, index.html and %zu page%s\n", escaped, pages,
                words_s(pages));
        return;
    }
    json j = json_begin(stdout);
    json_print(&j, "folder:s pages:i", folder, (int64_t)pages);
    json_end(&j);
}

/* A page of the shop, and one a spindle. */
static void report_folder(arguments *args)
{
    const char *folder = args->options[OPT_OUTPUT].text;
    reseat_log_names names;
    shop_index shop = {.rows = NULL};
    if (!succeeded(args, reseat_log_list(args->log.dir, &names, &args->error), NULL))
        return;
    if (names.count == 0)
        fail_text(args, EXIT_NOTHING, args->log.dir, "no logs in this folder");
    size_t pages = 0;
    bool fine = names.count > 0 && check_folder(args, folder, &names) &&
                find_newest(args, &names) && log_target_share(args);
    for (size_t i = 0; fine && i < names.count; i++)
        fine = write_spindle(args, folder, names.names[i], &shop, &pages);
    if (fine && write_index(args, folder, &shop)) {
        args->options[OPT_OUTPUT].text = folder;
        answer_folder(args, folder, pages);
    }
    index_free(&shop);
    reseat_log_names_free(&names);
}

static bool is_page(const char *name)
{
    const size_t length = strlen(name);
    return strcmp(name, "-") == 0 || (length > 5 && strcmp(name + length - 5, ".html") == 0);
}

void run_report(arguments *args)
{
    const option_value *output = &args->options[OPT_OUTPUT];
    const bool folder = output->given && args->word_count == 0 && !is_page(output->text);
    if (folder ? !log_target_set(args, NULL) : !log_target_read(args))
        return;
    if (!output->given)
        refuse(args, "-o", "type -o FILE.html, the page to write, or -o - for standard output; "
                           "without SPINDLE -o FOLDER");
    else if (folder)
        report_folder(args);
    else
        report_spindle(args);
}
