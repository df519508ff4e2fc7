/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <float.h>
#include <math.h>
#include <string.h>
#include "base/text.h"
#include "log/record.h"

enum {
    OTHER = 1u << RESEAT_RECORD_OTHER,
    LOG = 1u << RESEAT_RECORD_LOG,
    RUN = 1u << RESEAT_RECORD_RUN,
    RESEATED = 1u << RESEAT_RECORD_RESEAT,
    EVENT = 1u << RESEAT_RECORD_EVENT,
    VERIFY = 1u << RESEAT_RECORD_VERIFY,
    POLICY = 1u << RESEAT_RECORD_POLICY,
    VERDICT = 1u << RESEAT_RECORD_VERDICT,
    VOIDING = 1u << RESEAT_RECORD_VOID,
    REPAIR = 1u << RESEAT_RECORD_REPAIR,
    GAUGE = 1u << RESEAT_RECORD_GAUGE,
    EVERY = (1u << RESEAT_RECORD_TYPE_COUNT) - 1,
    TIMED = RUN | RESEATED | EVENT | VERIFY | VERDICT
};

static const reseat_shape count = {
    .kind = RESEAT_KIND_INTEGER, .least = 1, .most = RECORD_WHOLE_MAX};
static const reseat_shape ordinal = {.kind = RESEAT_KIND_INTEGER, .most = RECORD_WHOLE_MAX};
static const reseat_shape label = {.kind = RESEAT_KIND_TEXT, .bytes_max = RESEAT_RECORD_NAME_MAX};
static const reseat_shape words = {.kind = RESEAT_KIND_TEXT, .bytes_max = RESEAT_RECORD_NOTE_MAX};
static const reseat_shape digest = {.kind = RESEAT_KIND_TEXT, .bytes_max = RESEAT_SEAL_SIZE - 1};
static const reseat_shape seat_text = {.kind = RESEAT_KIND_TEXT, .bytes_max = RESEAT_SEAT_SIZE - 1};
static const reseat_shape labels = {.kind = RESEAT_KIND_TEXTS, .bytes_max = RESEAT_RECORD_NAME_MAX};
static const reseat_shape moment = {.kind = RESEAT_KIND_TIME};
static const reseat_shape seat_angle = {
    .kind = RESEAT_KIND_NUMBER_OR_NULL, .quantity = RESEAT_QUANTITY_ANGLE, .least = -DBL_MAX,
    .most = DBL_MAX};
static const reseat_shape half_width = {.kind = RESEAT_KIND_NUMBER, .most = 180};
static const reseat_shape coordinate = {
    .kind = RESEAT_KIND_NUMBER, .quantity = RESEAT_QUANTITY_LENGTH, .least = -DBL_MAX,
    .most = DBL_MAX};
static const reseat_shape spread = {
    .kind = RESEAT_KIND_NUMBER, .quantity = RESEAT_QUANTITY_LENGTH, .most = DBL_MAX};
static const reseat_shape extent = {
    .kind = RESEAT_KIND_NUMBER, .quantity = RESEAT_QUANTITY_LENGTH, .above = true,
    .most = DBL_MAX};
static const reseat_shape chance = {
    .kind = RESEAT_KIND_NUMBER, .quantity = RESEAT_QUANTITY_SHARE, .most = 1};
static const reseat_shape confidence = {
    .kind = RESEAT_KIND_NUMBER, .quantity = RESEAT_QUANTITY_SHARE, .above = true, .below = true,
    .most = 1};
static const reseat_shape positive = {.kind = RESEAT_KIND_NUMBER, .above = true, .most = DBL_MAX};
static const reseat_shape angle_spread = {.kind = RESEAT_KIND_NUMBER, .most = DBL_MAX};
static const reseat_shape temperature = {
    .kind = RESEAT_KIND_NUMBER, .least = -273.15, .most = DBL_MAX};
static const reseat_shape expansion = {
    .kind = RESEAT_KIND_NUMBER, .least = -0.001, .most = 0.001};
static const reseat_shape expansion_u = {.kind = RESEAT_KIND_NUMBER, .most = 0.001};
static const reseat_shape directions = {
    .kind = RESEAT_KIND_NUMBERS, .least = -DBL_MAX, .most = DBL_MAX};
static const reseat_shape extents = {
    .kind = RESEAT_KIND_NUMBERS, .quantity = RESEAT_QUANTITY_LENGTH, .above = true,
    .most = DBL_MAX};

/* In the order of their numbers. */
static const reseat_field_row table[RESEAT_FIELD_COUNT] = {
    {"v", &count, NULL, EVERY, 0, "version of the record"},
    {"seq", &ordinal, NULL, EVERY, 0, "number of the record"},
    {"type", &label, NULL, EVERY, 0, "what the record says"},
    {"recorded_at", &moment, NULL, EVERY, 0, "when it was written"},
    {"spindle", &label, NULL, LOG, 0, "whose log this is"},
    {"format", &label, "reseat-log", LOG, 0, "what this file is"},
    {"probe", &label, NULL, RUN | RESEATED | VERIFY | VERDICT, EVENT | OTHER, "which probe"},
    {"at", &moment, NULL, TIMED, GAUGE | OTHER, "when it happened"},
    {"kind", &label, "collision stylus-change service other", EVENT, 0, "what happened"},
    {"seat_deg", &seat_angle, NULL, RUN | RESEATED, 0, "seat angle; null: not recorded"},
    {"within_deg", &half_width, NULL, 0, RESEATED,
     "half width of the interval the seat was read in"},
    {"offset_x_mm", &coordinate, NULL, RUN, 0, "stylus offset found, X"},
    {"offset_y_mm", &coordinate, NULL, RUN, 0, "stylus offset found, Y"},
    {"shift_x_mm", &coordinate, NULL, 0, VERIFY, "gauge reading now less then, X"},
    {"shift_y_mm", &coordinate, NULL, 0, VERIFY, "gauge reading now less then, Y"},
    {"shift_u_mm", &spread, NULL, 0, VERIFY, "standard uncertainty of the shift, per axis"},
    {"verdict", &label, "OK RECALIBRATE", VERDICT, 0, "what was decided"},
    {"run_seq", &ordinal, NULL, VERDICT, 0, "run that the verdict rests on"},
    {"seat", &seat_text, NULL, VERDICT, 0, "what was known of the seat"},
    {"limit_mm", &extent, NULL, VERDICT, POLICY, "largest error the probe may add"},
    {"error_mm", &spread, NULL, VERDICT, 0, "length of the error at the worst seat"},
    {"chance", &chance, NULL, VERDICT, 0, "chance within the limit at the worst seat"},
    {"confidence", &confidence, NULL, 0, POLICY, "chance that must be reached"},
    {"seats", &seat_text, NULL, 0, POLICY,
     "what a seat that nobody wrote down can be: keys:N or any"},
    {"reseats", &label, "logged changer", 0, POLICY, "who says that the probe was out"},
    {"max_age_days", &positive, NULL, 0, POLICY, "age at which a run is too old"},
    {"u_seat_mm", &spread, NULL, 0, POLICY, "scatter of one seating, per axis"},
    {"u_turn_deg", &angle_spread, NULL, 0, POLICY, "scatter of the orientation stop"},
    {"u_spindle_mm", &spread, NULL, 0, POLICY,
     "standard uncertainty of the spindle's part, per axis"},
    {"spindle_x_mm", &coordinate, NULL, 0, POLICY,
     "part of the offset that stays with the spindle, X"},
    {"spindle_y_mm", &coordinate, NULL, 0, POLICY,
     "part of the offset that stays with the spindle, Y"},
    {"u_touch_mm", &spread, NULL, 0, POLICY, "probe repeatability, per axis"},
    {"u_axial_mm", &spread, NULL, 0, POLICY, "Z scatter of one seating"},
    {"lobing_mm", &spread, NULL, 0, POLICY, "largest radius change by a turn, lobes not on record"},
    {"tip", &label, NULL, 0, RUN | VERIFY | VERDICT, "which ball of the stylus; main if not said"},
    {"reasons", &labels, NULL, 0, VERDICT, "reason codes"},
    {"offset_u_mm", &spread, NULL, 0, RUN, "standard uncertainty of the offset, per axis"},
    {"offset_dof", &positive, NULL, 0, RUN, "degrees of freedom of offset_u_mm"},
    {"in_use_x_mm", &coordinate, NULL, 0, RUN | VERIFY, "offset that the control adds, X"},
    {"in_use_y_mm", &coordinate, NULL, 0, RUN | VERIFY, "offset that the control adds, Y"},
    {"found_x_mm", &coordinate, NULL, 0, RUN, "offset found before it was changed, X"},
    {"found_y_mm", &coordinate, NULL, 0, RUN, "offset found before it was changed, Y"},
    {"radius_mm", &extent, NULL, 0, RUN, "effective radius"},
    {"radius_u_mm", &spread, NULL, 0, RUN, "standard uncertainty of the radius"},
    {"dirs_deg", &directions, NULL, 0, RUN, "approach directions"},
    {"radii_mm", &extents, NULL, 0, RUN, "effective radius by approach direction"},
    {"stylus_length_mm", &extent, NULL, 0, RUN, "length of probe and stylus"},
    {"gauge", &label, "ring plug sphere bore boss", GAUGE, RUN, "what was touched"},
    {"gauge_id", &label, NULL, GAUGE, RUN | VERIFY, "which gauge"},
    {"gauge_diameter_mm", &extent, NULL, GAUGE, RUN, "certified diameter"},
    {"temperature_c", &temperature, NULL, 0, RUN, "temperature of the gauge"},
    {"feed_mm_min", &positive, NULL, 0, RUN, "feed at the touches"},
    {"touches", &count, NULL, 0, RUN, "how many touches"},
    {"form_mm", &spread, NULL, 0, RUN, "form deviation of the touches"},
    {"repeatability_mm", &spread, NULL, 0, RUN, "scatter of repeated touches"},
    {"why", &words, NULL, VOIDING, RESEATED | REPAIR, "reason"},
    {"voids", &count, NULL, VOIDING, 0, "record that is void"},
    {"offset_bytes", &ordinal, NULL, REPAIR, 0, "where the bytes sealed off begin"},
    {"length_bytes", &count, NULL, REPAIR, 0, "how many bytes are sealed off"},
    {"sha256", &digest, NULL, REPAIR, 0, "SHA-256 of these bytes"},
    {"by", &label, NULL, 0, EVERY, "who recorded it"},
    {"note", &words, NULL, 0, EVERY, "remark"},
    {"seal", &digest, NULL, EVERY, 0, "ties the record to those above"},
    {"import_row", &count, NULL, 0, RUN | RESEATED | EVENT | VERIFY,
     "row of the file it was imported from"},
    {"reading_x_mm", &coordinate, NULL, 0, RUN | VERIFY, "centre that the gauge reads, X"},
    {"reading_y_mm", &coordinate, NULL, 0, RUN | VERIFY, "centre that the gauge reads, Y"},
    {"now_x_mm", &coordinate, NULL, 0, VERIFY, "offset measured anew, X"},
    {"now_y_mm", &coordinate, NULL, 0, VERIFY, "offset measured anew, Y"},
    {"now_u_mm", &spread, NULL, 0, VERIFY, "standard uncertainty of it, per axis"},
    {"u_seat_dof", &positive, NULL, 0, POLICY, "degrees of freedom of u_seat_mm"},
    {"doubts", &labels, NULL, 0, RUN, "codes of doubts that it was recorded despite"},
    {"voids_to", &count, NULL, 0, VOIDING, "last record that is void; voids is the first then"},
    {"gauge_diameter_u_mm", &spread, NULL, 0, RUN | GAUGE, "standard uncertainty of the diameter"},
    {"gauge_certificate", &label, NULL, 0, RUN | GAUGE, "certificate of the gauge"},
    {"gauge_due_at", &moment, NULL, 0, RUN | GAUGE, "when the gauge is due to be certified anew"},
    {"calibrated_at", &moment, NULL, 0, GAUGE, "when the gauge was certified"},
    {"expansion_per_k", &expansion, NULL, 0, GAUGE, "thermal expansion of the gauge, per kelvin"},
    {"expansion_u_per_k", &expansion_u, NULL, 0, GAUGE, "standard uncertainty of the expansion"},
};

/*
 * The order of writing, in which readers meet the fields too: a new one is put where it belongs.
 * Nothing is written behind `seal`.
 */
static const reseat_field order[] = {
    RESEAT_FIELD_V, RESEAT_FIELD_SEQ, RESEAT_FIELD_TYPE, RESEAT_FIELD_RECORDED_AT,
    RESEAT_FIELD_SPINDLE, RESEAT_FIELD_FORMAT, RESEAT_FIELD_PROBE, RESEAT_FIELD_AT,
    RESEAT_FIELD_KIND, RESEAT_FIELD_SEAT_DEG, RESEAT_FIELD_WITHIN_DEG, RESEAT_FIELD_OFFSET_X_MM,
    RESEAT_FIELD_OFFSET_Y_MM, RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM,
    RESEAT_FIELD_SHIFT_U_MM, RESEAT_FIELD_NOW_X_MM, RESEAT_FIELD_NOW_Y_MM, RESEAT_FIELD_NOW_U_MM,
    RESEAT_FIELD_READING_X_MM, RESEAT_FIELD_READING_Y_MM, RESEAT_FIELD_VERDICT,
    RESEAT_FIELD_RUN_SEQ, RESEAT_FIELD_SEAT,
    RESEAT_FIELD_LIMIT_MM, RESEAT_FIELD_ERROR_MM, RESEAT_FIELD_CHANCE, RESEAT_FIELD_CONFIDENCE,
    RESEAT_FIELD_SEATS, RESEAT_FIELD_RESEATS, RESEAT_FIELD_MAX_AGE_DAYS, RESEAT_FIELD_U_SEAT_MM,
    RESEAT_FIELD_U_SEAT_DOF, RESEAT_FIELD_U_TURN_DEG, RESEAT_FIELD_U_SPINDLE_MM,
    RESEAT_FIELD_SPINDLE_X_MM, RESEAT_FIELD_SPINDLE_Y_MM, RESEAT_FIELD_U_TOUCH_MM,
    RESEAT_FIELD_U_AXIAL_MM, RESEAT_FIELD_LOBING_MM, RESEAT_FIELD_TIP, RESEAT_FIELD_REASONS,
    RESEAT_FIELD_OFFSET_U_MM,
    RESEAT_FIELD_OFFSET_DOF, RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM,
    RESEAT_FIELD_FOUND_X_MM, RESEAT_FIELD_FOUND_Y_MM, RESEAT_FIELD_RADIUS_MM,
    RESEAT_FIELD_RADIUS_U_MM, RESEAT_FIELD_DIRS_DEG, RESEAT_FIELD_RADII_MM,
    RESEAT_FIELD_STYLUS_LENGTH_MM, RESEAT_FIELD_GAUGE, RESEAT_FIELD_GAUGE_ID,
    RESEAT_FIELD_GAUGE_DIAMETER_MM, RESEAT_FIELD_GAUGE_DIAMETER_U_MM,
    RESEAT_FIELD_GAUGE_CERTIFICATE, RESEAT_FIELD_CALIBRATED_AT, RESEAT_FIELD_GAUGE_DUE_AT,
    RESEAT_FIELD_EXPANSION_PER_K, RESEAT_FIELD_EXPANSION_U_PER_K, RESEAT_FIELD_TEMPERATURE_C,
    RESEAT_FIELD_FEED_MM_MIN, RESEAT_FIELD_TOUCHES, RESEAT_FIELD_FORM_MM,
    RESEAT_FIELD_REPEATABILITY_MM, RESEAT_FIELD_DOUBTS, RESEAT_FIELD_WHY, RESEAT_FIELD_VOIDS,
    RESEAT_FIELD_VOIDS_TO, RESEAT_FIELD_OFFSET_BYTES, RESEAT_FIELD_LENGTH_BYTES,
    RESEAT_FIELD_SHA256,
    RESEAT_FIELD_IMPORT_ROW, RESEAT_FIELD_BY, RESEAT_FIELD_NOTE, RESEAT_FIELD_SEAL};
_Static_assert(sizeof order / sizeof order[0] == RESEAT_FIELD_COUNT, "a field has no place");

const reseat_field record_pairs[RECORD_PAIR_COUNT][2] = {
    {RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM},
    {RESEAT_FIELD_FOUND_X_MM, RESEAT_FIELD_FOUND_Y_MM},
    {RESEAT_FIELD_SPINDLE_X_MM, RESEAT_FIELD_SPINDLE_Y_MM},
    {RESEAT_FIELD_DIRS_DEG, RESEAT_FIELD_RADII_MM},
    {RESEAT_FIELD_READING_X_MM, RESEAT_FIELD_READING_Y_MM},
};

const reseat_field record_measured[2][3] = {
    {RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM, RESEAT_FIELD_SHIFT_U_MM},
    {RESEAT_FIELD_NOW_X_MM, RESEAT_FIELD_NOW_Y_MM, RESEAT_FIELD_NOW_U_MM},
};

static const char *const type_names[RESEAT_RECORD_TYPE_COUNT] = {
    "", "log", "run", "reseat", "event", "verify", "policy", "verdict", "void", "repair",
    "gauge"};

const char *reseat_record_type_name(reseat_record_type type)
{
    return (unsigned)type < RESEAT_RECORD_TYPE_COUNT ? type_names[type] : "";
}

reseat_record_type reseat_record_type_find(const char *name)
{
    for (unsigned type = 1; name && type < RESEAT_RECORD_TYPE_COUNT; type++)
        if (strcmp(type_names[type], name) == 0)
            return (reseat_record_type)type;
    return RESEAT_RECORD_OTHER;
}

const reseat_field_row *reseat_field_about(reseat_field field)
{
    return (unsigned)field < RESEAT_FIELD_COUNT ? &table[field] : NULL;
}

reseat_field reseat_field_at(size_t place)
{
    return place < RESEAT_FIELD_COUNT ? order[place] : RESEAT_FIELD_COUNT;
}

reseat_size reseat_field_size(reseat_field field)
{
    switch (field) {
    case RESEAT_FIELD_AT: return RESEAT_SIZE_AT;
    case RESEAT_FIELD_LIMIT_MM: return RESEAT_SIZE_LIMIT;
    case RESEAT_FIELD_CONFIDENCE: return RESEAT_SIZE_CONFIDENCE;
    case RESEAT_FIELD_SHIFT_U_MM: return RESEAT_SIZE_SHIFT_U;
    case RESEAT_FIELD_U_SEAT_MM:
    case RESEAT_FIELD_U_SPINDLE_MM:
    case RESEAT_FIELD_U_TOUCH_MM:
    case RESEAT_FIELD_U_AXIAL_MM:
    case RESEAT_FIELD_LOBING_MM:
    case RESEAT_FIELD_OFFSET_U_MM:
    case RESEAT_FIELD_GAUGE_DIAMETER_U_MM:
    case RESEAT_FIELD_RADIUS_U_MM: return RESEAT_SIZE_U;
    case RESEAT_FIELD_RADIUS_MM: return RESEAT_SIZE_RADIUS;
    case RESEAT_FIELD_STYLUS_LENGTH_MM: return RESEAT_SIZE_STYLUS_LENGTH;
    case RESEAT_FIELD_GAUGE_DIAMETER_MM: return RESEAT_SIZE_DIAMETER;
    case RESEAT_FIELD_TEMPERATURE_C: return RESEAT_SIZE_TEMPERATURE;
    default: return RESEAT_SIZE_ANY;
    }
}

reseat_field reseat_field_find(const char *name)
{
    unsigned field = 0;
    while (field < RESEAT_FIELD_COUNT && (!name || strcmp(table[field].name, name) != 0))
        field++;
    return (reseat_field)field;
}

bool record_takes(reseat_record_type type, reseat_field field)
{
    return ((table[field].required | table[field].optional) >> type & 1u) != 0;
}

bool record_requires(reseat_record_type type, reseat_field field)
{
    return (table[field].required >> type & 1u) != 0;
}

bool record_is_policy(reseat_field field)
{
    return (table[field].optional & (POLICY | RUN)) == POLICY;
}

/* Length of a name less its unit. */
static size_t without_unit(const char *name)
{
    static const char *const units[] = {"_mm_min", "_mm",    "_deg", "_days",
                                        "_bytes",  "_per_k", "_c"};
    const size_t length = strlen(name);
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        const size_t unit = strlen(units[i]);
        if (length > unit && strcmp(name + length - unit, units[i]) == 0)
            return length - unit;
    }
    return length;
}

size_t reseat_field_option(reseat_field field, char *out, size_t size)
{
    sink to = sink_start(out, size);
    const reseat_field_row *row = reseat_field_about(field);
    const size_t length = row ? without_unit(row->name) : 0;
    for (size_t i = 0; i < length; i++)
        sink_bytes(&to, row->name[i] == '_' ? "-" : row->name + i, 1);
    return to.length;
}

bool record_is_open(double bound)
{
    return fabs(bound) > 1e300;
}

static void put_bound(sink *to, const char *name, double bound)
{
    if (record_is_open(bound))
        return;
    sink_text(to, name);
    sink_number(to, bound);
}

static void put_bounds(sink *to, const reseat_shape *shape)
{
    put_bound(to, shape->above ? ",\"exclusiveMinimum\":" : ",\"minimum\":", shape->least);
    put_bound(to, shape->below ? ",\"exclusiveMaximum\":" : ",\"maximum\":", shape->most);
}

static void put_choices(sink *to, const char *choices)
{
    sink_text(to, ",\"enum\":[");
    for (const char *at = choices; *at != '\0'; at += strspn(at, " ")) {
        const size_t length = strcspn(at, " ");
        sink_print(to, "%s\"%.*s\"", at == choices ? "" : ",", (int)length, at);
        at += length;
    }
    sink_text(to, "]");
}

static void put_text_rules(sink *to, const reseat_field_row *row)
{
    sink_print(to, ",\"minLength\":1,\"maxLength\":%zu", /* characters: at most as many as bytes */
               row->shape->bytes_max);
    if (row->choices)
        put_choices(to, row->choices);
}

static void put_kind(sink *to, const reseat_field_row *row)
{
    static const char *const begin[] = {
        [RESEAT_KIND_NUMBER] = "\"number\"",
        [RESEAT_KIND_NUMBER_OR_NULL] = "[\"number\",\"null\"]",
        [RESEAT_KIND_INTEGER] = "\"integer\"",
        [RESEAT_KIND_TIME] = "\"string\",\"format\":\"date-time\"",
        [RESEAT_KIND_TEXT] = "\"string\"",
        [RESEAT_KIND_NUMBERS] = "\"array\",\"maxItems\":1024,\"items\":{\"type\":\"number\"",
        [RESEAT_KIND_TEXTS] = "\"array\",\"maxItems\":1024,\"items\":{\"type\":\"string\"",
    };
    _Static_assert(RESEAT_RECORD_COUNT_MAX == 1024, "as it says there");
    const reseat_kind kind = row->shape->kind;
    sink_print(to, "\"type\":%s", begin[kind]);
    if (kind == RESEAT_KIND_TEXT || kind == RESEAT_KIND_TEXTS)
        put_text_rules(to, row);
    else if (kind != RESEAT_KIND_TIME)
        put_bounds(to, row->shape);
    if (kind == RESEAT_KIND_NUMBERS || kind == RESEAT_KIND_TEXTS)
        sink_text(to, "}");
}

/* No name or meaning in the table holds what JSON escapes. */
static void put_properties(sink *to, reseat_record_type type)
{
    const char *before = "\"properties\":{";
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field_row *row = &table[order[i]];
        if (!record_takes(type, order[i]))
            continue;
        sink_print(to, "%s\"%s\":{", before, row->name);
        if (order[i] == RESEAT_FIELD_V)
            sink_print(to, "\"const\":%d", RESEAT_RECORD_VERSION);
        else if (order[i] == RESEAT_FIELD_TYPE)
            sink_print(to, "\"const\":\"%s\"", type_names[type]);
        else
            put_kind(to, row);
        sink_print(to, ",\"description\":\"%s\"}", row->meaning);
        before = ",";
    }
    sink_text(to, "}");
}

static void put_required(sink *to, reseat_record_type type)
{
    const char *before = ",\"required\":[";
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        if (!record_requires(type, order[i]))
            continue;
        sink_print(to, "%s\"%s\"", before, table[order[i]].name);
        before = ",";
    }
    sink_text(to, "]");
}

/* Fields of which neither means anything without the other. */
static void put_pairs(sink *to, reseat_record_type type)
{
    const char *before = ",\"dependentRequired\":{", *end = "";
    for (int i = 0; i < 2 * RECORD_PAIR_COUNT; i++) {
        const reseat_field field = record_pairs[i / 2][i % 2];
        const reseat_field other = record_pairs[i / 2][1 - i % 2];
        if (!record_takes(type, field))
            continue;
        sink_print(to, "%s\"%s\":[\"%s\"]", before, table[field].name, table[other].name);
        before = ",";
        end = "}";
    }
    sink_text(to, end);
}

/* A policy has at least one of its own fields. */
static void put_policy_rule(sink *to)
{
    const char *before = ",\"anyOf\":[";
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        if (!record_is_policy(order[i]))
            continue;
        sink_print(to, "%s{\"required\":[\"%s\"]}", before, table[order[i]].name);
        before = ",";
    }
    sink_text(to, "]");
}

/* A gauge check has a shift or the offset itself. */
static void put_verify_rule(sink *to)
{
    for (int i = 0; i < 2; i++)
        sink_print(to, "%s{\"required\":[\"%s\",\"%s\",\"%s\"]}", i == 0 ? ",\"oneOf\":[" : ",",
                   table[record_measured[i][0]].name, table[record_measured[i][1]].name,
                   table[record_measured[i][2]].name);
    sink_text(to, "]");
}

size_t reseat_record_schema(char *out, size_t size)
{
    sink to = sink_start(out, size);
    sink_text(&to, "{\"$schema\":\"https://json-schema.org/draft/2020-12/schema\","
                   "\"title\":\"Record of a reseat log\",\"oneOf\":[");
    for (unsigned type = 1; type < RESEAT_RECORD_TYPE_COUNT; type++) {
        sink_print(&to, "%s{\"type\":\"object\",", type == 1 ? "" : ",");
        put_properties(&to, (reseat_record_type)type);
        put_required(&to, (reseat_record_type)type);
        put_pairs(&to, (reseat_record_type)type);
        if (type == RESEAT_RECORD_POLICY)
            put_policy_rule(&to);
        if (type == RESEAT_RECORD_VERIFY)
            put_verify_rule(&to);
        sink_text(&to, "}");
    }
    sink_text(&to, "]}");
    return to.length;
}
