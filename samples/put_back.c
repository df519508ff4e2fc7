/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A probe was put back and nobody knows which of two ways: is it safe to measure? */

#include <stdio.h>
#include <reseat/reseat.h>

int main(void)
{
    const reseat_xy offset_mm = {0.012, -0.005};
    const reseat_seat seat = {.kind = RESEAT_SEAT_KEYS, .keys = 2};
    reseat_question question;
    reseat_answer answer;

    reseat_status status = reseat_verdict_question(offset_mm, 0, &seat, &question);
    if (status == RESEAT_OK) {
        question.limit_mm = 0.01;
        status = reseat_verdict_decide(&question, &answer);
    }
    if (status != RESEAT_OK) {
        fprintf(stderr, "%s\n", reseat_status_text(status));
        return 2;
    }
    for (size_t i = 0; i < answer.count; i++)
        printf("seat %3.0f: off by X %+.4f Y %+.4f mm\n", answer.seats[i].seat_deg,
               answer.seats[i].error_mm.x, answer.seats[i].error_mm.y);
    printf("%s\n", answer.ok ? "OK" : "RECALIBRATE");
    return 0;
}
