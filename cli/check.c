/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat check: is it safe to measure with this probe now? */

#include "commands.h"

#include <inttypes.h>
#include "recording.h"
#include "request.h"
#include "show/sentences.h"

/* The verdict as a record; what it rests on is in the log above it. */
static void fill_record(const request *asked, const reseat_answer *answer, draft *d)
{
    const reseat_state *s = &asked->state;
    draft_text(d, RESEAT_FIELD_PROBE, s->probe);
    if (d->args->log.ahead == 0) /* a time is typed; else the log says when */
        draft_integer(d, RESEAT_FIELD_AT, s->as_of);
    draft_text(d, RESEAT_FIELD_VERDICT, verdict_word(answer));
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
                                               &d->args->error);
}

static bool record_verdict(arguments *args, const request *asked, const reseat_answer *answer,
                           reseat_appended *done)
{
    draft d = draft_begin(args, RESEAT_RECORD_VERDICT);
    fill_record(asked, answer, &d);
    const bool appended = draft_append(&d, done);
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
    if (!succeeded(args, reseat_verdict_decide(asked->question, &answer), "check") ||
        (records && !record_verdict(args, asked, &answer, &done)))
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

/* That it has just been put back, in the seat that was typed if that is one. */
static bool record_reseat(arguments *args, const request *asked)
{
    static const reseat_seat unknown = {.kind = RESEAT_SEAT_UNKNOWN};
    const reseat_seat *seat = &asked->logged.seat;
    const bool angle = args->options[OPT_SEAT].given && seat->kind == RESEAT_SEAT_ANGLE;
    reseat_appended done;
    draft d = draft_begin(args, RESEAT_RECORD_RESEAT);
    draft_text(&d, RESEAT_FIELD_PROBE, asked->state.probe);
    if (d.status == RESEAT_OK)
        d.status = reseat_record_set_seat(d.record, angle ? seat : &unknown, &args->error);
    draft_person(&d);
    const bool appended = draft_append(&d, &done);
    draft_end(&d);
    if (appended)
        fprintf(stderr,
                "reseat: reseat recorded as %" PRId64 " (%.12s); wrong? reseat record %s void "
                "%" PRId64 " --why TEXT\n",
                done.seq, done.seal, asked->state.spindle, done.seq);
    return appended;
}

/* What is wrong has been told before anything is written; the answer rests on the reseat. */
static bool answer_reseat(arguments *args, const request *asked)
{
    if (record_reseat(args, asked))
        request_answer(args, answer_it);
    return true;
}

/* What cannot be right with a probe that has just been put back. */
static bool check_was_out(arguments *args)
{
    static const option_id ids[] = {OPT_OFFSET, OPT_AS_OF, OPT_AS_KNOWN};
    if (!args->options[OPT_WAS_OUT].given)
        return true;
    if (args->options[OPT_SEAT].given && args->options[OPT_SEAT].seat.kind == RESEAT_SEAT_SAME)
        return refuse(args, "--was-out", "does not go together with --seat same");
    return request_without(args, ids, sizeof ids / sizeof ids[0],
                           "does not go together with --was-out");
}

void run_check(arguments *args)
{
    if ((args->options[OPT_RECORD].given ||
         recording_without_fields(args, "goes with --record only")) && check_was_out(args))
        request_answer(args, args->options[OPT_WAS_OUT].given ? answer_reseat : answer_it);
}
