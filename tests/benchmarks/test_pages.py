"""How dear a page is: its time beside two floors, an empty view with full middleware and its own SQL by the raw driver.

Times are printed, never asserted: another machine has others. What is asserted is that the page was the page.
"""

from __future__ import annotations

import datetime as dt
import json
import statistics
import time
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.demo.load import load
from shopapp.people.models import Person
from tests.conftest import SEED, times

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

PAGES = ("/desk", "/orders/", "/customers/", "/dampers/", "/stock/", "/tools/", "/money/", "/due/", "/owner/")
ROUNDS = times(10, 50)


def median_ms(work: Callable[[], Any]) -> float:
    """Do it once to warm up and ROUNDS times more; give the median in milliseconds."""
    work()
    took = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        work()
        took.append((time.perf_counter() - began) * 1000)
    return statistics.median(took)


def raw_ms(queries: list[dict[str, str]]) -> float:
    """Run the page's own SELECTs by the bare driver and make JSON of their rows."""
    asked = [query["sql"] for query in queries if query["sql"].startswith("SELECT")]
    connection.ensure_connection()

    def run() -> str:
        rows = []
        cursor = connection.connection.cursor()
        for sql in asked:
            cursor.execute(sql)
            rows.append(cursor.fetchall())
        return json.dumps(rows, default=str)

    return median_ms(run)


def test_pages_beside_their_floors(client_as: Callable[[Person], Client]) -> None:
    load(seed=SEED, today=dt.date(2026, 3, 2))
    client = client_as(Person.objects.filter(groups__name="owner").get())
    floor = median_ms(lambda: client.get("/healthz"))
    print(f"\n{connection.vendor}, median of {ROUNDS}; the empty view with full middleware: {floor:.2f} ms")
    print(f"{'page':<14}{'ms':>8}{'queries':>9}{'bytes':>9}{'× empty view':>14}{'× raw SQL':>11}")
    for path in PAGES:
        with CaptureQueriesContext(connection) as captured:
            answer = client.get(path)
        queries = list(captured.captured_queries)  # the next request empties the log
        assert answer.status_code == 200, path
        assert len(answer.content) > 1000 and queries, path
        whole, raw = median_ms(lambda path=path: client.get(path)), raw_ms(queries)
        size = len(answer.content)
        print(f"{path:<14}{whole:>8.1f}{len(queries):>9}{size:>9}{whole / floor:>14.1f}{whole / raw:>11.1f}")
