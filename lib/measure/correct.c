/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include <stdio.h>
#include "base/csv.h"
#include "base/text.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/radius.h"
#include "model/seat.h"
#include "reseat/rescue.h"

reseat_status reseat_datum_parse(const char *text, size_t length, reseat_datum *datum,
                                 reseat_error *error)
{
    static const char *const names[] = {"machine", "before", "same"};
    if (!text || !datum)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const size_t found = word_find(text, length, names, 3);
    if (found == 3)
        return error_read(error, 1, "expected machine, before or same", text, length);
    *datum = (reseat_datum)found;
    return RESEAT_OK;
}

/* Where the probe may be turned to: an interval, or with 180 degrees to either side anywhere. */
typedef struct place {
    double turn_deg;
    double within_deg;
} place;

static place place_of(const reseat_turns *turns)
{
    if (turns->range)
        return (place){turns->first_deg + turns->width_deg / 2, turns->width_deg / 2};
    return turns->count == 1 ? (place){seat_list_turn(turns, 0), 0} : (place){0, 180};
}

/* What lobes leave of single surfaces: more where the turn is one of several. */
static void leave_lobes(const reseat_estimate *estimate, const reseat_effect *effect, place at,
                        reseat_correction *result)
{
    const reseat_radius_curve *const curve = estimate->curve;
    const double farthest_deg = fmin(fabs(effect->turn_deg) + at.within_deg, 180);
    result->curve = curve;
    result->radius_u_mm = radius_shows_lobes(curve) ? radius_change_u(curve, farthest_deg) : 0;
    result->hidden_mm = effect->hidden_mm;
    if (!(at.within_deg > 0))
        return;
    if (!radius_shows_lobes(curve))
        result->hidden_mm = fmax(estimate_hidden(estimate, farthest_deg),
                                 curve ? radius_change_within(curve, farthest_deg) : 0);
    result->hidden_mm += curve ? radius_change_within(curve, at.within_deg) : 0;
}

reseat_status reseat_correct_at(const reseat_estimate *estimate, const reseat_turns *turns,
                                reseat_datum datum, reseat_correction *correction)
{
    if (!estimate || !turns || !correction || datum < RESEAT_DATUM_MACHINE ||
        datum > RESEAT_DATUM_SAME)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(turns->first_deg) || !isfinite(turns->width_deg))
        return RESEAT_ERR_NOT_FINITE;
    const bool some = turns->range ? turns->width_deg >= 0 : turns->count >= 1;
    const place at = place_of(turns);
    if (!some || (at.within_deg > 0 && !estimate->verified))
        return RESEAT_ERR_RANGE;
    reseat_effect effect;
    const reseat_status status = reseat_estimate_effect(estimate, at.turn_deg, &effect);
    if (status != RESEAT_OK)
        return status;

    reseat_correction result = {.datum = datum, .turn_known = at.within_deg < 180};
    result.turn_deg = result.turn_known ? effect.turn_deg : 0;
    if (datum != RESEAT_DATUM_SAME) {
        result.error_mm = effect.error_mm;
        result.covariance_mm2 = effect.covariance_mm2;
        result.u_mm = sqrt(covariance_largest(result.covariance_mm2));
        leave_lobes(estimate, &effect, at, &result);
    }
    if (!isfinite(result.u_mm) || !isfinite(result.hidden_mm))
        return RESEAT_ERR_NOT_FINITE;
    *correction = result;
    return RESEAT_OK;
}

reseat_status reseat_correct_found(const reseat_estimate *estimate, const reseat_found *found,
                                   reseat_datum datum, reseat_correction *correction)
{
    if (!estimate || !found)
        return RESEAT_ERR_ARGUMENT;
    if (found->unturned)
        return RESEAT_ERR_RANGE;
    reseat_estimate measured = *estimate;
    measured.verified = true;
    measured.shift_mm = found->error_mm;
    measured.shift_u_mm = found->shift_u_mm;
    measured.shift_drift_mm = 0; /* nothing has had time to grow */
    measured.shift_reseated = false;
    measured.shift_anew = found->anew;
    const double within_deg = found->within_deg;
    const reseat_turns one = {.range = true, .first_deg = found->turn_deg - within_deg,
                              .width_deg = 2 * within_deg};
    return reseat_correct_at(&measured, found->settled ? &one : &found->possible, datum,
                             correction);
}

static reseat_status put(reseat_corrected result, reseat_corrected *corrected)
{
    if (!xy_is_finite(result.at_mm) || !isfinite(result.u_mm))
        return RESEAT_ERR_NOT_FINITE;
    *corrected = result;
    return RESEAT_OK;
}

reseat_status reseat_correct_point(const reseat_correction *correction, reseat_xy reported_mm,
                                   reseat_corrected *corrected)
{
    if (!correction || !corrected)
        return RESEAT_ERR_ARGUMENT;
    return put((reseat_corrected){xy_less(reported_mm, correction->error_mm), correction->u_mm},
               corrected);
}

reseat_status reseat_correct_surface(const reseat_correction *correction, reseat_xy reported_mm,
                                     double dir_deg, reseat_corrected *corrected)
{
    if (!correction || !corrected)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(dir_deg))
        return RESEAT_ERR_NOT_FINITE;
    if (correction->curve && correction->curve->order > 0 && !correction->turn_known)
        return RESEAT_ERR_RANGE;
    const reseat_xy u = reseat_plane_unit(dir_deg);
    double along = correction->error_mm.x * u.x + correction->error_mm.y * u.y;
    if (correction->curve)
        along += radius_change(correction->curve, dir_deg, correction->turn_deg);
    const double hidden = correction->hidden_mm / sqrt(2.0); /* a wave of that height, any phase */
    const double variance = covariance_along(correction->covariance_mm2, u) +
                            correction->radius_u_mm * correction->radius_u_mm + hidden * hidden;
    return put((reseat_corrected){{reported_mm.x - along * u.x, reported_mm.y - along * u.y},
                                  covariance_deviation(variance)}, corrected);
}

/* Results in, results out: only what is appended is new. */

enum { KIND, X, Y, DIR, KINDS };

static const column_kind kinds[KINDS] = {
    [KIND] = {.name = "kind", .required = true, .text = true},
    [X] = {.name = "x", .length = true, .required = true},
    [Y] = {.name = "y", .length = true, .required = true},
    [DIR] = {.name = "dir_deg", .text = true}, /* of surfaces alone it is read as a number */
};
static const char *const appended[] = {"corrected_x", "corrected_y", "u"}; /* and a unit */
#define APPENDED (sizeof appended / sizeof *appended)

typedef struct work {
    const reseat_correction *correction;
    const char *text;
    size_t copied; /* bytes of the text that are in `to` */
    sink to;
    columns columns;
    reseat_correct_summary summary;
    reseat_error *error;
} work;

/* Everything up to the end of a row, its line end not included. */
static void copy_row(work *w, const csv_row *row)
{
    const size_t end = (size_t)(row->text - w->text) + row->length;
    sink_bytes(&w->to, w->text + w->copied, end - w->copied);
    w->copied = end;
}

typedef struct column_name {
    char text[24];
} column_name;

static column_name appended_name(const work *w, size_t i)
{
    column_name name;
    snprintf(name.text, sizeof name.text, "%s_%s", appended[i], reseat_unit_name(w->columns.unit));
    return name;
}

static reseat_status read_header(work *w, size_t length, csv_row *header)
{
    static const columns_table table = {.kinds = kinds, .count = KINDS, .others = true};
    const reseat_status status =
        columns_begin(w->text, length, &table, &w->columns, header, w->error);
    if (status != RESEAT_OK)
        return status;
    w->summary.unit = w->columns.unit;
    for (size_t field = 0; field < header->count; field++)
        for (size_t i = 0; i < APPENDED; i++)
            if (columns_says(&header->fields[field], appended_name(w, i).text))
                return columns_refuse(&w->columns, header, field, appended_name(w, i).text,
                                      RESEAT_ERR_SYNTAX,
                                      "this column is there already: corrected before?");
    if (w->correction->datum == RESEAT_DATUM_SAME)
        return RESEAT_OK;
    copy_row(w, header);
    for (size_t i = 0; i < APPENDED; i++)
        sink_print(&w->to, ",%s", appended_name(w, i).text);
    return RESEAT_OK;
}

/* Rows that leave out fields at their end get the commas, so that what is appended lines up. */
static void append(work *w, const csv_row *row, const reseat_corrected *result)
{
    const double values[APPENDED] = {result->at_mm.x, result->at_mm.y, result->u_mm};
    copy_row(w, row);
    for (size_t i = row->count; i < w->columns.fields_in_row; i++)
        sink_text(&w->to, ",");
    for (size_t i = 0; i < APPENDED; i++) {
        sink_text(&w->to, ",");
        sink_number(&w->to, reseat_unit_from_mm(values[i], w->columns.unit));
    }
}

static reseat_status correct_row(work *w, const csv_row *row, bool surface)
{
    double values[COLUMNS_MAX], dir_deg = 0;
    reseat_corrected result;
    reseat_status status = columns_numbers(&w->columns, row, values);
    if (status == RESEAT_OK && surface)
        status = csv_number(row, w->columns.fields[DIR], kinds[DIR].name, &dir_deg, w->error);
    if (status != RESEAT_OK)
        return status;
    const reseat_xy reported_mm = {values[X], values[Y]};
    status = surface ? reseat_correct_surface(w->correction, reported_mm, dir_deg, &result)
                     : reseat_correct_point(w->correction, reported_mm, &result);
    if (status == RESEAT_ERR_RANGE)
        return columns_refuse(&w->columns, row, w->columns.fields[KIND], "", status,
                              "the ball has lobes, so that a surface needs one seat to be known, "
                              "not several");
    if (status != RESEAT_OK)
        return columns_refuse(&w->columns, row, w->columns.fields[X], "", status, "%s",
                              reseat_status_text(status));
    w->summary.rows++;
    if (w->correction->datum != RESEAT_DATUM_SAME)
        append(w, row, &result);
    return RESEAT_OK;
}

static bool is_empty(const csv_row *row)
{
    size_t i = 0;
    while (i < row->count && row->fields[i].length == 0)
        i++;
    return i == row->count;
}

static void pass_row(work *w, const csv_row *row)
{
    reseat_correct_summary *s = &w->summary;
    const size_t last = s->passed_ranges - 1;
    s->passed++;
    if (s->passed_ranges > 0 && last < RESEAT_CORRECT_RANGES &&
        s->passed_lines[last].last + 1 == row->line)
        s->passed_lines[last].last = row->line;
    else if (s->passed_ranges++ < RESEAT_CORRECT_RANGES)
        s->passed_lines[last + 1].first = s->passed_lines[last + 1].last = row->line;
}

static reseat_status take_row(work *w, const csv_row *row)
{
    static const csv_field nothing = {"", 0, 0, false};
    const size_t at = w->columns.fields[KIND];
    const csv_field *kind = at < row->count ? &row->fields[at] : &nothing;
    const bool surface = columns_says(kind, "surface");
    if (surface || columns_says(kind, "point"))
        return correct_row(w, row, surface);
    if (!is_empty(row))
        pass_row(w, row);
    return RESEAT_OK;
}

/* Results that were right must not look as if they had been put right. */
static bool is_needed(const reseat_correction *c)
{
    const bool lobes = c->curve && c->curve->order > 0 && fabs(c->turn_deg) > 0;
    return c->datum == RESEAT_DATUM_SAME || reseat_plane_length(c->error_mm) > 0 || lobes;
}

static reseat_status correct_all(work *w, size_t length)
{
    csv_row row;
    reseat_status status = read_header(w, length, &row);
    while (status == RESEAT_OK && columns_more(&w->columns.csv)) {
        status = csv_next(&w->columns.csv, &row, w->error);
        if (status == RESEAT_OK)
            status = take_row(w, &row);
    }
    return status == RESEAT_OK && w->summary.rows == 0
               ? error_set(w->error, RESEAT_ERR_TOO_FEW, 0, "no row of kind point or surface")
               : status;
}

reseat_status reseat_correct_csv(const reseat_correction *correction, const char *text,
                                 size_t length, char *out, size_t size,
                                 reseat_correct_summary *summary, reseat_error *error)
{
    if (!correction || (!text && length > 0) || (!out && size > 0) || !summary)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    if (!is_needed(correction))
        return error_set(error, RESEAT_ERR_REFUSED, 0, "nothing was wrong with these results as "
                         "things stand: there is nothing to put right");
    work w = {.correction = correction, .text = text, .to = sink_start(out, size), .error = error};
    const reseat_status status = correct_all(&w, length);
    if (status != RESEAT_OK)
        return status;
    sink_bytes(&w.to, text + w.copied, length - w.copied);
    w.summary.length = w.to.length;
    *summary = w.summary;
    return RESEAT_OK;
}
