"""What a person typed, as a measurement: SI beside the text that stays as it was typed."""

from dataclasses import dataclass
from fractions import Fraction

from ..words import said
from .conversion import as_float, from_si, to_si
from .errors import UnitError, shown
from .figure import read_figure, tidy
from .kinds import SI_UNIT, UNITS_BY_KIND
from .names import Unit, check_kind, unit_of

LONGEST_TEXT = 60


@dataclass(frozen=True, slots=True)
class Measurement:
    """A figure that was understood.

    `si` counts in the SI unit of `kind` (`kinds.SI_UNIT`), `unit` is the name of the unit as
    typed or defaulted, `text` what was typed, without blanks around it.
    """

    si: float
    kind: str
    unit: str
    text: str

    def to(self, unit: str) -> float:
        """Return the figure in another unit of its kind; clicks and turns do not convert."""
        target, own = unit_of(unit, self.kind), unit_of(self.unit, self.kind)
        if self.kind == "count" and not _same_count(own, target):
            raise UnitError(
                said("{own} cannot be counted in {unit}.", own=shown(self.unit), unit=shown(unit))
            )
        return as_float(from_si(Fraction(self.si), unit, self.kind))


def _same_count(own: Unit, target: Unit) -> bool:
    return (
        own.size.dimensions == target.size.dimensions or not own.size.dimensions or not target.size.dimensions
    )


def parse(
    text: str,
    kind: str,
    default_unit: str | None = None,
    *,
    decimal_comma: bool = False,
    signed: bool = False,
) -> Measurement:
    """Read a figure with its unit, as people in the shop write it.

    `default_unit` counts where none is typed; a count needs none. A comma is a thousand mark
    only for a distance or a running time with three digits after it; with `decimal_comma` it
    is the decimal sign. `UnitError` with a sentence for whatever cannot be read in one way
    only, a unit of another kind, a figure below zero unless `signed`, absolute zero, and text
    of more than 60 characters. Source: shop notation; exact factors (`factors`).
    """
    check_kind(kind)
    if not isinstance(text, str) or len(text) > LONGEST_TEXT:
        raise UnitError(
            said(
                "That is not a figure: write at most {most} characters, such as 2 3/16 in.", most=LONGEST_TEXT
            )
        )
    if not text.strip():
        raise UnitError(said("No figure was given; write for example {example}.", example=_example(kind)))
    sign, size, rest = read_figure(tidy(text), kind, decimal_comma=decimal_comma)
    if sign < 0 and not signed:
        raise UnitError(
            said("{text} is below zero; this figure cannot be negative.", text=shown(text.strip()))
        )
    unit = _unit(rest, text, kind, default_unit)
    si = as_float(to_si(sign * size, unit, kind))
    return Measurement(si=si, kind=kind, unit=unit_of(unit, kind).name, text=text.strip())


def _unit(rest: str, text: str, kind: str, default_unit: str | None) -> str:
    if rest:
        return rest
    if default_unit is not None:
        return default_unit
    if kind == "count":
        return SI_UNIT[kind]
    raise UnitError(
        said(
            "{text} has no unit; write for example {example}.",
            text=shown(text.strip()),
            example=_example(kind),
        )
    )


def _example(kind: str) -> str:
    labels = [label for label in UNITS_BY_KIND[kind].values() if label]
    return f"12 {labels[1] if len(labels) > 1 else labels[0]}"
