"""How dear the bench is: opening a sheet, and storing one entry, beside an empty view with full middleware.

Times are printed, never asserted. The sheet is the invented shop's fullest one that is still open; each entry is a note
of its own, answered with the whole fresh sheet as every entry is.
"""

from __future__ import annotations

import datetime as dt
import json
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.db.models import Count
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.bench.models import Entry
from shopapp.demo.load import load
from shopapp.orders.models import Job
from shopapp.people.models import Person
from tests.benchmarks.test_pages import ROUNDS, median_ms
from tests.conftest import SEED

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

TODAY = dt.date(2026, 3, 2)


def test_a_sheet_and_an_entry_beside_an_empty_view(client_as: Callable[[Person], Client]) -> None:
    load(seed=SEED, today=TODAY)
    client = client_as(Person.objects.get(login_name="mo"))
    job = (
        Job.objects.filter(is_open=True, state="in work")
        .annotate(entered=Count("entries"))
        .order_by("-entered")[0]
    )
    already = Entry.objects.filter(job=job).count()
    sheet = f"/bench/sheets/{job.pk}"

    def store() -> Any:
        row = {
            "id": str(uuid.uuid4()), "job": job.pk, "step": None, "position": "", "kind": "note", "words": "wiped down",
            "typed_at": f"{TODAY}T12:00:00+00:00", "counter": 100_000 + Entry.objects.count(),
        }  # fmt: skip
        return client.post("/bench/entries", json.dumps({"entries": [row]}), content_type="application/json")

    floor = median_ms(lambda: client.get("/healthz"))
    print(f"\n{connection.vendor}, median of {ROUNDS}, {already} entries; the empty view: {floor:.2f} ms")
    print(f"{'what':<14}{'ms':>8}{'queries':>9}{'bytes':>9}{'× empty view':>14}")
    for name, work in (("sheet", lambda: client.get(sheet)), ("one entry", store)):
        with CaptureQueriesContext(connection) as captured:
            answer = work()
        queries = len(captured.captured_queries)  # the next request empties the log
        assert answer.status_code == 200 and queries, answer.content[:300]
        took, size = median_ms(work), len(answer.content)
        print(f"{name:<14}{took:>8.1f}{queries:>9}{size:>9}{took / floor:>14.1f}")
    assert Entry.objects.filter(job=job, kind="note").count() >= ROUNDS + 2, "each entry was stored"
