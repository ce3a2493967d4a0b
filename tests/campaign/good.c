/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A campaign that says everything there is to say, and the shapes in which people and spreadsheets write the same
 * thing. The goals are what the texts say; conversions are named beside their checks. */
#include "folder.h"
#include "tap.h"

#include "base/absent.h"

#include <locale.h>
#include <unistd.h>

static const char whole_yaml[] =
    "\xEF\xBB\xBF# a byte-order mark, a document start and CR LF are fine\r\n"
    "---\r\n"
    "title: \"Quiet rotor: reeds\"   # a colour mark in quotes\r\n"
    "date: 2028-02-29\r\n"
    "runs: ./runs.csv\r\n"
    "reference: slow5\r\n"
    "reference_distance_m: 1.5\r\n"
    "compare_at: {thrust_n: [2, 3.5], tip_speed_m_s: 60}\r\n"
    "mains_hz: 50\r\n"
    "air: {temperature_c: -4.5, humidity_pct: 70, pressure_kpa: 100.9, wind_m_s: 1.2}\r\n"
    "microphones:\r\n"
    "  main:\r\n"
    "    distance_m: 2.0\r\n"
    "    angle_deg: 90\r\n"
    "    height_m: 1.2\r\n"
    "    source_height_m: 1.4\r\n"
    "    background: sub//d.wav\r\n"
    "    meter_class: 2\r\n"
    "    calibration: {file: c.wav, level_db: 94, frequency_hz: 1000, after: ./c.wav}\r\n"
    "  gain: {distance_m: 1, calibration: {full_scale_db: 121.4}, meter_class: none}\r\n"
    "  bare: {distance_m: 1, calibration: {sensitivity_mv_pa: 12.6, full_scale_v: 1.0}}\r\n"
    "variants:\r\n"
    "  stock2: {blades: 2, title: Two-blade, motor: {pwm_hz: 24e3, kv_rpm_v: 920}}\r\n"
    "  slow5:\r\n"
    "    blades: 5\r\n"
    "    rotors: 4\r\n"
    "    struts: 3\r\n"
    "    diameter_mm: 240\r\n"
    "    mains_hz: 60\r\n"
    "    motor: {pole_pairs: 7, slots: 12}\r\n"
    "    drive: {kind: belt, motor_pulley_teeth: 12, rotor_pulley_teeth: 60,\r\n"
    "            belt_teeth: 130}\r\n"
    "    bearings:\r\n"
    "      front: {shaft: rotor, balls: 7, ball_mm: 3.969, pitch_mm: 15.0, contact_deg: 15}\r\n"
    "      rear: {shaft: motor, balls: 8, ball_mm: 2, pitch_mm: 9}\r\n"
    "  geared: {blades: 3, drive: {kind: gear, motor_gear_teeth: 15, rotor_gear_teeth: 45}}\r\n"
    "...\r\n";

static const char whole_log[] =
    "Site;file;variant;microphone;rpm;rpm_tolerance_pct;motor_rpm;throttle_pct;thrust_g;voltage_v;current_a;start_s;"
    "end_s;channel;tach_channel;tach_pulses_per_rev;note\r\n"
    "Schilf, S\xC3\xBC"
    "d;a.wav;slow5;gain;2400;0.5;12000;55;100;14.8;4;1.5;9;2;1;3;\"said \"\"quiet\"\",\r\nthen less\"\r\n"
    ";b.wav;stock2;main;;;;;;;;;;;;;\r\n"
    ";a.wav;geared;bare;;;;;;;;;;;4;;\r\n";

static void check_top(const struct campaign *campaign)
{
    tap_text(campaign->title, "Quiet rotor: reeds", "title");
    tap_text(campaign->date, "2028-02-29", "date");
    tap_ok(campaign->reference == 1, "reference: the second variant");
    tap_near(campaign->reference_distance_m, 1.5, 0, "reference distance");
    tap_ok(campaign->compare_point_count == 3, "three points to compare at");
    tap_ok(campaign->compare_points[1].quantity == OPERATING_THRUST_N &&
               campaign->compare_points[2].quantity == OPERATING_TIP_SPEED_M_S,
           "their quantities");
    tap_near(campaign->compare_points[1].value, 3.5, 0, "the second one");
    tap_near(campaign->compare_points[2].value, 60, 0, "a single value");
    tap_near(campaign->air.temperature_c, -4.5, 0, "temperature");
    tap_near(campaign->air.humidity_pct, 70, 0, "humidity");
    tap_near(campaign->air.pressure_kpa, 100.9, 0, "pressure");
    tap_near(campaign->air.wind_m_s, 1.2, 0, "wind");
}

static void check_microphones(const struct campaign *campaign)
{
    const struct microphone *main_one = &campaign->microphones[0], *gain = &campaign->microphones[1],
                            *bare = &campaign->microphones[2];
    tap_ok(campaign->microphone_count == 3, "three microphones");
    tap_text(main_one->name, "main", "name of the first");
    tap_near(main_one->distance_m, 2, 0, "distance");
    tap_near(main_one->angle_deg, 90, 0, "angle");
    tap_near(main_one->height_m, 1.2, 0, "height");
    tap_near(main_one->source_height_m, 1.4, 0, "source height");
    tap_text(main_one->background, "sub/d.wav", "background, tidied");
    tap_ok(main_one->meter_class == 2 && gain->meter_class == 0 && bare->meter_class == 0,
           "meter classes 2, none, none");
    tap_ok(main_one->calibration.kind == CALIBRATION_RECORDING, "calibrated by a recording");
    tap_text(main_one->calibration.file, "c.wav", "its file");
    tap_text(main_one->calibration.after_file, "c.wav", "the one after");
    tap_near(main_one->calibration.level_db, 94, 0, "its level");
    tap_near(main_one->calibration.frequency_hz, 1000, 0, "its frequency");
    tap_ok(gain->calibration.kind == CALIBRATION_FULL_SCALE, "calibrated by the full scale");
    tap_near(gain->calibration.full_scale_db, 121.4, 0, "its level");
    tap_ok(!is_given(gain->angle_deg) && !gain->background, "what was not said is absent");
    tap_ok(bare->calibration.kind == CALIBRATION_SENSITIVITY, "calibrated by sensitivity");
    tap_near(bare->calibration.sensitivity_mv_pa, 12.6, 0, "mV/Pa");
    tap_near(bare->calibration.full_scale_v, 1, 0, "volts");
    tap_ok(main_one->where.line == 12 && main_one->where.column == 3, "its place: line 12, column 3");
}

static void check_variants(const struct campaign *campaign)
{
    const struct variant *stock = &campaign->variants[0], *slow = &campaign->variants[1],
                         *geared = &campaign->variants[2];
    tap_ok(campaign->variant_count == 3, "three variants");
    tap_text(stock->title, "Two-blade", "title");
    tap_ok(!slow->title, "no title is no title");
    tap_ok(stock->blades == 2 && stock->rotors == 1 && stock->struts == 0, "blades, rotors by default, no struts");
    tap_near(stock->motor_pwm_hz, 24000, 0, "pwm, written 24e3");
    tap_near(stock->motor_kv_rpm_v, 920, 0, "kv");
    tap_near(stock->mains_hz, 50, 0, "mains of the campaign");
    tap_near(slow->mains_hz, 60, 0, "mains of the variant");
    tap_ok(slow->rotors == 4 && slow->struts == 3 && slow->motor_pole_pairs == 7 && slow->motor_slots == 12, "counts");
    tap_ok(slow->drive == DRIVE_BELT && slow->belt_teeth == 130, "a belt of 130 teeth");
    tap_ok(slow->bearing_count == 2 && slow->bearings[1].shaft == SHAFT_MOTOR, "two bearings, one on the motor");
    tap_text(slow->bearings[0].name, "front", "name of the first");
    tap_near(slow->bearings[0].ball_mm, 3.969, 0, "ball");
    tap_near(slow->bearings[0].contact_deg, 15, 0, "contact angle");
    tap_near(slow->bearings[1].contact_deg, 0, 0, "contact angle by default");
    tap_near(variant_drive_ratio(stock), 1, 0, "a direct drive has ratio 1");
    tap_near(variant_drive_ratio(slow), 60.0 / 12, 0, "teeth of the rotor's pulley over the motor's");
    tap_near(variant_drive_ratio(geared), 45.0 / 15, 0, "teeth of the gears");
    /* The rim goes 0.24 m times pi in each of 2400 / 60 turns a second. */
    tap_near(variant_tip_speed_m_s(slow, 2400), 0.24 * 3.14159265358979 * 40, 1e-9, "tip speed");
    tap_ok(!is_given(variant_tip_speed_m_s(stock, 2400)), "no tip speed without a diameter");
    tap_ok(slow->where.line == 24, "the variant's place");
}

static void check_runs(const struct campaign *campaign)
{
    const struct run *full = &campaign->runs[0], *bare = &campaign->runs[1], *third = &campaign->runs[2];
    tap_ok(campaign->run_count == 3, "three runs");
    tap_text(full->file, "a.wav", "file");
    tap_ok(full->variant == 1 && full->microphone == 1, "variant and microphone by index");
    tap_ok(full->row == 2 && bare->row == 4 && third->row == 5, "lines of the log, past a note of two lines");
    tap_near(full->rpm, 2400, 0, "rpm");
    tap_near(full->rpm_tolerance_pct, 0.5, 0, "tolerance");
    tap_near(full->motor_rpm, 12000, 0, "motor rpm");
    tap_near(full->throttle_pct, 55, 0, "throttle");
    tap_near(full->thrust_n, 0.980665, 1e-12, "100 g of thrust, standard gravity 9.80665 m/s2 (CGPM 1901)");
    tap_near(full->power_w, 59.2, 1e-12, "14.8 V times 4 A");
    tap_near(full->start_s, 1.5, 0, "start");
    tap_near(full->end_s, 9, 0, "end");
    tap_ok(full->channel == 1 && full->tach_channel == 0, "channels from 0");
    tap_near(full->tach_pulses_per_rev, 3, 0, "pulses");
    tap_text(full->note, "said \"quiet\",  then less", "a note of two lines becomes one");
    tap_ok(full->note_count == 1, "one unknown column");
    tap_text(full->notes[0].column, "Site", "its name");
    tap_text(full->notes[0].value,
             "Schilf, S\xC3\xBC"
             "d",
             "its value");
    tap_ok(!is_given(bare->rpm) && !is_given(bare->motor_rpm) && !is_given(bare->thrust_n) &&
               !is_given(bare->power_w) && !is_given(bare->start_s) && !is_given(bare->tach_pulses_per_rev) &&
               !bare->note && bare->note_count == 0,
           "what was not logged is absent");
    tap_near(bare->rpm_tolerance_pct, 2, 0, "tolerance by default");
    tap_ok(bare->channel == 0 && bare->tach_channel == -1, "channel by default, no tachometer");
    tap_near(third->tach_pulses_per_rev, 1, 0, "one pulse by default");
}

/* The same two runs, as hands and spreadsheets write them. */
static const struct {
    const char *label, *text;
} shapes[] = {
    { "comma, LF", "file,variant,rpm,note\na.wav,s,4200,x\nsub/d.wav,s,,\n" },
    { "no end of the last line", "file,variant,rpm,note\na.wav,s,4200,x\nsub/d.wav,s,," },
    { "semicolon, CR LF, byte-order mark", "\xEF\xBB\xBF"
                                           "file;variant;rpm;note\r\na.wav;s;4200;x\r\nsub/d.wav;s;;\r\n" },
    { "CR alone", "file,variant,rpm,note\ra.wav,s,4200,x\rsub/d.wav,s,,\r" },
    { "everything in quotes",
      "\"file\",\"variant\",\"rpm\",\"note\"\n\"a.wav\",\"s\",\"4200\",\"x\"\n\"sub/d.wav\",\"s\",\"\",\"\"\n" },
    { "empty rows at the end", "file;variant;rpm;note\r\na.wav;s;4200;x\r\nsub/d.wav;s;;\r\n;;;\r\n;;;\r\n\r\n" },
    { "empty rows and lines between", "\n\nfile,variant,rpm,note\n\na.wav,s,4200,x\n,,,\n  \nsub/d.wav,s,,\n" },
    { "one microphone, named or not", "file,variant,rpm,note,microphone\na.wav,s,4200,x,\nsub/d.wav,s,,,main\n" },
    { "lines without text before a header with semicolons",
      "\r\n  \r\nfile;variant;rpm;note\r\na.wav;s;4200;x\r\nsub/d.wav;s;;\r\n" },
    { "empty columns at the end", "file,variant,rpm,note,,\na.wav,s,4200,x,,\nsub/d.wav,s,,,,\n" },
    { "short rows where the last cells are empty", "file,variant,rpm,note\na.wav,s,4200,x\nsub/d.wav,s\n" },
    { "spaces around the cells", " file , variant , rpm , note \n a.wav , s , 4200 , x \n sub/d.wav , s , , \n" },
    { "columns in another order", "note,rpm,variant,file\nx,4200,s,a.wav\n,,s,sub/d.wav\n" },
    { "a number with sign and exponent", "file,variant,rpm,note\na.wav,s,+4.2e3,x\nsub/d.wav,s,,\n" },
};

static const char small_yaml[] =
    "title: t\nruns: runs.csv\nmicrophones: {main: {distance_m: 1}}\nvariants: {s: {blades: 2}}\n";

static void check_shapes(const char *folder)
{
    folder_write(folder, "campaign.yaml", small_yaml, strlen(small_yaml));
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        struct campaign campaign = { 0 };
        struct err_list errors = { 0 };
        folder_write(folder, "runs.csv", shapes[i].text, strlen(shapes[i].text));
        bool ok = campaign_read(folder, false, &campaign, &errors);
        char *messages = folder_messages(folder, &errors);
        tap_text(messages, "", shapes[i].label);
        ok = ok && campaign.run_count == 2 && strcmp(campaign.runs[0].file, "a.wav") == 0 &&
             campaign.runs[0].rpm == 4200 && campaign.runs[0].note && strcmp(campaign.runs[0].note, "x") == 0 &&
             strcmp(campaign.runs[1].file, "sub/d.wav") == 0 && !is_given(campaign.runs[1].rpm) &&
             !campaign.runs[1].note;
        tap_ok(ok, "%s: the two runs", shapes[i].label);
        free(messages);
        campaign_clear(&campaign);
    }
}

/* Decimal commas between semicolons: point and comma are both decimal markers (22nd CGPM, 2003, Resolution 10). What
 * the cells say follows by hand. */
static const struct {
    const char *text; /* the cells from thrust_n on of two rows */
    double thrust_n[2], voltage_v[2];
} comma_rows[] = {
    { "a.wav;s;12,5;14,8\nb.wav;s;0,25;14,75\n", { 12.5, 0.25 }, { 14.8, 14.75 } },
    { "a.wav;s;12,5;\nb.wav;s;7;15\n", { 12.5, 7 }, { ABSENT, 15 } },
    { "a.wav;s;4,200;14\nb.wav;s;12,500;14,8\n", { 4.2, 12.5 }, { 14, 14.8 } },       /* settled by 14,8 */
    { "a.wav;s;0,200;1,200\nb.wav;s;123,456;\n", { 0.2, 123.456 }, { 1.2, ABSENT } }, /* by 0,200 */
    { "a.wav;s;2,0150;1\nb.wav;s;2,120;1\n", { 2.015, 2.12 }, { 1, 1 } },
    { "a.wav;s;4,200;1\nb.wav;s;4200,000;1\n", { 4.2, 4200 }, { 1, 1 } },
    { "a.wav;s;1,25E+3;\"14,8\"\nb.wav;s;+,5;15,\n", { 1250, 0.5 }, { 14.8, 15 } },
    { "a.wav;s;12.5;14.8\nb.wav;s;1.200;0.5\n", { 12.5, 1.2 }, { 14.8, 0.5 } }, /* points as ever */
    { "a.wav;s;1.200;14\nb.wav;s;4;15\n", { 1.2, 4 }, { 14, 15 } },
};

static bool is_same(double a, double b)
{
    return is_given(a) ? a == b : !is_given(b);
}

static void check_decimal_commas(const char *folder)
{
    folder_write(folder, "campaign.yaml", small_yaml, strlen(small_yaml));
    for (size_t i = 0; i < sizeof comma_rows / sizeof *comma_rows; i++) {
        struct campaign campaign = { 0 };
        struct err_list errors = { 0 };
        struct text log = { 0 };
        text_addf(&log, "file;variant;thrust_n;voltage_v\n%s", comma_rows[i].text);
        folder_write(folder, "runs.csv", log.data, log.length);
        bool ok = campaign_read(folder, false, &campaign, &errors);
        char *messages = folder_messages(folder, &errors);
        tap_ok(messages[0] == '\0', "decimal commas %zu: no mistakes: %s", i + 1, messages);
        for (size_t k = 0; k < 2; k++) {
            const struct run *run = ok ? &campaign.runs[k] : NULL;
            tap_ok(run && is_same(run->thrust_n, comma_rows[i].thrust_n[k]) &&
                       is_same(run->voltage_v, comma_rows[i].voltage_v[k]),
                   "decimal commas %zu, run %zu: %g N, %g V", i + 1, k + 1, run ? run->thrust_n : ABSENT,
                   run ? run->voltage_v : ABSENT);
        }
        free(messages);
        text_clear(&log);
        campaign_clear(&campaign);
    }
}

/* Rows that may share a file. */
static void check_sharing(const char *folder)
{
    static const char *const logs[] = {
        "file,variant,channel\na.wav,s,1\na.wav,s,2\n",
        "file,variant,start_s,end_s\na.wav,s,10,20\na.wav,s,0,10\n",
        "file,variant,start_s,end_s\na.wav,s,10,\na.wav,s,,10\n",
    };
    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        struct campaign campaign = { 0 };
        struct err_list errors = { 0 };
        folder_write(folder, "runs.csv", logs[i], strlen(logs[i]));
        tap_ok(campaign_read(folder, false, &campaign, &errors) && campaign.run_count == 2,
               "rows that share a file but no sound, case %zu", i + 1);
        campaign_clear(&campaign);
    }
}

int main(void)
{
    setlocale(LC_ALL, ""); /* messages are the same in every one */
    char folder[64];
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    folder_make(folder);
    folder_write(folder, "campaign.yaml", whole_yaml, strlen(whole_yaml));
    folder_write(folder, "runs.csv", whole_log, strlen(whole_log));
    bool ok = campaign_read(folder, false, &campaign, &errors);
    char *messages = folder_messages(folder, &errors);
    tap_text(messages, "", "a whole campaign has no mistakes");
    free(messages);
    if (ok) {
        check_top(&campaign);
        check_microphones(&campaign);
        check_variants(&campaign);
        check_runs(&campaign);
        campaign_clear(&campaign);
    }
    tap_ok(!campaign.title && campaign.run_count == 0, "nothing is left after clearing");
    campaign_clear(&campaign);
    check_shapes(folder);
    check_decimal_commas(folder);
    check_sharing(folder);
    folder_remove(folder);
    return tap_done();
}
