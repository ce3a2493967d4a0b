/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/template.h"

#include "base/text.h"

static const char *const yaml_pieces[] = {
    "# A campaign: which rotors were recorded, with what, where. Lines that begin with # are comments.\n"
    "# A unit is part of each key's name. Write decimals with a point. What you don't know, leave out.\n"
    "title: Quiet rotor for the reed-bed drone\n"
    "date: 2026-10-03              # year-month-day\n"
    "runs: runs.csv                # the run log: one row for each recording\n"
    "reference: stock2             # the variant that the others are compared with\n"
    "reference_distance_m: 1       # levels are given for this distance\n"
    "# compare_at: {thrust_n: [2, 3.5]}   # or power_w, rpm, tip_speed_m_s, throttle_pct\n"
    "# mains_hz: 50                # to tell hum from tones\n"
    "air: {temperature_c: 14, humidity_pct: 70, pressure_kpa: 100.9, wind_m_s: 1.2}\n"
    "\n"
    "microphones:\n"
    "  main:\n"
    "    distance_m: 1.0           # rotor's hub to microphone, straight\n"
    "    angle_deg: 90             # 0: on the axis, upstream; 90: in the rotor's plane\n"
    "    height_m: 1.2             # above the ground; with the next one the ground's dips are told\n"
    "    source_height_m: 1.2\n"
    "    background: background.wav    # the same place and gain, rotor at rest\n"
    "    meter_class: none         # 1, 2 or none\n"
    "    # One of these three. Without any, only differences at the same gain mean anything:\n"
    "    calibration: {file: calibrator.wav, level_db: 94, frequency_hz: 1000, after: calibrator-after.wav}\n"
    "    # calibration: {full_scale_db: 121.4}                         # level of a full-scale sine\n"
    "    # calibration: {sensitivity_mv_pa: 12.6, full_scale_v: 1.0}   # microphone and recorder\n"
    "\n",
    "variants:\n"
    "  stock2:\n"
    "    title: Two-blade stock\n"
    "    blades: 2\n"
    "    diameter_mm: 229\n"
    "    motor: {pole_pairs: 7, slots: 12}   # pole pairs: half the magnets; also pwm_hz, kv_rpm_v\n"
    "  swept3:\n"
    "    title: Three-blade, swept\n"
    "    blades: 3\n"
    "    diameter_mm: 229\n"
    "    motor: {pole_pairs: 7, slots: 12}\n"
    "  slow5:\n"
    "    title: Five-blade, belt-driven\n"
    "    blades: 5\n"
    "    rotors: 1                 # equal rotors running together\n"
    "    struts: 3                 # arms or vanes in the rotor's stream\n"
    "    diameter_mm: 240\n"
    "    motor: {pole_pairs: 7, slots: 12}\n"
    "    # drive: direct (default), belt or gear ({kind: gear, motor_gear_teeth: 15, rotor_gear_teeth: 45})\n"
    "    drive: {kind: belt, motor_pulley_teeth: 12, rotor_pulley_teeth: 60, belt_teeth: 130}\n"
    "    # bearings:\n"
    "    #   front: {shaft: rotor, balls: 7, ball_mm: 3.969, pitch_mm: 15.0, contact_deg: 0}\n",
    NULL,
};

static const char *const runs_pieces[] = {
    "file,variant,microphone,rpm,thrust_n,power_w,note\n"
    "stock2-4200-a.wav,stock2,main,4200,2.0,21.5,\n"
    "stock2-4200-b.wav,stock2,main,4200,2.0,21.4,repeat\n"
    "stock2-5400-a.wav,stock2,main,5400,3.5,44.0,\n"
    "stock2-5400-b.wav,stock2,main,5400,3.5,44.2,repeat\n"
    "swept3-3900-a.wav,swept3,main,3900,2.0,20.8,\n"
    "swept3-3900-b.wav,swept3,main,3900,2.0,20.9,repeat\n"
    "swept3-5100-a.wav,swept3,main,5100,3.5,43.1,\n"
    "swept3-5100-b.wav,swept3,main,5100,3.5,43.0,repeat\n"
    "slow5-2400-a.wav,slow5,main,2400,2.0,23.0,\n"
    "slow5-2400-b.wav,slow5,main,2400,2.0,23.1,repeat\n"
    "slow5-3150-a.wav,slow5,main,3150,3.5,47.5,\n"
    "slow5-3150-b.wav,slow5,main,3150,3.5,47.3,repeat\n",
    NULL,
};

static const char *const recording_pieces[] = {
    "How to record a campaign\n"
    "\n"
    "Before anything turns\n"
    "- Stay out of the rotor's plane, you and everyone else: a blade that lets go flies there. Put a guard round the "
    "rotor,\n"
    "  start and stop it from a distance, wear eye protection, keep loose clothing and hair away.\n"
    "- Stay below the maker's highest speed; go up in steps; stop at a crack, a new noise or a shaking stand. A rotor "
    "that\n"
    "  looks still under pulsed light may be turning.\n"
    "- Wear ear protection. Harm is held possible from 85 dB(A) over 8 hours, half the time for each 3 dB more (NIOSH, "
    "3 dB\n"
    "  exchange rate), and from peaks of 140 dB(C).\n"
    "- Lithium packs: charge attended, off the charger when full, in a fire-resistant place; none that is swollen, "
    "hot,\n"
    "  dented or smells. Not below 0 or above 40 degrees Celsius.\n"
    "- What is measured here is no legal or certification measurement. Local rules and licensed practice decide where "
    "and\n"
    "  when you may run a rotor or fly.\n"
    "\n",
    "The place\n"
    "- Outdoors far from walls, or a room much larger than the distance to the microphone. Wind below 5 m/s, with a "
    "wind\n"
    "  screen on the microphone; never in the rotor's stream.\n"
    "- Microphone at a distance of at least five rotor diameters where the noise of the place allows, at least one\n"
    "  metre. Measure it: hub to microphone, straight. Write down both heights. Don't move anything between variants: "
    "the\n"
    "  ground's reflection alone can change a tone by several decibels.\n"
    "- Fix the recorder's gain, switch off automatic gain, limiter, low-cut and noise reduction. WAV or FLAC, 48 kHz "
    "and\n"
    "  24 bit where you can. The loudest run should peak 6 to 20 dB below full scale.\n"
    "\n",
    "The order\n"
    "1. Calibrator on the microphone, 15 s. With no calibrator: the same gain for everything, and only differences "
    "count.\n"
    "2. Background, 30 s: everything in place and switched on, the rotor at rest.\n"
    "3. For each variant 3 to 6 speeds, over the thrust that the job needs; at each speed wait until it is steady, "
    "then 10 s\n"
    "   or more. Log speed, thrust, voltage and current as you go; one row in runs.csv for each recording.\n"
    "4. Each point at least twice, and not in a row: go through all speeds, change variant, come back later. Repeats "
    "that\n"
    "   were made minutes apart show how much the day changes the result.\n"
    "5. Background again, then the calibrator again, without touching the gain.\n"
    "\n"
    "Then: thrum check . says which recordings are fit to use, while you can still repeat them.\n",
    NULL,
};

const struct template_file campaign_template[] = {
    { "campaign.yaml", yaml_pieces },
    { "runs.csv", runs_pieces },
    { "RECORDING.txt", recording_pieces },
};
const size_t campaign_template_count = sizeof campaign_template / sizeof *campaign_template;

char *template_text(const struct template_file *file)
{
    struct text text = { 0 };
    for (size_t i = 0; file->pieces[i]; i++)
        text_add(&text, file->pieces[i]);
    if (text.failed)
        text_clear(&text);
    return text.data;
}
