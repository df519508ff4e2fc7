/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_CLI_CAUTIONS_H
#define RESEAT_CLI_CAUTIONS_H

/* What help, manual and pages warn of, one a text, NULL last; lines are broken for a screen. */
const char *const *cautions(void);

#endif
