/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Reads lines of logs from standard input and prints for each `taken`, or why it is no record. */

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "reseat/reseat.h"
#include "log/record.h"

int main(void)
{
    static char line[RESEAT_RECORD_LINE_MAX + 2];
    while (fgets(line, sizeof line, stdin) != NULL) {
        reseat_record *record = NULL;
        reseat_error error = {0};
        if (record_parse(line, strcspn(line, "\n"), &record, &error) == RESEAT_OK)
            puts("taken");
        else
            printf("%s: %s\n", error.key, error.text);
        reseat_record_free(record);
    }
    return ferror(stdin) || fflush(stdout) != 0;
}
