/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "programs.h"

#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

int run_program(const char *const *argv)
{
    fflush(stdout);
    pid_t child = fork();
    if (child < 0)
        return -1;
    if (child == 0) {
        int nowhere = open("/dev/null", O_WRONLY);
        if (nowhere < 0 || dup2(nowhere, STDOUT_FILENO) < 0)
            _exit(127);
        char *args[16] = { 0 };
        for (size_t i = 0; argv[i] && i + 1 < sizeof args / sizeof args[0]; i++)
            args[i] = strdup(argv[i]); /* exec wants what it promises not to change as not const */
        execv(args[0], args);
        _exit(127);
    }
    int status;
    if (waitpid(child, &status, 0) != child || !WIFEXITED(status))
        return -1;
    return WEXITSTATUS(status);
}

char *path_in(const char *folder, const char *name)
{
    size_t size = strlen(folder) + strlen(name) + 2;
    char *path = malloc(size);
    if (!path) {
        fprintf(stderr, "out of memory\n");
        exit(EXIT_FAILURE);
    }
    snprintf(path, size, "%s/%s", folder, name);
    return path;
}

char *read_file(const char *folder, const char *name, size_t *size)
{
    char *path = path_in(folder, name), *data = NULL;
    FILE *file = fopen(path, "rb");
    free(path);
    if (!file)
        return NULL;
    long length = fseek(file, 0, SEEK_END) == 0 ? ftell(file) : -1;
    if (length >= 0 && fseek(file, 0, SEEK_SET) == 0)
        data = malloc((size_t)length + 1);
    if (data && fread(data, 1, (size_t)length, file) != (size_t)length) {
        free(data);
        data = NULL;
    }
    if (data) {
        *size = (size_t)length;
        data[length] = '\0';
    }
    fclose(file);
    return data;
}

json_t *read_json(const char *folder, const char *name)
{
    json_error_t error;
    char *path = path_in(folder, name);
    json_t *json = json_load_file(path, JSON_REJECT_DUPLICATES, &error);
    if (!json)
        fprintf(stderr, "%s:%d: %s\n", path, error.line, error.text);
    free(path);
    return json;
}

double member_number(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

const char *member_text(const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    return text ? text : "";
}
