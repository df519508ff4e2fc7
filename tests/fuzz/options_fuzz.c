/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The words of a command line, parted by NUL or LF, through the table of options and, where they
 * hold an offset, to a question and its verdict. No file is read and nothing is printed: the
 * functions that would are replaced here.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "files.h"
#include "log_target.h"
#include "request.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define ARGUMENTS_MAX 100

char *file_load(arguments *args, const char *name, size_t *length)
{
    (void)args, (void)length;
    require(name[0] != '\0');
    return NULL;
}

bool refuse(arguments *args, const char *key, const char *text)
{
    require(args != NULL && key != NULL && text[0] != '\0');
    return false;
}

bool succeeded(arguments *args, reseat_status status, const char *key)
{
    require(args != NULL && key != NULL && key[0] != '\0');
    return status == RESEAT_OK;
}

bool succeeded_in_file(arguments *args, reseat_status status, const char *file)
{
    require(args != NULL && file[0] != '\0');
    return status == RESEAT_OK;
}

/* No log is asked: these are named by what is not called. */
const char *log_target_spindle(const arguments *args)
{
    (void)args;
    require(false);
    return NULL;
}

bool log_target_set(arguments *args, const char *spindle)
{
    (void)args, (void)spindle;
    require(false);
    return false;
}

bool log_target_share(arguments *args)
{
    (void)args;
    require(false);
    return false;
}

bool log_target_state(arguments *args, reseat_state *state)
{
    (void)args, (void)state;
    require(false);
    return false;
}

words words_length(double mm, reseat_unit unit, int more)
{
    (void)more;
    require(isfinite(mm) && reseat_unit_name(unit)[0] != '\0');
    return (words){""};
}

static void check_number(option_kind kind, double number)
{
    require(isfinite(number));
    require(kind != KIND_POSITIVE || number > 0);
    require((kind != KIND_UNCERTAINTY && kind != KIND_NUMBER_U && kind != KIND_DEGREES_U) ||
            number >= 0);
    require(kind != KIND_SHARE || (number > 0 && number <= 1));
    require(kind != KIND_CONFIDENCE || (number > 0 && number < 1));
}

static void check_option(const arguments *args, option_id id)
{
    const option *row = &option_table()[id];
    const option_value *value = &args->options[id];
    if (!value->given)
        return;
    require(args->command == COMMAND_COUNT || command_takes(args->command, id));
    require(row->kind == KIND_FLAG || row->kind == KIND_FEATURE || value->text[0] != '\0');
    check_number(row->kind, value->number);
    require(isfinite(value->pair.x) && isfinite(value->pair.y));
    require(row->kind != KIND_UNIT || reseat_unit_name(value->unit)[0] != '\0');
}

static void check_all(const arguments *args, int argc)
{
    require(!args->bad_value && args->word_count >= 0 && args->word_count < argc);
    require(args->options[OPT_JSON].given == args->json || args->command == COMMAND_COUNT ||
            args->json);
    for (int i = 0; i < args->feature_count; i++)
        require(args->features[i].judged == (args->features[i].tolerance_mm > 0));
    for (int id = 0; id < OPTION_COUNT; id++)
        check_option(args, (option_id)id);
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        require(!args->fields[field].text || args->fields[field].text[0] != '\0');
}

static void decide(arguments *args)
{
    static request asked;
    static reseat_answer answer;
    memset(&asked, 0, sizeof asked);
    args->json = true; /* nothing is said of a large offset then */
    if (!request_typed(args, &asked))
        return;
    if (!command_takes(args->command, OPT_LIMIT))
        asked.typed.limit_mm = 0.01;
    if (reseat_verdict_decide(asked.question, &answer) == RESEAT_OK)
        require(answer.worst.chance_within >= 0 && answer.worst.chance_within <= 1);
}

/* Parts the bytes in place; returns how many words there are, argv[0] among them. */
static int part(char *bytes, size_t size, char **argv)
{
    int argc = 1;
    argv[0] = bytes + size; /* empty */
    for (size_t i = 0; i < size && argc < ARGUMENTS_MAX; i += strlen(bytes + i) + 1)
        argv[argc++] = bytes + i;
    argv[argc] = NULL;
    return argc;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static arguments args;
    char *argv[ARGUMENTS_MAX + 1];
    reseat_error error;
    char *bytes = malloc(size + 1);
    require(bytes != NULL);
    for (size_t i = 0; i < size; i++)
        bytes[i] = data[i] == '\n' ? '\0' : (char)data[i];
    bytes[size] = '\0';
    const int argc = part(bytes, size, argv);
    if (options_read(argc, argv, &args, &error)) {
        check_all(&args, argc);
        if (args.command < COMMAND_COUNT && args.options[OPT_OFFSET].given &&
            command_takes(args.command, OPT_SEAT))
            decide(&args);
    } else {
        const size_t length = strlen(error.text), key = strlen(error.key);
        require(length > 0 && reseat_text_terminal(error.text, length, NULL, 0) == length);
        require(reseat_text_terminal(error.key, key, NULL, 0) == key);
    }
    free(bytes);
    return 0;
}
