/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From the command line to a question: an offset that is typed, or a spindle's log. */
#ifndef RESEAT_CLI_REQUEST_H
#define RESEAT_CLI_REQUEST_H

#include "show/answer.h"
#include "show/failure.h"

/* Has a command answer what is asked, unless it has been said why nothing can be. */
void request_answer(arguments *args, bool (*answer)(arguments *args, const request *asked));

/* Asks the state; RESEAT_ERR_NOT_FOUND where there is no limit. */
reseat_status request_ask(request *asked, const reseat_state_typed *beside, reseat_error *error);

/* A question from typed values alone. */
bool request_typed(arguments *args, request *asked);

/* Refuses those of the options that are given. */
bool request_without(arguments *args, const option_id *options, size_t count, const char *text);

/* Whether --format is csv; table is what there is without. */
bool request_format(arguments *args, bool *csv);

/* The offset from --at-0 and --at-180, and its uncertainty. */
bool request_half_turn(arguments *args, reseat_xy *offset_mm, double *u_mm);

/* The seat that --at-0 and --at-180, or else --shift and --shift-u, fit, of those possible. */
bool request_find_seat(arguments *args, const request *asked, reseat_found *found);

#endif
