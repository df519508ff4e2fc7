/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What is bad in a log, piece by piece, for a person to look at. */

#include <string.h>
#include "base/error.h"
#include "base/named.h"
#include "log/file.h"
#include "reseat/values.h"

/* Whether a line is no record, and whether a person has looked at it. */
static reseat_status judge_line(log_reader *log, const reseat_log_line *line, bool *bad,
                                bool *looked_at, reseat_error *error)
{
    walk_step step = {.line = *line};
    *bad = line->state != RESEAT_LINE_SOUND && line->state != RESEAT_LINE_NONE;
    if (line->state == RESEAT_LINE_SOUND && walk_read(&step) != RESEAT_OK)
        return error_plain(error, RESEAT_ERR_MEMORY);
    *bad = *bad || step.invalid;
    *looked_at = false;
    return *bad ? log_is_looked_at(log, line, looked_at, error) : RESEAT_OK;
}

static bool add_piece(log_pieces *pieces, const log_piece *piece)
{
    log_piece *grown = grow(pieces->items, pieces->count, &pieces->room, sizeof *grown);
    if (!grown)
        return false;
    pieces->items = grown;
    grown[pieces->count++] = *piece;
    return true;
}

reseat_status log_find_pieces(log_reader *log, log_pieces *pieces, reseat_error *error)
{
    log_piece piece = {.lines = 0};
    reseat_log_line line;
    bool fresh = false;
    do {
        bool bad = false, looked_at = false;
        reseat_status status = log_next(log, &line, error);
        if (status == RESEAT_OK)
            status = judge_line(log, &line, &bad, &looked_at, error);
        if (status != RESEAT_OK)
            return status;
        if (bad) {
            const byte_range bytes = line_bytes(log, &line);
            if (piece.lines++ == 0)
                piece = (log_piece){.bytes = bytes, .first = line.number, .lines = 1};
            piece.bytes.to = bytes.to;
            fresh = fresh || !looked_at;
            continue;
        }
        if (fresh && !add_piece(pieces, &piece))
            return error_plain(error, RESEAT_ERR_MEMORY);
        piece.lines = 0;
        fresh = false;
    } while (line.state != RESEAT_LINE_NONE);
    return pieces->count > 0 ? RESEAT_OK
           : error_set(error, RESEAT_ERR_REFUSED, 0, "nothing to repair: every line of the log of "
                       "%s is sound, or somebody has looked at it", log->name);
}

/* Fills in which lines a piece is. */
static reseat_status count_lines(log_reader *log, log_piece *piece, reseat_error *error)
{
    char last = '\n';
    uint64_t behind = 0;
    const file_fault fault = file_read_all(log->lines.calls, log->lines.file, &last, 1,
                                           piece->bytes.to - 1);
    if (fault)
        return log_io_error(log->name, fault, error);
    reseat_status status = log_number(log, piece->bytes.from, &piece->first, error);
    if (status == RESEAT_OK)
        status = log_number(log, piece->bytes.to, &behind, error);
    piece->lines = behind - piece->first + (last == '\n' ? 0 : 1);
    return status;
}

reseat_status log_note_piece(log_reader *log, const log_piece *piece, reseat_appended *done,
                             reseat_error *error)
{
    char text[RESEAT_LOG_LEGIBLE_SIZE];
    log_piece found = *piece;
    const reseat_status status = piece->lines > 0 ? RESEAT_OK : count_lines(log, &found, error);
    const uint64_t length = piece->bytes.to - piece->bytes.from;
    size_t size = length < sizeof text ? (size_t)length : sizeof text;
    if (done->piece_count++ >= RESEAT_LOG_PIECES_MAX || status != RESEAT_OK)
        return status;
    const file_fault fault = file_read_all(log->lines.calls, log->lines.file, text, size,
                                           piece->bytes.from);
    if (fault)
        return log_io_error(log->name, fault, error);
    if (size == length && text[size - 1] == '\n')
        size--;
    reseat_log_piece *shown = &done->pieces[done->piece_count - 1];
    *shown = (reseat_log_piece){.line = found.first, .lines = found.lines,
                                .offset = piece->bytes.from, .length = length};
    reseat_text_terminal(text, size, shown->text, sizeof shown->text);
    return RESEAT_OK;
}

reseat_status log_seal_off(log_reader *log, byte_range range, bool with_lf, reseat_record *repair,
                           reseat_error *error)
{
    char digits[SEAL_DIGITS + 1];
    const int64_t length = (int64_t)(range.to - range.from) + (with_lf ? 1 : 0);
    const file_fault fault = line_hash(&log->lines, range, with_lf, digits);
    if (fault)
        return log_io_error(log->name, fault, error);
    reseat_status status = record_put(repair, RESEAT_FIELD_OFFSET_BYTES,
                                      (record_value){.as.integer = (int64_t)range.from}, error);
    if (status == RESEAT_OK)
        status = record_put(repair, RESEAT_FIELD_LENGTH_BYTES,
                            (record_value){.as.integer = length}, error);
    return status == RESEAT_OK ? record_put(repair, RESEAT_FIELD_SHA256,
                                            (record_value){.as.text = digits}, error)
                               : status;
}
