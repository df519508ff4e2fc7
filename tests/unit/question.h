/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Questions as they are typed, and their answers. */
#ifndef RESEAT_TESTS_QUESTION_H
#define RESEAT_TESTS_QUESTION_H

#include "check.h"
#include "reseat/probe.h"

/* The bit of a reason, without its prefix. */
#define BIT(reason) (1u << RESEAT_REASON_##reason)

static inline reseat_question ask(double x, double y, const char *seat_text, double limit_mm)
{
    reseat_seat seat;
    reseat_question question;
    assert_status(reseat_seat_parse(seat_text, strlen(seat_text), &seat, NULL), RESEAT_OK);
    assert_status(reseat_verdict_question((reseat_xy){x, y}, 0, &seat, &question), RESEAT_OK);
    question.limit_mm = limit_mm;
    return question;
}

static inline reseat_answer decide(const reseat_question *question)
{
    reseat_answer answer;
    assert_status(reseat_verdict_decide(question, &answer), RESEAT_OK);
    return answer;
}

#endif
