/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From a file of touches to what they come to. */
#ifndef RESEAT_CLI_REDUCTION_H
#define RESEAT_CLI_REDUCTION_H

#include "show/failure.h"
#include "show/reduced.h"

/* Reads touches and reduces them, with the gauge that the options describe. */
bool reduction_read(arguments *args, const char *file, reduced *found);

#endif
