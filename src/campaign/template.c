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
    "    distance_m: 3.0           # rotor's hub to microphone, straight\n"
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

/* A session in the order it is meant to be recorded: all rotors, then back again. */
static const char *const runs_pieces[] = {
    "file,variant,microphone,rpm,thrust_n,voltage_v,current_a,note\n"
    "stock2-3600-1.wav,stock2,main,3600,,,,round 1\n"
    "stock2-4200-1.wav,stock2,main,4200,,,,round 1\n"
    "stock2-4800-1.wav,stock2,main,4800,,,,round 1\n"
    "stock2-5400-1.wav,stock2,main,5400,,,,round 1\n"
    "swept3-3060-1.wav,swept3,main,3060,,,,round 1\n"
    "swept3-3600-1.wav,swept3,main,3600,,,,round 1\n"
    "swept3-4200-1.wav,swept3,main,4200,,,,round 1\n"
    "swept3-4800-1.wav,swept3,main,4800,,,,round 1\n"
    "slow5-1500-1.wav,slow5,main,1500,,,,round 1\n"
    "slow5-1860-1.wav,slow5,main,1860,,,,round 1\n"
    "slow5-2160-1.wav,slow5,main,2160,,,,round 1\n"
    "slow5-2460-1.wav,slow5,main,2460,,,,round 1\n"
    "slow5-2460-2.wav,slow5,main,2460,,,,round 2\n"
    "slow5-2160-2.wav,slow5,main,2160,,,,round 2\n"
    "slow5-1860-2.wav,slow5,main,1860,,,,round 2\n"
    "slow5-1500-2.wav,slow5,main,1500,,,,round 2\n"
    "swept3-4800-2.wav,swept3,main,4800,,,,round 2\n"
    "swept3-4200-2.wav,swept3,main,4200,,,,round 2\n"
    "swept3-3600-2.wav,swept3,main,3600,,,,round 2\n"
    "swept3-3060-2.wav,swept3,main,3060,,,,round 2\n"
    "stock2-5400-2.wav,stock2,main,5400,,,,round 2\n"
    "stock2-4800-2.wav,stock2,main,4800,,,,round 2\n"
    "stock2-4200-2.wav,stock2,main,4200,,,,round 2\n"
    "stock2-3600-2.wav,stock2,main,3600,,,,round 2\n",
    NULL,
};

/* The figures: random error of noise, Bendat and Piersol; the interval by a straight law through four speeds twice,
 * three rotors pooled (t = 2.10 for 18 degrees of freedom, times 0.5 dB, times the root of twice the leverage, 1/8 and
 * 0.35); 6 dB above the background and the wind by ISO 3744 and ISO 1996-2, from memory; the rest is common practice.
 */
static const char *const recording_pieces[] = {
    "How to record a campaign\n"
    "\n"
    "The plan: about an hour for three rotors, and it decides what the report can say\n"
    "- Speeds: four for each rotor, so that each spans the thrust the job needs: the lowest a little below it,\n"
    "  the highest a little above. Rotors are compared only within the thrust that both reached, and it takes\n"
    "  three speeds to draw a curve.\n"
    "- Length: 20 s of steady sound each. Noise in the 20 Hz third octave is then known within 0.5 dB, in the\n"
    "  100 Hz one within 0.2 dB (standard deviation, 4.34 / sqrt(bandwidth x time); 10 s: 0.6 and 0.3 dB).\n"
    "- Repeats: every point twice, not in a row. Go through all rotors, then back in reverse order, as in\n"
    "  runs.csv; at the turn take the rotor off and mount it again: what drifts over the day (wind, warmth, the\n"
    "  mounting) then falls on all alike and shows in the intervals. With four speeds twice and 0.5 dB between\n"
    "  repeats a difference is known within 0.5 dB (95 %) in mid-range, 0.9 dB at its ends.\n"
    "- Time: 24 runs of a minute with settling and writing down, five changes of rotor of five minutes, ten\n"
    "  minutes for calibrator and background. Power enough for all of it, or fresh packs at each change.\n"
    "- Take along: calibrator, wind screen, tape measure, tripod, speed counter, thrust stand, spare rotors,\n"
    "  guard, eye and ear protection, something to write with, and this page.\n"
    "\n",
    "Before anything turns\n"
    "- Stay out of the rotor's plane, you and everyone else: a blade that lets go flies there. Put a guard\n"
    "  round the rotor, start and stop it from a distance, wear eye protection, keep loose clothing and hair\n"
    "  away.\n"
    "- Stay below the maker's highest speed; go up in steps; stop at a crack, a new noise or a shaking stand. A\n"
    "  rotor that looks still under pulsed light may be turning. Take the power off before you touch it.\n"
    "- Wear ear protection. Harm is held possible from 85 dB(A) over 8 hours, half the time for each 3 dB more\n"
    "  (NIOSH, 3 dB exchange rate), and from peaks of 140 dB(C).\n"
    "- Lithium packs: charge attended, off the charger when full, in a fire-resistant place; none that is\n"
    "  swollen, hot, dented or smells. Not below 0 or above 40 degrees Celsius.\n"
    "- What is measured here is no legal or certification measurement. Local rules and licensed practice decide\n"
    "  where and when you may run a rotor or fly.\n"
    "\n",
    "The place\n"
    "- Outdoors far from walls, or a room much larger than the distance to the microphone. Wind below 5 m/s,\n"
    "  with a wind screen on the microphone; never in the rotor's stream. Quiet enough that the rotor at its\n"
    "  slowest stands 6 dB above the background in the bands that matter, better 15 dB.\n"
    "- Microphone at a distance of at least five rotor diameters and half a wavelength of the lowest blade tone\n"
    "  (170 m/s over its frequency: 1.2 m at 140 Hz), where the noise of the place allows. Measure it: hub to\n"
    "  microphone, straight. Write down both heights. Don't move anything between variants: the ground's\n"
    "  reflection alone can change a tone by several decibels.\n"
    "- Fix the recorder's gain at the loudest run, which should peak 6 to 20 dB below full scale; then leave\n"
    "  it. Switch off automatic gain, limiter, low-cut and noise reduction. WAV or FLAC, 48 kHz and 24 bit\n"
    "  where you can.\n"
    "\n"
    "The order\n"
    "1. Calibrator on the microphone, 15 s: calibrator.wav. With no calibrator: the same gain for everything,\n"
    "   and only differences count.\n"
    "2. Background, 30 s: everything in place and switched on, the rotor at rest: background.wav.\n"
    "3. The runs in the order of runs.csv. At each speed wait until it is steady, record 20 s, write down\n"
    "   speed, thrust, voltage and current. What happened (a gust, a bird, a new noise) goes into the note.\n"
    "4. After each rotor, while it still hangs there: listen to one recording for wind, clicks and voices.\n"
    "5. Background again, kept beside the first for doubt; then the calibrator again, without touching the\n"
    "   gain: calibrator-after.wav.\n"
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
