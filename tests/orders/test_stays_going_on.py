"""A damper that stays here goes on into a later order without leaving: its stay and its job end with that act.

Seen red: with `back_from` left out of voiding; with a stay that is not asked
for (any closed job went on); with places not brought along; with `brought_along` left out of the hand-over (the due
of the first rebuild was never noted).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.dampers import services as dampers
from shopapp.due import services as due
from shopapp.due.handlers import due_book
from shopapp.due.models import Due
from shopapp.orders import services as orders
from shopapp.orders.handlers import place_differences
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.orders.queries import job_state, jobs
from shopapp.orders.services import DamperIn, DamperRow
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from shopapp.web.queries.where_now import where_is

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
Receive = Callable[..., WorkOrder]


@pytest.fixture
def job(receive: Receive, now: dt.datetime, std: dict[str, Any]) -> Job:
    """Give a closed job whose damper stays, its body laid on a shelf."""
    order = receive("118834")
    first = order.jobs.get()
    orders.add_shelf(code="R2-4", rack="2", shelf="4", call=Call.fresh(), **std)
    orders.lay_part(job=first, part="body", words="R2-4", call=Call.fresh(), **std)
    Job.objects.filter(pk=first.pk).update(
        state="done", outcome="unrepaired", closed_at=now - dt.timedelta(minutes=1)
    )
    first.refresh_from_db()
    return first


def stay(job: Job, std: dict[str, Any], why: str = "part") -> None:
    orders.keep_here(job=job, why=why, who="Wyn", how="by phone", call=Call.fresh(), **std)


def later(job: Job, rebuild: WorkType, std: dict[str, Any], call: Call | None = None) -> WorkOrder:
    row = DamperIn(damper=job.damper, work_type=rebuild)
    return orders.receive_order(customer=job.order.customer, dampers=[row], call=call or Call.fresh(), **std)


def agree() -> bool:
    return [*place_differences(), *due_book()] == []


def test_it_goes_on_into_a_new_order(
    job: Job, rebuild: WorkType, std: dict[str, Any], now: dt.datetime
) -> None:
    stay(job, std)
    order = later(job, rebuild, std)
    new, old, ended = order.jobs.get(), jobs().get(pk=job.pk), job.stays.get()
    assert (old.is_open, old.went_on, old.handed_over_at, old.handed_over_to) == (False, new, now, "")
    assert job_state(old) == ("done", f"went on in order {order.number}")
    assert new.is_open and new.shelf_body == "R2-4"
    act = Act.objects.get(verb="receive_order", result__order=order.pk)
    assert (ended.ended_at, ended.ended_act) == (now, act)
    assert {"field": f"{job.order.number}/1: stay", "old": "part"} in act.changed
    found = where_is(job.damper, at=now, names=False)
    assert found.here and f"order {order.number}/1" in found.more and "R2-4" in found.first
    assert agree()


def test_it_is_taken_into_a_running_order(
    job: Job, receive: Receive, rebuild: WorkType, std: dict[str, Any]
) -> None:
    stay(job, std)
    running = receive("118835")
    row = DamperRow(work_type=rebuild, damper=job.damper)
    new = orders.take_in_damper(order=running, row=row, call=Call.fresh(), **std)
    job.refresh_from_db()
    assert (job.went_on, job.is_open) == (new, False)
    assert job.stays.get().ended_act.verb == "take_in_damper" and agree()


def test_one_in_an_open_order_is_refused(
    job: Job, rebuild: WorkType, std: dict[str, Any], receive: Receive
) -> None:
    with pytest.raises(Refused, match="which is still open"):
        later(job, rebuild, std)  # closed, and to be fetched: it does not stay
    stay(job, std)
    later(job, rebuild, std)
    with pytest.raises(Refused, match="which is still open"):
        later(job, rebuild, std)
    at_work = receive("118835").jobs.get()
    with pytest.raises(Refused, match="which is still open"):
        later(at_work, rebuild, std)
    assert WorkOrder.objects.count() == 3


def test_done_twice_is_done_once(job: Job, rebuild: WorkType, std: dict[str, Any]) -> None:
    stay(job, std)
    call = Call("k", request_hash="h")
    later(job, rebuild, std, call)
    with pytest.raises(AlreadyDone):
        later(job, rebuild, std, call)
    assert WorkOrder.objects.count() == 2


def test_a_void_order_gives_it_back_from_where_it_lies(
    job: Job, rebuild: WorkType, std: dict[str, Any], now: dt.datetime
) -> None:
    stay(job, std)
    order = later(job, rebuild, std)
    orders.lay_part(job=order.jobs.get(), part="body", words="on the bench", call=Call.fresh(), **std)
    orders.void_order(order=order, why="asked for by mistake", call=Call.fresh(), **std)
    again = jobs().get(pk=job.pk)
    assert (again.is_open, again.went_on, again.handed_over_at) == (True, None, None)
    assert job_state(again)[1] == "returned unrepaired" and again.shelf_body == "on the bench"
    assert where_is(job.damper, at=now, names=False).first == "In the shop: body on the bench"
    assert agree()
    stay(again, std)
    assert later(job, rebuild, std).jobs.get().is_open


def test_its_due_is_noted_when_it_leaves_at_last(
    job: Job, rebuild: WorkType, std: dict[str, Any], now: dt.datetime
) -> None:
    day = dt.date(2027, 3, 2)
    Job.objects.filter(pk=job.pk).update(outcome="done", next_due=day)
    stay(job, std, "stored")
    order = later(job, rebuild, std)
    assert not Due.objects.exists() and agree()
    order.jobs.update(state="done", outcome="done", closed_at=now)  # looked at alone: it sets no date
    due.hand_over_jobs(order=order, jobs=order.jobs.all(), to_whom="Wyn", call=Call.fresh(), **std)
    assert (Due.objects.get().on, Due.objects.get().job) == (day, job) and agree()


def test_scrapped_in_the_end_nothing_is_due(
    job: Job, rebuild: WorkType, std: dict[str, Any], now: dt.datetime
) -> None:
    Job.objects.filter(pk=job.pk).update(outcome="done", next_due=dt.date(2027, 3, 2))
    stay(job, std, "stored")
    new = later(job, rebuild, std).jobs.get()
    Job.objects.filter(pk=new.pk).update(state="done", outcome="unrepaired", closed_at=now)
    orders.scrap_job(job=new, who="Wyn", how="by phone", call=Call.fresh(), **std)
    assert not Due.objects.exists() and agree()


def test_the_database_holds_it(job: Job, receive: Receive) -> None:
    other = receive("118835").jobs.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        Job.objects.filter(pk=job.pk).update(went_on=other)


def test_the_sheet_offers_and_takes_it(
    job: Job, rebuild: WorkType, wyn: Customer, std: dict[str, Any], desk: Person, client_as: As
) -> None:
    """Of a vehicle it is offered like one that comes; its note says from where it stays."""
    buggy = customers.add_vehicle(customer=wyn, description="Buggy", call=Call.fresh(), **std)
    dampers.fit_damper(damper=job.damper, vehicle=buggy, place="rear left", call=Call.fresh(), **std)
    client, number = client_as(desk), job.order.number
    url = f"{reverse('order-new')}?customer={wyn.pk}&vehicle={buggy.pk}"
    assert f"in open order {number}" in client.get(url).content.decode()
    stay(job, std)
    page = client.get(url).content.decode()
    assert f"stays: waits for a part and a later order, from order {number}" in page
    sent = {
        "act_key": new_key(), "customer": str(wyn.pk), "vehicle": str(buggy.pk), "comes_by": "counter",
        "leaves_by": "counter", "meter_kind": "reading", "work": str(rebuild.pk), "r1_offered": "1", "r1_brought": "on",
        "r1_tag": job.damper.tag, "r1_place": "rear left",
    }  # fmt: skip
    answer = client.post(reverse("order-new"), sent)
    assert answer.status_code == 302, answer.content.decode()
    job.refresh_from_db()
    assert job.went_on is not None and job.went_on.place == "rear left"
    first = client.get(reverse("order", args=[number])).content.decode()
    assert f"went on in order {job.went_on.order.number}" in first
    assert "Job 1 is to be fetched again" not in first


def test_one_more_damper_takes_it(
    job: Job, rebuild: WorkType, receive: Receive, std: dict[str, Any], desk: Person, client_as: As
) -> None:
    stay(job, std)
    running, client = receive("118835"), client_as(desk)
    url = reverse("order-damper-new", args=[running.number])
    sent = {"act_key": new_key(), "r1_tag": job.damper.tag, "r1_work": str(rebuild.pk)}
    assert "stays: waits for a part" in client.post(url, sent | {"look_up": "1"}).content.decode()
    assert client.post(url, sent).status_code == 302
    job.refresh_from_db()
    assert job.went_on is not None and job.went_on.order == running
