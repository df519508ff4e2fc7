/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The records of a log, newest first. */

#include "commands.h"

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
    struct void_of {
        int64_t seq, by;
    } *voids;
    size_t void_count, void_space;
    uint64_t shown, bad;
} listing;

/* Reading backwards meets a void before what it voids. */
static bool note_void(listing *list, const reseat_record *record)
{
    if (list->void_count == list->void_space) {
        const size_t space = list->void_space ? 2 * list->void_space : 16;
        void *more = realloc(list->voids, space * sizeof *list->voids);
        if (!more)
            return false;
        list->voids = more;
        list->void_space = space;
    }
    list->voids[list->void_count].seq = reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1);
    list->voids[list->void_count++].by = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1);
    return true;
}

/* The seq of the record that voids this one; -1 if none does. */
static int64_t voided_by(const listing *list, const reseat_record *record)
{
    const int64_t seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, -1);
    for (size_t i = 0; i < list->void_count; i++)
        if (list->voids[i].seq == seq)
            return list->voids[i].by;
    return -1;
}

static int64_t time_of(const reseat_record *record)
{
    return reseat_record_integer(record, RESEAT_FIELD_AT,
                                 reseat_record_integer(record, RESEAT_FIELD_RECORDED_AT, 0));
}

static bool text_is(const reseat_record *record, reseat_field field, const option_value *wanted)
{
    const char *text = reseat_record_text(record, field);
    return !wanted->given || (text && strcmp(text, wanted->text) == 0);
}

static bool is_wanted(const listing *list, const reseat_record *record)
{
    const option_value *options = list->args->options;
    const int64_t time = time_of(record);
    if (list->type != RESEAT_RECORD_OTHER && reseat_record_type_of(record) != list->type)
        return false;
    return text_is(record, RESEAT_FIELD_PROBE, &options[OPT_PROBE]) &&
           text_is(record, RESEAT_FIELD_TIP, &options[OPT_TIP]) &&
           !(options[OPT_SINCE].given && time < options[OPT_SINCE].time) &&
           !(options[OPT_UNTIL].given && time > options[OPT_UNTIL].time) &&
           !(options[OPT_AS_OF].given && time > options[OPT_AS_OF].time);
}

/* A field in its own line buffer, made harmless for the terminal. */
static const char *shown(const reseat_record *record, reseat_field field, char *out, size_t size)
{
    char plain[512];
    reseat_record_show(record, field, plain, sizeof plain);
    reseat_text_terminal(plain, strlen(plain), out, size);
    return out;
}

static void print_lengths(const reseat_record *record, const char *what, reseat_field x,
                          reseat_field y, reseat_unit unit)
{
    char a[TEXT_SIZE], b[TEXT_SIZE];
    printf(" %s X %s Y %s %s", what, text_signed(a, reseat_record_number(record, x, 0), unit, 0),
           text_signed(b, reseat_record_number(record, y, 0), unit, 0), reseat_unit_name(unit));
}

static void print_seat(const reseat_record *record)
{
    char seat[TEXT_SIZE];
    if (reseat_record_is_null(record, RESEAT_FIELD_SEAT_DEG))
        printf(", seat not recorded");
    else
        printf(", seat %s", text_degrees(seat, reseat_record_number(record, RESEAT_FIELD_SEAT_DEG,
                                                                    0)));
}

/* What a policy sets, by the names of its options; mm and degrees as in the log. */
static void print_policy(const reseat_record *record)
{
    char name[64], text[256];
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        const unsigned types = reseat_field_about((reseat_field)field)->optional;
        const bool of_policy = types & 1u << RESEAT_RECORD_POLICY &&
                               !(types & 1u << RESEAT_RECORD_VOID);
        if (of_policy && reseat_record_has(record, (reseat_field)field))
            printf(" %s %s", field_option_name((reseat_field)field, name, sizeof name),
                   shown(record, (reseat_field)field, text, sizeof text));
    }
}

/* What a person wants to know of a record at a glance. */
static void print_gist(const reseat_record *record, reseat_unit unit)
{
    char text[256];
    if (reseat_record_has(record, RESEAT_FIELD_PROBE))
        printf(" %s", shown(record, RESEAT_FIELD_PROBE, text, sizeof text));
    if (reseat_record_has(record, RESEAT_FIELD_TIP))
        printf(" tip %s", shown(record, RESEAT_FIELD_TIP, text, sizeof text));
    switch (reseat_record_type_of(record)) {
    case RESEAT_RECORD_RUN:
        print_lengths(record, "offset", RESEAT_FIELD_OFFSET_X_MM, RESEAT_FIELD_OFFSET_Y_MM, unit);
        print_seat(record);
        break;
    case RESEAT_RECORD_RESEAT: print_seat(record); break;
    case RESEAT_RECORD_POLICY: print_policy(record); break;
    case RESEAT_RECORD_VERIFY:
        print_lengths(record, "shift", RESEAT_FIELD_SHIFT_X_MM, RESEAT_FIELD_SHIFT_Y_MM, unit);
        break;
    case RESEAT_RECORD_EVENT:
        printf(" %s", shown(record, RESEAT_FIELD_KIND, text, sizeof text));
        break;
    case RESEAT_RECORD_VERDICT:
        printf(" %s", shown(record, RESEAT_FIELD_VERDICT, text, sizeof text));
        break;
    case RESEAT_RECORD_VOID:
        printf(" of %" PRId64, reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1));
        break;
    default: break;
    }
    for (int field = RESEAT_FIELD_WHY; field <= RESEAT_FIELD_NOTE; field++)
        if ((field == RESEAT_FIELD_WHY || field == RESEAT_FIELD_NOTE) &&
            reseat_record_has(record, (reseat_field)field))
            printf(", %s", shown(record, (reseat_field)field, text, sizeof text));
    if (reseat_record_has(record, RESEAT_FIELD_BY))
        printf(" (%s)", shown(record, RESEAT_FIELD_BY, text, sizeof text));
}

static void print_row(listing *list, const reseat_record *record, int64_t by)
{
    char time[RESEAT_TIME_SIZE] = "";
    const reseat_record_type type = reseat_record_type_of(record);
    (void)reseat_time_format(time_of(record), time);
    printf("%6" PRId64 "  %s  %-7s", reseat_record_integer(record, RESEAT_FIELD_SEQ, -1), time,
           type == RESEAT_RECORD_OTHER ? "unknown" : reseat_record_type_name(type));
    if (by >= 0)
        printf(" VOID by %" PRId64 ":", by);
    print_gist(record, list->args->unit);
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
    const int64_t by = voided_by(list, record);
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
    const bool void_record = reseat_record_type_of(record) == RESEAT_RECORD_VOID;
    const bool noted = !void_record || note_void(list, record);
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
    int exit = read_form(args, &list);
    const char *dir = exit == EXIT_DONE ? where_dir(args, &exit) : NULL;
    const char *spindle = where_spindle(args);
    if (!dir)
        return exit;
    if (!spindle)
        return text_refuse(args, EXIT_INPUT, "", "no SPINDLE: type its name");
    if (args->word_count > 1)
        return text_refuse(args, EXIT_INPUT, args->words[1], "one word too many; see --help");

    reseat_status status = reseat_log_open(dir, spindle, &log, &error);
    if (status == RESEAT_OK)
        status = list_all(&list, log, &error);
    reseat_log_close(log);
    free(list.voids);
    if (status != RESEAT_OK)
        return where_fail(args, status, dir, spindle, &error);
    return list.bad > 0 && !args->options[OPT_DESPITE_DAMAGE].given ? EXIT_DAMAGED : EXIT_DONE;
}
