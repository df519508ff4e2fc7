/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as a line of a log. What is read must come back the same when it is written and read
 * again. As hardly any bytes end in a seal by chance, they are also read with one behind them.
 */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include "reseat/log.h"
#include "log/record.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const char tail[] =
    ",\"seal\":\"85da4e8c50004914d1fb89748ccb118b2902b8ccb1498531c2b6ea16074423a7\"}";

static void demand(int holds)
{
    if (!holds)
        abort();
}

/* Every field of a record as text, one after the other. */
static char *show(const reseat_record *record)
{
    size_t length = 0;
    for (unsigned i = 0; i < RESEAT_FIELD_SEAL; i++)
        length += reseat_record_show(record, (reseat_field)i, NULL, 0) + 1;
    char *text = malloc(length + 1), *at = text;
    demand(text != NULL);
    for (unsigned i = 0; i < RESEAT_FIELD_SEAL; i++) {
        at += reseat_record_show(record, (reseat_field)i, at, (size_t)(text + length + 1 - at));
        *at++ = '\n';
    }
    *at = '\0';
    return text;
}

static void read_line(const char *line, size_t length)
{
    reseat_record *record = NULL, *again = NULL;
    reseat_error error;
    if (record_parse(line, length, &record, &error) != RESEAT_OK) {
        demand(record == NULL && memchr(error.text, '\0', sizeof error.text) != NULL);
        return;
    }
    size_t kept = 0;
    demand(memcmp(reseat_record_line(record, &kept), line, length) == 0 && kept == length);
    char *first = show(record);
    const reseat_status status = record_seal(record, NULL, &error);
    demand((status == RESEAT_ERR_ARGUMENT) ==
           (reseat_record_type_of(record) == RESEAT_RECORD_OTHER));
    if (status == RESEAT_OK) { /* else of a type not known, or it grew beyond a line */
        const char *written = reseat_record_line(record, &kept);
        demand(record_parse(written, kept, &again, &error) == RESEAT_OK);
        char *second = show(again);
        demand(strcmp(first, second) == 0);
        free(second);
    }
    free(first);
    reseat_record_free(again);
    reseat_record_free(record);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *line = malloc(size + sizeof tail);
    demand(line != NULL);
    memcpy(line, data, size);
    memcpy(line + size, tail, sizeof tail - 1);
    read_line(line, size + sizeof tail - 1);
    free(line);
    read_line((const char *)data, size);
    return 0;
}
