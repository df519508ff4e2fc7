/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "shown.h"

#include <stdarg.h>
#include <stdio.h>

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

shown shown_degrees(double deg)
{
    shown s;
    text_degrees(s.text, deg);
    return s;
}

shown shown_chance(double chance)
{
    shown s;
    text_chance(s.text, chance);
    return s;
}

shown shown_confidence(double confidence)
{
    shown s;
    text_confidence(s.text, confidence);
    return s;
}

shown shown_days(double days)
{
    shown s;
    text_days(s.text, days);
    return s;
}

shown shown_where(const reseat_answer *answer, const reseat_outcome *outcome)
{
    shown s;
    text_where(s.text, answer, outcome);
    return s;
}

shown shown_date(int64_t at)
{
    char time[RESEAT_TIME_SIZE] = "";
    (void)reseat_time_format(at, time);
    return shown_print("%.10s", time);
}

shown shown_minute(int64_t at)
{
    char time[RESEAT_TIME_SIZE] = "";
    (void)reseat_time_format(at, time);
    return shown_print("%.10s %.5s", time, time[0] ? time + 11 : "");
}

shown shown_number(double value, int decimals)
{
    char number[RESEAT_NUMBER_SIZE] = "";
    (void)reseat_number_fixed(value, decimals, number);
    return shown_print("%s", number);
}
