/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat history SPINDLE: the records of a log, newest first. */

#include "commands.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include "log_target.h"
#include "show/record_summary.h"

typedef enum form { FORM_TABLE, FORM_CSV, FORM_JSON } form;

typedef struct listing {
    arguments *args;
    form form;
    reseat_record_type type; /* RESEAT_RECORD_OTHER: all */
    bool begun; /* what stands above the first row is printed */
    bool comma;
    bool named; /* a record names the probe asked for */
    uint64_t shown, bad;
} listing;

static bool text_is(const reseat_record *record, reseat_field field, const option_value *wanted)
{
    const char *text = reseat_record_text(record, field);
    return !wanted->given || (text && strcmp(text, wanted->text) == 0);
}

static bool is_wanted(const listing *list, const reseat_record *record)
{
    const option_value *options = list->args->options;
    const int64_t time = record_time(record);
    if (list->type != RESEAT_RECORD_OTHER && reseat_record_type_of(record) != list->type)
        return false;
    return text_is(record, RESEAT_FIELD_PROBE, &options[OPT_PROBE]) &&
           text_is(record, RESEAT_FIELD_TIP, &options[OPT_TIP]) &&
           !(options[OPT_SINCE].given && time < options[OPT_SINCE].time) &&
           !(options[OPT_UNTIL].given && time > options[OPT_UNTIL].time) &&
           !(options[OPT_AS_OF].given && !record_counts(record, options[OPT_AS_OF].time));
}

/* What each form prints of a record; false where there is no memory. */
static bool print_row(const listing *list, const reseat_record *record, int64_t by)
{
    char *summary = NULL;
    size_t length = 0;
    FILE *held = open_memstream(&summary, &length);
    if (held && by >= 0)
        fprintf(held, " VOID by %" PRId64 ":", by);
    if (held)
        record_summary(held, reseat_text_terminal, record, list->args->unit);
    const bool complete = held && text_close(held, &summary);
    const reseat_record_type type = reseat_record_type_of(record);
    if (complete) /* a row of which there is nothing to tell ends with its kind */
        printf("%6" PRId64 "  %s  %-*s%s\n", reseat_record_integer(record, RESEAT_FIELD_SEQ, -1),
               words_time(record_time(record)).text, length > 0 ? 7 : 0,
               type == RESEAT_RECORD_OTHER ? "unknown" : reseat_record_type_name(type), summary);
    free(summary);
    return complete;
}

/* A field of any length, quoted as CSV; numbers as they are. */
static bool print_csv_field(const reseat_record *record, reseat_field field)
{
    const reseat_kind kind = reseat_field_about(field)->shape->kind;
    const bool number = kind == RESEAT_KIND_NUMBER || kind == RESEAT_KIND_NUMBER_OR_NULL ||
                        kind == RESEAT_KIND_INTEGER;
    const size_t length = reseat_record_show(record, field, NULL, 0);
    char *plain = malloc(length + 1);
    if (!plain)
        return false;
    reseat_record_show(record, field, plain, length + 1);
    const size_t size = reseat_text_csv(plain, length, NULL, 0) + 1;
    char *quoted = malloc(size);
    if (quoted) {
        reseat_text_csv(plain, length, quoted, size);
        printf(",%s", number ? plain : quoted);
    }
    const bool printed = quoted != NULL;
    free(quoted);
    free(plain);
    return printed;
}

static bool print_csv(const reseat_record *record, int64_t by)
{
    if (by >= 0)
        printf("%" PRId64, by);
    for (size_t i = 0; i < RESEAT_FIELD_COUNT; i++)
        if (!print_csv_field(record, reseat_field_at(i)))
            return false;
    printf("\n");
    return true;
}

/* The record as it stands in the log, with what voids it in front. */
static void print_json(listing *list, const reseat_record *record, int64_t by)
{
    size_t length = 0;
    const char *line = reseat_record_line(record, &length);
    printf("%s{", list->comma ? "," : "");
    list->comma = true;
    if (by >= 0)
        printf("\"voided_by\":%" PRId64 ",", by);
    printf("%.*s", (int)length - 1, line + 1);
}

static void begin(listing *list)
{
    if (list->begun)
        return;
    list->begun = true;
    switch (list->form) {
    case FORM_TABLE: printf("%6s  %-20s  %s\n", "seq", "at", "kind"); break;
    case FORM_JSON: printf("{\"records\":["); break;
    case FORM_CSV:
        printf("voided_by");
        for (size_t i = 0; i < RESEAT_FIELD_COUNT; i++)
            printf(",%s", reseat_field_about(reseat_field_at(i))->name);
        printf("\n");
    }
}

static bool show(listing *list, const reseat_record *record, int64_t by)
{
    list->named = list->named || text_is(record, RESEAT_FIELD_PROBE,
                                         &list->args->options[OPT_PROBE]);
    if (!is_wanted(list, record))
        return true;
    begin(list);
    list->shown++;
    switch (list->form) {
    case FORM_TABLE: return print_row(list, record, by);
    case FORM_CSV: return print_csv(record, by);
    case FORM_JSON: print_json(list, record, by); break;
    }
    return true;
}

/* Bad lines are told on the way, and passed over. */
static void tell_bad(listing *list, const reseat_entry *entry)
{
    const char *key = entry->why.key, *text = entry->why.text;
    list->bad++;
    fprintf(stderr, "reseat: the line at byte %" PRIu64 " is bad: %s", entry->line.offset,
            entry->line.what);
    text_put(stderr, reseat_text_terminal, key, strlen(key));
    fputs(key[0] ? ": " : "", stderr);
    text_put(stderr, reseat_text_terminal, text, strlen(text));
    fprintf(stderr, "\n");
}

static bool is_damaged(const listing *list)
{
    return list->bad > 0 && !list->args->options[OPT_DESPITE_DAMAGE].given;
}

/* That a probe is not in a log cannot be said where lines of it are lost. */
static bool is_unknown_probe(const listing *list)
{
    return list->args->options[OPT_PROBE].given && !list->named && !is_damaged(list);
}

static reseat_status take_all(listing *list, reseat_records *records, reseat_error *error)
{
    reseat_entry entry;
    reseat_status status;
    while ((status = reseat_records_next(records, &entry, error)) == RESEAT_OK) {
        if (!entry.record)
            tell_bad(list, &entry);
        else if (!show(list, entry.record, entry.voided_by))
            return RESEAT_ERR_MEMORY;
    }
    return status == RESEAT_ERR_NOT_FOUND ? RESEAT_OK : status;
}

/* What fails once the JSON object has begun is told within it, so that there is but one. */
static bool end(listing *list, reseat_status status, const reseat_error *error)
{
    json j = {.out = stdout};
    begin(list);
    if (list->form == FORM_TABLE && list->shown == 0)
        printf("no such records\n");
    if (list->form != FORM_JSON)
        return status == RESEAT_OK;
    json_print(&j, "]");
    if (status != RESEAT_OK)
        failure_json(&j, list->args->exit = failure_exit(status), false,
                     error->text[0] ? error->text : reseat_status_text(status));
    json_end(&j);
    return true;
}

static bool read_form(listing *list)
{
    arguments *args = list->args;
    const option_value *format = &args->options[OPT_FORMAT];
    const option_value *type = &args->options[OPT_TYPE];
    const bool csv = format->given && strcmp(format->text, "csv") == 0;
    list->form = csv ? FORM_CSV : args->json ? FORM_JSON : FORM_TABLE;
    if (format->given && !csv && strcmp(format->text, "table") != 0)
        return refuse(args, "--format", "expected table or csv");
    if (format->given && args->json)
        return refuse(args, "--format", "does not go together with --json");
    if (type->given)
        list->type = reseat_record_type_find(type->text);
    return !type->given || list->type != RESEAT_RECORD_OTHER ||
           refuse(args, "--type", "expected run, reseat, event, verify, policy, verdict or void");
}

static void list_records(listing *list)
{
    arguments *args = list->args;
    reseat_records *records = NULL;
    reseat_status status = reseat_records_open(args->log.dir, args->log.spindle, &records,
                                               &args->error);
    bool told = false;
    if (status == RESEAT_OK) {
        status = take_all(list, records, &args->error);
        told = !(status == RESEAT_OK && is_unknown_probe(list)) && end(list, status, &args->error);
    }
    reseat_records_close(records);
    if (status != RESEAT_OK && !told)
        log_succeeded(args, status);
    else if (status == RESEAT_OK && is_unknown_probe(list))
        fail_text(args, EXIT_NOTHING, args->options[OPT_PROBE].text,
                  "no record of this log names that probe");
    else if (status == RESEAT_OK && is_damaged(list))
        args->exit = EXIT_DAMAGED;
}

void run_history(arguments *args)
{
    listing list = {.args = args};
    if (read_form(&list) && log_target_read(args))
        list_records(&list);
}
