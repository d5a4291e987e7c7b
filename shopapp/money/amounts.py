"""How amounts are written: decimals of the currency, signs and separators of the reader's language."""

from __future__ import annotations

from decimal import Decimal

from babel import Locale, UnknownLocaleError
from babel.numbers import format_currency, format_decimal, get_currency_precision


def places_of(currency: str) -> int:
    """Give how many decimals a currency has: 2 for most, 0 for some, 3 for a few."""
    places: int = get_currency_precision(currency)
    return places


def locale_of(language: str) -> Locale:
    """Give the locale of a language code such as "en" or "en-us"; English where it is not known."""
    try:
        return Locale.parse(language, sep="-")
    except (UnknownLocaleError, ValueError):
        return Locale("en")


def shown(amount: Decimal, currency: str, language: str = "en") -> str:
    """Write an amount with its currency as the language does: "$1,234.50"."""
    text: str = format_currency(amount, currency, locale=locale_of(language))
    return text.replace("-", "−")


def number(value: Decimal, language: str = "en", *, places: int = 0) -> str:
    """Write a plain number with at least `places` decimals, without nought after them: "2", "1.5", "8.25"."""
    pattern = f"#,##0.{'0' * places}{'#' * (6 - places)}"
    text: str = format_decimal(value, format=pattern, locale=locale_of(language))
    return text.replace("-", "−")
