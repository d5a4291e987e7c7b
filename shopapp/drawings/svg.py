"""Build SVG text: elements, numbers and our own escaping of every text."""

import math
from typing import Final, NewType

Svg = NewType("Svg", str)
Value = str | float | None
Point = tuple[float, float]

INK: Final = "#000000"
SHEET: Final = "#FFFFFF"
INKS: Final = frozenset({"dim", "out", "cap", "rule"})

_ENTITIES: Final = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"}


def _allowed(char: str) -> bool:
    """Say whether XML 1.0 may hold this character (no control characters, no lone surrogates)."""
    code = ord(char)
    return code in (0x9, 0xA, 0xD) or 0x20 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or code > 0xFFFF


def escape(text: object) -> str:
    """Make any text safe in an element or an attribute; what XML cannot hold becomes U+FFFD."""
    return "".join(_ENTITIES.get(char, char if _allowed(char) else "�") for char in str(text))


def num(value: float) -> str:
    """Write a coordinate with two decimals at most; NaN and infinity raise ValueError."""
    if not math.isfinite(value):
        raise ValueError(f"A drawing needs finite numbers, not {value}.")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, *children: str, **attributes: Value) -> Svg:
    """Write one element; an underscore in an attribute's name is a hyphen, None leaves the attribute out."""
    parts = []
    for key, value in attributes.items():
        if value is None:
            continue
        shown = escape(value) if isinstance(value, str) else num(value)
        parts.append(f' {key.strip("_").replace("_", "-")}="{shown}"')
    body = "".join(children)
    return Svg(f"<{name}{''.join(parts)}>{body}</{name}>" if body else f"<{name}{''.join(parts)}/>")


def group(*children: str, ink: str = "", **attributes: Value) -> Svg:
    """Gather elements; `ink` names another ink than the root's, by which a page colours the group."""
    if ink and ink not in INKS:
        raise ValueError(f"There is no ink called {ink}.")
    if ink:
        attributes = {"color": INK, "data_ink": ink, **attributes}
    return element("g", *children, **attributes)


def root(width: float, height: float, *children: str, label: str = "", linked: bool = False) -> Svg:
    """Close a drawing: a picture with a name for the screen reader, or one that it passes over.

    A drawing with links in it (`linked`) is a group: a picture may hold nothing that takes the focus.
    """
    role = "group" if linked else "img"
    spoken: dict[str, Value] = {"role": role, "aria_label": label} if label else {"aria_hidden": "true"}
    return element(
        "svg",
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(width)} {num(height)}",
        width=width,
        height=height,
        color=INK,
        **spoken,
    )


def line(start: Point, end: Point, width: float, dash: str | None = None) -> Svg:
    """Draw a stroke from one point to another."""
    return element(
        "line",
        x1=start[0],
        y1=start[1],
        x2=end[0],
        y2=end[1],
        stroke="currentColor",
        stroke_width=width,
        stroke_dasharray=dash,
    )


def path(d: str, width: float = 0, *, fill: str = "none", dash: str | None = None) -> Svg:
    """Draw a path; `fill` is none, currentColor, or the paper (which a page re-inks as its sheet)."""
    return element(
        "path",
        d=d,
        fill=fill,
        data_ink="sheet" if fill == SHEET else None,
        stroke="currentColor" if width else None,
        stroke_width=width or None,
        stroke_dasharray=dash,
    )


def polygon(points: list[Point], width: float = 0, *, fill: str = "currentColor") -> Svg:
    """Draw a closed path through the points."""
    return path("M" + "L".join(f"{num(x)} {num(y)}" for x, y in points) + "Z", width, fill=fill)


def circle(centre: Point, radius: float, width: float, *, fill: str = SHEET, dash: str | None = None) -> Svg:
    """Draw a circle, by default with the paper inside."""
    return element(
        "circle",
        cx=centre[0],
        cy=centre[1],
        r=radius,
        fill=fill,
        data_ink="sheet" if fill == SHEET else None,
        stroke="currentColor",
        stroke_width=width,
        stroke_dasharray=dash,
    )
