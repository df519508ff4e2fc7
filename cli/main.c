/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include "reseat/reseat.h"

int main(void)
{
    puts(reseat_status_text(RESEAT_OK));
    return 0;
}
