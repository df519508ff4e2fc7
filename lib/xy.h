/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Arithmetic of pairs. */
#ifndef RESEAT_XY_H
#define RESEAT_XY_H

#include "reseat/plane.h"

static inline reseat_xy xy_less(reseat_xy a, reseat_xy b)
{
    return (reseat_xy){a.x - b.x, a.y - b.y};
}

#endif
