/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Mistakes in campaign.yaml: each gives exactly these messages, and nothing is read. The
 * places were counted by hand in an editor's terms: lines and characters from 1. */
#include "folder.h"
#include "tap.h"

#include <locale.h>

#define HEAD "title: t\nruns: runs.csv\n"
#define MICS "microphones:\n  main: {distance_m: 1}\n"
#define VARS "variants:\n  a: {blades: 2}\n"
#define GOOD_YAML HEAD MICS VARS
#define GOOD_RUNS "file,variant,rpm\na.wav,a,4200\n"

static const struct {
    const char *label, *yaml, *want;
} mistakes[] = {
    { .label = "nothing in the file",
      .yaml = "",
      .want = "campaign.yaml:1:1: nothing in it; keys and values are needed" },
    { .label = "only a comment",
      .yaml = "# to be filled in\n",
      .want = "campaign.yaml:1:1: nothing in it; keys and values are needed" },
    { .label = "a list at the top",
      .yaml = "- a\n"
              "- b\n",
      .want = "campaign.yaml:1:1: the campaign must hold keys and values, not a list" },
    { .label = "a single value at the top",
      .yaml = "reed\n",
      .want = "campaign.yaml:1:1: the campaign must hold keys and values, not a single value" },
    { .label = "everything missing",
      .yaml = "date: 2026-10-03\n",
      .want = "campaign.yaml:1:1: title is missing; the campaign needs it | "
              "campaign.yaml:1:1: runs is missing; the campaign needs it | "
              "campaign.yaml:1:1: microphones is missing; the campaign needs it | "
              "campaign.yaml:1:1: variants is missing; the campaign needs it" },
    { .label = "unknown key, nearly known",
      .yaml = "titel: t\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:1: unknown key \"titel\"; perhaps title is meant" },
    { .label = "unknown key, like none",
      .yaml = GOOD_YAML "colour: blue\n",
      .want = "campaign.yaml:7:1: unknown key \"colour\"; known here: title, date, runs, reference, "
              "reference_distance_m, compare_at, air, mains_hz, microphones, variants" },
    { .label = "key given twice",
      .yaml = GOOD_YAML "title: again\n",
      .want = "campaign.yaml:7:1: \"title\" is given twice; first on line 1" },
    { .label = "variant given twice",
      .yaml = GOOD_YAML "  a: {blades: 3}\n",
      .want = "campaign.yaml:7:3: \"a\" is given twice; first on line 6" },
    { .label = "microphone given twice",
      .yaml = HEAD MICS "  main: {distance_m: 2}\n" VARS,
      .want = "campaign.yaml:5:3: \"main\" is given twice; first on line 4" },
    { .label = "anchor",
      .yaml = HEAD "microphones:\n"
                   "  main: &m {distance_m: 1}\n" VARS,
      .want = "campaign.yaml:4:9: anchor \"&m\"; anchors are not read here, write the value out" },
    { .label = "alias, told once",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: &d 1}\n"
                   "  second: {distance_m: *d}\n" VARS,
      .want = "campaign.yaml:4:22: anchor \"&d\"; anchors are not read here, write the value out | "
              "campaign.yaml:5:24: alias \"*d\"; aliases are not read here, write the value out | "
              "runs.csv:1:1: column microphone is missing; the campaign has 2 microphones" },
    { .label = "tag",
      .yaml = "title: !!str t\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:8: tag \"tag:yaml.org,2002:str\"; tags are not read here, leave it out" },
    { .label = "directive",
      .yaml = "%YAML 1.1\n"
              "---\n" GOOD_YAML,
      .want = "campaign.yaml:1:1: a % directive; directives are not read here, leave it out" },
    { .label = "two documents",
      .yaml = GOOD_YAML "---\n" GOOD_YAML,
      .want = "campaign.yaml:7:1: a second document; a file holds one" },
    { .label = "merge key",
      .yaml = GOOD_YAML "  b:\n"
                        "    <<: *a\n"
                        "    blades: 3\n",
      .want = "campaign.yaml:8:9: alias \"*a\"; aliases are not read here, write the value out | "
              "campaign.yaml:8:5: unknown key \"<<\"; known here: title, blades, rotors, struts, diameter_mm, "
              "mains_hz, motor, drive, bearings" },
    { .label = "bracket not closed",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2\n",
      .want =
          "campaign.yaml:7:1: not YAML: did not find expected ',' or '}' (while parsing a flow mapping from line 6)" },
    { .label = "tab for indent",
      .yaml = HEAD "microphones:\n"
                   "\tmain: {distance_m: 1}\n" VARS,
      .want = "campaign.yaml:4:1: a tab; indent with spaces" },
    { .label = "quote not closed",
      .yaml = "title: \"t\n"
              "runs: runs.csv\n" MICS VARS,
      .want =
          "campaign.yaml:7:1: not YAML: found unexpected end of stream (while scanning a quoted scalar from line 1)" },
    { .label = "a map as a key",
      .yaml = GOOD_YAML "? {a: b}\n"
                        ": c\n",
      .want = "campaign.yaml:7:3: this can't be a key; a key must be one plain word" },
    { .label = "seventeen levels",
      .yaml = "title: [[[[[[[[[[[[[[[[[[t]]]]]]]]]]]]]]]]]]\n",
      .want = "campaign.yaml:1:23: more than 16 levels deep; no campaign is" },
    { .label = "not UTF-8, as Latin-1 saves it",
      .yaml = "title: Rotor f\xFCr Schilf\n"
              "runs: runs.csv\n"
              "microphones:\n"
              "  main: {distance_m: 1}\n"
              "variants:\n"
              "  a: {blades: 2}\n",
      .want = "campaign.yaml:1:15: byte 0xFC is not UTF-8; save the file as UTF-8" },
    { .label = "control character",
      .yaml = "title: a\x07"
              "b\n" GOOD_YAML,
      .want = "campaign.yaml:1:9: control character U+0007; only text is right here" },
    { .label = "zero byte by an escape",
      .yaml = "title: \"a\\0b\"\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:8: a zero byte in a text; only text is right here" },
    { .label = "a title of two lines",
      .yaml = "title: |\n"
              "  one\n"
              "  two\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:8: title has more than one line or a tab; must be one line of text" },
    { .label = "empty title",
      .yaml = "title: \"\"\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:8: title is empty; give it a text" },
    { .label = "no value",
      .yaml = "title:\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:7: title has no value; give it one" },
    { .label = "no date",
      .yaml = GOOD_YAML "date: 3 October\n",
      .want = "campaign.yaml:7:7: date is \"3 October\"; must be a day as year-month-day, such as 2026-10-03" },
    { .label = "29 February of no leap year",
      .yaml = GOOD_YAML "date: 2026-02-29\n",
      .want = "campaign.yaml:7:7: date is \"2026-02-29\"; must be a day as year-month-day, such as 2026-10-03" },
    { .label = "no blades",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {diameter_mm: 229}\n",
      .want = "campaign.yaml:6:3: blades is missing; a variant needs it" },
    { .label = "0 blades",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 0}\n",
      .want = "campaign.yaml:6:15: blades is 0; must be a whole number from 1 to 64" },
    { .label = "two and a half blades",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2.5}\n",
      .want = "campaign.yaml:6:15: blades is 2.5; must be a whole number from 1 to 64" },
    { .label = "blades in words",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: two}\n",
      .want = "campaign.yaml:6:15: blades is \"two\"; must be a whole number from 1 to 64" },
    { .label = "quoted number",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: \"2\"}\n",
      .want = "campaign.yaml:6:15: blades is quoted, \"2\"; must be a plain number without quotes" },
    { .label = "a number with its unit",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, diameter_mm: 229 mm}\n",
      .want = "campaign.yaml:6:31: diameter_mm is \"229 mm\"; must be a plain number from 5 to 300000 (mm)" },
    { .label = "not a number",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, diameter_mm: .nan}\n",
      .want = "campaign.yaml:6:31: diameter_mm is \".nan\"; must be a plain number from 5 to 300000 (mm)" },
    { .label = "hexadecimal",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 0x2}\n",
      .want = "campaign.yaml:6:15: blades is \"0x2\"; must be a whole number from 1 to 64" },
    { .label = "decimal comma in a block",
      .yaml = HEAD MICS "variants:\n"
                        "  a:\n"
                        "    blades: 2\n"
                        "    diameter_mm: 228,6\n",
      .want = "campaign.yaml:8:18: diameter_mm has a decimal comma, \"228,6\"; write 228.6" },
    { .label = "decimal comma in braces",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, diameter_mm: 228,6}\n",
      .want = "campaign.yaml:6:35: unknown key \"6\"; if it stands behind a decimal comma, write a point" },
    { .label = "negative distance",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: -1}\n" VARS,
      .want = "campaign.yaml:4:22: distance_m is -1; must be a plain number from 0.01 to 10000 (m)" },
    { .label = "no distance",
      .yaml = HEAD "microphones:\n"
                   "  main: {angle_deg: 90}\n" VARS,
      .want = "campaign.yaml:4:3: distance_m is missing; a microphone needs it" },
    { .label = "empty microphone",
      .yaml = HEAD "microphones:\n"
                   "  main:\n" VARS,
      .want = "campaign.yaml:4:8: a microphone is empty; keys and values are needed" },
    { .label = "no microphones",
      .yaml = HEAD "microphones: {}\n" VARS,
      .want = "campaign.yaml:3:14: microphones is empty; keys and values are needed" },
    { .label = "distance shorter than the heights' difference",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, height_m: 0, source_height_m: 1.5}\n" VARS,
      .want = "campaign.yaml:4:3: distance_m 1 is less than the 1.5 m between height_m and source_height_m; distance_m "
              "is the straight line" },
    { .label = "meter class 3",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, meter_class: 3}\n" VARS,
      .want = "campaign.yaml:4:38: meter_class is \"3\"; must be one of none, 1, 2" },
    { .label = "a calibration in two ways",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, calibration: {full_scale_db: 120, sensitivity_mv_pa: 12}}\n" VARS,
      .want = "campaign.yaml:4:25: calibration is given in two ways; give one of: file with level_db, or "
              "full_scale_db, or sensitivity_mv_pa with full_scale_v" },
    { .label = "calibrator without its level",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, calibration: {file: a.wav}}\n" VARS,
      .want = "campaign.yaml:4:25: level_db is missing; calibration is: file with level_db, or full_scale_db, or "
              "sensitivity_mv_pa with full_scale_v | "
              "runs.csv:2:1: \"a.wav\" is the calibration of microphone main; a run is a rotor's sound" },
    { .label = "sensitivity without the recorder's range",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, calibration: {sensitivity_mv_pa: 12}}\n" VARS,
      .want = "campaign.yaml:4:25: full_scale_v is missing; calibration is: file with level_db, or full_scale_db, or "
              "sensitivity_mv_pa with full_scale_v" },
    { .label = "a name that can't name a file",
      .yaml = HEAD MICS "variants:\n"
                        "  a/b: {blades: 2}\n"
                        "  a: {blades: 2}\n",
      .want =
          "campaign.yaml:6:3: \"a/b\" can't name a variant; at most 48 letters, digits, - and _ (63 bytes) are right" },
    { .label = "unknown key of a variant",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, diametre_mm: 229}\n",
      .want = "campaign.yaml:6:18: unknown key \"diametre_mm\"; perhaps diameter_mm is meant" },
    { .label = "unknown key of the motor",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, motor: {pole_pair: 7}}\n",
      .want = "campaign.yaml:6:26: unknown key \"pole_pair\"; perhaps pole_pairs is meant" },
    { .label = "a key with a point",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, motor.slots: 12}\n",
      .want = "campaign.yaml:6:18: unknown key \"motor.slots\"; known here: title, blades, rotors, struts, "
              "diameter_mm, mains_hz, motor, drive, bearings" },
    { .label = "motor as a value",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, motor: 7}\n",
      .want = "campaign.yaml:6:25: motor must hold keys and values, not a single value" },
    { .label = "unknown drive",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, drive: {kind: belts}}\n",
      .want = "campaign.yaml:6:32: drive.kind is \"belts\"; perhaps belt is meant (one of direct, belt, gear)" },
    { .label = "belt without pulleys",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, drive: {kind: belt, belt_teeth: 130}}\n",
      .want = "campaign.yaml:6:3: drive.motor_pulley_teeth is missing; a belt drive needs it | "
              "campaign.yaml:6:3: drive.rotor_pulley_teeth is missing; a belt drive needs it" },
    { .label = "pulleys without a belt drive",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, drive: {motor_pulley_teeth: 12}}\n",
      .want = "campaign.yaml:6:46: drive.motor_pulley_teeth is given but drive.kind is not belt; set the kind or leave "
              "it out" },
    { .label = "a belt too short for its pulleys",
      .yaml = HEAD MICS
      "variants:\n"
      "  a: {blades: 2, drive: {kind: belt, motor_pulley_teeth: 12, rotor_pulley_teeth: 60, belt_teeth: 30}}\n",
      .want = "campaign.yaml:6:98: drive.belt_teeth is 30; a belt round pulleys of 12 and 60 teeth has more than 36" },
    { .label = "gear with one wheel and a belt",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, drive: {kind: gear, motor_gear_teeth: 12, belt_teeth: 100}}\n",
      .want =
          "campaign.yaml:6:3: drive.rotor_gear_teeth is missing; a gear drive needs it | "
          "campaign.yaml:6:72: drive.belt_teeth is given but drive.kind is not belt; set the kind or leave it out" },
    { .label = "a bearing without its balls",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, bearings: {front: {ball_mm: 3.969, pitch_mm: 15}}}\n",
      .want = "campaign.yaml:6:29: balls is missing; a bearing needs it" },
    { .label = "balls that do not fit",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, bearings: {front: {balls: 14, ball_mm: 3.969, pitch_mm: 15}}}\n",
      .want = "campaign.yaml:6:29: bearings.front: 14 balls of 3.969 mm do not fit on a circle of 15 mm; check balls, "
              "ball_mm and pitch_mm" },
    { .label = "ball and pitch swapped",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, bearings: {front: {balls: 7, ball_mm: 15, pitch_mm: 3.969}}}\n",
      .want = "campaign.yaml:6:29: bearings.front: ball_mm 15 is not smaller than pitch_mm 3.969; pitch_mm is the "
              "circle of the balls' centres" },
    { .label = "bearing on no shaft",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 2, bearings: {front: {shaft: belt, balls: 7, ball_mm: 3.969, pitch_mm: 15}}}\n",
      .want = "campaign.yaml:6:44: shaft is \"belt\"; must be one of rotor, motor" },
    { .label = "reference that is no variant, nearly one",
      .yaml = HEAD MICS "variants:\n"
                        "  stock2: {blades: 2}\n"
                        "  a: {blades: 2}\n"
                        "reference: stock\n",
      .want =
          "campaign.yaml:8:12: reference is \"stock\", which is no variant of the campaign; perhaps stock2 is meant" },
    { .label = "reference that is no variant",
      .yaml = GOOD_YAML "reference: quiet\n",
      .want = "campaign.yaml:7:12: reference is \"quiet\", which is no variant of the campaign; such as a is" },
    { .label = "humidity above 100 %",
      .yaml = GOOD_YAML "air: {humidity_pct: 170, wind_m_s: -1}\n",
      .want = "campaign.yaml:7:21: humidity_pct is 170; must be a plain number from 0 to 100 (%) | "
              "campaign.yaml:7:36: wind_m_s is -1; must be a plain number from 0 to 100 (m/s)" },
    { .label = "compare_at an unknown quantity",
      .yaml = GOOD_YAML "compare_at: {thrust: 2}\n",
      .want = "campaign.yaml:7:14: unknown key \"thrust\"; perhaps thrust_n is meant" },
    { .label = "compare_at nothing",
      .yaml = GOOD_YAML "compare_at: {thrust_n: []}\n",
      .want = "campaign.yaml:7:24: thrust_n is an empty list; give it values or leave it out" },
    { .label = "compare_at a speed of 10 million",
      .yaml = GOOD_YAML "compare_at: {rpm: [4200, 10000000]}\n",
      .want = "campaign.yaml:7:26: rpm is 10000000; must be a plain number from 1 to 500000 (rev/min)" },
    { .label = "file outside, by a path",
      .yaml = "title: t\n"
              "runs: ../runs.csv\n" MICS VARS,
      .want = "campaign.yaml:2:7: \"../runs.csv\" leaves the campaign's folder; name a file inside it" },
    { .label = "file outside, absolute",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, background: /etc/hostname}\n" VARS,
      .want = "campaign.yaml:4:37: \"/etc/hostname\" is an absolute path; name a file inside the campaign's folder" },
    { .label = "file outside, by a link",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, background: link.wav}\n" VARS,
      .want = "campaign.yaml:4:37: \"link.wav\" is a link out of the campaign's folder; copy the file into it" },
    { .label = "a folder for a file",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, background: .}\n" VARS,
      .want = "campaign.yaml:4:37: \".\" names no file" },
    { .label = "a file that is not there",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: 1, background: quiet.wav}\n" VARS,
      .want = "campaign.yaml:4:37: there is no file \"quiet.wav\" in the campaign's folder" },
    { .label = "a run log that is not there",
      .yaml = "title: t\n"
              "runs: run.csv\n" MICS VARS,
      .want = "campaign.yaml:2:7: there is no file \"run.csv\" in the campaign's folder; perhaps runs.csv is meant" },
    { .label = "mistakes of both files in one go",
      .yaml = "titel: t\n"
              "runs: runs.csv\n"
              "microphones:\n"
              "  main: {distance_m: 0}\n"
              "variants:\n"
              "  a: {blades: 0}\n",
      .want = "campaign.yaml:1:1: unknown key \"titel\"; perhaps title is meant | "
              "campaign.yaml:4:22: distance_m is 0; must be a plain number from 0.01 to 10000 (m) | "
              "campaign.yaml:6:15: blades is 0; must be a whole number from 1 to 64" },
    { .label = "two colons",
      .yaml = "title: a: b\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:9: not YAML: mapping values are not allowed in this context" },
    { .label = "a map where a value is needed",
      .yaml = "title: {a: b}\n"
              "runs: [runs.csv]\n" MICS VARS,
      .want = "campaign.yaml:1:8: title must be a single value, not keys and values | "
              "campaign.yaml:2:7: runs must be a single value, not a list" },
    { .label = "a title of 210 characters",
      .yaml = "title: Schilf und Schilf und Schilf und Schilf und Schilf und Schilf und Schilf und Schilf und Schilf "
              "und Schilf und Schilf und Schilf und Schilf und Schilf und Schilf und Schilf und Schilf und Schilf und "
              "Schilf und x\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:8: title is 210 characters long; at most 200 are right" },
    { .label = "a long unknown key, cut where a character ends",
      .yaml = GOOD_YAML "Lautst\xC3\xA4rkeLautst\xC3\xA4rkeLautst\xC3\xA4rkeLautst\xC3\xA4rkeLautst\xC3\xA4rkeLautst"
                        "\xC3\xA4rkeLautst\xC3\xA4rkeLautst\xC3\xA4rkeLautst\xC3\xA4rke: 1\n",
      .want = "campaign.yaml:7:1: unknown key "
              "\"Lautst\xC3\xA4rkeLautst\xC3\xA4rkeLautst\xC3\xA4rkeLautst\xC3\xA4rkeLautst\xC3\xA4rkeLauts\xE2\x80\xA6"
              "\"; known here: title, date, runs, reference, reference_distance_m, compare_at, air, mains_hz, "
              "microphones, variants" },
    { .label = "microphones, variants, air and compare_at as values",
      .yaml = HEAD "microphones: one\n"
                   "variants: [a]\n"
                   "air: wet\n"
                   "compare_at: 4200\n",
      .want = "campaign.yaml:3:14: microphones must hold keys and values, not a single value | "
              "campaign.yaml:4:11: variants must hold keys and values, not a list | "
              "campaign.yaml:5:6: air must hold keys and values, not a single value | "
              "campaign.yaml:6:13: compare_at must hold keys and values, not a single value" },
    { .label = "UTF-8 written longer than it need be",
      .yaml = "title: a\xC0\xAF"
              "b\n"
              "title: t\n"
              "runs: runs.csv\n"
              "microphones:\n"
              "  main: {distance_m: 1}\n"
              "variants:\n"
              "  a: {blades: 2}\n",
      .want = "campaign.yaml:1:9: byte 0xC0 is not UTF-8; save the file as UTF-8" },
    { .label = "half of a surrogate pair as UTF-8",
      .yaml = "title: a\xED\xA0\x80"
              "b\n"
              "title: t\n"
              "runs: runs.csv\n"
              "microphones:\n"
              "  main: {distance_m: 1}\n"
              "variants:\n"
              "  a: {blades: 2}\n",
      .want = "campaign.yaml:1:9: byte 0xED is not UTF-8; save the file as UTF-8" },
    { .label = "a line separator that editors don't show",
      .yaml = "title: a\xE2\x80\xA8"
              "b\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:9: control character U+2028; only text is right here" },
    { .label = "file name longer than a system takes",
      .yaml =
          HEAD "microphones:\n"
               "  main: {distance_m: 1, background: "
               "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"
               "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"
               "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx}\n" VARS,
      .want = "campaign.yaml:4:37: cannot reach "
              "\"xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx\xE2\x80\xA6\": File name too long" },
    { .label = "thousands with a point",
      .yaml = GOOD_YAML "compare_at: {rpm: [4.200, 5400]}\n",
      .want = "campaign.yaml:7:20: rpm is \"4.200\"; write thousands without a mark between, 4200" },
    { .label = "an absolute path of the run log",
      .yaml = "title: t\n"
              "runs: /tmp/runs.csv\n" MICS VARS,
      .want = "campaign.yaml:2:7: \"/tmp/runs.csv\" is an absolute path; name a file inside the campaign's folder" },
    { .label = "something after the document's end",
      .yaml = GOOD_YAML "...\n"
                        "}\n",
      .want = "campaign.yaml:8:1: not YAML: did not find expected <document start>" },
    { .label = "a code that is no character",
      .yaml = "title: a\xEF\xBF\xBE"
              "b\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:9: control character U+FFFE; only text is right here" },
    { .label = "a name of 49 characters",
      .yaml = GOOD_YAML "  vvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvv: {blades: 2}\n",
      .want = "campaign.yaml:7:3: \"vvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvvv\" can't name a variant; at most "
              "48 letters, digits, - and _ (63 bytes) are right" },
    { .label = "a tab behind text is no indent",
      .yaml = "title: \xC3\xA4\xC3\xA4\tx: y\n"
              "runs: runs.csv\n" MICS VARS,
      .want = "campaign.yaml:1:12: not YAML: mapping values are not allowed in this context" },
    { .label = "a name that ends with a space, one that begins with a dash",
      .yaml = GOOD_YAML "  \"b \": {blades: 2}\n"
                        "  -c: {blades: 2}\n",
      .want =
          "campaign.yaml:7:3: \"b \" can't name a variant; at most 48 letters, digits, - and _ (63 bytes) are right | "
          "campaign.yaml:8:3: \"-c\" can't name a variant; at most 48 letters, digits, - and _ (63 bytes) are right" },
    { .label = "a name of 40 characters that takes 80 bytes",
      .yaml = GOOD_YAML
      "  "
      "\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4"
      "\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4"
      "\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4: {blades: 2}\n",
      .want = "campaign.yaml:7:3: "
              "\"\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3"
              "\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3"
              "\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xE2\x80\xA6\" can't name a variant; at most 48 letters, digits, - "
              "and _ (63 bytes) are right" },
    { .label = "an anchor on a wrong value, told once",
      .yaml = HEAD "microphones:\n"
                   "  main: {distance_m: &d -1}\n" VARS,
      .want = "campaign.yaml:4:22: anchor \"&d\"; anchors are not read here, write the value out" },
    { .label = "an alias for a map, told once",
      .yaml = HEAD MICS "  side: *m\n" VARS,
      .want = "campaign.yaml:5:9: alias \"*m\"; aliases are not read here, write the value out | "
              "runs.csv:1:1: column microphone is missing; the campaign has 2 microphones" },
    { .label = "a microphone and a variant as values",
      .yaml = HEAD "microphones: {main: 1}\n"
                   "variants: {a: 2}\n",
      .want = "campaign.yaml:3:21: a microphone must hold keys and values, not a single value | "
              "campaign.yaml:4:15: a variant must hold keys and values, not a single value" },
    { .label = "a run log that names no file",
      .yaml = "title: t\n"
              "runs: ./\n" MICS VARS,
      .want = "campaign.yaml:2:7: \"./\" names no file" },
    { .label = "broken UTF-8 behind CR line ends",
      .yaml = "title: t\rruns: runs.csv\r\xFF",
      .want = "campaign.yaml:3:1: byte 0xFF is not UTF-8; save the file as UTF-8" },
};

int main(void)
{
    setlocale(LC_ALL, ""); /* messages are the same in every one */
    char folder[64];
    folder_make(folder);
    for (size_t i = 0; i < sizeof mistakes / sizeof *mistakes; i++) {
        struct campaign campaign = { 0 };
        struct err_list errors = { 0 };
        folder_write(folder, "campaign.yaml", mistakes[i].yaml, strlen(mistakes[i].yaml));
        folder_write(folder, "runs.csv", GOOD_RUNS, strlen(GOOD_RUNS));
        bool ok = campaign_read(folder, false, &campaign, &errors);
        char *got = folder_messages(folder, &errors);
        tap_ok(!ok && !campaign.title && errors.dropped == 0, "%s: is refused, nothing is read", mistakes[i].label);
        tap_text(got, mistakes[i].want, mistakes[i].label);
        free(got);
    }
    folder_remove(folder);
    return tap_done();
}
