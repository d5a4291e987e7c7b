"""What is fitted on the chosen vehicle is offered on the new-order sheet, a row each, and counts once it is ticked.

Seen red, each test by a break of its own: the only vehicle not chosen, or chosen again after it was set to none; what
is not ticked taken in, and nothing said of it; dampers in the shop offered, dampers typed already offered again;
another vehicle's offers left standing; no more rows than there were; offers without their place; the focus on the
scanned row itself, or on the vehicle; a row's wish dropped, its own work passed over; each damper looked up again for
each use.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.customers import services as customers
from shopapp.customers.models import Customer, Vehicle
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from tests.web.test_new_order import URL, said

pytestmark = pytest.mark.django_db
CORNERS = ("front left", "front right", "rear left", "rear right")
Fit = Callable[..., list[Damper]]


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


@pytest.fixture
def buggy(wyn: Customer, std: dict[str, Any]) -> Vehicle:
    return customers.add_vehicle(customer=wyn, description="buggy", call=Call.fresh(), **std)


@pytest.fixture
def fit(new_damper: Callable[..., Damper], std: dict[str, Any]) -> Fit:
    def make(vehicle: Vehicle, *places: str, serial: str = "KM25-") -> list[Damper]:
        made = []
        for number, place in enumerate(places, 1):
            damper = new_damper(f"{serial}{number}")
            dampers.fit_damper(
                damper=damper, vehicle=vehicle, place=place, number=1, on=None, call=Call.fresh(), **std
            )
            made.append(damper)
        return made

    return make


def shown(client: Client, sent: dict[str, str]) -> dict[str, str]:
    """Look the sheet up as a browser does; give what its form then holds."""
    response = client.post(URL, sent | {"look_up": "1"})
    assert response.status_code == 200
    return fields_of(response)


def fields_of(response: Any) -> dict[str, str]:
    """Give what a browser would send of the sheet: hidden and typed entries, chosen options, what is ticked."""
    page = response.content.decode()
    sheet = page[page.index('id="new-order"') : page.index("</form>", page.index('id="new-order"'))]
    fields = {}
    for tag in re.findall(r"<input\b[^>]*>", sheet):
        kind, name = re.search(r'type="(\w+)"', tag), re.search(r'name="(\w+)"', tag)
        value = re.search(r'value="([^"]*)"', tag)
        if (
            name
            and kind
            and kind[1] != "file"
            and (kind[1] not in ("checkbox", "radio") or " checked" in tag)
        ):
            fields[name[1]] = html.unescape(value[1]) if value else ""
    for field, options in re.findall(r'<select\b[^>]*name="(\w+)"[^>]*>(.*?)</select>', sheet, re.S):
        found = re.search(r'value="([^"]*)"[^>]*\bselected', options) or re.search(
            r'value="([^"]*)"', options
        )
        fields[field] = html.unescape(found[1]) if found else ""
    return fields


def rows_of(fields: dict[str, str], name: str = "tag") -> list[str]:
    found = [
        (int(key[1:].split("_")[0]), value)
        for key, value in fields.items()
        if re.fullmatch(rf"r\d+_{name}", key)
    ]
    return [value for _number, value in sorted(found) if value]


def test_the_only_vehicle_is_chosen_and_its_corners_are_offered(
    client: Client, wyn: Customer, buggy: Vehicle, fit: Fit, rebuild: WorkType
) -> None:
    fitted = fit(buggy, *reversed(CORNERS))
    fields = shown(client, {"customer_text": "dalli"})
    assert (fields["customer"], fields["vehicle"]) == (str(wyn.pk), str(buggy.pk))
    assert rows_of(fields) == [damper.tag for damper in reversed(fitted)]
    assert rows_of(fields, "place") == list(CORNERS)
    response = client.post(URL, fields | {"all_brought": "on", "complaint": "Knocks."})
    assert response.status_code == 302, response.context["form"].errors
    jobs = Job.objects.order_by("number")
    assert [(job.place, job.damper) for job in jobs] == list(zip(CORNERS, reversed(fitted), strict=True))
    assert {job.work_type for job in jobs} == {rebuild}
    assert WorkOrder.objects.get().vehicle == buggy


@pytest.mark.usefixtures("rebuild")
def test_only_what_is_ticked_is_taken_in(client: Client, buggy: Vehicle, fit: Fit) -> None:
    fitted = fit(buggy, *CORNERS)
    fields = shown(client, {"customer_text": "dalli"})
    nothing = client.post(URL, fields)
    assert nothing.status_code == 422 and "tick those that are here" in said(nothing)
    assert client.post(URL, fields | {"r2_brought": "on", "r4_brought": "on"}).status_code == 302
    assert [job.damper for job in Job.objects.order_by("number")] == [fitted[1], fitted[3]]


def test_a_wish_and_a_work_of_its_own_stand_in_the_row(
    client: Client, buggy: Vehicle, fit: Fit, rebuild: WorkType, std: dict[str, Any]
) -> None:
    look = orders.add_work_type(code="look", name="Inspection", price=42, call=Call.fresh(), **std)
    fit(buggy, *CORNERS[:2])
    fields = shown(client, {"customer_text": "dalli"}) | {"all_brought": "on", "work": str(rebuild.pk)}
    assert client.post(URL, fields | {"r2_work": str(look.pk), "r2_wish": "stiffer"}).status_code == 302
    assert [(job.work_type, job.wish) for job in Job.objects.order_by("number")] == [
        (rebuild, ""),
        (look, "stiffer"),
    ]
    assert "asked: stiffer" in said(client.get("/orders/1001"))


def test_what_is_in_the_shop_already_is_said_and_not_offered(
    client: Client, wyn: Customer, buggy: Vehicle, fit: Fit, rebuild: WorkType, std: dict[str, Any]
) -> None:
    first, second = fit(buggy, *CORNERS[:2])
    row = orders.DamperIn(damper=first, work_type=rebuild)
    orders.receive_order(customer=wyn, dampers=[row], call=Call.fresh(), **std)
    response = client.post(URL, {"customer_text": "dalli", "look_up": "1"})
    assert rows_of(fields_of(response)) == [second.tag]
    assert "Fitted on it, and here already: Keldmark K25 · KM25-1" in said(response)


def test_what_was_typed_stays_and_a_damper_is_not_offered_twice(
    client: Client, buggy: Vehicle, fit: Fit
) -> None:
    fitted = fit(buggy, *CORNERS)
    sent = {"customer_text": "dalli", "r1_tag": "KM25-3", "r1_condition": "weeps", "r2_tag": "KM25-77"}
    fields = shown(client, sent)
    assert (fields["r1_tag"], fields["r1_condition"], fields["r2_tag"]) == ("KM25-3", "weeps", "KM25-77")
    assert rows_of(fields)[2:] == [fitted[0].tag, fitted[1].tag, fitted[3].tag]


def test_another_vehicle_offers_its_own_and_none_offers_nothing(
    client: Client, wyn: Customer, buggy: Vehicle, fit: Fit, std: dict[str, Any]
) -> None:
    truck = customers.add_vehicle(customer=wyn, description="truck", call=Call.fresh(), **std)
    first, second = fit(buggy, *CORNERS[:2])
    other = fit(truck, "rear left", serial="T-")
    fields = shown(client, {"customer_text": "dalli"})
    assert fields["vehicle"] == "" and rows_of(fields) == []
    fields = shown(client, fields | {"vehicle": str(buggy.pk)})
    assert rows_of(fields) == [first.tag, second.tag]
    kept = shown(client, fields | {"r1_brought": "on", "vehicle": str(truck.pk)})
    assert rows_of(kept) == [first.tag, other[0].tag]
    assert rows_of(shown(client, fields | {"vehicle": ""})) == []


def test_the_only_vehicle_set_to_none_stays_none(client: Client, buggy: Vehicle, fit: Fit) -> None:
    fit(buggy, *CORNERS)
    fields = shown(client, {"customer_text": "dalli"})
    assert shown(client, fields | {"vehicle": ""})["vehicle"] == ""


def test_more_corners_than_rows_make_more_rows(
    client: Client, buggy: Vehicle, fit: Fit, rebuild: WorkType
) -> None:
    places = (*CORNERS, "front centre", "rear centre", "steering", "seat")
    fit(buggy, *places)
    fields = shown(client, {"customer_text": "dalli"})
    assert len(rows_of(fields)) == 8
    assert client.post(URL, fields | {"all_brought": "on"}).status_code == 302
    assert Job.objects.count() == 8


def test_the_focus_goes_to_what_is_offered_and_on_from_a_scanned_tag(
    client: Client, buggy: Vehicle, fit: Fit
) -> None:
    def focused(sent: dict[str, str]) -> list[str]:
        page = client.post(URL, sent | {"look_up": "1"}).content.decode()
        tags = re.findall(r"<\w+ [^>]*\bautofocus\b[^>]*>", page)
        return [found[1] for tag in tags if (found := re.search(r'name="(\w+)"', tag))]

    fit(buggy, *CORNERS[:2])
    assert focused({"customer_text": "dalli", "came_from": "customer_text"}) == ["all_brought"]
    assert focused({"customer_text": "dalli", "came_from": "r3_tag", "r3_tag": "x"}) == ["r4_tag"]
    assert focused({"customer_text": "dalli", "came_from": "meter"}) == ["meter"]
    assert focused({"customer_text": "dalli", "came_from": "r1_tag"}) == ["all_brought"]
    assert focused({"customer_text": "dalli", "came_from": "'><x"}) == ["all_brought"]


def test_the_page_asks_as_much_for_four_corners_as_for_eight_but_for_each_damper_itself(
    client: Client, wyn: Customer, buggy: Vehicle, fit: Fit, std: dict[str, Any]
) -> None:
    """A row looks its damper, its open job and its warranty up: so much a row, and nothing that grows faster."""
    places = (*CORNERS, "front centre", "rear centre", "steering", "seat")

    def asked(vehicle: Vehicle) -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            client.post(URL, {"customer": str(wyn.pk), "vehicle": str(vehicle.pk), "look_up": "1"})
        return len(seen)

    fit(buggy, *places[:4])
    truck = customers.add_vehicle(customer=wyn, description="truck", call=Call.fresh(), **std)
    fit(truck, *places, serial="T-")
    last = customers.add_vehicle(customer=wyn, description="van", call=Call.fresh(), **std)
    fit(last, *places[:6], serial="V-")
    four, six, eight = asked(buggy), asked(last), asked(truck)
    assert eight - six == six - four <= 2 * 4
