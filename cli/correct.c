/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat correct RESULTS.csv: what was measured with the turned probe, put right. */

#include "commands.h"

#include <stdlib.h>
#include "files.h"
#include "request.h"
#include "show/sentences.h"

static bool correct_found(arguments *args, const request *asked, reseat_correction *correction)
{
    reseat_found found;
    if (!request_check_shift(args) || !request_find_seat(args, asked, &found))
        return false;
    const reseat_status status = reseat_correct_found(
        &asked->question->estimate, &found, args->options[OPT_DATUM].datum, correction);
    if (status == RESEAT_ERR_RANGE)
        return refuse(args, "--shift", "no seat is found by this shift; see reseat find-seat");
    return succeeded(args, status, "--shift");
}

static bool find_correction(arguments *args, const request *asked, reseat_correction *correction)
{
    const reseat_question *question = asked->question;
    if (args->options[OPT_SHIFT].given || args->options[OPT_SHIFT_U].given)
        return correct_found(args, asked, correction);
    const reseat_status status = reseat_correct_at(&question->estimate, &question->turns,
                                                   args->options[OPT_DATUM].datum, correction);
    if (status == RESEAT_ERR_RANGE)
        return refuse(args, "", "one seat must be known, not several: type it (--seat 180), or "
                      "find it by a gauge check (--shift DX,DY --shift-u U)");
    return succeeded(args, status, "correct");
}

/* The whole result in memory, to be freed, so that nothing is printed unless all of it can be. */
static char *correct_file(arguments *args, const char *file, const reseat_correction *correction,
                          reseat_correct_summary *summary)
{
    size_t length;
    char *bytes = file_load(args, file, &length), *out = NULL;
    if (!bytes)
        return NULL;
    reseat_status status = reseat_correct_csv(correction, bytes, length, NULL, 0, summary,
                                              &args->error);
    if (succeeded_in_file(args, status, file)) {
        out = malloc(summary->length + 1);
        status = !out ? RESEAT_ERR_MEMORY
                      : reseat_correct_csv(correction, bytes, length, out, summary->length + 1,
                                           summary, NULL);
        if (!succeeded(args, status, "correct")) {
            free(out);
            out = NULL;
        }
    }
    free(bytes);
    return out;
}

/* About the work, so to standard error: the results themselves are on standard output. */
static void say_what_was_done(const arguments *args, const reseat_correction *correction,
                              const reseat_correct_summary *summary)
{
    if (correction->datum == RESEAT_DATUM_SAME)
        fprintf(stderr, "reseat: nothing is changed: datum and features were probed in the same "
                        "seat\n");
    else
        fprintf(stderr, "reseat: results corrected: %zu; positions were off by %s, ± %s "
                        "(standard)\n", summary->rows,
                words_pair_in(correction->error_mm, args->unit).text,
                words_length(correction->u_mm, args->unit, 0).text);
    if (summary->passed > 0)
        fprintf(stderr, "reseat: rows of another kind than point or surface, passed on as they "
                        "are: %zu\n", summary->passed);
    fprintf(stderr, "reseat: %s\n", caution_sentence());
}

static bool correct(arguments *args, const request *asked)
{
    reseat_correction correction;
    reseat_correct_summary summary = {0};
    const char *file = args->words[args->word_count]; /* as run_correct left it */
    if (!find_correction(args, asked, &correction))
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
    if (written && args->json) {
        json j = json_begin(stdout);
        json_print(&j, "rows:i error_mm:p u_mm:n", (int64_t)summary.rows, correction.error_mm,
                   correction.u_mm);
        json_end(&j);
    } else if (written && output_is_sound()) {
        say_what_was_done(args, &correction, &summary);
    }
    return written;
}

/* The file is the last word; what is before it is the spindle. */
void run_correct(arguments *args)
{
    const option_value *options = args->options;
    if (args->word_count == 0)
        refuse(args, "", "expected a file of results, or - for standard input; see reseat "
               "correct --help");
    else if (!options[OPT_DATUM].given)
        refuse(args, "--datum",
               "expected what the results are counted from: machine, before or same");
    else if (options[OPT_FORCE].given && !options[OPT_OUTPUT].given)
        refuse(args, "--force", "goes with -o FILE only");
    else if (!options[OPT_OUTPUT].given || output_check(args)) {
        args->word_count--;
        request_answer(args, correct);
    }
}
