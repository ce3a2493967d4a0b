/* SPDX-License-Identifier: GPL-3.0-or-later */
/* make-demo FOLDER writes the demo campaign's recordings, its run log and truth.json there; campaign.yaml is written by
 * hand. Made again anywhere, no sample differs by more than one step of 16 bits. */
#include "base/files.h"
#include "base/num.h"
#include "base/text.h"
#include "demo-plan.h"
#include "demo-synth.h"
#include "demo-truth.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static bool write_wav(const char *folder, const char *name, const struct demo_made *made, struct err *err)
{
    char *path = files_join(folder, name);
    if (!path)
        return err_memory(err);
    bool written = demo_write_wav(path, made, err);
    free(path);
    return written;
}

static bool write_text(const char *folder, const char *name, const struct text *text, struct err *err)
{
    char *path = files_join(folder, name);
    if (!path || text->failed) {
        free(path);
        return err_memory(err);
    }
    bool written = files_write(path, text->data, text->length, err);
    free(path);
    return written;
}

static const char *note_of(enum demo_fault fault)
{
    switch (fault) {
    case DEMO_SOUND:
        return "";
    case DEMO_CLIPPED:
        return "recorder beeped and the input knob was touched";
    case DEMO_WRONG_LOG:
        return "speed written down from memory";
    case DEMO_HUM:
        return "neighbour's generator ran";
    }
    return "";
}

/* One row as the user would have written it. */
static void log_run(struct text *log, const struct demo_run *run, const struct demo_made *made)
{
    const struct demo_variant *variant = &demo_variants[run->variant];
    char thrust[32], power[32], start[32] = "", end[32] = "", motor[32] = "";
    num_format(thrust, sizeof thrust, made->thrust_n, 3);
    num_format(power, sizeof power, made->power_w, 1);
    if (run->is_marked) {
        num_format(start, sizeof start, DEMO_START_S, 2);
        num_format(end, sizeof end, DEMO_END_S, 2);
    }
    if (variant->motor_turns_per_turn > 1)
        num_format(motor, sizeof motor, rint(run->true_rpm * variant->motor_turns_per_turn), 0);
    text_addf(log, "%s,%s,%.0f,%s,%s,%s,%s,%s,%s\r\n", run->file, variant->name, run->logged_rpm, motor, thrust, power,
              start, end, note_of(run->fault));
}

static bool make_runs(const char *folder, struct text *log, struct text *truth, struct err *err)
{
    text_add(log, "file,variant,rpm,motor_rpm,thrust_n,power_w,start_s,end_s,note\r\n");
    for (size_t i = 0; i < demo_run_count; i++) {
        struct demo_made made = { 0 };
        bool done = demo_make_run(i, &made, err) && write_wav(folder, demo_runs[i].file, &made, err) &&
                    demo_truth_run(truth, i, &made, err);
        if (done)
            log_run(log, &demo_runs[i], &made);
        demo_made_clear(&made);
        if (!done)
            return false;
    }
    return true;
}

static bool make_calibrators(const char *folder, struct err *err)
{
    bool done = true;
    for (int is_after = 0; is_after < 2 && done; is_after++) {
        struct demo_made made = { 0 };
        done = demo_make_calibrator(is_after, &made, err) &&
               write_wav(folder, is_after ? "calibrator-after.wav" : "calibrator.wav", &made, err);
        demo_made_clear(&made);
    }
    return done;
}

static bool make_all(const char *folder, struct text *log, struct text *truth, struct err *err)
{
    struct demo_made background = { 0 };
    demo_truth_begin(truth);
    bool done = files_make_folder(folder, err) && make_runs(folder, log, truth, err) && make_calibrators(folder, err) &&
                demo_make_background(&background, err) && write_wav(folder, "background.wav", &background, err) &&
                demo_truth_end(truth, &background, err) && write_text(folder, "runs.csv", log, err) &&
                write_text(folder, "truth.json", truth, err);
    demo_made_clear(&background);
    return done;
}

int main(int argc, char **argv)
{
    if (argc != 2) {
        fprintf(stderr, "usage: make-demo FOLDER\n");
        return 2;
    }
    struct text log = { 0 }, truth = { 0 };
    struct err err = { 0 };
    bool done = make_all(argv[1], &log, &truth, &err);
    text_clear(&log);
    text_clear(&truth);
    if (!done) {
        char message[1024];
        err_format(&err, message, sizeof message);
        fprintf(stderr, "make-demo: %s\n", message);
        return EXIT_FAILURE;
    }
    return EXIT_SUCCESS;
}
