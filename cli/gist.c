/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "gist.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

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

static void print_lengths(const place *to, const reseat_record *record, const char *what,
                          reseat_field x, reseat_field y, reseat_unit unit)
{
    char a[TEXT_SIZE], b[TEXT_SIZE];
    fprintf(to->out, " %s X %s Y %s %s", what,
            text_signed(a, reseat_record_number(record, x, 0), unit, 0),
            text_signed(b, reseat_record_number(record, y, 0), unit, 0), reseat_unit_name(unit));
}

static void print_seat(const place *to, const reseat_record *record)
{
    char seat[TEXT_SIZE];
    if (reseat_record_is_null(record, RESEAT_FIELD_SEAT_DEG))
        fprintf(to->out, ", seat not recorded");
    else
        fprintf(to->out, ", seat %s",
                text_degrees(seat, reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, 0)));
}

/* What a policy sets, by the names of its options; mm and degrees as in the log. */
static void print_policy(const place *to, const reseat_record *record)
{
    char name[64];
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        const unsigned types = reseat_field_about((reseat_field)field)->optional;
        const bool of_policy = types & 1u << RESEAT_RECORD_POLICY &&
                               !(types & 1u << RESEAT_RECORD_VOID);
        if (!of_policy || !reseat_record_has(record, (reseat_field)field))
            continue;
        fprintf(to->out, " %s", field_option_name((reseat_field)field, name, sizeof name));
        show(to, " ", record, (reseat_field)field);
    }
}

void gist_print(FILE *out, text_escape *escape, const reseat_record *record, reseat_unit unit)
{
    const place to = {out, escape};
    show(&to, " ", record, RESEAT_FIELD_PROBE);
    show(&to, " tip ", record, RESEAT_FIELD_TIP);
    switch (reseat_record_type_of(record)) {
    case RESEAT_RECORD_RUN:
        print_lengths(&to, record, "offset", RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM,
                      unit);
        print_seat(&to, record);
        break;
    case RESEAT_RECORD_RESEAT: print_seat(&to, record); break;
    case RESEAT_RECORD_POLICY: print_policy(&to, record); break;
    case RESEAT_RECORD_VERIFY:
        print_lengths(&to, record, "shift", RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM, unit);
        break;
    case RESEAT_RECORD_EVENT: show(&to, " ", record, RESEAT_FIELD_KIND); break;
    case RESEAT_RECORD_VERDICT: show(&to, " ", record, RESEAT_FIELD_VERDICT); break;
    case RESEAT_RECORD_VOID:
        fprintf(out, " of %" PRId64, reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1));
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

int64_t gist_time(const reseat_record *record)
{
    return reseat_record_integer(record, RESEAT_FIELD_AT,
                                 reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0));
}

bool gist_counts(const reseat_record *record, int64_t as_of)
{
    return reseat_record_integer(record, RESEAT_FIELD_AT, as_of) <= as_of;
}

bool gist_note_void(gist_voids *voids, const reseat_record *record)
{
    if (reseat_record_type_of(record) != RESEAT_RECORD_VOID)
        return true;
    if (voids->count == voids->space) {
        const size_t space = voids->space ? 2 * voids->space : 16;
        struct gist_void *more = realloc(voids->voids, space * sizeof *more);
        if (!more)
            return false;
        voids->voids = more;
        voids->space = space;
    }
    voids->voids[voids->count++] = (struct gist_void){
        .seq = reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1),
        .by = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1),
    };
    return true;
}

int64_t gist_voided_by(const gist_voids *voids, const reseat_record *record)
{
    const int64_t seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1);
    for (size_t i = 0; i < voids->count; i++)
        if (voids->voids[i].seq == seq)
            return voids->voids[i].by;
    return -1;
}

void gist_voids_free(gist_voids *voids)
{
    free(voids->voids);
    *voids = (gist_voids){0};
}
