/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What results mean, in English: each function knows the library's types alone. Those with a
 * buffer write as snprintf does and return the length of the full text; foreign texts in it are
 * escaped as for a terminal. The state is NULL where what is asked was typed.
 */
#ifndef RESEAT_CLI_SENTENCES_H
#define RESEAT_CLI_SENTENCES_H

#include "reseat/reseat.h"

#define SENTENCE_SIZE 2560 /* room for all reasons, one after the other */

const char *verdict_word(const reseat_answer *answer); /* "OK", "RECALIBRATE" */
const char *term_meaning(reseat_term term);
const char *caution_sentence(void);                     /* every screen with a verdict has it */

/* What help, manual and pages warn of, one a text, NULL last; lines are broken for a screen. */
const char *const *cautions(void);

/* "seat 180°", or "a turn of 180°" where the run's seat is not known. */
size_t place_name(bool seat_named, double seat_deg, double turn_deg, char *out, size_t size);

/* Why a verdict is not OK; all its reasons, between semicolons; and the same or why it is OK. */
size_t reason_sentence(reseat_reason reason, const reseat_question *question,
                       const reseat_answer *answer, const reseat_state *state,
                       reseat_unit unit, char *out, size_t size);
size_t reasons_sentence(const reseat_question *question, const reseat_answer *answer,
                        const reseat_state *state, reseat_unit unit, char *out,
                        size_t size);
size_t verdict_sentence(const reseat_question *question, const reseat_answer *answer,
                        const reseat_state *state, reseat_unit unit, char *out,
                        size_t size);

/* The one step that helps most; "" after OK. */
size_t next_sentence(const reseat_answer *answer, const reseat_state *state, char *out,
                     size_t size);

/* What a log knows of the seat, and where from; `typed` is what was typed beside it. */
size_t seat_sentence(const reseat_state *state, const reseat_state_question *asked,
                     const reseat_state_typed *typed, reseat_unit unit, char *out, size_t size);

/* That the seat typed is not the log's; "" where it is. */
size_t contradiction_sentence(const reseat_state *state,
                              const reseat_state_question *asked, char *out, size_t size);

/* What of a log was passed over, a sentence each; "" for one that has nothing to say. */
#define REMARK_DOUBTS 7 /* that the run was recorded despite */
#define REMARK_COUNT 8
size_t remark_sentence(unsigned remark, const reseat_state *state,
                       const reseat_state_question *asked, char *out, size_t size);

/* What to do now about a doubt of a reduction. */
size_t doubt_sentence(const char *doubt, const reseat_reduction *reduction,
                      const reseat_touch *touches, const reseat_touch_result *results,
                      reseat_unit unit, char *out, size_t size);

/* What find-seat concludes. */
size_t found_sentence(const reseat_found *found, const char *possible, reseat_unit unit, char *out,
                      size_t size);

/* Why there is no due date. */
const char *not_due_sentence(const reseat_state *state, const reseat_outlook *outlook);

#endif
