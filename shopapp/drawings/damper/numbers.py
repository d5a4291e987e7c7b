"""What the half-section is drawn from: dimensions in millimetres, each with the text that was typed."""

import math
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final


class Build(StrEnum):
    """Where the gas is; the values are those that a damper's model carries."""

    RESERVOIR = "reservoir"
    IFP_BODY = "ifp body"
    BLADDER = "bladder"
    EMULSION = "emulsion"
    THROUGH_ROD = "through-rod"
    TWIN_TUBE = "twin-tube"


WITH_TANK: Final = frozenset({Build.RESERVOIR, Build.BLADDER, Build.THROUGH_ROD})
"""Constructions with a chamber beside the body: reservoir or compensator."""
WITH_IFP: Final = frozenset({Build.RESERVOIR, Build.IFP_BODY, Build.THROUGH_ROD})
WITH_LEVEL: Final = frozenset({Build.EMULSION, Build.TWIN_TUBE})
"""Constructions whose gas stands over the oil without a separator; no figure gives the level."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """One dimension: millimetres for the drawing, and its words as typed with the unit ("2 3/16 in").

    Without millimetres it is unmeasured: drawn dashed at a usual place and written with "?".
    A length that is not finite or below nought raises ValueError.
    """

    mm: float | None = None
    text: str = ""

    def __post_init__(self) -> None:
        if self.mm is not None and (not math.isfinite(self.mm) or self.mm < 0):
            raise ValueError(f"A dimension is a length of nought or more, not {self.mm} mm.")

    @property
    def measured(self) -> bool:
        return self.mm is not None

    @property
    def shown(self) -> str:
        return (self.text or f"{self.mm:g} mm") if self.mm is not None else "?"


@dataclass(frozen=True, slots=True)
class Spring:
    """One spring in the order from the cap: free length in mm if known, and its words ("350 × 18")."""

    free_mm: float | None = None
    text: str = ""

    def __post_init__(self) -> None:
        if self.free_mm is not None and not (math.isfinite(self.free_mm) and self.free_mm > 0):
            raise ValueError(f"A spring's free length is above nought, not {self.free_mm} mm.")


@dataclass(frozen=True, slots=True, kw_only=True)
class DamperNumbers:
    """The numbers of one damper, rod fully out, and its construction, which decides what can be drawn at all.

    What a construction has not (a reservoir's bore, an IFP) is not drawn, whatever number is handed in. None leaves a
    dimension line out (the part is still drawn, at a usual size); `Dimension()` draws it unmeasured. `preload` goes
    from the cap's face to the preload ring, `ifp_depth` from the edge of reservoir, compensator or body to the IFP's
    gas face. `gas` and `oil` are words only ("140 psi at 20 °C"): None leaves the label out, an empty text stands
    as "?".
    """

    build: Build = Build.RESERVOIR
    eye_centres: Dimension | None = None
    stroke: Dimension | None = None
    body_bore: Dimension | None = None
    rod_diameter: Dimension | None = None
    preload: Dimension | None = None
    reservoir_bore: Dimension | None = None
    reservoir_length: Dimension | None = None
    ifp_depth: Dimension | None = None
    gas: str | None = None
    oil: str | None = None
    springs: tuple[Spring, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionWords:
    """The words on the drawing, so that who knows the reader's language can hand in others."""

    title: str = "Damper with reservoir, half-section, rod out"
    eye_centres: str = "Eye centres"
    stroke: str = "stroke"
    body_bore: str = "bore"
    rod_diameter: str = "rod"
    preload: str = "Preload ring from the cap"
    reservoir_bore: str = "reservoir bore"
    reservoir_length: str = "reservoir"
    ifp_depth: str = "IFP depth"
    gas: str = "charge"
    oil: str = "oil"
    level: str = "oil level"
    spring: str = "Spring"
    finding: str = "Finding"
    unmeasured: str = "not measured"
    not_to_scale: str = "not to scale"


# Usual sizes as shares of the eye centres or of the bore: they only place the dashed lines of what is
# not measured.
USUAL_EYE_CENTRES: Final = 700.0
USUAL_STROKE: Final = 0.36
USUAL_BORE: Final = 0.085
USUAL_ROD: Final = 0.31
USUAL_PRELOAD: Final = 0.08
USUAL_RESERVOIR_LENGTH: Final = 0.28
USUAL_IFP_DEPTH: Final = 0.42
USUAL_BODY_IFP_DEPTH: Final = 0.08
USUAL_COMPENSATOR: Final = (0.6, 0.16)


FIGURES: Final = (
    "eye_centres", "stroke", "body_bore", "rod_diameter", "preload", "reservoir_bore", "reservoir_length",
    "ifp_depth", "gas", "oil",
)  # fmt: skip
"""Every figure by its name, in the order of the table."""


def known(dimension: Dimension | None, usual: float) -> float:
    """Give the measured millimetres, or the usual ones."""
    return usual if dimension is None or dimension.mm is None else dimension.mm


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every length the drawing needs, in mm, measured or usual."""

    build: Build
    eye_centres: float
    stroke: float
    bore: float
    rod: float
    preload: float
    reservoir_bore: float
    reservoir_length: float
    ifp_depth: float
    springs: tuple[Spring, ...] = field(default=())


def sizes(numbers: DamperNumbers) -> Sizes:
    """Fill in what is not measured; a length of nought where a part needs one becomes the usual length."""
    eyes = known(numbers.eye_centres, USUAL_EYE_CENTRES) or USUAL_EYE_CENTRES
    bore = known(numbers.body_bore, eyes * USUAL_BORE) or eyes * USUAL_BORE
    wide, long = USUAL_COMPENSATOR if numbers.build is Build.THROUGH_ROD else (1.0, USUAL_RESERVOIR_LENGTH)
    reservoir = known(numbers.reservoir_length, eyes * long) or eyes * long
    in_body = numbers.build is Build.IFP_BODY
    depth = eyes * USUAL_BODY_IFP_DEPTH if in_body else reservoir * USUAL_IFP_DEPTH
    return Sizes(
        build=numbers.build,
        eye_centres=eyes,
        stroke=known(numbers.stroke, eyes * USUAL_STROKE),
        bore=bore,
        rod=known(numbers.rod_diameter, bore * USUAL_ROD) or bore * USUAL_ROD,
        preload=known(numbers.preload, eyes * USUAL_PRELOAD),
        reservoir_bore=known(numbers.reservoir_bore, bore * wide) or bore * wide,
        reservoir_length=reservoir,
        ifp_depth=known(numbers.ifp_depth, depth),
        springs=numbers.springs,
    )


def asked(numbers: DamperNumbers) -> frozenset[str]:
    """Name the figures that are asked for and that this construction has."""
    none = set()
    if numbers.build not in WITH_TANK:
        none |= {"reservoir_bore", "reservoir_length"}
    if numbers.build not in WITH_IFP:
        none.add("ifp_depth")
    return frozenset(name for name in FIGURES if getattr(numbers, name) is not None) - none
