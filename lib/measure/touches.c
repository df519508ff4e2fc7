/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "base/csv.h"
#include "base/text.h"
#include "reseat/touches.h"

static const char *const gauges[] = {"ring", "plug", "sphere", "bore", "boss"};
#define GAUGES (sizeof gauges / sizeof *gauges)

const char *reseat_gauge_kind_name(reseat_gauge_kind kind)
{
    return (size_t)kind < GAUGES ? gauges[kind] : "";
}

reseat_status reseat_gauge_kind_parse(const char *text, size_t length, reseat_gauge_kind *kind,
                                      reseat_error *error)
{
    if (!text || !kind)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const size_t found = word_find(text, length, gauges, GAUGES);
    if (found == GAUGES)
        return error_read(error, 1, "expected ring, plug, sphere, bore or boss", text, length);
    *kind = (reseat_gauge_kind)found;
    return RESEAT_OK;
}

static const struct {
    const char *name;
    const char *meaning;
} assumptions[RESEAT_ASSUMPTION_COUNT] = {
    [RESEAT_ASSUMED_GAUGE_U] = {"gauge_diameter_u", "diameter of the gauge exact"},
    [RESEAT_ASSUMED_TEMPERATURE] = {"temperature", "20 °C, u 0.5 °C"},
    [RESEAT_ASSUMED_EXPANSION] = {"expansion", "expansion 11.5e-6 per kelvin, u 1.15e-6"},
    [RESEAT_ASSUMED_U_TOUCH] = {"u_touch",
                                "scatter of a touch not from these touches: too few"},
    [RESEAT_ASSUMED_MOVEMENT] = {"gauge_movement",
                                 "0.0005 mm for a gauge that may have moved between turns"},
    [RESEAT_ASSUMED_LOBING] = {"lobing", "lobing 0.003 mm, as lobes would show as an offset"},
};

const char *reseat_assumption_name(reseat_assumption assumption)
{
    return (size_t)assumption < RESEAT_ASSUMPTION_COUNT ? assumptions[assumption].name : "";
}

const char *reseat_assumption_meaning(reseat_assumption assumption)
{
    return (size_t)assumption < RESEAT_ASSUMPTION_COUNT ? assumptions[assumption].meaning : "";
}

const char *reseat_advice_text(reseat_advice advice)
{
    static const char *const texts[RESEAT_ADVICE_COUNT] = {
        [RESEAT_ADVICE_TURNS] =
            "touch the gauge again with the spindle turned by 180 degrees: from one turn alone the "
            "offset cannot be told from where the gauge stands",
        [RESEAT_ADVICE_CLOSURE] =
            "touch at 0, 180 and 0 again, to see whether the gauge moved in between",
        [RESEAT_ADVICE_TOUCHES] =
            "take more touches, to judge their scatter and to single out a bad one",
        [RESEAT_ADVICE_DIRECTIONS] =
            "touch from 12 or more directions, all round, so that no lobes stay hidden",
        [RESEAT_ADVICE_REPEATS] =
            "repeat the touches and number the repeats in a column `set`, to learn the "
            "repeatability",
        [RESEAT_ADVICE_OUTLIERS] = "retake the touches named before recording",
        [RESEAT_ADVICE_GAUGE_U] = "give the uncertainty of the gauge's diameter",
        [RESEAT_ADVICE_TEMPERATURE] = "give the gauge's temperature",
    };
    return (size_t)advice < RESEAT_ADVICE_COUNT ? texts[advice] : "";
}

enum { TURN, DIR, X, Y, Z, SET, KINDS };

static const column_kind kinds[KINDS] = {
    [TURN] = {.name = "turn_deg"},
    [DIR] = {.name = "dir_deg"},
    [X] = {.name = "x", .length = true, .required = true},
    [Y] = {.name = "y", .length = true, .required = true},
    [Z] = {.name = "z", .length = true},
    [SET] = {.name = "set"},
};

static const double set_max = 1e6;

static reseat_status take_touch(const columns *c, const csv_row *row, const double *values,
                                void *list, size_t place)
{
    const double set = values[SET];
    if (fabs(set) > set_max || set > floor(set))
        return columns_refuse(c, row, c->fields[SET], "set", RESEAT_ERR_RANGE,
                              "expected a whole number up to a million");
    if (list)
        ((reseat_touch *)list)[place] = (reseat_touch){
            .x_mm = values[X], .y_mm = values[Y], .z_mm = values[Z],
            .turn_deg = values[TURN],
            .dir_deg = values[DIR], .has_dir = columns_has(c, DIR),
            .set = (long)set,
            .line = row->line, .column = row->fields[c->fields[X]].column};
    return RESEAT_OK;
}

reseat_status reseat_touches_read(const char *text, size_t length, reseat_touch *list, size_t room,
                                  reseat_touches *touches, reseat_error *error)
{
    static const columns_table table = {.kinds = kinds, .count = KINDS, .what = "touches",
                                        .least = 1, .most = RESEAT_TOUCHES_MAX,
                                        .take = take_touch};
    if (!text || !list || !touches)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    columns c;
    size_t count = 0;
    const reseat_status status =
        columns_read(text, length, &table, list, room, &c, &count, error);
    if (status == RESEAT_OK)
        *touches = (reseat_touches){.count = count, .unit = c.unit,
                                    .has_turn = columns_has(&c, TURN),
                                    .has_dir = columns_has(&c, DIR),
                                    .has_z = columns_has(&c, Z), .has_set = columns_has(&c, SET)};
    return status;
}
