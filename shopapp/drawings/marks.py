"""Draw the small marks: a state as a line type, the overdue flag, the caution sign, signs on keys."""

from functools import lru_cache
from typing import Final

from shopapp.drawings.svg import SHEET, Svg, circle, element, group, line, num, path, polygon, root

STATES: Final = ("planned", "waiting", "in_work", "stopped", "done", "void")
"""The states that have a line type; the word stands beside the mark, always."""


@lru_cache(maxsize=64)
def state_mark(state: str, *, width: float = 56, height: float = 14) -> Svg:
    """Draw the line type of a state, without words: who places it writes the word beside it.

    `state` is one of STATES (a space for the underscore is understood); another one raises ValueError.
    """
    name = state.strip().lower().replace(" ", "_").replace("-", "_")
    drawn = _STATE_LINES.get(name)
    if drawn is None:
        raise ValueError(f"There is no line type for the state {state!r}.")
    return root(width, height, drawn(width, height))


def _planned(width: float, height: float) -> str:
    dash = "8 6" if width > 40 else "6 4"
    return line((1, height / 2), (width - 1, height / 2), 2.2, dash)


def _waiting(width: float, height: float) -> str:
    dash = "16 5 3 5" if width > 40 else "10 3 2 3"
    return line((1, height / 2), (width - 1, height / 2), 2.2, dash)


def _in_work(width: float, height: float) -> str:
    middle = height / 2
    head = polygon([(width - 13, 0.8), (width - 0.5, middle), (width - 13, height - 0.8)])
    return line((1, middle), (width - 11, middle), 3.6) + head


def _stopped(width: float, height: float) -> str:
    return path(_zigzag(width, height, 1), 2.2)


def _zigzag(width: float, height: float, inset: float) -> str:
    """Give the path of a line with the break in its middle third, as high as the drawing allows."""
    middle, half = height / 2, min(width * 0.16, height * 1.1)
    centre = width / 2
    points = [
        (inset, middle),
        (centre - half, middle),
        (centre - half * 0.45, inset),
        (centre + half * 0.45, height - inset),
        (centre + half, middle),
        (width - inset, middle),
    ]
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)


def _done(width: float, height: float) -> str:
    return "".join(line((1, height / 2 + dy), (width - 1, height / 2 + dy), 1.8) for dy in (-2.6, 2.6))


def _void(width: float, height: float) -> str:
    middle, arm = height / 2, height * 0.32
    count = max(2, round(width / 13))
    strokes = [line((1, middle), (width - 1, middle), 1.6)]
    for index in range(count):
        x = width * (index + 0.5) / count
        strokes.append(line((x - arm, middle - arm), (x + arm, middle + arm), 1.6))
        strokes.append(line((x - arm, middle + arm), (x + arm, middle - arm), 1.6))
    return "".join(strokes)


_STATE_LINES: Final = {
    "planned": _planned,
    "waiting": _waiting,
    "in_work": _in_work,
    "stopped": _stopped,
    "done": _done,
    "void": _void,
}


@lru_cache(maxsize=8)
def flag(*, height: float = 18) -> Svg:
    """Draw the overdue flag; the days stand beside it in figures."""
    mast = line((2, 0), (2, 22), 2)
    cloth = polygon([(2, 1), (18, 7), (2, 13)])
    drawn = group(mast, cloth, ink="out", transform=f"scale({num(height / 22)})")
    return root(19 * height / 22, height, drawn)


def caution_sign(*, size: float = 28) -> Svg:
    """Draw the warning triangle in the sheet's own ink; the caution's words stand beside it."""
    drawn = element(
        "g",
        path("M14 3.2L26.2 25H1.8Z", 2.2),
        line((14, 10.5), (14, 18.2), 2.6),
        circle((14, 21.6), 0.9, 1, fill="currentColor"),
        transform=f"scale({num(size / 28)})",
    )
    return root(size, size, drawn)


def break_line(*, width: float = 620, height: float = 26) -> Svg:
    """Draw the long break line that stands over a safety stop."""
    return root(width, height, path(_zigzag(width, height, 2), 4))


READING_SHAPES: Final = ("inside", "below", "above", "none")


def reading_shape(verdict: str, x: float, y: float, size: float = 7) -> Svg:
    """Draw the mark of a reading around a point: diamond, triangle left or right, open circle."""
    if verdict == "inside":
        return polygon([(x - size, y), (x, y - size), (x + size, y), (x, y + size)])
    if verdict == "below":
        return group(polygon([(x + size, y - size), (x - size, y), (x + size, y + size)]), ink="out")
    if verdict == "above":
        return group(polygon([(x - size, y - size), (x + size, y), (x - size, y + size)]), ink="out")
    if verdict == "none":
        return circle((x, y), size - 2, 2, fill=SHEET)
    raise ValueError(f"There is no mark for the verdict {verdict!r}.")


@lru_cache(maxsize=64)
def reading_mark(verdict: str, *, size: float = 18) -> Svg:
    """Draw the mark of a reading alone, as it stands in a narrow cell beside the figure."""
    return root(size, size, reading_shape(verdict, size / 2, size / 2, size / 2 - 1.5))


def key_sign(name: str) -> Svg:
    """Draw the sign on a key of the number pad: take_back, space, more, less.

    Drawn and not typed, because a font may lack the glyph or give it another shape.
    """
    sign = _KEY_SIGNS.get(name)
    if sign is None:
        raise ValueError(f"There is no key sign called {name!r}.")
    return root(44, 30, sign)


_KEY_SIGNS: Final = {
    "take_back": path("M13 3H42V27H13L2 15Z", 2.4) + path("M21 9L33 21M33 9L21 21", 2.4),
    "space": path("M5 11V22H39V11", 3),
    "more": polygon([(22, 3), (36, 27), (8, 27)]),
    "less": polygon([(22, 27), (36, 3), (8, 3)]),
}
