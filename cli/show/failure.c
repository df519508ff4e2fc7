/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "failure.h"

#include <string.h>

void failure_json(json *j, int exit, bool usage, const char *text)
{
    static const char *const codes[] = {
        [EXIT_INPUT] = "input", [EXIT_DAMAGED] = "damaged", [EXIT_IO] = "io",
        [EXIT_BUSY] = "busy",   [EXIT_NOTHING] = "nothing-on-record"};
    json_print(j, "error:{ code:s text:s exit:i }", usage ? "usage" : codes[exit], text,
               (int64_t)exit);
}

static bool fail(arguments *args, int exit, bool usage, const reseat_error *error)
{
    char text[sizeof error->key + sizeof error->text + 64];
    char place[64] = "";
    if (error->line > 0 && error->column > 0)
        snprintf(place, sizeof place, ":%zu:%zu", error->line, error->column);
    else if (error->line > 0)
        snprintf(place, sizeof place, ":%zu", error->line);
    snprintf(text, sizeof text, "%s%s%s%s", error->key, place, error->key[0] ? ": " : "",
             error->text);
    args->exit = exit;
    if (args->json) {
        json j = json_begin(stdout);
        failure_json(&j, exit, usage, text);
        json_end(&j);
        return false;
    }
    char line[4 * sizeof text]; /* a byte may become four */
    reseat_text_terminal(text, strlen(text), line, sizeof line);
    fprintf(stderr, "reseat: %s\n", line);
    return false;
}

bool fail_text(arguments *args, int exit, const char *key, const char *text)
{
    reseat_error error = {0};
    reseat_text_terminal(key, strlen(key), error.key, sizeof error.key); /* cut at a character */
    snprintf(error.text, sizeof error.text, "%s", text);
    return fail(args, exit, exit == EXIT_INPUT, &error);
}

bool refuse(arguments *args, const char *key, const char *text)
{
    return fail_text(args, EXIT_INPUT, key, text);
}

bool fail_typed(arguments *args, bool usage, const reseat_error *error)
{
    return fail(args, EXIT_INPUT, usage, error);
}

bool succeeded(arguments *args, reseat_status status, const char *key)
{
    reseat_error *error = &args->error;
    if (status == RESEAT_OK)
        return true;
    if (key) {
        memset(error, 0, sizeof *error);
        snprintf(error->key, sizeof error->key, "%s", key);
    }
    if (!error->text[0])
        snprintf(error->text, sizeof error->text, "%s", reseat_status_text(status));
    return fail(args, failure_exit(status), false, error);
}

bool succeeded_in_file(arguments *args, reseat_status status, const char *file)
{
    reseat_error placed = args->error;
    reseat_text_terminal(file, strlen(file), placed.key, sizeof placed.key);
    if (args->error.key[0])
        snprintf(placed.text, sizeof placed.text, "%s: %.*s", args->error.key,
                 (int)(sizeof placed.text - sizeof placed.key - 2), args->error.text);
    args->error = placed;
    return succeeded(args, status, NULL);
}

int failure_exit(reseat_status status)
{
    switch (status) {
    case RESEAT_ERR_DAMAGED: return EXIT_DAMAGED;
    case RESEAT_ERR_IO:
    case RESEAT_ERR_MEMORY: return EXIT_IO;
    case RESEAT_ERR_BUSY: return EXIT_BUSY;
    case RESEAT_ERR_NOT_FOUND: return EXIT_NOTHING;
    default: return EXIT_INPUT;
    }
}
