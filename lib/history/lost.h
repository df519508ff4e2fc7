/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What was lost of a log, as it is read from its end back: repairs are met before it is. */
#ifndef RESEAT_HISTORY_LOST_H
#define RESEAT_HISTORY_LOST_H

#include "history/replay.h"

/* A repair record; *record is NULL if it was kept. RESEAT_OK, _MEMORY or _IO. */
reseat_status lost_take_repair(replay *read, const walk_step *step, reseat_record **record);

/* By whom a line was looked at; NULL if by nobody. */
reseat_record *lost_repair_of(const replay *read, const reseat_log_line *line);

/* A line that was sealed off. RESEAT_OK or _MEMORY. */
reseat_status lost_note(replay *read, const reseat_log_line *line);

/* What was lost was written no earlier than the sound line above it, which this is. */
void lost_date(replay *read, const walk_step *step);

#endif
