/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "recorded.h"

#include <stdio.h>

int recorded_refuse_fields(const arguments *args, const char *text)
{
    char key[64], name[60];
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        if (!args->fields[field])
            continue;
        snprintf(key, sizeof key, "--%s",
                 field_option_name((reseat_field)field, name, sizeof name));
        return text_refuse(args, EXIT_INPUT, key, text);
    }
    return EXIT_DONE;
}

int recorded_check(const arguments *args)
{
    static const option_id ids[] = {OPT_SEAT_WRITTEN, OPT_IN_USE, OPT_FOUND, OPT_NEW, OPT_DRY_RUN,
                                    OPT_DESPITE_DAMAGE, OPT_LOG, OPT_PROBE, OPT_TIP};
    static const char text[] = "goes with --record SPINDLE only";
    char key[64];
    if (args->options[OPT_RECORD_IN].given)
        return EXIT_DONE;
    for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++) {
        snprintf(key, sizeof key, "--%s", option_table()[ids[i]].name);
        if (args->options[ids[i]].given)
            return text_refuse(args, EXIT_INPUT, key, text);
    }
    return recorded_refuse_fields(args, text);
}

static void show_json(const finding *f, const reseat_appended *done)
{
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    f->keys(&j, f->found);
    if (f->record)
        record_answer_json(&j, done);
    json_end(&j);
}

int recorded_finish(const arguments *args, const finding *f)
{
    const char *spindle = args->options[OPT_RECORD_IN].text;
    const bool dry_run = args->options[OPT_DRY_RUN].given;
    reseat_appended done;
    size_t length = 0;
    int exit = EXIT_DONE;
    const char *dir = f->record ? where_dir(args, &exit) : NULL;
    if (exit == EXIT_DONE && f->record)
        exit = record_append(args, dir, spindle, f->record, &done);
    if (exit != EXIT_DONE)
        return exit;

    if (f->record && dry_run) {
        printf("%s\n", reseat_record_line(f->record, &length));
        return EXIT_DONE;
    }
    if (args->json) {
        show_json(f, &done);
    } else {
        f->screen(args, f->found);
        if (f->record)
            record_answer(spindle, reseat_record_type_of(f->record), &done);
    }
    if (f->record)
        record_check_output(&done);
    return EXIT_DONE;
}
