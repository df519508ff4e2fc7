/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which log is meant, of which folder, probe and time. */
#ifndef RESEAT_CLI_LOG_TARGET_H
#define RESEAT_CLI_LOG_TARGET_H

#include "show/failure.h"

/* The folder of the logs; NULL when it has been said that there is none. */
const char *log_target_dir(arguments *args);

/* The spindle, and who is at work; NULL where nothing says so. */
const char *log_target_spindle(const arguments *args);
const char *log_target_person(void);

/* What is asked of a log: probe, tip and time from the options. */
reseat_state_request log_target_query(const arguments *args, const char *dir,
                                      const char *spindle);

/* The same with folder and spindle, for a command that reads one log and takes no other word. */
bool log_target_read(arguments *args, reseat_state_request *query);

/* fail_error for a log; one that is not there is answered with those that are. */
bool log_target_fail(arguments *args, reseat_status status, const char *dir, const char *spindle,
                     const reseat_error *error);

/*
 * Has all of a log read once, however much is asked of it; reseat_folder_close(query->folder) in
 * any case.
 */
bool log_target_share(arguments *args, reseat_state_request *query);

/* Drift and due date; that damage was ignored is told. */
bool log_target_outlook(arguments *args, const reseat_state_request *query,
                        const reseat_state *state, reseat_outlook *outlook);

#endif
