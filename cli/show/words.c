/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "words.h"

#include <errno.h>
#include <string.h>

words words_signed(double mm, reseat_unit unit, int more)
{
    words out;
    const words plain = reseat_words_length(mm, unit, more);
    snprintf(out.text, sizeof out.text, "%s%.28s", plain.text[0] == '-' ? "" : "+", plain.text);
    return out;
}

words words_pair(reseat_xy mm, reseat_unit unit, int more)
{
    words out;
    snprintf(out.text, sizeof out.text, "X %.28s Y %.28s", words_signed(mm.x, unit, more).text,
             words_signed(mm.y, unit, more).text);
    return out;
}

words words_place(bool seat_named, double seat_deg, double turn_deg)
{
    return seat_named ? reseat_words_value(seat_deg, RESEAT_WORDS_SEAT)
                      : reseat_words_value(turn_deg, RESEAT_WORDS_TURN);
}

words words_p(double p)
{
    words out = {"p < 0.0001"};
    if (!(p < 0.0001))
        snprintf(out.text, sizeof out.text, "p %.40s", reseat_words_number(p, 4).text);
    return out;
}

words words_time(int64_t at)
{
    words out = {""};
    char time[RESEAT_TIME_SIZE] = "";
    (void)reseat_time_format(at, time);
    snprintf(out.text, sizeof out.text, "%s", time);
    return out;
}

words words_date(int64_t at)
{
    words out = words_time(at);
    out.text[strlen("2026-03-02")] = '\0';
    return out;
}

const char *words_s(uint64_t count)
{
    return count == 1 ? "" : "s";
}

#define PIECE 64 /* bytes of a text that are escaped at a time; one may become eight */

/* Where a piece may end: a byte that goes on with a character has its first within three. */
static size_t piece_of(const char *text, size_t length)
{
    if (length <= PIECE)
        return length;
    for (size_t back = 0; back <= 3; back++)
        if (((unsigned char)text[PIECE - back] & 0xC0) != 0x80)
            return PIECE - back;
    return PIECE; /* it goes on with nothing, and is bad wherever it stands */
}

void text_put(FILE *out, text_escape *escape, const char *text, size_t length)
{
    char piece[8 * PIECE + 1];
    while (length > 0) {
        const size_t taken = piece_of(text, length);
        escape(text, taken, piece, sizeof piece);
        fputs(piece, out);
        text += taken;
        length -= taken;
    }
}

/*
 * A piece that found no room may have been left out without an error of the stream, and the whole
 * lost in closing it: what is left of either is that some allocation failed.
 */
bool text_close(FILE *stream, char *const *text)
{
    const bool kept = !ferror(stream) && errno != ENOMEM;
    return fclose(stream) == 0 && kept && *text;
}
