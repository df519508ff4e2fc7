/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat suspect SPINDLE: when results were doubtful, as it turned out later. */

#include "commands.h"

#include <inttypes.h>
#include "log_target.h"
#include "request.h"

static void print_json(const reseat_suspect *suspect)
{
    json j = json_begin(stdout);
    json_print(&j, "windows:[");
    for (size_t i = 0; i < suspect->count; i++) {
        const reseat_window *w = &suspect->windows[i];
        json_print(&j, "{ from_seq:i to_seq:i from:t to:t expected_mm:p found_mm:p error_mm:p }",
                   w->from_seq, w->to_seq, w->from, w->to, w->expected_mm, w->found_mm,
                   w->error_mm);
    }
    json_print(&j, "]");
    json_end(&j);
}

static void print_screen(const arguments *args, const request *asked,
                         const reseat_suspect *suspect)
{
    answer_source(args, asked);
    for (size_t i = 0; i < suspect->count; i++) {
        const reseat_window *w = &suspect->windows[i];
        printf("from %s (record %" PRId64 ") to %s (record %" PRId64 ")\n",
               words_time(w->from).text, w->from_seq, words_time(w->to).text, w->to_seq);
        printf("  offset expected %s, found %s\n  positions may be off by %s\n",
               words_pair(w->expected_mm, args->unit, 0).text,
               words_pair_in(w->found_mm, args->unit).text,
               words_pair_in(w->error_mm, args->unit).text);
    }
    answer_remarks(stdout, asked);
    printf("windows in which results are doubtful, by more than %s: %zu\n",
           words_length_in(asked->question->limit_mm, args->unit, 0).text, suspect->count);
}

static bool show(arguments *args, const request *asked)
{
    reseat_suspect suspect;
    if (!log_succeeded(args, reseat_suspect_read(&args->log, &asked->state,
                                                 asked->question->limit_mm, &suspect,
                                                 &args->error)))
        return false;
    if (args->json)
        print_json(&suspect);
    else
        print_screen(args, asked, &suspect);
    reseat_suspect_free(&suspect);
    return true;
}

void run_suspect(arguments *args)
{
    request_answer(args, show);
}
