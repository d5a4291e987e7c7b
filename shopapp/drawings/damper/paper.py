"""Keep the words of a drawing apart: from each other, from lines, and from the parts that are drawn."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from shopapp.drawings.strokes import Box
from shopapp.drawings.svg import Point

Stroke = tuple[Point, Point]
EDGE = 3.0
APART = 3.0


def meet(one: Box, other: Box, apart: float = 0.0) -> bool:
    """Say whether two rectangles come nearer than `apart`."""
    return (
        one.left < other.right + apart
        and other.left < one.right + apart
        and one.top < other.bottom + apart
        and other.top < one.bottom + apart
    )


def crosses(stroke: Stroke, area: Box, apart: float = 0.0) -> bool:
    """Say whether a stroke goes through a rectangle grown by `apart` (Liang and Barsky's clipping)."""
    (x, y), (end_x, end_y) = stroke
    dx, dy = end_x - x, end_y - y
    first, last = 0.0, 1.0
    sides = (
        (-dx, x - area.left + apart),
        (dx, area.right + apart - x),
        (-dy, y - area.top + apart),
        (dy, area.bottom + apart - y),
    )
    for along, room in sides:
        if along == 0:
            if room < 0:
                return False
        elif along < 0:
            first = max(first, room / along)
        else:
            last = min(last, room / along)
    return first <= last


def cut(one: Stroke, other: Stroke) -> bool:
    """Say whether two strokes cross each other."""

    def side(at: Stroke, point: Point) -> float:
        (x, y), (end_x, end_y) = at
        return (end_x - x) * (point[1] - y) - (end_y - y) * (point[0] - x)

    return side(one, other[0]) * side(one, other[1]) < 0 and side(other, one[0]) * side(other, one[1]) < 0


def level_with(one: Stroke, other: Stroke, apart: float = 6.0) -> bool:
    """Say whether two level strokes run so near each other that they read as one line."""
    (x, y), (end_x, end_y) = one
    (other_x, other_y), (other_end_x, other_end_y) = other
    if y != end_y or other_y != other_end_y or abs(y - other_y) >= apart:
        return False
    return min(x, end_x) < max(other_x, other_end_x) and min(other_x, other_end_x) < max(x, end_x)


@dataclass(slots=True)
class Paper:
    """What is already on the sheet. `solids` are parts that no words and no leader from elsewhere may cover."""

    width: float
    solids: list[Box]
    texts: list[Box] = field(default_factory=list)
    lines: list[Stroke] = field(default_factory=list)
    leaders: list[Stroke] = field(default_factory=list)

    def has_room(self, words: Box) -> bool:
        """Say whether words stand on the sheet and on nothing else: the least that any words need."""
        if words.left < EDGE or words.right > self.width - EDGE:
            return False
        return not any(meet(words, other, APART) for other in (*self.texts, *self.solids))

    @property
    def under(self) -> float:
        """Give a height under everything that is on the sheet."""
        return max(area.bottom for area in (*self.texts, *self.solids)) + APART

    def takes(self, words: Box, strokes: Sequence[Stroke], *, leads: bool = False) -> bool:
        """Say whether words with their lines have room here, without a line through words or beside another one.

        A leader (`leads`) may leave the part that it points at, may not go through another one, and crosses no leader.
        """
        if not self.has_room(words):
            return False
        if any(crosses(stroke, words, 2) for stroke in self.lines):
            return False
        if any(crosses(stroke, other, 1) for stroke in strokes for other in self.texts):
            return False
        if any(level_with(stroke, other) for stroke in strokes for other in self.lines):
            return False
        return not leads or not self._tangled(strokes)

    def _tangled(self, strokes: Sequence[Stroke]) -> bool:
        start = strokes[0][0]
        at = Box(*start, *start)
        others = [part for part in self.solids if not meet(at, part, 1)]
        if any(crosses(stroke, part) for stroke in strokes for part in others):
            return True
        return any(cut(stroke, other) for stroke in strokes for other in self.leaders)

    def put(self, words: Box, strokes: Iterable[Stroke], *, leads: bool = False) -> None:
        """Note words with their lines as placed."""
        given = list(strokes)
        self.texts.append(words)
        self.lines.extend(given)
        if leads:
            self.leaders.extend(given)
