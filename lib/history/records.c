/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The records of a log, the newest first, for people to look at. */

#include <stdlib.h>
#include "base/error.h"
#include "reseat/history.h"
#include "log/file.h"
#include "log/record.h"

struct reseat_records {
    log_walk walk;
    reseat_record *record; /* last given */
};

reseat_status reseat_records_open(const reseat_state_request *request, reseat_records **records,
                                  reseat_error *error)
{
    log_reader *log = NULL;
    if (!request || !records)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const reseat_status status = log_open(&file_system_calls, request->dir, request->spindle,
                                          &log, error);
    if (status != RESEAT_OK)
        return status;
    reseat_records *made = calloc(1, sizeof *made);
    if (!made) {
        log_close(log);
        return error_plain(error, RESEAT_ERR_MEMORY);
    }
    walk_start(&made->walk, log);
    made->walk.until = request->as_known ? request->as_known : INT64_MAX;
    *records = made;
    return RESEAT_OK;
}

void reseat_records_close(reseat_records *records)
{
    if (!records)
        return;
    log_close(records->walk.log);
    walk_end(&records->walk);
    reseat_record_free(records->record);
    free(records);
}

/* A sound line as a record, or why it is none. */
static reseat_status read_entry(reseat_records *records, const walk_step *step,
                                reseat_entry *entry, reseat_error *error)
{
    reseat_record *record = NULL;
    reseat_status status = RESEAT_OK;
    if (step->line.state == RESEAT_LINE_SOUND)
        status = record_parse(step->line.text, (size_t)step->line.length, &record,
                                     &entry->why);
    if (status == RESEAT_ERR_MEMORY)
        return error_plain(error, status);
    reseat_record_free(records->record);
    entry->record = records->record = record;
    return RESEAT_OK;
}

reseat_status reseat_records_next(reseat_records *records, reseat_entry *entry,
                                  reseat_error *error)
{
    walk_step step;
    if (!records || !entry)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    do {
        const reseat_status status = walk_previous(&records->walk, &step, error);
        if (status != RESEAT_OK)
            return status;
    } while (step.line.state == RESEAT_LINE_SEALED_OFF ||
             (step.line.state == RESEAT_LINE_SOUND && !walk_was_known(&step, records->walk.until)));
    if (step.line.state == RESEAT_LINE_NONE)
        return RESEAT_ERR_NOT_FOUND;
    reseat_entry next = {.voided_by = step.voided_by, .line = step.line};
    const reseat_status status = read_entry(records, &step, &next, error);
    if (status == RESEAT_OK)
        *entry = next;
    return status;
}
