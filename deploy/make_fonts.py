"""Make the web fonts of static/fonts from Debian's fonts-b612 and fonts-routed-gothic.

Run it only when the fonts or the wanted signs change: `python deploy/make_fonts.py`. It needs fontTools
and brotli and the two Debian packages. The caption face loses its digits, superscripts and fractions (its 1
reads as I, and the PDF engine ignores `unicode-range`) and gets a family name of our own, or an installed
copy lends them again.
"""

import argparse
import sys
import unicodedata
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

OUT = Path(__file__).resolve().parent.parent / "static" / "fonts"
B612 = Path("/usr/share/fonts/opentype/b612")
ROUTED = Path("/usr/share/fonts/truetype/routed-gothic")

LATIN = [*range(0x20, 0x7F), *range(0xA0, 0x180)]
SIGNS = [ord(char) for char in "⌀⌴⌵⅛⅜⅝⅞⁄≤≥≈≠→←↑↓Δ√∑Ωμπ−–—‑…·•‘’“”„′″°×÷±²³⁻€£¢¥™≡№"]

FACES: dict[str, tuple[Path, str]] = {
    "b612": (B612 / "B612-Regular.otf", ""),
    "b612-bold": (B612 / "B612-Bold.otf", ""),
    "b612-mono": (B612 / "B612Mono-Regular.otf", ""),
    "b612-mono-bold": (B612 / "B612Mono-Bold.otf", ""),
    "sheet-caption": (ROUTED / "routed-gothic.ttf", "Sheet Caption"),
    "sheet-caption-narrow": (ROUTED / "routed-gothic-narrow.ttf", "Sheet Caption Narrow"),
}


def wanted(source: Path, family: str) -> list[int]:
    """Choose the code points to keep: Latin and our signs; for a caption face without digits of any kind."""
    there = set(TTFont(source).getBestCmap())
    keep = there & {*LATIN, *SIGNS}
    if family:
        keep = {code for code in keep if unicodedata.numeric(chr(code), None) is None}
    return sorted(keep)


def rename(font: TTFont, family: str) -> None:
    """Give a font another family name everywhere, and drop the names that nobody reads on a page."""
    names = font["name"]
    names.names = [record for record in names.names if record.nameID in (0, 1, 2, 4, 6, 13, 14)]
    for record in list(names.names):
        if record.nameID in (1, 4):
            names.setName(family, record.nameID, record.platformID, record.platEncID, record.langID)
        if record.nameID == 6:
            names.setName(family.replace(" ", ""), 6, record.platformID, record.platEncID, record.langID)


def make(name: str, source: Path, family: str) -> bytes:
    """Cut one subset and return the bytes of its WOFF2 file; the same input gives the same bytes."""
    options = subset.Options()
    options.layout_features = ["kern", "liga", "tnum", "mark", "mkmk"]
    options.name_IDs = ["*"]
    options.notdef_outline = True
    options.recalc_timestamp = False
    options.drop_tables = [*options.drop_tables, "FFTM"]
    options.flavor = "woff2"
    font = subset.load_font(str(source), options)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=wanted(source, family))
    cutter.subset(font)
    if family:
        rename(font, family)
    path = OUT / f"{name}.woff2"
    subset.save_font(font, str(path), options)
    return path.read_bytes()


def main() -> int:
    """Write all six files and print their sizes; without the Debian packages say which are missing."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    missing = [str(source) for source, _ in FACES.values() if not source.is_file()]
    if missing:
        print("Install fonts-b612 and fonts-routed-gothic first; not found:", *missing, sep="\n  ")
        return 1
    for name, (source, family) in FACES.items():
        print(f"{name}.woff2  {len(make(name, source, family)):>6} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
