#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Checks the files of a report with readers that share no code with its writers: Python's html.parser, xml, csv and
json, poppler's pdfinfo and pdftotext. Prints TAP.

check_files.py WRITE-FIXTURE GOLDEN-FOLDER [--update]
"""
import csv
import html.parser
import json
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml

WRITE, GOLDEN = sys.argv[1:3]
UPDATE = "--update" in sys.argv
TABLES = ["levels", "third-octave", "tones", "blade-passage", "comparisons", "what-ifs"]
VOID = {"meta", "link", "br", "hr", "img", "input"}
count = failed = 0


def ok(passed, label):
    global count, failed
    count += 1
    failed += not passed
    print(f"{'ok' if passed else 'not ok'} {count} - {label}")
    return passed


def skip(label):
    global count
    count += 1
    print(f"ok {count} # SKIP {label}")


class Page(html.parser.HTMLParser):
    """Tags must nest; headings, captions, header cells and ids are kept."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.wrong, self.outline, self.ids, self.links = [], [], [], [], []
        self.text, self.kept, self.tags = "", None, {}

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        self.tags.setdefault(tag, []).append(attrs)
        if tag not in VOID:
            self.open.append(tag)
        if "id" in attrs:
            self.ids.append(attrs["id"])
        if attrs.get("href", "").startswith("#") and tag == "a":
            self.links.append(attrs["href"][1:])
        if tag in ("h1", "h2", "h3", "caption", "figcaption") or (tag == "th" and attrs.get("scope") == "col"):
            self.kept = [tag, ""]

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)
        if self.kept and self.kept[0] == tag:
            self.outline.append(f"{self.kept[0]}: {self.kept[1].strip()}")
            self.kept = None

    def handle_data(self, data):
        self.text += data
        if self.kept:
            self.kept[1] += data


def check_html(kind, path):
    source = open(path, encoding="utf-8").read()
    page = Page()
    page.feed(source)
    page.close()
    ok(not page.wrong and not page.open, f"{kind}: tags nest ({page.wrong[:3]} {page.open[:3]})")
    ok(len(set(page.ids)) == len(page.ids), f"{kind}: {len(page.ids)} ids, none twice")
    ok(page.links and set(page.links) <= set(page.ids), f"{kind}: {len(page.links)} links lead somewhere")
    ok('<html lang="en">' in source and source.startswith("<!DOCTYPE html>"), f"{kind}: language and doctype")
    ok(not re.search(r'(?:src|href)="(?!#)|@import|url\((?!#)|<script', source), f"{kind}: nothing from elsewhere")
    ok(all(th.get("scope") in ("col", "row") for th in page.tags.get("th", [])), f"{kind}: header cells have a scope")
    svgs = re.findall(r"<svg.*?</svg>", source, re.S)
    ok(all(svg.get("role") == "img" and svg.get("aria-label") for svg in page.tags.get("svg", [])),
       f"{kind}: {len(svgs)} figures are named for those who can't see them")
    good = 0
    for svg in svgs:
        try:
            xml.fromstring(svg)
            good += 1
        except xml.ParseError as err:
            print("#", err)
    ok(good == len(svgs), f"{kind}: {good} of {len(svgs)} figures are well-formed XML")
    ok(len(page.tags.get("h1", [])) == 1, f"{kind}: one h1")
    refs = re.findall(r'(?:href="#|url\(#)([^")]+)', source)
    ok(set(refs) <= set(page.ids), f"{kind}: every reference of a figure has its id")
    ok(not re.search(r"\b(nan|inf|-inf|NaN|null)\b", page.text), f"{kind}: no nan, inf or null in the text")
    return source, page


def check_escaping(source, page):
    ok("<script>" not in source and "&lt;script&gt;alert(1)&lt;/script&gt;" in source, "a script in a finding is text")
    ok("<b>&amp;" not in source and "reed-bed drone &lt;b&gt;&amp;amp; &quot;friends&quot;&lt;/b&gt;" in source,
       "markup in the title is text")
    ok('drone <b>&amp; "friends"</b> — Wasserralle クイナ' in page.text, "and reads as it was written")


def pdf_text(path):
    """In the order of drawing, so that the lines of a table's cell stay together."""
    return subprocess.run(["pdftotext", "-raw", path, "-"], check=True, capture_output=True, text=True).stdout


def check_pdf(kind, path, least_pages, most_pages):
    info = subprocess.run(["pdfinfo", path], check=True, capture_output=True, text=True).stdout
    pages = int(re.search(r"Pages:\s+(\d+)", info).group(1))
    ok(least_pages <= pages <= most_pages, f"{kind}: {pages} pages, {least_pages} to {most_pages} expected")
    ok("A4" in info, f"{kind}: A4")
    ok("CreationDate:    Sat Oct  3" in info or "CreationDate:    Fri Oct  2" in info or "2026" in info,
       f"{kind}: the date is the campaign's")
    text = pdf_text(path)
    ok(text.count(f" of {pages}") >= pages, f"{kind}: every page says its number and how many there are")
    ok(not re.search(r"\b(nan|inf|-inf|NaN|null)\b", text), f"{kind}: no nan, inf or null in the text")
    return text


class Words(html.parser.HTMLParser):
    """The boxes of pdftotext -bbox: (text, left, top, right, bottom) by page."""

    def __init__(self):
        super().__init__()
        self.pages, self.box = [], None

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if tag == "page":
            self.pages.append([])
        if tag == "word":
            self.box = [float(attrs[key]) for key in ("xmin", "ymin", "xmax", "ymax")]

    def handle_data(self, data):
        if self.box:
            self.pages[-1].append((data, *self.box))
            self.box = None


def overlaps(words):
    """Pairs of words of which one covers more than a fifth of the other. A word box is as high as the font's ascent and
    descent, more than its letters, so a fifth is taken off at top and bottom."""
    found = []
    boxes = []
    for text, left, top, right, bottom in words:
        slack = (bottom - top) * 0.2
        boxes.append((top + slack, bottom - slack, left, right, text))
    boxes.sort()
    for i, (top, bottom, left, right, text) in enumerate(boxes):
        for other_top, other_bottom, other_left, other_right, other in boxes[i + 1:]:
            if other_top >= bottom:
                break
            wide = min(right, other_right) - max(left, other_left)
            high = min(bottom, other_bottom) - max(top, other_top)
            least = min((right - left) * (bottom - top), (other_right - other_left) * (other_bottom - other_top))
            if wide > 0 and high > 0 and wide * high > 0.2 * least:
                found.append((text, other))
    return found


def check_pdf_layout(kind, path):
    boxes = Words()
    boxes.feed(subprocess.run(["pdftotext", "-bbox", path, "-"], check=True, capture_output=True, text=True).stdout)
    outside = [word for page in boxes.pages for word in page
               if word[1] < 46 or word[3] > 550 or word[2] < 25 or word[4] > 820]
    ok(sum(map(len, boxes.pages)) > 500 and not outside, f"{kind}: every word is inside the margins {outside[:3]}")
    found = [pair for page in boxes.pages for pair in overlaps(page)]
    ok(not found, f"{kind}: no word lies over another {found[:5]}")
    # Of a page between header (62 pt) and footer (784 pt); a section may start anew when less than a quarter is left.
    low = [round((max(word[4] for word in page if word[4] < 790) - 62) / 7.22) for page in boxes.pages]
    ok(min(low[:-1]) >= 66, f"{kind}: no page but the last is a third empty; filled to {low} %")


def squeeze(text):
    return re.sub(r"\s+", " ", text)


def a_weighting_db(hz):
    """IEC 61672-1:2013, annex E, with the frequencies in Hz of its table of poles."""
    def gain(f):
        return f**4 / ((f**2 + 20.6**2) * (f**2 + 12194**2) * math.sqrt((f**2 + 107.7**2) * (f**2 + 737.9**2)))
    return 20 * math.log10(gain(hz) / gain(1000))


def strongest_blade_tone():
    """Of the fixture's stock2 at 3 N, the run nearest to 3.5 N: 4200 rev/min, 2 blades, 6.5 dB less from tone to tone."""
    best = max(range(1, 6), key=lambda n: a_weighting_db(140 * n) - 6.5 * (n - 1))
    return f"blade {best} of stock2 at {140 * best} Hz"


def check_pdf_says(text):
    flat = squeeze(text)
    first = squeeze(text.split("\f")[0])
    for want in ["Stop and look: slow5 (1 of 8 runs): something may be loose or rub", "Look it over: slow5 (8 of 8 runs): rotor and motor",
                 "Look it over: swept3 (8 of 8 runs): its blades may be unequal"]:
        ok(want in first, f'the first page says "{want}"')
    for want in ["slow5 (Five-blade, belt-driven) is the quietest at every compared thrust",
                 "quieter than stock2 by 8.0 dB at 3.5 N (95 % interval 7.1 to 8.9), ", "no clear difference", "belt mesh 1", "shifted",
                 "85 dB(A) over 8 h with a 3 dB exchange rate", "140 dB C", "no legal or certification measurement",
                 "Stay out of the plane of rotation", "Lithium packs", "IEC 61672-1:2013", "IEC 61260-1:2014",
                 "ISO 532-1:2017", "Left out: stock2-3000-b.wav", "no, it cancels", "calibrator.wav: 94.0 dB at 1000.2 Hz",
                 "lower the gain and record it again", "Next at 3.5 N: swept3, 4.4 dB above it.",
                 "Where the −8.0 dB against stock2 at 3.5 N come from: blade tones",
                 "To the ear at 3.5 N: slow5 is about half as loud as stock2. It sounds less sharp and smoother. "
                 "Its belt mesh tone at",
                 "A prominent tone may annoy more than the level of slow5 says.",
                 "quieter, a large step", "less sharp", "At 3.5 N, against stock2 (figures by the fits where there are any",
                 f"Why: at 3.5 N most of it lies in the blade tones, the strongest of them {strongest_blade_tone()}.",
                 "At equal level, LAeq 64 dB at 1 m: swept3 lifts 2.87 N, slow5 3.99 N.",
                 "Of 25 runs 21 are good, 2 are doubtful (used, and marked; 1 of them only in some bands, so its A-level counts as good) and 2 are unusable", "its background included", "a bittern called at 3 s, Röhricht"]:
        ok(want in flat, f'the PDF says "{want}"')
    # Source and microphone 1.2 m above hard ground and 1 m apart, 14 deg C: image source, sound speed of an ideal gas.
    longer_m, sound_speed_m_s = (1 + 2.4**2)**0.5 - 1, (1.4 * 287.05 * (273.15 + 14))**0.5
    dips = ", ".join(f"{odd * sound_speed_m_s / (2 * longer_m):.0f}" for odd in (1, 3, 5))
    ok(f"{longer_m:.3f} {dips} and so on" in flat, f"the dips of the ground reflection are listed: {dips} Hz")
    ok("rev/min" in flat and not re.search(r"\b(rev|m)/\s*\n", text), "no line ends within a unit")
    ok(flat.count("weakened by the ground") >= 6, "and marked on every narrow-band spectrum")
    header = re.compile(r"Rotor\W+Quantity")
    ok(sum(bool(header.search(page)) for page in text.split("\f")) >= 2, "a long table has its header on each page")


def read_table(folder, name):
    path = os.path.join(folder, "tables", name + ".csv")
    raw = open(path, "rb").read()
    ok(raw.count(b"\r\n") == raw.count(b"\n") and raw.endswith(b"\r\n"), f"{name}.csv: CRLF line ends (RFC 4180)")
    rows = list(csv.reader(open(path, encoding="utf-8", newline=""), strict=True))
    ok(len(rows) > 1 and all(len(row) == len(rows[0]) for row in rows), f"{name}.csv: {len(rows) - 1} rows as wide as the header")
    return [dict(zip(rows[0], row)) for row in rows[1:]]


def same(field, value):
    return (field == "" and value is None) or (field != "" and value is not None and float(field) == float(value))


def check_tables_are_json(folder, results):
    levels = read_table(folder, "levels")
    wrong = 0
    for row, run in zip(levels, results["runs"]):
        for key, value in run.get("levels", {}).items():
            wrong += not same(row[key], value)
        for key in ("rpm_given", "thrust_n", "power_w", "throttle_pct", "tip_speed_m_s"):
            wrong += not same(row[key], run[key])
        wrong += row["file"] != run["file"] or row["verdict"] != run["fitness"]["verdict"]
    ok(len(levels) == len(results["runs"]) and wrong == 0, "levels.csv holds the numbers of results.json")
    bands = [(run, band) for run in results["runs"] for band in run.get("third_octave", [])]
    rows = read_table(folder, "third-octave")
    ok(len(rows) == len(bands) and all(same(row["level_db"], band["level_db"]) and same(row["nominal_hz"], band["nominal_hz"])
       and same(row["at_reference_db"], band["at_reference_db"]) for row, (_, band) in zip(rows, bands)),
       "third-octave.csv too")
    tones = [tone for run in results["runs"] for tone in run.get("tones", [])]
    rows = read_table(folder, "tones")
    ok(len(rows) == len(tones) and all(same(row["hz"], tone["hz"]) and row["source"] == tone["source"]
       and same(row["audibility_db"], tone["audibility_db"]) for row, tone in zip(rows, tones)), "tones.csv too")
    lines = [line for run in results["runs"] for line in run.get("rotor", {}).get("blade_passage", [])]
    rows = read_table(folder, "blade-passage")
    ok(len(rows) == len(lines) and all(same(row["measured_hz"], line["measured_hz"]) and row["verdict"] == line["verdict"]
       for row, line in zip(rows, lines)), "blade-passage.csv too")
    rows = read_table(folder, "comparisons")
    ok(len(rows) == len(results["comparisons"]) and all(
        same(row["difference"], item["difference_db"]) and same(row["ci95_low"], item["ci95_db"][0])
        and row["verdict"] == item["verdict"] and row["at"] == item["at"] and row["words"] == item["words"]
        for row, item in zip(rows, results["comparisons"])), "comparisons.csv too")
    rows = read_table(folder, "what-ifs")
    ok(len(rows) == len(results["what_ifs"]) and all(
        row["source"] == item["source"] and row["kind"] == item["kind"] and same(row["share_pct"], item["share_pct"])
        and same(row["fall_db"], item["fall_db"]) and row["prominent_left"] == "; ".join(item["prominent_left"])
        for row, item in zip(rows, results["what_ifs"])), "what-ifs.csv too")


def check_json(results):
    ok(results["thrum"]["format"] == 1 and list(results)[:2] == ["thrum", "campaign"], "format and order of keys")
    ok(results["campaign"]["level_unit"] == "dB re 20 µPa" and results["campaign"]["reference"] == "stock2", "campaign")
    item = results["comparisons"][0]
    ok(set(["at", "value", "quantity", "variant", "reference", "difference_db", "ci95_db", "verdict", "words", "extrapolated"])
       <= set(item), "a comparison has its keys")
    ok(item["difference_db"] == round(item["variant_value"] - item["reference_value"], 3) or
       abs(item["difference_db"] - (item["variant_value"] - item["reference_value"])) < 6e-4, "a difference is one")
    parts = {}
    for part in results["contributions"]:
        if part["band_hz"] is not None:
            key = (part["value"], part["variant"])
            parts[key] = parts.get(key, 0) + part["share_db"]
    ok(all(any(c["quantity"] == "LAeq_db" and (c["value"], c["variant"]) == key and abs(c["difference_db"] - total) < 0.02
               for c in results["comparisons"]) for key, total in parts.items()) and parts,
       "contributions are written whole: the bands add up to the difference")


def check_what_ifs(kind, results):
    items = results["what_ifs"]
    wrong = [item for item in items if abs(item["fall_db"] + 10 * math.log10(1 - item["share_pct"] / 100)) > 1e-3]
    ok(items and not wrong, f"{kind}: each fall is −10 lg(1 − share), to 0.001 dB ({len(items)})")
    sums = {}
    for item in items:
        if item["kind"] != "main bands":
            key = (item["variant"], item["microphone"], item["at"], item["value"])
            sums[key] = sums.get(key, 0) + item["share_pct"]
    ok(all(abs(total - 100) < 0.01 for total in sums.values()), f"{kind}: shares add up to 100 % at each place")


def check_letters(text, source):
    """The fixture's title is partly Japanese; fontconfig says whether any font here has KATAKANA LETTER KU."""
    if not shutil.which("fc-list"):
        skip("fontconfig's fc-list is not there")
        return
    fonts = subprocess.run(["fc-list", ":charset=30af"], capture_output=True, text=True, check=True).stdout
    told = "has no font for some letters of this campaign"
    ok((told in squeeze(text)) == (not fonts.strip()) == (told in source),
       f"the report says that letters lack a font where they do ({'no' if not fonts.strip() else 'a'} font has them)")


def structure(page):
    return "\n".join(page.outline) + "\n"


def check_golden(name, got):
    path = os.path.join(GOLDEN, name)
    if UPDATE:
        os.makedirs(GOLDEN, exist_ok=True)
        with open(path, "w", encoding="utf-8", newline="") as out:
            out.write(got)
    want = open(path, encoding="utf-8", newline="").read()
    if not ok(got == want, f"{name} is as agreed"):
        for a, b in zip(got.splitlines(), want.splitlines()):
            if a != b:
                print(f"# got  {a}\n# want {b}")
                break


def write(kind, folder, env=None):
    run = subprocess.run([WRITE, kind, folder], capture_output=True, env={**os.environ, **(env or {})})
    ok(run.returncode == 0 and not run.stderr, f"{kind} is written, and no library complains: {run.stderr[:200]}")
    return run.stdout


def all_bytes(folder):
    return {os.path.relpath(os.path.join(top, name), folder): open(os.path.join(top, name), "rb").read()
            for top, _, names in os.walk(folder) for name in names}


def check_decimal_comma(work, plain):
    source = "/usr/share/i18n/locales/de_DE"
    if not shutil.which("localedef") or not os.path.exists(source):
        skip("no decimal-comma locale can be made: package locales is not there")
        return
    places = os.path.join(work, "locales")
    os.makedirs(places)
    subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", os.path.join(places, "de_DE.UTF-8")],
                   check=False, capture_output=True)
    env = {"LOCPATH": places, "LC_ALL": "de_DE.UTF-8"}
    shown = subprocess.run([sys.executable, "-c", "import locale; locale.setlocale(locale.LC_ALL, ''); "
                            "print(locale.localeconv()['decimal_point'])"], capture_output=True, text=True,
                           env={**os.environ, **env}).stdout.strip()
    ok(shown == ",", "the locale that was made has a decimal comma")
    folder = os.path.join(work, "comma")
    write("rich", folder, env)
    ok(all_bytes(folder) == plain, "a decimal-comma locale leaves every byte as it is")


def check_the_checkers():
    ok(overlaps([("a", 0, 0, 10, 10), ("b", 5, 0, 15, 10)]) == [("a", "b")], "words that lie over each other are found")
    ok(not overlaps([("a", 0, 0, 10, 10), ("b", 10.5, 0, 15, 10), ("c", 0, 9, 10, 19)]), "neighbours are not")
    page = Page()
    page.feed("<p><b>x</p></b>")
    ok(page.wrong, "tags that do not nest are found")


def main():
    check_the_checkers()
    with tempfile.TemporaryDirectory() as work:
        folders = {kind: os.path.join(work, kind) for kind in ("rich", "one-variant", "uncalibrated", "all-failed")}
        pages = {"rich": (13, 19), "one-variant": (8, 12), "uncalibrated": (9, 13), "all-failed": (4, 6)}
        for kind, folder in folders.items():
            write(kind, folder)
            source, page = check_html(kind, os.path.join(folder, "report.html"))
            text = check_pdf(kind, os.path.join(folder, "report.pdf"), *pages[kind])
            check_pdf_layout(kind, os.path.join(folder, "report.pdf"))
            results = json.load(open(os.path.join(folder, "results.json"), encoding="utf-8"))
            raw = open(os.path.join(folder, "results.json"), encoding="utf-8").read()
            ok(not re.search(r"\b(NaN|Infinity|nan|inf)\b", raw), f"{kind}: no NaN in results.json")
            if kind != "all-failed":
                check_what_ifs(kind, results)
                ok("What to change first" in squeeze(text), f"{kind}: says what to change first")
            if kind == "rich":
                check_escaping(source, page)
                check_pdf_says(text)
                check_letters(text, source)
                check_json(results)
                check_tables_are_json(folder, results)
                check_golden("structure.txt", structure(page))
                for name in ("comparisons", "levels", "blade-passage"):
                    check_golden(name + ".csv", open(os.path.join(folder, "tables", name + ".csv"),
                                                     encoding="utf-8", newline="").read())
            if kind in ("one-variant", "uncalibrated"):
                ok("see Cautions" in squeeze(text.split("\f")[0]), f"{kind}: the summary ends on the first page")
            if kind == "uncalibrated":
                ok("20 µPa" not in squeeze(text).replace("Full-scale sine, dB re 20 µPa", "") and "dBFS" in text,
                   "uncalibrated: every level is dBFS")
                ok("only differences between recordings" in squeeze(text), "uncalibrated: says what means something")
                ok("they need absolute levels" in squeeze(text), "uncalibrated: says why loudness is absent")
            if kind == "one-variant":
                ok("nothing to compare it with" in squeeze(text) and not results["comparisons"],
                   "one variant: says why there is no comparison")
            if kind == "all-failed":
                ok("No recording of this campaign could be used" in squeeze(text) and re.search(r"(All \d+ runs are|The only run is) unusable\.", squeeze(text)), "all failed: says so")
        check_decimal_comma(work, all_bytes(folders["rich"]))
    print(f"1..{count}")
    return 1 if failed else 0


sys.exit(main())
