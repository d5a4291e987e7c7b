"""The hits of one search over every kind of row: whole numbers first, then beginnings, then parts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field

from django.db import connection
from django.db.models import Q

from shopapp.shop import trigrams
from shopapp.shop.finding import IN_NUMBERS, IN_PHONES, IN_TRADE_WORDS, MOST_WORDS, begins, holding, typed
from shopapp.shop.models import SearchTerm
from shopapp.shop.phone_ways import phone_ways
from shopapp.shop.services.search_terms import NUMBER_KINDS, fold, fold_number
from shopapp.shop.term_walk import KINDS, some_of_each, some_of_these
from shopapp.shop.trade_words import both_ways, both_words

EXACT_KINDS = frozenset({"tag", "serial", "order", "invoice", "plate", "vin"})
"""A whole number of these kinds is meant, where it fits to the last character."""
LIMIT = 200
"""So many terms that hold a part are looked at: what is found beyond them is said to be more."""
FLOOD = 60
"""So many terms of each kind of row are looked at that begin so, and as many again of what is open."""
WHOLE = 8
"""From so many characters on a whole number is not looked for as a part of others."""

EXACT, BEGINNING, PART = range(3)
OpenRows = Callable[[], Mapping[str, Collection[int]]]


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
class _Among:
    """Some kinds of terms: as a condition, and by the kinds of row that are found by them."""

    only: Q
    kinds: Mapping[str, tuple[str, ...]]


def _those(wanted: Callable[[str, str], bool]) -> dict[str, tuple[str, ...]]:
    """Keep of what each kind of row is found by what is wanted; a kind of row of which nothing is left goes."""
    kept = {row: tuple(kind for kind in kinds if wanted(row, kind)) for row, kinds in KINDS.items()}
    return {row: kinds for row, kinds in kept.items() if kinds}


ANYTHING = _Among(Q(), KINDS)
NUMBERS = _Among(IN_NUMBERS, _those(lambda _row, kind: kind in NUMBER_KINDS))
WORDS = _Among(~IN_NUMBERS, _those(lambda _row, kind: kind not in NUMBER_KINDS))
TRADE_WORDS = _Among(IN_TRADE_WORDS, {"damper": ("model",), "vehicle": ("name",)})
PHONES = _Among(IN_PHONES, {"customer": ("phone",)})


@dataclass(frozen=True, slots=True)
class _Probe:
    """One folded text to look up among some kinds of terms."""

    key: str
    among: _Among


def hits(text: str, *, open_rows: OpenRows = dict) -> Found:
    """Find rows of every kind by one text, as a page of hits shows them.

    Looked up are the text as words, as a number (blanks and dashes left out), by the other trade's words, by a phone
    number's other spellings, and where nothing is found, word by word in any order. `open_rows` gives the ids of each
    kind's open rows: of what begins alike they stand first, however much there is. Beginnings that fill the page are
    not searched for parts.
    """
    text = typed(text)
    best: dict[tuple[str, int], Match] = {}
    answer = Found()
    open_ids: Mapping[str, Collection[int]] | None = None
    for_parts = []
    for probe in _probes(text):
        rows, cut = _beginnings(probe)
        if cut:
            open_ids = open_rows() if open_ids is None else open_ids
            rows += _open_of(probe, cut, open_ids)
            answer.cut |= cut
        elif _may_be_a_part(probe):
            for_parts.append(probe)
        _keep(best, rows, probe.key)
    words = list(dict.fromkeys(fold(text).split()[:MOST_WORDS]))
    for probe in [] if answer.cut or _is_meant(best.values(), words) else for_parts:
        _keep(best, _parts(probe, answer.cut), probe.key)
    if len(words) > 1 and not best:
        _keep(best, *_with_every(words, answer.cut))
    if best:
        open_ids = open_rows() if open_ids is None else open_ids
        answer.matches = sorted((_marked(one, open_ids) for one in best.values()), key=lambda one: one.place)
    return answer


def _is_meant(matches: Collection[Match], words: list[str]) -> bool:
    """Say whether what begins so is what was meant: a whole long number, or several words that stand so in a name."""
    if len(words) > 1 and not any(_has_digit(word) for word in words):
        return bool(matches)
    return any(match.rank == EXACT and len(match.key) >= WHOLE for match in matches)


def _may_be_a_part(probe: _Probe) -> bool:
    """Say whether parts are worth a look: of words for what has a letter, of numbers for what has a digit."""
    if probe.among is WORDS and not any(mark.isalpha() for mark in probe.key):
        return False
    return len(probe.key) >= trigrams.SHORTEST and (probe.among is not NUMBERS or _has_digit(probe.key))


def _has_digit(key: str) -> bool:
    return any(mark.isdigit() for mark in key)


def _probes(text: str) -> Iterator[_Probe]:
    whole, number = fold(text), fold_number(text)
    if whole and whole == number:
        yield _Probe(whole, ANYTHING)
    elif whole:
        yield _Probe(whole, WORDS)
        if number:
            yield _Probe(number, NUMBERS)
    for way in both_ways(whole)[1:]:
        yield _Probe(way, TRADE_WORDS)
    for way in phone_ways(text):
        yield _Probe(way, PHONES)


def _beginnings(probe: _Probe) -> tuple[list[SearchTerm], set[str]]:
    """Read of each kind of row the first terms that begin with a text; name the kinds of which there is more."""
    rows = some_of_each(probe.key, probe.among.kinds, most=FLOOD + 1)
    count = Counter(row.target_kind for row in rows)
    return rows, {target for target, number in count.items() if number > FLOOD}


def _open_of(probe: _Probe, cut: set[str], open_ids: Mapping[str, Collection[int]]) -> list[SearchTerm]:
    """Read the open rows of the kinds of which there is more than was read."""
    kinds = {target: among for target, among in probe.among.kinds.items() if target in cut}
    return some_of_these(probe.key, kinds, open_ids, most=FLOOD)


def _parts(probe: _Probe, cut: set[str]) -> list[SearchTerm]:
    """Read what holds a text, in whatever order the index gives it."""
    held, halves = holding(probe.key), [probe.among.only]
    if connection.vendor == "sqlite" and trigrams.of_use(connection):
        # Joined, the table of parts is read no further than to the limit; as a list of numbers it is read whole.
        where = [f"{trigrams.PARTS}.rowid = {trigrams.TABLE}.id", f"{trigrams.PARTS} MATCH %s"]
        held = SearchTerm.objects.extra(
            tables=[trigrams.PARTS], where=where, params=[trigrams.phrase(probe.key)]
        )
    elif connection.vendor == "postgresql" and probe.among is ANYTHING:
        # Words and numbers have an index each; asked for in one condition, neither would serve.
        halves = [NUMBERS.only, WORDS.only]
    first, *more = (held.filter(half)[:LIMIT] for half in halves)
    rows = list(first.union(*more, all=True) if more else first)
    if len(rows) >= LIMIT:
        cut.update(row.target_kind for row in rows)
    return rows


def _with_every(words: list[str], cut: set[str]) -> tuple[list[SearchTerm], str]:
    """Read the rows of which every word begins a term, in any order: by the rarest word, which is given too."""
    read = {
        word: list(SearchTerm.objects.filter(_begun(word)).order_by("key")[: LIMIT + 1]) for word in words
    }
    rarest = min(read, key=lambda word: (len(read[word]), -len(word)))
    rows = read.pop(rarest)
    if len(rows) > LIMIT:
        cut.update(row.target_kind for row in rows)
    for word, some in read.items():
        if rows and len(some) > LIMIT:
            some = list(SearchTerm.objects.filter(_begun(word), _of_same_rows(rows)))
        have = {(row.target_kind, row.target_id) for row in some}
        rows = [row for row in rows if (row.target_kind, row.target_id) in have]
    return rows, rarest


def _of_same_rows(rows: list[SearchTerm]) -> Q:
    condition = Q()
    for kind in {row.target_kind for row in rows}:
        ids = [row.target_id for row in rows if row.target_kind == kind]
        condition |= Q(target_kind=kind, target_id__in=ids)
    return condition


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
