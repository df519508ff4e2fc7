/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What sentences are put together from, beside what reseat/values.h has. */
#ifndef RESEAT_BASE_WORDS_H
#define RESEAT_BASE_WORDS_H

#include "reseat/values.h"

/* A length with + or -, also before zero; and both parts of a pair, "X +0.0120 Y -0.0050". */
reseat_words words_signed(double mm, reseat_unit unit);
reseat_words words_pair(reseat_xy mm, reseat_unit unit);

/* A chance with as many digits as the confidence beside it has. */
reseat_words words_chance_beside(double chance, double confidence);

reseat_words words_date(int64_t at); /* "2026-03-02" */

/* What a noun takes after a count: "" after 1, else "s". */
const char *words_s(uint64_t count);

#endif
