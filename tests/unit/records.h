/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Lines of a log as the tests of records put them together. */
#ifndef RESEAT_TESTS_RECORDS_H
#define RESEAT_TESTS_RECORDS_H

#include "check.h"
#include "reseat/log.h"
#include "log/record.h"

#define SEALED ",\"seal\":\"85da4e8c50004914d1fb89748ccb118b2902b8ccb1498531c2b6ea16074423a7\"}"
#define HEAD "{\"v\":1,\"seq\":4,\"type\":"
#define WHEN ",\"recorded_at\":\"2026-03-02T06:00:00Z\""
#define RUN HEAD "\"run\"" WHEN \
    ",\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\",\"seat_deg\":0," \
    "\"offset_x_mm\":0.004,\"offset_y_mm\":-0.0011"

static inline reseat_record *parse(const char *line)
{
    reseat_record *record = NULL;
    reseat_error error;
    if (record_parse(line, strlen(line), &record, &error) != RESEAT_OK) {
        print_error("%s: %s\n", error.key, error.text);
        fail();
    }
    return record;
}

#endif
