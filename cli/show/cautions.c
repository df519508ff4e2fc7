/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "cautions.h"

#include <stddef.h>

const char *caution_sentence(void)
{
    return "an estimate, not a measurement: touch a known gauge before trusting it on a part";
}

const char *const *cautions(void)
{
    static const char *const texts[] = {
        "Stop and lock out the spindle before hands go near it. Follow the machine builder's\n"
        "  procedure for orienting the spindle and for loading the probe.",
        "OK is an estimate from what was recorded, not a measurement. It says nothing of machine\n"
        "  geometry, of temperature, or of probing with the spindle off its stop. Touch a known "
        "gauge\n  before trusting it on a part.",
        "After a collision have probe and spindle checked. The shop's quality procedure and a\n"
        "  qualified person decide.",
        NULL};
    return texts;
}
