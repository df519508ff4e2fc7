/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "json.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <cjson/cJSON.h>
#include "error.h"

static json_kind kind_of(const cJSON *node)
{
    if (cJSON_IsNumber(node))
        return JSON_NUMBER;
    if (cJSON_IsString(node))
        return JSON_TEXT;
    if (cJSON_IsArray(node))
        return JSON_ARRAY;
    if (cJSON_IsObject(node))
        return JSON_OBJECT;
    return cJSON_IsNull(node) ? JSON_NULL : JSON_BOOL;
}

static bool show(const cJSON *node, json_value *value)
{
    if (node == NULL)
        return false;
    *value = (json_value){kind_of(node), node->string, node->valuedouble, node->valuestring, node};
    return true;
}

bool json_first(const json_object *object, json_value *value)
{
    return show(((const cJSON *)(const void *)object)->child, value);
}

bool json_next(json_value *value)
{
    return show(((const cJSON *)value->node)->next, value);
}

bool json_first_within(const json_value *container, json_value *value)
{
    assert(container->kind == JSON_ARRAY || container->kind == JSON_OBJECT);
    return show(((const cJSON *)container->node)->child, value);
}

void json_free(json_object *object)
{
    cJSON_Delete((cJSON *)(void *)object);
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* A name that stands twice among many, or NULL; sorted, as comparing all pairs would take long. */
static reseat_status find_twice_sorted(const cJSON *object, size_t count, const char **twice)
{
    const char **names = malloc(count * sizeof *names);
    if (names == NULL)
        return RESEAT_ERR_MEMORY;
    size_t filled = 0;
    for (const cJSON *node = object->child; node != NULL; node = node->next)
        names[filled++] = node->string;
    qsort(names, count, sizeof *names, compare_names);
    for (size_t i = 1; i < count && *twice == NULL; i++)
        if (strcmp(names[i - 1], names[i]) == 0)
            *twice = names[i];
    free(names);
    return RESEAT_OK;
}

static reseat_status find_twice(const cJSON *object, const char **twice)
{
    size_t count = 0;
    for (const cJSON *node = object->child; node != NULL; node = node->next)
        count++;
    if (count > 64)
        return find_twice_sorted(object, count, twice);
    for (const cJSON *a = object->child; a != NULL; a = a->next)
        for (const cJSON *b = object->child; b != a; b = b->next)
            if (strcmp(a->string, b->string) == 0)
                *twice = a->string;
    return RESEAT_OK;
}

/* Keys and numbers of a value and all within it; at most JSON_DEPTH_MAX deep. */
static reseat_status check_tree(const cJSON *value, reseat_error *error)
{
    const char *twice = NULL;
    if (cJSON_IsNumber(value) && !isfinite(value->valuedouble))
        return reseat_error_set(error, RESEAT_ERR_NOT_FINITE, 0, "a number is too large");
    if (cJSON_IsObject(value) && find_twice(value, &twice) != RESEAT_OK)
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    if (twice != NULL)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "the key %s stands twice",
                                reseat_error_echo(twice, strlen(twice)).text);
    for (const cJSON *node = value->child; node != NULL; node = node->next) {
        const reseat_status status = check_tree(node, error);
        if (status != RESEAT_OK)
            return status;
    }
    return RESEAT_OK;
}

reseat_status json_read(const char *text, size_t length, json_object **object, reseat_error *error)
{
    size_t wrong = 0;
    const char *what = json_guard(text, length, &wrong);
    if (what != NULL)
        return reseat_error_set(error, RESEAT_ERR_SYNTAX, wrong + 1, "%s", what);
    cJSON *tree = cJSON_ParseWithLengthOpts(text, length, NULL, false);
    if (tree == NULL)
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    const reseat_status status = check_tree(tree, error);
    if (status != RESEAT_OK) {
        cJSON_Delete(tree);
        return status;
    }
    *object = (json_object *)(void *)tree;
    return RESEAT_OK;
}
