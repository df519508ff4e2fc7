/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * write_manual TEMPLATE: prints the template, with what the program's own tables say in the place
 * of each line @NAME@. Of the build alone: it makes the manual and the completion.
 */

#include <stdio.h>
#include <string.h>
#include "write_manual.h"

static const struct {
    const char *mark;
    void (*write)(void);
} parts[] = {
    {"@SUMMARIES@\n", manual_summaries}, {"@COMMON@\n", manual_common},
    {"@COMMANDS@\n", manual_commands},   {"@CAUTIONS@\n", manual_cautions},
    {"@TABLES@\n", completion_tables},
};

/* A line of the template; false for a mark that nothing is known of. */
static bool write_line(const char *line)
{
    if (line[0] != '@')
        return fputs(line, stdout) >= 0;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (strcmp(line, parts[i].mark) != 0)
            continue;
        parts[i].write();
        return true;
    }
    fprintf(stderr, "write_manual: what is %s", line);
    return false;
}

int main(int argc, char **argv)
{
    char line[256];
    FILE *in = argc == 2 ? fopen(argv[1], "r") : NULL;
    if (!in) {
        fprintf(stderr, "write_manual: expected a template that can be read\n");
        return 1;
    }
    bool sound = true;
    while (sound && fgets(line, sizeof line, in))
        sound = write_line(line);
    sound = sound && !ferror(in) && fflush(stdout) == 0 && !ferror(stdout);
    fclose(in);
    return sound ? 0 : 1;
}
