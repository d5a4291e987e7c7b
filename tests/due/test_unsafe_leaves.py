"""A damper that was stopped unsafe leaves the shop: after the owner's release and its closing, by its own record."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.due import services as due
from shopapp.orders.models import Job
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Refused
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
SAFE = "Bled through the valve by R. Stenmark, core out"


def stop(found: Bench) -> None:
    found.unlock("spring off")
    found.do("release-zero", "proof", answer="does not move")


def make_safe(found: Bench) -> None:
    found.do("", "release", words=SAFE, by=found.owner)


def close(found: Bench) -> None:
    found.do("", "close", outcome="unsafe", words="the body is cracked")


def give(found: Bench, to_whom: str = "Wyn Dallimore") -> list[Job]:
    return due.hand_over_jobs(
        order=found.order, jobs=[found.job], to_whom=to_whom, by=found.desk, at=found.at, call=Call.fresh()
    )


@pytest.mark.parametrize("steps", [[stop], [stop, make_safe], [stop, make_safe, close, stop]])
def test_it_stays_until_it_is_released_and_closed(bench: Bench, steps: list[Callable[[Bench], None]]) -> None:  # noqa: F811
    for step in steps:
        step(bench)
    with pytest.raises(Refused, match="DO NOT OPEN until the owner releases"):
        give(bench)
    assert bench.fresh().is_open


def test_released_and_closed_it_goes_with_the_statement_in_the_record(bench: Bench) -> None:  # noqa: F811
    stop(bench)
    make_safe(bench)
    close(bench)
    (job,) = give(bench)
    again = bench.fresh()
    assert (again.is_open, again.state, again.outcome) == (False, "done", "unsafe")
    assert again.handed_over_to == "Wyn Dallimore"
    release = job.entries.get(kind="release")
    result = Act.objects.get(verb="hand_over_jobs").result
    assert result["tag"] == "DO NOT OPEN"
    assert result["made_safe"] == {str(job.pk): str(release.pk)}
    assert books.differences() == []


def test_the_order_page_offers_it_and_then_shows_how_it_went(bench: Bench, client_as: As) -> None:  # noqa: F811
    stop(bench)
    make_safe(bench)
    client = client_as(bench.desk)
    page = reverse("order", args=[bench.order.number])
    assert "Hand over the dampers" not in client.get(page).content.decode()
    close(bench)
    body = client.get(page).content.decode()
    assert "Hand over the dampers" in body
    assert f'value="{bench.job.pk}" checked' not in body
    give(bench)
    body = client.get(page).content.decode()
    assert "DO NOT OPEN" in body
    assert SAFE in body
