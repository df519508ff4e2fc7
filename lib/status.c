/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/status.h"

const char *reseat_status_text(reseat_status status)
{
    switch (status) {
    case RESEAT_OK: return "done";
    case RESEAT_ERR_ARGUMENT: return "a required argument is missing or does not exist";
    case RESEAT_ERR_NOT_FINITE: return "a number is not finite";
    case RESEAT_ERR_RANGE: return "a number is out of range";
    case RESEAT_ERR_SYNTAX: return "a text is not what was expected";
    case RESEAT_ERR_TOO_FEW: return "fewer data than unknowns";
    case RESEAT_ERR_SINGULAR: return "the data do not determine the result";
    case RESEAT_ERR_NO_CONVERGENCE: return "the iteration did not settle";
    case RESEAT_ERR_SPACE: return "the buffer is too small";
    case RESEAT_ERR_MEMORY: return "out of memory";
    case RESEAT_ERR_IO: return "reading or writing failed";
    case RESEAT_ERR_DAMAGED: return "the log is damaged";
    case RESEAT_ERR_BUSY: return "another writer has the log";
    case RESEAT_ERR_NOT_FOUND: return "nothing on record";
    case RESEAT_ERR_REFUSED: return "a rule of the log forbids it";
    }
    return "unknown status";
}

const char *reseat_version(void)
{
    return RESEAT_VERSION;
}
