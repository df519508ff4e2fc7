/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A question and its answer, as screens, pages and JSON show them. */
#ifndef RESEAT_CLI_ANSWER_H
#define RESEAT_CLI_ANSWER_H

#include "../options.h"
#include "json.h"
#include "words.h"

/* What is asked, from what is typed or from a log. It points into itself: not to be copied. */
typedef struct request {
    const reseat_question *question;
    bool from_log;
    reseat_state state;              /* from_log: what the log says, ... */
    reseat_state_typed beside;       /* ... what was typed beside ... */
    reseat_state_question logged;    /* ... and the question */
    reseat_question typed;           /* else the question, and what it rests on */
    reseat_radius_curve curve;
    double dirs_deg[RESEAT_RADIUS_COUNT_MAX];
    reseat_seat_source source;       /* of the seat */
    char seat[RESEAT_SEAT_SIZE];
} request;

/* "seat 180°", or "a turn of 180°" where the run's seat is not known. */
words answer_place(const reseat_answer *answer, const reseat_outcome *outcome);

/* "mill-2  probe P1 tip left". */
void answer_probe(const reseat_state *state);

/* ", as of TIME" and what was known by which time, where that was typed: ends a first line. */
void answer_as_of(FILE *out, const arguments *args);

/* The first line of a screen: whose offset, and how old; and with it the seat. */
void answer_source(const arguments *args, const request *asked);
void answer_head(const arguments *args, const request *asked);

/*
 * What else must be known of an answer: that the seat typed is not the log's; what was passed over
 * in the log; and a line each, with `before` in front, of what the log has against the probe.
 */
void answer_contradiction(FILE *out, const request *asked);
void answer_remarks(FILE *out, const request *asked);
void answer_reasons(FILE *out, const char *before, const request *asked, reseat_unit unit);

/* The seat that a check fits, or that none does. */
void answer_found(FILE *out, const request *asked, const reseat_found *found, reseat_unit unit);

/* What the uncertainty is made of. */
void answer_budget(const reseat_answer *answer, reseat_unit unit);

/* What check shows; in JSON the verdict recorded, too, NULL for none. */
void answer_screen(const arguments *args, const request *asked, const reseat_answer *answer);
void answer_json(const request *asked, const reseat_answer *answer, const reseat_appended *done);

/* What a log knows of the seat, and where from. */
void answer_seat(FILE *out, text_escape *escape, const request *asked, reseat_unit unit);

/* Keys that check and allowed have in common. */
void answer_question_json(json *j, const request *asked);
void answer_limits_json(json *j, const reseat_answer *answer);
void answer_budget_json(json *j, const reseat_answer *answer);

#endif
