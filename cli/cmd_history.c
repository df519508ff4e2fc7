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
    bool comma;
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
           !(options[OPT_AS_OF].given && time > options[OPT_AS_OF].time);
}

static void print_row(listing *list, const reseat_record *record, int64_t by)
{
    char time[RESEAT_TIME_SIZE] = "";
    const reseat_record_type type = reseat_record_type_of(record);
    (void)reseat_time_format(gist_time(record), time);
    printf("%6" PRId64 "  %s  %-7s", reseat_record_integer(record, RESEAT_FIELD_SEQ, -1), time,
           type == RESEAT_RECORD_OTHER ? "unknown" : reseat_record_type_name(type));
    if (by >= 0)
        printf(" VOID by %" PRId64 ":", by);
    gist_print(stdout, reseat_text_terminal, record, list->args->unit);
    printf("\n");
}

/* A field of any length, quoted as CSV; numbers as they are. */
static void print_csv_field(const reseat_record *record, reseat_field field)
{
    const reseat_kind kind = reseat_field_about(field)->shape->kind;
    const size_t size = reseat_record_show(record, field, NULL, 0) + 1;
    char *plain = malloc(size);
    printf(",");
    if (!plain)
        return;
    reseat_record_show(record, field, plain, size);
    const bool number = kind == RESEAT_KIND_NUMBER || kind == RESEAT_KIND_NUMBER_OR_NULL ||
                        kind == RESEAT_KIND_INTEGER;
    const size_t quoted_size = reseat_text_csv(plain, size - 1, NULL, 0) + 1;
    char *quoted = number ? NULL : malloc(quoted_size);
    if (quoted)
        reseat_text_csv(plain, size - 1, quoted, quoted_size);
    if (number || quoted)
        printf("%s", number ? plain : quoted);
    free(quoted);
    free(plain);
}

static void print_csv(const reseat_record *record, int64_t by)
{
    if (by >= 0)
        printf("%" PRId64, by);
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        print_csv_field(record, (reseat_field)field);
    printf("\n");
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

static void show(listing *list, const reseat_record *record)
{
    const int64_t by = gist_voided_by(&list->voids, record);
    if (!is_wanted(list, record))
        return;
    switch (list->form) {
    case FORM_TABLE: print_row(list, record, by); break;
    case FORM_CSV: print_csv(record, by); break;
    case FORM_JSON: print_json(list, record, by); break;
    }
    list->shown++;
}

/* Bad lines are told on the way, and passed over. */
static void tell_bad(listing *list, const reseat_log_line *line)
{
    list->bad++;
    fprintf(stderr, "reseat: the line at byte %" PRIu64 " is bad: %s\n", line->offset, line->what);
}

static reseat_status take_line(listing *list, const reseat_log_line *line)
{
    reseat_record *record = NULL;
    if (line->state == RESEAT_LINE_SEALED_OFF)
        return RESEAT_OK;
    if (line->state != RESEAT_LINE_SOUND ||
        reseat_record_parse(line->text, (size_t)line->length, &record, NULL) != RESEAT_OK) {
        tell_bad(list, line);
        return RESEAT_OK;
    }
    const bool noted = gist_note_void(&list->voids, record);
    show(list, record);
    reseat_record_free(record);
    return noted ? RESEAT_OK : RESEAT_ERR_MEMORY;
}

static reseat_status list_all(listing *list, reseat_log *log, reseat_error *error)
{
    reseat_log_line line;
    reseat_status status = RESEAT_OK;
    if (list->form == FORM_CSV)
        print_csv_header();
    if (list->form == FORM_TABLE)
        printf("%6s  %-20s  %-7s\n", "seq", "at", "kind");
    if (list->form == FORM_JSON)
        printf("{\"records\":[");
    while (status == RESEAT_OK) {
        status = reseat_log_previous(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        status = take_line(list, &line);
    }
    if (list->form == FORM_JSON)
        printf("]}\n");
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
    if (status == RESEAT_OK)
        status = list_all(&list, log, &error);
    reseat_log_close(log);
    gist_voids_free(&list.voids);
    if (status != RESEAT_OK)
        return where_fail(args, status, dir, spindle, &error);
    return list.bad > 0 && !args->options[OPT_DESPITE_DAMAGE].given ? EXIT_DAMAGED : EXIT_DONE;
}
