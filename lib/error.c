/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "error.h"

#include <assert.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "reseat/text.h"

/* vsnprintf cuts at a byte: takes the rest of a cut character away. */
static void end_at_character(char *text, size_t length)
{
    while (length > 0 && !reseat_text_is_utf8(text, length))
        length--;
    text[length] = '\0';
}

reseat_status reseat_error_set(reseat_error *error, reseat_status status, size_t column,
                               const char *format, ...)
{
    assert(status != RESEAT_OK && format != NULL);
    if (error == NULL)
        return status;
    *error = (reseat_error){.column = column};
    va_list arguments;
    va_start(arguments, format);
    const int length = vsnprintf(error->text, sizeof error->text, format, arguments);
    va_end(arguments);
    if ((size_t)length >= sizeof error->text)
        end_at_character(error->text, strlen(error->text));
    return status;
}

reseat_status reseat_error_read(reseat_error *error, size_t column, const char *expected,
                                const char *text, size_t length)
{
    return reseat_error_set(error, RESEAT_ERR_SYNTAX, column, "%s, read %s", expected,
                            reseat_error_echo(text, length).text);
}

reseat_status reseat_error_plain(reseat_error *error, reseat_status status)
{
    return reseat_error_set(error, status, 0, "%s", reseat_status_text(status));
}

reseat_echo reseat_error_echo(const char *text, size_t length)
{
    static const char more[] = "...\"";
    reseat_echo echo = {"nothing"};
    if (length == 0)
        return echo;
    echo.text[0] = '"';
    const size_t room = sizeof echo.text - sizeof more;
    const size_t whole = reseat_text_terminal(text, length, echo.text + 1, room);
    strcat(echo.text, whole < room ? "\"" : more);
    return echo;
}
