/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat suspect SPINDLE: when results were doubtful, as it turned out later. */

#include "commands.h"

#include <inttypes.h>
#include <stdio.h>

static void print_json(const reseat_suspect *suspect)
{
    char from[RESEAT_TIME_SIZE] = "", to[RESEAT_TIME_SIZE] = "";
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    json_open(&j, "windows", '[');
    for (size_t i = 0; i < suspect->count; i++) {
        const reseat_window *w = &suspect->windows[i];
        (void)reseat_time_format(w->from, from);
        (void)reseat_time_format(w->to, to);
        json_open(&j, NULL, '{');
        json_integer(&j, "from_seq", w->from_seq);
        json_integer(&j, "to_seq", w->to_seq);
        json_text(&j, "from", from);
        json_text(&j, "to", to);
        json_pair(&j, "expected_mm", w->expected_mm);
        json_pair(&j, "found_mm", w->found_mm);
        json_pair(&j, "error_mm", w->error_mm);
        json_close(&j, '}');
    }
    json_close(&j, ']');
    json_end(&j);
}

static void print_window(const reseat_window *w, reseat_unit unit)
{
    char from[RESEAT_TIME_SIZE] = "", to[RESEAT_TIME_SIZE] = "";
    char x[3][TEXT_SIZE], y[3][TEXT_SIZE];
    const reseat_xy pairs[3] = {w->expected_mm, w->found_mm, w->error_mm};
    (void)reseat_time_format(w->from, from);
    (void)reseat_time_format(w->to, to);
    for (int i = 0; i < 3; i++) {
        text_signed(x[i], pairs[i].x, unit, 0);
        text_signed(y[i], pairs[i].y, unit, 0);
    }
    printf("from %s (record %" PRId64 ") to %s (record %" PRId64 ")\n", from, w->from_seq, to,
           w->to_seq);
    printf("  offset expected X %s Y %s, found X %s Y %s %s\n", x[0], y[0], x[1], y[1],
           reseat_unit_name(unit));
    printf("  positions may be off by X %s Y %s %s\n", x[2], y[2], reseat_unit_name(unit));
}

static void print_screen(const arguments *args, const asking *asked,
                         const reseat_suspect *suspect)
{
    char limit[TEXT_SIZE];
    answer_source(args, asked);
    for (size_t i = 0; i < suspect->count; i++)
        print_window(&suspect->windows[i], args->unit);
    check_remarks(stdout, asked);
    printf("windows in which results are doubtful, by more than %s %s: %zu\n",
           text_length(limit, asked->question->limit_mm, args->unit, 0),
           reseat_unit_name(args->unit), suspect->count);
}

int cmd_suspect(const arguments *args)
{
    asking asked;
    reseat_suspect suspect = {.count = 0};
    int exit = asking_begin(args, &asked);
    if (exit == EXIT_DONE) {
        reseat_error error = {0};
        const reseat_state_request query = where_query(args, asked.dir, asked.standing.spindle);
        const reseat_status status = reseat_suspect_read(&query, &asked.standing,
                                                         asked.question->limit_mm, &suspect,
                                                         &error);
        if (status != RESEAT_OK)
            exit = where_fail(args, status, asked.dir, asked.standing.spindle, &error);
    }
    if (exit == EXIT_DONE && args->json)
        print_json(&suspect);
    else if (exit == EXIT_DONE)
        print_screen(args, &asked, &suspect);
    reseat_suspect_free(&suspect);
    asking_end(&asked);
    return exit;
}
