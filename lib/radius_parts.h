/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What radius.c shares with the correction. */
#ifndef RESEAT_RADIUS_PARTS_H
#define RESEAT_RADIUS_PARTS_H

#include "reseat/radius.h"

/* No turn of up to so many degrees, 0 to 180, changes the radius by more in any direction. */
double reseat_radius_change_within(const reseat_radius_curve *curve, double within_deg);

#endif
