"""Steps that repeat: over the model's adjusters; over fasteners, springs and sides as the sheet names them.

Seen to fail with the springs taken from the rates alone, and with a fastener step that falls away where the sheet gives
one figure for all of them.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from shopapp.bench.queries.reading import job_of
from shopapp.bench.queries.sheet import sheet_document
from shopapp.bench.queries.steps import sheet_steps
from shopapp.customers import services as customers
from shopapp.dampers import services as dampers
from shopapp.demo.master import Master, load_master
from shopapp.orders import services as orders
from shopapp.orders.models import Job
from shopapp.specs.models import Procedure, SpecFigure, Step

AT = dt.datetime(2026, 11, 25, 9, tzinfo=dt.UTC)
pytestmark = pytest.mark.django_db


@pytest.fixture
def master() -> Master:
    made = Master(today=AT.date(), began=AT - dt.timedelta(days=30))
    load_master(made)
    return made


def job(master: Master, model: str, work: str) -> Job:
    customer = customers.add_customer(name="Wyn Dallimore", **master.std("pia"))
    damper = dampers.add_damper(
        model=master.models[model], serial=f"R-{model}", customer=customer, **master.std("pia")
    )
    row = orders.DamperIn(damper=damper, work_type=master.work_types[work])
    order = orders.receive_order(customer=customer, dampers=[row], **master.std("pia", AT))
    found = job_of(order.jobs.get().pk)
    assert found is not None
    return found


def named(document: dict[str, Any], code: str) -> dict[str, str]:
    """Give the position and name of each step that a code became."""
    ids = set(Step.objects.filter(code=code).values_list("pk", flat=True))
    return {step["position"]: step["name"] for step in document["steps"] if step["id"] in ids}


def test_a_through_rod_is_done_at_both_its_ends_and_at_each_fastener(master: Master) -> None:
    document = sheet_document(job=job(master, "S2", "rebuild"), person=master.people["mo"], at=AT)
    sides = {
        "compression": "Seal head, torque, compression side",
        "rebound": "Seal head, torque, rebound side",
    }
    assert named(document, "close-seal-head-torque") == sides
    assert (
        set(named(document, "strip-seal-head")) == set(named(document, "ifp-proof-seal-head")) == set(sides)
    )
    assert named(document, "close-fasteners") == {
        "compensator to body": "Fastener, torque, compensator to body",
        "rod eye": "Fastener, torque, rod eye",
    }
    assert named(document, "settings-adjusters") == {"Rebound": "Rebound, clicks from closed"}
    torques = {
        s["position"]: s["limits"]["target_text"]
        for s in document["steps"]
        if s["figure"] == "seal head torque"
    }
    assert torques == {"compression": "40 N·m", "rebound": "50 N·m"}
    assert len({step["key"] for step in document["steps"]}) == len(document["steps"])


def test_a_spring_change_asks_for_each_spring_of_the_sheet(master: Master) -> None:
    document = sheet_document(job=job(master, "K25", "springs"), person=master.people["mo"], at=AT)
    assert set(named(document, "inspect-rate")) == set(named(document, "inspect-solid")) == {"tender", "main"}
    assert named(document, "spring-length")["tender"] == "Spring, free length as removed, tender"


def test_what_the_sheet_does_not_list_is_asked_once_or_not_at_all(master: Master) -> None:
    found = job(master, "T2", "rebuild")
    figures: dict[tuple[str, str], SpecFigure] = {}
    plain = {each.step.code: each.position for each in sheet_steps(found, figures, None)}
    assert plain["spring-rate"] == "" and "close-fasteners" not in plain
    one = SpecFigure(name="fastener torque", kind="torque", words="no figure given: snug")
    with_one = [
        each.position
        for each in sheet_steps(found, {("fastener torque", ""): one}, None)
        if each.step.code == "close-fasteners"
    ]
    assert with_one == [""]
    by_length = {
        ("spring free length", "main"): SpecFigure(name="spring free length", kind="length", target_si=0.2)
    }
    springs = [
        each.position for each in sheet_steps(found, by_length, None) if each.step.code == "spring-rate"
    ]
    assert springs == ["main"]


def test_every_way_to_repeat_is_used_by_a_shipped_procedure(master: Master) -> None:
    used = set(Step.objects.filter(procedure__in=Procedure.objects.all()).values_list("repeat", flat=True))
    assert used == set(Step.Repeat.values)
