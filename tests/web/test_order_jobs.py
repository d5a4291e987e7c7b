"""One damper of a running order changed, and one more taken in: freely until work starts, then with who and why."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from shopapp.customers import services as customers
from shopapp.customers.models import Customer, Vehicle
from shopapp.dampers.models import Damper, DamperModel, Fitting
from shopapp.orders import services as orders
from shopapp.orders.models import Job, OrderLine, Remark, WorkOrder, WorkType
from shopapp.orders.services import DamperIn, JobAsked
from shopapp.people.models import Device, Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act, Shop
from shopapp.shop.services.acts import Call, Refused, Stale
from tests.bench.make import Bench, make_bench

pytestmark = pytest.mark.django_db
Receive = Callable[..., WorkOrder]


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


@pytest.fixture
def bench(shop: Shop, desk: Person, technician: Person, owner: Person, device: Device) -> Bench:
    return make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)


@pytest.fixture
def spring(std: dict[str, Any]) -> WorkType:
    return orders.add_work_type(
        code="spring", name="Spring change", price=Decimal("40.00"), call=Call.fresh(), **std
    )


@pytest.fixture
def buggy(wyn: Customer, std: dict[str, Any]) -> Vehicle:
    return customers.add_vehicle(customer=wyn, description="buggy", call=Call.fresh(), **std)


def form(job: Job, **other: str) -> dict[str, str]:
    return {
        "act_key": new_key(), "revision": str(job.revision), "work_type": str(job.work_type_id), "place": job.place,
        "place_number": str(job.place_number), "condition": job.condition, "wish": job.wish,
    } | other  # fmt: skip


def damper(**other: str) -> dict[str, str]:
    return {"act_key": new_key()} | {f"r1_{name}": text for name, text in other.items() if name != "more"}


def said(response: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def job(order: WorkOrder, number: int = 1) -> Job:
    return Job.objects.select_related("work_type", "order").get(order=order, number=number)


def test_until_work_starts_all_of_it_may_change_and_the_price_follows(
    client: Client, receive: Receive, spring: WorkType
) -> None:
    """Seen red with the line left at its first price, and with the procedure of the first work kept."""
    order = receive("1", "2")
    sent = form(job(order), work_type=str(spring.pk), place="front left", condition="weeps", wish="softer")
    for _time in range(2):
        response = client.post(f"/jobs/{job(order).pk}/change", sent)
        assert (response.status_code, response["Location"]) == (302, "/orders/1001")
    now = job(order)
    assert (now.work_type, now.place, now.condition, now.wish) == (spring, "front left", "weeps", "softer")
    line, other = OrderLine.objects.order_by("job__number")
    assert (line.what, line.price, other.price) == ("Spring change", Decimal(40), Decimal(186))
    act = Act.objects.get(verb="change_job")
    assert {"field": "work_type", "old": "Rebuild", "new": "Spring change"} in act.changed
    assert "weeps" not in str(act.changed) and "softer" not in str(act.changed)
    page = said(client.get("/orders/1001"))
    assert "work: Rebuild → Spring change" in page and "Change job 1" in page


def test_a_damper_given_another_place_sits_there_on_its_vehicle(
    new_damper: Callable[..., Damper], rebuild: WorkType, wyn: Customer, buggy: Vehicle, std: dict[str, Any]
) -> None:
    one = new_damper("1")
    rows = [DamperIn(damper=one, work_type=rebuild, place="front left")]
    order = orders.receive_order(customer=wyn, vehicle=buggy, dampers=rows, call=Call.fresh(), **std)
    asked = JobAsked(work_type=rebuild, place="front right")
    orders.change_job(job=job(order), revision=1, asked=asked, call=Call.fresh(), **std)
    assert Fitting.objects.get(damper=one, current=True).place == "front right"


def test_once_work_has_started_it_says_who_and_why_and_the_kind_of_work_stays(
    client: Client, bench: Bench, std: dict[str, Any]
) -> None:
    """Seen red without the look at the job's state (another procedure under a half-recorded sheet)."""
    bench.do("reseal-kit", "part")
    begun, other = bench.fresh(), bench.order.jobs.get(number=2)
    spring = orders.add_work_type(code="s", name="Spring change", price=Decimal(40), call=Call.fresh(), **std)
    refused = client.post(f"/jobs/{begun.pk}/change", form(begun, wish="softer"))
    assert sorted(refused.context["form"].errors) == ["who", "why"]
    reason = {"who": "Wyn", "why": "rides alone now"}
    sent = form(begun, wish="softer", work_type=str(spring.pk), **reason)
    assert client.post(f"/jobs/{begun.pk}/change", sent).status_code == 302
    assert (bench.fresh().wish, bench.fresh().work_type_id) == ("softer", begun.work_type_id)
    assert Remark.objects.get().words == "rides alone now (asked for by Wyn)"
    with pytest.raises(Refused, match="Work on this damper has started"):
        orders.change_job(
            job=bench.fresh(), revision=bench.fresh().revision, asked=JobAsked(work_type=spring), call=Call.fresh(),
            **reason, **std,
        )  # fmt: skip
    sent = form(other, work_type=str(spring.pk), **reason)
    assert client.post(f"/jobs/{other.pk}/change", sent).status_code == 302, "its own work has not started"
    other.refresh_from_db()
    assert other.work_type == spring and other.procedure is None


def test_what_has_left_or_is_void_or_invoiced_stays(
    receive: Receive, spring: WorkType, std: dict[str, Any]
) -> None:
    """Seen red without each of the two looks."""
    order = receive("1", "2")
    orders.void_job(job=job(order), why="not his", call=Call.fresh(), **std)
    asked = JobAsked(work_type=spring)
    with pytest.raises(Refused, match="not here any more"):
        orders.change_job(job=job(order), revision=job(order).revision, asked=asked, call=Call.fresh(), **std)
    OrderLine.objects.update(invoiced=True)
    with pytest.raises(Refused, match="invoiced already"):
        orders.change_job(
            job=job(order, 2), revision=job(order, 2).revision, asked=asked, call=Call.fresh(), **std
        )
    assert job(order, 2).work_type.name == "Rebuild"


def test_two_desks_at_one_job(
    client: Client, receive: Receive, rebuild: WorkType, std: dict[str, Any]
) -> None:
    order = receive("1")
    mine = form(job(order), condition="weeps")
    asked = JobAsked(work_type=rebuild, condition="bent eyelet")
    orders.change_job(job=job(order), revision=1, asked=asked, call=Call.fresh(), **std)
    with pytest.raises(Stale):
        orders.change_job(job=job(order), revision=1, asked=asked, call=Call.fresh(), **std)
    refused = client.post(f"/jobs/{job(order).pk}/change", mine)
    assert "Now it says “bent eyelet”" in refused.content.decode()
    assert job(order).condition == "bent eyelet"


def test_one_more_damper_comes_to_the_order(
    client: Client, receive: Receive, model: DamperModel, rebuild: WorkType
) -> None:
    """Seen red with a number that was given before."""
    receive("1", "2")
    page = client.get("/orders/1001")
    assert "/orders/1001/dampers/new" in page.content.decode()
    asked = damper(
        tag="KM25-77", model=str(model.pk), work=str(rebuild.pk), place="front left", wish="softer"
    )
    look = client.post("/orders/1001/dampers/new", asked | {"look_up": "1"})
    assert look.status_code == 200 and "not known: a new Keldmark K25" in look.content.decode()
    assert Job.objects.count() == 2
    for _time in range(2):
        response = client.post("/orders/1001/dampers/new", asked)
        assert (response.status_code, response["Location"]) == (302, "/orders/1001")
    third = Job.objects.get(number=3)
    assert (third.damper.serial, third.place, third.wish) == ("KM25-77", "front left", "softer")
    assert third.lines.get().price == rebuild.price
    again = damper(tag="KM25-78", model=str(model.pk), work=str(rebuild.pk), place="front left")
    assert client.post("/orders/1001/dampers/new", again).status_code == 302
    assert Job.objects.get(number=4).place_number == 2


@pytest.mark.parametrize(
    ("typed", "field"),
    [({}, "r1_tag"), ({"tag": "KM25-9"}, "r1_model"), ({"tag": "KM25-1"}, None), ({"tag": "--"}, "r1_tag")],
)
def test_what_is_wrong_with_one_more_damper_is_said(
    client: Client, receive: Receive, rebuild: WorkType, typed: dict[str, str], field: str | None
) -> None:
    receive("KM25-1")
    asked = damper(work=str(rebuild.pk), **typed)
    refused = client.post("/orders/1001/dampers/new", asked)
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == [field or "__all__"]
    assert Job.objects.count() == 1


def test_nothing_is_added_where_work_started_without_a_reason_or_everything_has_left(
    client: Client, receive: Receive, model: DamperModel, rebuild: WorkType, now: dt.datetime
) -> None:
    order = receive("1")
    order.jobs.update(state="in work")
    asked = damper(tag="KM25-9", model=str(model.pk), work=str(rebuild.pk))
    refused = client.post("/orders/1001/dampers/new", asked)
    assert sorted(refused.context["form"].errors) == ["who", "why"]
    asked |= {"who": "Wyn", "why": "brought the other one"}
    assert client.post("/orders/1001/dampers/new", asked).status_code == 302
    Job.objects.update(
        state="done", outcome="done", closed_at=now, handed_over_at=now, handed_over_to="Wyn", is_open=False
    )
    assert client.get("/orders/1001/dampers/new").status_code == 404
    assert "/orders/1001/dampers/new" not in client.get("/orders/1001").content.decode()
    with pytest.raises(Refused, match="Make a new order"):
        orders.take_in_damper(
            order=order, row=orders.DamperRow(work_type=rebuild, serial="X", model=model), who="W", why="w",
            by=order.received_by, at=now, call=Call.fresh(),
        )  # fmt: skip


def test_others_may_not(client_as: Callable[[Person], Client], technician: Person, receive: Receive) -> None:
    order = receive("1")
    for url in ("/orders/1001/dampers/new", f"/jobs/{job(order).pk}/change"):
        assert client_as(technician).get(url).status_code == 403
        assert client_as(technician).post(url, {}).status_code == 403
