/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "model/feature.h"

#include <math.h>
#include <string.h>
#include "base/error.h"
#include "base/number.h"
#include "base/text.h"
#include "maths/plane.h"
#include "reseat/probe.h"
#include "reseat/values.h"

/* Features as people type them, and what is reported of each. */

#define PARTS_MAX 4      /* of a feature, its name included */
#define NAMES_SIZE 128   /* of all kinds, or all quantities of one, separated */
#define PARALLEL_DEG 1.0 /* directions closer than this are one */

typedef struct form {
    const char *name;
    reseat_feature_kind kind;
    size_t least, most; /* parts, the name included */
    const char *spelling;
} form;

static const form forms[] = {
    {"surface", RESEAT_FEATURE_SURFACE, 2, 2, "surface:DIR"},
    {"slot", RESEAT_FEATURE_SLOT, 3, 3, "slot:WIDTH:DIR"},
    {"ridge", RESEAT_FEATURE_RIDGE, 3, 3, "ridge:WIDTH:DIR"},
    {"bore", RESEAT_FEATURE_BORE, 2, 4, "bore:DIAMETER[:TOUCHES[:START]]"},
    {"boss", RESEAT_FEATURE_BOSS, 2, 4, "boss:DIAMETER[:TOUCHES[:START]]"},
    {"corner", RESEAT_FEATURE_CORNER, 3, 3, "corner:DIR1:DIR2"},
    {"pair", RESEAT_FEATURE_PAIR, 1, 1, "pair"},
    {"height", RESEAT_FEATURE_HEIGHT, 1, 1, "height"},
};
static const size_t form_count = sizeof forms / sizeof forms[0];

/* A piece of the text that is read, and where it begins in it. */
typedef struct part {
    const char *text;
    size_t length;
    size_t at;
} part;

const char *reseat_reported_name(reseat_reported quantity)
{
    switch (quantity) {
    case RESEAT_REPORTED_POSITION: return "position";
    case RESEAT_REPORTED_CENTRE: return "centre";
    case RESEAT_REPORTED_WIDTH: return "width";
    case RESEAT_REPORTED_CENTRE_X: return "centre_x";
    case RESEAT_REPORTED_CENTRE_Y: return "centre_y";
    case RESEAT_REPORTED_DIAMETER: return "diameter";
    case RESEAT_REPORTED_CORNER: return "corner";
    case RESEAT_REPORTED_CORNER_X: return "corner_x";
    case RESEAT_REPORTED_CORNER_Y: return "corner_y";
    case RESEAT_REPORTED_DISTANCE: return "distance";
    case RESEAT_REPORTED_HEIGHT: return "height";
    }
    return "";
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
    static const reseat_reported surface[] = {RESEAT_REPORTED_POSITION};
    static const reseat_reported between[] = {RESEAT_REPORTED_CENTRE, RESEAT_REPORTED_WIDTH};
    static const reseat_reported round[] = {
        RESEAT_REPORTED_POSITION, RESEAT_REPORTED_CENTRE_X, RESEAT_REPORTED_CENTRE_Y,
        RESEAT_REPORTED_CENTRE, RESEAT_REPORTED_DIAMETER};
    static const reseat_reported corner[] = {RESEAT_REPORTED_CORNER, RESEAT_REPORTED_CORNER_X,
                                             RESEAT_REPORTED_CORNER_Y};
    static const reseat_reported pair[] = {RESEAT_REPORTED_DISTANCE};
    static const reseat_reported height[] = {RESEAT_REPORTED_HEIGHT};
    size_t n = 1;
    const reseat_reported *list = NULL;
    switch (kind) {
    case RESEAT_FEATURE_SURFACE: list = surface; break;
    case RESEAT_FEATURE_SLOT:
    case RESEAT_FEATURE_RIDGE: list = between, n = sizeof between / sizeof *between; break;
    case RESEAT_FEATURE_BORE:
    case RESEAT_FEATURE_BOSS: list = round, n = sizeof round / sizeof *round; break;
    case RESEAT_FEATURE_CORNER: list = corner, n = sizeof corner / sizeof *corner; break;
    case RESEAT_FEATURE_PAIR: list = pair; break;
    case RESEAT_FEATURE_HEIGHT: list = height; break;
    }
    if (count)
        *count = list ? n : 0;
    return list;
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

/* Moves an error found in a part to where that part stands. */
static reseat_status moved(reseat_status status, const part *where, reseat_error *error)
{
    if (status != RESEAT_OK && error)
        error->column += where->at;
    return status;
}

static reseat_status refuse(reseat_status status, const part *where, const char *expected,
                            reseat_error *error)
{
    return error_set(error, status, where->at + 1, "expected %s, read %s", expected,
                     error_echo(where->text, where->length).text);
}

static reseat_status read_angle(const part *from, double *deg, reseat_error *error)
{
    return moved(reseat_number_parse(from->text, from->length, deg, error), from, error);
}

static reseat_status read_size(const part *from, reseat_unit unit, double *mm,
                               reseat_error *error)
{
    double read = 0;
    const reseat_status status =
        moved(reseat_length_parse(from->text, from->length, unit, &read, error), from, error);
    if (status != RESEAT_OK)
        return status;
    if (!(read > 0))
        return refuse(RESEAT_ERR_RANGE, from, "a length above 0", error);
    *mm = read;
    return RESEAT_OK;
}

static reseat_status read_touches(const part *from, unsigned *touches, reseat_error *error)
{
    const reseat_status status = whole_parse(from->text, from->length, RESEAT_FEATURE_TOUCHES_MIN,
                                             RESEAT_FEATURE_TOUCHES_MAX, touches);
    return status == RESEAT_OK ? status : refuse(status, from, "from 3 to 360 touches", error);
}

/* Parts between colons; how many there are, of which no more than PARTS_MAX are kept. */
static size_t split(const part *whole, part parts[PARTS_MAX])
{
    size_t count = 0, begin = 0;
    for (size_t i = 0; i <= whole->length; i++) {
        if (i < whole->length && whole->text[i] != ':')
            continue;
        if (count < PARTS_MAX)
            parts[count] = (part){whole->text + begin, i - begin, whole->at + begin};
        count++;
        begin = i + 1;
    }
    return count;
}

static bool is_word(const part *from, const char *word)
{
    return word_is(from->text, from->length, word);
}

/* "a, b or c", by a call for each; the list has NAMES_SIZE bytes. */
static void add_name(char *list, const char *name, size_t index, size_t count)
{
    strcat(list, index == 0 ? "" : index + 1 < count ? ", " : " or ");
    strcat(list, name);
}

static reseat_status find_form(const part *whole, part parts[PARTS_MAX], size_t *count,
                               const form **found, reseat_error *error)
{
    char names[NAMES_SIZE] = "";
    *count = split(whole, parts);
    for (size_t i = 0; i < form_count; i++) {
        if (!is_word(&parts[0], forms[i].name))
            continue;
        if (*count < forms[i].least || *count > forms[i].most)
            return refuse(RESEAT_ERR_SYNTAX, whole, forms[i].spelling, error);
        *found = &forms[i];
        return RESEAT_OK;
    }
    for (size_t i = 0; i < form_count; i++)
        add_name(names, forms[i].name, i, form_count);
    return refuse(RESEAT_ERR_SYNTAX, &parts[0], names, error);
}

static reseat_status read_round(const part *parts, size_t count, reseat_unit unit,
                                reseat_feature *feature, reseat_error *error)
{
    feature->touches = 4;
    reseat_status status = read_size(&parts[1], unit, &feature->size_mm, error);
    if (status == RESEAT_OK && count > 2)
        status = read_touches(&parts[2], &feature->touches, error);
    if (status == RESEAT_OK && count > 3)
        status = read_angle(&parts[3], &feature->dir_deg, error);
    return status;
}

static reseat_status read_corner(const part *parts, reseat_feature *feature, reseat_error *error)
{
    reseat_status status = read_angle(&parts[1], &feature->dir_deg, error);
    if (status == RESEAT_OK)
        status = read_angle(&parts[2], &feature->other_deg, error);
    if (status == RESEAT_OK && feature_is_parallel(feature->dir_deg, feature->other_deg))
        status = refuse(RESEAT_ERR_RANGE, &parts[2],
                        "a direction more than 1 degree from parallel to the first", error);
    return status;
}

static reseat_status read_parts(const part *parts, size_t count, reseat_unit unit,
                                reseat_feature *feature, reseat_error *error)
{
    reseat_status status = RESEAT_OK;
    switch (feature->kind) {
    case RESEAT_FEATURE_SURFACE:
        return read_angle(&parts[1], &feature->dir_deg, error);
    case RESEAT_FEATURE_SLOT:
    case RESEAT_FEATURE_RIDGE:
        status = read_size(&parts[1], unit, &feature->size_mm, error);
        return status == RESEAT_OK ? read_angle(&parts[2], &feature->dir_deg, error) : status;
    case RESEAT_FEATURE_BORE:
    case RESEAT_FEATURE_BOSS:
        return read_round(parts, count, unit, feature, error);
    case RESEAT_FEATURE_CORNER:
        return read_corner(parts, feature, error);
    case RESEAT_FEATURE_PAIR:
    case RESEAT_FEATURE_HEIGHT:
        break;
    }
    return status;
}

/* `T` or `QUANTITY:T` */
static reseat_status read_tolerance(const part *from, reseat_unit unit, reseat_feature *feature,
                                    reseat_error *error)
{
    size_t count;
    const reseat_reported *list = reseat_feature_quantities(feature->kind, &count);
    const char *const colon = memchr(from->text, ':', from->length);
    const size_t name_length = colon ? (size_t)(colon - from->text) : 0;
    const size_t skip = colon ? name_length + 1 : 0;
    const part name = {from->text, name_length, from->at};
    const part size = {from->text + skip, from->length - skip, from->at + skip};
    feature->judged = true;
    for (size_t i = 0; i < count; i++) {
        if (!colon || is_word(&name, reseat_reported_name(list[i]))) {
            feature->quantity = list[i];
            return read_size(&size, unit, &feature->tolerance_mm, error);
        }
    }
    char names[NAMES_SIZE] = "";
    for (size_t i = 0; i < count; i++)
        add_name(names, reseat_reported_name(list[i]), i, count);
    return refuse(RESEAT_ERR_SYNTAX, &name, names, error);
}

reseat_status reseat_feature_parse(const char *text, size_t length, reseat_unit unit,
                                   reseat_feature *feature, reseat_error *error)
{
    if (!text || !feature || reseat_unit_name(unit)[0] == '\0')
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const char *const equals = memchr(text, '=', length);
    const size_t spec_length = equals ? (size_t)(equals - text) : length;
    const part spec = {text, spec_length, 0};
    part parts[PARTS_MAX];
    size_t count = 0;
    const form *found = NULL;
    reseat_status status = find_form(&spec, parts, &count, &found, error);
    if (!found)
        return status;

    reseat_feature read = {.kind = found->kind, .spec_length = spec_length};
    read.quantity = reseat_feature_quantities(read.kind, NULL)[0];
    status = read_parts(parts, count, unit, &read, error);
    if (status == RESEAT_OK && equals) {
        const part tolerance = {equals + 1, length - spec_length - 1, spec_length + 1};
        status = read_tolerance(&tolerance, unit, &read, error);
    }
    if (status == RESEAT_OK)
        *feature = read;
    return status;
}
