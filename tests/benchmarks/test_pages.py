"""Pages and one entry beside an empty view with the whole middleware: ratios in one run, no asserted times."""

from __future__ import annotations

import datetime as dt
import json
import statistics
import time
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.demo.load import load
from shopapp.orders.models import Job
from shopapp.people.models import Person
from tests.conftest import times

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

TODAY = dt.date(2026, 11, 25)


def _median_ms(do: Callable[[], int], count: int) -> float:
    """Time `do` `count` times after one warm-up; it gives a status, which must be 200."""
    taken = []
    for number in range(count + 1):
        began = time.perf_counter()
        assert do() == 200
        if number:
            taken.append((time.perf_counter() - began) * 1000)
    return statistics.median(taken)


def _entry(job: Job, step: int, counter: int) -> dict[str, Any]:
    return {
        "id": str(uuid.uuid4()), "job": job.pk, "step": step, "position": "", "kind": "reading", "text": "28 1/16 in",
        "typed_at": dt.datetime.now(dt.UTC).isoformat(), "counter": counter,
    }  # fmt: skip


def test_pages_beside_an_empty_view(client: Client) -> None:
    load(seed=1187, today=TODAY)
    client.force_login(Person.objects.get(login_name="jorun"))
    job = Job.objects.filter(state="planned", procedure__isnull=False).first()
    assert job is not None and job.procedure is not None
    step = job.procedure.steps.get(code="settings-eyes").pk
    counter = iter(range(1, 10_000))

    def post() -> int:
        body = {"clock": dt.datetime.now(dt.UTC).isoformat(), "entries": [_entry(job, step, next(counter))]}
        answer = client.post("/bench/entries", json.dumps(body), content_type="application/json")
        assert answer.json()["answers"][0]["state"] == "stored"
        return answer.status_code

    count = times(20, 100)
    floor = _median_ms(lambda: client.get("/healthz").status_code, count)
    print(f"\n  {'an empty view':<28} {floor:8.2f} ms   1.0")
    for name, do in {
        "the desk's day": lambda: client.get("/desk").status_code,
        "orders": lambda: client.get("/orders/").status_code,
        "one order": lambda: client.get(f"/orders/{job.order.number}").status_code,
        "the new-order sheet": lambda: client.get("/orders/new").status_code,
        "a bench sheet": lambda: client.get(f"/bench/sheets/{job.pk}").status_code,
        "one entry": post,
    }.items():
        took = _median_ms(do, count)
        print(f"  {name:<28} {took:8.2f} ms {took / floor:5.1f}")
