/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Lines that were sealed off, and the people who have looked at them. */

#include "history/lost.h"

#include <string.h>
#include "base/named.h"
#include "log/record.h"

static bool add_piece(replay_pieces *list, uint64_t from, uint64_t to, reseat_record *repair)
{
    replay_piece *pieces = grow(list->pieces, list->count, &list->room, sizeof *pieces);
    if (!pieces)
        return false;
    list->pieces = pieces;
    pieces[list->count++] = (replay_piece){from, to, INT64_MIN, repair};
    return true;
}

/* A person who says why has looked at what was lost. */
reseat_status lost_take_repair(replay *read, const walk_step *step, reseat_record **record)
{
    byte_range named;
    bool right = false;
    if (!reseat_record_has(*record, RESEAT_FIELD_WHY))
        return RESEAT_OK;
    const file_fault fault = log_seals_off(read->log, *record, step->line.offset, &named, &right);
    if (fault)
        return fault == FILE_NO_MEMORY ? RESEAT_ERR_MEMORY : RESEAT_ERR_IO;
    if (!right)
        return RESEAT_OK;
    if (!add_piece(&read->settled, named.from, named.to, *record))
        return RESEAT_ERR_MEMORY;
    *record = NULL;
    return RESEAT_OK;
}

reseat_record *lost_repair_of(const replay *read, const reseat_log_line *line)
{
    const uint64_t from = line->offset, to = from + line->length;
    for (size_t i = 0; i < read->settled.count; i++)
        if (read->settled.pieces[i].from <= from && to <= read->settled.pieces[i].to)
            return read->settled.pieces[i].repair;
    return NULL;
}

reseat_status lost_note(replay *read, const reseat_log_line *line)
{
    return add_piece(&read->lost, line->offset, line->offset + line->length,
                     lost_repair_of(read, line)) ? RESEAT_OK : RESEAT_ERR_MEMORY;
}

/* What was lost was written no earlier than the sound line above it. */
void lost_date(replay *read, const walk_step *step)
{
    int64_t written = INT64_MIN;
    const replay_pieces *lost = &read->lost;
    for (size_t i = lost->count; i > 0 && lost->pieces[i - 1].above == INT64_MIN; i--) {
        (void)reseat_time_parse(step->recorded_at, strlen(step->recorded_at), &written, NULL);
        lost->pieces[i - 1].above = written;
    }
}
