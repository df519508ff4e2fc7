/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/error.h"
#include "base/text.h"
#include "reseat/touches.h"

static const char *const kinds[] = {"ring", "plug", "sphere"};
#define KINDS (sizeof kinds / sizeof *kinds)

const char *reseat_gauge_kind_name(reseat_gauge_kind kind)
{
    return (size_t)kind < KINDS ? kinds[kind] : "";
}

reseat_status reseat_gauge_kind_parse(const char *text, size_t length, reseat_gauge_kind *kind,
                                      reseat_error *error)
{
    if (!text || !kind)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const size_t found = word_find(text, length, kinds, KINDS);
    if (found == KINDS)
        return error_read(error, 1, "expected ring, plug or sphere", text, length);
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
        [RESEAT_ADVICE_OUTLIERS] = "look at the touches named and take them again",
        [RESEAT_ADVICE_GAUGE_U] = "give the uncertainty of the gauge's diameter",
        [RESEAT_ADVICE_TEMPERATURE] = "give the gauge's temperature",
    };
    return (size_t)advice < RESEAT_ADVICE_COUNT ? texts[advice] : "";
}
