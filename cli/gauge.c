/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat gauge [ID]: the register of gauges. */

#include "commands.h"

#include <inttypes.h>
#include <string.h>
#include "log_target.h"
#include "recording.h"
#include "request.h"
#include "show/record_summary.h"

static void put_gauge(json *j, const void *list, size_t i)
{
    const reseat_gauge_entry *entry = &((const reseat_gauge_entry *)list)[i];
    const reseat_record *r = entry->record;
    static const reseat_field texts[] = {RESEAT_FIELD_GAUGE_ID, RESEAT_FIELD_GAUGE,
                                         RESEAT_FIELD_GAUGE_CERTIFICATE};
    static const reseat_field numbers[] = {
        RESEAT_FIELD_GAUGE_DIAMETER_MM, RESEAT_FIELD_GAUGE_DIAMETER_U_MM,
        RESEAT_FIELD_EXPANSION_PER_K, RESEAT_FIELD_EXPANSION_U_PER_K};
    static const reseat_field times[] = {RESEAT_FIELD_CALIBRATED_AT, RESEAT_FIELD_GAUGE_DUE_AT};
    json_print(j, "seq:i", reseat_record_integer(r, RESEAT_FIELD_SEQ, -1));
    for (size_t k = 0; k < sizeof texts / sizeof texts[0]; k++)
        json_print(j, "%:s", reseat_field_about(texts[k])->name, reseat_record_text(r, texts[k]));
    for (size_t k = 0; k < sizeof numbers / sizeof numbers[0]; k++)
        if (reseat_record_has(r, numbers[k]))
            json_print(j, "%:n", reseat_field_about(numbers[k])->name,
                       reseat_record_number(r, numbers[k], 0));
    for (size_t k = 0; k < sizeof times / sizeof times[0]; k++)
        if (reseat_record_has(r, times[k]))
            json_print(j, "%:t", reseat_field_about(times[k])->name,
                       reseat_record_integer(r, times[k], 0));
    json_print(j, "overdue:b", entry->overdue);
}

/* A text of a record in a column of its own. */
static void print_text(const reseat_record *record, reseat_field field, int width)
{
    char plain[RESEAT_RECORD_NAME_MAX + 1], shown[4 * RESEAT_RECORD_NAME_MAX];
    reseat_record_show(record, field, plain, sizeof plain);
    reseat_text_terminal(plain, strlen(plain), shown, sizeof shown);
    printf("%-*s  ", width, shown);
}

static void print_gauge(const reseat_gauge_entry *entry, reseat_unit unit)
{
    const reseat_record *r = entry->record;
    const double mm = reseat_record_number(r, RESEAT_FIELD_GAUGE_DIAMETER_MM, 0);
    const int64_t due = reseat_record_integer(r, RESEAT_FIELD_GAUGE_DUE_AT, 0);
    print_text(r, RESEAT_FIELD_GAUGE_ID, 12);
    print_text(r, RESEAT_FIELD_GAUGE, 6);
    printf("%-14s  ", words_length_in(mm, unit, 0).text);
    print_text(r, RESEAT_FIELD_GAUGE_CERTIFICATE, 16);
    printf("%s%s\n", reseat_record_has(r, RESEAT_FIELD_GAUGE_DUE_AT) ? words_date(due).text
                                                                    : "no date",
           entry->overdue ? "  overdue" : "");
}

/* The gauges in force, or the one of that name; it is what was typed, and no option. */
static reseat_status read_gauges(arguments *args, const char *id,
                                 const reseat_gauge_entry **gauges, size_t *count)
{
    uint64_t bad_lines = 0;
    const reseat_status status =
        reseat_folder_gauges(&args->log, id, gauges, count, &bad_lines, &args->error);
    args->error.key[0] = '\0';
    if (bad_lines > 0)
        fprintf(stderr, "reseat: damage was ignored, as asked: %" PRIu64 " bad line%s\n", bad_lines,
                words_s(bad_lines));
    return status;
}

static void list(arguments *args, const char *id)
{
    const reseat_gauge_entry *gauges = NULL;
    size_t count = 0;
    if (!log_target_share(args) ||
        !log_succeeded(args, read_gauges(args, id, &gauges, &count)))
        return;
    if (args->json) {
        json j = json_begin(stdout);
        json_objects(&j, "gauges", count, put_gauge, gauges);
        json_end(&j);
        return;
    }
    if (args->log.ahead == 0) {
        printf("gauges");
        answer_as_of(stdout, args);
        printf("\n");
    }
    printf("%-12s  %-6s  %-14s  %-16s  %s\n", "gauge", "kind", "diameter", "certificate", "due");
    for (size_t i = 0; i < count; i++)
        print_gauge(&gauges[i], args->unit);
    if (count == 0)
        printf("none\n");
}

/* Runs name gauges that the register has, where there is one. */
static void list_runs(arguments *args, const char *id)
{
    const reseat_gauge_entry *gauges = NULL;
    size_t count = 0;
    if (!log_target_share(args))
        return;
    const reseat_status status = read_gauges(args, id, &gauges, &count);
    if (status == RESEAT_ERR_NOT_FOUND || log_succeeded(args, status))
        history_of_gauge(args, id);
}

/* The diameter as it was read, for a slip to be seen. */
static void screen(const arguments *args, const void *found)
{
    const reseat_record *record = found;
    printf("%s of %s\n", reseat_record_text(record, RESEAT_FIELD_GAUGE),
           words_length_in(reseat_record_number(record, RESEAT_FIELD_GAUGE_DIAMETER_MM, 0),
                           args->unit, 0).text);
}

static bool check_typed(arguments *args)
{
    static const option_id past[] = {OPT_AS_OF, OPT_AS_KNOWN, OPT_RUNS};
    return request_without(args, past, 3, "does not go together with a gauge that is recorded") &&
           (args->options[OPT_GAUGE].given ||
            refuse(args, "--gauge", "expected ring, plug or sphere")) &&
           (args->options[OPT_DIAMETER].given ||
            refuse(args, "--diameter", "expected the certified diameter of the gauge"));
}

static void record(arguments *args, const char *id)
{
    draft d = draft_begin(args, RESEAT_RECORD_GAUGE);
    const finding typed = {.found = d.record, .screen = screen};
    draft_text(&d, RESEAT_FIELD_GAUGE_ID, id);
    for (size_t i = 0; i < GAUGE_OPTION_COUNT; i++)
        draft_gauge(&d, &gauge_options()[i], &args->options[gauge_options()[i].option]);
    draft_fields(&d);
    if (check_typed(args))
        (void)finding_finish(args, &typed, &d);
    draft_end(&d);
}

/* Whether something is to be recorded. */
static bool says_anything(const arguments *args)
{
    bool says = args->options[OPT_NEW].given || args->options[OPT_DRY_RUN].given;
    for (size_t i = 0; i < GAUGE_OPTION_COUNT; i++)
        says = says || args->options[gauge_options()[i].option].given;
    for (int i = 0; i < RESEAT_FIELD_COUNT; i++)
        says = says || args->fields[i].given;
    return says;
}

void run_gauge(arguments *args)
{
    const char *id = args->word_count > 0 ? args->words[0] : NULL;
    const bool says = says_anything(args);
    if (args->word_count > 1)
        refuse(args, args->words[1], "one word too many; see --help");
    else if ((id && !id[0]) || (!id && (says || args->options[OPT_RUNS].given)))
        refuse(args, "", "expected the ID of a gauge: reseat gauge ID --gauge KIND --diameter L");
    else if (!log_target_set(args, RESEAT_LOG_GAUGES))
        return;
    else if (says)
        record(args, id);
    else if (args->options[OPT_RUNS].given)
        list_runs(args, id);
    else
        list(args, id);
}
