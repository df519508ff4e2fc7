/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "options.h"

#include <stdio.h>
#include <string.h>
#include "text.h"

#define ON(command) (1u << (command))
#define VERDICTS (ON(CMD_CHECK) | ON(CMD_ALLOWED))
#define ALL ((1u << COMMAND_COUNT) - 1u)

static const option table[OPTION_COUNT] = {
    [OPT_OFFSET] = {"offset", KIND_PAIR, "X,Y", VERDICTS,
                    "stored stylus offset, instead of SPINDLE"},
    [OPT_SEAT] = {"seat", KIND_SEAT, "SEAT", ON(CMD_CHECK),
                  "how it sits now: same, 30, 180+-5, keys:2, any, unknown"},
    [OPT_LIMIT] = {"limit", KIND_POSITIVE, "L", VERDICTS,
                   "largest error that the probe may add"},
    [OPT_TOLERANCE] = {"tolerance", KIND_POSITIVE, "T", VERDICTS,
                       "full width of a tolerance zone; the limit is its share / 2"},
    [OPT_SHARE] = {"share", KIND_SHARE, "S", VERDICTS,
                   "share of the tolerance that probing may use (10%)"},
    [OPT_CONFIDENCE] = {"confidence", KIND_CONFIDENCE, "P", VERDICTS,
                        "chance of staying within the limit that is asked for (95%)"},
    [OPT_BUDGET] = {"budget", KIND_FLAG, "", VERDICTS,
                    "show what the uncertainty is made of"},
    [OPT_IN_USE] = {"in-use", KIND_PAIR, "X,Y", ON(CMD_CHECK),
                    "offset that the control subtracts, if not the run's"},
    [OPT_RUN_SEAT] = {"run-seat", KIND_DEGREES, "DEG", VERDICTS,
                      "seat at the run (0)"},
    [OPT_SPINDLE_PART] = {"spindle-part", KIND_PAIR, "X,Y", VERDICTS,
                          "part of the offset that stays with the spindle (0,0)"},
    [OPT_RADII] = {"radii", KIND_TEXT, "FILE.csv", VERDICTS,
                   "radius by direction: columns dir_deg,radius_mm"},
    [OPT_U_RUN] = {"u-run", KIND_UNCERTAINTY, "U", VERDICTS,
                   "standard uncertainty of the offset, per axis (0.001mm)"},
    [OPT_U_SEAT] = {"u-seat", KIND_UNCERTAINTY, "U", VERDICTS,
                    "scatter of one seating, per axis (0.002mm)"},
    [OPT_U_TURN] = {"u-turn", KIND_DEGREES_U, "DEG", VERDICTS,
                    "scatter of orientation stop and key play (0.2)"},
    [OPT_U_SPINDLE] = {"u-spindle", KIND_UNCERTAINTY, "U", VERDICTS,
                       "how well the spindle's part is known (0.002mm)"},
    [OPT_U_TOUCH] = {"u-touch", KIND_UNCERTAINTY, "U", VERDICTS,
                     "repeatability of the probe, per axis (0.0005mm)"},
    [OPT_LOBING] = {"lobing", KIND_UNCERTAINTY, "L", VERDICTS,
                    "largest radius change by a turn, if not measured (0.003mm)"},
    [OPT_UNIT] = {"unit", KIND_UNIT, "UNIT", ALL,
                  "mm, um, in or thou: of bare lengths, and of what is printed (mm)"},
    [OPT_JSON] = {"json", KIND_FLAG, "", ALL, "one JSON object, always mm and degrees"},
    [OPT_HELP] = {"help", KIND_FLAG, "", ALL, "this text"},
    [OPT_VERSION] = {"version", KIND_FLAG, "", ALL, "the version"},
};

const option *option_table(void)
{
    return table;
}

static bool refuse(reseat_error *error, const char *key, const char *text)
{
    memset(error, 0, sizeof *error);
    snprintf(error->key, sizeof error->key, "%.*s", (int)sizeof error->key - 1, key);
    snprintf(error->text, sizeof error->text, "%.*s", (int)sizeof error->text - 1, text);
    return false;
}

static bool refuse_unknown(reseat_error *error, const char *name, size_t length)
{
    char word[64], shown[128];
    const char *names[OPTION_COUNT];
    snprintf(word, sizeof word, "%.*s", (int)length, name);
    for (int i = 0; i < OPTION_COUNT; i++)
        names[i] = table[i].name;
    const size_t nearest = reseat_text_nearest(word, names, OPTION_COUNT);

    reseat_text_terminal(word, strlen(word), shown, sizeof shown);
    memset(error, 0, sizeof *error);
    snprintf(error->key, sizeof error->key, "--%.60s", shown);
    if (nearest < OPTION_COUNT)
        snprintf(error->text, sizeof error->text, "no such option; did you mean --%s?",
                 names[nearest]);
    else
        snprintf(error->text, sizeof error->text, "no such option; see reseat --help");
    return false;
}

static int find_option(const char *name, size_t length)
{
    for (int i = 0; i < OPTION_COUNT; i++)
        if (strlen(table[i].name) == length && strncmp(table[i].name, name, length) == 0)
            return i;
    return OPTION_COUNT;
}

/* A word that can be the value of the option before it: not another option. */
static bool is_value(const char *word)
{
    const bool number = word[0] == '-' && ((word[1] >= '0' && word[1] <= '9') || word[1] == '.');
    return word[0] != '-' || word[1] == '\0' || number;
}

/* Takes the option at argv[*index], and its value, which may be the next word. */
static bool take_option(int argc, char **argv, int *index, arguments *args, reseat_error *error)
{
    const char *name = argv[*index] + 2;
    const char *equals = strchr(name, '=');
    const size_t length = equals ? (size_t)(equals - name) : strlen(name);
    const int id = find_option(name, length);
    if (id == OPTION_COUNT)
        return refuse_unknown(error, name, length);

    char key[64];
    snprintf(key, sizeof key, "--%s", table[id].name);
    option_value *value = &args->options[id];
    if (value->given)
        return refuse(error, key, "given twice; once is enough");
    value->given = true;
    if (table[id].kind == KIND_FLAG)
        return equals ? refuse(error, key, "takes no value") : true;
    if (equals)
        value->text = equals + 1;
    else if (*index + 1 < argc && is_value(argv[*index + 1]))
        value->text = argv[++*index];
    else
        return refuse(error, key, "expected a value after it");
    return value->text[0] ? true : refuse(error, key, "expected a value, read an empty one");
}

static bool take_word(const char *word, arguments *args, reseat_error *error)
{
    char shown[128];
    if (args->word_count < WORDS_MAX) {
        args->words[args->word_count++] = word;
        return true;
    }
    reseat_text_terminal(word, strlen(word), shown, sizeof shown);
    return refuse(error, shown, "one word too many; see reseat --help");
}

static bool take_words(int argc, char **argv, arguments *args, reseat_error *error)
{
    bool only_words = false;
    for (int i = 1; i < argc; i++) {
        const char *word = argv[i];
        bool taken = true;
        if (!only_words && strcmp(word, "--") == 0)
            only_words = true;
        else if (!only_words && strncmp(word, "--", 2) == 0)
            taken = take_option(argc, argv, &i, args, error);
        else if (!only_words && word[0] == '-' && word[1] != '\0')
            taken = refuse(error, word, "no such option; see reseat --help");
        else
            taken = take_word(word, args, error);
        if (!taken)
            return false;
    }
    return true;
}

/* What the kinds that are numbers ask of them beyond being one. */
static const char *number_fault(option_kind kind, double number)
{
    switch (kind) {
    case KIND_POSITIVE: return number > 0 ? NULL : "expected a length above 0";
    case KIND_UNCERTAINTY: return number >= 0 ? NULL : "expected a length of 0 or more";
    case KIND_DEGREES_U: return number >= 0 ? NULL : "expected degrees, 0 or more";
    case KIND_SHARE: return number > 0 ? NULL : "expected a share above 0";
    case KIND_CONFIDENCE:
        return number > 0 && number < 1 ? NULL : "expected a chance between 0 and 1, such as 95%";
    default: return NULL;
    }
}

static reseat_status read_value(option_kind kind, reseat_unit unit, option_value *value,
                                reseat_error *error)
{
    const char *text = value->text;
    const size_t length = strlen(text);
    switch (kind) {
    case KIND_LENGTH:
    case KIND_POSITIVE:
    case KIND_UNCERTAINTY:
        return reseat_length_parse(text, length, unit, &value->number, error);
    case KIND_PAIR: return reseat_length_pair_parse(text, length, unit, &value->pair, error);
    case KIND_DEGREES:
    case KIND_DEGREES_U: return reseat_number_parse(text, length, &value->number, error);
    case KIND_SHARE:
    case KIND_CONFIDENCE: return reseat_share_parse(text, length, &value->number, error);
    case KIND_SEAT: return reseat_seat_parse(text, length, &value->seat, error);
    case KIND_UNIT: return reseat_unit_parse(text, length, &value->unit, error);
    case KIND_FLAG:
    case KIND_TEXT: break;
    }
    return RESEAT_OK;
}

static bool convert(option_id id, arguments *args, reseat_error *error)
{
    option_value *value = &args->options[id];
    char key[64], text[256], shown[128];
    if (!value->given || table[id].kind == KIND_FLAG)
        return true;
    snprintf(key, sizeof key, "--%s", table[id].name);
    args->bad_value = true; /* until it turns out not to be */
    if (read_value(table[id].kind, args->unit, value, error) != RESEAT_OK) {
        snprintf(error->key, sizeof error->key, "%s", key);
        return false;
    }
    const char *fault = number_fault(table[id].kind, value->number);
    if (!fault) {
        args->bad_value = false;
        return true;
    }
    reseat_text_terminal(value->text, strlen(value->text), shown, sizeof shown);
    snprintf(text, sizeof text, "%s, read \"%s\"", fault, shown);
    return refuse(error, key, text);
}

bool options_read(int argc, char **argv, arguments *args, reseat_error *error)
{
    memset(args, 0, sizeof *args);
    memset(error, 0, sizeof *error);
    for (int i = 1; i < argc && strcmp(argv[i], "--") != 0; i++)
        args->json = args->json || strcmp(argv[i], "--json") == 0;
    if (!take_words(argc, argv, args, error))
        return false;

    /* Bare lengths are in the unit, wherever on the line it stands. */
    if (!convert(OPT_UNIT, args, error))
        return false;
    args->unit = args->options[OPT_UNIT].unit;
    for (int i = 0; i < OPTION_COUNT; i++)
        if (i != OPT_UNIT && !convert((option_id)i, args, error))
            return false;
    return true;
}

bool options_fit(const arguments *args, command_id command, const char *name,
                 reseat_error *error)
{
    char key[64], text[160];
    for (int i = 0; i < OPTION_COUNT; i++) {
        if (!args->options[i].given || (table[i].commands & ON(command)))
            continue;
        snprintf(key, sizeof key, "--%s", table[i].name);
        snprintf(text, sizeof text, "does not go with %s; see reseat %s --help", name, name);
        return refuse(error, key, text);
    }
    return true;
}
