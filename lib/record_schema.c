/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <string.h>
#include "record_values.h"
#include "sink.h"

static void put_bounds(sink *to, const reseat_field_row *row)
{
    if (!record_is_open(row->shape->least)) {
        sink_text(to, row->shape->above ? ",\"exclusiveMinimum\":" : ",\"minimum\":");
        sink_number(to, row->shape->least);
    }
    if (!record_is_open(row->shape->most)) {
        sink_text(to, row->shape->below ? ",\"exclusiveMaximum\":" : ",\"maximum\":");
        sink_number(to, row->shape->most);
    }
}

static void put_choices(sink *to, const char *words)
{
    sink_text(to, ",\"enum\":[");
    for (const char *at = words; *at != '\0';) {
        const size_t length = strcspn(at, " ");
        sink_text(to, at == words ? "\"" : ",\"");
        sink_bytes(to, at, length);
        sink_text(to, "\"");
        at += length + (at[length] == ' ' ? 1 : 0);
    }
    sink_text(to, "]");
}

static void put_text_rules(sink *to, const reseat_field_row *row)
{
    sink_text(to, ",\"minLength\":1,\"maxLength\":"); /* characters: at most as many as bytes */
    sink_integer(to, (int64_t)row->shape->bytes_max);
    if (row->choices != NULL)
        put_choices(to, row->choices);
}

static void put_kind(sink *to, const reseat_field_row *row)
{
    static const char *const types[] = {
        "\"number\"", "[\"number\",\"null\"]", "\"integer\"", "\"string\"", "\"string\"",
        "\"array\"", "\"array\""};
    sink_text(to, "\"type\":");
    sink_text(to, types[row->shape->kind]);
    switch (row->shape->kind) {
    case RESEAT_KIND_TIME: sink_text(to, ",\"format\":\"date-time\""); break;
    case RESEAT_KIND_TEXT: put_text_rules(to, row); break;
    case RESEAT_KIND_NUMBERS:
    case RESEAT_KIND_TEXTS:
        sink_text(to, ",\"maxItems\":");
        sink_integer(to, RESEAT_RECORD_COUNT_MAX);
        sink_text(to, row->shape->kind == RESEAT_KIND_NUMBERS ? ",\"items\":{\"type\":\"number\""
                                                       : ",\"items\":{\"type\":\"string\"");
        if (row->shape->kind == RESEAT_KIND_NUMBERS)
            put_bounds(to, row);
        else
            put_text_rules(to, row);
        sink_text(to, "}");
        break;
    case RESEAT_KIND_NUMBER:
    case RESEAT_KIND_NUMBER_OR_NULL:
    case RESEAT_KIND_INTEGER: put_bounds(to, row); break;
    }
}

static void put_properties(sink *to, reseat_record_type type)
{
    sink_text(to, "\"properties\":{");
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field_row *row = reseat_field_about((reseat_field)i);
        if (!record_takes(type, (reseat_field)i))
            continue;
        sink_text(to, i == 0 ? "" : ",");
        sink_json(to, row->name);
        sink_text(to, ":{");
        if (i == RESEAT_FIELD_V) {
            sink_text(to, "\"const\":");
            sink_integer(to, RESEAT_RECORD_VERSION);
        } else if (i == RESEAT_FIELD_TYPE) {
            sink_text(to, "\"const\":");
            sink_json(to, reseat_record_type_name(type));
        } else {
            put_kind(to, row);
        }
        sink_text(to, ",\"description\":");
        sink_json(to, row->meaning);
        sink_text(to, "}");
    }
    sink_text(to, "}");
}

static void put_required(sink *to, reseat_record_type type)
{
    sink_text(to, ",\"required\":[");
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field_row *row = reseat_field_about((reseat_field)i);
        if ((row->required >> type & 1u) == 0)
            continue;
        sink_text(to, i == 0 ? "" : ",");
        sink_json(to, row->name);
    }
    sink_text(to, "]");
}

/* Fields of which neither means anything without the other. */
static void put_pairs(sink *to, reseat_record_type type)
{
    bool any = false;
    for (int i = 0; i < 2 * RECORD_PAIR_COUNT; i++) {
        const reseat_field field = record_pairs[i / 2][i % 2];
        const reseat_field other = record_pairs[i / 2][1 - i % 2];
        if (!record_takes(type, field))
            continue;
        sink_text(to, any ? "," : ",\"dependentRequired\":{");
        sink_json(to, reseat_field_about(field)->name);
        sink_text(to, ":[");
        sink_json(to, reseat_field_about(other)->name);
        sink_text(to, "]");
        any = true;
    }
    sink_text(to, any ? "}" : "");
}

/* A policy has at least one of its own fields. */
static void put_policy_rule(sink *to)
{
    bool any = false;
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        if (!record_is_policy((reseat_field)i))
            continue;
        sink_text(to, any ? "," : ",\"anyOf\":[");
        sink_text(to, "{\"required\":[");
        sink_json(to, reseat_field_about((reseat_field)i)->name);
        sink_text(to, "]}");
        any = true;
    }
    sink_text(to, "]");
}

size_t reseat_record_schema(char *out, size_t size)
{
    sink to = sink_start(out, out != NULL ? size : 0);
    sink_text(&to, "{\"$schema\":\"https://json-schema.org/draft/2020-12/schema\","
                   "\"title\":\"Record of a reseat log\",\"oneOf\":[");
    for (unsigned type = 1; type < RESEAT_RECORD_TYPE_COUNT; type++) {
        sink_text(&to, type == 1 ? "{" : ",{");
        sink_text(&to, "\"type\":\"object\",");
        put_properties(&to, (reseat_record_type)type);
        put_required(&to, (reseat_record_type)type);
        put_pairs(&to, (reseat_record_type)type);
        if (type == RESEAT_RECORD_POLICY)
            put_policy_rule(&to);
        sink_text(&to, "}");
    }
    sink_text(&to, "]}");
    return to.length;
}
