/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report.h"

#include "base/absent.h"
#include "report/show.h"
#include "report/sound_words.h"
#include "report/terminal_lines.h"

#include <math.h>
#include <string.h>

/* One recording at the bench: what is wrong stands right under the name, then what is asked first; notes come last. */

/* Takes over the line. */
static void add_line(struct text *line, struct text *out)
{
    if (line->data)
        terminal_wrapped(out, line->data);
    out->failed = out->failed || line->failed;
    text_clear(line);
}

static void add_findings(const struct run_result *run, enum severity worst, enum severity mildest, struct text *out)
{
    for (int severity = (int)worst; severity >= (int)mildest; severity--)
        for (size_t i = 0; i < run->findings.count; i++) {
            struct text line = { 0 };
            if ((int)run->findings.items[i].severity != severity)
                continue;
            text_addf(&line, "%s: %s", severity_key(run->findings.items[i].severity), run->findings.items[i].text);
            add_line(&line, out);
        }
}

static void add_levels(const struct run_result *run, struct text *out)
{
    const struct levels *levels = &run->figures.levels;
    const char *unit = show_run_unit(run);
    if (is_given(run->at_reference.distance_correction_db))
        text_addf(out, "level      LAeq %s%s %s at the reference distance, %s at the microphone\n",
                  run->at_reference.is_upper_bound ? "at most " : "", show(run->at_reference.laeq_db, 1).text, unit,
                  show(levels->laeq_db, 1).text);
    else
        text_addf(out, "level      LAeq %s %s at the microphone (no distance was given)\n",
                  show(levels->laeq_db, 1).text, unit);
    text_addf(out, "           LCeq %s  LZeq %s  LAFmax %s  LAFmin %s  LASmax %s  LCpeak %s\n",
              show(levels->lceq_db, 1).text, show(levels->lzeq_db, 1).text, show(levels->lafmax_db, 1).text,
              show(levels->lafmin_db, 1).text, show(levels->lasmax_db, 1).text, show(levels->lcpeak_db, 1).text);
    text_addf(out, "           LAE %s  LA10 %s  LA50 %s  LA90 %s, all at the microphone\n",
              show(levels->lae_db, 1).text, show(levels->la10_db, 1).text, show(levels->la50_db, 1).text,
              show(levels->la90_db, 1).text);
}

/* "2160.3 ± 0.2 rev/min from sound; logged 2160, −0.01 %; blade tone agrees": with the standard uncertainty. */
static void add_speed(const struct run_result *run, struct text *out)
{
    const struct rotor_figures *rotor = &run->rotor;
    if (!is_given(rotor->rpm_measured)) {
        text_add(out, "speed      not known: the sound shows no blade tones that fit one speed");
        if (is_given(run->rpm_given))
            text_addf(out, "; logged %s rev/min", show_plain(run->rpm_given, 1).text);
        text_add(out, "\n");
        return;
    }
    text_addf(out, "speed      %s", show(rotor->rpm_measured, 1).text);
    if (is_given(rotor->rpm_uncertainty))
        text_addf(out, " \xc2\xb1 %s", show(rotor->rpm_uncertainty, rotor->rpm_uncertainty < 0.095 ? 2 : 1).text);
    text_addf(out, " rev/min from %s%s", strcmp(rotor->rpm_source, "log") == 0 ? "the " : "", rotor->rpm_source);
    if (is_given(run->rpm_given) && strcmp(rotor->rpm_source, "log") != 0)
        text_addf(out, "; logged %s, %s %%", show_plain(run->rpm_given, 1).text,
                  show_signed((run->rpm_given / rotor->rpm_measured - 1) * 100, 2).text);
    if (rotor->blade_passage_count > 0)
        text_addf(out, "; blade tone %s", blade_verdict_key(rotor->blade_passages[0].verdict));
    text_add(out, "\n");
}

static void add_sound(const struct run_result *run, struct text *out)
{
    const struct shares *shares = &run->rotor.shares;
    const struct tonality *tonality = &run->tonality;
    const struct hearing_figures *hearing = &run->figures.hearing;
    if (is_given(shares->blade_pct))
        text_addf(out,
                  "energy     blade tones %s %%, other named %s %%, unexplained %s %%, broadband noise %s %% (A)\n",
                  show(shares->blade_pct, 0).text, show(shares->named_pct, 0).text,
                  show(shares->unexplained_pct, 0).text, show(shares->broadband_pct, 0).text);
    struct text tone = { 0 };
    if (tonality->is_prominent)
        sound_words_tone(run, &tone);
    text_addf(out, "tones      %s is prominent", tone.data ? tone.data : "none");
    if (is_given(tonality->decisive_hz))
        text_addf(out, "; most audible: %s, %s dB",
                  tonality->decisive_source[0] ? tonality->decisive_source : "unexplained",
                  show_signed(tonality->audibility_db, 1).text);
    text_add(out, "\n");
    out->failed = out->failed || tone.failed;
    text_clear(&tone);
    if (is_given(hearing->loudness_n5_sone))
        text_addf(out, "loudness   N5 %s sone, sharpness %s acum, roughness %s asper, fluctuation %s vacil\n",
                  show(hearing->loudness_n5_sone, 1).text, show(hearing->sharpness_acum, 2).text,
                  show(hearing->roughness_asper, 2).text, show(hearing->fluctuation_vacil, 3).text);
}

/* "prominent; or motor shaft 1". */
static void add_tone_note(const struct tone *tone, size_t columns, struct text *out)
{
    struct text note = { 0 };
    text_add(&note, tone->is_prominent ? "prominent" : "");
    for (size_t i = 0; i < tone->alternative_count; i++)
        text_addf(&note, "%s %s", i > 0 ? "," : tone->is_prominent ? "; or" : "or", tone->alternatives[i]);
    terminal_last(out, note.data ? note.data : "", columns);
    out->failed = out->failed || note.failed;
    text_clear(&note);
}

static void add_tones(const struct run_result *run, struct text *out)
{
    static const char *const names[] = { "Hz", "source", "level", "above noise", "order", "" };
    static const size_t columns[] = { 9, 22, 7, 11, 7, 28 };
    if (run->rotor.tone_count > 0)
        terminal_heading(out, names, columns, 6);
    for (size_t i = 0; i < run->rotor.tone_count; i++) {
        const struct tone *tone = &run->rotor.tones[i];
        terminal_cell(out, show_hz(tone->hz).text, columns[0], false);
        terminal_cell(out, tone->source, columns[1], false);
        terminal_cell(out, show(tone->level_db, 1).text, columns[2], true);
        terminal_cell(out, show(tone->above_noise_db, 1).text, columns[3], true);
        terminal_cell(out, show(tone->shaft_order, 2).text, columns[4], true);
        add_tone_note(tone, columns[5], out);
    }
}

/* Without what it is told from: "(told from 5 %)" goes, "(outer race, due at 87 Hz; told from 9 dB)" is cut short. */
static void add_without_basis(const char *remark, struct text *out)
{
    static const char basis[] = " (told from";
    for (const char *at = remark, *end; *at; at = end) {
        size_t length = strcspn(at, "(");
        end = strchr(at + length, ')');
        if (!at[length] || !end) {
            text_add(out, at);
            return;
        }
        bool is_basis = length > 0 && strncmp(at + length - 1, basis, sizeof basis - 1) == 0;
        const char *told = strstr(at + length, "told from");
        const char *stop = told && told < end ? ";)" : ")"; /* brackets that say nothing of the kind stay whole */
        size_t kept = is_basis ? length - 1 : length + strcspn(at + length, stop);
        text_addf(out, "%.*s%s", (int)kept, at, is_basis ? "" : ")");
        end++;
    }
}

/* What the tones say about the machine. */
static void add_machine(const struct run_result *run, struct text *out)
{
    for (size_t i = 0; i < run->rotor.remark_count; i++) {
        struct text line = { 0 };
        text_add(&line, "machine: ");
        add_without_basis(run->rotor.remarks[i], &line);
        add_line(&line, out);
    }
}

static void add_one_run(const struct run_result *run, struct text *out)
{
    struct text title = { 0 };
    text_addf(&title, "%s: %s", run->file, severity_verdict(run_result_verdict(run)));
    add_line(&title, out);
    if (run->error[0]) {
        terminal_wrapped(out, run->error);
        return;
    }
    add_findings(run, SEVERITY_UNUSABLE, SEVERITY_DOUBTFUL, out);
    add_levels(run, out);
    add_speed(run, out);
    add_sound(run, out);
    struct text used = { 0 };
    text_addf(&used, "used %s to %s s of %s s (%s)", show(run->used_start_s, 2).text, show(run->used_end_s, 2).text,
              show(run->duration_s, 2).text, run->used_reason);
    add_line(&used, out);
    add_tones(run, out);
    add_machine(run, out);
    add_findings(run, SEVERITY_NOTE, SEVERITY_NOTE, out);
}

void report_terminal_runs(const struct run_result *runs, size_t run_count, struct text *out)
{
    for (size_t i = 0; i < run_count; i++) {
        text_add(out, i > 0 ? "\n" : "");
        add_one_run(&runs[i], out);
    }
}
