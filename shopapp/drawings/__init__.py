"""Draw the shop's marks and the damper from numbers: SVG text, nothing else.

Everything here is pure: no Django, no clock, no files. A drawing carries presentation attributes only
(no class, no style): the PDF engine gives inline SVG no page CSS, and the content security policy stops
styles on the page. The colour in the attributes is black, which is what paper wants; a page re-inks the
root and the groups with `data-ink` from its own tokens, so that one drawing serves both.
"""

from shopapp.drawings.code import QUIET, QrCode, dots_mm, on_dots, qr_code
from shopapp.drawings.edge import paper_edge
from shopapp.drawings.marks import (
    STATES,
    break_line,
    caution_sign,
    flag,
    key_sign,
    reading_mark,
    state_mark,
)
from shopapp.drawings.strip import Verdict, judge, limits_strip
from shopapp.drawings.svg import Svg, escape

__all__ = [
    "QUIET",
    "QrCode",
    "STATES",
    "Svg",
    "Verdict",
    "break_line",
    "caution_sign",
    "dots_mm",
    "escape",
    "flag",
    "judge",
    "key_sign",
    "limits_strip",
    "on_dots",
    "paper_edge",
    "qr_code",
    "reading_mark",
    "state_mark",
]
