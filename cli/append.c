/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Appends a record to a log as the options say, and tells what was recorded. */

#include "commands.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

void record_answer(const char *spindle, reseat_record_type type, const reseat_appended *done)
{
    char name[64];
    if (done->repaired_bytes > 0)
        fprintf(stderr, "reseat: a last line that had been cut short was sealed off first\n");
    for (size_t i = 0; i < done->carried_count; i++)
        printf("%s%s", i == 0 ? "carried over from the policy before: " : ", ",
               field_option_name(done->carried[i], name, sizeof name));
    if (done->carried_count > 0)
        printf("\n");
    printf("recorded as %" PRId64 " (%.12s)", done->seq, done->seal);
    if (type != RESEAT_RECORD_VOID)
        printf("; wrong? reseat record %s void %" PRId64 " --why TEXT", spindle, done->seq);
    printf("\n");
}

void record_answer_json(json *j, const reseat_appended *done)
{
    json_integer(j, "seq", done->seq);
    json_text(j, "seal", done->seal);
    json_bool(j, "repaired", done->repaired_bytes > 0);
}

/* A run unlike those before it is most often a slip in typing. */
static void warn_if_odd(const char *dir, const char *spindle, const reseat_record *record)
{
    char text[256];
    reseat_drift_newest newest;
    if (reseat_record_type_of(record) != RESEAT_RECORD_RUN ||
        reseat_outlook_newest(dir, spindle, record, &newest) != RESEAT_OK ||
        !(newest.p < RESEAT_DRIFT_P_FOUND))
        return;
    const reseat_drift_finding finding = {.code = RESEAT_DRIFT_NEWEST_RUN_ODD, .seq = newest.seq,
                                          .runs = newest.before + 1, .p = newest.p};
    (void)reseat_drift_finding_text(&finding, RESEAT_MM, text, sizeof text);
    fprintf(stderr, "reseat: %s\n", text);
}

void record_check_output(const reseat_appended *done)
{
    if (!output_is_sound())
        fprintf(stderr, "reseat: recorded as %" PRId64 " all the same\n", done->seq);
}

/* On a damaged log none is taken: the line that cannot be read may name another. */
int record_choose_probe(const arguments *args, const char *dir, const char *spindle,
                        reseat_record *record)
{
    char shown[2 * RESEAT_RECORD_NAME_MAX];
    reseat_error error = {0};
    reseat_standing standing;
    reseat_standing_query query = where_query(args, dir, spindle);
    query.alone = query.any_tip = true;
    query.despite_damage = false;
    if (query.probe)
        return EXIT_DONE;
    reseat_status status = reseat_standing_read(&query, &standing, &error);
    if (status == RESEAT_ERR_NOT_FOUND || status == RESEAT_ERR_DAMAGED)
        return EXIT_DONE;
    if (status != RESEAT_OK)
        return where_fail(args, status, dir, spindle, &error);
    status = reseat_record_set_text(record, RESEAT_FIELD_PROBE, standing.probe, &error);
    reseat_text_terminal(standing.probe, strlen(standing.probe), shown, sizeof shown);
    reseat_standing_free(&standing);
    if (status != RESEAT_OK)
        return text_fault(args, status, &error);
    fprintf(stderr, "reseat: probe %s, as no other has runs\n", shown);
    return EXIT_DONE;
}

/* A clock that lags is an error about `at`, which few commands take as an option. */
static void say_of_clock(const arguments *args, const reseat_record *record, reseat_error *error)
{
    const size_t length = strlen(error->text);
    if (reseat_record_has(record, RESEAT_FIELD_AT) ||
        reseat_field_find(error->key) != RESEAT_FIELD_AT)
        return;
    if (field_of_command(RESEAT_FIELD_AT, args->command))
        snprintf(error->text + length, sizeof error->text - length,
                 ", or say when it happened");
    else
        error->key[0] = '\0';
}

int record_append(const arguments *args, const char *dir, const char *spindle,
                  reseat_record *record, reseat_appended *done)
{
    reseat_field drop[RESEAT_FIELD_COUNT + 1];
    reseat_append how = {.begin = args->options[OPT_NEW].given,
                         .despite_damage = args->options[OPT_DESPITE_DAMAGE].given,
                         .dry_run = args->options[OPT_DRY_RUN].given,
                         .carry = reseat_record_type_of(record) == RESEAT_RECORD_POLICY,
                         .drop = drop};
    reseat_error error = {0};
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        if (!args->dropped[field])
            continue;
        drop[how.drop_count++] = (reseat_field)field;
        if (field == RESEAT_FIELD_SPINDLE_X_MM)
            drop[how.drop_count++] = RESEAT_FIELD_SPINDLE_Y_MM;
    }
    const reseat_status status = reseat_log_append(dir, spindle, record, &how, done, &error);
    if (status != RESEAT_OK) {
        const size_t length = strlen(error.text);
        if (status == RESEAT_ERR_NOT_FOUND && !how.begin)
            snprintf(error.text + length, sizeof error.text - length, "; --new begins one");
        say_of_clock(args, record, &error);
        record_name_option(&error);
        return where_fail(args, status, dir, spindle, &error);
    }
    warn_if_odd(dir, spindle, record);
    return EXIT_DONE;
}
