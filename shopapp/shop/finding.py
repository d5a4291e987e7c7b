"""Finding rows by their search terms: by a beginning, and on PostgreSQL by any part of three characters."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from django.db import connection
from django.db.models import F, Q, QuerySet
from django.db.models.functions import Collate

from shopapp.shop.books import Difference
from shopapp.shop.models import SearchTerm
from shopapp.shop.services.search_terms import NUMBER_KINDS, fold, fold_number, wanted_keys
from shopapp.shop.trade_words import both_ways, both_words
from shopapp.shop.trigrams import SHORTEST

LAST = "\U0010ffff"
IN_TRADE_WORDS = Q(kind="model") | Q(kind="name", target_kind="vehicle")
"""Terms that speak of things. A person may be called Rod, and is not found as Shaft."""
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


def holding(key: str) -> QuerySet[SearchTerm]:
    """List terms that hold `key`: anywhere where a trigram index can help (PostgreSQL), else at their beginning."""
    if connection.vendor == "postgresql" and len(key) >= SHORTEST:
        return SearchTerm.objects.filter(key__contains=key)
    return beginning_with(key)


def typed(text: str) -> str:
    """Give the beginning of what was typed, without the marks that no database takes."""
    return text[:200].replace("\0", " ").encode("utf-8", "ignore").decode()


def words_of(text: str) -> list[str]:
    """Split what was typed into folded words, at most MOST_WORDS."""
    return fold(typed(text)).split()[:MOST_WORDS]


def found(text: str, *, target_kind: str) -> Q:
    """Give the condition "found by this text" on rows of `target_kind`: by a number, or by every word of it."""
    of_kind = Q(target_kind=target_kind)
    condition = Q()
    for word in words_of(text):
        said = Q()
        for way in both_words(word):
            hits = holding(way).filter(of_kind).exclude(kind__in=NUMBER_KINDS)
            said |= Q(pk__in=(hits if way == word else hits.filter(IN_TRADE_WORDS)).values("target_id"))
        condition &= said
    number = fold_number(typed(text))
    if number:
        hits = holding(number).filter(of_kind, kind__in=NUMBER_KINDS)
        condition = (condition or Q(pk__in=[])) | Q(pk__in=hits.values("target_id"))
    return condition or Q(pk__in=[])


def hits(text: str, *, limit: int = 60) -> list[SearchTerm]:
    """List the terms that a text finds, each row once a kind: what a page of hits shows.

    What begins with the text stands first, then what holds it; of each the heaviest in front.
    A text of several words is first looked up whole (a name), then as a number (blanks left out).
    """
    whole, number = fold(typed(text)), fold_number(typed(text))
    if not whole:
        return []
    best: dict[tuple[str, int], SearchTerm] = {}
    for terms in _ways(len(whole) >= SHORTEST or len(number) >= SHORTEST):
        rows = list(terms(whole).exclude(kind__in=NUMBER_KINDS).order_by("-weight", "key", "pk")[:limit])
        if number:
            rows += terms(number).filter(kind__in=NUMBER_KINDS).order_by("-weight", "key", "pk")[:limit]
        for way in both_ways(whole)[1:]:
            rows += terms(way).filter(IN_TRADE_WORDS).order_by("-weight", "key", "pk")[:limit]
        for row in sorted(rows, key=lambda row: (-row.weight, row.key, row.pk)):
            best.setdefault((row.target_kind, row.target_id), row)
    return list(best.values())


def _ways(long_enough: bool) -> tuple[Callable[[str], QuerySet[SearchTerm]], ...]:
    """Give the ways to look terms up: what begins with a text stands before what holds it somewhere."""
    anywhere = connection.vendor == "postgresql" and long_enough
    return (beginning_with, holding) if anywhere else (beginning_with,)


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
