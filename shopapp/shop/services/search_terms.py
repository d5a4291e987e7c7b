"""Keep the words and numbers by which rows are found."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from shopapp.shop.models import SearchTerm

MAX_KEY = 80


def fold(text: str) -> str:
    """Fold case, accents and runs of blanks: what SQLite and PostgreSQL then compare alike."""
    # Taken apart before its case is folded and again after it: each makes work for the other (a circled A, a dotted I).
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    plain = "".join(mark for mark in apart if not unicodedata.combining(mark))
    return " ".join(plain.split())[:MAX_KEY].rstrip()


def fold_number(text: str) -> str:
    """Fold a serial, plate, phone or tag: letters and digits only."""
    return "".join(mark for mark in fold(text) if mark.isalnum())[:MAX_KEY]


def keep_terms(*, target_kind: str, target_id: int, terms: Iterable[tuple[str, str, int]]) -> None:
    """Replace the terms of one row by `(kind, text, weight)`: words are folded, each word found by itself too."""
    wanted = wanted_keys(terms)
    SearchTerm.objects.filter(target_kind=target_kind, target_id=target_id).delete()
    SearchTerm.objects.bulk_create(
        SearchTerm(key=key, kind=kind, weight=weight, target_kind=target_kind, target_id=target_id)
        for (kind, key), weight in wanted.items()
    )


def wanted_keys(terms: Iterable[tuple[str, str, int]]) -> dict[tuple[str, str], int]:
    """Give the keys that `(kind, text, weight)` come to, each with its greatest weight."""
    wanted: dict[tuple[str, str], int] = {}
    for kind, text, weight in terms:
        for key in _keys(kind, text):
            wanted[(kind, key)] = max(weight, wanted.get((kind, key), weight))
    return wanted


NUMBER_KINDS = frozenset({"serial", "tag", "phone", "plate", "vin", "order", "invoice"})


def _keys(kind: str, text: str) -> set[str]:
    if kind in NUMBER_KINDS:
        key = fold_number(text)
        keys = {key} if key else set()
        if kind == "phone":
            keys |= {key[-n:] for n in (4, 7) if len(key) > n}
        return keys
    whole = fold(text)
    return {part for part in (whole, *whole.split()) if part}
