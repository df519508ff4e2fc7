/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat correct RESULTS.csv: what was measured with the turned probe, put right. */

#include "found.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The file is the last word; what is before it is the spindle. */
static int take_file(const arguments *args, arguments *rest, const char **file)
{
    *rest = *args;
    if (args->word_count == 0)
        return text_refuse(args, EXIT_INPUT, "", "expected a file of results, or - for standard "
                                                 "input; see reseat correct --help");
    *file = args->words[args->word_count - 1];
    rest->word_count--;
    return EXIT_DONE;
}

static int read_datum(const arguments *args, reseat_datum *datum)
{
    const option_value *value = &args->options[OPT_DATUM];
    reseat_error error = {0};
    if (!value->given)
        return text_refuse(args, EXIT_INPUT, "--datum",
                           "expected what the results are counted from: machine, before or same");
    if (reseat_datum_parse(value->text, strlen(value->text), datum, &error) == RESEAT_OK)
        return EXIT_DONE;
    snprintf(error.key, sizeof error.key, "--datum");
    error.column = 0;
    return text_fail(args, EXIT_INPUT, false, &error);
}

static int refuse_seats(const arguments *args)
{
    return text_refuse(args, EXIT_INPUT, "",
                       "one seat must be known, not several: type it (--seat 180), or find it by "
                       "a gauge check (--shift DX,DY --shift-u U)");
}

static int correction_by_shift(const arguments *args, const asking *asked, reseat_datum datum,
                               reseat_correction *correction)
{
    reseat_found found;
    const int exit = found_by_shift(args, asked, &found);
    if (exit != EXIT_DONE)
        return exit;
    const reseat_status status =
        reseat_correct_found(&asked->question->estimate, &found, datum, correction);
    if (status == RESEAT_ERR_RANGE)
        return text_refuse(args, EXIT_INPUT, "--shift",
                           "no seat is found by this shift; see reseat find-seat");
    return status == RESEAT_OK ? EXIT_DONE : text_status(args, status, "--shift");
}

static int find_correction(const arguments *args, const asking *asked, reseat_datum datum,
                           reseat_correction *correction)
{
    if (args->options[OPT_SHIFT].given || args->options[OPT_SHIFT_U].given) {
        const int exit = found_check_shift(args);
        return exit == EXIT_DONE ? correction_by_shift(args, asked, datum, correction) : exit;
    }
    const reseat_status status = reseat_correct_at(&asked->question->estimate,
                                                   &asked->question->turns, datum, correction);
    if (status == RESEAT_ERR_RANGE)
        return refuse_seats(args);
    return status == RESEAT_OK ? EXIT_DONE : text_status(args, status, "correct");
}

/* The whole result in memory, to be freed, so that nothing is printed unless all of it can be. */
static int correct_file(const arguments *args, const char *file,
                        const reseat_correction *correction, char **out,
                        reseat_correct_summary *summary)
{
    size_t length;
    int exit = EXIT_DONE;
    reseat_error error = {0};
    char *bytes = file_load(args, file, &length, &exit);
    if (!bytes)
        return exit;
    reseat_status status = reseat_correct_csv(correction, bytes, length, NULL, 0, summary, &error);
    if (status != RESEAT_OK) {
        exit = text_fault_in(args, status, file, &error);
    } else {
        const size_t size = summary->length + 1;
        *out = malloc(size);
        status = *out ? reseat_correct_csv(correction, bytes, length, *out, size, summary, NULL)
                      : RESEAT_ERR_MEMORY;
        if (status != RESEAT_OK)
            exit = text_status(args, status, "correct");
    }
    free(bytes);
    return exit;
}

static void print_json(const reseat_correction *correction, const reseat_correct_summary *summary)
{
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    json_integer(&j, "rows", (int64_t)summary->rows);
    json_pair(&j, "error_mm", correction->error_mm);
    json_number(&j, "u_mm", correction->u_mm);
    json_end(&j);
}

/* About the work, so to standard error: the results themselves are on standard output. */
static void say_what_was_done(const arguments *args, const reseat_correction *correction,
                              const reseat_correct_summary *summary)
{
    const reseat_unit unit = args->unit;
    char x[TEXT_SIZE], y[TEXT_SIZE], u[TEXT_SIZE];
    if (correction->datum == RESEAT_DATUM_SAME)
        fprintf(stderr, "reseat: nothing is changed: datum and features were probed in the same "
                        "seat\n");
    else
        fprintf(stderr,
                "reseat: results corrected: %zu; positions were off by X %s Y %s %s, ± %s "
                "(standard)\n",
                summary->rows, text_signed(x, correction->error_mm.x, unit, 0),
                text_signed(y, correction->error_mm.y, unit, 0), reseat_unit_name(unit),
                text_length(u, correction->u_mm, unit, 0));
    if (summary->passed > 0)
        fprintf(stderr, "reseat: rows of another kind than point or surface, passed on as they "
                        "are: %zu\n", summary->passed);
    fprintf(stderr, "reseat: %s\n", text_caution());
}

/* What they rest on comes first, with --json too, whose object has no place for it. */
static void say_of_log(const arguments *args, const asking *asked)
{
    check_contradiction(stderr, asked);
    check_remarks(stderr, asked);
    check_reasons(stderr, "", asked, args->unit);
}

/* To the file that was typed, else to standard output. */
static int put(const arguments *args, const char *bytes, size_t length)
{
    if (args->options[OPT_OUTPUT].given)
        return output_write(args, bytes, length);
    fwrite(bytes, 1, length, stdout);
    return EXIT_DONE;
}

static int run(const arguments *args, const char *file, reseat_datum datum)
{
    asking asked;
    reseat_correction correction;
    reseat_correct_summary summary = {0};
    char *out = NULL;
    int exit = asking_begin(args, &asked);
    if (exit == EXIT_DONE)
        exit = find_correction(args, &asked, datum, &correction);
    if (exit == EXIT_DONE)
        exit = correct_file(args, file, &correction, &out, &summary);
    if (exit == EXIT_DONE)
        say_of_log(args, &asked);
    if (exit == EXIT_DONE && out && (args->options[OPT_OUTPUT].given || !args->json))
        exit = put(args, out, summary.length);
    if (exit == EXIT_DONE && args->json)
        print_json(&correction, &summary);
    else if (exit == EXIT_DONE && output_is_sound())
        say_what_was_done(args, &correction, &summary);
    free(out);
    asking_end(&asked);
    return exit;
}

int cmd_correct(const arguments *args)
{
    arguments rest;
    const char *file = NULL;
    reseat_datum datum = RESEAT_DATUM_MACHINE;
    int exit = take_file(args, &rest, &file);
    if (exit == EXIT_DONE)
        exit = read_datum(args, &datum);
    const bool to_file = args->options[OPT_OUTPUT].given;
    if (exit == EXIT_DONE && to_file)
        exit = output_refuse(args);
    else if (exit == EXIT_DONE && args->options[OPT_FORCE].given)
        exit = text_refuse(args, EXIT_INPUT, "--force", "goes with -o FILE only");
    return exit == EXIT_DONE ? run(&rest, file, datum) : exit;
}
