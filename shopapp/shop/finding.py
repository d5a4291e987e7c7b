"""Finding rows by their search terms: prefix search that is alike on both databases."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db import connection
from django.db.models import F, Q, QuerySet
from django.db.models.functions import Collate

from shopapp.shop.books import Difference
from shopapp.shop.models import SearchTerm
from shopapp.shop.services.search_terms import NUMBER_KINDS, fold, fold_number, wanted_keys

LAST = "\U0010ffff"
MOST_WORDS = 6


def beginning_with(key: str) -> QuerySet[SearchTerm]:
    """List terms whose key begins with `key`: `key >= x AND key < x+`, in the order of code points.

    PostgreSQL may sort by a language; there the comparison is told to go by code points.
    """
    terms = SearchTerm.objects.all()
    if connection.vendor == "postgresql":
        plain = Collate(F("key"), "C")
        return terms.alias(plain=plain).filter(plain__gte=key, plain__lt=key + LAST)
    return terms.filter(key__gte=key, key__lt=key + LAST)


def words_of(text: str) -> list[str]:
    """Split what was typed into folded words, at most MOST_WORDS."""
    return fold(text[:200].replace("\0", " ")).split()[:MOST_WORDS]


def found(text: str, *, target_kind: str) -> Q:
    """Give the condition "found by this text" on rows of `target_kind`: by a number, or by every word of it."""
    of_kind = Q(target_kind=target_kind)
    condition = Q()
    for word in words_of(text):
        hits = beginning_with(word).filter(of_kind).exclude(kind__in=NUMBER_KINDS)
        condition &= Q(pk__in=hits.values("target_id"))
    number = fold_number(text[:200])
    if number:
        hits = beginning_with(number).filter(of_kind, kind__in=NUMBER_KINDS)
        condition = (condition or Q(pk__in=[])) | Q(pk__in=hits.values("target_id"))
    return condition or Q(pk__in=[])


def hits(text: str, *, limit: int = 60) -> list[SearchTerm]:
    """List the terms that a text finds, heaviest first, each row once a kind: what a page of hits shows.

    A text of several words is first looked up whole (a name), then as a number (blanks left out).
    """
    typed = text[:200].replace("\0", " ")
    whole, number = fold(typed), fold_number(typed)
    if not whole:
        return []
    rows = list(beginning_with(whole).exclude(kind__in=NUMBER_KINDS).order_by("-weight", "key", "pk")[:limit])
    if number:
        rows += beginning_with(number).filter(kind__in=NUMBER_KINDS).order_by("-weight", "key", "pk")[:limit]
    best: dict[tuple[str, int], SearchTerm] = {}
    for row in sorted(rows, key=lambda row: (-row.weight, row.key, row.pk)):
        best.setdefault((row.target_kind, row.target_id), row)
    return list(best.values())


def term_differences(
    book: str, target_kind: str, wanted: Iterable[tuple[int, Iterable[tuple[str, str, int]]]]
) -> Iterator[Difference]:
    """Derive the search terms of all rows of one kind again; `wanted` gives each row's id with its terms."""
    stored: dict[int, dict[tuple[str, str], int]] = {}
    kept = SearchTerm.objects.filter(target_kind=target_kind)
    for pk, kind, key, weight in kept.values_list("target_id", "kind", "key", "weight"):
        stored.setdefault(pk, {})[(kind, key)] = weight
    for pk, terms in wanted:
        have, derived = stored.pop(pk, {}), wanted_keys(terms)
        if have != derived:
            yield Difference(book, f"{target_kind} {pk}", sorted(have.items()), sorted(derived.items()))
    for pk, have in sorted(stored.items()):
        yield Difference(book, f"{target_kind} {pk}", sorted(have.items()), None)
