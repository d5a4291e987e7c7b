"""Draw a QR code for a label printer: each module is a whole number of its dots, so that no edge is blurred."""

import math
from dataclasses import dataclass
from typing import Final

import segno

from shopapp.drawings.svg import Svg, element, escape, num, path, root

QUIET: Final = 4
"""Modules left white on each side, as ISO/IEC 18004 asks for."""
MM_AN_INCH: Final = 25.4
INSET: Final = 0.02
"""What of a module is left out at each edge: a dot that a square only touches would be printed as well."""


@dataclass(frozen=True, slots=True)
class QrCode:
    """A drawn code: its side in mm with the quiet zone, and how many dots of the printer a module is."""

    drawing: Svg
    side: float
    dots: int
    modules: int


def dots_mm(dots: int, dpi: int) -> float:
    """Give the length in mm of some dots of a printer."""
    return dots * MM_AN_INCH / dpi


def on_dots(mm: float, dpi: int) -> float:
    """Give the length in mm moved to the nearest edge of a dot: what starts there is not cut through a dot."""
    return dots_mm(round(mm * dpi / MM_AN_INCH), dpi)


def qr_code(text: str, *, most: float, dpi: int, label: str) -> QrCode:
    """Draw `text` as large as whole dots allow within `most` mm; `label` is what a screen reader says.

    Error correction M at least (15 % of the code may be smeared), more where it costs no room. One drawing unit is
    one module: who places it gives it the width `side`. Raises ValueError where a module would be less than a dot.
    """
    code = segno.make(text, error="m", micro=False, boost_error=True)
    rows = [[bool(module) for module in row] for row in code.matrix]
    across = len(rows) + 2 * QUIET
    dots = math.floor(most * dpi / MM_AN_INCH / across)
    if dots < 1:
        raise ValueError(f"A code of {across} modules does not fit into {most} mm at {dpi} dots an inch.")
    # The PDF engine reads the words of a drawing from its title, a browser from the label.
    title = element("title", escape(label))
    drawn = root(across, across, title, path(_squares(rows), fill="currentColor"), label=label)
    return QrCode(drawn, dots_mm(across * dots, dpi), dots, len(rows))


def _squares(rows: list[list[bool]]) -> str:
    """Give the path of the dark modules, each run of a row as one rectangle."""
    parts = []
    for y, row in enumerate(rows, QUIET):
        start = None
        for x, dark in enumerate([*row, False]):
            if dark and start is None:
                start = x
            elif not dark and start is not None:
                across, down = x - start - 2 * INSET, 1 - 2 * INSET
                corner = f"M{num(start + QUIET + INSET)} {num(y + INSET)}"
                parts.append(f"{corner}h{num(across)}v{num(down)}h{num(-across)}z")
                start = None
    return "".join(parts)
