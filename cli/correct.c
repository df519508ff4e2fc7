/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat correct RESULTS.csv: what was measured with the turned probe, put right. */

#include "commands.h"

#include <stdlib.h>
#include <string.h>
#include "files.h"
#include "request.h"
#include "show/cautions.h"

static bool read_datum(arguments *args, reseat_datum *datum)
{
    const option_value *value = &args->options[OPT_DATUM];
    reseat_error error = {0};
    if (!value->given)
        return refuse(args, "--datum",
                      "expected what the results are counted from: machine, before or same");
    return reseat_datum_parse(value->text, strlen(value->text), datum, &error) == RESEAT_OK ||
           fail_value(args, OPT_DATUM, &error);
}

static bool correct_found(arguments *args, const request *asked, reseat_datum datum,
                          reseat_correction *correction)
{
    reseat_found found;
    if (!request_check_shift(args) || !request_find_seat(args, asked, &found))
        return false;
    const reseat_status status =
        reseat_correct_found(&asked->question->estimate, &found, datum, correction);
    if (status == RESEAT_ERR_RANGE)
        return refuse(args, "--shift", "no seat is found by this shift; see reseat find-seat");
    return status == RESEAT_OK || fail_status(args, status, "--shift");
}

static bool find_correction(arguments *args, const request *asked, reseat_datum datum,
                            reseat_correction *correction)
{
    if (args->options[OPT_SHIFT].given || args->options[OPT_SHIFT_U].given)
        return correct_found(args, asked, datum, correction);
    const reseat_status status = reseat_correct_at(&asked->question->estimate,
                                                   &asked->question->turns, datum, correction);
    if (status == RESEAT_ERR_RANGE)
        return refuse(args, "", "one seat must be known, not several: type it (--seat 180), or "
                      "find it by a gauge check (--shift DX,DY --shift-u U)");
    return status == RESEAT_OK || fail_status(args, status, "correct");
}

/* The whole result in memory, to be freed, so that nothing is printed unless all of it can be. */
static char *correct_file(arguments *args, const char *file, const reseat_correction *correction,
                          reseat_correct_summary *summary)
{
    size_t length;
    reseat_error error = {0};
    char *bytes = file_load(args, file, &length), *out = NULL;
    if (!bytes)
        return NULL;
    reseat_status status = reseat_correct_csv(correction, bytes, length, NULL, 0, summary, &error);
    if (status != RESEAT_OK) {
        fail_in_file(args, status, file, &error);
    } else {
        out = malloc(summary->length + 1);
        status = !out ? RESEAT_ERR_MEMORY
                      : reseat_correct_csv(correction, bytes, length, out, summary->length + 1,
                                           summary, NULL);
        if (status != RESEAT_OK)
            fail_status(args, status, "correct");
    }
    free(bytes);
    if (status == RESEAT_OK)
        return out;
    free(out);
    return NULL;
}

static void print_json(const reseat_correction *correction, const reseat_correct_summary *summary)
{
    json j = json_begin(stdout);
    json_print(&j, "rows:i error_mm:p u_mm:n", (int64_t)summary->rows, correction->error_mm,
               correction->u_mm);
    json_end(&j);
}

/* About the work, so to standard error: the results themselves are on standard output. */
static void say_what_was_done(const arguments *args, const reseat_correction *correction,
                              const reseat_correct_summary *summary)
{
    const reseat_unit unit = args->unit;
    if (correction->datum == RESEAT_DATUM_SAME)
        fprintf(stderr, "reseat: nothing is changed: datum and features were probed in the same "
                        "seat\n");
    else
        fprintf(stderr, "reseat: results corrected: %zu; positions were off by %s %s, ± %s "
                        "(standard)\n",
                summary->rows, words_pair(correction->error_mm, unit, 0).text,
                reseat_unit_name(unit), reseat_words_length(correction->u_mm, unit, 0).text);
    if (summary->passed > 0)
        fprintf(stderr, "reseat: rows of another kind than point or surface, passed on as they "
                        "are: %zu\n", summary->passed);
    fprintf(stderr, "reseat: %s\n", caution_sentence());
}

static bool correct(arguments *args, const request *asked, const char *file, reseat_datum datum)
{
    reseat_correction correction;
    reseat_correct_summary summary = {0};
    if (!find_correction(args, asked, datum, &correction))
        return false;
    char *out = correct_file(args, file, &correction, &summary);
    if (!out)
        return false;
    /* What they rest on comes first, with --json too, whose object has no place for it. */
    answer_contradiction(stderr, asked);
    answer_remarks(stderr, asked);
    answer_reasons(stderr, "", asked, args->unit);
    const bool written = (args->json && !args->options[OPT_OUTPUT].given) ||
                         output_write(args, out, summary.length);
    free(out);
    if (written && args->json)
        print_json(&correction, &summary);
    else if (written && output_is_sound())
        say_what_was_done(args, &correction, &summary);
    return written;
}

/* The file is the last word; what is before it is the spindle. */
static bool take_file(arguments *args, const char **file)
{
    if (args->word_count == 0)
        return refuse(args, "", "expected a file of results, or - for standard input; see reseat "
                      "correct --help");
    *file = args->words[--args->word_count];
    return true;
}

static bool check_output(arguments *args)
{
    if (args->options[OPT_OUTPUT].given)
        return output_check(args);
    return !args->options[OPT_FORCE].given ||
           refuse(args, "--force", "goes with -o FILE only");
}

void run_correct(arguments *args)
{
    request asked;
    const char *file = NULL;
    reseat_datum datum = RESEAT_DATUM_MACHINE;
    if (!take_file(args, &file) || !read_datum(args, &datum) || !check_output(args))
        return;
    (void)(request_begin(args, &asked) && correct(args, &asked, file, datum));
    request_end(&asked);
}
