/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat check: is it safe to measure with this probe now? */

#include "commands.h"

#include <inttypes.h>
#include "recording.h"
#include "request.h"

/* The verdict as a record; what it rests on is in the log above it. */
static void fill_record(const request *asked, const reseat_answer *answer, draft *d)
{
    const reseat_state *s = &asked->state;
    draft_text(d, RESEAT_FIELD_PROBE, s->probe);
    if (d->args->options[OPT_AS_OF].given) /* else the log says when */
        draft_integer(d, RESEAT_FIELD_AT, s->as_of);
    draft_text(d, RESEAT_FIELD_VERDICT, reseat_verdict_name(answer));
    draft_integer(d, RESEAT_FIELD_RUN_SEQ, reseat_record_integer(s->run, RESEAT_FIELD_SEQ, 0));
    draft_text(d, RESEAT_FIELD_SEAT, asked->seat);
    draft_number(d, RESEAT_FIELD_LIMIT_MM, asked->question->limit_mm);
    draft_number(d, RESEAT_FIELD_ERROR_MM, answer->worst.error_length_mm);
    draft_number(d, RESEAT_FIELD_CHANCE, answer->worst.chance_within);
    draft_text(d, RESEAT_FIELD_TIP, s->tip);
    draft_fields(d);
    for (unsigned reason = 0; reason < RESEAT_REASON_COUNT; reason++)
        if (d->status == RESEAT_OK && (answer->reasons & 1u << reason))
            d->status = reseat_record_add_text(d->record, RESEAT_FIELD_REASONS,
                                               reseat_reason_code((reseat_reason)reason),
                                               &d->error);
}

static bool record_verdict(arguments *args, const request *asked, const reseat_answer *answer,
                           reseat_appended *done)
{
    draft d = draft_begin(args, RESEAT_RECORD_VERDICT);
    fill_record(asked, answer, &d);
    const bool appended = draft_append(&d, asked->log.dir, asked->state.spindle, done);
    draft_end(&d);
    if (appended && !args->json)
        fprintf(stderr, "reseat: verdict recorded as %" PRId64 " (%.12s)\n", done->seq,
                done->seal);
    return appended;
}

static bool answer_it(arguments *args, const request *asked)
{
    reseat_answer answer;
    reseat_appended done;
    const bool records = args->options[OPT_RECORD].given;
    const reseat_status status = reseat_verdict_decide(asked->question, &answer);
    if (status != RESEAT_OK)
        return fail_status(args, status, "check");
    if (records && !record_verdict(args, asked, &answer, &done))
        return false;
    if (args->json)
        answer_json(asked, &answer, records ? &done : NULL);
    else
        answer_screen(args, asked, &answer);
    if (records && args->json) /* else it has been told */
        recorded_check_output(&done);
    args->exit = answer.ok ? EXIT_DONE : EXIT_RECALIBRATE;
    return true;
}

void run_check(arguments *args)
{
    request asked;
    if (!args->options[OPT_RECORD].given &&
        !recording_without_fields(args, "goes with --record only"))
        return;
    (void)(request_begin(args, &asked) && answer_it(args, &asked));
    request_end(&asked);
}
