/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "shown.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

shown shown_print(const char *format, ...)
{
    shown s;
    va_list values;
    va_start(values, format);
    vsnprintf(s.text, sizeof s.text, format, values);
    va_end(values);
    return s;
}

shown shown_length(double mm, reseat_unit unit, int more)
{
    shown s;
    text_length(s.text, mm, unit, more);
    return s;
}

shown shown_signed(double mm, reseat_unit unit)
{
    shown s;
    text_signed(s.text, mm, unit, 0);
    return s;
}

shown shown_decimal(double value, int decimals)
{
    shown s;
    text_decimal(s.text, value, decimals);
    return s;
}

shown shown_where(const reseat_answer *answer, const reseat_outcome *outcome)
{
    shown s;
    text_where(s.text, answer, outcome);
    return s;
}

shown shown_as(const char *show(char *out, double value), double value)
{
    shown s;
    show(s.text, value);
    return s;
}

shown shown_brief(double value, int decimals)
{
    char number[RESEAT_NUMBER_SIZE] = "0";
    (void)reseat_number_fixed(value, decimals, number);
    size_t length = strlen(number);
    if (strchr(number, '.')) {
        while (number[length - 1] == '0')
            length--;
        if (number[length - 1] == '.')
            length--;
    }
    return shown_print("%.*s", (int)length, number);
}

shown shown_date(int64_t at)
{
    return shown_print("%.10s", shown_minute(at).text);
}

shown shown_minute(int64_t at)
{
    char time[RESEAT_TIME_SIZE] = "";
    (void)reseat_time_format(at, time);
    return shown_print("%.10s %.5s", time, time[0] ? time + 11 : "");
}
