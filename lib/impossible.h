/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * impossible(condition): what other code here rules out and what is guarded against all the same,
 * so that a mistake there does no harm. The comment beside it says what rules it out. Tests stop
 * where it comes true, a release goes on to the guard, and a build that measures coverage (tests/
 * coverage.sh) has no such branch, since no test can reach it. The condition has no side effect.
 */
#ifndef RESEAT_IMPOSSIBLE_H
#define RESEAT_IMPOSSIBLE_H

#include <assert.h>
#include <stdbool.h>

#ifdef RESEAT_COVERAGE
#define impossible(condition) (false && (condition))
#else
#define impossible(condition) (assert(!(condition)), (condition))
#endif

#endif
