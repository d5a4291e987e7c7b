"""What is asked about a stack that can be read: nothing here refuses, a shop has its own reasons."""

from collections.abc import Iterator, Sequence

from ..figures import positive
from ..words import said
from .shim import HAIR_M, Shim, label

THINNEST_M, THICKEST_M = 0.05e-3, 1e-3
WIDEST_M = 0.1


def queries(stack: Sequence[Shim], *, clamp_diameter_m: float | None = None) -> list[str]:
    """Return a question for each shim that is unlikely: thinner than 0.05 mm, thicker than 1 mm, wider than
    100 mm, thicker than wide, or no larger than the clamp where that is known. Common practice, no source.
    """
    clamp = None if clamp_diameter_m is None else positive(clamp_diameter_m, "The clamp's diameter")
    return [query for place, shim in enumerate(stack, start=1) for query in _about(place, shim, clamp)]


def _about(place: int, shim: Shim, clamp: float | None) -> Iterator[str]:
    wide, thick = shim.diameter.si, shim.thickness.si
    told = {"place": place, "shim": label(shim)}
    if thick >= wide:
        yield said(
            "Place {place}: {shim} is thicker than wide. Are the two figures the wrong way round?", **told
        )
        return
    if thick < THINNEST_M - HAIR_M:
        yield said("Place {place}: {shim} is thinner than 0.05 mm. Is that meant?", **told)
    elif thick > THICKEST_M + HAIR_M:
        yield said("Place {place}: {shim} is thicker than 1 mm. Is that meant?", **told)
    if wide > WIDEST_M + HAIR_M:
        yield said("Place {place}: {shim} is wider than 100 mm. Is that meant?", **told)
    elif clamp is not None and wide <= clamp + HAIR_M:
        yield said("Place {place}: {shim} does not reach past the clamp. Is that meant?", **told)
