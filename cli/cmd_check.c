/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "recorded.h"

#include <inttypes.h>
#include <stdio.h>

/* Reasons that no seat and no offset undo. */
#define LOG_REASONS                                                                            \
    (1u << RESEAT_REASON_COLLISION | 1u << RESEAT_REASON_STYLUS_CHANGE |                       \
     1u << RESEAT_REASON_SERVICE | 1u << RESEAT_REASON_TOO_OLD | 1u << RESEAT_REASON_ELSEWHERE)

const char *check_verdict(const reseat_answer *answer)
{
    return answer->ok ? "OK" : "RECALIBRATE";
}

/* How to come by a better figure for what weighs most. */
static const char *better_u(reseat_term term)
{
    switch (term) {
    case RESEAT_TERM_RUN: return "calibrate with more touches: u_run weighs most";
    case RESEAT_TERM_SEAT: return "measure how one seating scatters here: u_seat weighs most";
    case RESEAT_TERM_TURN: return "measure how the orientation stop scatters: u_turn weighs most";
    case RESEAT_TERM_SPINDLE: return "measure the spindle's part: u_spindle weighs most";
    case RESEAT_TERM_TOUCH: return "measure the probe's repeatability: u_touch weighs most";
    case RESEAT_TERM_DRIFT: return "calibrate again: growth since the run weighs most";
    case RESEAT_TERM_LOBING:
        return "calibrate in 12 directions or more, all round: lobing weighs most";
    case RESEAT_TERM_SHIFT: return "repeat the gauge check with more touches";
    case RESEAT_TERM_AXIAL: break;
    }
    return "";
}

/* What to do next; "" after OK. */
const char *check_next(const reseat_answer *answer)
{
    switch (answer->next) {
    case RESEAT_NEXT_NONE: break;
    case RESEAT_NEXT_CALIBRATE:
        if (answer->reasons & LOG_REASONS)
            return "calibrate again";
        return "calibrate again, or restore the calibration's seat and its offset in the control";
    case RESEAT_NEXT_GAUGE_CHECK: return "one gauge check can settle which seat it is";
    case RESEAT_NEXT_SPINDLE_PART:
        return "two runs half a turn apart tell what stays with the spindle (--spindle-part)";
    case RESEAT_NEXT_RECORD_SEAT:
        return "no possible seat keeps the limit: calibrate again, and write the seat down";
    case RESEAT_NEXT_BETTER_U: return better_u(answer->next_term);
    }
    return "";
}

/* The verdict as a record; what it rests on is in the log above it. */
static reseat_status fill_record(const arguments *args, const asking *asked,
                                 const reseat_answer *answer, reseat_record *record,
                                 reseat_error *error)
{
    const reseat_state *s = &asked->standing;
    reseat_status status = reseat_record_set_text(record, RESEAT_FIELD_PROBE, s->probe, error);
    if (status == RESEAT_OK && args->options[OPT_AS_OF].given) /* else the log says when */
        status = reseat_record_set_integer(record, RESEAT_FIELD_AT, s->as_of, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_VERDICT, check_verdict(answer), error);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(
            record, RESEAT_FIELD_RUN_SEQ, reseat_record_integer(s->run, RESEAT_FIELD_SEQ, 0),
            error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_SEAT, asked->seat, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_LIMIT_MM,
                                          asked->question->limit_mm, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_ERROR_MM,
                                          answer->worst.error_length_mm, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_CHANCE, answer->worst.chance_within,
                                          error);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_TIP, s->tip, error);
    if (status == RESEAT_OK)
        status = record_fill_fields(args, record, error);
    for (unsigned reason = 0; status == RESEAT_OK && reason < RESEAT_REASON_COUNT; reason++)
        if (answer->reasons & 1u << reason)
            status = reseat_record_add_text(record, RESEAT_FIELD_REASONS,
                                            reseat_reason_code((reseat_reason)reason), error);
    return status;
}

static int record_verdict(const arguments *args, const asking *asked, const reseat_answer *answer,
                          reseat_appended *done)
{
    reseat_error error = {0};
    reseat_record *record = NULL;
    int exit = EXIT_DONE;
    reseat_status status = reseat_record_new(RESEAT_RECORD_VERDICT, &record);
    if (status == RESEAT_OK)
        status = fill_record(args, asked, answer, record, &error);
    if (status != RESEAT_OK) {
        record_name_option(&error);
        exit = text_fault(args, status, &error);
    } else {
        exit = record_append(args, asked->dir, asked->standing.spindle, record, done);
    }
    reseat_record_free(record);
    if (exit == EXIT_DONE && !args->json)
        fprintf(stderr, "reseat: verdict recorded as %" PRId64 " (%.12s)\n", done->seq,
                done->seal);
    return exit;
}

int cmd_check(const arguments *args)
{
    asking asked;
    reseat_answer answer;
    reseat_appended done = {.seq = -1};
    const bool records = args->options[OPT_RECORD].given;
    int exit = records ? EXIT_DONE
                       : recorded_refuse_fields(args, "goes with --record only");
    if (exit != EXIT_DONE)
        return exit;
    exit = asking_begin(args, &asked);
    if (exit == EXIT_DONE) {
        const reseat_status status = reseat_verdict_decide(asked.question, &answer);
        if (status != RESEAT_OK)
            exit = text_status(args, status, "check");
    }
    if (exit == EXIT_DONE && records)
        exit = record_verdict(args, &asked, &answer, &done);
    if (exit == EXIT_DONE) {
        if (args->json)
            check_json(&asked, &answer, records ? &done : NULL);
        else
            check_screen(args, &asked, &answer);
        if (records && args->json) /* else it has been told */
            record_check_output(&done);
        exit = answer.ok ? EXIT_DONE : EXIT_RECALIBRATE;
    }
    asking_end(&asked);
    return exit;
}
