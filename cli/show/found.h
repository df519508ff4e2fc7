/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What find-seat found, as it is shown. */
#ifndef RESEAT_CLI_FOUND_H
#define RESEAT_CLI_FOUND_H

#include "answer.h"

/* Records that came of it: the reseat, if a seat was found, and the gauge check after it. */
typedef struct found_records {
    size_t count;
    reseat_record_type types[2];
    reseat_appended done[2];
} found_records;

void found_screen(const arguments *args, const request *asked, const reseat_found *found,
                  const found_records *all);
void found_json(const arguments *args, const request *asked, const reseat_found *found,
                const found_records *all);

#endif
