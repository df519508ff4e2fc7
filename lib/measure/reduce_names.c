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
    if (text == NULL || kind == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    for (size_t i = 0; i < KINDS; i++) {
        if (word_is(text, length, kinds[i])) {
            *kind = (reseat_gauge_kind)i;
            return RESEAT_OK;
        }
    }
    return error_set(error, RESEAT_ERR_SYNTAX, 1, "expected ring, plug or sphere, read %s",
                     error_echo(text, length).text);
}

const char *reseat_assumption_name(reseat_assumption assumption)
{
    switch (assumption) {
    case RESEAT_ASSUMED_GAUGE_U: return "gauge_diameter_u";
    case RESEAT_ASSUMED_TEMPERATURE: return "temperature";
    case RESEAT_ASSUMED_EXPANSION: return "expansion";
    case RESEAT_ASSUMED_U_TOUCH: return "u_touch";
    case RESEAT_ASSUMED_MOVEMENT: return "gauge_movement";
    }
    return "";
}

const char *reseat_assumption_meaning(reseat_assumption assumption)
{
    switch (assumption) {
    case RESEAT_ASSUMED_GAUGE_U: return "diameter of the gauge exact";
    case RESEAT_ASSUMED_TEMPERATURE: return "20 °C, u 0.5 °C";
    case RESEAT_ASSUMED_EXPANSION: return "expansion 11.5e-6 per kelvin, u 1.15e-6";
    case RESEAT_ASSUMED_U_TOUCH: return "scatter of a touch not from these touches: too few";
    case RESEAT_ASSUMED_MOVEMENT: return "0.0005 mm for a gauge that may have moved between turns";
    }
    return "";
}

const char *reseat_advice_text(reseat_advice advice)
{
    switch (advice) {
    case RESEAT_ADVICE_TURNS:
        return "touch the gauge again with the spindle turned by 180 degrees: from one turn alone "
               "the offset cannot be told from where the gauge stands";
    case RESEAT_ADVICE_CLOSURE:
        return "touch at 0, 180 and 0 again, to see whether the gauge moved in between";
    case RESEAT_ADVICE_TOUCHES:
        return "take more touches, to judge their scatter and to single out a bad one";
    case RESEAT_ADVICE_DIRECTIONS:
        return "touch from 12 or more directions, all round, so that no lobes stay hidden";
    case RESEAT_ADVICE_REPEATS:
        return "repeat the touches and number the repeats in a column `set`, to learn the "
               "repeatability";
    case RESEAT_ADVICE_OUTLIERS:
        return "look at the touches named and take them again";
    case RESEAT_ADVICE_GAUGE_U:
        return "give the uncertainty of the gauge's diameter";
    case RESEAT_ADVICE_TEMPERATURE:
        return "give the gauge's temperature";
    }
    return "";
}
