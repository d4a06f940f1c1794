"""Pages of the sample report held against how they looked when somebody looked at them: `pages.py REPORT_FOLDER`.

Needs Pillow (PyPI, comes with pikepdf) and poppler-utils (Debian). `UPDATE_GOLDEN=1` keeps the pages as they look now,
to be done after looking at them; where one looks otherwise, both are written beside one another to `target/golden`.

Pages are compared in greys, each square of SQUARE x SQUARE points of the raster by its mean, so that another version of
the renderer with other edges of letters is no change, and a line of text that is gone or has moved is one.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image, ImageChops

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / "tests" / "golden" / "pages"
DOTS_PER_INCH = 60
SQUARE = 3
# Of 255. Two renderers (poppler with its own and with the cairo raster) differ by this in 0.06 % of squares at most.
LEAST_DIFFERENCE = 60
# Share of squares; eight dates written otherwise on a page of text make more.
MOST_DIFFERENT = 0.001


def main():
    """Compares each page; the exit code is 1 if one looks otherwise."""
    if len(sys.argv) != 2:
        print("expected the folder of the sample's report")
        return 1
    report = Path(sys.argv[1]) / "report.pdf"
    failed = False
    for name, number in wanted(report).items():
        found, kept_at = rendered(report, number), KEPT / f"{name}.png"
        if os.environ.get("UPDATE_GOLDEN"):
            KEPT.mkdir(parents=True, exist_ok=True)
            found.quantize(16).save(kept_at, optimize=True)
            print(f"{name}: page {number} kept")
            continue
        kept = Image.open(kept_at).convert("L") if kept_at.exists() else Image.new("L", found.size, 255)
        share = different(kept, found)
        alike = share <= MOST_DIFFERENT
        print(f"{name}: page {number}, {share:.2%} looks otherwise: {'ok' if alike else beside(name, kept, found)}")
        failed |= not alike
    return 1 if failed else 0


def wanted(report):
    """Names and numbers of the pages that are kept."""
    text = subprocess.run(["pdftotext", "-q", str(report), "-"], check=True, capture_output=True).stdout.decode("utf-8")
    pages = text.split("\f")[:-1]

    # The first two pages, the answers and the contents, name the others.
    def opens(heading):
        lines = {n: [line.strip() for line in page.splitlines()] for n, page in enumerate(pages, 1) if n > 2}
        return next(n for n, of_page in lines.items() if heading in of_page)

    return {"answers": 1, "chamber": opens("Chamber A – Living room and hall"), "equipment": opens("Equipment record")}


def rendered(report, number):
    """A page in greys."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "page"
        page = ["-f", str(number), "-l", str(number), "-singlefile"]
        subprocess.run(
            ["pdftoppm", "-q", "-r", str(DOTS_PER_INCH), "-gray", "-png", *page, str(report), str(place)], check=True
        )
        return Image.open(place.with_suffix(".png")).convert("L")


def different(kept, found):
    """Share of squares that differ; all of them where the sizes do."""
    if kept.size != found.size:
        return 1.0
    size = [side // SQUARE for side in found.size]
    squares = ImageChops.difference(*(page.resize(size, Image.Resampling.BOX) for page in (kept, found)))
    far = squares.histogram()[LEAST_DIFFERENCE:]
    return sum(far) / (size[0] * size[1])


def beside(name, kept, found):
    """Writes both beside one another, kept left; returns where."""
    both = Image.new("L", (kept.width + found.width + 8, max(kept.height, found.height)), 128)
    both.paste(kept, (0, 0))
    both.paste(found, (kept.width + 8, 0))
    target = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "golden"
    target.mkdir(parents=True, exist_ok=True)
    both.save(target / f"page-{name}.png")
    return f"see {target / f'page-{name}.png'} (kept left, found right)"


if __name__ == "__main__":
    sys.exit(main())
