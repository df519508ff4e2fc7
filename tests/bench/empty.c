/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The least a program linked to the library can do: what starting one costs. */

#include "reseat/reseat.h"

int main(void)
{
    return reseat_version()[0] == '\0';
}
