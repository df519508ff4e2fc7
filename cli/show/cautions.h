/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What is warned of, in English. */
#ifndef RESEAT_CLI_CAUTIONS_H
#define RESEAT_CLI_CAUTIONS_H

const char *caution_sentence(void); /* every screen with a verdict has it */

/* What help, manual and pages warn of, one a text, NULL last; lines are broken for a screen. */
const char *const *cautions(void);

#endif
