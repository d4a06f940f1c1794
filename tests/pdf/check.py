"""What a report's PDF must hold, looked at from outside: `check.py REPORT_FOLDER...`.

Needs pikepdf (PyPI) and poppler-utils (Debian). Every expected text is taken from `summary.json` beside the PDF, so
that the PDF is held against the evidence and not against itself.

What the claims ask for: ISO 19005-2 (PDF/A-2), 6.2.11 (fonts embedded), 6.6.4 (identification), 6.7 (logical
structure); ISO 14289-1 (PDF/UA-1), 5 (identification), 7.1 (everything tagged or an artifact, title shown, Suspects
false), 7.2 (language), 7.3 (figures have alternative text), 7.5 (table headers), 7.18.5 (links). Clause numbers from
memory. This is no validator: it looks for what goes wrong first.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

import pikepdf

VERDICTS = {"met": "Drying goal met", "not_met": "Drying goal not met", "not_shown": "Drying goal not shown"}
# Bookmarks that every report has; those of chambers, equipment and days depend on the record.
SECTIONS = ["Answers", "Findings", "Method, sources and assumptions", "Inputs", "Cautions", "Sign-off"]
PAPERS = {"us": (612.0, 792.0), "si": (595.276, 841.89)}
MOST_BYTES = 5_000_000


class Check:
    """One PDF with what it failed."""

    def __init__(self, folder):
        self.path = folder / "report.pdf"
        self.summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
        self.evidence = self.summary["evidence"]
        self.pdf = pikepdf.open(self.path)
        self.pages = pages_of_text(self.path)
        self.faults = []

    def that(self, holds, what):
        """Notes what does not hold."""
        if not holds:
            self.faults.append(what)

    def run(self):
        """Everything."""
        for look in (self.form, self.claims, self.fonts, self.tags, self.marked, self.bookmarks, self.links, self.words):
            look()
        return self.faults

    def form(self):
        """Paper, size, nothing that acts."""
        width, height = PAPERS[self.summary["units"]]
        for number, page in enumerate(self.pdf.pages, 1):
            box = [float(side) for side in page.mediabox]
            # Half a point: sizes of paper are rounded to tenths of a millimetre.
            fits = abs(box[2] - box[0] - width) < 0.5 and abs(box[3] - box[1] - height) < 0.5
            self.that(fits, f"page {number} is {box}, not {width} x {height}")
        self.that(self.path.stat().st_size < MOST_BYTES, f"{self.path.stat().st_size} bytes")
        self.that(not self.pdf.is_encrypted, "encrypted")
        for key in ("/OpenAction", "/AA", "/AcroForm"):
            self.that(key not in self.pdf.Root, f"has {key}")
        self.that("/JavaScript" not in self.pdf.Root.get("/Names", {}), "has scripts")

    def claims(self):
        """Conformance, language, title."""
        with self.pdf.open_metadata() as meta:
            for key, wanted in (("pdfaid:part", "2"), ("pdfaid:conformance", "A"), ("pdfuaid:part", "1")):
                self.that(meta.get(key) == wanted, f"{key} is {meta.get(key)}, not {wanted}")
            self.that(bool(meta.get("dc:title")), "no title")
        root = self.pdf.Root
        self.that(str(root.get("/Lang", "")).startswith("en"), f"language {root.get('/Lang')}")
        self.that(root.get("/ViewerPreferences", {}).get("/DisplayDocTitle") == True, "the title is not displayed")  # noqa: E712
        self.that(len(root.get("/OutputIntents", [])) == 1, "no output intent")
        info = root.get("/MarkInfo", {})
        self.that(info.get("/Marked") == True, "not marked as tagged")  # noqa: E712
        self.that(info.get("/Suspects", False) == False, "suspect tags")  # noqa: E712

    def fonts(self):
        """Every font has its file, its characters and the family we ship."""
        fonts = {}
        for page in self.pdf.pages:
            gather_fonts(page.obj.get("/Resources", {}), fonts, set())
        self.that(len(fonts) > 0, "no fonts")
        for name, font in fonts.items():
            descendants = font.get("/DescendantFonts", [font])
            files = [key for one in descendants for key in one.get("/FontDescriptor", {}) if key.startswith("/FontFile")]
            self.that(len(files) >= len(descendants), f"{name} is not embedded")
            self.that("/ToUnicode" in font, f"{name} has no characters behind its glyphs")
            self.that("Inter" in name, f"{name} is not a face we ship")

    def tags(self):
        """The structure: headings without a gap, tables with heads, figures with words."""
        elements = list(structure(self.pdf.Root["/StructTreeRoot"]))
        kinds = [str(element.get("/S", "")) for element in elements]
        for kind in ("/H1", "/H2", "/Table", "/TR", "/TH", "/TD", "/Figure", "/Link", "/P"):
            self.that(kind in kinds, f"no {kind} among the tags")
        levels = [int(kind[2:]) for kind in kinds if re.fullmatch(r"/H[1-6]", kind)]
        self.that(all(b - a <= 1 for a, b in zip(levels, levels[1:])), f"a level of headings is skipped: {levels}")
        for element, kind in zip(elements, kinds):
            if kind == "/Figure":
                alt = str(element.get("/Alt", ""))
                self.that(len(alt) > 30 and alt.endswith("."), f"a figure is described as `{alt}`")
            if kind == "/TH":
                attributes = element.get("/A", [])
                attributes = attributes if isinstance(attributes, pikepdf.Array) else [attributes]
                self.that(any("/Scope" in one for one in attributes), "a table head without scope")
        figures = kinds.count("/Figure")
        self.that(figures > 0, "no figures")

    def marked(self):
        """All that is drawn belongs to a tag or is an artifact, and tables that go on repeat their heads."""
        for number, page in enumerate(self.pdf.pages, 1):
            depth = 0
            for operands, operator in pikepdf.parse_content_stream(page):
                name = str(operator)
                if name in ("BDC", "BMC"):
                    tagged = str(operands[0]) == "/Artifact" or (name == "BDC" and "/MCID" in operands[1])
                    depth += 1 if tagged or depth > 0 else 0
                elif name == "EMC":
                    depth = max(0, depth - 1)
                elif name in ("Tj", "TJ", "Do", "S", "f", "B", "f*", "s", "b") and depth == 0:
                    self.faults.append(f"page {number} draws outside of every tag ({name})")
                    break

    def bookmarks(self):
        """Every part can be reached, and each bookmark leads to a page."""
        titles = []
        with self.pdf.open_outline() as outline:
            waiting = list(outline.root)
            while waiting:
                item = waiting.pop(0)
                titles.append(item.title)
                waiting.extend(item.children)
                self.that(self.destination(item.destination) is not None, f"bookmark `{item.title}` leads nowhere")
        wanted = list(SECTIONS)
        wanted += [f"Day {day['number']}: " for day in self.days_with_air()]
        wanted += [chamber["name"] for chamber in self.evidence["chambers"] if plain(chamber["name"])]
        if self.evidence["equipment"]:
            wanted.append("Equipment record")
        for title in wanted:
            self.that(any(title in found for found in titles), f"no bookmark `{title}` among {titles}")

    def links(self):
        """Links lead to pages; each verdict of page 1 has one."""
        count, of_first = 0, 0
        for number, page in enumerate(self.pdf.pages, 1):
            for annotation in page.obj.get("/Annots", []):
                if annotation.get("/Subtype") != "/Link":
                    continue
                count += 1
                target = annotation.get("/Dest", annotation.get("/A", {}).get("/D"))
                self.that(self.destination(target) is not None, f"a link of page {number} leads nowhere")
                self.that("/Contents" in annotation, f"a link of page {number} is not described")
                of_first += number == 1
        self.that(count >= len(self.evidence["points"]), f"{count} links")
        self.that(of_first >= len(self.evidence["chambers"]), f"{of_first} links on page 1")

    def words(self):
        """What the evidence says is there to be read, where it belongs."""
        job, last = self.evidence["job"], len(self.pages)
        self.that(last == len(self.pdf.pages), "pages and their texts differ")
        for number, text in enumerate(self.pages, 1):
            self.that(f"page {number} of {last}" in text, f"page {number} does not say so")
            if job["number"] and plain(job["number"]):
                self.that(job["number"] in text, f"page {number} does not name the job")
            self.that(len(text) > 200, f"page {number} is next to empty")
        first, everything = self.pages[0], " ".join(self.pages)
        # Rows of a table as the eye reads them.
        lines = pages_of_text(self.path, "-layout")[0]
        for chamber in self.evidence["chambers"]:
            verdict = VERDICTS[chamber["verdict"]]
            self.that(verdict in first, f"page 1 does not say `{verdict}`")
            if plain(chamber["name"]):
                self.that(chamber["name"] in first, f"page 1 does not name {chamber['name']}")
        for kind in self.evidence["equipment_totals"]:
            totals = kind["totals"]
            row = [kind["units"], totals["recorded_days"], totals["needed"]]
            self.that(" ".join(map(str, row)) in lines, f"page 1 lacks the totals of {kind['kind']}: {row}")
        for release in self.evidence["releases"]:
            for sentence in release["sentences"] + release["rests_on"]:
                self.that(squeezed(sentence) in squeezed(everything), f"not there: {sentence}")
        for finding in self.evidence["findings"]:
            self.that(squeezed(finding["text"]) in squeezed(everything), f"not there: {finding['text']}")
        for missing in self.evidence["missing"]:
            self.that(squeezed(missing["text"]) in squeezed(everything), f"not there: {missing['text']}")

    def days_with_air(self):
        """Days that have a page for sure."""
        dates = {air["date"] for air in self.evidence["daily_air"] if air["gpp"]}
        return [day for day in self.evidence["days"] if day["date"] in dates]

    def destination(self, target):
        """The page a destination leads to, `None` where it leads nowhere."""
        if isinstance(target, pikepdf.Array) and len(target) > 0:
            return target[0]
        if target is None:
            return None
        names = pikepdf.NameTree(self.pdf.Root["/Names"]["/Dests"]) if "/Names" in self.pdf.Root else {}
        found = names.get(str(target)) if names else None
        if isinstance(found, pikepdf.Dictionary):
            found = found.get("/D")
        return found[0] if found is not None else None


def pages_of_text(path, *options):
    """The text of each page in reading order, white space made one."""
    command = ["pdftotext", "-q", *options, str(path), "-"]
    text = subprocess.run(command, check=True, capture_output=True).stdout.decode("utf-8")
    return [" ".join(page.replace("\u200b", "").split()) for page in text.split("\f")[:-1]]


def squeezed(text):
    """Without any space: a table breaks lines where it likes, and long words at marks."""
    return re.sub(r"[\s\u200b]", "", text)


def plain(text):
    """Whether a text is short, of ASCII, and so printed as it is."""
    return len(text) < 40 and text.isascii() and text.isprintable()


def gather_fonts(resources, fonts, seen):
    """Fonts of resources and of the forms in them, by name."""
    for font in resources.get("/Font", {}).values():
        fonts[str(font.get("/BaseFont", font.get("/Subtype")))] = font
    for form in list(resources.get("/XObject", {}).values()) + list(resources.get("/Pattern", {}).values()):
        if form.objgen not in seen and "/Resources" in form:
            seen.add(form.objgen)
            gather_fonts(form["/Resources"], fonts, seen)


def structure(root):
    """Every structure element below a root, in reading order."""
    waiting = [root]
    while waiting:
        element = waiting.pop()
        if not isinstance(element, pikepdf.Dictionary):
            continue
        if "/S" in element:
            yield element
        children = element.get("/K", [])
        children = list(children) if isinstance(children, pikepdf.Array) else [children]
        waiting.extend(reversed([child for child in children if isinstance(child, pikepdf.Dictionary)]))


def main():
    """Checks each folder; the exit code is 1 if anything failed."""
    failed = False
    for folder in map(Path, sys.argv[1:]):
        check = Check(folder)
        faults = check.run()
        failed |= bool(faults)
        print(f"{folder}: {len(check.pages)} pages, {check.path.stat().st_size} bytes: {'ok' if not faults else ''}")
        for fault in faults:
            print(f"  {fault}")
    if len(sys.argv) < 2:
        print("expected the report folders to look at")
        failed = True
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
