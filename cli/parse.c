/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Reads the command line by the table of options. */

#include "options.h"

#include <stdlib.h>
#include <string.h>
#include "fields.h"

#define KEY_SIZE 64

/* The key may hold what was typed. */
static bool refuse(reseat_error *error, const char *key, const char *text)
{
    memset(error, 0, sizeof *error);
    reseat_text_terminal(key, strlen(key), error->key, sizeof error->key);
    snprintf(error->text, sizeof error->text, "%.*s", (int)sizeof error->text - 1, text);
    return false;
}

/* Where parsing stands: argv, the next word, and what is filled. */
typedef struct parser {
    int argc;
    char **argv;
    int next;
    bool only_words;
    arguments *args;
    reseat_error *error;
} parser;

/*
 * Where what an option of a name says is kept, and its kind; NULL where there is none. Before the
 * command is known it is any command's, and a field one of record's.
 */
static option_value *find(arguments *args, const char *name, option_kind *kind, bool *fits)
{
    const bool known = args->command < COMMAND_COUNT;
    const command_id command = known ? args->command : CMD_RECORD;
    const char *drop = command == CMD_RECORD && strncmp(name, "no-", 3) == 0 ? name + 3 : "";
    option_value *found = NULL;
    *fits = true;
    for (int i = 0; i < OPTION_COUNT; i++) {
        if (strcmp(option_table()[i].name, name) != 0)
            continue;
        *kind = option_table()[i].kind;
        found = &args->options[i];
        if (!known || command_takes(command, (option_id)i))
            return found;
    }
    if (strcmp(drop, "spindle-part") == 0)
        drop = field_option(RESEAT_FIELD_SPINDLE_X_MM).text; /* and Y with it */
    for (int i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const option_text own = field_option((reseat_field)i);
        *kind = KIND_TEXT;
        if (strcmp(own.text, name) == 0 && field_of_command((reseat_field)i, command))
            return &args->fields[i];
        *kind = KIND_FLAG;
        if (drop[0] && strcmp(own.text, drop) == 0 && field_is_dropped((reseat_field)i))
            return &args->dropped[i];
    }
    *fits = false;
    return found;
}

/* Names the nearest of what there is. */
static bool refuse_unknown(reseat_error *error, const char *key, const char *what,
                           const char *dashes, const char *word, const char *const *names,
                           size_t count)
{
    char text[160];
    const size_t nearest = reseat_text_nearest(word, names, count);
    if (nearest < count)
        snprintf(text, sizeof text, "no such %s; did you mean %s%s?", what, dashes,
                 names[nearest]);
    else
        snprintf(text, sizeof text, "no such %s; see reseat --help", what);
    return refuse(error, key, text);
}

static bool refuse_option(parser *p, const char *name)
{
    char key[2 * KEY_SIZE + 2];
    const char *names[OPTION_COUNT];
    size_t count = 0;
    for (int i = 0; i < OPTION_COUNT; i++)
        if (option_table()[i].name[1]) /* a letter is near too much */
            names[count++] = option_table()[i].name;
    snprintf(key, sizeof key, "--%s", name);
    return refuse_unknown(p->error, key, "option", "--", name, names, count);
}

/* A word that can be the value of the option before it: not another option. */
static bool is_value(const char *word)
{
    const bool number = word[0] == '-' && ((word[1] >= '0' && word[1] <= '9') || word[1] == '.');
    return word[0] != '-' || word[1] == '\0' || number;
}

/* The value of an option: after its equals sign, or the next word, or else what is set. */
static bool take_value(parser *p, const char *key, option_kind kind, const char *equals,
                       const char **value)
{
    const char *set = kind == KIND_SPINDLE ? getenv("RESEAT_SPINDLE") : NULL;
    if (equals)
        *value = equals + 1;
    else if (p->next < p->argc && is_value(p->argv[p->next]))
        *value = p->argv[p->next++];
    else if (set && set[0])
        *value = set;
    else
        return refuse(p->error, key, "expected a value after it");
    return (*value)[0] ? true : refuse(p->error, key, "expected a value, read an empty one");
}

/* Marks that it is there; a second time, and a value of a flag, are refused. */
static bool take_known(parser *p, const char *key, option_kind kind, option_value *value,
                       const char *equals)
{
    arguments *args = p->args;
    const bool again = kind == KIND_FEATURE;
    const bool twice = value->given && !again;
    value->given = true;
    if (twice)
        return refuse(p->error, key, "given twice");
    if (kind == KIND_FLAG)
        return !equals || refuse(p->error, key, "takes no value");
    if (again && args->feature_count == FEATURES_MAX)
        return refuse(p->error, key, "given more than 64 times");
    return take_value(p, key, kind, equals,
                      again ? &args->feature_texts[args->feature_count++] : &value->text);
}

/* An option of one letter has one dash, and its value is the next word. */
static bool take_option(parser *p, const char *word)
{
    const command_id command = p->args->command;
    const bool letter = word[1] != '-';
    const char *equals = letter ? NULL : strchr(word, '=');
    const char *begin = word + (letter ? 1 : 2);
    char name[2 * KEY_SIZE], text[160];
    snprintf(name, sizeof name, "%.*s", equals ? (int)(equals - begin) : (int)sizeof name - 1,
             begin);
    option_kind kind;
    bool fits;
    option_value *value = find(p->args, name, &kind, &fits);
    if (letter && (begin[1] || !value))
        return refuse(p->error, word, "no such option; see reseat --help");
    if (!value || (!letter && name[0] && !name[1]))
        return refuse_option(p, name);
    const option_text key = option_key(name);
    if (fits)
        return take_known(p, key.text, kind, value, equals);
    snprintf(text, sizeof text, "does not go with %s; see reseat %s --help",
             command_name(command), command_name(command));
    return refuse(p->error, key.text, text);
}

static bool take_next(parser *p)
{
    const char *word = p->argv[p->next++];
    if (!p->only_words && strcmp(word, "--") == 0) {
        p->only_words = true;
        return true;
    }
    if (!p->only_words && word[0] == '-' && word[1])
        return take_option(p, word);
    if (p->args->word_count == WORDS_MAX)
        return refuse(p->error, word, "one word too many; see reseat --help");
    p->args->words[p->args->word_count++] = word;
    return true;
}

/*
 * The command is the first word that is no value of an option. Options before it are taken at
 * what most commands mean by them; the line is read again once the command is known.
 */
static const char *first_word(int argc, char **argv)
{
    arguments scratch = {.command = COMMAND_COUNT};
    reseat_error ignored;
    parser p = {.argc = argc, .argv = argv, .next = 1, .args = &scratch, .error = &ignored};
    while (p.next < argc && scratch.word_count == 0)
        (void)take_next(&p);
    return scratch.word_count > 0 ? scratch.words[0] : NULL;
}

/* What the kinds that are numbers ask of them beyond being one. */
static const struct {
    bool from_0;
    const char *expected;
} ranges[KIND_MARK + 1] = {
    [KIND_POSITIVE] = {false, "expected a length above 0"},
    [KIND_UNCERTAINTY] = {true, "expected a length of 0 or more"},
    [KIND_DEGREES_U] = {true, "expected degrees, 0 or more"},
    [KIND_NUMBER_U] = {true, "expected a number of 0 or more"},
    [KIND_SHARE] = {false, "expected a share above 0"},
};

static bool is_in_range(option_kind kind, double number)
{
    return !ranges[kind].expected || number > 0 || (ranges[kind].from_0 && number >= 0);
}

static bool is_date(const char *text)
{
    static const char form[] = "dddd-dd-dd";
    size_t i = 0;
    while (form[i] && (form[i] == 'd' ? text[i] >= '0' && text[i] <= '9' : text[i] == form[i]))
        i++;
    return !form[i] && !text[i];
}

/* A date alone is all of its day, UTC: up to its end, or from its start on, or else its noon. */
static reseat_status read_time(const char *text, option_kind kind, int64_t *time,
                               reseat_error *error)
{
    char day[32];
    if (is_date(text)) {
        snprintf(day, sizeof day, "%.10sT%s", text,
                 kind == KIND_SINCE ? "00:00:00Z" : kind == KIND_NOON ? "12:00:00Z" : "23:59:59Z");
        text = day;
    }
    return reseat_time_parse(text, strlen(text), time, error);
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
    case KIND_NUMBER:
    case KIND_NUMBER_U:
    case KIND_DEGREES:
    case KIND_DEGREES_U: return reseat_number_parse(text, length, &value->number, error);
    case KIND_SHARE:
    case KIND_CONFIDENCE: return reseat_share_parse(text, length, &value->number, error);
    case KIND_SEAT: return reseat_seat_parse(text, length, &value->seat, error);
    case KIND_TIME:
    case KIND_NOON:
    case KIND_SINCE: return read_time(text, kind, &value->time, error);
    case KIND_UNIT: return reseat_unit_parse(text, length, &value->unit, error);
    case KIND_GAUGE: return reseat_gauge_kind_parse(text, length, &value->gauge, error);
    case KIND_DATUM: return reseat_datum_parse(text, length, &value->datum, error);
    case KIND_MARK: return reseat_log_mark_parse(text, length, &value->mark, error);
    case KIND_FLAG:
    case KIND_FEATURE:
    case KIND_SPINDLE:
    case KIND_TEXT: break;
    }
    return RESEAT_OK;
}

/* An error about a value names its option, and no place in it. */
static bool refuse_value(option_id id, reseat_error *error)
{
    snprintf(error->key, sizeof error->key, "%s", option_key(option_table()[id].name).text);
    error->column = 0;
    return false;
}

/* What an option is the size of; fields of a record say so themselves. */
static reseat_size size_of(option_id id)
{
    const option_kind kind = option_table()[id].kind;
    switch (id) {
    case OPT_LIMIT: return RESEAT_SIZE_LIMIT;
    case OPT_TOLERANCE: return RESEAT_SIZE_TOLERANCE;
    case OPT_OFFSET:
    case OPT_IN_USE:
    case OPT_FOUND: return RESEAT_SIZE_OFFSET;
    case OPT_SHIFT:
    case OPT_SPINDLE_PART: return RESEAT_SIZE_PART;
    case OPT_READING:
    case OPT_AT_0:
    case OPT_AT_180:
    case OPT_CENTRE: return RESEAT_SIZE_READING;
    case OPT_READING_U:
    case OPT_SHIFT_U: return RESEAT_SIZE_SHIFT_U;
    case OPT_CALIBRATED:
    case OPT_DUE: return RESEAT_SIZE_AT;
    case OPT_DIAMETER: return RESEAT_SIZE_DIAMETER;
    case OPT_TEMPERATURE: return RESEAT_SIZE_TEMPERATURE;
    default:
        return kind == KIND_UNCERTAINTY ? RESEAT_SIZE_U
               : kind == KIND_CONFIDENCE ? RESEAT_SIZE_CONFIDENCE : RESEAT_SIZE_ANY;
    }
}

/* Whether the library takes a size as typed; what it notes of it is said. */
static bool is_sized(reseat_size size, const char *key, const char *text, reseat_unit unit,
                     reseat_error *error)
{
    char note[RESEAT_SIZE_NOTE];
    if (reseat_size_judge(size, text, unit, note, error) != RESEAT_OK) {
        snprintf(error->key, sizeof error->key, "%s", key);
        return false;
    }
    if (note[0])
        fprintf(stderr, "reseat: %s: %s\n", key, note);
    return true;
}

static bool convert_features(arguments *args, reseat_error *error)
{
    for (int i = 0; i < args->feature_count; i++) {
        const char *text = args->feature_texts[i];
        if (reseat_feature_parse(text, strlen(text), args->unit, &args->features[i], error) !=
            RESEAT_OK)
            return refuse_value(OPT_FEATURE, error);
        if (!is_sized(RESEAT_SIZE_FEATURE, "--feature", text, args->unit, error))
            return false;
    }
    return true;
}

static bool convert(option_id id, arguments *args, reseat_error *error)
{
    const option *row = &option_table()[id];
    option_value *value = &args->options[id];
    char text[256], shown[2 * KEY_SIZE];
    if (!value->given || row->kind == KIND_FLAG)
        return true;
    if (row->kind == KIND_FEATURE)
        return convert_features(args, error);
    if (read_value(row->kind, args->unit, value, error) != RESEAT_OK)
        return refuse_value(id, error);
    if (is_in_range(row->kind, value->number))
        return is_sized(size_of(id), option_key(row->name).text, value->text, args->unit, error);
    reseat_text_terminal(value->text, strlen(value->text), shown, sizeof shown);
    snprintf(text, sizeof text, "%s, read \"%s\"", ranges[row->kind].expected, shown);
    return refuse(error, option_key(row->name).text, text);
}

/* The unit that is typed, else that of the environment. */
static bool read_unit(arguments *args, reseat_error *error)
{
    const char *set = getenv("RESEAT_UNIT");
    option_value *value = &args->options[OPT_UNIT];
    if (value->given || !set || !set[0] || !command_takes(args->command, OPT_UNIT))
        return convert(OPT_UNIT, args, error);
    value->text = set;
    if (read_value(KIND_UNIT, RESEAT_MM, value, error) == RESEAT_OK)
        return true;
    snprintf(error->key, sizeof error->key, "RESEAT_UNIT");
    error->column = 0;
    return false;
}

static bool convert_all(arguments *args, reseat_error *error)
{
    /* Bare lengths are in the unit, wherever on the line it stands. */
    if (!read_unit(args, error))
        return false;
    args->unit = args->options[OPT_UNIT].unit;
    for (int i = 0; i < OPTION_COUNT; i++)
        if (i != OPT_UNIT && !convert((option_id)i, args, error))
            return false;
    for (int i = 0; i < RESEAT_FIELD_COUNT; i++)
        if (args->fields[i].given &&
            !is_sized(reseat_field_size((reseat_field)i), field_key((reseat_field)i).text,
                      args->fields[i].text, args->unit, error))
            return false;
    return true;
}

static bool refuse_command(arguments *args, const char *word, reseat_error *error)
{
    const char *names[COMMAND_COUNT];
    for (int i = 0; i < COMMAND_COUNT; i++)
        names[i] = command_name((command_id)i);
    args->command = COMMAND_COUNT;
    return refuse_unknown(error, word, "command", "", word, names, COMMAND_COUNT);
}

bool options_read(int argc, char **argv, arguments *args, reseat_error *error)
{
    memset(args, 0, sizeof *args);
    memset(error, 0, sizeof *error);
    for (int i = 1; i < argc && strcmp(argv[i], "--") != 0; i++)
        args->json = args->json || strcmp(argv[i], "--json") == 0;

    const char *word = first_word(argc, argv);
    args->command = word ? command_find(word) : COMMAND_COUNT;
    if (word && args->command == COMMAND_COUNT)
        return refuse_command(args, word, error);
    parser p = {.argc = argc, .argv = argv, .next = 1, .args = args, .error = error};
    while (p.next < argc)
        if (!take_next(&p))
            return false;

    /* The command itself is no word of the rest. */
    if (args->word_count > 0)
        memmove(args->words, args->words + 1, (size_t)--args->word_count * sizeof *args->words);
    args->bad_value = !convert_all(args, error);
    return !args->bad_value;
}
