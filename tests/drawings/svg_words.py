"""Read the words of a drawing back as boxes, by an estimate that is no wider than B612 really is."""

from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree

Words = tuple[str, float, float, float, float]
WIDE = 0.56


def words_in(svg: str) -> list[Words]:
    """List each text with its box: words, left, top, right, bottom."""
    found = []
    for node in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        words, size = "".join(node.itertext()), float(node.attrib["font-size"])
        x, y, wide = float(node.attrib["x"]), float(node.attrib["y"]), len(words) * size * WIDE
        left = x - wide / 2 if node.get("text-anchor") == "middle" else x
        found.append((words, left, y - size * 0.75, left + wide, y + size * 0.15))
    return found


def overlaps(words: list[Words]) -> list[tuple[str, str]]:
    """List the pairs that lie on each other."""
    return [
        (one[0], other[0])
        for one, other in combinations(words, 2)
        if one[1] < other[3] and other[1] < one[3] and one[2] < other[4] and other[2] < one[4]
    ]
