"""Finding rows by their search terms: by a beginning, and by any part of three characters."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from django.db import connection
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.expressions import RawSQL

from shopapp.shop import trigrams
from shopapp.shop.books import Difference
from shopapp.shop.models import SearchTerm
from shopapp.shop.phone_ways import phone_ways
from shopapp.shop.services.search_terms import NUMBER_KINDS, fold, fold_number, wanted_keys
from shopapp.shop.trade_words import both_ways, both_words

LAST = "\U0010ffff"
IN_NUMBERS = Q(kind__in=NUMBER_KINDS)
IN_PHONES = Q(kind="phone")
IN_TRADE_WORDS = Q(kind="model") | Q(kind="name", target_kind="vehicle")
"""Terms that speak of things. A person may be called Rod, and is not found as Shaft."""
EXACT_KINDS = frozenset({"tag", "serial", "order", "invoice", "plate", "vin"})
"""A whole number of these kinds is meant, where it fits to the last character."""
TARGETS = ("damper", "order", "customer", "vehicle", "invoice")
MOST_WORDS = 6
LIMIT = 200
"""So many terms of a kind are looked at: what is found beyond them is said to be more."""

EXACT, BEGINNING, PART = range(3)
OpenRows = Callable[[], Mapping[str, Collection[int]]]
Rows = QuerySet[SearchTerm]


@dataclass(frozen=True, slots=True)
class Match:
    """One row found: by which term, by which folded text (`looked_for`), how well, and whether it is still open."""

    target_kind: str
    target_id: int
    kind: str
    key: str
    weight: int
    looked_for: str
    rank: int
    is_open: bool = False

    @property
    def place(self) -> tuple[int, bool, int, str, int]:
        """Sort by what a person expects first: whole numbers, beginnings, parts; of each what is open; the newest."""
        return self.rank, not self.is_open, -self.weight, self.key, -self.target_id


@dataclass(slots=True)
class Found:
    """What a text finds, the likeliest first, each row once; of the kinds in `cut` there is more."""

    matches: list[Match] = field(default_factory=list)
    cut: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _Probe:
    """One folded text to look up among some kinds of terms; `anywhere`: a beginning is no better than a part."""

    key: str
    among: Q
    anywhere: bool = False


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
        quoted = '"' + key.replace('"', '""') + '"'
        held = f"SELECT rowid FROM {trigrams.PARTS} WHERE {trigrams.PARTS} MATCH %s"
        return SearchTerm.objects.filter(pk__in=RawSQL(held, [quoted]))
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


def hits(text: str, *, open_rows: OpenRows = dict) -> Found:
    """Find rows of every kind by one text, as a page of hits shows them.

    Looked up are the text as words, as a number (blanks and dashes left out), by the other trade's words, by a phone
    number's other spellings, and as several words in any order. `open_rows` gives the ids of each kind's open rows: of
    what begins alike they stand first, however much there is. Beginnings that fill the page are not searched for parts.
    """
    text = typed(text)
    best: dict[tuple[str, int], Match] = {}
    answer = Found()
    open_ids: Mapping[str, Collection[int]] | None = None
    for probe in _probes(text):
        rows, cut = _beginnings(probe) if not probe.anywhere else ([], False)
        if cut:
            open_ids = open_rows() if open_ids is None else open_ids
            rows += _flooded(probe, open_ids, answer.cut)
        elif len(probe.key) >= trigrams.SHORTEST:
            rows += _parts(probe, answer.cut)
        _keep(best, rows, probe.key)
    words = fold(text).split()[:MOST_WORDS]
    if len(words) > 1:
        longest = max(words, key=len)
        _keep(best, list(_with_every(words, longest)[:LIMIT]), longest)
    if best:
        open_ids = open_rows() if open_ids is None else open_ids
        answer.matches = sorted((_marked(one, open_ids) for one in best.values()), key=lambda one: one.place)
    return answer


def _probes(text: str) -> Iterator[_Probe]:
    whole, number = fold(text), fold_number(text)
    if whole and whole == number:
        yield _Probe(whole, Q())
    elif whole:
        yield _Probe(whole, ~IN_NUMBERS)
        if number:
            yield _Probe(number, IN_NUMBERS)
    for way in both_ways(whole)[1:]:
        yield _Probe(way, IN_TRADE_WORDS)
    for way in phone_ways(text):
        yield _Probe(way, IN_PHONES, anywhere=True)


def _beginnings(probe: _Probe) -> tuple[list[SearchTerm], bool]:
    """Read what begins with a text in one walk over all kinds; say too whether it is more than LIMIT."""
    rows = list(beginning_with(probe.key).filter(probe.among).order_by("key")[: LIMIT + 1])
    return rows, len(rows) > LIMIT


def _flooded(probe: _Probe, open_ids: Mapping[str, Collection[int]], cut: set[str]) -> list[SearchTerm]:
    """Read of each kind its first rows and its open ones, where one kind alone would fill the page."""
    rows: list[SearchTerm] = []
    for target in TARGETS:
        of_kind = beginning_with(probe.key).filter(probe.among, target_kind=target)
        first = list(of_kind.order_by("key")[:LIMIT])
        rows += first
        if len(first) == LIMIT:
            cut.add(target)
            if open_ids.get(target):
                rows += of_kind.filter(target_id__in=open_ids[target])[:LIMIT]
    return rows


def _parts(probe: _Probe, cut: set[str]) -> list[SearchTerm]:
    rows = list(holding(probe.key).filter(probe.among)[:LIMIT])
    if len(rows) == LIMIT:
        cut.update(row.target_kind for row in rows)
    return rows


def _with_every(words: list[str], longest: str) -> Rows:
    """List terms that begin with the longest word, of rows which have terms that begin with each other one."""
    rows = SearchTerm.objects.filter(_begun(longest)).order_by("key")
    for word in words:
        if word != longest:
            beside = SearchTerm.objects.filter(
                target_kind=OuterRef("target_kind"), target_id=OuterRef("target_id")
            )
            rows = rows.filter(Exists(beside.filter(_begun(word))))
    return rows


def _begun(word: str) -> Q:
    number = fold_number(word)
    condition = begins(word) if number == word else begins(word) & ~IN_NUMBERS
    if number and number != word:
        condition |= begins(number) & IN_NUMBERS
    for way in both_words(word)[1:]:
        condition |= begins(way) & IN_TRADE_WORDS
    return condition


def _keep(best: dict[tuple[str, int], Match], rows: list[SearchTerm], key: str) -> None:
    """Keep for each row the term that fits best."""
    for row in rows:
        rank = PART
        if row.key.startswith(key):
            rank = EXACT if row.key == key and row.kind in EXACT_KINDS else BEGINNING
        match = Match(row.target_kind, row.target_id, row.kind, row.key, row.weight, key, rank)
        at = (row.target_kind, row.target_id)
        if at not in best or match.place < best[at].place:
            best[at] = match


def _marked(match: Match, open_ids: Mapping[str, Collection[int]]) -> Match:
    if match.target_id not in open_ids.get(match.target_kind, ()):
        return match
    return Match(
        match.target_kind, match.target_id, match.kind, match.key, match.weight, match.looked_for, match.rank,
        is_open=True,
    )  # fmt: skip


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
