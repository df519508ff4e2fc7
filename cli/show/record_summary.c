/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "record_summary.h"

#include <inttypes.h>
#include <string.h>
#include "../fields.h"

typedef struct place {
    FILE *out;
    text_escape *escape;
} place;

/* The longest texts are notes. */
static void show(const place *to, const char *before, const reseat_record *record,
                 reseat_field field)
{
    char plain[RESEAT_RECORD_NOTE_MAX + 100];
    if (!reseat_record_has(record, field))
        return;
    reseat_record_show(record, field, plain, sizeof plain);
    fputs(before, to->out);
    text_put(to->out, to->escape, plain, strlen(plain));
}

static void print_pair(const place *to, const reseat_record *record, const char *name,
                       reseat_field x, reseat_field y, reseat_unit unit)
{
    const reseat_xy mm = {reseat_record_number(record, x, 0), reseat_record_number(record, y, 0)};
    if (reseat_record_has(record, x))
        fprintf(to->out, " %s %s", name, words_pair_in(mm, unit).text);
}

static void print_seat(const place *to, const reseat_record *record)
{
    const double seat_deg = reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, 0);
    const bool unknown = reseat_record_is_null(record, RESEAT_FIELD_SEAT_DEG);
    fprintf(to->out, ", seat %s", unknown ? "not recorded" : words_degrees(seat_deg).text);
}

/* The certificate of a gauge, and of a run's, as far as it is known. */
static void print_certificate(const place *to, const reseat_record *record)
{
    const bool run = reseat_record_type_of(record) == RESEAT_RECORD_RUN;
    const bool certified = reseat_record_has(record, RESEAT_FIELD_GAUGE_CERTIFICATE);
    const bool due = reseat_record_has(record, RESEAT_FIELD_GAUGE_DUE_AT);
    if (run && (certified || due))
        show(to, ", gauge ", record, RESEAT_FIELD_GAUGE_ID);
    show(to, ", certificate ", record, RESEAT_FIELD_GAUGE_CERTIFICATE);
    if (due)
        fprintf(to->out, ", due %s",
                words_date(reseat_record_integer(record, RESEAT_FIELD_GAUGE_DUE_AT, 0)).text);
}

/* What a policy sets, by the names of its options; mm and degrees as in the log. */
static void print_policy(const place *to, const reseat_record *record)
{
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        if (!field_is_dropped((reseat_field)field) ||
            !reseat_record_has(record, (reseat_field)field))
            continue;
        fprintf(to->out, " %s", field_option((reseat_field)field).text);
        show(to, " ", record, (reseat_field)field);
    }
}

void record_summary(FILE *out, text_escape *escape, const reseat_record *record, reseat_unit unit)
{
    const place to = {out, escape};
    show(&to, " ", record, RESEAT_FIELD_PROBE);
    show(&to, " tip ", record, RESEAT_FIELD_TIP);
    switch (reseat_record_type_of(record)) {
    case RESEAT_RECORD_RUN:
        print_pair(&to, record, "offset", RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM,
                   unit);
        print_seat(&to, record);
        print_certificate(&to, record);
        break;
    case RESEAT_RECORD_GAUGE:
        show(&to, " ", record, RESEAT_FIELD_GAUGE_ID);
        show(&to, ", ", record, RESEAT_FIELD_GAUGE);
        fprintf(out, " of %s", words_length_in(reseat_record_number(
            record, RESEAT_FIELD_GAUGE_DIAMETER_MM, 0), unit, 0).text);
        print_certificate(&to, record);
        break;
    case RESEAT_RECORD_RESEAT: print_seat(&to, record); break;
    case RESEAT_RECORD_POLICY: print_policy(&to, record); break;
    case RESEAT_RECORD_VERIFY:
        print_pair(&to, record, "shift", RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM, unit);
        print_pair(&to, record, "offset now", RESEAT_FIELD_NOW_X_MM, RESEAT_FIELD_NOW_Y_MM, unit);
        break;
    case RESEAT_RECORD_EVENT: show(&to, " ", record, RESEAT_FIELD_KIND); break;
    case RESEAT_RECORD_VERDICT: show(&to, " ", record, RESEAT_FIELD_VERDICT); break;
    case RESEAT_RECORD_VOID:
        fprintf(out, " of %" PRId64, reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1));
        show(&to, " to ", record, RESEAT_FIELD_VOIDS_TO);
        break;
    default: break;
    }
    show(&to, ", ", record, RESEAT_FIELD_WHY);
    show(&to, ", ", record, RESEAT_FIELD_NOTE);
    if (!reseat_record_has(record, RESEAT_FIELD_BY))
        return;
    show(&to, " (", record, RESEAT_FIELD_BY);
    fprintf(out, ")");
}

int64_t record_time(const reseat_record *record)
{
    return reseat_record_integer(record, RESEAT_FIELD_AT,
                                 reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0));
}

bool record_is_late(const reseat_record *record)
{
    const int64_t written = reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0);
    return written - reseat_record_integer(record, RESEAT_FIELD_AT, written) >= 86400;
}

bool record_counts(const reseat_record *record, int64_t as_of)
{
    return reseat_record_integer(record, RESEAT_FIELD_AT, as_of) <= as_of;
}

void recorded_pieces(FILE *out, const char *before, const char *was, const reseat_appended *done)
{
    size_t i = 0;
    for (; i < done->piece_count && i < RESEAT_LOG_PIECES_MAX; i++) {
        const reseat_log_piece *piece = &done->pieces[i];
        fprintf(out, "%sline %" PRIu64, before, piece->line);
        if (piece->lines > 1)
            fprintf(out, " to %" PRIu64, piece->line + piece->lines - 1);
        fprintf(out, " %s sealed off: %s\n", was, piece->text);
    }
    if (i < done->piece_count)
        fprintf(out, "%sand %zu more\n", before, done->piece_count - i);
}

void recorded_print(const char *spindle, reseat_record_type type, const reseat_appended *done)
{
    if (done->repaired_bytes > 0)
        fprintf(stderr, "reseat: a last line that had been cut short was sealed off first\n");
    if (type == RESEAT_RECORD_REPAIR)
        recorded_pieces(stdout, "", "was", done);
    else
        recorded_pieces(stderr, "reseat: ", "was", done);
    for (size_t i = 0; i < done->carried_count; i++)
        printf("%s%s", i == 0 ? "carried over from the policy before: " : ", ",
               field_option(done->carried[i]).text);
    printf("%srecorded as %" PRId64 " (%.12s)", done->carried_count > 0 ? "\n" : "", done->seq,
           done->seal);
    if (type != RESEAT_RECORD_VOID && type != RESEAT_RECORD_REPAIR)
        printf("; wrong? reseat record %s void %" PRId64 " --why TEXT", spindle, done->seq);
    printf("\n");
}

static void put_piece(json *j, const void *pieces, size_t i)
{
    const reseat_log_piece *piece = &((const reseat_log_piece *)pieces)[i];
    json_print(j, "line:i lines:i offset_bytes:i length_bytes:i text:s", (int64_t)piece->line,
               (int64_t)piece->lines, (int64_t)piece->offset, (int64_t)piece->length,
               piece->text);
}

void recorded_json(json *j, const reseat_appended *done)
{
    json_print(j, "seq:i seal:s repaired:b", done->seq, done->seal, done->repaired_bytes > 0);
    const size_t most = RESEAT_LOG_PIECES_MAX, count = done->piece_count;
    if (count > 0)
        json_objects(j, "sealed_off", count < most ? count : most, put_piece, done->pieces);
}
