/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which probe and tip are meant (handbook section 12). */

#include <stdio.h>
#include <string.h>
#include "error.h"
#include "reseat/text.h"
#include "standing_parts.h"

typedef const char *(*name_of)(const track *t);

static const char *probe_name(const track *t)
{
    return t->probe;
}

static const char *tip_name(const track *t)
{
    return t->tip;
}

/* Whether a track is of the probe; NULL: of any. */
static bool is_of(const track *t, const char *probe)
{
    return !probe || strcmp(t->probe, probe) == 0;
}

/* The different names among the tracks of a probe, parted by commas; how many there are. */
static size_t list_names(const gathering *g, const char *probe, name_of name, char *out,
                         size_t size)
{
    size_t count = 0, used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < g->track_count; i++) {
        bool met = false;
        for (size_t k = 0; k < i && !met; k++)
            met = is_of(g->tracks[k], probe) &&
                  strcmp(name(g->tracks[k]), name(g->tracks[i])) == 0;
        if (met || !is_of(g->tracks[i], probe))
            continue;
        char shown[RESEAT_RECORD_NAME_MAX * 2];
        reseat_text_terminal(name(g->tracks[i]), strlen(name(g->tracks[i])), shown, sizeof shown);
        const int more = snprintf(out + used, size - used, "%s%s", count ? ", " : "", shown);
        used += more > 0 && (size_t)more < size - used ? (size_t)more : 0;
        count++;
    }
    return count;
}

/* Either output may be left out by the caller that only wants to know. */
static track *refuse(reseat_status *out, reseat_error *error, reseat_status status,
                     const char *text, const char *names)
{
    *out = reseat_error_set(error, status, 0, "%s%s", text, names);
    return NULL;
}

static track *choose_tip(const gathering *g, const char *probe, reseat_status *status,
                         reseat_error *error)
{
    char names[160];
    const char *tip = g->query->tip;
    track *only = NULL;
    size_t count = 0;
    for (size_t i = 0; i < g->track_count; i++) {
        track *t = g->tracks[i];
        if (!is_of(t, probe))
            continue;
        if (strcmp(t->tip, tip ? tip : "main") == 0)
            return t;
        only = t;
        count++;
    }
    if (!tip && count == 1)
        return only;
    list_names(g, probe, tip_name, names, sizeof names);
    if (tip)
        return refuse(status, error, RESEAT_ERR_NOT_FOUND,
                      "no run of that tip is on record; tips with runs: ", names);
    return refuse(status, error, RESEAT_ERR_REFUSED,
                  "say which tip with --tip, as several have runs: ", names);
}

track *gathering_choose(const gathering *g, reseat_status *status, reseat_error *error)
{
    char names[160];
    const char *probe = g->query->probe;
    if (g->track_count == 0)
        return refuse(status, error, RESEAT_ERR_NOT_FOUND, "no run is on record for ",
                      g->query->spindle);
    const size_t probes = list_names(g, NULL, probe_name, names, sizeof names);
    if (!probe && probes > 1)
        return refuse(status, error, RESEAT_ERR_REFUSED,
                      "say which probe with --probe, as several have runs: ", names);
    char ignored[8];
    if (probe && list_names(g, probe, probe_name, ignored, sizeof ignored) == 0)
        return refuse(status, error, RESEAT_ERR_NOT_FOUND,
                      "no run of that probe is on record; probes with runs: ", names);
    return choose_tip(g, probe ? probe : g->tracks[0]->probe, status, error);
}
