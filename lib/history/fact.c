/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "history/fact.h"

#include <math.h>
#include <string.h>
#include "log/record.h"
#include "maths/plane.h"

#define SAME_SEAT_DEG 1e-9 /* seats less apart are one */

bool fact_is_later(const replay_fact *a, const replay_fact *b)
{
    return a->at > b->at || (a->at == b->at && a->seq > b->seq);
}

reseat_xy pair_of(const reseat_record *record, reseat_field x, reseat_field y,
                  reseat_xy otherwise)
{
    return (reseat_xy){reseat_record_number(record, x, otherwise.x),
                       reseat_record_number(record, y, otherwise.y)};
}

bool record_says(const reseat_record *record, reseat_field field, const char *text)
{
    const char *value = reseat_record_text(record, field);
    return value && strcmp(value, text) == 0;
}

static event_kind event_of(const reseat_record *record)
{
    static const char *const kinds[] = {[EVENT_COLLISION] = "collision",
                                        [EVENT_STYLUS_CHANGE] = "stylus-change",
                                        [EVENT_SERVICE] = "service"};
    for (unsigned kind = EVENT_COLLISION; kind <= EVENT_SERVICE; kind++)
        if (record_says(record, RESEAT_FIELD_KIND, kinds[kind]))
            return (event_kind)kind;
    return EVENT_OTHER;
}

/* A field's number into *value; whether it is there. */
static bool has_number(const reseat_record *record, reseat_field field, double *value)
{
    *value = reseat_record_number(record, field, 0);
    return reseat_record_has(record, field) && !reseat_record_is_null(record, field);
}

static reseat_drift_run run_of(const reseat_record *record)
{
    reseat_drift_run run = {
        .seq = (uint64_t)reseat_record_integer(record, RESEAT_FIELD_SEQ, 0),
        .at = reseat_record_integer(record, RESEAT_FIELD_AT, 0),
        .offset_mm = pair_of(record, RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM,
                             (reseat_xy){0, 0}),
    };
    run.seat_known = has_number(record, RESEAT_FIELD_SEAT_DEG, &run.seat_deg);
    run.offset_u_known = has_number(record, RESEAT_FIELD_OFFSET_U_MM, &run.offset_u_mm);
    run.radius_known = has_number(record, RESEAT_FIELD_RADIUS_MM, &run.radius_mm);
    run.stylus_length_known =
        has_number(record, RESEAT_FIELD_STYLUS_LENGTH_MM, &run.stylus_length_mm);
    return run;
}

replay_fact fact_of(const reseat_record *record)
{
    const reseat_record_type type = reseat_record_type_of(record);
    const int64_t written = reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0);
    const char *tip = reseat_record_text(record, RESEAT_FIELD_TIP);
    replay_fact fact = {
        .at = reseat_record_integer(record, RESEAT_FIELD_AT, written),
        .seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1),
        .written = written,
        .type = type,
        .event = type == RESEAT_RECORD_EVENT ? event_of(record) : EVENT_NONE,
        .tip = tip ? tip : "main",
        .run = run_of(record),
        .in_use_known = reseat_record_has(record, RESEAT_FIELD_IN_USE_X_MM),
        .imported = reseat_record_has(record, RESEAT_FIELD_IMPORT_ROW),
    };
    const reseat_xy offset_mm = fact.run.offset_mm;
    fact.found_mm = pair_of(record, RESEAT_FIELD_FOUND_X_MM, RESEAT_FIELD_FOUND_Y_MM, offset_mm);
    fact.in_use_mm =
        pair_of(record, RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM, offset_mm);
    fact.anew = reseat_record_has(record, RESEAT_FIELD_NOW_X_MM);
    fact.shift_mm = pair_of(record, record_measured[fact.anew][0], record_measured[fact.anew][1],
                            (reseat_xy){0, 0});
    fact.shift_u_mm = reseat_record_number(record, record_measured[fact.anew][2], 0);
    return fact;
}

bool seats_alike(const reseat_drift_run *a, const reseat_drift_run *b)
{
    return a->seat_known && b->seat_known &&
           fabs(plane_turn_between(a->seat_deg, b->seat_deg)) < SAME_SEAT_DEG;
}
