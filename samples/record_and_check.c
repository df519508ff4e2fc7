/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Records a calibration and a reseat in a new log, reads it again, and asks for the verdict. */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <reseat/reseat.h>

#define DAY 86400
#define MARCH_2 1772431200 /* 2026-03-02T06:00:00Z */

static int fail(reseat_status status, const reseat_error *error)
{
    fprintf(stderr, "%s\n", error->text[0] ? error->text : reseat_status_text(status));
    return 2;
}

/* Appends a run, or a reseat where no offset is given. */
static reseat_status append(const char *dir, reseat_record_type type, int64_t at, double seat_deg,
                            const reseat_xy *offset_mm, reseat_error *error)
{
    reseat_record *record = NULL;
    const reseat_append how = {.begin = true};
    reseat_status status = reseat_record_new(type, &record);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", error);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(record, RESEAT_FIELD_AT, at, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_SEAT_DEG, seat_deg, error);
    if (status == RESEAT_OK && offset_mm)
        status = reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM, offset_mm->x, error);
    if (status == RESEAT_OK && offset_mm)
        status = reseat_record_set_number(record, RESEAT_FIELD_OFFSET_Y_MM, offset_mm->y, error);
    if (status == RESEAT_OK)
        status = reseat_log_append(dir, "mill-2", record, &how, NULL, error);
    reseat_record_free(record);
    return status;
}

/* The verdict six days after the run. */
static reseat_status check(const char *dir, reseat_error *error)
{
    const reseat_state_request query = {
        .dir = dir, .spindle = "mill-2", .as_of = MARCH_2 + 6 * DAY};
    const reseat_state_typed typed = {.limit_mm = 0.01};
    reseat_state standing;
    reseat_state_question asked;
    reseat_answer answer;

    reseat_status status = reseat_state_read(&query, &standing, error);
    if (status != RESEAT_OK)
        return status;
    status = reseat_state_ask(&standing, &typed, &asked);
    if (status == RESEAT_OK)
        status = reseat_verdict_decide(&asked.question, &answer);
    if (status == RESEAT_OK)
        printf("probe %s, calibrated %.0f days ago, now at seat %.0f: off by %.4f mm: %s\n",
               standing.probe, standing.age_days, answer.worst.seat_deg,
               answer.worst.error_length_mm, answer.ok ? "OK" : "RECALIBRATE");
    reseat_state_free(&standing);
    return status;
}

int main(void)
{
    char dir[] = "/tmp/reseat-sample-XXXXXX", path[64];
    const reseat_xy offset_mm = {0.012, -0.005};
    reseat_error error = {0};
    if (!mkdtemp(dir))
        return 2;

    reseat_status status = append(dir, RESEAT_RECORD_RUN, MARCH_2, 0, &offset_mm, &error);
    if (status == RESEAT_OK)
        status = check(dir, &error);
    if (status == RESEAT_OK)
        status = append(dir, RESEAT_RECORD_RESEAT, MARCH_2 + 5 * DAY, 180, NULL, &error);
    if (status == RESEAT_OK)
        status = check(dir, &error);

    snprintf(path, sizeof path, "%s/mill-2.jsonl", dir);
    remove(path);
    rmdir(dir);
    return status == RESEAT_OK ? 0 : fail(status, &error);
}
