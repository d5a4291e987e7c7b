"""Money: decimal amounts, half up, never binary floats.

Line nets, totals and taxes follow EN 16931 (BR-CO-10 to BR-CO-17); a shop that taxes line by
line, as some US states let it, asks for the other basis.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from typing import Literal

from .words import said

Amount = Decimal | int | str
"""What the functions take; a float is refused, since 1.005 is not 1.005 there."""

TaxBasis = Literal["rate", "line"]

LARGEST = Decimal(10) ** 15
_MOST_PLACES = 6
_MOST_DIGITS = 40
_MOST_PARTS = 10_000
_WRITTEN = re.compile(r"[+-]?[0-9]{1,40}(?:\.[0-9]{1,40})?")
_EXACT = Context(prec=120, rounding=ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Totals:
    """The sums under a document.

    `lines_net` is the sum of the lines, `net` that less allowances plus charges,
    `tax_by_rate` maps a rate in percent to (taxable, tax), in rising order of rate, `gross`
    is net plus tax, `due` what is left of it after prepayment.
    """

    lines_net: Decimal
    net: Decimal
    tax_by_rate: Mapping[Decimal, tuple[Decimal, Decimal]]
    tax: Decimal
    gross: Decimal
    due: Decimal


def rounded(value: Amount, places: int = 2) -> Decimal:
    """Round half up, away from zero: 1.005 to 1.01, −0.125 to −0.13.

    `places` from 0 to 6. Never gives a negative zero. `ValueError` for a float, NaN, infinity
    and amounts past 10¹⁵. Source: EN 16931 rounding, `ROUND_HALF_UP`.
    """
    return _half_up(_amount(value), places)


def line_net(
    quantity: Amount,
    unit_price: Amount,
    *,
    per: Amount = 1,
    allowance: Amount = 0,
    charge: Amount = 0,
    places: int = 2,
) -> Decimal:
    """Return a line's net amount: quantity · price / `per`, rounded, less allowance, plus charge.

    `per` is how many units the price is for (1000 for a price per thousand). A credit has a
    negative quantity. Allowance and charge are amounts of at least zero. `ValueError` as in
    `rounded`. Source: EN 16931, BT-131.
    """
    base = _amount(per)
    if base <= 0:
        raise ValueError(said("The number of units that a price is for must be more than zero."))
    gross = _EXACT.divide(_EXACT.multiply(_amount(quantity), _amount(unit_price)), base)
    less, more = _at_least_zero(allowance, "An allowance", places), _at_least_zero(charge, "A charge", places)
    return _half_up(gross, places) - less + more


def totals(
    lines: Iterable[tuple[Amount, Amount]],
    *,
    allowances: Iterable[tuple[Amount, Amount]] = (),
    charges: Iterable[tuple[Amount, Amount]] = (),
    prepaid: Amount = 0,
    rounding: Amount = 0,
    tax_basis: TaxBasis = "rate",
    places: int = 2,
) -> Totals:
    """Add up a document of (amount, rate in percent) pairs.

    With `tax_basis` ``'rate'`` the tax of each rate is taken on the sum of what it applies to,
    with ``'line'`` each line, allowance and charge has its own rounded tax. Amounts are
    rounded to `places` first, so that the sums are those of the printed figures. `rounding`
    is added to what is due (cash rounding). `ValueError` for a rate outside 0 to 100, an
    allowance or charge below zero, and as in `rounded`. Source: EN 16931 BR-CO-10 to -17.
    """
    if tax_basis not in ("rate", "line"):
        raise ValueError(said("Tax is worked out by rate or by line."))
    own = [(rounded(amount, places), _rate(rate)) for amount, rate in lines]
    less = [(-_at_least_zero(amount, "An allowance", places), _rate(rate)) for amount, rate in allowances]
    more = [(_at_least_zero(amount, "A charge", places), _rate(rate)) for amount, rate in charges]
    everything = own + less + more
    zero = rounded(0, places)
    lines_net = sum((amount for amount, _ in own), zero)
    net = sum((amount for amount, _ in everything), zero)
    tax_by_rate = _taxes(everything, tax_basis, places)
    tax = sum((tax for _, tax in tax_by_rate.values()), zero)
    due = net + tax - rounded(prepaid, places) + rounded(rounding, places)
    return Totals(lines_net, net, tax_by_rate, tax, net + tax, due)


def split(total: Amount, parts: int, *, places: int = 2) -> list[Decimal]:
    """Split an amount into `parts` that add up to it and differ by one smallest unit at most.

    Larger ones first; of an amount below zero the ones nearer to zero are the larger.
    `ValueError` for an amount finer than `places`, and for parts outside 1 to 10 000.
    """
    count = _whole(parts, 1, _MOST_PARTS, "The number of parts")
    amount = rounded(total, places)
    if amount != _amount(total):
        raise ValueError(said("An amount to be split must have at most {places} decimals.", places=places))
    step = Decimal(1).scaleb(-places)
    units = int(amount / step)
    share, over = divmod(units, count)
    return [(share + (place < over)) * step for place in range(count)]


def _taxes(
    pairs: list[tuple[Decimal, Decimal]], basis: TaxBasis, places: int
) -> dict[Decimal, tuple[Decimal, Decimal]]:
    taxes: dict[Decimal, tuple[Decimal, Decimal]] = {}
    for rate in sorted({rate for _, rate in pairs}):
        amounts = [amount for amount, own_rate in pairs if own_rate == rate]
        taxable = sum(amounts, rounded(0, places))
        taxed = [taxable] if basis == "rate" else amounts
        taxes[rate] = taxable, sum((_tax(amount, rate, places) for amount in taxed), rounded(0, places))
    return taxes


def _tax(taxable: Decimal, rate: Decimal, places: int) -> Decimal:
    return _half_up(_EXACT.divide(_EXACT.multiply(taxable, rate), Decimal(100)), places)


def _half_up(value: Decimal, places: int) -> Decimal:
    if abs(value) >= LARGEST:
        raise ValueError(said("The amount is larger than this shop can take or owe."))
    step = Decimal(1).scaleb(-_whole(places, 0, _MOST_PLACES, "The number of decimals"))
    # Adding nothing turns a negative zero into zero.
    return value.quantize(step, context=_EXACT) + 0


def _amount(value: Amount) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, Decimal | int | str):
        raise ValueError(said("An amount of money must be a decimal figure, not a binary one."))
    if isinstance(value, str) and not _WRITTEN.fullmatch(value):
        raise ValueError(said("An amount of money must be written in figures, such as 12.50."))
    if isinstance(value, int) and abs(value) >= LARGEST:
        raise ValueError(said("The amount is larger than this shop can take or owe."))
    amount = Decimal(value)
    if not amount.is_finite():
        raise ValueError(said("An amount of money must be an ordinary number."))
    if abs(amount) >= LARGEST:
        raise ValueError(said("The amount is larger than this shop can take or owe."))
    if len(amount.as_tuple().digits) > _MOST_DIGITS or (amount.adjusted() < -_MOST_DIGITS and amount):
        raise ValueError(said("The amount has more decimals than money can have."))
    return amount


def _at_least_zero(value: Amount, what: str, places: int) -> Decimal:
    amount = rounded(value, places)
    if amount < 0:
        raise ValueError(
            said(
                "{what} is given as an amount of at least zero; its name says which way it counts.",
                what=said(what),
            )
        )
    return amount


def _rate(value: Amount) -> Decimal:
    rate = _amount(value)
    if not 0 <= rate <= 100:
        raise ValueError(said("A tax rate is a percentage from 0 to 100."))
    return rate


def _whole(value: int, low: int, high: int, what: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise ValueError(
            said("{what} must be a whole number from {low} to {high}.", what=said(what), low=low, high=high)
        )
    return value
