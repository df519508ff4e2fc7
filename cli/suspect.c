/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat suspect SPINDLE: when results were doubtful, as it turned out later. */

#include "commands.h"

#include <inttypes.h>
#include "log_target.h"
#include "request.h"
#include "show/windows.h"

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

static void print_window(const reseat_window *w, reseat_unit unit)
{
    char line[WINDOW_LINE];
    window_when(w, line);
    printf("%s\n", line);
    if (w->measured)
        printf("  offset expected %s, found %s\n", words_pair(w->expected_mm, unit, 0).text,
               words_pair_in(w->found_mm, unit).text);
    window_error(w, unit, line);
    printf("  %s\n", line);
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
