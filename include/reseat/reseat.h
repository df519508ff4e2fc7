/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * All of reseat. Lengths are mm and angles degrees unless a name says otherwise; the headers are
 * listed from the ground up, each using only those above it.
 */
#ifndef RESEAT_RESEAT_H
#define RESEAT_RESEAT_H

#include "reseat/status.h"
#include "reseat/values.h"
#include "reseat/seat.h"
#include "reseat/probe.h"
#include "reseat/touches.h"
#include "reseat/rescue.h"
#include "reseat/log.h"
#include "reseat/drift.h"
#include "reseat/history.h"

#endif
