"""A damper's page: everything ever done to it, over owners and vehicles; names for the office alone."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.bench.queries.life import life_of
from shopapp.customers import services as customers
from shopapp.due import services as due
from shopapp.orders import services as orders
from shopapp.orders.services import DamperIn
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db
ClientAs = Callable[[Person], Client]


@pytest.fixture
def bench(shop, desk, technician, owner, device):  # type: ignore[no-untyped-def]
    from tests.bench.make import make_bench

    return make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)


def record(bench: Bench, charge: str, depth: str) -> None:
    """Read a charge and a depth, as found and as built, and send the damper home."""
    bench.unlock("strip")
    bench.do("release-temperature", "reading", text="21 °C")
    bench.do("release-found", "reading", text=charge)
    bench.do("strip-ifp-depth", "reading", text=depth)
    bench.unlock("charge")
    bench.do("charge-temperature", "reading", text="42 °C")
    bench.do("charge-gas", "reading", text="152 psi", tool="G-04")


def again(bench: Bench, *, sold_to: str = "") -> None:
    """Send the damper home and receive it once more, perhaps from somebody else."""
    at = {"by": bench.desk, "at": bench.at}
    bench.do("", "close", outcome="unrepaired", words="the customer declined")
    due.hand_over_jobs(
        order=bench.job.order, jobs=[bench.fresh()], to_whom="Wyn Dallimore", call=Call.fresh(), **at
    )
    bench.at += dt.timedelta(days=200)
    at["at"] = bench.at
    customer, vehicle = bench.order.customer, bench.order.vehicle
    if sold_to:
        customer, vehicle = customers.add_customer(name=sold_to, call=Call.fresh(), **at), None
    order = orders.receive_order(
        customer=customer, vehicle=vehicle, call=Call.fresh(), **at,
        dampers=[DamperIn(damper=bench.job.damper, work_type=bench.job.work_type, place="rear left")],
    )  # fmt: skip
    bench.job = order.jobs.get()


def strand(bench: Bench, name: str) -> list[tuple[str, str]]:
    found = next(s for s in life_of(bench.job.damper).strands if s.name.startswith(name))
    return [(row.found, row.built) for row in found.rows]


def test_readings_stand_job_by_job_the_newest_first(bench: Bench) -> None:
    record(bench, "132 psi", "3 1/16 in")
    again(bench, sold_to="Tarn Okello")
    record(bench, "118 psi", "3 1/8 in")
    assert strand(bench, "IFP depth") == [("3 1/8 in", "3 in"), ("3 1/16 in", "3 in")]
    assert strand(bench, "Charge") == [
        ("118 psi · 21 °C", "152 psi · 42 °C"), ("132 psi · 21 °C", "152 psi · 42 °C"),
    ]  # fmt: skip


def test_a_corrected_reading_and_a_mere_attempt_are_left_out(bench: Bench) -> None:
    bench.unlock("strip")
    old = bench.do("release-temperature", "reading", text="21 °C")
    bench.do("release-found", "reading", text="132 psi")
    bench.do("release-temperature", "reading", text="22 °C", replaces=old.pk)
    bench.do("release-found", "reading", text="131 psi")
    bench.do("ifp-depth", "reading", text="7 3/4 in", tool="D-01")
    assert strand(bench, "Charge")[0][0] == "131 psi · 22 °C"
    assert not [s for s in life_of(bench.job.damper).strands if s.name.startswith("IFP depth")]


def test_a_curve_is_drawn_once_there_are_two(bench: Bench) -> None:
    record(bench, "132 psi", "3 1/16 in")
    assert not [s for s in life_of(bench.job.damper).strands if s.drawn]
    again(bench)
    record(bench, "118 psi", "3 1/8 in")
    drawn = [s.name for s in life_of(bench.job.damper).strands if s.drawn]
    assert any(name.startswith("Charge") for name in drawn)


def test_the_office_sees_every_owner_and_the_bench_sees_none(bench: Bench, client_as: ClientAs) -> None:
    again(bench, sold_to="Tarn Okello")
    pk = bench.job.damper_id
    office = client_as(bench.desk).get(f"/dampers/{pk}").content.decode()
    assert "Wyn Dallimore" in office
    assert "Tarn Okello" in office
    response = client_as(bench.technician).get(f"/bench/dampers/{pk}")
    assert response.status_code == 200
    # A drawing's coordinates hold any digits: its words are looked through, its figures are not.
    text = re.sub(r' (?:d|x|y|x1|x2|y1|y2|cx|cy|width|height|viewBox)="[^"]*"', "", response.content.decode())
    for secret in ("Dallimore", "Okello", "186", "/customers/", "/orders/"):
        assert secret not in text, secret
    assert "rear left" in text.lower()


def test_wrong_people_and_no_such_damper(bench: Bench, client_as: ClientAs) -> None:
    pk = bench.job.damper_id
    assert client_as(bench.desk).get(f"/bench/dampers/{pk}").status_code == 403
    assert client_as(bench.technician).get(f"/dampers/{pk}").status_code == 403
    assert client_as(bench.technician).get("/bench/dampers/999999").status_code == 404
    assert client_as(bench.technician).post(f"/bench/dampers/{pk}").status_code == 405


def test_as_many_queries_with_twenty_jobs_as_with_ten(bench: Bench, client_as: ClientAs) -> None:
    client = client_as(bench.owner)
    place = f"/dampers/{bench.job.damper_id}"

    def count() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert client.get(place).status_code == 200
        return len(seen)

    def send_home(times: int) -> None:
        for _again in range(times):
            bench.do("settings-eyes", "reading", text="28 1/16")
            again(bench)

    send_home(9)
    client.get(place)
    with_ten = count()
    send_home(10)
    assert count() == with_ten
    assert bench.job.damper.jobs.count() == 20


def test_a_stack_is_told_shim_by_shim_and_has_no_curve(bench: Bench) -> None:
    for _twice in range(2):
        bench.unlock("strip")
        bench.do("strip-compression-stack", "reading", words="40x0.20 36x0.20 30x0.15")
        again(bench)
    (shims,) = [s for s in life_of(bench.job.damper).strands if s.name.startswith("Compression stack")]
    assert [row.found for row in shims.rows] == ["40x0.20 36x0.20 30x0.15"] * 2
    assert shims.drawn is None
