"""Vehicle identification numbers: the alphabet and length of ISO 3779, the check digit of 49 CFR 565.15."""

import re
from dataclasses import dataclass
from typing import Literal

Reason = Literal["length", "character", "check digit", "year code"]

LENGTH = 17
_VALUES = {str(digit): digit for digit in range(10)} | dict(
    zip(
        "ABCDEFGHJKLMNPRSTUVWXYZ",
        (1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9),
        strict=True,
    )
)
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_CHECK_PLACE = 8
_YEAR_PLACE = 9
_NO_YEAR_CODE = frozenset("IOQUZ0")
_GAPS = re.compile(r"[\s\-‐‑‒–—−]+")
_UPPER = {ord(letter): ord(letter) - 32 for letter in "abcdefghijklmnopqrstuvwxyz"}


@dataclass(frozen=True, slots=True)
class Vin:
    """A number that was looked at.

    `text` is upper case without blanks and hyphens; `reason` is the first fault that was
    found, `None` when `valid`; `check_digit` is the computed one, `None` where length or a
    character is wrong.
    """

    text: str
    valid: bool
    reason: Reason | None
    check_digit: str | None


def check(text: str) -> Vin:
    """Check a vehicle identification number.

    Never raises for any text: a vehicle without such a number is a fact, and the caller
    decides. A wrong check digit or year code is a warning only outside the US and Canada. Not
    every swap is caught: letters of equal value (A and J; B, K and S) leave the sum as it is.
    Source: ISO 3779 (length, no I, O, Q), 49 CFR 565.15 (values, weights, year codes).
    """
    plain = _GAPS.sub("", text).translate(_UPPER)
    if len(plain) != LENGTH:
        return Vin(plain, valid=False, reason="length", check_digit=None)
    if any(character not in _VALUES for character in plain):
        return Vin(plain, valid=False, reason="character", check_digit=None)
    remainder = sum(_VALUES[c] * weight for c, weight in zip(plain, _WEIGHTS, strict=True)) % 11
    digit = "X" if remainder == 10 else str(remainder)
    if plain[_CHECK_PLACE] != digit:
        return Vin(plain, valid=False, reason="check digit", check_digit=digit)
    if plain[_YEAR_PLACE] in _NO_YEAR_CODE:
        return Vin(plain, valid=False, reason="year code", check_digit=digit)
    return Vin(plain, valid=True, reason=None, check_digit=digit)
