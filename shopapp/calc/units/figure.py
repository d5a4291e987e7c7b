"""Reading the figure at the head of what a person typed: decimals, fractions, vulgar fractions.

Where two readings are possible the figure is refused and both are named; nothing is guessed.
"""

import re
import unicodedata
from fractions import Fraction

from ..words import said
from .errors import UnitError, shown

GROUPED_KINDS = ("distance", "running_time")
"""Kinds whose figures run into the thousands, so that people write a mark at them."""

_VULGAR = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10", "⅓": "1/3", "⅔": "2/3",
    "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8",
    "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_VULGAR_CLASS = "[" + "".join(_VULGAR) + "]"
_POWERS = "²³"
_MARKS = str.maketrans({
    "−": "-", "‐": "-", "‑": "-", "‒": "-", "–": "-", "⁄": "/", "∕": "/",
    "\t": " ", "\u00a0": " ", "\u2007": " ", "\u2009": " ", "\u200a": " ", "\u202f": " ", "\u2002": " ",
    "\u2003": " ",
})  # fmt: skip

_SIGN = re.compile(r"([+-]?) *")
_MIXED = re.compile(r"([0-9]+)(?: +|-)([0-9]+) ?/ ?([0-9]+)")
_FRACTION = re.compile(r"([0-9]+) ?/ ?([0-9]+)")
_DECIMAL = re.compile(r"([0-9]*(?:[.,][0-9]+)*)([eE][+-]?[0-9]{1,4})?")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_GOES_ON = re.compile(r"[0-9/.,;:+\-]")


def tidy(text: str) -> str:
    """Return `text` with typographic marks made plain; refuse what no keyboard of a figure writes.

    Digits of other scripts are refused, not read: only 0 to 9, vulgar fractions and powers pass.
    """
    plain = text.translate(_MARKS).strip()
    for character in plain:
        if not character.isprintable():
            raise UnitError(
                said(
                    "{text} contains a character that cannot be read; type the figure again.",
                    text=shown(text),
                )
            )
        if _is_foreign_digit(character):
            raise UnitError(
                said(
                    "{text} contains a digit of another script; write figures with 0 to 9.", text=shown(text)
                )
            )
    joined = re.sub(f"([0-9])(?: *|-)({_VULGAR_CLASS})", r"\1 \2", plain)
    return re.sub(_VULGAR_CLASS, lambda match: f"{_VULGAR[match[0]]} ", joined)


def _is_foreign_digit(character: str) -> bool:
    if character.isascii() or character in _VULGAR or character in _POWERS:
        return False
    return character.isnumeric() or unicodedata.category(character).startswith("N")


def read_figure(plain: str, kind: str, *, decimal_comma: bool) -> tuple[int, Fraction, str]:
    """Return sign, size and what follows of a text that `tidy` has been over.

    `UnitError` with the reason for a fraction over zero or over one beside a whole number, for
    a decimal beside a fraction, and for a comma or point that can be read in two ways.
    """
    sign_match = _SIGN.match(plain)
    assert sign_match is not None
    sign, rest = (-1 if sign_match[1] == "-" else 1), plain[sign_match.end() :]
    if match := _MIXED.match(rest):
        size = int(match[1]) + _proper(int(match[2]), int(match[3]), plain)
    elif match := _FRACTION.match(rest):
        size = _over(int(match[1]), int(match[2]), plain)
    else:
        match, size = _decimal(rest, plain, kind, decimal_comma=decimal_comma)
    rest = rest[match.end() :].strip()
    if _GOES_ON.match(rest):
        raise UnitError(_why_it_goes_on(plain, match[0]))
    return sign, size, rest


def _over(numerator: int, denominator: int, plain: str) -> Fraction:
    if denominator == 0:
        raise UnitError(
            said(
                "{text} has nothing under the fraction bar; nothing can be divided by zero.",
                text=shown(plain),
            )
        )
    return Fraction(numerator, denominator)


def _proper(numerator: int, denominator: int, plain: str) -> Fraction:
    fraction = _over(numerator, denominator, plain)
    if fraction >= 1:
        raise UnitError(
            said("{text}: beside a whole number the fraction must be less than one.", text=shown(plain))
        )
    return fraction


def _decimal(rest: str, plain: str, kind: str, *, decimal_comma: bool) -> tuple[re.Match[str], Fraction]:
    match = _DECIMAL.match(rest)
    if match is None or not match[1]:
        raise UnitError(
            said(
                "{text} does not start with a figure; write for example 12.5 and the unit.", text=shown(plain)
            )
        )
    digits = _pointed(match[1], plain, kind, decimal_comma=decimal_comma)
    return match, Fraction(digits + (match[2] or ""))


def _pointed(digits: str, plain: str, kind: str, *, decimal_comma: bool) -> str:
    """Return `digits` with a decimal point and no thousand marks, where only one reading is possible."""
    points, commas = digits.count("."), digits.count(",")
    if decimal_comma:
        if points + commas > 1:
            raise UnitError(
                said(
                    "{text} has more than one mark in the figure; leave out marks at thousands.",
                    text=shown(plain),
                )
            )
        if points and kind in GROUPED_KINDS and len(digits.rpartition(".")[2]) == 3:
            raise UnitError(_both_readings(plain, digits, "."))
        return digits.replace(",", ".")
    if commas and kind in GROUPED_KINDS and _THOUSANDS.fullmatch(digits):
        return digits.replace(",", "")
    if commas:
        raise UnitError(_both_readings(plain, digits, ","))
    if points > 1:
        raise UnitError(said("{text} has more than one decimal point.", text=shown(plain)))
    return digits


def _both_readings(plain: str, digits: str, mark: str) -> str:
    if digits.count(mark) > 1 or len(digits) > 20 or (mark == "," and "." in digits):
        return said(
            "{text} can be read in two ways; leave out marks at thousands and write a decimal point.",
            text=shown(plain),
        )
    as_decimal, as_thousands = digits.replace(mark, "."), digits.replace(mark, "")
    if mark == ".":
        return said(
            "{text} can be read as {first} or as {second}; write it with a decimal comma, or without a mark at the "
            "thousands.",
            text=shown(plain), first=as_decimal.replace(".", ","), second=as_thousands,
        )  # fmt: skip
    return said(
        "{text} can be read as {first} or as {second}; write it with a decimal point, or without a mark at the "
        "thousands.",
        text=shown(plain), first=as_decimal, second=as_thousands,
    )  # fmt: skip


def _why_it_goes_on(plain: str, read: str) -> str:
    text = shown(plain)
    if "/" not in read and re.search(r"[.,]", read) and "/" in plain:
        return said("{text} mixes a decimal and a fraction; write one or the other.", text=text)
    if plain.count("/") > 1 and "/" in read:
        return said("{text} has more than one fraction bar; write for example 2 3/16.", text=text)
    return said(
        "{text} cannot be read as one figure; write for example 2 3/16 or 55.6, then the unit.", text=text
    )
