/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The records of a log, newest first. */

#include "gist.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef enum form { FORM_TABLE, FORM_CSV, FORM_JSON } form;

typedef struct listing {
    const arguments *args;
    form form;
    reseat_record_type type; /* RESEAT_RECORD_OTHER: all */
    bool begun; /* what stands above the first row is printed */
    bool comma;
    bool named; /* a record names the probe asked for */
    gist_voids voids;
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
    const int64_t time = gist_time(record);
    if (list->type != RESEAT_RECORD_OTHER && reseat_record_type_of(record) != list->type)
        return false;
    return text_is(record, RESEAT_FIELD_PROBE, &options[OPT_PROBE]) &&
           text_is(record, RESEAT_FIELD_TIP, &options[OPT_TIP]) &&
           !(options[OPT_SINCE].given && time < options[OPT_SINCE].time) &&
           !(options[OPT_UNTIL].given && time > options[OPT_UNTIL].time) &&
           !(options[OPT_AS_OF].given && !gist_counts(record, options[OPT_AS_OF].time));
}

/* What each form prints of a record; false where there is no memory. */
static bool print_row(const listing *list, const reseat_record *record, int64_t by)
{
    char time[RESEAT_TIME_SIZE] = "", *gist = NULL;
    size_t length = 0;
    FILE *held = open_memstream(&gist, &length);
    if (held && by >= 0)
        fprintf(held, " VOID by %" PRId64 ":", by);
    if (held)
        gist_print(held, reseat_text_terminal, record, list->args->unit);
    const bool whole = held && text_close(held, &gist);
    const reseat_record_type type = reseat_record_type_of(record);
    (void)reseat_time_format(gist_time(record), time);
    if (whole) /* a row of which there is nothing to tell ends with its kind */
        printf("%6" PRId64 "  %s  %-*s%s\n", reseat_record_integer(record, RESEAT_FIELD_SEQ, -1),
               time, length > 0 ? 7 : 0,
               type == RESEAT_RECORD_OTHER ? "unknown" : reseat_record_type_name(type), gist);
    free(gist);
    return whole;
}

/* A field of any length, quoted as CSV; numbers as they are. */
static bool print_csv_field(const reseat_record *record, reseat_field field)
{
    const reseat_kind kind = reseat_field_about(field)->shape->kind;
    const size_t size = reseat_record_show(record, field, NULL, 0) + 1;
    char *plain = malloc(size);
    if (!plain)
        return false;
    reseat_record_show(record, field, plain, size);
    const bool number = kind == RESEAT_KIND_NUMBER || kind == RESEAT_KIND_NUMBER_OR_NULL ||
                        kind == RESEAT_KIND_INTEGER;
    const size_t quoted_size = reseat_text_csv(plain, size - 1, NULL, 0) + 1;
    char *quoted = number ? NULL : malloc(quoted_size);
    if (quoted)
        reseat_text_csv(plain, size - 1, quoted, quoted_size);
    const bool whole = number || quoted;
    if (whole)
        printf(",%s", number ? plain : quoted);
    free(quoted);
    free(plain);
    return whole;
}

static bool print_csv(const reseat_record *record, int64_t by)
{
    if (by >= 0)
        printf("%" PRId64, by);
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        if (!print_csv_field(record, (reseat_field)field))
            return false;
    printf("\n");
    return true;
}

static void print_csv_header(void)
{
    printf("voided_by");
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        printf(",%s", reseat_field_about((reseat_field)field)->name);
    printf("\n");
}

/* The record as it stands in the log, with what voids it in front. */
static void print_json(listing *list, const reseat_record *record, int64_t by)
{
    size_t length = 0;
    const char *line = reseat_record_line(record, &length);
    if (list->comma)
        printf(",");
    list->comma = true;
    printf("{");
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
    case FORM_CSV: print_csv_header(); break;
    case FORM_JSON: printf("{\"records\":["); break;
    }
}

static bool show(listing *list, const reseat_record *record)
{
    const int64_t by = gist_voided_by(&list->voids, record);
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
static void tell_bad(listing *list, const reseat_log_line *line, const reseat_error *error)
{
    list->bad++;
    fprintf(stderr, "reseat: the line at byte %" PRIu64 " is bad: %s", line->offset, line->what);
    if (line->state == RESEAT_LINE_SOUND) { /* its seal holds, and yet it is no record */
        text_put(stderr, reseat_text_terminal, error->key, strlen(error->key));
        fputs(error->key[0] ? ": " : "", stderr);
        text_put(stderr, reseat_text_terminal, error->text, strlen(error->text));
    }
    fprintf(stderr, "\n");
}

static reseat_status take_line(listing *list, const reseat_log_line *line)
{
    reseat_record *record = NULL;
    reseat_error error = {0};
    reseat_status status = RESEAT_OK;
    if (line->state == RESEAT_LINE_SEALED_OFF)
        return RESEAT_OK;
    if (line->state == RESEAT_LINE_SOUND)
        status = reseat_record_parse(line->text, (size_t)line->length, &record, &error);
    if (status == RESEAT_ERR_MEMORY)
        return status;
    if (!record) {
        tell_bad(list, line, &error);
        return RESEAT_OK;
    }
    const bool done = gist_note_void(&list->voids, record) && show(list, record);
    reseat_record_free(record);
    return done ? RESEAT_OK : RESEAT_ERR_MEMORY;
}

/* What fails once the object has begun is told within it, so that there is but one. */
static void end_json(reseat_status status, const reseat_error *error)
{
    json j = {.out = stdout};
    json_close(&j, ']');
    if (status != RESEAT_OK)
        text_error_json(&j, text_exit(status), false,
                        error->text[0] ? error->text : reseat_status_text(status));
    json_end(&j);
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

static reseat_status list_all(listing *list, reseat_log *log, reseat_error *error)
{
    reseat_log_line line;
    reseat_status status = RESEAT_OK;
    while (status == RESEAT_OK) {
        status = reseat_log_previous(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        status = take_line(list, &line);
    }
    if (status == RESEAT_OK && is_unknown_probe(list))
        return status;
    begin(list);
    if (list->form == FORM_JSON)
        end_json(status, error);
    if (list->form == FORM_TABLE && list->shown == 0)
        printf("no such records\n");
    return status;
}

static int read_form(const arguments *args, listing *list)
{
    const option_value *format = &args->options[OPT_FORMAT];
    const option_value *type = &args->options[OPT_TYPE];
    list->form = args->json ? FORM_JSON : FORM_TABLE;
    if (format->given && strcmp(format->text, "csv") == 0)
        list->form = FORM_CSV;
    else if (format->given && strcmp(format->text, "table") != 0)
        return text_refuse(args, EXIT_INPUT, "--format", "expected table or csv");
    if (format->given && args->json)
        return text_refuse(args, EXIT_INPUT, "--format", "does not go together with --json");
    if (type->given)
        list->type = reseat_record_type_find(type->text);
    if (type->given && list->type == RESEAT_RECORD_OTHER)
        return text_refuse(args, EXIT_INPUT, "--type",
                           "expected run, reseat, event, verify, policy, verdict or void");
    return EXIT_DONE;
}

int cmd_history(const arguments *args)
{
    listing list = {.args = args};
    reseat_log *log = NULL;
    reseat_error error = {0};
    const char *dir, *spindle;
    int exit = read_form(args, &list);
    if (exit == EXIT_DONE)
        exit = where_log(args, &dir, &spindle);
    if (exit != EXIT_DONE)
        return exit;

    reseat_status status = reseat_log_open(dir, spindle, &log, &error);
    const bool begun = status == RESEAT_OK;
    if (begun)
        status = list_all(&list, log, &error);
    reseat_log_close(log);
    gist_voids_free(&list.voids);
    if (begun && status != RESEAT_OK && list.form == FORM_JSON)
        return text_exit(status);
    if (status != RESEAT_OK)
        return where_fail(args, status, dir, spindle, &error);
    if (is_unknown_probe(&list))
        return text_refuse(args, EXIT_NOTHING, args->options[OPT_PROBE].text,
                           "no record of this log names that probe");
    return is_damaged(&list) ? EXIT_DAMAGED : EXIT_DONE;
}
