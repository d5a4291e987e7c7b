"""From what a person or a program writes for a unit to the unit itself."""

import re
from dataclasses import dataclass
from functools import lru_cache

from ..words import said
from .errors import UnitError, shown
from .factors import Factor, product
from .kinds import HINTS, KINDS, SI_UNIT, UNITS_BY_KIND, Offered

LONGEST_NAME = 60

_MARKS = str.maketrans({
    "·": "*", "⋅": "*", "•": "*", "×": "*", "∙": "*", "²": "^2", "³": "^3", "°": " deg ", "º": " deg ",
    "℃": "degC", "℉": "degF", "Ω": "?", "”": '"', "“": '"', "„": '"', "‟": '"', "″": '"', "ʺ": '"', "＂": '"',
    "’": "'", "‘": "'", "′": "'", "ʹ": "'", "⁄": "/", "∕": "/",
    "‐": "-", "‑": "-", "‒": "-", "–": "-", "—": "-",
})  # fmt: skip
_GAPS = re.compile(r"[\s\-*.]*\*[\s\-*.]*|[\s\-.]+")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit that was understood: the name to keep, and its exact size."""

    name: str
    size: Factor


def key(text: str) -> str:
    """Return the form in which spellings are compared: ``ft. lbs`` and ``ft-lbs`` become ``ft*lbs``."""
    plain = text.translate(_MARKS).replace("''", '"').replace("**", "^").strip().lower()
    plain = re.sub(r"\s+per\s+", "/", plain)
    plain = _GAPS.sub("*", re.sub(r"\s*/\s*", "/", plain)).strip("*")
    plain = re.sub(r"^u\*s\*", "us*", plain)
    plain = re.sub(r"^(?:imperial|uk)\*", "imp*", plain)
    return re.sub(r"\bdeg\*([cfk])$", r"deg\1", plain)


def _spellings(units: tuple[Offered, ...]) -> dict[str, Unit]:
    table: dict[str, Unit] = {}
    for offered in units:
        unit = Unit(offered.name, product(offered.factor or offered.name.lower()))
        for spelling in (key(offered.name), *offered.spellings):
            table[spelling] = unit
    return table


SPELLINGS: dict[str, dict[str, Unit]] = {kind: _spellings(units) for kind, units in KINDS.items()}
"""Kind → spelling in key form → unit."""

_ANY_KIND: dict[str, Unit] = {}
for _table in SPELLINGS.values():
    for _spelling, _found in _table.items():
        # The earlier kind keeps a name that two share: pound the mass, turn the angle.
        _ANY_KIND.setdefault(_spelling, _found)


def check_kind(kind: str) -> None:
    """Refuse a kind that is not known."""
    if not isinstance(kind, str) or kind not in KINDS:
        raise UnitError(
            said(
                "{kind} is not a kind of measurement; known are {known}.",
                kind=shown(str(kind)),
                known=", ".join(KINDS),
            )
        )


@lru_cache(maxsize=512)
def unit_of(name: str, kind: str) -> Unit:
    """Return the unit that `name` means where a `kind` is expected.

    Among a force ``lb`` is the pound-force, among a mass the pound. `UnitError` for a unit of
    another kind and for a name that is not known or that stands for two units.
    """
    check_kind(kind)
    spelling = _key_of(name)
    if spelling in SPELLINGS[kind]:
        return SPELLINGS[kind][spelling]
    if (kind, spelling) in HINTS:
        raise UnitError(said(HINTS[kind, spelling]))
    try:
        unit = Unit(spelling, _any_kind(spelling, name))
    except UnitError as error:
        raise UnitError(
            said(
                "{text} is not a unit this shop knows for {kind}; {offer}.",
                text=shown(name),
                kind=_said(kind),
                offer=_offer(kind),
            )
        ) from error
    if kind == "count" or unit.size.dimensions != SPELLINGS[kind][key(SI_UNIT[kind])].size.dimensions:
        raise UnitError(
            said(
                "{text} is not a unit of {kind}; {offer}.",
                text=shown(name),
                kind=_said(kind),
                offer=_offer(kind),
            )
        )
    return unit


@lru_cache(maxsize=512)
def unit_of_any_kind(name: str) -> Unit:
    """Return the unit that `name` means where no kind is given; `UnitError` as in `unit_of`."""
    spelling = _key_of(name)
    for kind, hinted in HINTS:
        if hinted == spelling and kind in ("volume", "pressure") and spelling not in _ANY_KIND:
            raise UnitError(said(HINTS[kind, hinted]))
    return _ANY_KIND[spelling] if spelling in _ANY_KIND else Unit(spelling, _any_kind(spelling, name))


def _key_of(name: str) -> str:
    if not isinstance(name, str) or not name.strip():
        raise UnitError(said("Say which unit the figure is in."))
    if len(name) > LONGEST_NAME:
        raise UnitError(said("{text} is too long for the name of a unit.", text=shown(name)))
    if "mPa" in name:
        raise UnitError(said("“mPa” is a thousandth of a pascal; write MPa, kPa or bar."))
    return key(name)


def _any_kind(spelling: str, name: str) -> Factor:
    if spelling in _ANY_KIND:
        return _ANY_KIND[spelling].size
    try:
        return product(spelling)
    except UnitError as error:
        raise UnitError(said("{text} is not a unit this shop knows.", text=shown(name))) from error


def _said(kind: str) -> str:
    return said(kind.replace("_", " "))


def _offer(kind: str) -> str:
    labels = [label for label in UNITS_BY_KIND[kind].values() if label]
    return said("write one of {units}", units=", ".join(labels))
