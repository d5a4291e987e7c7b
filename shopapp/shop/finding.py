"""Finding rows by their search terms: by a beginning, and by any part of three characters."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db import connection
from django.db.models import Q, QuerySet
from django.db.models.expressions import RawSQL

from shopapp.shop import trigrams
from shopapp.shop.books import Difference
from shopapp.shop.models import SearchTerm
from shopapp.shop.phone_ways import phone_ways
from shopapp.shop.services.search_terms import NUMBER_KINDS, fold, fold_number, wanted_keys
from shopapp.shop.trade_words import both_words

LAST = "\U0010ffff"
IN_NUMBERS = Q(kind__in=NUMBER_KINDS)
IN_PHONES = Q(kind="phone")
IN_TRADE_WORDS = Q(kind="model") | Q(kind="name", target_kind="vehicle")
"""Terms that speak of things. A person may be called Rod, and is not found as Shaft."""
MOST_WORDS = 6

Rows = QuerySet[SearchTerm]


def begins(key: str) -> Q:
    """Give the condition "begins with `key`": a range in the order of code points, which an index has."""
    return Q(key__gte=key, key__lt=key + LAST)


def beginning_with(key: str) -> Rows:
    """List terms whose key begins with `key`."""
    return SearchTerm.objects.filter(begins(key))


def holding(key: str) -> Rows:
    """List terms that hold `key` anywhere; where it has fewer than three characters, at their beginning."""
    if len(key) < trigrams.SHORTEST:
        return beginning_with(key)
    if connection.vendor == "sqlite" and trigrams.of_use(connection):
        held = f"SELECT rowid FROM {trigrams.PARTS} WHERE {trigrams.PARTS} MATCH %s"
        return SearchTerm.objects.filter(pk__in=RawSQL(held, [trigrams.phrase(key)]))
    return SearchTerm.objects.filter(key__contains=key)


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
            hits = holding(way).filter(of_kind).exclude(IN_NUMBERS)
            said |= Q(pk__in=(hits if way == word else hits.filter(IN_TRADE_WORDS)).values("target_id"))
        condition &= said
    number = fold_number(typed(text))
    if number:
        hits = holding(number).filter(of_kind, IN_NUMBERS)
        condition = (condition or Q(pk__in=[])) | Q(pk__in=hits.values("target_id"))
        for way in phone_ways(typed(text)):
            condition |= Q(pk__in=holding(way).filter(of_kind, IN_PHONES).values("target_id"))
    return condition or Q(pk__in=[])


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
