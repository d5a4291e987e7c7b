"""Every list in a shop of twenty times the demo: as many queries for 20 rows as for 10, its time beside an empty page.

Times are printed, never asserted: the middle of many looks. The empty page is one's own page (signed in, the sheet's
frame, no list); the empty view is the health check, which has neither. In the quick tier the shop is once the demo.
The bench is no list: it reckons afresh what each of its jobs waits for.
Seen red with the vehicle of each order read row by row.
"""

from __future__ import annotations

import datetime as dt
import statistics
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.core.paginator import Paginator
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.customers.models import Customer
from shopapp.demo.load import load
from shopapp.people.models import Person
from shopapp.web.owner import load as owner_load
from shopapp.web.owner import load_data as owner_load_data
from shopapp.web.owner import things
from tests.benchmarks.test_pages import ROUNDS, median_ms
from tests.conftest import SEED, times

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


def test_every_list_beside_an_empty_page(client_as: Callable[[Person], Client]) -> None:
    load(seed=SEED, today=dt.date(2026, 3, 2), scale=SCALE)
    client = client_as(Person.objects.filter(groups__name="owner").get())
    busiest = Customer.objects.get(name="Ostrey Beach Rescue")
    paths = [*LISTS, f"/customers/{busiest.pk}", *(f"/owner/{slug}/" for slug in sorted(things.REGISTRY))]
    view = median_ms(lambda: client.get("/healthz"))
    print(f"\n{connection.vendor}, {SCALE} times the demo: {Customer.objects.count()} customers")
    print(f"the empty view {view:.2f} ms")
    print(f"{'list':<24}{'ms':>8}{'queries':>9}{'× empty view':>14}{'empty page ms':>15}{'× empty page':>14}")
    slow, grows = [], []
    for path in paths:
        ten, twenty = asked(client, path, 10), asked(client, path, 20)
        if ten != twenty:
            grows.append((path, ten, twenty))
        took, page = side_by_side(client, path)
        print(f"{path:<24}{took:>8.1f}{twenty:>9}{took / view:>14.1f}{page:>15.1f}{took / page:>14.1f}")
        if took > MOST * page:
            slow.append(path)
    print(f"more than {MOST:g} times the empty page: {', '.join(slow) or 'none'}")
    assert grows == []
