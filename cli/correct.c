/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat correct RESULTS.csv: what was measured with the turned probe, put right. */

#include "commands.h"

#include <inttypes.h>
#include <stdlib.h>
#include "files.h"
#include "request.h"
#include "show/sentences.h"

/* What a check at the machine was typed as: all of one, and of one alone. */
static bool check_typed(arguments *args)
{
    static const option_id half_turn[] = {OPT_AT_0, OPT_AT_180, OPT_READING_U};
    const option_value *options = args->options;
    if (!options[OPT_SHIFT].given && !options[OPT_SHIFT_U].given)
        return options[OPT_AT_0].given || request_without(args, half_turn, 3,
                                                          "goes with --at-0 X,Y --at-180 X,Y");
    if (!request_without(args, half_turn, 3, "does not go together with --shift"))
        return false;
    if (!options[OPT_SHIFT].given)
        return refuse(args, "--shift", "expected by how much the gauge reads off now, DX,DY");
    return options[OPT_SHIFT_U].given ||
           refuse(args, "--shift-u", "expected the standard uncertainty of the shift");
}

/* By a check, which measured the error whatever seat it fits. */
static bool correct_found(arguments *args, const request *asked, reseat_found *found,
                          reseat_correction *correction)
{
    if (!request_find_seat(args, asked, found))
        return false;
    const reseat_status status = reseat_correct_found(
        &asked->question->estimate, found, args->options[OPT_DATUM].datum, correction);
    if (status == RESEAT_ERR_RANGE && found->unturned)
        return refuse(args, "--at-180", "the readings agree, as if the spindle had not been "
                      "turned: read again");
    return succeeded(args, status, "correct");
}

static bool find_correction(arguments *args, const request *asked, reseat_correction *correction)
{
    const reseat_question *question = asked->question;
    const reseat_status status = reseat_correct_at(&question->estimate, &question->turns,
                                                   args->options[OPT_DATUM].datum, correction);
    if (status == RESEAT_ERR_RANGE)
        return refuse(args, "", "one seat must be known, not several: type it (--seat 180), or "
                      "measure the error (--at-0 X,Y --at-180 X,Y, or --shift DX,DY --shift-u U)");
    return succeeded(args, status, "correct");
}

/* The newest run is most often of today, and the results are not. */
static bool refuse_needless(arguments *args, const request *asked)
{
    char text[256];
    const reseat_record *run = asked->state.run;
    if (!asked->from_log || args->options[OPT_SEAT].given)
        return refuse(args, "--seat", "nothing was wrong with these results at this seat: type "
                      "the one in which they were measured");
    snprintf(text, sizeof text, "nothing was wrong with these results as things stand: the newest "
             "run (%" PRId64 ", %s) is later than they are? --as-of takes the time they were "
             "measured", reseat_record_integer(run, RESEAT_FIELD_SEQ, -1),
             words_date(reseat_record_integer(run, RESEAT_FIELD_AT, 0)).text);
    return refuse(args, "", text);
}

/* The whole result in memory, to be freed, so that nothing is printed unless all of it can be. */
static char *correct_file(arguments *args, const request *asked, const char *file,
                          const reseat_correction *correction, reseat_correct_summary *summary)
{
    size_t length;
    char *bytes = file_load(args, file, &length), *out = NULL;
    if (!bytes)
        return NULL;
    reseat_status status = reseat_correct_csv(correction, bytes, length, NULL, 0, summary,
                                              &args->error);
    if (status == RESEAT_ERR_REFUSED) {
        refuse_needless(args, asked);
    } else if (succeeded_in_file(args, status, file)) {
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

static size_t told(const reseat_correct_summary *s)
{
    return s->passed_ranges < RESEAT_CORRECT_RANGES ? s->passed_ranges : RESEAT_CORRECT_RANGES;
}

static void put_left(json *j, const void *summary, size_t i)
{
    const reseat_correct_summary *s = summary;
    json_print(j, "from_line:i to_line:i", (int64_t)s->passed_lines[i].first,
               (int64_t)s->passed_lines[i].last);
}

/* Which rows are as they were: those whose kind is misspelt among them. */
static void say_passed(const reseat_correct_summary *s)
{
    fprintf(stderr, "reseat: of another kind than point or surface, left as they are: %zu "
                    "row%s, line%s", s->passed, words_s(s->passed), words_s(s->passed));
    for (size_t i = 0; i < told(s); i++) {
        const size_t first = s->passed_lines[i].first, last = s->passed_lines[i].last;
        fprintf(stderr, "%s %zu", i > 0 ? "," : "", first);
        if (last > first)
            fprintf(stderr, " to %zu", last);
    }
    fprintf(stderr, "%s\n", s->passed_ranges > RESEAT_CORRECT_RANGES ? " and more" : "");
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
        say_passed(summary);
    fprintf(stderr, "reseat: %s\n", caution_sentence());
}

static bool correct(arguments *args, const request *asked)
{
    reseat_correction correction;
    reseat_correct_summary summary = {0};
    reseat_found found = {.explained = true};
    const char *file = args->words[args->word_count]; /* as run_correct left it */
    const bool checked = args->options[OPT_SHIFT].given || args->options[OPT_AT_0].given;
    if (!(checked ? correct_found(args, asked, &found, &correction)
                  : find_correction(args, asked, &correction)))
        return false;
    char *out = correct_file(args, asked, file, &correction, &summary);
    if (!out)
        return false;
    /* What they rest on comes first, with --json too, whose object has no place for it. */
    if (asked->from_log && args->log.ahead == 0) { /* a time is typed */
        fprintf(stderr, "reseat: %s", asked->state.spindle);
        answer_as_of(stderr, args);
        fprintf(stderr, "\n");
    }
    answer_contradiction(stderr, asked);
    answer_remarks(stderr, asked);
    answer_reasons(stderr, "", asked, args->unit);
    if (checked)
        answer_found(stderr, asked, &found, args->unit);
    const bool written = (args->json && !args->options[OPT_OUTPUT].given) ||
                         output_write(args, out, summary.length);
    free(out);
    if (written && args->json) {
        json j = json_begin(stdout);
        json_print(&j, "rows:i error_mm:p u_mm:n", (int64_t)summary.rows, correction.error_mm,
                   correction.u_mm);
        if (summary.passed > 0)
            json_objects(&j, "left", told(&summary), put_left, &summary);
        json_end(&j);
    } else if (written && output_is_sound()) {
        say_what_was_done(args, &correction, &summary);
    }
    args->exit = args->exit != EXIT_DONE || found.explained ? args->exit : EXIT_RECALIBRATE;
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
    else if (check_typed(args) && (!options[OPT_OUTPUT].given || output_check(args))) {
        args->word_count--;
        request_answer(args, correct);
    }
}
