/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat record SPINDLE TYPE: puts a record together from what is typed, and appends it. */

#include "commands.h"

#include <string.h>
#include "fields.h"
#include "log_target.h"
#include "recording.h"
#include "request.h"
#include "show/record_summary.h"

typedef struct entry {
    const char *spindle;
    reseat_record_type type;
    const char *voids; /* the word after `void`: a number, or two with a dash between */
} entry;

static bool is_type(const char *word, reseat_record_type *type)
{
    *type = reseat_record_type_find(word);
    return type_is_typed(*type);
}

/* [SPINDLE] TYPE [SEQ]. */
static bool read_words(arguments *args, entry *e)
{
    int next = 0;
    if (args->word_count > 1 && is_type(args->words[1], &e->type)) {
        e->spindle = args->words[0];
        next = 2;
    } else if (args->word_count > 0 && is_type(args->words[0], &e->type)) {
        e->spindle = log_target_spindle(&(arguments){.word_count = 0});
        next = 1;
    } else {
        return refuse(args, "",
                      "expected SPINDLE and one of run, reseat, event, verify, policy, void, "
                      "repair");
    }
    if (!e->spindle)
        return refuse(args, "",
                      "expected a SPINDLE before the kind of record, or RESEAT_SPINDLE set");
    if (e->type == RESEAT_RECORD_VOID && next < args->word_count)
        e->voids = args->words[next++];
    if (e->type == RESEAT_RECORD_VOID && !e->voids)
        return refuse(args, "", "expected the number of the record to void");
    if (next < args->word_count)
        return refuse(args, args->words[next], "one word too many; see reseat record --help");
    return log_target_set(args, e->spindle);
}

/* The offset as it was read, for a slip in the unit to be seen. */
static void screen(const arguments *args, const void *found)
{
    const reseat_record *record = found;
    const reseat_xy offset_mm = {reseat_record_number(record, RESEAT_FIELD_OFFSET_X_MM, 0),
                                 reseat_record_number(record, RESEAT_FIELD_OFFSET_Y_MM, 0)};
    if (reseat_record_has(record, RESEAT_FIELD_OFFSET_X_MM))
        printf("offset %s %s\n", words_pair(offset_mm, args->unit, 0).text,
               reseat_unit_name(args->unit));
}

static bool drops_any(const arguments *args)
{
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        if (args->dropped[field].given)
            return true;
    return false;
}

static bool is_said(const arguments *args, reseat_field field)
{
    const option_pair *pair = pair_of_field(field);
    return pair ? args->options[pair->option].given : args->fields[field].given;
}

/* A policy alone drops a field of the one before, and cannot say it as well. */
static bool check_drops(arguments *args, reseat_record_type type)
{
    char key[72], text[96];
    const bool policy = type == RESEAT_RECORD_POLICY;
    for (int i = 0; i < RESEAT_FIELD_COUNT; i++) {
        if (!args->dropped[i].given || (policy && !is_said(args, (reseat_field)i)))
            continue;
        const option_text name = field_key((reseat_field)i);
        snprintf(key, sizeof key, "--no-%s", name.text + 2); /* less the dashes */
        snprintf(text, sizeof text, "does not go together with %s", name.text);
        return refuse(args, key,
                      policy ? text : "goes with a policy, which carries over what is not said");
    }
    return true;
}

/* A seat as a record of that type writes it down. */
static bool check_seat(arguments *args, reseat_record_type type)
{
    const reseat_seat *seat = &args->options[OPT_SEAT_WRITTEN].seat;
    if (type != RESEAT_RECORD_RUN && type != RESEAT_RECORD_RESEAT)
        return true;
    if (!recording_needs_seat(args))
        return false;
    if (type == RESEAT_RECORD_RUN || !args->fields[RESEAT_FIELD_WITHIN_DEG].given)
        return true;
    if (seat->kind == RESEAT_SEAT_UNKNOWN)
        return refuse(args, "--within", "goes with a seat angle, not with --seat unknown");
    return !(seat->within_deg > 0) ||
           refuse(args, "--within", "does not go together with +- in --seat: both say the same");
}

/* The offset of a run by half a turn, instead of typed. */
static bool half_turn(arguments *args, const entry *e, draft *d)
{
    static const option_id instead[] = {OPT_OFFSET};
    reseat_xy offset_mm;
    double u_mm = RESEAT_READING_U_MM;
    if (!args->options[OPT_AT_0].given && !args->options[OPT_AT_180].given)
        return !args->options[OPT_READING_U].given ||
               refuse(args, "--reading-u", "goes with --at-0 and --at-180 only");
    if (e->type != RESEAT_RECORD_RUN)
        return refuse(args, args->options[OPT_AT_0].given ? "--at-0" : "--at-180",
                      "goes with a run only; of a check: reseat find-seat --record");
    if (args->fields[RESEAT_FIELD_OFFSET_U_MM].given)
        return refuse(args, "--offset-u", "does not go together with --at-0; type --reading-u");
    if (!request_without(args, instead, 1, "does not go together with --at-0 and --at-180") ||
        !request_half_turn(args, &offset_mm, &u_mm))
        return false;
    draft_pair(d, OPT_OFFSET, offset_mm);
    draft_number(d, RESEAT_FIELD_OFFSET_U_MM, u_mm);
    return true;
}

static void draft_voids(draft *d, const char *voids)
{
    char first[64];
    const char *dash = voids ? strchr(voids, '-') : NULL;
    snprintf(first, sizeof first, "%.*s", dash ? (int)(dash - voids) : 60, voids ? voids : "");
    draft_typed(d, RESEAT_FIELD_VOIDS, voids ? first : NULL);
    draft_typed(d, RESEAT_FIELD_VOIDS_TO, dash ? dash + 1 : NULL);
}

static void make(arguments *args, const entry *e)
{
    draft d = draft_begin(args, e->type);
    const finding typed = {.found = d.record, .screen = screen};
    const unsigned of_probe = reseat_field_about(RESEAT_FIELD_PROBE)->required;
    draft_options(&d);
    draft_voids(&d, e->voids);
    /* What is carried over does not count: a policy that changes nothing is a slip. */
    if (d.status == RESEAT_OK && e->type == RESEAT_RECORD_POLICY && !drops_any(args))
        d.status = reseat_record_check(d.record, &args->error);
    if (of_probe & 1u << e->type)
        draft_choose_probe(&d);
    if (half_turn(args, e, &d))
        (void)finding_finish(args, &typed, &d);
    draft_end(&d);
}

void run_record(arguments *args)
{
    entry e = {.spindle = NULL};
    if (read_words(args, &e) && check_seat(args, e.type) && check_drops(args, e.type))
        make(args, &e);
}
