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
        if (w->open)
            json_print(&j, "{ from_seq:i from:t open:b reason:s", w->from_seq, w->from, true,
                       reseat_reason_code(w->reason));
        else
            json_print(&j, "{ from_seq:i to_seq:i from:t to:t", w->from_seq, w->to_seq, w->from,
                       w->to);
        if (w->measured)
            json_print(&j, "expected_mm:p found_mm:p error_mm:p", w->expected_mm, w->found_mm,
                       w->error_mm);
        json_print(&j, "}");
    }
    json_print(&j, "]");
    json_end(&j);
}

static void print_open(const reseat_window *w)
{
    const bool event = w->cause_type == RESEAT_RECORD_EVENT || w->cause_seq < 0;
    printf("open since %s (record %" PRId64 "): %s", words_time(w->from).text, w->from_seq,
           event ? reseat_reason_code(w->reason) : reseat_record_type_name(w->cause_type));
    if (w->cause_seq >= 0)
        printf(" %" PRId64 "%s%s", w->cause_seq, w->cause_log[0] ? " of " : "", w->cause_log);
    printf("\n");
}

static void print_window(const reseat_window *w, reseat_unit unit)
{
    if (w->open)
        print_open(w);
    else
        printf("from %s (record %" PRId64 ") to %s (record %" PRId64 ")\n",
               words_time(w->from).text, w->from_seq, words_time(w->to).text, w->to_seq);
    if (w->measured)
        printf("  offset expected %s, found %s\n  positions may be off by %s\n",
               words_pair(w->expected_mm, unit, 0).text, words_pair_in(w->found_mm, unit).text,
               words_pair_in(w->error_mm, unit).text);
    else
        printf("  not %sknown by how much\n", w->open ? "yet " : "");
}

static void print_screen(const arguments *args, const request *asked,
                         const reseat_suspect *suspect)
{
    answer_source(args, asked);
    for (size_t i = 0; i < suspect->count; i++)
        print_window(&suspect->windows[i], args->unit);
    answer_remarks(stdout, asked);
    if (suspect->count == 0)
        printf("no doubtful results on record");
    else
        printf("results are doubtful in %zu window%s", suspect->count, words_s(suspect->count));
    printf(" (limit %s)\n", words_length_in(asked->question->limit_mm, args->unit, 0).text);
}

static bool show(arguments *args, const request *asked)
{
    reseat_suspect suspect;
    if (!log_succeeded(args, reseat_suspect_read(&args->log, &asked->state,
                                                 &asked->logged, &suspect, &args->error)))
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
