/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "text.h"

#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "commands.h"

#define PIECE 64 /* bytes of a text that are made harmless at a time; one may become eight */

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

#define WIDTH_MAX 20 /* what is longer, a slip in typing, is shown with an exponent */

const char *text_decimal(char *out, double value, int decimals)
{
    char number[RESEAT_NUMBER_SIZE] = "out of range";
    if (reseat_number_fixed(value, decimals, number) == RESEAT_OK && strlen(number) > WIDTH_MAX)
        (void)reseat_number_format(value, number);
    snprintf(out, TEXT_SIZE, "%.*s", TEXT_SIZE - 1, number);
    return out;
}

const char *text_length(char *out, double mm, reseat_unit unit, int more)
{
    return text_decimal(out, reseat_unit_from_mm(mm, unit), reseat_unit_decimals(unit) + more);
}

const char *text_signed(char *out, double mm, reseat_unit unit, int more)
{
    char plain[TEXT_SIZE];
    text_length(plain, mm, unit, more);
    snprintf(out, TEXT_SIZE, "%s%.*s", plain[0] == '-' ? "" : "+", TEXT_SIZE - 2, plain);
    return out;
}

/* 0.0100 has three figures, 0.0000 none. */
static size_t figures(const char *number)
{
    return strlen(number + strspn(number, "-0."));
}

int text_more_digits(double error_mm, double limit_mm, reseat_unit unit)
{
    char error[TEXT_SIZE], limit[TEXT_SIZE];
    const int most = 12 - reseat_unit_decimals(unit);
    for (int more = 0; more <= most; more++) {
        text_length(error, error_mm, unit, more);
        text_length(limit, limit_mm, unit, more);
        if (strcmp(error, limit) != 0 && figures(limit) >= 2)
            return more;
    }
    return 0;
}

/* In per cent with so many decimals, rounded down. */
static const char *percent(char *out, double share, int decimals)
{
    char number[TEXT_SIZE];
    const double scale = pow(10, decimals);
    text_decimal(number, floor(share * 100 * scale) / scale, decimals);
    snprintf(out, TEXT_SIZE, "%.*s %%", TEXT_SIZE - 3, number);
    return out;
}

const char *text_chance(char *out, double chance)
{
    if (chance < 0.9995)
        return percent(out, chance, 1);
    snprintf(out, TEXT_SIZE, "100 %%");
    return out;
}

/* Decimals that show a confidence as it was typed, 99.99 % too. */
static int confidence_decimals(double confidence)
{
    int decimals = 1;
    double scaled = confidence * 1000;
    for (; decimals < 9 && fabs(scaled - rint(scaled)) > 1e-9 * scaled; decimals++)
        scaled *= 10;
    return decimals;
}

const char *text_confidence(char *out, double confidence)
{
    char number[TEXT_SIZE];
    text_decimal(number, confidence * 100, confidence_decimals(confidence));
    snprintf(out, TEXT_SIZE, "%.*s %%", TEXT_SIZE - 3, number);
    return out;
}

const char *text_s(uint64_t count)
{
    return count == 1 ? "" : "s";
}

const char *text_days(char *out, double days)
{
    const double whole = floor(days);
    if (whole < 1)
        snprintf(out, TEXT_SIZE, "less than a day");
    else
        snprintf(out, TEXT_SIZE, "%.0f day%s", whole, whole > 1 ? "s" : "");
    return out;
}

const char *text_p(char *out, double p)
{
    char number[RESEAT_NUMBER_SIZE] = "";
    (void)reseat_number_fixed(p, 4, number);
    if (p < 0.0001)
        snprintf(out, TEXT_SIZE, "p < 0.0001");
    else
        snprintf(out, TEXT_SIZE, "p %.*s", TEXT_SIZE - 3, number);
    return out;
}

const char *text_degrees(char *out, double deg)
{
    text_decimal(out, deg, 2);
    size_t length = strlen(out);
    while (length > 1 && out[length - 1] == '0')
        length--;
    if (length > 1 && out[length - 1] == '.')
        length--;
    out[length] = '\0';
    if (strcmp(out, "360") == 0) /* a seat a hair below it */
        strcpy(out, "0");
    strcat(out, "°");
    return out;
}

const char *text_where(char *out, const reseat_answer *answer, const reseat_outcome *outcome)
{
    char degrees[TEXT_SIZE];
    if (answer->seats_named)
        snprintf(out, TEXT_SIZE, "seat %s", text_degrees(degrees, outcome->seat_deg));
    else
        snprintf(out, TEXT_SIZE, "a turn of %s", text_degrees(degrees, outcome->turn_deg));
    return out;
}

static void reason_error(char *out, size_t size, const reseat_question *question,
                         const reseat_answer *answer, reseat_unit unit)
{
    char where[TEXT_SIZE], error[TEXT_SIZE], limit[TEXT_SIZE];
    const double length = answer->worst.error_length_mm;
    const int more = text_more_digits(length, question->limit_mm, unit);
    snprintf(out, size, "at %s positions are off by %s %s, limit %s %s",
             text_where(where, answer, &answer->worst), text_length(error, length, unit, more),
             reseat_unit_name(unit), text_length(limit, question->limit_mm, unit, more),
             reseat_unit_name(unit));
}

static void reason_chance(char *out, size_t size, const reseat_question *question,
                          const reseat_answer *answer, reseat_unit unit)
{
    char where[TEXT_SIZE], chance[TEXT_SIZE], asked[TEXT_SIZE], limit[TEXT_SIZE];
    const int more = text_more_digits(answer->worst.error_length_mm, question->limit_mm, unit);
    snprintf(out, size, "at %s the chance of staying within %s %s is %s, %s is asked for",
             text_where(where, answer, &answer->worst),
             text_length(limit, question->limit_mm, unit, more), reseat_unit_name(unit),
             percent(chance, answer->worst.chance_within,
                     confidence_decimals(question->confidence)),
             text_confidence(asked, question->confidence));
}

/* "collision 17 on 2026-05-01 since the run". */
static void reason_event(char *out, size_t size, const reseat_state *s, reseat_reason reason)
{
    char date[RESEAT_TIME_SIZE] = "";
    const reseat_state_event *event = &s->events[reason];
    (void)reseat_time_format(event->at, date);
    if (reason == RESEAT_REASON_ELSEWHERE)
        snprintf(out, size, "the probe was since used in %s (record %" PRId64 " there, %.10s)",
                 event->log, event->seq, date);
    else
        snprintf(out, size, "%s since the run (record %" PRId64 ", %.10s)",
                 reseat_reason_code(reason), event->seq, date);
}

const char *text_reason(char *out, size_t size, const asking *asked, const reseat_answer *answer,
                        reseat_reason reason, reseat_unit unit)
{
    const reseat_state *s = &asked->standing;
    char days[TEXT_SIZE];
    switch (reason) {
    case RESEAT_REASON_ERROR_EXCEEDS_LIMIT:
        reason_error(out, size, asked->question, answer, unit);
        break;
    case RESEAT_REASON_CHANCE_BELOW_CONFIDENCE:
        reason_chance(out, size, asked->question, answer, unit);
        break;
    case RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY:
        snprintf(out, size, "the scatter alone is too large for this limit");
        break;
    case RESEAT_REASON_COLLISION:
    case RESEAT_REASON_STYLUS_CHANGE:
    case RESEAT_REASON_SERVICE:
    case RESEAT_REASON_ELSEWHERE: reason_event(out, size, s, reason); break;
    case RESEAT_REASON_TOO_OLD:
        snprintf(out, size, "the run is %s old", text_days(days, s->age_days));
        break;
    case RESEAT_REASON_DAMAGE_IGNORED:
        snprintf(out, size, "damage in the log was ignored, as asked");
        break;
    case RESEAT_REASON_LOST_RECORDS:
        snprintf(out, size, "what was lost of the log since the run may have been a reseat or a "
                            "collision");
        break;
    case RESEAT_REASON_UNEXPLAINED_SHIFT:
        snprintf(out, size, "no possible seat explains the gauge check: is something bent or "
                            "loose?");
        break;
    case RESEAT_REASON_UNLIKE_BEFORE:
        snprintf(out, size, "the run is unlike those before it");
        break;
    }
    return out;
}

const char *text_caution(void)
{
    return "an estimate, not a measurement: touch a known gauge before trusting it on a part";
}

void text_error_json(json *j, int exit, bool usage, const char *text)
{
    static const char *const codes[] = {
        [EXIT_INPUT] = "input", [EXIT_DAMAGED] = "damaged", [EXIT_IO] = "io",
        [EXIT_BUSY] = "busy",   [EXIT_NOTHING] = "nothing-on-record"};
    json_open(j, "error", '{');
    json_text(j, "code", usage ? "usage" : codes[exit]);
    json_text(j, "text", text);
    json_integer(j, "exit", exit);
    json_close(j, '}');
}

int text_fail(const arguments *args, int exit, bool usage, const reseat_error *error)
{
    char text[sizeof error->key + sizeof error->text + 64];
    char place[64] = "";
    if (error->line > 0 && error->column > 0)
        snprintf(place, sizeof place, ":%zu:%zu", error->line, error->column);
    else if (error->line > 0)
        snprintf(place, sizeof place, ":%zu", error->line);
    snprintf(text, sizeof text, "%s%s%s%s", error->key, place, error->key[0] ? ": " : "",
             error->text);
    if (!args->json) {
        char line[4 * sizeof text]; /* a byte may become four */
        reseat_text_terminal(text, strlen(text), line, sizeof line);
        fprintf(stderr, "reseat: %s\n", line);
        return exit;
    }

    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    text_error_json(&j, exit, usage, text);
    json_end(&j);
    return exit;
}

int text_fault(const arguments *args, reseat_status status, const reseat_error *error)
{
    reseat_error told = *error;
    if (!told.text[0])
        snprintf(told.text, sizeof told.text, "%s", reseat_status_text(status));
    return text_fail(args, text_exit(status), false, &told);
}

int text_fault_in(const arguments *args, reseat_status status, const char *file,
                  const reseat_error *error)
{
    reseat_error placed = *error;
    reseat_text_terminal(file, strlen(file), placed.key, sizeof placed.key);
    if (error->key[0])
        snprintf(placed.text, sizeof placed.text, "%s: %.*s", error->key,
                 (int)(sizeof placed.text - sizeof placed.key - 2), error->text);
    return text_fault(args, status, &placed);
}

int text_refuse(const arguments *args, int exit, const char *key, const char *text)
{
    reseat_error error = {0};
    reseat_text_terminal(key, strlen(key), error.key, sizeof error.key); /* cut at a character */
    snprintf(error.text, sizeof error.text, "%s", text);
    return text_fail(args, exit, exit == EXIT_INPUT, &error);
}

int text_exit(reseat_status status)
{
    switch (status) {
    case RESEAT_ERR_DAMAGED: return EXIT_DAMAGED;
    case RESEAT_ERR_IO:
    case RESEAT_ERR_MEMORY: return EXIT_IO;
    case RESEAT_ERR_BUSY: return EXIT_BUSY;
    case RESEAT_ERR_NOT_FOUND: return EXIT_NOTHING;
    default: return EXIT_INPUT;
    }
}

int text_status(const arguments *args, reseat_status status, const char *doing)
{
    reseat_error error = {0};
    snprintf(error.key, sizeof error.key, "%s", doing);
    return text_fault(args, status, &error);
}
