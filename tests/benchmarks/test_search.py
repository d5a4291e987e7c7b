"""What one search costs the database in a shop of 200,000 dampers, beside one row read by its key.

Times are printed, never asserted: another machine has others. What is asserted is that each text found its row.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db import connection

from shopapp.customers.models import Contact, Customer
from shopapp.customers.services.customers import terms_of as customer_terms
from shopapp.dampers.models import Damper, DamperModel
from shopapp.dampers.services import tags
from shopapp.dampers.services.dampers import terms_of as damper_terms
from shopapp.shop import trigrams
from shopapp.shop.models import SearchTerm
from shopapp.shop.services.search_terms import fold_number, wanted_keys
from shopapp.web.queries import finding as page
from tests.conftest import NOW, times

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

DAMPERS, CUSTOMERS = 200_000, 40_000
ASKED = times(100, 400)
BATCH = 10_000
Asked = list[tuple[str, Any]]


def keep(target_kind: str, rows: Iterator[tuple[int, list[tuple[str, str, int]]]]) -> None:
    """Write the terms of many rows as their services would."""
    batch: list[SearchTerm] = []
    for pk, terms in rows:
        for (kind, key), weight in wanted_keys(terms).items():
            batch.append(SearchTerm(key=key, kind=kind, weight=weight, target_kind=target_kind, target_id=pk))
        if len(batch) >= BATCH:
            SearchTerm.objects.bulk_create(batch)
            batch.clear()
    SearchTerm.objects.bulk_create(batch)


def fill(rng: random.Random) -> None:
    """Make the dampers of a dozen models, and the customers with a name and a phone each."""
    models = [
        DamperModel(maker=f"Keld{end}", name=f"K{n}") for n in range(4) for end in ("mark", "ora", "win")
    ]
    models = DamperModel.objects.bulk_create(models)
    for start in range(0, DAMPERS, BATCH):
        rows = []
        for count in range(start, start + BATCH):
            seven, model = tags.spread(count), rng.choice(models)
            serial = f"{rng.choice(('KM25', 'KW31', 'Z7'))}-{rng.randrange(10**6):06}-{count % 100:02}"
            rows.append(
                Damper(
                    tag=seven + tags.check_digit(seven), maker=model.maker, model=model,
                    serial=serial, serial_folded=f"{fold_number(serial)}{count}", made_at=NOW,
                )
            )  # fmt: skip
        made = Damper.objects.bulk_create(rows)
        keep("damper", ((row.pk, damper_terms(row)) for row in made))
    syllables = ("dal", "mor", "wyn", "bram", "cas", "tel", "quil", "hol", "pere", "ira", "sun", "dor")
    names = [
        f"{''.join(rng.choices(syllables, k=2))} {''.join(rng.choices(syllables, k=3))}"
        for _ in range(CUSTOMERS)
    ]
    people = Customer.objects.bulk_create([Customer(name=name.title(), made_at=NOW) for name in names], BATCH)
    phones = [
        Contact(customer=one, kind="phone", value=f"{rng.randrange(200, 999)}-555-{rng.randrange(10**4):04}")
        for one in people
    ]
    Contact.objects.bulk_create(phones, BATCH)
    read = Customer.objects.prefetch_related("contacts")
    keep("customer", ((row.pk, customer_terms(row)) for row in read.iterator(chunk_size=2000)))
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
        if connection.vendor == "postgresql":
            # What so many rows at once left to be sorted in later, every search would read.
            for index in trigrams.INDEXES:
                cursor.execute("SELECT gin_clean_pending_list(%s)", [index])


def texts(rng: random.Random) -> dict[str, list[tuple[str, int]]]:
    """Draw what is typed: each text with the damper or customer that it must find."""
    serials = Damper.objects.values_list("serial_folded", "pk")
    phones = Contact.objects.filter(kind="phone").values_list("value", "customer_id")
    some = rng.sample(list(serials), ASKED)
    bare = [(Damper.objects.get(pk=pk).serial, pk) for _serial, pk in some]
    owners = rng.sample(list(phones), ASKED)

    def part(text: str, pk: int) -> tuple[str, int]:
        size = rng.randint(4, 7)
        at = rng.randint(1, len(text) - size)
        return text[at : at + size], pk

    return {
        "beginning": [(serial[: rng.randint(2, 9)], pk) for serial, pk in bare],
        "whole serial": bare,
        "part of serial": [part(fold_number(serial), pk) for serial, pk in bare],
        "part of phone": [part(fold_number(phone), pk) for phone, pk in owners],
        "end of phone": [(phone[-rng.choice((4, 8)) :], pk) for phone, pk in owners],
        "name": [(name, pk) for name, pk in _names([pk for _phone, pk in owners], rng)],
    }


def _names(pks: list[int], rng: random.Random) -> list[tuple[str, int]]:
    rows = Customer.objects.in_bulk(pks)
    return [(rows[pk].name[: rng.randint(3, 14)].strip(), pk) for pk in pks]


def queries_of(work: Callable[[], Any]) -> tuple[Asked, Any]:
    """Give what the database was asked, with what came of it."""
    asked: Asked = []

    def note(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        asked.append((sql, params))
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        result = work()
    return asked, result


def database_ms(asked: Asked) -> float:
    """Ask the same again by the bare cursor and read all rows: the database's part alone.

    Each is asked three times and its quickest counts: what else runs on the machine is no part of it.
    """
    whole = 0.0
    with connection.cursor() as cursor:
        for sql, params in asked:
            took = []
            for _time in range(3):
                began = time.perf_counter()
                cursor.execute(sql, params)
                cursor.fetchall()
                took.append(time.perf_counter() - began)
            whole += min(took)
    return whole * 1000


def own_ms(asked: Asked) -> float:
    """Give what the database itself says it took: planning and carrying out, without the way there and back.

    SQLite works in this process and says nothing of its own: there it is the time of the bare cursor.
    """
    if connection.vendor != "postgresql":
        return database_ms(asked)
    whole = 0.0
    with connection.cursor() as cursor:
        for sql, params in asked:
            took = []
            for _time in range(3):
                cursor.execute(f"EXPLAIN (ANALYZE, TIMING OFF, SUMMARY, FORMAT JSON) {sql}", params)
                (said,) = cursor.fetchone()[0]
                took.append(said["Planning Time"] + said["Execution Time"])
            whole += min(took)
    return whole


def p95(took: list[float]) -> float:
    return sorted(took)[max(0, round(len(took) * 0.95) - 1)]


def floors(rng: random.Random) -> tuple[float, float]:
    """Measure one row by its key: through the bare cursor, and through Django's rows."""
    pks = rng.sample(list(Damper.objects.values_list("pk", flat=True)), ASKED)
    bare = [database_ms(queries_of(lambda pk=pk: Damper.objects.get(pk=pk))[0]) for pk in pks]
    rows = []
    for pk in pks:
        began = time.perf_counter()
        Damper.objects.get(pk=pk)
        rows.append((time.perf_counter() - began) * 1000)
    return p95(bare), p95(rows)


def test_a_search_beside_one_row_by_its_key(rng: random.Random) -> None:
    fill(rng)
    bare, django = floors(rng)
    print(
        f"\n{connection.vendor}: {DAMPERS} dampers, {SearchTerm.objects.count()} terms, {ASKED} texts of each kind"
    )
    print(f"p95 of one row by its key: {bare:.3f} ms by the bare cursor, {django:.3f} ms through Django")
    print(
        f"{'p95 of the search':<20}{'own ms':>8}{'ms':>8}{'queries':>9}{'× bare':>9}{'× Django':>10}"
        f"{'whole page’s ms':>18}"
    )
    every: list[float] = []
    every_own: list[float] = []
    for name, some in texts(rng).items():
        own, took, whole, count = [], [], [], 0
        for text, pk in some:
            asked, found = queries_of(lambda text=text: page.hits.hits(text, open_rows=page.open_rows))
            assert found.cut or pk in {one.target_id for one in found.matches}, (name, text)
            own.append(own_ms(asked))
            took.append(database_ms(asked))
            count = max(count, len(asked))
            whole.append(database_ms(queries_of(lambda text=text: page.find(text))[0]))
        every += took
        every_own += own
        worst = p95(took)
        print(
            f"{name:<20}{p95(own):>8.2f}{worst:>8.2f}{count:>9}{worst / bare:>9.1f}{worst / django:>10.1f}"
            f"{p95(whole):>18.2f}"
        )
    print(
        f"{'all of them':<20}{p95(every_own):>8.2f}{p95(every):>8.2f}{'':>9}{p95(every) / bare:>9.1f}"
        f"{p95(every) / django:>10.1f}"
    )
