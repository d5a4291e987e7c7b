"""Quantities of stock: whole numbers of an item's smallest unit, read as typed and shown as said."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.calc import units

if TYPE_CHECKING:
    from shopapp.stock.models import Item

MOST = 10**12
"""More than this of anything is a slip of the pen."""

_READ_AS = {"piece": ("count", "1", 1.0), "0.1 mL": ("volume", "mL", 1e7), "mm": ("length", "mm", 1e3)}
"""Smallest unit → the kind it is typed as, the unit taken where none is typed, smallest units in one SI unit."""


def show_quantity(item: Item, quantity: int) -> str:
    """Show a quantity with its unit: `1120 mL` from 11200 tenths, `350 mm`, `6` pieces; the minus is U+2212."""
    sign = "\u2212" if quantity < 0 else ""
    size = abs(quantity)
    if item.unit == "0.1 mL":
        whole, tenth = divmod(size, 10)
        return f"{sign}{whole}.{tenth} mL" if tenth else f"{sign}{whole} mL"
    return f"{sign}{size} mm" if item.unit == "mm" else f"{sign}{size}"


def read_quantity(item: Item, text: str, *, decimal_comma: bool = False, least: int = 1) -> int:
    """Read a typed quantity as smallest units: `1120 mL`, `1 L`, `12`, `2 m`.

    `ValueError` with a sentence for what cannot be read, for less than `least` (nothing is a count, but no receipt),
    and for what is no whole number of the smallest unit: it is never rounded behind a person's back.
    """
    kind, unit, in_si = _READ_AS[item.unit]
    measured = _measured(text, kind, unit, decimal_comma=decimal_comma)
    exact = Decimal(repr(measured.si)) * Decimal(repr(in_si))
    if exact > MOST:
        raise ValueError(_("That is more than any shelf holds. Check the figure and its unit."))
    whole = int(exact.to_integral_value())
    if abs(exact - whole) > Decimal("1e-6"):
        raise ValueError(
            _("This item is counted in whole %(unit)s. Write %(nearest)s, or the next one up or down.")
            % {"unit": _counted_in(item.unit), "nearest": show_quantity(item, max(whole, 1))}
        )
    if whole < least:
        raise ValueError(_("Say how much, more than nothing."))
    return whole


def _measured(text: str, kind: str, unit: str, *, decimal_comma: bool) -> units.Measurement:
    """Read the text; of the units that a count may have, only plain pieces count on a shelf."""
    in_pieces = _("This item is counted in pieces. Write a whole number, such as 12.")
    try:
        measured = units.parse(text, kind, unit, decimal_comma=decimal_comma)
    except units.UnitError as problem:
        raise ValueError(in_pieces if kind == "count" else str(problem)) from problem
    if kind == "count" and measured.unit != "1":
        raise ValueError(in_pieces)
    return measured


def _counted_in(unit: str) -> str:
    return {"piece": _("pieces"), "0.1 mL": _("tenths of a millilitre"), "mm": _("millimetres")}[unit]
