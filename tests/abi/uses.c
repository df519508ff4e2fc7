/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What installed.sh builds against an installed library, as C and as C++: a computation, and a
 * record that is appended to a new log in the folder where it runs and read again, for which the
 * library calls those it is built on.
 */

#include <stdio.h>
#include <string.h>
#include <reseat/reseat.h>

static reseat_status append(reseat_record *record)
{
    reseat_append how;
    memset(&how, 0, sizeof how);
    how.begin = true;
    reseat_status status = reseat_record_set_integer(record, RESEAT_FIELD_AT, 1772431200, NULL);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_KIND, "service", NULL);
    return status == RESEAT_OK ? reseat_log_append(".", "uses", record, &how, NULL, NULL) : status;
}

static reseat_status print_again(void)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    reseat_state_request request;
    memset(&request, 0, sizeof request);
    request.dir = ".";
    request.spindle = "uses";
    reseat_status status = reseat_records_open(&request, &records, NULL);
    if (status == RESEAT_OK)
        status = reseat_records_next(records, &entry, NULL);
    if (status == RESEAT_OK)
        printf("%s %d\n", reseat_record_text(entry.record, RESEAT_FIELD_KIND),
               (int)reseat_record_integer(entry.record, RESEAT_FIELD_SEQ, -1));
    reseat_records_close(records);
    return status;
}

int main(void)
{
    const reseat_xy offset_mm = {0.012, -0.005}, spindle_mm = {0, 0};
    reseat_xy error_mm;
    reseat_record *record = NULL;
    if (reseat_seat_error(offset_mm, spindle_mm, 0, 180, &error_mm) != RESEAT_OK)
        return 1;
    printf("reseat %s: %.17g %.17g\n", reseat_version(), error_mm.x, error_mm.y);
    reseat_status status = reseat_record_new(RESEAT_RECORD_EVENT, &record);
    if (status == RESEAT_OK)
        status = append(record);
    if (status == RESEAT_OK)
        status = print_again();
    reseat_record_free(record);
    return status == RESEAT_OK ? 0 : 1;
}
