/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * write_manual TEMPLATE: prints the template, with what the program's own tables say in the place
 * of each line @NAME@: as mdoc for reseat(1), and for the bash completion what each command takes.
 * Of the build alone.
 */

#include <stdio.h>
#include <string.h>
#include "fields.h"
#include "show/sentences.h"

/* Text as roff prints it: a dash that can be copied, no escape, no request at a line's start. */
static void roff(const char *text, size_t length)
{
    if (length > 0 && (text[0] == '.' || text[0] == '\''))
        printf("\\&");
    for (size_t i = 0; i < length; i++) {
        if (text[i] == '-')
            printf("\\-");
        else if (text[i] == '\\')
            printf("\\e");
        else
            putchar(text[i]);
    }
}

static void roff_line(const char *before, const char *text)
{
    fputs(before, stdout);
    roff(text, strlen(text));
    putchar('\n');
}

/* Lines to be filled: each sentence begins one. */
static void roff_prose(const char *text, size_t length)
{
    size_t begin = 0;
    for (size_t i = 1; i + 1 < length; i++) {
        if (text[i - 1] != '.' || text[i] != ' ' || text[i + 1] < 'A' || text[i + 1] > 'Z')
            continue;
        roff(text + begin, i - begin);
        putchar('\n');
        begin = i + 1;
    }
    roff(text + begin, length - begin);
    putchar('\n');
}

/* The length of a line's text, and in *next where the one after it begins: NULL behind the last. */
static size_t line_length(const char *text, const char **next)
{
    const size_t length = strcspn(text, "\n");
    *next = text[length] ? text + length + 1 : NULL;
    return length;
}

/* Lines that begin with two blanks are a table and stay as they are, others fill paragraphs. */
static void paragraphs(const char *text)
{
    bool in_table = false;
    for (const char *line = text, *next; line; line = next) {
        const size_t length = line_length(line, &next);
        const bool table = strncmp(line, "  ", 2) == 0;
        if (table != in_table)
            puts(table ? ".Bd -literal -offset indent" : ".Ed");
        in_table = table;
        if (!table) {
            roff_prose(line, length);
            continue;
        }
        roff(line + 2, length - 2);
        putchar('\n');
    }
    if (in_table)
        puts(".Ed");
}

/* Whether every command takes it. */
static bool is_common(const option *row)
{
    return row->commands == (1u << COMMAND_COUNT) - 1;
}

/* `Fl Fl` prints two dashes. */
static void item(const char *name, const char *value, const char *help)
{
    printf(".It %s ", name[1] ? "Fl Fl" : "Fl");
    roff(name, strlen(name));
    printf("%s%s\n", value[0] ? " Ar " : "", value);
    roff_line("", help);
}

static void begin_list(const char *before)
{
    printf("%s\n.Bl -tag -width 18n -compact\n", before);
}

static void begin_fields(const char *type)
{
    if (type)
        printf(".Pp\nFields of\n.Cm %s", type);
    begin_list(type ? " :" : ".Pp\nFields to record:");
}

static void end_list(void)
{
    puts(".El");
}

/* The commands, a line each. */
static void summaries(void)
{
    for (int i = 0; i < COMMAND_COUNT; i++) {
        roff_line(".It Cm ", command_table()[i].name);
        roff_line("", command_table()[i].summary);
    }
}

/* The options of every command. */
static void common(void)
{
    for (int i = 0; i < OPTION_COUNT; i++)
        if (is_common(&option_table()[i]))
            item(option_table()[i].name, option_table()[i].value, option_table()[i].help);
}

static void own_options(command_id id)
{
    bool begun = false;
    for (int i = 0; i < OPTION_COUNT; i++) {
        const option *row = &option_table()[i];
        if (is_common(row) || !command_takes(id, (option_id)i))
            continue;
        if (!begun)
            begin_list(".Pp");
        begun = true;
        item(row->name, row->value, row->help);
    }
    if (begun)
        end_list();
}

/* A section a command. */
static void sections(void)
{
    for (int i = 0; i < COMMAND_COUNT; i++) {
        const command_row *row = &command_table()[i];
        roff_line(".Ss ", row->name);
        printf(".Bd -filled -offset indent\nreseat ");
        roff(row->name, strlen(row->name));
        roff_line(row->synopsis[0] ? " " : "", row->synopsis);
        puts(".Ed\n.Pp");
        paragraphs(row->details);
        own_options((command_id)i);
        list_fields(&(list_writer){begin_fields, item, end_list}, (command_id)i);
        roff_line(".Pp\nExample:\n.Bd -literal -offset indent\n", row->example);
        puts(".Ed");
    }
}

/* Their lines are broken for a screen, and set in. */
static void print_cautions(void)
{
    puts(".Bl -bullet");
    for (size_t i = 0; cautions()[i]; i++) {
        puts(".It");
        for (const char *line = cautions()[i], *next; line; line = next) {
            const size_t blanks = strspn(line, " ");
            roff_prose(line + blanks, line_length(line, &next) - blanks);
        }
    }
    puts(".El");
}

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

static void command_case(command_id id)
{
    printf("    %s)\n        places_of='", command_table()[id].name);
    places(command_table()[id].synopsis);
    puts("'");
    if (id == CMD_RECORD) {
        printf("        kinds='");
        for (int type = 0; type < RESEAT_RECORD_TYPE_COUNT; type++)
            if (type_is_typed((reseat_record_type)type))
                printf(" %s", reseat_record_type_name((reseat_record_type)type));
        puts("'");
    }
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
        if (is_common(&option_table()[i]))
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

/* Shell functions that know what each command takes. */
static void tables(void)
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
    for (int i = 0; i < OPTION_COUNT; i++)
        if (values_of((option_id)i))
            printf("    *' %s') values='%s' ;;\n",
                   option_key(option_table()[i].name).text, values_of((option_id)i));
    puts("    esac\n}");
}

static const struct {
    const char *mark;
    void (*write)(void);
} parts[] = {
    {"@SUMMARIES@\n", summaries},      {"@COMMON@\n", common}, {"@COMMANDS@\n", sections},
    {"@CAUTIONS@\n", print_cautions}, {"@TABLES@\n", tables},
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
