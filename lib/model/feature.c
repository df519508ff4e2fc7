/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "model/feature.h"

#include <math.h>
#include "base/number.h"
#include "base/text.h"
#include "maths/plane.h"

/* Features as people type them, and what is reported of each. */

#define PARTS_MAX 4      /* of a feature, its name included */
#define NAMES_SIZE 128   /* of all kinds, or all quantities of one, separated */
#define PARALLEL_DEG 1.0 /* directions closer than this are one */

/* What each kind is called, the parts behind its name, and what is reported of it. */
typedef struct form {
    const char *name;
    size_t least;      /* parts that must be there, the name included */
    const char *parts; /* s: size, n: touches, d: direction, o: the other direction */
    const char *spelling;
    size_t count;
    reseat_reported reported[5]; /* that which a tolerance judges first */
} form;

static const form forms[] = {
    [RESEAT_FEATURE_SURFACE] = {"surface", 2, "d", "surface:DIR", 1, {RESEAT_REPORTED_POSITION}},
    [RESEAT_FEATURE_SLOT] = {"slot", 3, "sd", "slot:WIDTH:DIR", 2,
                             {RESEAT_REPORTED_CENTRE, RESEAT_REPORTED_WIDTH}},
    [RESEAT_FEATURE_RIDGE] = {"ridge", 3, "sd", "ridge:WIDTH:DIR", 2,
                              {RESEAT_REPORTED_CENTRE, RESEAT_REPORTED_WIDTH}},
    [RESEAT_FEATURE_BORE] = {"bore", 2, "snd", "bore:DIAMETER[:TOUCHES[:START]]", 5,
                             {RESEAT_REPORTED_POSITION, RESEAT_REPORTED_CENTRE_X,
                              RESEAT_REPORTED_CENTRE_Y, RESEAT_REPORTED_CENTRE,
                              RESEAT_REPORTED_DIAMETER}},
    [RESEAT_FEATURE_BOSS] = {"boss", 2, "snd", "boss:DIAMETER[:TOUCHES[:START]]", 5,
                             {RESEAT_REPORTED_POSITION, RESEAT_REPORTED_CENTRE_X,
                              RESEAT_REPORTED_CENTRE_Y, RESEAT_REPORTED_CENTRE,
                              RESEAT_REPORTED_DIAMETER}},
    [RESEAT_FEATURE_CORNER] = {"corner", 3, "do", "corner:DIR1:DIR2", 3,
                               {RESEAT_REPORTED_CORNER, RESEAT_REPORTED_CORNER_X,
                                RESEAT_REPORTED_CORNER_Y}},
    [RESEAT_FEATURE_PAIR] = {"pair", 1, "", "pair", 1, {RESEAT_REPORTED_DISTANCE}},
    [RESEAT_FEATURE_HEIGHT] = {"height", 1, "", "height", 1, {RESEAT_REPORTED_HEIGHT}},
};
#define FORMS (sizeof forms / sizeof *forms)

static const char *const reported_names[RESEAT_REPORTED_COUNT] = {
    [RESEAT_REPORTED_POSITION] = "position", [RESEAT_REPORTED_CENTRE] = "centre",
    [RESEAT_REPORTED_WIDTH] = "width",       [RESEAT_REPORTED_CENTRE_X] = "centre_x",
    [RESEAT_REPORTED_CENTRE_Y] = "centre_y", [RESEAT_REPORTED_DIAMETER] = "diameter",
    [RESEAT_REPORTED_CORNER] = "corner",     [RESEAT_REPORTED_CORNER_X] = "corner_x",
    [RESEAT_REPORTED_CORNER_Y] = "corner_y", [RESEAT_REPORTED_DISTANCE] = "distance",
    [RESEAT_REPORTED_HEIGHT] = "height",
};

const char *reseat_reported_name(reseat_reported quantity)
{
    return (size_t)quantity < RESEAT_REPORTED_COUNT ? reported_names[quantity] : "";
}

const char *reseat_feature_standard(size_t index)
{
    static const char *const standard[RESEAT_FEATURE_STANDARD_COUNT] = {
        "surface:0", "surface:90",  "surface:180", "surface:270", "bore:20mm",
        "slot:20mm:0", "corner:0:90", "pair",        "height"};
    return index < RESEAT_FEATURE_STANDARD_COUNT ? standard[index] : NULL;
}

const reseat_reported *reseat_feature_quantities(reseat_feature_kind kind, size_t *count)
{
    const bool exists = (size_t)kind < FORMS;
    if (count)
        *count = exists ? forms[kind].count : 0;
    return exists ? forms[kind].reported : NULL;
}

bool feature_has(reseat_feature_kind kind, reseat_reported quantity)
{
    size_t count;
    const reseat_reported *list = reseat_feature_quantities(kind, &count);
    for (size_t i = 0; i < count; i++)
        if (list[i] == quantity)
            return true;
    return false;
}

bool feature_is_parallel(double dir_deg, double other_deg)
{
    const double apart_deg = plane_turn_between(dir_deg, other_deg);
    return !(fabs(remainder(apart_deg, 180)) > PARALLEL_DEG);
}

/* A piece of the text that is read, and where it begins in it. */
typedef struct part {
    const char *text;
    size_t length;
    size_t at;
} part;

/* Reading part by part; nothing is read once the status is not RESEAT_OK. */
typedef struct reader {
    reseat_unit unit;
    reseat_error *error;
    reseat_status status;
} reader;

/* What a part was read with; an error found in it is moved to where the part stands. */
static void took(reader *r, part from, reseat_status status)
{
    r->status = status;
    if (status != RESEAT_OK && r->error)
        r->error->column += from.at;
}

static void refuse(reader *r, reseat_status status, part where, const char *expected)
{
    r->status = error_set(r->error, status, where.at + 1, "expected %s, read %s", expected,
                          error_echo(where.text, where.length).text);
}

static void read_angle(reader *r, part from, double *deg)
{
    took(r, from, reseat_number_parse(from.text, from.length, deg, r->error));
}

static void read_size(reader *r, part from, double *mm)
{
    took(r, from, reseat_length_parse(from.text, from.length, r->unit, mm, r->error));
    if (r->status == RESEAT_OK && !(*mm > 0))
        refuse(r, RESEAT_ERR_RANGE, from, "a length above 0");
}

static void read_touches(reader *r, part from, unsigned *touches)
{
    const reseat_status status = count_parse(from.text, from.length, RESEAT_FEATURE_TOUCHES_MIN,
                                             RESEAT_FEATURE_TOUCHES_MAX, touches);
    if (status != RESEAT_OK)
        refuse(r, status, from, "from 3 to 360 touches");
}

/* Parts between colons; how many there are, of which no more than PARTS_MAX are kept. */
static size_t split(part all, part parts[PARTS_MAX])
{
    size_t count = 0, begin = 0;
    for (size_t i = 0; i <= all.length; i++) {
        if (i < all.length && all.text[i] != ':')
            continue;
        if (count < PARTS_MAX)
            parts[count] = (part){all.text + begin, i - begin, all.at + begin};
        count++;
        begin = i + 1;
    }
    return count;
}

/* "a, b or c", by a call for each; the list has NAMES_SIZE bytes. */
static void add_name(char *list, const char *name, size_t index, size_t count)
{
    strcat(list, index == 0 ? "" : index + 1 < count ? ", " : " or ");
    strcat(list, name);
}

/* Which kind the first part names; NULL, with the error set, where there is none. */
static const form *find_form(reader *r, part spec, part name, size_t count)
{
    char names[NAMES_SIZE] = "";
    for (size_t i = 0; i < FORMS; i++) {
        const form *const f = &forms[i];
        add_name(names, f->name, i, FORMS);
        if (!word_is(name.text, name.length, f->name))
            continue;
        if (count >= f->least && count <= 1 + strlen(f->parts))
            return f;
        refuse(r, RESEAT_ERR_SYNTAX, spec, f->spelling);
        return NULL;
    }
    refuse(r, RESEAT_ERR_SYNTAX, name, names);
    return NULL;
}

static void read_part(reader *r, char which, part from, reseat_feature *feature)
{
    switch (which) {
    case 's': read_size(r, from, &feature->size_mm); break;
    case 'n': read_touches(r, from, &feature->touches); break;
    case 'd': read_angle(r, from, &feature->dir_deg); break;
    default: read_angle(r, from, &feature->other_deg);
    }
}

static void read_spec(reader *r, part spec, reseat_feature *feature)
{
    part parts[PARTS_MAX];
    const size_t count = split(spec, parts);
    const form *const found = find_form(r, spec, parts[0], count);
    if (!found)
        return;
    *feature = (reseat_feature){.kind = (reseat_feature_kind)(found - forms),
                                .quantity = found->reported[0], .spec_length = spec.length};
    if (feature_is_round(feature))
        feature->touches = 4;
    for (size_t i = 1; i < count && r->status == RESEAT_OK; i++)
        read_part(r, found->parts[i - 1], parts[i], feature);
    if (r->status == RESEAT_OK && feature->kind == RESEAT_FEATURE_CORNER &&
        feature_is_parallel(feature->dir_deg, feature->other_deg))
        refuse(r, RESEAT_ERR_RANGE, parts[2],
               "a direction more than 1 degree from parallel to the first");
}

/* `T` or `QUANTITY:T` */
static void read_tolerance(reader *r, part from, reseat_feature *feature)
{
    const form *const f = &forms[feature->kind];
    const char *const colon = memchr(from.text, ':', from.length);
    const part name = {from.text, colon ? (size_t)(colon - from.text) : 0, from.at};
    const size_t skip = colon ? name.length + 1 : 0;
    const part size = {from.text + skip, from.length - skip, from.at + skip};
    char names[NAMES_SIZE] = "";
    feature->judged = true;
    for (size_t i = 0; i < f->count; i++) {
        const char *const quantity = reported_names[f->reported[i]];
        add_name(names, quantity, i, f->count);
        if (!colon || word_is(name.text, name.length, quantity)) {
            feature->quantity = f->reported[i];
            read_size(r, size, &feature->tolerance_mm);
            return;
        }
    }
    refuse(r, RESEAT_ERR_SYNTAX, name, names);
}

reseat_status reseat_feature_parse(const char *text, size_t length, reseat_unit unit,
                                   reseat_feature *feature, reseat_error *error)
{
    if (!text || !feature || reseat_unit_name(unit)[0] == '\0')
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const char *const equals = memchr(text, '=', length);
    const size_t spec_length = equals ? (size_t)(equals - text) : length;
    reader r = {unit, error, RESEAT_OK};
    reseat_feature read;
    read_spec(&r, (part){text, spec_length, 0}, &read);
    if (r.status == RESEAT_OK && equals)
        read_tolerance(&r, (part){equals + 1, length - spec_length - 1, spec_length + 1}, &read);
    if (r.status == RESEAT_OK)
        *feature = read;
    return r.status;
}
