"""The spellings of one phone number: with the country's code or without, with the noughts that are dialled first."""

from __future__ import annotations

from phonenumbers import COUNTRY_CODE_TO_REGION_CODE

from shopapp.shop.services.search_terms import fold, fold_number

BETWEEN = frozenset("+ ()-./‐‑‒–—−")
SHORTEST_WAY = 4
"""A shorter rest of a number is in half of all numbers."""


def phone_ways(text: str) -> list[str]:
    """Give by which other digits a typed phone number may be kept; none for what is no phone number.

    `+31 (0)6 1234` and `0031 6 1234` are kept as `061234`, and the other way round: what they share is `61234`.
    """
    folded = fold(text)
    if not all(mark in BETWEEN or (mark.isascii() and mark.isdigit()) for mark in folded):
        return []
    digits = fold_number(folded.replace("(0)", " "))
    ways = [digits]
    if folded.startswith(("+", "00")):
        abroad = digits.lstrip("0") if not folded.startswith("+") else digits
        ways += [abroad, _without_country(abroad)]
    elif len(digits) == 11 and digits.startswith("1"):
        ways.append(digits[1:])
    else:
        ways.append(digits.lstrip("0"))
    known = fold_number(folded)
    return [way for way in dict.fromkeys(ways) if way != known and len(way) >= SHORTEST_WAY]


def _without_country(digits: str) -> str:
    """Leave out a country's code of one to three digits, and the nought some write after it."""
    for size in (1, 2, 3):
        if digits[:size].isdigit() and int(digits[:size]) in COUNTRY_CODE_TO_REGION_CODE:
            return digits[size:].lstrip("0")
    return digits
