"""A shelf typed or scanned at intake is the shelf itself: laid there by the service; what names none is a sentence.

Seen red: with `_lay` left out (no placing), with `refused` not asked (unknown words stored), with the code alone
looked for (its label's words were unknown), with retired shelves taken.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.orders import services as orders
from shopapp.orders.handlers import place_differences
from shopapp.orders.models import Job, Placing, Shelf, WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.services.acts import Call

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
Receive = Callable[..., WorkOrder]


@pytest.fixture
def shelf(owner: Person, now: dt.datetime) -> Shelf:
    return orders.add_shelf(code="R2-4", rack="rack 2", shelf="shelf 4", by=owner, at=now, call=Call.fresh())


@pytest.mark.parametrize(
    "typed", ["R2-4", " r2-4 ", "HTTPS://DAMPERS.EXAMPLE.COM/WORKSHOP/S/R2-4", "/S/R2-4", "Rack 2,  shelf 4"]
)
def test_a_shelf_that_is_named_is_laid_on(
    shelf: Shelf, sheet: dict[str, str], desk: Person, client_as: As, typed: str
) -> None:
    answer = client_as(desk).post(reverse("order-new"), sheet | {"r1_shelf": typed})
    assert answer.status_code == 302, answer.context["form"].errors
    job, row = Job.objects.get(), Placing.objects.get()
    assert (job.shelf_body, row.job, row.part, row.shelf, row.was) == ("R2-4", job, "body", shelf, "")
    assert row.act.verb == "take_in" and list(place_differences()) == []


@pytest.mark.parametrize(
    "typed", ["rack 9, A", "R9-9", "/S/R9-9", "on the bench", "<script>alert(1)</script>", "x" * 150]
)
def test_what_is_no_shelf_is_a_sentence_and_the_sheet_is_kept(
    shelf: Shelf, sheet: dict[str, str], desk: Person, client_as: As, typed: str
) -> None:
    answer = client_as(desk).post(reverse("order-new"), sheet | {"r1_shelf": typed})
    page = answer.content.decode()
    assert answer.status_code == 422 and "is no shelf" in answer.context["form"].errors["r1_shelf"][0]
    assert sheet["act_key"] in page and "Tops out." in page and "<script>alert" not in page
    assert not WorkOrder.objects.exists()


def test_a_retired_shelf_takes_nothing(
    shelf: Shelf, sheet: dict[str, str], desk: Person, client_as: As, now: dt.datetime
) -> None:
    Shelf.objects.update(retired_at=now)
    answer = client_as(desk).post(reverse("order-new"), sheet | {"r1_shelf": "R2-4"})
    assert "no longer used" in answer.context["form"].errors["r1_shelf"][0]


def test_a_shop_without_shelves_says_it_in_words(sheet: dict[str, str], desk: Person, client_as: As) -> None:
    long = client_as(desk).post(reverse("order-new"), sheet | {"r1_shelf": "x" * 41})
    assert "at most 40" in long.context["form"].errors["r1_shelf"][0]
    assert client_as(desk).post(reverse("order-new"), sheet).status_code == 302
    assert Job.objects.get().shelf_body == "rack 2, A" and not Placing.objects.exists()


def test_one_more_damper_is_laid_on_its_shelf(
    shelf: Shelf, receive: Receive, rebuild: WorkType, desk: Person, client_as: As
) -> None:
    order = receive("118834")
    url = reverse("order-damper-new", args=[order.number])
    sent: dict[str, Any] = {
        "act_key": new_key(), "r1_tag": "118899", "r1_model": str(order.jobs.get().damper.model_id),
        "r1_work": str(rebuild.pk), "r1_shelf": "nowhere",
    }  # fmt: skip
    answer = client_as(desk).post(url, sent)
    assert answer.status_code == 422 and "is no shelf" in answer.content.decode()
    assert client_as(desk).post(url, sent | {"r1_shelf": "/S/R2-4"}).status_code == 302
    assert Placing.objects.get().job.number == 2 and order.jobs.get(number=2).shelf_body == "R2-4"
