/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "windows.h"

#include <inttypes.h>

void window_when(const reseat_window *w, char line[WINDOW_LINE])
{
    char cause[64] = "";
    const bool event = w->cause_type == RESEAT_RECORD_EVENT || w->cause_seq < 0;
    if (!w->open) {
        snprintf(line, WINDOW_LINE, "from %s (record %" PRId64 ") to %s (record %" PRId64 ")",
                 words_time(w->from).text, w->from_seq, words_time(w->to).text, w->to_seq);
        return;
    }
    if (w->cause_seq >= 0)
        snprintf(cause, sizeof cause, " %" PRId64, w->cause_seq);
    snprintf(line, WINDOW_LINE, "open since %s (record %" PRId64 "): %s%s%s%s",
             words_time(w->from).text, w->from_seq,
             event ? reseat_reason_code(w->reason) : reseat_record_type_name(w->cause_type), cause,
             cause[0] && w->cause_log[0] ? " of " : "", cause[0] ? w->cause_log : "");
}

void window_error(const reseat_window *w, reseat_unit unit, char line[WINDOW_LINE])
{
    if (w->measured)
        snprintf(line, WINDOW_LINE, "positions may be off by %s",
                 words_pair_in(w->error_mm, unit).text);
    else
        snprintf(line, WINDOW_LINE, "not %sknown by how much", w->open ? "yet " : "");
}
