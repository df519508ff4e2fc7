/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What installed.sh builds against an installed library, as C and as C++: a computation, and a
 * record that is written, sealed and read again, for which the library calls those it is built on.
 */

#include <stdio.h>
#include <string.h>
#include <reseat/reseat.h>
#include "log/record.h"

static reseat_status fill(reseat_record *record)
{
    reseat_status status = reseat_record_set_integer(record, RESEAT_FIELD_SEQ, 1, NULL);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(record, RESEAT_FIELD_RECORDED_AT, 1772431200, NULL);
    if (status == RESEAT_OK)
        status = reseat_record_set_integer(record, RESEAT_FIELD_AT, 1772431200, NULL);
    if (status == RESEAT_OK)
        status = reseat_record_set_text(record, RESEAT_FIELD_KIND, "service", NULL);
    return status == RESEAT_OK ? record_seal(record, NULL, NULL) : status;
}

static reseat_status print_again(const reseat_record *record)
{
    reseat_record *again = NULL;
    size_t length = 0;
    const char *line = reseat_record_line(record, &length);
    const reseat_status status = record_parse(line, length, &again, NULL);
    if (status == RESEAT_OK)
        printf("%s %s\n", reseat_record_text(again, RESEAT_FIELD_KIND),
               reseat_record_text(again, RESEAT_FIELD_SEAL));
    reseat_record_free(again);
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
        status = fill(record);
    if (status == RESEAT_OK)
        status = print_again(record);
    reseat_record_free(record);
    return status == RESEAT_OK ? 0 : 1;
}
