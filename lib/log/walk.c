/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/walk.h"

#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/grow.h"

void walk_start(log_walk *walk, log_reader *log)
{
    *walk = (log_walk){.log = log};
}

void walk_end(log_walk *walk)
{
    free(walk->voided);
    *walk = (log_walk){0};
}

bool walk_can_void(reseat_record_type type)
{
    return type == RESEAT_RECORD_RUN || type == RESEAT_RECORD_RESEAT ||
           type == RESEAT_RECORD_EVENT || type == RESEAT_RECORD_VERIFY ||
           type == RESEAT_RECORD_POLICY;
}

static reseat_status add_void(log_walk *walk, int64_t seq, int64_t by)
{
    walk_void *voided = grow(walk->voided, walk->count, &walk->room, sizeof *voided);
    if (voided == NULL)
        return RESEAT_ERR_MEMORY;
    walk->voided = voided;
    voided[walk->count++] = (walk_void){seq, by};
    return RESEAT_OK;
}

/* Which record named a number, -1 if none did; forgets it, as no other record has it. */
static int64_t take_void(log_walk *walk, int64_t seq)
{
    int64_t by = -1;
    for (size_t i = 0; i < walk->count;) {
        if (walk->voided[i].seq == seq) {
            by = walk->voided[i].by;
            walk->voided[i] = walk->voided[--walk->count];
        } else {
            i++;
        }
    }
    return by;
}

/* What a line says that had to be read whole. */
static reseat_status read_step(log_walk *walk, walk_step *step)
{
    reseat_record *record = NULL;
    const reseat_status status = record_parse(step->line.text, (size_t)step->line.length,
                                              &record, &step->why);
    if (status != RESEAT_OK) {
        step->invalid = true;
        return status == RESEAT_ERR_MEMORY ? status : RESEAT_OK;
    }
    step->v = reseat_record_integer(record, RESEAT_FIELD_V, 0);
    step->seq = reseat_record_integer(record, RESEAT_FIELD_SEQ, 0);
    step->type = reseat_record_type_of(record);
    reseat_record_show(record, RESEAT_FIELD_RECORDED_AT, step->recorded_at,
                       sizeof step->recorded_at);
    const int64_t voids = reseat_record_integer(record, RESEAT_FIELD_VOIDS, step->seq);
    reseat_record_free(record);
    return voids < step->seq ? add_void(walk, voids, step->seq) : RESEAT_OK;
}

static reseat_status fill_step(log_walk *walk, walk_step *step)
{
    if (!log_glance(step->line.text, (size_t)step->line.length, &step->seen) ||
        step->seen.type == RESEAT_RECORD_VOID)
        return read_step(walk, step);
    step->v = RESEAT_RECORD_VERSION;
    step->seq = step->seen.seq;
    step->type = step->seen.type;
    step->rest = step->seen.rest;
    memcpy(step->recorded_at, step->seen.recorded_at, GLANCE_TIME);
    step->recorded_at[GLANCE_TIME] = '\0';
    return RESEAT_OK;
}

reseat_status walk_previous(log_walk *walk, walk_step *step, reseat_error *error)
{
    step->v = 0;
    step->seq = -1;
    step->type = RESEAT_RECORD_OTHER;
    step->rest = NULL;
    step->voided_by = -1;
    step->invalid = false;
    if (walk->trusting && walk->log->backward)
        walk->log->backward->trusting = true;
    const reseat_status status = log_previous(walk->log, &step->line, error);
    if (status != RESEAT_OK || step->line.state != RESEAT_LINE_SOUND)
        return status;
    if (fill_step(walk, step) != RESEAT_OK)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (walk_can_void(step->type) && walk->count > 0)
        step->voided_by = take_void(walk, step->seq);
    return RESEAT_OK;
}
