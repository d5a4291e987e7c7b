"""A signature drawn from numbers: the strokes of a hand on a written line, a thousand units wide."""

from __future__ import annotations

from collections.abc import Sequence

from shopapp.drawings.svg import Svg, line, num, path, root

WIDTH, HEIGHT = 1000, 300
BASE = 240
INK_WIDTH = 5.0
Strokes = Sequence[Sequence[tuple[int, int]]]


def signature(strokes: Strokes, *, label: str) -> Svg:
    """Draw strokes (whole numbers, x up to 1000, y up to 300 downwards) over the line; `label` says whose they are."""
    d = "".join(_stroke(stroke) for stroke in strokes if stroke)
    return root(WIDTH, HEIGHT, line((0, BASE), (WIDTH, BASE), 2), path(d, INK_WIDTH), label=label)


def _stroke(stroke: Sequence[tuple[int, int]]) -> str:
    """Write one stroke; a dot is a stroke of one unit."""
    points = list(stroke) if len(stroke) > 1 else [stroke[0], (stroke[0][0] + 1, stroke[0][1])]
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)
