/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/gather.h"

#include "error.h"
#include "gather_parts.h"
#include "log_file.h"
#include "standing_parts.h"

/* Whether a line's first bytes show that nothing of it would be kept. */
static bool is_of_no_use(const reseat_gather *gather, const reseat_log_line *line)
{
    record_glance seen;
    const char *probe = gather_probe(gather);
    if (!log_glance(line->text, (size_t)line->length, &seen))
        return false;
    switch (seen.type) {
    case RESEAT_RECORD_RUN:
    case RESEAT_RECORD_EVENT: return probe[0] != '\0' && glance_is_of_other(&seen, probe);
    default: return seen.type != RESEAT_RECORD_VOID;
    }
}

/* A sound line; *bad is set where its seal holds and it is no record all the same. */
static reseat_status take_line(reseat_gather *gather, reseat_log_line *line, bool *bad)
{
    reseat_record *record = NULL;
    if (is_of_no_use(gather, line))
        return RESEAT_OK;
    reseat_status status = reseat_record_parse(line->text, (size_t)line->length, &record, NULL);
    if (status == RESEAT_ERR_MEMORY)
        return status;
    *bad = status != RESEAT_OK;
    if (*bad) {
        line->what = "its seal holds, but it is no record";
        return RESEAT_OK;
    }
    status = reseat_gather_take(gather, record);
    reseat_record_free(record);
    return status;
}

reseat_status reseat_gather_log(reseat_gather *gather, reseat_log *log, bool despite_damage,
                                uint64_t *bad_lines, reseat_error *error)
{
    if (gather == NULL || log == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    uint64_t passed = 0;
    for (;;) {
        reseat_log_line line;
        reseat_status status = reseat_log_next(log, &line, error);
        if (status != RESEAT_OK)
            return status;
        if (line.state == RESEAT_LINE_NONE)
            break;
        bool bad = line.state == RESEAT_LINE_TORN || line.state == RESEAT_LINE_DAMAGED;
        if (line.state == RESEAT_LINE_SOUND)
            status = take_line(gather, &line, &bad);
        if (status != RESEAT_OK)
            return reseat_error_plain(error, status);
        if (bad && !despite_damage)
            return standing_bad_line(log, log->name, &line, error);
        passed += bad;
    }
    if (bad_lines != NULL)
        *bad_lines = passed;
    return RESEAT_OK;
}
