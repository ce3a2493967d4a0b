/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Mistakes in the run log: each gives exactly these messages, and nothing is read. The
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
    const char *label, *runs, *want;
    const char *yaml; /* NULL: the good one */
} mistakes[] = {
    { .label = "an empty log",
      .runs = "",
      .want = "runs.csv:1:1: nothing in it; a header line and a row for each run are needed" },
    { .label = "a log of line ends",
      .runs = "\r\n"
              "\r\n",
      .want = "runs.csv:1:1: nothing in it; a header line and a row for each run are needed" },
    { .label = "a log with a header only",
      .runs = "file,variant,rpm\n",
      .want = "runs.csv:1:1: no runs; a row for each run is needed below the header" },
    { .label = "a header only, then empty rows as spreadsheets leave them",
      .runs = "file;variant;rpm\r\n"
              ";;\r\n"
              ";;\r\n",
      .want = "runs.csv:1:1: no runs; a row for each run is needed below the header" },
    { .label = "no column for the file",
      .runs = "variant,rpm\n"
              "a,4200\n",
      .want = "runs.csv:1:1: column file is missing; the header names the columns" },
    { .label = "columns apart by tabs",
      .runs = "file\tvariant\n"
              "a.wav\ta\n",
      .want = "runs.csv:1:1: the columns stand apart by tabs; save with commas or semicolons" },
    { .label = "a column given twice",
      .runs = "file,variant,rpm,rpm\n"
              "a.wav,a,4200,4200\n",
      .want = "runs.csv:1:18: column \"rpm\" is given twice" },
    { .label = "columns misspelt",
      .runs = "file,varient,RPM,Thrust (N),throttle,mic,notes\n"
              "a.wav,a,4200,2,50,main,x\n",
      .want = "runs.csv:1:6: unknown column \"varient\"; perhaps variant is meant | "
              "runs.csv:1:14: unknown column \"RPM\"; perhaps rpm is meant | "
              "runs.csv:1:18: unknown column \"Thrust (N)\"; perhaps thrust_n is meant | "
              "runs.csv:1:29: unknown column \"throttle\"; perhaps throttle_pct is meant | "
              "runs.csv:1:38: unknown column \"mic\"; perhaps microphone is meant | "
              "runs.csv:1:42: unknown column \"notes\"; perhaps note is meant" },
    { .label = "no column for one of two microphones",
      .yaml = HEAD MICS "  side: {distance_m: 2}\n" VARS,
      .runs = GOOD_RUNS,
      .want = "runs.csv:1:1: column microphone is missing; the campaign has 2 microphones" },
    { .label = "no value for one of two microphones",
      .yaml = HEAD MICS "  side: {distance_m: 2}\n" VARS,
      .runs = "file,variant,microphone\n"
              "a.wav,a,side\n"
              "b.wav,a,\n",
      .want = "runs.csv:3:9: microphone is empty; the campaign has 2 microphones" },
    { .label = "a microphone that is not there",
      .yaml = HEAD MICS "  side: {distance_m: 2}\n" VARS,
      .runs = "file,variant,microphone\n"
              "a.wav,a,sied\n",
      .want = "runs.csv:2:9: microphone is \"sied\", which is no microphone of the campaign; perhaps side is meant" },
    { .label = "no file, no variant",
      .runs = "file,variant,rpm\n"
              ",a,4200\n"
              "a.wav,,4200\n",
      .want = "runs.csv:2:1: file is empty; every run needs it | "
              "runs.csv:3:7: variant is empty; every run needs it" },
    { .label = "a variant that is not there",
      .runs = "file,variant\n"
              "a.wav,b\n"
              "b.wav,swept\n",
      .want = "runs.csv:2:7: variant is \"b\", which is no variant of the campaign; perhaps a is meant | "
              "runs.csv:3:7: variant is \"swept\", which is no variant of the campaign; such as a is" },
    { .label = "a speed of 10 million",
      .runs = "file,variant,rpm\n"
              "a.wav,a,10000000\n",
      .want = "runs.csv:2:9: rpm is 10000000; must be a plain number from 1 to 500000 (rev/min)" },
    { .label = "a speed of 0",
      .runs = "file,variant,rpm\n"
              "a.wav,a,0\n",
      .want = "runs.csv:2:9: rpm is 0; must be a plain number from 1 to 500000 (rev/min)" },
    { .label = "a speed in words",
      .runs = "file,variant,rpm\n"
              "a.wav,a,fast\n",
      .want = "runs.csv:2:9: rpm is \"fast\"; must be a plain number from 1 to 500000 (rev/min)" },
    { .label = "a decimal comma in a log with semicolons",
      .runs = "file;variant;thrust_n\n"
              "a.wav;a;12,5\n",
      .want = "runs.csv:2:9: thrust_n has a decimal comma, \"12,5\"; write 12.5" },
    { .label = "a decimal comma in quotes",
      .runs = "file,variant,thrust_n\n"
              "a.wav,a,\"12,5\"\n",
      .want = "runs.csv:2:9: thrust_n has a decimal comma, \"12,5\"; write 12.5" },
    { .label = "a decimal comma in a log with commas",
      .runs = "file,variant,thrust_n\n"
              "a.wav,a,12,5\n",
      .want = "runs.csv:2:12: \"5\" stands in a column without a name; name it, or write a decimal comma as a point" },
    { .label = "a value where the header is empty",
      .runs = "file,variant,\n"
              "a.wav,a,7\n",
      .want = "runs.csv:2:9: \"7\" stands in a column without a name; name it, or write a decimal comma as a point" },
    { .label = "thrust in both units that do not agree",
      .runs = "file,variant,thrust_n,thrust_g\n"
              "a.wav,a,2,300\n",
      .want = "runs.csv:2:11: thrust_g is 300, which is 2.942 N, but thrust_n is 2; give one of them" },
    { .label = "power that is not voltage times current",
      .runs = "file,variant,power_w,voltage_v,current_a\n"
              "a.wav,a,100,14.8,4\n",
      .want = "runs.csv:2:9: power_w is 100 but voltage_v times current_a is 59.2; give one of them" },
    { .label = "a current without its voltage",
      .runs = "file,variant,voltage_v,current_a\n"
              "a.wav,a,,4\n",
      .want = "runs.csv:2:9: voltage_v is empty; current_a needs it" },
    { .label = "motor and rotor speed swapped",
      .yaml = HEAD MICS "variants:\n"
                        "  a: {blades: 5, drive: {kind: belt, motor_pulley_teeth: 12, rotor_pulley_teeth: 60}}\n",
      .runs = "file,variant,rpm,motor_rpm\n"
              "a.wav,a,12000,2400\n",
      .want = "runs.csv:2:15: motor_rpm is 2400 but the drive makes it about 60000 at rpm 12000; check both and the "
              "drive" },
    { .label = "throttle above 100 %",
      .runs = "file,variant,throttle_pct\n"
              "a.wav,a,120\n",
      .want = "runs.csv:2:9: throttle_pct is 120; must be a plain number from 0 to 100 (%)" },
    { .label = "end before start",
      .runs = "file,variant,start_s,end_s\n"
              "a.wav,a,5,2\n",
      .want = "runs.csv:2:11: end_s is 2; must be after start_s, 5" },
    { .label = "channel 0",
      .runs = "file,variant,channel\n"
              "a.wav,a,0\n",
      .want = "runs.csv:2:9: channel is 0; must be a whole number from 1 to 1024" },
    { .label = "the tachometer on the microphone's channel",
      .runs = "file,variant,channel,tach_channel\n"
              "a.wav,a,2,2\n",
      .want = "runs.csv:2:11: tach_channel is 2, the microphone's own channel; they must differ" },
    { .label = "pulses without a tachometer",
      .runs = "file,variant,tach_pulses_per_rev\n"
              "a.wav,a,2\n",
      .want = "runs.csv:2:1: tach_channel is empty; tach_pulses_per_rev needs it" },
    { .label = "a file that is not there",
      .runs = "file,variant\n"
              "a.wav,a\n"
              "missing.wav,a\n",
      .want = "runs.csv:3:1: there is no file \"missing.wav\" in the campaign's folder" },
    { .label = "a file outside",
      .runs = "file,variant\n"
              "../a.wav,a\n",
      .want = "runs.csv:2:1: \"../a.wav\" leaves the campaign's folder; name a file inside it" },
    { .label = "a link that leads outside",
      .runs = "file,variant\n"
              "link.wav,a\n",
      .want = "runs.csv:2:1: \"link.wav\" is a link out of the campaign's folder; copy the file into it" },
    { .label = "a path with backslashes",
      .runs = "file,variant\n"
              "sub\\d.wav,a\n",
      .want = "runs.csv:2:1: there is no file \"sub\\d.wav\"; write / between folders" },
    { .label = "a folder for a recording",
      .runs = "file,variant\n"
              "sub,a\n",
      .want = "runs.csv:2:1: \"sub\" is no file" },
    { .label = "the same file twice",
      .runs = GOOD_RUNS "b.wav,a,4200\n"
                        "./a.wav,a,5400\n",
      .want = "runs.csv:4:1: \"a.wav\" is on line 2 already; a second row of a file needs another channel or another "
              "time" },
    { .label = "parts of one file that overlap",
      .runs = "file,variant,start_s,end_s\n"
              "a.wav,a,0,10\n"
              "a.wav,a,9,20\n",
      .want = "runs.csv:3:1: \"a.wav\" is on line 2 already; a second row of a file needs another channel or another "
              "time" },
    { .label = "a quote inside an unquoted field",
      .runs = "file,variant,note\n"
              "a.wav,a,10\" rotor\n",
      .want = "runs.csv:2:9: a stray or unclosed quote in this field; put the whole field in quotes and double those "
              "inside" },
    { .label = "a quote not closed",
      .runs = "file,variant,note\n"
              "a.wav,a,\"open\n"
              "b.wav,a,x\n",
      .want = "runs.csv:2:9: a stray or unclosed quote in this field; put the whole field in quotes and double those "
              "inside" },
    { .label = "text after a closing quote",
      .runs = "file,variant\n"
              "\"a.wav\"x,a\n",
      .want = "runs.csv:2:1: a stray or unclosed quote in this field; put the whole field in quotes and double those "
              "inside" },
    { .label = "not UTF-8",
      .runs = "file,variant,note\n"
              "a.wav,a,f\xFCr\n",
      .want = "runs.csv:2:10: byte 0xFC is not UTF-8; save the file as UTF-8" },
    { .label = "UTF-16, as some spreadsheets call Unicode",
      .runs = "\xFF\xFE"
              "fil\xC4\x97",
      .want = "runs.csv:1:1: byte 0xFF is not UTF-8; save the file as UTF-8" },
    { .label = "places in a log with CR LF, quotes and a note of two lines",
      .runs = "file;variant;note;rpm\r\n"
              "\"a.wav\";a;\"one\r\n"
              "two\";4200\r\n"
              "\r\n"
              "   \r\n"
              "\"b.wav\"; a ;\"Schilf, gr\xC3\xBCn\";0\r\n",
      .want = "runs.csv:6:28: rpm is 0; must be a plain number from 1 to 500000 (rev/min)" },
    { .label = "thousands with a point, as a spreadsheet shows them",
      .runs = "file;variant;rpm\na.wav;a;4.200\n",
      .want = "runs.csv:2:9: rpm is \"4.200\"; write thousands without a mark between, 4200" },
    { .label = "thousands with a comma, a space and an apostrophe",
      .runs = "file,variant,rpm,motor_rpm\na.wav,a,\"4,200\",21 000\nb.wav,a,12'000,\n",
      .want = "runs.csv:2:9: rpm is \"4,200\"; write thousands without a mark between, 4200 | "
              "runs.csv:2:17: motor_rpm is \"21 000\"; write thousands without a mark between, 21000 | "
              "runs.csv:3:9: rpm is \"12'000\"; write thousands without a mark between, 12000" },
    { .label = "a calibrator among the runs",
      .yaml = HEAD
      "microphones: {main: {distance_m: 1, background: b.wav, calibration: {file: c.wav, level_db: 94}}}\n" VARS,
      .runs = "file,variant\na.wav,a\n./b.wav,a\nc.wav,a\n",
      .want = "runs.csv:3:1: \"b.wav\" is the background of microphone main; a run is a rotor's sound | "
              "runs.csv:4:1: \"c.wav\" is the calibration of microphone main; a run is a rotor's sound" },
    { .label = "no column for the variant",
      .runs = "file,rpm\n"
              "a.wav,4200\n",
      .want = "runs.csv:1:1: column variant is missing; the header names the columns" },
    { .label = "300 columns",
      .runs = "file,variant,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,"
              "c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,"
              "c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,"
              "c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,"
              "c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,"
              "c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c,c\n"
              "a.wav,a\n",
      .want = "runs.csv:1:1: 300 columns; at most 256 are right" },
    { .label = "a file whose name is nearly that of another, in a folder",
      .runs = "file,variant\nsub/d.wv,a\nnowhere/d.wav,a\n",
      .want = "runs.csv:2:1: there is no file \"sub/d.wv\" in the campaign's folder; perhaps d.wav is meant | "
              "runs.csv:3:1: there is no file \"nowhere/d.wav\" in the campaign's folder" },
    { .label = "columns as spreadsheets title them",
      .runs = "file,variant,__Current  (A)__,tach-pulses per rev,Throttle %,Start [s]\n"
              "a.wav,a,,,,\n",
      .want = "runs.csv:1:14: unknown column \"__Current  (A)__\"; perhaps current_a is meant | "
              "runs.csv:1:31: unknown column \"tach-pulses per rev\"; perhaps tach_pulses_per_rev is meant | "
              "runs.csv:1:51: unknown column \"Throttle %\"; perhaps throttle_pct is meant | "
              "runs.csv:1:62: unknown column \"Start [s]\"; perhaps start_s is meant" },
    { .label = "one column",
      .runs = "file\n"
              "a.wav\n",
      .want = "runs.csv:1:1: column variant is missing; the header names the columns" },
    { .label = "a number in no known form",
      .runs = "file,variant,rpm\n"
              "a.wav,a,4x200\n"
              "b.wav,a,4200x\n",
      .want = "runs.csv:2:9: rpm is \"4x200\"; must be a plain number from 1 to 500000 (rev/min) | "
              "runs.csv:3:9: rpm is \"4200x\"; must be a plain number from 1 to 500000 (rev/min)" },
    { .label = "one channel twice, another once",
      .runs = "file,variant,channel,start_s,end_s\n"
              "a.wav,a,2,0,10\n"
              "a.wav,a,1,5,10\n"
              "a.wav,a,2,20,30\n"
              "a.wav,a,1,0,6\n"
              "a.wav,a,2,30,40\n"
              "a.wav,a,2,10,20\n",
      .want = "runs.csv:5:1: \"a.wav\" is on line 3 already; a second row of a file needs another channel or another "
              "time" },
    { .label = "a short part inside a long one, after another",
      .runs = "file,variant,start_s,end_s\n"
              "a.wav,a,0,100\n"
              "a.wav,a,200,300\n"
              "a.wav,a,50,60\n",
      .want = "runs.csv:4:1: \"a.wav\" is on line 2 already; a second row of a file needs another channel or another "
              "time" },
};

int main(void)
{
    setlocale(LC_ALL, ""); /* messages are the same in every one */
    char folder[64];
    folder_make(folder);
    for (size_t i = 0; i < sizeof mistakes / sizeof *mistakes; i++) {
        struct campaign campaign = { 0 };
        struct err_list errors = { 0 };
        const char *yaml = mistakes[i].yaml ? mistakes[i].yaml : GOOD_YAML;
        folder_write(folder, "campaign.yaml", yaml, strlen(yaml));
        folder_write(folder, "runs.csv", mistakes[i].runs, strlen(mistakes[i].runs));
        bool ok = campaign_read(folder, false, &campaign, &errors);
        char *got = folder_messages(folder, &errors);
        tap_ok(!ok && !campaign.title && errors.dropped == 0, "%s: is refused, nothing is read", mistakes[i].label);
        tap_text(got, mistakes[i].want, mistakes[i].label);
        free(got);
    }
    folder_remove(folder);
    return tap_done();
}
