"""Draw the edge of an A4 drawing sheet: trim, frame, zone marks and centring marks, in millimetres."""

from typing import Final

from shopapp.drawings.strokes import CAPTION_FACES, Box, box
from shopapp.drawings.svg import Svg, element, group, line, root

WIDTH: Final = 210.0
HEIGHT: Final = 297.0
TRIM: Final = Box(15, 9, 201, 290)
FRAME: Final = Box(20, 14, 196, 285)
COLUMNS: Final = "1234"
ROWS: Final = "ABCDEF"


def paper_edge() -> Svg:
    """Draw the edge for a whole A4 page; the frame lies 20 mm from the binding side, 14, 12 and 14 mm elsewhere.

    Digits in the zones come from the text face: the caption face has none.
    """
    centre_x, centre_y = (FRAME.left + FRAME.right) / 2, (FRAME.top + FRAME.bottom) / 2
    marks = [
        line((centre_x, TRIM.top - 1), (centre_x, FRAME.top + 2), 0.5),
        line((centre_x, FRAME.bottom - 2), (centre_x, TRIM.bottom + 1), 0.5),
        line((TRIM.left - 1, centre_y), (FRAME.left + 2, centre_y), 0.5),
        line((FRAME.right - 2, centre_y), (TRIM.right + 1, centre_y), 0.5),
    ]
    drawn = group(box(TRIM, 0.25, fill="none"), box(FRAME, 0.7, fill="none"), *_columns(), *_rows(), *marks)
    return root(WIDTH, HEIGHT, drawn)


def _columns() -> list[Svg]:
    step = FRAME.width / len(COLUMNS)
    parts = []
    for index, name in enumerate(COLUMNS):
        x = FRAME.left + step * index
        for top, bottom in ((TRIM.top, FRAME.top), (FRAME.bottom, TRIM.bottom)):
            if index:
                parts.append(line((x, top), (x, bottom), 0.25))
            parts.append(_letter(x + step / 2, (top + bottom) / 2, name))
    return parts


def _rows() -> list[Svg]:
    step = FRAME.height / len(ROWS)
    parts = []
    for index, name in enumerate(ROWS):
        y = FRAME.top + step * index
        for left, right in ((TRIM.left, FRAME.left), (FRAME.right, TRIM.right)):
            if index:
                parts.append(line((left, y), (right, y), 0.25))
            parts.append(_letter((left + right) / 2, y + step / 2, name))
    return parts


def _letter(x: float, y: float, name: str) -> Svg:
    return element(
        "text",
        name,
        x=x,
        y=y + 0.9,
        font_family=CAPTION_FACES,
        font_size=2.6,
        text_anchor="middle",
        fill="currentColor",
    )
