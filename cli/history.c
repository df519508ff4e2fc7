/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat history [SPINDLE]: the records of a log, or of all logs, newest first. */

#include "commands.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include "log_target.h"
#include "request.h"
#include "show/record_summary.h"

typedef enum form { FORM_TABLE, FORM_CSV, FORM_JSON } form;

/* A log that is read, and its next record to be shown. */
typedef struct source {
    const char *spindle;
    reseat_records *records; /* NULL: all of it is shown */
    reseat_entry entry;
} source;

typedef struct listing {
    arguments *args;
    const char *spindle; /* whose record is shown now */
    bool all;            /* of all logs */
    const char *gauge_id; /* runs made with it; NULL: all */
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
    const option_value gauge = {.given = list->gauge_id != NULL, .text = list->gauge_id};
    return text_is(record, RESEAT_FIELD_GAUGE_ID, &gauge) &&
           text_is(record, RESEAT_FIELD_PROBE, &options[OPT_PROBE]) &&
           text_is(record, RESEAT_FIELD_TIP, &options[OPT_TIP]) &&
           !(options[OPT_SINCE].given && time < options[OPT_SINCE].time) &&
           !(options[OPT_UNTIL].given && time > options[OPT_UNTIL].time) &&
           record_counts(record, list->args->log.ahead > 0 ? INT64_MAX : list->args->log.as_of);
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
    if (held && record_is_late(record))
        fprintf(held, ", recorded %s",
                words_date(reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0)).text);
    const bool complete = held && text_close(held, &summary);
    const reseat_record_type type = reseat_record_type_of(record);
    if (complete && list->all)
        printf("%-10s ", list->spindle);
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
    const bool unknown = reseat_record_is_null(record, field); /* an empty cell says that best */
    const size_t length = unknown ? 0 : reseat_record_show(record, field, NULL, 0);
    char *plain = malloc(length + 1);
    if (!plain)
        return false;
    if (unknown)
        plain[0] = '\0';
    else
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

/* Whose record it is stands in every row. */
static bool print_csv(const listing *list, const reseat_record *record, int64_t by)
{
    if (by >= 0)
        printf("%" PRId64, by);
    for (size_t i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = reseat_field_at(i);
        if (field == RESEAT_FIELD_SPINDLE)
            printf(",%s", list->spindle);
        else if (!print_csv_field(record, field))
            return false;
    }
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
    if (list->all && reseat_record_type_of(record) != RESEAT_RECORD_LOG) /* which says it itself */
        printf("\"spindle\":\"%s\",", list->spindle);
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
    case FORM_TABLE:
        if (list->args->log.ahead == 0) {
            printf("%s", list->all ? "all logs" : list->args->log.spindle);
            answer_as_of(stdout, list->args);
            printf("\n");
        }
        printf("%s%6s  %-20s  %s\n", list->all ? "spindle    " : "", "seq", "at", "kind");
        break;
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
    case FORM_CSV: return print_csv(list, record, by);
    case FORM_JSON: print_json(list, record, by); break;
    }
    return true;
}

/* Bad lines are told on the way, and passed over. */
static void tell_bad(listing *list, const reseat_entry *entry)
{
    const char *key = entry->why.key, *text = entry->why.text;
    list->bad++;
    fprintf(stderr, "reseat: %s%sthe line at byte %" PRIu64 " is bad: %s",
            list->all ? list->spindle : "", list->all ? ": " : "", entry->line.offset,
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

/* The next record of a log; what is bad above it is told. */
static reseat_status advance(listing *list, source *from, reseat_error *error)
{
    reseat_status status;
    list->spindle = from->spindle;
    while ((status = reseat_records_next(from->records, &from->entry, error)) == RESEAT_OK &&
           !from->entry.record)
        tell_bad(list, &from->entry);
    if (status != RESEAT_ERR_NOT_FOUND)
        return status;
    reseat_records_close(from->records);
    from->records = NULL;
    return RESEAT_OK;
}

/* The log whose next record was written last; NULL once all is shown. */
static source *newest(source *sources, size_t count)
{
    source *found = NULL;
    int64_t last = 0;
    for (size_t i = 0; i < count; i++) {
        const int64_t written =
            sources[i].records ? reseat_record_integer(sources[i].entry.record,
                                                       RESEAT_FIELD_RECORDED_AT, 0) : 0;
        if (!sources[i].records || (found && written <= last))
            continue;
        found = &sources[i];
        last = written;
    }
    return found;
}

static reseat_status take_all(listing *list, source *sources, size_t count, reseat_error *error)
{
    reseat_status status = RESEAT_OK;
    for (size_t i = 0; i < count && status == RESEAT_OK; i++)
        status = sources[i].records ? advance(list, &sources[i], error) : RESEAT_OK;
    for (source *next; status == RESEAT_OK && (next = newest(sources, count));) {
        list->spindle = next->spindle;
        if (!show(list, next->entry.record, next->entry.voided_by))
            return RESEAT_ERR_MEMORY;
        status = advance(list, next, error);
    }
    return status;
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
    const option_value *type = &args->options[OPT_TYPE];
    bool csv;
    if (!request_format(args, &csv))
        return false;
    list->form = csv ? FORM_CSV : args->json ? FORM_JSON : FORM_TABLE;
    if (type->given)
        list->type = reseat_record_type_find(type->text);
    return !type->given || list->type != RESEAT_RECORD_OTHER ||
           refuse(args, "--type",
                  "expected run, reseat, event, verify, policy, verdict, void or gauge");
}

/* Opens the logs; one of several that cannot be opened is told, and the others are listed. */
static reseat_status open_all(listing *list, const reseat_log_names *names, size_t count,
                              source *sources)
{
    arguments *args = list->args;
    reseat_status status = RESEAT_OK;
    for (size_t i = 0; i < count && status == RESEAT_OK; i++) {
        args->log.spindle = sources[i].spindle = names ? names->names[i] : args->log.spindle;
        status = reseat_records_open(&args->log, &sources[i].records, &args->error);
        if (status == RESEAT_OK || !list->all || status == RESEAT_ERR_MEMORY)
            continue;
        fprintf(stderr, "reseat: %s: %s\n", sources[i].spindle, args->error.text);
        args->exit = failure_exit(status);
        status = RESEAT_OK;
    }
    return status;
}

/* The log that is meant, or those of several names. */
static void list_records(listing *list, const reseat_log_names *names)
{
    const size_t count = names ? names->count : 1;
    arguments *args = list->args;
    source *sources = calloc(count + 1, sizeof *sources);
    bool told = false;
    reseat_status status = sources ? open_all(list, names, count, sources) : RESEAT_ERR_MEMORY;
    if (status == RESEAT_OK) {
        status = take_all(list, sources, count, &args->error);
        told = !(status == RESEAT_OK && is_unknown_probe(list)) && end(list, status, &args->error);
    }
    for (size_t i = 0; sources && i < count; i++)
        reseat_records_close(sources[i].records);
    free(sources);
    if (status != RESEAT_OK && !told)
        log_succeeded(args, status);
    else if (status == RESEAT_OK && is_unknown_probe(list))
        fail_text(args, EXIT_NOTHING, args->options[OPT_PROBE].text,
                  list->all ? "no record names that probe"
                            : "no record of this log names that probe");
    else if (status == RESEAT_OK && is_damaged(list))
        args->exit = EXIT_DAMAGED;
}

static void list_logs(listing *list)
{
    arguments *args = list->args;
    reseat_log_names names;
    list->all = true;
    if (!log_succeeded(args, reseat_log_list(args->log.dir, &names, &args->error)))
        return;
    if (names.count == 0)
        fail_text(args, EXIT_NOTHING, args->log.dir, "no logs in this folder");
    else
        list_records(list, &names);
    reseat_log_names_free(&names);
}

void history_of_gauge(arguments *args, const char *gauge_id)
{
    listing list = {.args = args, .gauge_id = gauge_id, .type = RESEAT_RECORD_RUN,
                    .form = args->json ? FORM_JSON : FORM_TABLE};
    list_logs(&list);
}

void run_history(arguments *args)
{
    listing list = {.args = args};
    const char *spindle = log_target_spindle(args);
    if (!read_form(&list) || !log_target_set(args, spindle))
        return;
    if (args->word_count > 1)
        refuse(args, args->words[1], "one word too many; see --help");
    else if (spindle)
        list_records(&list, NULL);
    else
        list_logs(&list);
}
