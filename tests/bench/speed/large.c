/* SPDX-License-Identifier: GPL-3.0-or-later */
/* RF64 of more than 4 GiB, 32-bit float stereo at 192 kHz: two seconds of sound over and over, all of it written and
 * all of it measured, with hearing. Memory is what counts. */
#define _GNU_SOURCE
#include "speed.h"

#include "base/units.h"

#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/statvfs.h>
#include <unistd.h>

#define RATE_HZ 192000
#define FRAME_BYTES 8
#define MINUTES 47
#define FRAMES ((uint64_t)MINUTES * 60 * RATE_HZ)
#define HEAD_BYTES 80
#define SOUND_S 2 /* an even number of turns */
#define SPARE 1.1 /* of the file's size, to be free on the disk */

static void put(unsigned char **at, uint64_t value, int size)
{
    for (int i = 0; i < size; i++)
        *(*at)++ = (unsigned char)(value >> (8 * i));
}

static void put_name(unsigned char **at, const char *name)
{
    memcpy(*at, name, 4);
    *at += 4;
}

/* EBU Tech 3306: ds64 holds the sizes that the 32 bits of RIFF can't. */
static void make_head(unsigned char head[HEAD_BYTES])
{
    unsigned char *at = head;
    put_name(&at, "RF64");
    put(&at, 0xffffffff, 4);
    put_name(&at, "WAVE");
    put_name(&at, "ds64");
    put(&at, 28, 4);
    put(&at, HEAD_BYTES - 8 + FRAMES * FRAME_BYTES, 8);
    put(&at, FRAMES * FRAME_BYTES, 8);
    put(&at, FRAMES, 8);
    put(&at, 0, 4);
    put_name(&at, "fmt ");
    put(&at, 16, 4);
    put(&at, 3, 2); /* IEEE float */
    put(&at, 2, 2);
    put(&at, RATE_HZ, 4);
    put(&at, RATE_HZ * FRAME_BYTES, 4);
    put(&at, FRAME_BYTES, 2);
    put(&at, 32, 2);
    put_name(&at, "data");
    put(&at, 0xffffffff, 4);
}

static bool make_file(const char *path)
{
    static float sound[SOUND_S * RATE_HZ][2];
    unsigned char head[HEAD_BYTES];
    uint64_t state = 88172645463325252u;
    for (int n = 0; n < SOUND_S * RATE_HZ; n++) {
        double phase = 2 * PI * 140 * n / RATE_HZ;
        sound[n][0] = sound[n][1] = (float)(0.05 * sin(phase) + 0.02 * sin(2 * phase) + 0.004 * uniform(&state));
    }
    int file = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (file < 0)
        return false;
    make_head(head);
    bool ok = write(file, head, sizeof head) == (ssize_t)sizeof head;
    for (int second = 0; second < MINUTES * 60 && ok; second += SOUND_S)
        ok = write(file, sound, sizeof sound) == (ssize_t)sizeof sound;
    return close(file) == 0 && ok;
}

static bool has_room(const char *folder)
{
    struct statvfs disk;
    return statvfs(folder, &disk) == 0 &&
           (double)disk.f_bavail * (double)disk.f_frsize > SPARE * (double)(FRAMES * FRAME_BYTES);
}

void large_file(struct bench *bench)
{
    char path[128], what[128];
    snprintf(path, sizeof path, "%s/large.wav", bench->folder);
    snprintf(what, sizeof what,
             "peak memory, %d min of RF64, 192 kHz float stereo, %.2f GiB, all measured, with hearing", MINUTES,
             (double)(FRAMES * FRAME_BYTES) / (1 << 30));
    if (!has_room(bench->folder)) {
        row(bench, what, NULL, true, "not run: no room for it on the disk");
        return;
    }
    const char *argv[] = { bench->thrum,      "measure", path,    "-q",   "-j",        "1",
                           "--blades",        "2",       "--rpm", "4200", "--start-s", "0",
                           "--full-scale-db", "114",     NULL };
    bool is_made = make_file(path);
    struct cost cost = is_made ? run(argv) : (struct cost){ .ok = false };
    row(bench, what, "at most 40 MiB", cost.ok && cost.memory_mib <= 40, "%.1f MiB (%.0f s)", cost.memory_mib,
        cost.cpu_s);
    unlink(path);
}
