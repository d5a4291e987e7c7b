"""Writing a stack in one way only, so that it reads back equal."""

from collections.abc import Sequence
from itertools import groupby

from ..units import Measurement, UnitError, parse
from .shim import Shim, figure


def write(stack: Sequence[Shim], *, default_unit: str = "mm", decimal_comma: bool = False) -> str:
    """Return a stack as ``3 x 40x0.20, 36x0.20``, equal neighbours counted; `read` gives the same figures again.

    Figures are as typed where that still reads as the same length. Units stand at every shim as soon as one is not
    in `default_unit`. A decimal comma separates shims by semicolons.
    """
    plain = all(length.unit == default_unit for shim in stack for length in (shim.diameter, shim.thickness))
    spelled = [_spelled(shim, plain, decimal_comma) for shim in stack]
    runs = ((text, len(list(run))) for text, run in groupby(spelled))
    return ("; " if decimal_comma else ", ").join(
        text if count == 1 else f"{count} x {text}" for text, count in runs
    )


def _spelled(shim: Shim, plain: bool, decimal_comma: bool) -> str:
    wide, thick = (_figure(length, decimal_comma) for length in (shim.diameter, shim.thickness))
    mark = " c" if shim.crossover else ""
    if plain:
        return f"{wide}x{thick}{mark}"
    if shim.diameter.unit == shim.thickness.unit:
        return f"{wide}x{thick} {shim.thickness.unit}{mark}"
    return f"{wide} {shim.diameter.unit}x{thick} {shim.thickness.unit}{mark}"


def _figure(length: Measurement, decimal_comma: bool) -> str:
    """Return a length's figure as typed, or with the shop's mark, or with as many digits as it takes."""
    typed = figure(length)
    value = length.to(length.unit)
    mark = "," if decimal_comma else "."
    computed = [f"{value:.12g}".replace(".", mark), f"{value:.17g}".replace(".", mark)]
    for text in (typed, typed.replace(",", "."), typed.replace(".", ","), *computed):
        if " " not in text and _reads_as(text, length, decimal_comma):
            return text
    return computed[0]


def _reads_as(text: str, length: Measurement, decimal_comma: bool) -> bool:
    try:
        again = parse(text, "length", length.unit, decimal_comma=decimal_comma)
    except UnitError:
        return False
    return again.si == length.si and again.unit == length.unit
