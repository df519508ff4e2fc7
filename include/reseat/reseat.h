/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * All of reseat. Lengths are mm and angles degrees unless a name says otherwise; the headers are
 * listed from the ground up, each using only those above it.
 */
#ifndef RESEAT_RESEAT_H
#define RESEAT_RESEAT_H

#include "reseat/status.h"
#include "reseat/number.h"
#include "reseat/text.h"
#include "reseat/time.h"
#include "reseat/csv.h"
#include "reseat/plane.h"
#include "reseat/units.h"
#include "reseat/statistics.h"
#include "reseat/fit.h"
#include "reseat/chance.h"
#include "reseat/seat.h"
#include "reseat/radius.h"
#include "reseat/touches.h"
#include "reseat/reduce.h"
#include "reseat/study.h"
#include "reseat/estimate.h"
#include "reseat/find_seat.h"
#include "reseat/correct.h"
#include "reseat/record.h"
#include "reseat/log.h"
#include "reseat/drift.h"
#include "reseat/gather.h"
#include "reseat/verdict.h"
#include "reseat/feature.h"
#include "reseat/standing.h"
#include "reseat/suspect.h"
#include "reseat/due.h"
#include "reseat/outlook.h"

#endif
