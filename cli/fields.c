/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "fields.h"

option_text field_option(reseat_field field)
{
    option_text name;
    reseat_field_option(field, name.text, sizeof name.text);
    return name;
}

option_text field_key(reseat_field field)
{
    const option_pair *pair = pair_of_field(field);
    if (field == RESEAT_FIELD_VOIDS || field == RESEAT_FIELD_VOIDS_TO)
        return (option_text){"void"};
    return option_key(pair                             ? option_table()[pair->option].name
                      : field == RESEAT_FIELD_SEAT_DEG ? "seat"
                                                       : field_option(field).text);
}

static const option_pair pairs[PAIR_COUNT] = {
    {OPT_OFFSET, RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM},
    {OPT_IN_USE, RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM},
    {OPT_FOUND, RESEAT_FIELD_FOUND_X_MM, RESEAT_FIELD_FOUND_Y_MM},
    {OPT_SHIFT, RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM},
    {OPT_READING, RESEAT_FIELD_READING_X_MM, RESEAT_FIELD_READING_Y_MM},
    {OPT_SPINDLE_PART, RESEAT_FIELD_SPINDLE_X_MM, RESEAT_FIELD_SPINDLE_Y_MM},
};

const option_pair *pair_table(void)
{
    return pairs;
}

const option_pair *pair_of_option(option_id id)
{
    for (size_t i = 0; i < PAIR_COUNT; i++)
        if (pairs[i].option == id)
            return &pairs[i];
    return NULL;
}

const option_pair *pair_of_field(reseat_field field)
{
    for (size_t i = 0; i < PAIR_COUNT; i++)
        if (pairs[i].x == field || pairs[i].y == field)
            return &pairs[i];
    return NULL;
}

const gauge_option *gauge_options(void)
{
    static const gauge_option rows[GAUGE_OPTION_COUNT] = {
        {OPT_GAUGE, RESEAT_FIELD_GAUGE},
        {OPT_DIAMETER, RESEAT_FIELD_GAUGE_DIAMETER_MM},
        {OPT_DIAMETER_U, RESEAT_FIELD_GAUGE_DIAMETER_U_MM},
        {OPT_EXPANSION, RESEAT_FIELD_EXPANSION_PER_K},
        {OPT_EXPANSION_U, RESEAT_FIELD_EXPANSION_U_PER_K},
        {OPT_CERTIFICATE, RESEAT_FIELD_GAUGE_CERTIFICATE},
        {OPT_CALIBRATED, RESEAT_FIELD_CALIBRATED_AT},
        {OPT_DUE, RESEAT_FIELD_GAUGE_DUE_AT}};
    return rows;
}

option_text field_key_of(reseat_field field, command_id command)
{
    for (size_t i = 0; i < GAUGE_OPTION_COUNT; i++)
        if (gauge_options()[i].field == field && command_takes(command, gauge_options()[i].option))
            return option_key(option_table()[gauge_options()[i].option].name);
    return field_key(field);
}

/* Fields that other options fill, or the log itself. */
static bool is_filled_otherwise(reseat_field field)
{
    switch (field) {
    case RESEAT_FIELD_V:
    case RESEAT_FIELD_SEQ:
    case RESEAT_FIELD_TYPE:
    case RESEAT_FIELD_RECORDED_AT:
    case RESEAT_FIELD_SEAL:
    case RESEAT_FIELD_SPINDLE:
    case RESEAT_FIELD_FORMAT:
    case RESEAT_FIELD_VOIDS:
    case RESEAT_FIELD_VOIDS_TO:
    case RESEAT_FIELD_OFFSET_BYTES:
    case RESEAT_FIELD_LENGTH_BYTES:
    case RESEAT_FIELD_SHA256:
    case RESEAT_FIELD_IMPORT_ROW:
    case RESEAT_FIELD_NOW_X_MM:
    case RESEAT_FIELD_NOW_Y_MM:
    case RESEAT_FIELD_NOW_U_MM:
    case RESEAT_FIELD_DOUBTS:
    case RESEAT_FIELD_SEAT_DEG: return true;
    default: return pair_of_field(field) != NULL;
    }
}

bool type_is_typed(reseat_record_type type)
{
    static const unsigned typed = 1u << RESEAT_RECORD_RUN | 1u << RESEAT_RECORD_RESEAT |
                                  1u << RESEAT_RECORD_EVENT | 1u << RESEAT_RECORD_VERIFY |
                                  1u << RESEAT_RECORD_POLICY | 1u << RESEAT_RECORD_VOID |
                                  1u << RESEAT_RECORD_REPAIR;
    return (typed & 1u << type) != 0;
}

bool field_is_typed(reseat_field field, reseat_record_type type)
{
    const reseat_field_row *row = reseat_field_about(field);
    return row && ((row->required | row->optional) & 1u << type) && !is_filled_otherwise(field);
}

bool field_goes_with(reseat_field field, command_id command)
{
    switch (field) {
    case RESEAT_FIELD_BY:
    case RESEAT_FIELD_NOTE:
        return command == CMD_CHECK || command == CMD_GAUGE || command == CMD_REDUCE ||
               command == CMD_STUDY || command == CMD_FIND_SEAT;
    case RESEAT_FIELD_GAUGE_ID: return command == CMD_REDUCE || command == CMD_FIND_SEAT;
    case RESEAT_FIELD_AT: return command == CMD_REDUCE || command == CMD_GAUGE;
    case RESEAT_FIELD_STYLUS_LENGTH_MM:
    case RESEAT_FIELD_FEED_MM_MIN: return command == CMD_REDUCE;
    default: return false;
    }
}

bool field_of_command(reseat_field field, command_id command)
{
    if (command != CMD_RECORD)
        return field_goes_with(field, command);
    for (int type = 0; type < RESEAT_RECORD_TYPE_COUNT; type++)
        if (type_is_typed((reseat_record_type)type) &&
            field_is_typed(field, (reseat_record_type)type))
            return true;
    return false;
}

bool field_is_dropped(reseat_field field)
{
    const reseat_field_row *row = reseat_field_about(field);
    const unsigned types = row ? row->required | row->optional : 0;
    const bool of_every_record = (types & 1u << RESEAT_RECORD_LOG) != 0;
    return (types & 1u << RESEAT_RECORD_POLICY) && !of_every_record;
}

/* The fields of one type, or beside what a command finds out. */
static void list_some(const list_writer *w, reseat_record_type type, command_id command)
{
    const bool of_type = command == CMD_RECORD;
    bool begun = false;
    for (int i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)i;
        if (of_type ? !field_is_typed(field, type) : !field_goes_with(field, command))
            continue;
        if (!begun)
            w->begin(of_type ? reseat_record_type_name(type) : NULL);
        begun = true;
        w->item(field_option(field).text, "VALUE", reseat_field_about(field)->meaning);
    }
    if (begun && w->end)
        w->end();
}

void list_fields(const list_writer *w, command_id command)
{
    if (command != CMD_RECORD)
        list_some(w, RESEAT_RECORD_OTHER, command);
    for (int type = 0; command == CMD_RECORD && type < RESEAT_RECORD_TYPE_COUNT; type++)
        if (type_is_typed((reseat_record_type)type))
            list_some(w, (reseat_record_type)type, command);
}
