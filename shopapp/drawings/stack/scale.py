"""Choose the scale of a stack, and where the words stand that cannot all be beside their disc."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from shopapp.drawings.stack.numbers import Disc, Fit

TALLEST = 4000.0
_STEPS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 400, 500)


@dataclass(frozen=True, slots=True)
class Scale:
    """Pixels a mm across; along the axis `factor` times as many. Half widths in px of what holds the discs."""

    across: float
    factor: int
    piston: float
    clamp: float
    pin: float

    def thick(self, disc: Disc) -> float:
        return disc.thickness_mm * self.across * self.factor

    def half(self, disc: Disc) -> float:
        return disc.diameter_mm * self.across / 2


def scale(drawn: Sequence[Disc], fit: Fit, room: float, pitch: float) -> Scale:
    """Fit the widest part into `room` and make a usual disc as thick as a line of words is high (`pitch`)."""
    widest = max((disc.diameter_mm for disc in drawn), default=40.0)
    smallest = min((disc.diameter_mm for disc in drawn), default=24.0)
    piston = fit.piston_mm or widest * 1.08
    clamp = fit.clamp_mm or smallest * 0.8
    across = room / max(piston, widest, clamp)
    usual = median([disc.thickness_mm for disc in drawn] or [0.2])
    wanted = pitch / (usual * across)
    total = sum(disc.thickness_mm for disc in drawn) * across
    most = TALLEST / total if total else wanted
    return Scale(
        across=across,
        factor=_step(wanted, most),
        piston=piston * across / 2,
        clamp=clamp * across / 2,
        pin=min(clamp, smallest) * 0.6 * across / 2,
    )


def _step(wanted: float, most: float) -> int:
    """Give the least factor that people can say and that is enough; a tall stack takes what it has room for."""
    enough = next((step for step in _STEPS if step >= wanted * 0.98), _STEPS[-1])
    return min(enough, max((step for step in _STEPS if step <= most), default=1))


def spread(wanted: Sequence[float], pitch: float, *, first: float = 0.0) -> list[float]:
    """Move points no further than needed so that neighbours are `pitch` apart and none lies before `first`.

    `wanted` ascends. Neighbours that would overlap move as one block to their mean.
    """
    blocks: list[tuple[float, int]] = []
    for index, at in enumerate(wanted):
        mean, count = at - index * pitch, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        blocks.append((mean, count))
    flat = [max(mean, first) for mean, count in blocks for _ in range(count)]
    return [mean + index * pitch for index, mean in enumerate(flat)]
