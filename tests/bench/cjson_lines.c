/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * cjson_lines FILE: reads every line with cJSON alone and adds up the offsets in X, with no seal
 * and no check: the least that a program reading such a log by that library does.
 */

#include <stdio.h>
#include <string.h>
#include <cJSON.h>

int main(int argc, char **argv)
{
    static char line[65538];
    FILE *file = argc == 2 ? fopen(argv[1], "r") : NULL;
    double sum = 0;
    if (!file)
        return 2;
    while (fgets(line, sizeof line, file)) {
        cJSON *record = cJSON_ParseWithLength(line, strlen(line));
        const cJSON *offset = cJSON_GetObjectItemCaseSensitive(record, "offset_x_mm");
        if (cJSON_IsNumber(offset))
            sum += offset->valuedouble;
        cJSON_Delete(record);
    }
    fclose(file);
    printf("%.6f\n", sum);
    return 0;
}
