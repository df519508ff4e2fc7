/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which log is meant, of which folder, probe and time. */
#ifndef RESEAT_CLI_LOG_TARGET_H
#define RESEAT_CLI_LOG_TARGET_H

#include "show/failure.h"

/* The spindle typed, or else set; and who is at work: NULL where nothing says so. */
const char *log_target_spindle(const arguments *args);
const char *log_target_person(void);

/* The folder of logs, typed or set; NULL where nothing says it. */
const char *log_target_folder(const arguments *args);

/*
 * Has args->log say which log is asked, of which folder, probe, tip and time; false when it has
 * been said that there is no folder. The spindle may be NULL where it is not of one.
 */
bool log_target_set(arguments *args, const char *spindle);

/* The same for a command that reads the log of the spindle and takes no other word. */
bool log_target_read(arguments *args);

/* Has all of a log read once, however much is asked of it. */
bool log_target_share(arguments *args);

/* `succeeded`, by args->error, for that log: one not there is answered with those that are. */
bool log_succeeded(arguments *args, reseat_status status);

/* State, drift and due date; that damage was ignored is told. */
bool log_target_state(arguments *args, reseat_state *state);
bool log_target_outlook(arguments *args, const reseat_state *state, reseat_outlook *outlook);

#endif
