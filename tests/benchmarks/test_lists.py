"""Every list in a shop of twenty times the demo: as many queries for 20 rows as for 10, its time beside two floors.

The empty page is one's own page (signed in, the sheet's frame, no list), looked at in turn with the list; the same list
empty is what it took, beside the empty page then, before there was anything in the shop. Times are printed, never
asserted: the middle of many looks. In the quick tier the shop is once the demo. What the loading left in memory is set
aside: a web server has not loaded a shop. The bench is no list: it reckons afresh what each of its jobs waits for. Nor
is a customer's page, the busiest's here.
Seen red with the vehicle of each order read row by row.
"""

from __future__ import annotations

import datetime as dt
import gc
import statistics
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import pytest
import time_machine
from django.core.paginator import Paginator
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.customers.models import Customer
from shopapp.demo.load import load
from shopapp.people.models import Person
from shopapp.people.services import staff
from shopapp.shop.models import Shop
from shopapp.web.owner import load as owner_load
from shopapp.web.owner import load_data as owner_load_data
from shopapp.web.owner import things
from tests.benchmarks.test_pages import ROUNDS
from tests.conftest import SEED, make_person, times

pytestmark = [pytest.mark.bench, pytest.mark.django_db]
assert owner_load and owner_load_data  # they fill the registry of the owner's things

SCALE = times(1, 20)
LISTS = (
    "/orders/", "/customers/", "/dampers/", "/stock/", "/tools/", "/money/", "/due/", "/bench/", "/owner/acts",
    "/owner/comebacks", "/owner/outbox",
)  # fmt: skip
MOST = 3.0
"""So many times an empty page a list should take: above it, it is named."""


@contextmanager
def rows_a_page(count: int) -> Iterator[None]:
    """Let every list show so many rows a page."""
    real = Paginator.__init__

    def few(self: Any, rows: Any, _per_page: Any, *args: Any, **kwargs: Any) -> None:
        real(self, rows, count, *args, **kwargs)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Paginator, "__init__", few)
        yield


def asked(client: Client, path: str, count: int) -> int:
    """Count the queries of a list with so many rows a page."""
    with rows_a_page(count), CaptureQueriesContext(connection) as captured:
        assert client.get(path).status_code == 200, path
    return len(captured)


def side_by_side(client: Client, path: str) -> tuple[float, float]:
    """Give the milliseconds of a list and of the empty page, looked at in turn: what slows the machine slows both."""
    took: list[float] = []
    page: list[float] = []
    for count in range(ROUNDS + 1):
        for seen, at in ((took, path), (page, "/me")):
            began = time.perf_counter()
            assert client.get(at).status_code == 200, at
            if count:
                seen.append((time.perf_counter() - began) * 1000)
    return statistics.median(took), statistics.median(page)


def empty(paths: Iterable[str], client_as: Callable[[Person], Client]) -> dict[str, float]:
    """Give by list how many times an empty page it takes while the shop is empty; nothing of it stays."""
    with transaction.atomic():
        staff.ensure_roles()
        Shop.objects.create(pk=1, name="Test Bench Works", currency="USD", zone="UTC")
        client = client_as(make_person("ada", "owner", initials="AO"))
        found = {}
        for path in paths:
            took, page = side_by_side(client, path)
            found[path] = took / page
        transaction.set_rollback(True)
    return found


@pytest.fixture
def little_in_memory() -> Iterator[Callable[[], None]]:
    """Give what sets aside all that is in memory, so that the collector does not go through it at each look."""

    def set_aside() -> None:
        gc.collect()
        gc.freeze()

    yield set_aside
    gc.unfreeze()


def test_every_list_beside_its_floors(
    client_as: Callable[[Person], Client], little_in_memory: Callable[[], None]
) -> None:
    paths = [*LISTS, *(f"/owner/{slug}/" for slug in sorted(things.REGISTRY))]
    with time_machine.travel(dt.datetime(2026, 3, 2, 12, tzinfo=dt.UTC)):
        look_at(paths, client_as, little_in_memory)


def look_at(
    paths: Sequence[str], client_as: Callable[[Person], Client], little_in_memory: Callable[[], None]
) -> None:
    """Look at every list in an empty shop, then in a full one; print the times, hold the number of queries."""
    little_in_memory()
    bare = empty(paths, client_as)
    load(seed=SEED, today=dt.date(2026, 3, 2), scale=SCALE)
    little_in_memory()
    client = client_as(Person.objects.filter(groups__name="owner").get())
    busiest = Customer.objects.get(name="Ostrey Beach Rescue")
    print(f"\n{connection.vendor}, {SCALE} times the demo: {Customer.objects.count()} customers")
    print(
        f"{'list':<24}{'ms':>8}{'queries':>9}{'empty page ms':>15}{'× empty page':>14}{'× itself empty':>16}"
    )
    slow, grows = [], []
    for path in [*paths, f"/customers/{busiest.pk}"]:
        ten, twenty = asked(client, path, 10), asked(client, path, 20)
        if ten != twenty:
            grows.append((path, ten, twenty))
        took, page = side_by_side(client, path)
        ratio = took / page
        itself = f"{ratio / bare[path]:.1f}" if path in bare else "–"
        print(f"{path:<24}{took:>8.1f}{twenty:>9}{page:>15.1f}{ratio:>14.1f}{itself:>16}")
        if ratio > MOST:
            slow.append(path)
    print(f"more than {MOST:g} times the empty page: {', '.join(slow) or 'none'}")
    assert grows == []
