/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/error.h"

#include <stdarg.h>
#include <stdio.h>
#include "base/text.h"
#include "reseat/values.h"

const char *reseat_status_text(reseat_status status)
{
    switch (status) {
    case RESEAT_OK: return "done";
    case RESEAT_ERR_ARGUMENT: return "a required argument is missing or does not exist";
    case RESEAT_ERR_NOT_FINITE: return "a number is not finite";
    case RESEAT_ERR_RANGE: return "a number is out of range";
    case RESEAT_ERR_SYNTAX: return "a text is not what was expected";
    case RESEAT_ERR_TOO_FEW: return "fewer data than unknowns";
    case RESEAT_ERR_SINGULAR: return "the data do not determine the result";
    case RESEAT_ERR_NO_CONVERGENCE: return "the iteration did not settle";
    case RESEAT_ERR_SPACE: return "the buffer is too small";
    case RESEAT_ERR_MEMORY: return "out of memory";
    case RESEAT_ERR_IO: return "reading or writing failed";
    case RESEAT_ERR_DAMAGED: return "the log is damaged";
    case RESEAT_ERR_BUSY: return "another writer has the log";
    case RESEAT_ERR_NOT_FOUND: return "nothing on record";
    case RESEAT_ERR_REFUSED: return "a rule of the log forbids it";
    }
    return "unknown status";
}

const char *reseat_version(void)
{
    return RESEAT_VERSION;
}

/* vsnprintf cuts at a byte: takes the rest of a cut character away. */
static void end_at_character(char *text, size_t length)
{
    while (length > 0 && !text_is_utf8(text, length))
        length--;
    text[length] = '\0';
}

static void put_key(char *room, size_t size, const char *key)
{
    memset(room, 0, size);
    strncat(room, key, size - 1);
}

static void fill(reseat_error *error, const char *format, va_list values)
{
    if (!error)
        return;
    *error = (reseat_error){0};
    const int length = vsnprintf(error->text, sizeof error->text, format, values);
    if ((size_t)length >= sizeof error->text)
        end_at_character(error->text, strlen(error->text));
}

reseat_status error_set(reseat_error *error, reseat_status status, size_t column,
                        const char *format, ...)
{
    assert(status != RESEAT_OK && format);
    va_list values;
    va_start(values, format);
    fill(error, format, values);
    va_end(values);
    if (error)
        error->column = column;
    return status;
}

reseat_status error_at(reseat_error *error, reseat_status status, const char *key,
                       const char *format, ...)
{
    assert(status != RESEAT_OK && format);
    va_list values;
    va_start(values, format);
    fill(error, format, values);
    va_end(values);
    return error_key(error, status, key);
}

reseat_status error_key(reseat_error *error, reseat_status status, const char *key)
{
    if (error && status != RESEAT_OK)
        put_key(error->key, sizeof error->key, key);
    return status;
}

reseat_status error_code(reseat_error *error, reseat_status status, reseat_error_code code,
                         const char *other_key)
{
    if (error) {
        error->code = code;
        put_key(error->other_key, sizeof error->other_key, other_key);
    }
    return status;
}

reseat_status error_read(reseat_error *error, size_t column, const char *expected,
                         const char *text, size_t length)
{
    return error_set(error, RESEAT_ERR_SYNTAX, column, "%s, read %s", expected,
                     error_echo(text, length).text);
}

reseat_status error_plain(reseat_error *error, reseat_status status)
{
    return error_set(error, status, 0, "%s", reseat_status_text(status));
}

error_echoed error_echo(const char *text, size_t length)
{
    static const char more[] = "...\"";
    error_echoed echo = {"nothing"};
    if (length == 0)
        return echo;
    echo.text[0] = '"';
    const size_t room = sizeof echo.text - sizeof more;
    const size_t whole = reseat_text_terminal(text, length, echo.text + 1, room);
    strcat(echo.text, whole < room ? "\"" : more);
    return echo;
}
