/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every allocation of reading a campaign fails once, libyaml's and libcsv's too (both linked statically here, with the
 * linker's --wrap): each time the reader says that memory is out, gives nothing, and leaves nothing allocated. */
#include "folder.h"
#include "tap.h"

#include "campaign/variant_keys.h"

#include <stddef.h>

#define LIVE_MAX 65536

/* Blocks that were allocated through the wrappers and not freed. What the C library allocates by itself (realpath) is
 * not among them; sanitizers look after that. */
static void *live[LIVE_MAX];
static size_t live_count;
static long allocation_count, failing; /* the one that fails, from 1; 0: none */

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void __real_free(void *block);
char *__real_strdup(const char *text);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);
void __wrap_free(void *block);
char *__wrap_strdup(const char *text);

static void *remember(void *block)
{
    if (block && live_count < LIVE_MAX)
        live[live_count++] = block;
    return block;
}

static void forget(const void *block)
{
    for (size_t i = live_count; block && i-- > 0;) {
        if (live[i] == block) {
            live[i] = live[--live_count];
            return;
        }
    }
}

static bool fails(void)
{
    return ++allocation_count == failing;
}

void *__wrap_malloc(size_t size)
{
    return fails() ? NULL : remember(__real_malloc(size));
}

void *__wrap_calloc(size_t count, size_t size)
{
    return fails() ? NULL : remember(__real_calloc(count, size));
}

void *__wrap_realloc(void *block, size_t size)
{
    if (fails())
        return NULL;
    forget(block);
    return remember(__real_realloc(block, size));
}

void __wrap_free(void *block)
{
    forget(block);
    __real_free(block);
}

char *__wrap_strdup(const char *text)
{
    return fails() ? NULL : remember(__real_strdup(text));
}

static bool have_memory_error(const struct err_list *errors)
{
    for (size_t i = 0; i < errors->count; i++)
        if (errors->items[i].kind == ERR_MEMORY)
            return true;
    return errors->dropped > 0;
}

/* Lets each allocation of `read` fail in turn, until it gets to its end without. `wanted` is what it gives then. */
static void check_all(const char *label, bool (*read)(const char *folder, struct err_list *errors), const char *folder,
                      bool wanted)
{
    long bad = 0;
    struct err_list whole = { 0 };
    failing = 0;
    bool is_wanted = read(folder, &whole) == wanted;
    for (failing = 1;; failing++) {
        struct err_list errors = { 0 };
        size_t before = live_count;
        allocation_count = 0;
        bool ok = read(folder, &errors);
        bool is_over = allocation_count < failing;
        /* libcsv grows its buffer by less when memory is short, and goes on; then all must be as if nothing was. */
        bool is_untouched = ok == wanted && errors.count == whole.count;
        bool is_right = live_count == before && (is_untouched || (!is_over && !ok && have_memory_error(&errors)));
        if (!is_right && bad++ == 0)
            printf("# %s: allocation %ld: ok %d, %zu blocks left, %zu messages\n", label, failing, ok,
                   live_count - before, errors.count);
        if (is_over)
            break;
    }
    tap_ok(is_wanted && bad == 0 && failing > 20, "%s: each of %ld allocations failed once", label, failing - 1);
    failing = 0;
}

/* Everything that odd_yaml and odd_log say has arrived. */
static bool campaign_is_whole(const struct campaign *campaign)
{
    const struct run *run = campaign->runs;
    return campaign->title && campaign->date && campaign->folder && campaign->runs_path && campaign->reference == 1 &&
           campaign->compare_point_count == 2 && campaign->microphones[0].background &&
           campaign->microphones[0].calibration.file && campaign->variant_count == 2 && campaign->variants[0].title &&
           campaign->variants[1].bearing_count == 1 && campaign->variants[1].bearings[0].name &&
           campaign->run_count == 2 && run[0].note && strcmp(run[0].note, "a note  of two lines") == 0 &&
           run[0].note_count == 2 && strcmp(run[0].notes[1].value, "dry") == 0 && run[1].note_count == 1 &&
           strcmp(run[1].file, "b.wav") == 0;
}

static bool read_with(const char *folder, bool without_recordings, struct err_list *errors)
{
    struct campaign campaign = { 0 };
    bool ok = campaign_read(folder, without_recordings, &campaign, errors);
    ok = ok && campaign_is_whole(&campaign);
    campaign_clear(&campaign);
    return ok;
}

static bool read_campaign(const char *folder, struct err_list *errors)
{
    return read_with(folder, true, errors);
}

static bool read_with_recordings(const char *folder, struct err_list *errors)
{
    return read_with(folder, false, errors);
}

static bool read_bearings(const char *folder, struct err_list *errors)
{
    (void)folder;
    struct variant variant;
    variant_init(&variant);
    bool ok = variant_add_bearing_text(&variant, "front: {balls: 7, ball_mm: 3.969, pitch_mm: 15}", NULL, errors);
    variant_clear(&variant);
    return ok;
}

static const char odd_yaml[] = "title: t\n"
                               "date: 2026-10-03\n"
                               "runs: runs.csv\n"
                               "reference: b\n"
                               "compare_at: {rpm: [4200, 5400]}\n"
                               "microphones:\n"
                               "  main: {distance_m: 1, background: c.wav, calibration: {file: c.wav, level_db: 94}}\n"
                               "variants:\n"
                               "  a: {blades: 2, title: A}\n"
                               "  b:\n"
                               "    blades: 3\n"
                               "    bearings: {front: {balls: 7, ball_mm: 3.969, pitch_mm: 15}}\n";
static const char odd_log[] = "file;variant;note;Site;Weather\n"
                              "a.wav;a;\"a note\r\nof two lines\";Schilf;dry\n"
                              "b.wav;b;;Schilf;\n";
static const char bad_yaml[] = "titel: t\n"
                               "runs: runs.csv\n"
                               "reference: c\n"
                               "microphones: {main: {distance_m: &d -1, background: ../x}}\n"
                               "variants: {a: {blades: 0}, a: {blades: *d}}\n";
static const char bad_log[] = "file,varient\na.wav,a\na.wav,b\n";
static const char misspelt_log[] = "file,variant\na.wv,a\nsub/d.wav,a\n";

static void write_both(const char *folder, const char *yaml, const char *log)
{
    folder_write(folder, "campaign.yaml", yaml, strlen(yaml));
    folder_write(folder, "runs.csv", log, strlen(log));
}

int main(void)
{
    char folder[64];
    folder_make(folder);
    write_both(folder, odd_yaml, odd_log);
    check_all("a campaign with everything", read_campaign, folder, true);
    check_all("a campaign with its recordings", read_with_recordings, folder, true);
    write_both(folder, odd_yaml, misspelt_log);
    check_all("a campaign with a misspelt recording", read_with_recordings, folder, false);
    write_both(folder, bad_yaml, bad_log);
    check_all("a campaign with mistakes", read_campaign, folder, false);
    check_all("a bearing from text", read_bearings, folder, true);
    folder_remove(folder);
    return tap_done();
}
