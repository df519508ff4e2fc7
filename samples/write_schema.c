/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Prints the JSON Schema that every record of a log fulfils, for programs that read logs. */

#include <stdio.h>
#include <stdlib.h>
#include <reseat/reseat.h>

int main(void)
{
    const size_t length = reseat_record_schema(NULL, 0);
    char *schema = malloc(length + 1);
    if (schema == NULL)
        return 1;
    reseat_record_schema(schema, length + 1);
    const int printed = puts(schema);
    free(schema);
    return printed >= 0 && fflush(stdout) == 0 ? 0 : 1;
}
