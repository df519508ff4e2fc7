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

/* Whether the name of track i is also that of the one before it: tracks stand by their names. */
static bool is_met(const gathering *g, name_of name, size_t i)
{
    return name == probe_name && i > 0 &&
           strcmp(name(g->tracks[i - 1]), name(g->tracks[i])) == 0;
}

/* Writes the names of the tracks of a probe, parted by commas, as many as there is room for. */
static void list_names(const gathering *g, const char *probe, name_of name, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < g->track_count; i++) {
        char shown[2 * RESEAT_RECORD_NAME_MAX];
        if (!is_of(g->tracks[i], probe) || is_met(g, name, i))
            continue;
        reseat_text_terminal(name(g->tracks[i]), strlen(name(g->tracks[i])), shown, sizeof shown);
        if (used + strlen(shown) + sizeof ", , ..." > size) {
            snprintf(out + used, size - used, ", ...");
            return;
        }
        used += (size_t)snprintf(out + used, size - used, "%s%s", used > 0 ? ", " : "", shown);
    }
}

/* Says why there is no choice; the names that there are follow the text. */
static track *refuse(const gathering *g, const char *probe, name_of name, reseat_status status,
                     const char *text, reseat_status *out, reseat_error *error)
{
    char names[200];
    *out = status;
    if (error) {
        list_names(g, probe, name, names, sizeof names);
        (void)reseat_error_set(error, status, 0, "%s: %s", text, names);
    }
    return NULL;
}

static track *choose_tip(const gathering *g, const char *probe, reseat_status *status,
                         reseat_error *error)
{
    const char *tip = g->query->tip;
    track *only = NULL;
    size_t count = 0;
    for (size_t i = 0; i < g->track_count; i++) {
        track *t = g->tracks[i];
        if (strcmp(t->probe, probe) != 0)
            continue;
        if (g->query->any_tip || strcmp(t->tip, tip ? tip : "main") == 0)
            return t;
        only = t;
        count++;
    }
    if (!tip && count == 1)
        return only;
    if (tip)
        return refuse(g, probe, tip_name, RESEAT_ERR_NOT_FOUND,
                      "no run of that tip is on record; tips with runs", status, error);
    return refuse(g, probe, tip_name, RESEAT_ERR_REFUSED,
                  "say which tip with --tip, as several have runs", status, error);
}

static bool has_runs(const gathering *g, const char *probe)
{
    for (size_t i = 0; i < g->track_count; i++)
        if (is_of(g->tracks[i], probe))
            return true;
    return false;
}

bool gathering_has_several(const gathering *g)
{
    return g->track_count > 1 &&
           strcmp(g->tracks[0]->probe, g->tracks[g->track_count - 1]->probe) != 0;
}

track *gathering_choose(const gathering *g, reseat_status *status, reseat_error *error)
{
    const char *probe = g->query->probe;
    if (g->track_count == 0) {
        *status = reseat_error_set(error, RESEAT_ERR_NOT_FOUND, 0, "no run is on record for %s%s",
                                   g->query->spindle, g->query->ahead > 0 ? "" : " by that time");
        return NULL;
    }
    if (!has_runs(g, probe))
        return refuse(g, NULL, probe_name, RESEAT_ERR_NOT_FOUND,
                      "no run of that probe is on record; probes with runs", status, error);
    if (!probe && gathering_has_several(g))
        return refuse(g, NULL, probe_name, RESEAT_ERR_REFUSED,
                      "say which probe with --probe, as several have runs", status, error);
    return choose_tip(g, probe ? probe : g->tracks[0]->probe, status, error);
}
