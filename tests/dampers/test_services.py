"""Dampers: one serial of one maker once, one owner and one place at a time."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from shopapp.customers import services as customers
from shopapp.customers.models import Customer, Vehicle
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper, DamperModel, Fitting
from shopapp.dampers.queries import dampers as find_dampers
from shopapp.dampers.services import NewAdjuster
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call, Refused, Stale

pytestmark = pytest.mark.django_db


@pytest.fixture
def std(desk: Person, now: dt.datetime) -> dict[str, Any]:
    return {"by": desk, "at": now}


@pytest.fixture
def wyn(std: dict[str, Any]) -> Customer:
    return customers.add_customer(name="Wyn Dallimore", call=Call.fresh(), **std)


@pytest.fixture
def model(std: dict[str, Any]) -> DamperModel:
    return dampers.add_model(
        maker="Keldmark", name="K25", construction="reservoir", adjusters=[NewAdjuster("rebound", highest=16)],
        call=Call.fresh(), **std,
    )  # fmt: skip


def add(model: DamperModel | None, wyn: Customer, serial: str, std: dict[str, Any], **kwargs: Any) -> Damper:
    return dampers.add_damper(model=model, customer=wyn, serial=serial, call=Call.fresh(), **std, **kwargs)


def test_a_damper_gets_a_tag_an_owner_and_is_found(
    model: DamperModel, wyn: Customer, std: dict[str, Any]
) -> None:
    damper = add(model, wyn, "KM25-118834", std)
    assert damper.maker == "Keldmark"
    assert damper.ownerships.get(current=True).customer == wyn
    for text in (damper.tag, damper.tag[:4], "km25 118", "KM25118834", "118834"):
        assert list(find_dampers(text)) == [damper], text
    assert list(find_dampers("34")) == list(find_dampers("--")) == []
    assert list(find_dampers("18834")) == [damper], "a part of it: see shop/trigrams.py"


def test_one_serial_of_one_maker_is_one_damper_however_spelled(
    model: DamperModel, wyn: Customer, std: dict[str, Any]
) -> None:
    first = add(model, wyn, "KM25-118834", std)
    with pytest.raises(Refused, match=f"under the tag {dampers.tags.show(first.tag)}"):
        add(None, wyn, "km25 118834", std, maker="KELDMARK")
    add(None, wyn, "KM25-118834", std, maker="Tavlan")
    add(model, wyn, "", std)
    add(model, wyn, "", std)
    assert Damper.objects.count() == 4


def test_an_owner_follows_an_owner(model: DamperModel, wyn: Customer, std: dict[str, Any]) -> None:
    damper = add(model, wyn, "1", std)
    other = customers.add_customer(name="O. Pereira", call=Call.fresh(), **std)
    day = dt.date(2026, 5, 1)
    dampers.set_owner(damper=damper, customer=other, on=day, call=Call.fresh(), **std)
    dampers.set_owner(damper=damper, customer=other, on=day, call=Call.fresh(), **std)
    assert [(o.customer, o.until, o.current) for o in damper.ownerships.order_by("pk")] == [
        (wyn, day, False), (other, None, True),
    ]  # fmt: skip


def test_a_place_holds_one_damper_and_a_damper_one_place(
    model: DamperModel, wyn: Customer, std: dict[str, Any]
) -> None:
    buggy: Vehicle = customers.add_vehicle(customer=wyn, description="buggy", call=Call.fresh(), **std)
    one, two = add(model, wyn, "1", std), add(model, wyn, "2", std)

    def fit(damper: Damper, place: str) -> Fitting:
        return dampers.fit_damper(damper=damper, vehicle=buggy, place=place, call=Call.fresh(), **std)

    fit(one, "front left")
    assert fit(one, "front left") == fit(one, "front left")
    fit(two, "front left")
    fit(two, "rear right")
    current = Fitting.objects.filter(current=True)
    assert [(f.damper, f.place) for f in current] == [(two, "rear right")]
    assert Fitting.objects.count() == 3
    with pytest.raises(Refused, match="place of the list"):
        fit(one, "roof")


def test_a_model_is_once_and_its_adjusters_follow_a_change(model: DamperModel, std: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="in the list already"):
        dampers.add_model(maker="Keldmark", name="K25", construction="bladder", call=Call.fresh(), **std)
    kept = model.adjusters.get()
    change = {"model": model, "maker": "Keldmark", "name": "K25", "construction": "reservoir"}
    wanted = [NewAdjuster("compression low"), NewAdjuster("rebound", highest=18)]
    dampers.change_model(revision=1, adjusters=wanted, call=Call.fresh(), **change, **std)
    assert [(a.name, a.highest, a.order) for a in model.adjusters.all()] == [
        ("compression low", 20, 1), ("rebound", 18, 2),
    ]  # fmt: skip
    assert model.adjusters.get(name="rebound").pk == kept.pk
    with pytest.raises(Stale):
        dampers.change_model(revision=1, adjusters=[], call=Call.fresh(), **change, **std)
    with pytest.raises(Refused, match="highest count"):
        bad = [NewAdjuster("rebound", lowest=5, highest=5)]
        dampers.change_model(revision=2, adjusters=bad, call=Call.fresh(), **change, **std)


def test_an_adjuster_that_an_open_order_counts_stays(
    model: DamperModel, wyn: Customer, std: dict[str, Any]
) -> None:
    damper = add(model, wyn, "A1", std)
    work = WorkType.objects.create(code="rebuild", name="Rebuild", price=1)
    received = {"received_at": std["at"], "received_by": std["by"]}
    order = WorkOrder.objects.create(number=1001, customer=wyn, **received)
    job = Job.objects.create(order=order, number=1, damper=damper, work_type=work)
    kept = model.adjusters.get()
    change = {"model": model, "maker": "Keldmark", "name": "K25", "construction": "reservoir"}
    for wanted in ([], [NewAdjuster(f"{kept.name} other")]):
        with pytest.raises(Refused, match=f"“{kept.name}” is counted in order 1001"):
            dampers.change_model(revision=1, adjusters=wanted, call=Call.fresh(), **change, **std)
    assert model.adjusters.get() == kept
    model.refresh_from_db()
    more = [NewAdjuster(kept.name), NewAdjuster("second")]
    dampers.change_model(revision=1, adjusters=more, call=Call.fresh(), **change, **std)
    Job.objects.filter(pk=job.pk).update(state="void", is_open=False)
    dampers.change_model(revision=2, adjusters=[], call=Call.fresh(), **change, **std)
    assert not model.adjusters.exists()
