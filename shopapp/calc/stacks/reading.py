"""Reading a stack as a technician types or pastes it: ``40x0.20 40x0.20``, ``3 x 40x0.20``, ``40 x 0,20``.

Where two readings are possible the text is refused and both are named; nothing is guessed.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from ..units import Measurement, parse
from ..units.errors import shown
from ..words import said
from .shim import Shim, Stack

MOST_SHIMS = 60
LONGEST_TEXT = 6000

_SPACES = str.maketrans(dict.fromkeys("\t\u00a0\u2007\u2009\u200a\u202f\u2002\u2003", " ") | {"\r": "\n"})
_BREAKS = re.compile(r"[\n;]|,(?=\s|$)")
_TOKEN = re.compile(
    r"(?P<crossover>\(?(?:crossover|co|c)\b\)?)"
    r"|(?P<times>[x×*✕]|by\b|off\b)"
    r"|(?P<figure>[+\-−]?[0-9.,][0-9.,/⁄\-]*[¼½¾⅓⅔⅛⅜⅝⅞]?|[¼½¾⅓⅔⅛⅜⅝⅞])"
    r"|(?P<unit>[^\W\d_x]+|[\"″”])"
    r"|(?P<sign>[⌀øØ]) *",
    re.IGNORECASE,
)
_WHOLE = re.compile(r"[0-9]{1,4}")


@dataclass(slots=True)
class _Figure:
    """A figure with the unit typed after it, and where both stand in the line."""

    text: str
    start: int
    end: int
    unit: str = ""


@dataclass(slots=True)
class _Chain:
    """Figures joined by ×: a shim, or a shim and how many of it."""

    figures: list[_Figure]
    crossover: bool = False
    open: bool = False


def read(text: str, *, default_unit: str = "mm", decimal_comma: bool = False) -> Stack:
    """Read a stack from the piston face outwards; an empty text is an empty stack.

    Shims stand apart by blanks, a comma with a blank, a semicolon or a new line; repeats as ``3 x 40x0.20`` or
    ``40x0.20 x3``; a crossover shim has a ``c`` after it. A unit on one of the two figures counts for both;
    `default_unit` where none is typed. `ValueError` with a sentence for what is no shim, for a shim of no size, for
    more than 60, and for a text in which some shims have another unit than the default and others none.
    """
    if not isinstance(text, str) or len(text) > LONGEST_TEXT:
        raise ValueError(said("That is too long for a stack: write at most {most} shims.", most=MOST_SHIMS))
    found: list[Shim] = []
    bare = []
    for line in _BREAKS.split(text.translate(_SPACES)):
        for chain in _chains(line):
            count, pair = _counted(chain, decimal_comma=decimal_comma)
            if len(found) + count > MOST_SHIMS:
                raise ValueError(
                    said("A stack has at most {most} shims here; check the repeats.", most=MOST_SHIMS)
                )
            found += [_shim(line, chain, pair, default_unit, decimal_comma=decimal_comma)] * count
            bare.append(not any(figure.unit for figure in pair))
    _check_units(found, bare, default_unit)
    return tuple(found)


def _chains(line: str) -> Iterator[_Chain]:
    """Gather a line's figures: two with × between them belong together, two without are of two shims."""
    chain: _Chain | None = None
    at = 0
    while at < len(line):
        if line[at] == " ":
            at += 1
            continue
        match = _TOKEN.match(line, at)
        if match is None:
            raise ValueError(_no_shim(line))
        at = match.end()
        if match.lastgroup == "figure" and (chain is None or not chain.open):
            if chain is not None:
                yield chain
            chain = _Chain([_Figure(match[0], match.start(), at)])
        elif chain is not None:
            _go_on(chain, match, line)
        elif match.lastgroup != "sign":
            raise ValueError(_no_shim(line))
    if chain is not None:
        yield chain


def _go_on(chain: _Chain, match: re.Match[str], line: str) -> None:
    """Take the next piece into a chain; refuse what does not belong after the last one."""
    kind, last = match.lastgroup, chain.figures[-1]
    if kind == "figure":
        chain.figures.append(_Figure(match[0], match.start(), match.end()))
        chain.open = False
    elif kind == "times" and not chain.open:
        chain.open = True
    elif kind == "unit" and not chain.open and not last.unit:
        last.unit, last.end = match[0], match.end()
    elif kind == "crossover" and not chain.open and not chain.crossover:
        chain.crossover = True
    elif kind != "sign":
        raise ValueError(_no_shim(line))


def _no_shim(line: str) -> str:
    return said(
        "{text} is not a stack of shims; write diameter × thickness, such as 40x0.20 36x0.20.",
        text=shown(line.strip()),
    )


def _counted(chain: _Chain, *, decimal_comma: bool) -> tuple[int, list[_Figure]]:
    """Return how many shims a chain stands for and its two figures."""
    figures = chain.figures
    if chain.open or len(figures) not in (2, 3):
        raise ValueError(_no_shim(_spelled(figures)))
    if len(figures) == 2:
        return 1, figures
    readings = [
        (number, pair)
        for number, pair in ((figures[0], figures[1:]), (figures[2], figures[:2]))
        if _is_count(number) and _is_flat(pair, decimal_comma=decimal_comma)
    ]
    if len(readings) == 1:
        number, pair = readings[0]
        return _repeats(number), pair
    if readings:
        raise ValueError(_two_readings(figures))
    raise ValueError(_no_shim(_spelled(figures)))


def _is_count(figure: _Figure) -> bool:
    return not figure.unit and _WHOLE.fullmatch(figure.text) is not None


def _is_flat(pair: list[_Figure], *, decimal_comma: bool) -> bool:
    """Say whether two figures can be a shim: wider than thick."""
    if pair[0].unit or pair[1].unit:
        return True
    wide, thick = (_length(figure, "mm", decimal_comma=decimal_comma).si for figure in pair)
    return wide > thick


def _repeats(number: _Figure) -> int:
    count = int(number.text)
    if not 1 <= count <= MOST_SHIMS:
        raise ValueError(
            said("A shim is repeated 1 to {most} times, not {count}.", most=MOST_SHIMS, count=count)
        )
    return count


def _two_readings(figures: list[_Figure]) -> str:
    one, two, three = (figure.text for figure in figures)
    return said(
        "{text} can be read as {first} shims of {second} or as {third} of {fourth}; write every shim by itself.",
        text=shown(_spelled(figures)), first=one, second=f"{two} × {three}", third=three, fourth=f"{one} × {two}",
    )  # fmt: skip


def _spelled(figures: list[_Figure]) -> str:
    return " x ".join(f"{figure.text} {figure.unit}".strip() for figure in figures)


def _shim(line: str, chain: _Chain, pair: list[_Figure], default_unit: str, *, decimal_comma: bool) -> Shim:
    unit = pair[0].unit or pair[1].unit or default_unit
    wide, thick = (_length(figure, unit, decimal_comma=decimal_comma) for figure in pair)
    text = line[pair[0].start : pair[1].end].strip()
    for length in (wide, thick):
        if length.si <= 0:
            raise ValueError(
                said("{text}: a shim has a diameter and a thickness above zero.", text=shown(text))
            )
    return Shim(wide, thick, text, crossover=chain.crossover)


def _length(figure: _Figure, unit: str, *, decimal_comma: bool) -> Measurement:
    if "," in figure.text and not decimal_comma:
        raise ValueError(
            said(
                "{text} can be read in two ways; write decimals with a point, and a blank after a comma between shims.",
                text=shown(figure.text),
            )
        )
    text = f"{figure.text} {figure.unit}".strip()
    return parse(text, "length", unit, decimal_comma=decimal_comma)


def _check_units(found: list[Shim], bare: list[bool], default_unit: str) -> None:
    """Refuse a unit that may or may not be meant for the shims without one."""
    others = {length.unit for shim in found for length in (shim.diameter, shim.thickness)} - {default_unit}
    if others and any(bare):
        raise ValueError(
            said(
                "Some shims are in {unit}, others have no unit; write the unit at every shim.",
                unit=shown(sorted(others)[0]),
            )
        )
