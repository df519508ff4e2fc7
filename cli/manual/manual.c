/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What of reseat(1) is made from the tables, as mdoc. */

#include "write_manual.h"

#include <string.h>
#include "show/cautions.h"

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

static void roff_line(const char *text)
{
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

static void begin_options(void)
{
    puts(".Bl -tag -width 18n -compact");
}

/* The same with a heading, before the first of them. */
static void begin_once(bool *begun, const char *heading)
{
    if (*begun)
        return;
    puts(heading);
    begin_options();
    *begun = true;
}

/* `Fl Fl` prints two dashes. */
static void item(const char *name, const char *value, const char *help)
{
    printf(".It %s ", name[1] ? "Fl Fl" : "Fl");
    roff(name, strlen(name));
    printf("%s%s\n", value[0] ? " Ar " : "", value);
    roff_line(help);
}

bool option_is_common(const option *row)
{
    return row->commands == (1u << COMMAND_COUNT) - 1;
}

void manual_summaries(void)
{
    for (int i = 0; i < COMMAND_COUNT; i++) {
        printf(".It Cm ");
        roff_line(command_table()[i].name);
        roff_line(command_table()[i].summary);
    }
}

void manual_common(void)
{
    for (int i = 0; i < OPTION_COUNT; i++) {
        const option *row = &option_table()[i];
        if (option_is_common(row))
            item(row->name, row->value, row->help);
    }
}

static void own_options(command_id id)
{
    bool begun = false;
    for (int i = 0; i < OPTION_COUNT; i++) {
        const option *row = &option_table()[i];
        if (option_is_common(row) || !command_takes(id, (option_id)i))
            continue;
        begin_once(&begun, ".Pp");
        item(row->name, row->value, row->help);
    }
    if (begun)
        puts(".El");
}

static void field_item(reseat_field field)
{
    item(field_option(field).text, "VALUE", reseat_field_about(field)->meaning);
}

static void fields_of_types(void)
{
    for (int i = 0; i < RESEAT_RECORD_TYPE_COUNT; i++) {
        const reseat_record_type type = (reseat_record_type)i;
        if (!type_is_typed(type))
            continue;
        printf(".Pp\nFields of\n.Cm %s :\n", reseat_record_type_name(type));
        begin_options();
        for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
            if (field_is_typed((reseat_field)field, type))
                field_item((reseat_field)field);
        puts(".El");
    }
}

static void fields_beside(command_id id)
{
    bool begun = false;
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        if (!field_goes_with((reseat_field)field, id))
            continue;
        begin_once(&begun, ".Pp\nFields to record:");
        field_item((reseat_field)field);
    }
    if (begun)
        puts(".El");
}

void manual_commands(void)
{
    for (int i = 0; i < COMMAND_COUNT; i++) {
        const command_row *row = &command_table()[i];
        printf(".Ss ");
        roff_line(row->name);
        puts(".Bd -filled -offset indent");
        printf("reseat ");
        roff(row->name, strlen(row->name));
        printf("%s", row->synopsis[0] ? " " : "");
        roff_line(row->synopsis);
        puts(".Ed\n.Pp");
        paragraphs(row->details);
        own_options((command_id)i);
        if (i == CMD_RECORD)
            fields_of_types();
        fields_beside((command_id)i);
        printf(".Pp\nExample:\n.Bd -literal -offset indent\n");
        roff_line(row->example);
        puts(".Ed");
    }
}

/* Their lines are broken for a screen, and set in. */
void manual_cautions(void)
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
