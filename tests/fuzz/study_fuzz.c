/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Any bytes as a file of seatings, and what they come to: finite with RESEAT_OK. */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/touches.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static reseat_seating list[RESEAT_STUDY_MAX];
    size_t count = 0;
    bool readings = false;
    reseat_error error;
    reseat_study s;
    if (size == 0)
        return 0;
    if (reseat_study_read((const char *)data, size, list, RESEAT_STUDY_MAX, &count, &readings,
                          &error) != RESEAT_OK) {
        require(error.text[0] != '\0' && error.column <= size + 1);
        return 0;
    }
    require(count >= 2 && count <= RESEAT_STUDY_MAX);
    if (reseat_study_solve(list, count, readings, &s) != RESEAT_OK)
        return 0;
    require(isfinite(s.u_seat_mm) && s.u_seat_mm >= 0 && s.seats >= 1 && s.seats <= count);
    require(isfinite(s.probe_mm.x + s.probe_mm.y + s.probe_u_mm));
    require(isfinite(s.spindle_mm.x + s.spindle_mm.y + s.spindle_u_mm));
    require(s.has_probe == (s.seats > 1) && !(readings && s.has_spindle));
    return 0;
}
