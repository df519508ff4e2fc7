/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat record SPINDLE TYPE: puts a record together from what is typed, and appends it. */

#include "commands.h"

#include <stdio.h>
#include <string.h>

typedef struct entry {
    const char *spindle;
    reseat_record_type type;
    const char *voids; /* the word after `void` */
} entry;

static bool is_type(const char *word, reseat_record_type *type)
{
    *type = reseat_record_type_find(word);
    return type_is_typed(*type);
}

/* [SPINDLE] TYPE [SEQ]. */
static int read_words(const arguments *args, entry *e)
{
    int next = 0;
    if (args->word_count > 1 && is_type(args->words[1], &e->type)) {
        e->spindle = args->words[0];
        next = 2;
    } else if (args->word_count > 0 && is_type(args->words[0], &e->type)) {
        const arguments none = {.word_count = 0};
        e->spindle = where_spindle(&none);
        next = 1;
    } else {
        return text_refuse(args, EXIT_INPUT, "",
                           "expected SPINDLE and one of run, reseat, event, verify, policy, void");
    }
    if (!e->spindle)
        return text_refuse(args, EXIT_INPUT, "",
                           "expected a SPINDLE before the kind of record, or RESEAT_SPINDLE set");
    if (e->type == RESEAT_RECORD_VOID && next < args->word_count)
        e->voids = args->words[next++];
    if (e->type == RESEAT_RECORD_VOID && !e->voids)
        return text_refuse(args, EXIT_INPUT, "", "expected the number of the record to void");
    if (next < args->word_count)
        return text_refuse(args, EXIT_INPUT, args->words[next],
                           "one word too many; see reseat record --help");
    return EXIT_DONE;
}

static const struct {
    option_id id;
    reseat_field x, y;
} pairs[] = {
    {OPT_OFFSET, RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM},
    {OPT_IN_USE, RESEAT_FIELD_IN_USE_X_MM, RESEAT_FIELD_IN_USE_Y_MM},
    {OPT_FOUND, RESEAT_FIELD_FOUND_X_MM, RESEAT_FIELD_FOUND_Y_MM},
    {OPT_SHIFT, RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM},
    {OPT_SPINDLE_PART, RESEAT_FIELD_SPINDLE_X_MM, RESEAT_FIELD_SPINDLE_Y_MM},
};
#define PAIRS (sizeof pairs / sizeof pairs[0])

/* The field that an error is about: the library names it, or its option less the dashes. */
static reseat_field field_of(const char *key)
{
    char name[64];
    reseat_field field = reseat_field_find(key);
    for (int i = 0; field == RESEAT_FIELD_COUNT && i < RESEAT_FIELD_COUNT; i++)
        if (strcmp(field_option_name((reseat_field)i, name, sizeof name), key) == 0)
            field = (reseat_field)i;
    return field;
}

/* How a field is typed, and what is expected there. */
static void describe_field(reseat_field field, char *key, size_t size, char *expected, size_t room)
{
    char name[60];
    const reseat_field_row *row = reseat_field_about(field);
    snprintf(key, size, "--%s", field == RESEAT_FIELD_SEAT_DEG
                                    ? "seat" : field_option_name(field, name, sizeof name));
    if (field == RESEAT_FIELD_VOIDS)
        snprintf(key, size, "void");
    if (row->choices)
        snprintf(expected, room, "missing; expected one of %s", row->choices);
    else
        snprintf(expected, room, "missing; expected a value: %s", row->meaning);
    for (size_t i = 0; i < PAIRS; i++) {
        if (field != pairs[i].x && field != pairs[i].y)
            continue;
        const option *typed = &option_table()[pairs[i].id];
        snprintf(key, size, "--%s", typed->name);
        snprintf(expected, room, "missing; expected %s", typed->value);
    }
}

void record_name_option(reseat_error *error)
{
    char expected[128], name[60];
    const reseat_field field = field_of(error->key);
    if (field == RESEAT_FIELD_COUNT)
        return;
    describe_field(field, error->key, sizeof error->key, expected, sizeof expected);
    field_option_name(reseat_field_find(error->other_key), name, sizeof name);
    if (error->code == RESEAT_CODE_MISSING)
        snprintf(error->text, sizeof error->text, "%s", expected);
    if (error->code == RESEAT_CODE_MISSING_PARTNER)
        snprintf(error->text, sizeof error->text, "missing, as --%s is there", name);
    if (error->code == RESEAT_CODE_COUNT_DIFFERS)
        snprintf(error->text, sizeof error->text, "must be as many as --%s", name);
}

static reseat_status set_pair(const arguments *args, option_id id, reseat_field x, reseat_field y,
                              reseat_record *record, reseat_error *error)
{
    const option_value *value = &args->options[id];
    if (!value->given)
        return RESEAT_OK;
    reseat_status status = reseat_record_set_number(record, x, value->pair.x, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, y, value->pair.y, error);
    return status;
}

static reseat_status set_pairs(const arguments *args, reseat_record *record, reseat_error *error)
{
    reseat_status status = RESEAT_OK;
    for (size_t i = 0; status == RESEAT_OK && i < PAIRS; i++)
        status = set_pair(args, pairs[i].id, pairs[i].x, pairs[i].y, record, error);
    return status;
}

reseat_status record_fill_fields(const arguments *args, reseat_record *record, reseat_error *error)
{
    reseat_status status = RESEAT_OK;
    for (int field = 0; status == RESEAT_OK && field < RESEAT_FIELD_COUNT; field++)
        if (args->fields[field])
            status = reseat_record_set_typed(record, (reseat_field)field, args->fields[field],
                                             args->unit, error);
    const char *person = where_person();
    if (status != RESEAT_OK || !person || args->fields[RESEAT_FIELD_BY])
        return status;
    status = reseat_record_set_typed(record, RESEAT_FIELD_BY, person, args->unit, error);
    if (status != RESEAT_OK)
        snprintf(error->key, sizeof error->key, "RESEAT_BY");
    return status;
}

/* Probe and tip are options of every command, and fields of most records. */
static reseat_status set_names(const arguments *args, reseat_record *record, reseat_error *error)
{
    reseat_status status = RESEAT_OK;
    if (args->options[OPT_PROBE].given)
        status = reseat_record_set_typed(record, RESEAT_FIELD_PROBE, args->options[OPT_PROBE].text,
                                         args->unit, error);
    if (status == RESEAT_OK && args->options[OPT_TIP].given)
        status = reseat_record_set_typed(record, RESEAT_FIELD_TIP, args->options[OPT_TIP].text,
                                         args->unit, error);
    return status;
}

reseat_status record_fill(const arguments *args, reseat_record *record, reseat_error *error)
{
    reseat_status status = set_pairs(args, record, error);
    if (status == RESEAT_OK && args->options[OPT_SEAT_WRITTEN].given)
        status = reseat_record_set_seat(record, &args->options[OPT_SEAT_WRITTEN].seat, error);
    if (status == RESEAT_OK)
        status = set_names(args, record, error);
    if (status == RESEAT_OK)
        status = record_fill_fields(args, record, error);
    if (status != RESEAT_OK)
        record_name_option(error);
    return status;
}

static void print_answer(const arguments *args, const entry *e, const reseat_appended *done)
{
    char x[TEXT_SIZE], y[TEXT_SIZE];
    const option_value *offset = &args->options[OPT_OFFSET];
    if (offset->given)
        printf("offset X %s Y %s %s\n", text_signed(x, offset->pair.x, args->unit, 0),
               text_signed(y, offset->pair.y, args->unit, 0), reseat_unit_name(args->unit));
    record_answer(e->spindle, e->type, done);
}

static void print_json(const reseat_appended *done)
{
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    record_answer_json(&j, done);
    json_end(&j);
}

static int append(const arguments *args, const entry *e, const char *dir, reseat_record *record)
{
    reseat_appended done;
    size_t length = 0;
    const bool dry_run = args->options[OPT_DRY_RUN].given;
    const int exit = record_append(args, dir, e->spindle, record, &done);
    if (exit != EXIT_DONE)
        return exit;
    for (size_t i = 0; i < PAIRS; i++)
        typed_warn_if_large(args, pairs[i].id);
    if (dry_run)
        printf("%s\n", reseat_record_line(record, &length));
    else if (args->json)
        print_json(&done);
    else
        print_answer(args, e, &done);
    if (!dry_run)
        record_check_output(&done);
    return EXIT_DONE;
}

static bool drops_any(const arguments *args)
{
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        if (args->dropped[field])
            return true;
    return false;
}

static bool is_said(const arguments *args, reseat_field field)
{
    for (size_t i = 0; i < PAIRS; i++)
        if (field == pairs[i].x)
            return args->options[pairs[i].id].given;
    return args->fields[field] != NULL;
}

/* A policy alone drops a field of the one before, and cannot say it as well. */
static int refuse_drops(const arguments *args, reseat_record_type type)
{
    char name[60], key[72], text[96], expected[128];
    for (int i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)i;
        if (!args->dropped[field] ||
            (type == RESEAT_RECORD_POLICY && !is_said(args, field)))
            continue;
        describe_field(field, name, sizeof name, expected, sizeof expected);
        snprintf(key, sizeof key, "--no-%s", name + 2); /* less the dashes */
        if (type == RESEAT_RECORD_POLICY)
            snprintf(text, sizeof text, "does not go together with %s", name);
        else
            snprintf(text, sizeof text, "goes with a policy, which carries over what is not said");
        return text_refuse(args, EXIT_INPUT, key, text);
    }
    return EXIT_DONE;
}

int record_need_seat(const arguments *args)
{
    return args->options[OPT_SEAT_WRITTEN].given
               ? EXIT_DONE
               : text_refuse(args, EXIT_INPUT, "--seat",
                             "expected the seat angle, or unknown if nobody wrote it down");
}

/* A seat as a record of that type writes it down. */
static int refuse_seat(const arguments *args, reseat_record_type type)
{
    const option_value *seat = &args->options[OPT_SEAT_WRITTEN];
    if (type != RESEAT_RECORD_RUN && type != RESEAT_RECORD_RESEAT)
        return EXIT_DONE;
    const int exit = record_need_seat(args);
    if (exit != EXIT_DONE || type == RESEAT_RECORD_RUN || !args->fields[RESEAT_FIELD_WITHIN_DEG])
        return exit;
    if (seat->seat.kind == RESEAT_SEAT_UNKNOWN)
        return text_refuse(args, EXIT_INPUT, "--within",
                           "goes with a seat angle, not with --seat unknown");
    return seat->seat.within_deg > 0
               ? text_refuse(args, EXIT_INPUT, "--within",
                             "does not go together with +- in --seat: both say the same")
               : EXIT_DONE;
}

int cmd_record(const arguments *args)
{
    entry e = {.spindle = NULL};
    reseat_error error = {0};
    reseat_record *record = NULL;
    int exit = read_words(args, &e);
    const char *dir = exit == EXIT_DONE ? where_dir(args, &exit) : NULL;
    if (!dir)
        return exit;
    exit = refuse_seat(args, e.type);
    if (exit == EXIT_DONE)
        exit = refuse_drops(args, e.type);
    if (exit != EXIT_DONE)
        return exit;

    reseat_status status = reseat_record_new(e.type, &record);
    if (status != RESEAT_OK)
        return text_status(args, status, "record");
    status = record_fill(args, record, &error);
    if (status == RESEAT_OK && e.voids)
        status = reseat_record_set_typed(record, RESEAT_FIELD_VOIDS, e.voids, args->unit, &error);
    /* What is carried over does not count: a policy that changes nothing is a slip. */
    if (status == RESEAT_OK && e.type == RESEAT_RECORD_POLICY && !drops_any(args))
        status = reseat_record_check(record, &error);
    const unsigned of_probe = reseat_field_about(RESEAT_FIELD_PROBE)->required;
    if (status != RESEAT_OK) {
        record_name_option(&error);
        exit = text_fault(args, status, &error);
    } else if (of_probe & 1u << e.type) {
        exit = record_choose_probe(args, dir, e.spindle, record);
    }
    if (exit == EXIT_DONE)
        exit = append(args, &e, dir, record);
    reseat_record_free(record);
    return exit;
}
