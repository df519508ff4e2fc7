/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What of the bash completion is made from the tables: what each command takes, and values. */

#include "write_manual.h"

#include <string.h>

static void option_name(const option *row)
{
    printf(" %s", option_key(row->name).text);
}

static void field_name(reseat_field field, const char *dashes)
{
    printf(" %s%s", dashes, field_option(field).text);
}

/* Words of the synopsis that stand for themselves; files by what they hold are FILE. */
static void places(const char *synopsis)
{
    const char *word = synopsis + strspn(synopsis, " ");
    while (*word && *word != '-' && *word != '|' && strncmp(word, "[-", 2) != 0) {
        const size_t length = strcspn(word, " ");
        const bool file = length > 4 && strncmp(word + length - 4, ".csv", 4) == 0;
        printf("%s%.*s", word == synopsis ? "" : " ", file ? 4 : (int)length, file ? "FILE" : word);
        word += length + strspn(word + length, " ");
    }
}

/* What a command takes: all of it, or what a value follows. */
static void names_of(const char *what, command_id id, bool with_value)
{
    printf("        %s='", what);
    for (int i = 0; i < OPTION_COUNT; i++)
        if (command_takes(id, (option_id)i) &&
            !(with_value && option_table()[i].kind == KIND_FLAG))
            option_name(&option_table()[i]);
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        if (with_value ? field_of_command((reseat_field)field, id)
                       : field_goes_with((reseat_field)field, id))
            field_name((reseat_field)field, "--");
    puts("'");
}

static void kinds(void)
{
    printf("        kinds='");
    for (int type = 0; type < RESEAT_RECORD_TYPE_COUNT; type++)
        if (type_is_typed((reseat_record_type)type))
            printf(" %s", reseat_record_type_name((reseat_record_type)type));
    puts("'");
}

static void command_case(command_id id)
{
    printf("    %s)\n        places_of='", command_table()[id].name);
    places(command_table()[id].synopsis);
    puts("'");
    if (id == CMD_RECORD)
        kinds();
    names_of("options", id, false);
    names_of("takes", id, true);
    puts("        ;;");
}

static void kind_case(reseat_record_type type)
{
    printf("    '%s %s')\n        options='", command_name(CMD_RECORD),
           reseat_record_type_name(type));
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        if (field_is_typed((reseat_field)field, type))
            field_name((reseat_field)field, "--");
    puts("'");
    if (type == RESEAT_RECORD_POLICY) {
        printf("        drops='");
        for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
            if (field_is_dropped((reseat_field)field))
                field_name((reseat_field)field, "--no-");
        puts("'");
    }
    puts("        ;;");
}

/* Before a command is typed an option means what the first row of its name says. */
static void no_command_case(void)
{
    printf("    '')\n        commands='");
    for (int i = 0; i < COMMAND_COUNT; i++)
        printf(" %s", command_name((command_id)i));
    printf("'\n        options='");
    for (int i = 0; i < OPTION_COUNT; i++)
        if (option_is_common(&option_table()[i]))
            option_name(&option_table()[i]);
    printf("'\n        takes='");
    for (int i = 0; i < OPTION_COUNT; i++) {
        int first = 0;
        while (strcmp(option_table()[first].name, option_table()[i].name) != 0)
            first++;
        if (first == i && option_table()[i].kind != KIND_FLAG)
            option_name(&option_table()[i]);
    }
    puts("'\n        ;;");
}

/* FILE, DIR, SPINDLE, or the texts it may be; NULL for what cannot be guessed. */
static const char *values_of(option_id id)
{
    const char *value = option_table()[id].value;
    if (strncmp(value, "FILE", 4) == 0)
        return "FILE";
    if (strcmp(value, "DIR") == 0 || strcmp(value, "SPINDLE") == 0)
        return value;
    return option_choices(id);
}

/* A field of record may have the name of another command's option: its own values come first. */
static void field_value_cases(void)
{
    for (int i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)i;
        const char *choices = reseat_field_about(field)->choices;
        if (field_of_command(field, CMD_RECORD))
            printf("    'record --%s') values='%s' ;;\n",
                   field_option(field).text, choices ? choices : "");
    }
}

static void value_cases(void)
{
    for (int i = 0; i < OPTION_COUNT; i++)
        if (values_of((option_id)i))
            printf("    *' %s') values='%s' ;;\n",
                   option_key(option_table()[i].name).text, values_of((option_id)i));
}

void completion_tables(void)
{
    puts("_reseat_table()\n{\n    case $1 in");
    no_command_case();
    for (int i = 0; i < COMMAND_COUNT; i++)
        command_case((command_id)i);
    for (int type = 0; type < RESEAT_RECORD_TYPE_COUNT; type++)
        if (type_is_typed((reseat_record_type)type))
            kind_case((reseat_record_type)type);
    puts("    esac\n}\n\n_reseat_value_of()\n{\n    case \"$1 $2\" in");
    field_value_cases();
    value_cases();
    puts("    esac\n}");
}
