/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * uses FOLDER: what installed.sh builds against an installed library, as C and as C++: a
 * computation, and a record that is appended to a log and read again, for which the library calls
 * those it is built on.
 */

#include <stdio.h>
#include <string.h>
#include <reseat/reseat.h>

static reseat_status append(const char *folder)
{
    reseat_record *record = NULL;
    reseat_append how;
    reseat_status status = reseat_record_new(RESEAT_RECORD_EVENT, &record);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_KIND, "service", NULL);
    memset(&how, 0, sizeof how);
    how.begin = true;
    if (status == RESEAT_OK)
        status = reseat_log_append(folder, "mill-1", record, &how, NULL, NULL);
    reseat_record_free(record);
    return status;
}

static reseat_status print_newest(const char *folder)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    reseat_status status = reseat_records_open(folder, "mill-1", &records, NULL);
    if (status == RESEAT_OK)
        status = reseat_records_next(records, &entry, NULL);
    if (status == RESEAT_OK)
        printf("%s %s\n", reseat_record_text(entry.record, RESEAT_FIELD_KIND),
               reseat_record_text(entry.record, RESEAT_FIELD_SEAL));
    reseat_records_close(records);
    return status;
}

int main(int argc, char **argv)
{
    const reseat_xy offset_mm = {0.012, -0.005}, spindle_mm = {0, 0};
    reseat_xy error_mm;
    if (argc != 2 || reseat_seat_error(offset_mm, spindle_mm, 0, 180, &error_mm) != RESEAT_OK)
        return 1;
    printf("reseat %s: %.17g %.17g\n", reseat_version(), error_mm.x, error_mm.y);
    reseat_status status = append(argv[1]);
    if (status == RESEAT_OK)
        status = print_newest(argv[1]);
    return status == RESEAT_OK ? 0 : 1;
}
