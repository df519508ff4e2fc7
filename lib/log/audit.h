/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_AUDIT_H
#define RESEAT_LOG_AUDIT_H

#include "log/files.h"
#include "reseat/log.h"

/* What reseat_log_audit does, through the calls given. */
reseat_status log_audit(const file_calls *calls, const char *dir, const char *name,
                        const reseat_log_mark *mark,
                        void (*found)(void *context, const reseat_log_bad *bad), void *context,
                        reseat_audit *audit, reseat_error *error);

#endif
