"""The new-order sheet: everything of it in one act, or the sheet again with what is wrong."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shopapp.customers import services as customers
from shopapp.customers.models import Customer, MeterReading, Vehicle
from shopapp.dampers.models import Damper, DamperModel
from shopapp.dampers.services import tags
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call
from tests.conftest import drawn
from tests.web.hostile import FORM, HOSTILE, encoded

pytestmark = pytest.mark.django_db
URL = "/orders/new"


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


def said(response: Any) -> str:
    """Give the text of a page without its markup."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())).replace("&#x27;", "'")


def test_one_sheet_is_one_act(client: Client, sheet: dict[str, str], desk: Person) -> None:
    response = client.post(URL, sheet)
    assert response.status_code == 302
    assert response["Location"] == reverse("order", args=[1001])
    order = WorkOrder.objects.select_related("customer", "vehicle").get()
    assert (order.customer.name, order.customer.kind) == ("Cobble Hollow Racing", "firm")
    assert {contact.value for contact in order.customer.contacts.all()} == {"555-0133", "pit@example.com"}
    assert (order.limit_gross, order.leaves_by, order.leaves_carrier) == (
        Decimal(1900),
        "parcel",
        "Gull Parcels 12",
    )
    assert timezone.localtime(order.promised).time() == dt.time(16, 30)
    assert MeterReading.objects.get(vehicle=order.vehicle).distance_text == "5980 mi"
    job = order.jobs.select_related("damper").get()
    assert (job.place, job.condition, job.shelf_body) == ("front left", "oil at the wiper", "rack 2, A")
    assert (job.damper.serial, job.damper.maker) == ("KM25-118834", "Keldmark")
    assert job.damper.fittings.get(current=True).vehicle == order.vehicle
    assert [act.verb for act in Act.objects.filter(by=desk).exclude(verb__startswith="add_")] == ["take_in"]
    page = said(client.get(response["Location"]))
    for text in (
        "Cobble Hollow Racing",
        "Keldmark K25 KM25-118834",
        tags.show(job.damper.tag),
        "oil at the wiper",
    ):
        assert text in page, text


def test_where_it_leads_tags_and_receipt_are_offered(client: Client, sheet: dict[str, str]) -> None:
    """Seen red with both left out of the order's page, and with the meter left out of the receipt."""
    page = client.post(URL, sheet, follow=True)
    assert "Print the tags and the receipt, and hang the tags on the dampers." in said(page)
    assert "Print 3 tags" in said(page) and "Print the receipt" in said(page)
    assert client.get("/orders/1001/tags/file").status_code == 200
    paper = said(client.post("/orders/1001/receipt", {"act_key": new_key()}, follow=True))
    assert "Receipt of dampers" in paper and "$1,900.00" in paper
    block = Paper.objects.get().figures["block"]
    assert block["meter"].startswith("5980 mi, ") and block["vehicle"] == "long-travel buggy · 7K 204"


def test_sent_twice_it_is_one_order_and_the_second_is_led_to_it(
    client: Client, sheet: dict[str, str]
) -> None:
    first, second = client.post(URL, sheet), client.post(URL, sheet)
    assert first["Location"] == second["Location"] == reverse("order", args=[1001])
    assert WorkOrder.objects.count() == Customer.objects.count() == Damper.objects.count() == 1
    other = client.post(URL, sheet | {"complaint": "other"})
    assert other.status_code == 422
    assert 'href="/orders/1001"' in other.content.decode()
    assert WorkOrder.objects.get().complaint == "Tops out."


def test_wrong_method_and_wrong_person(
    client: Client, client_as: Callable[[Person], Client], technician: Person, sheet: dict[str, str]
) -> None:
    assert client.put(URL).status_code == client.delete(URL).status_code == 405
    bench = client_as(technician)
    assert bench.get(URL).status_code == bench.post(URL, sheet).status_code == 403
    assert Client().post(URL, sheet).status_code == 302
    assert not WorkOrder.objects.exists()


def test_looking_up_stores_nothing_and_keeps_the_sheet(
    client: Client,
    sheet: dict[str, str],
    wyn: Customer,
    new_damper: Callable[..., Damper],
    std: dict[str, Any],
) -> None:
    known = new_damper("KM25-000001")
    customers.add_vehicle(customer=wyn, description="crew-cab truck", call=Call.fresh(), **std)
    before = Act.objects.count()
    asked = sheet | {"new_name": "", "customer_text": "dalli", "r2_tag": "km25 000001", "look_up": "1"}
    response = client.post(URL, asked)
    assert response.status_code == 200
    page = response.content.decode()
    assert f'value="{wyn.pk}" id="id_customer_0" checked' in page
    assert "crew-cab truck" in page
    assert tags.show(known.tag) in page
    assert "not known: a new Keldmark K25" in page
    for kept in ("Tops out.", "KM25-118834", "rack 2, A", sheet["act_key"]):
        assert kept in page, kept
    assert Act.objects.count() == before
    assert not WorkOrder.objects.exists()


def test_enter_looks_up_and_never_receives(client: Client, sheet: dict[str, str]) -> None:
    """A form's first submit button is what Enter presses, in whatever entry: a scanner ends its text with Enter."""
    page = client.get(URL).content.decode()
    inside = page[page.index('id="new-order"') : page.index("</form>", page.index('id="new-order"'))]
    buttons = re.findall(r"<button[^>]*>", inside)
    assert buttons and 'name="look_up"' in buttons[0]


def test_a_known_customer_vehicle_and_damper_are_not_doubled(
    client: Client,
    sheet: dict[str, str],
    wyn: Customer,
    new_damper: Callable[..., Damper],
    std: dict[str, Any],
) -> None:
    known = new_damper("KM25-118834")
    buggy = customers.add_vehicle(customer=wyn, description="buggy", call=Call.fresh(), **std)
    chosen = sheet | {
        "new_name": "", "new_phone": "", "new_email": "", "customer_text": "wyn dalli", "customer": str(wyn.pk),
        "vehicle": str(buggy.pk), "vehicle_description": "", "vehicle_plate": "", "r1_tag": "km25/118834",
    }  # fmt: skip
    assert client.post(URL, chosen).status_code == 302
    order = WorkOrder.objects.get()
    assert (order.customer, order.vehicle) == (wyn, buggy)
    assert order.jobs.get().damper == known
    assert Customer.objects.count() == Vehicle.objects.count() == Damper.objects.count() == 1


def test_the_only_customer_found_is_taken_and_of_several_one_must_be_chosen(
    client: Client, sheet: dict[str, str], wyn: Customer, std: dict[str, Any]
) -> None:
    asked = sheet | {"new_name": "", "vehicle_description": "", "vehicle_plate": "", "meter": ""}
    nobody = client.post(URL, asked | {"customer_text": "zz"})
    assert "Nobody is found by “zz”" in said(nobody)
    other = customers.add_customer(name="Wyn Other", call=Call.fresh(), **std)
    several = client.post(URL, asked | {"customer_text": "wyn"})
    assert several.status_code == 422
    assert "2 customers are found by “wyn”. Choose one" in said(several)
    assert f'value="{other.pk}"' in several.content.decode()
    assert client.post(URL, asked | {"customer_text": "wyn dalli"}).status_code == 302
    assert WorkOrder.objects.get().customer == wyn


def test_a_meter_that_runs_backwards_is_refused_with_the_likely_meaning_and_nothing_is_stored(
    client: Client, sheet: dict[str, str], wyn: Customer, std: dict[str, Any]
) -> None:
    buggy = customers.add_vehicle(customer=wyn, description="buggy", call=Call.fresh(), **std)
    from shopapp.calc import units

    meter = customers.MeterIn(units.parse("5412 mi", "distance"))
    customers.read_meter(vehicle=buggy, meter=meter, source="desk", call=Call.fresh(), **std)
    asked = sheet | {
        "new_name": "", "customer": str(wyn.pk), "vehicle": str(buggy.pk), "vehicle_description": "",
        "vehicle_plate": "", "meter": "598 mi",
    }  # fmt: skip
    response = client.post(URL, asked)
    assert response.status_code == 422
    assert "598 mi is less than the 5,412 mi of 2 March 2026. Did you mean 5,980 mi?" in said(response)
    assert 'value="598 mi"' in response.content.decode()
    assert sheet["act_key"] in response.content.decode()
    assert not WorkOrder.objects.exists() and not Damper.objects.exists()
    assert client.post(URL, asked | {"meter_kind": "replaced"}).status_code == 302


def test_a_running_time_is_read_as_one(client: Client, sheet: dict[str, str]) -> None:
    assert client.post(URL, sheet | {"meter": "412 h"}).status_code == 302
    assert MeterReading.objects.get().running_text == "412 h"


def test_a_damper_of_somebody_else_asks_whether_it_changed_hands(
    client: Client, sheet: dict[str, str], wyn: Customer, new_damper: Callable[..., Damper]
) -> None:
    damper = new_damper("KM25-118834")
    response = client.post(URL, sheet)
    assert response.status_code == 422
    assert "belongs to Wyn Dallimore" in said(response)
    assert Customer.objects.get() == wyn
    assert client.post(URL, sheet | {"changed_hands": "on"}).status_code == 302
    assert damper.ownerships.get(current=True).customer.name == "Cobble Hollow Racing"


def test_a_damper_in_an_open_order_is_refused_with_that_order(
    client: Client, sheet: dict[str, str], receive: Callable[..., WorkOrder], wyn: Customer
) -> None:
    receive("KM25-118834")
    asked = {
        "new_name": "",
        "customer": str(wyn.pk),
        "vehicle_description": "",
        "vehicle_plate": "",
        "meter": "",
    }
    response = client.post(URL, sheet | asked)
    assert response.status_code == 422
    assert "is in order 1001, which is still open" in said(response)
    assert WorkOrder.objects.count() == 1


def test_four_dampers_share_the_work_of_the_row_above_and_number_a_shared_place(
    client: Client, sheet: dict[str, str], model: DamperModel
) -> None:
    rows = {
        f"r{n}_{name}": text
        for n in (2, 3, 4)
        for name, text in (("tag", f"S-{n}"), ("model", str(model.pk)), ("place", "rear left"))
    }
    assert client.post(URL, sheet | rows).status_code == 302
    jobs = Job.objects.order_by("number")
    assert [(job.place, job.place_number, job.work_type.code) for job in jobs] == [
        ("front left", 1, "rebuild"), ("rear left", 1, "rebuild"), ("rear left", 2, "rebuild"),
        ("rear left", 3, "rebuild"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"new_name": ""}, "Say whose order it is"),
        ({"r1_tag": "", "r1_model": "", "r1_place": "", "r1_condition": "", "r1_shelf": ""}, "at least one damper"),
        ({"r1_work": ""}, "Choose the work"),
        ({"r1_model": ""}, "“KM25-118834” is not known yet. Choose its model"),
        ({"r1_tag": "4082 217-0", "r1_model": ""}, "check digit may be wrong"),
        ({"r1_tag": "", "r1_model": ""}, "Type the tag or serial, or choose the model"),
        ({"r2_tag": "km25 118834", "r2_model": "same"}, "stands in row 1 already"),
        ({"promised_day": "soon"}, "This is no day"),
        ({"promised_day": "2020-01-01"}, "years away"),
        ({"promised_day": "yesterday"}, "past already"),
        ({"promised_day": "9999-12-31"}, "years away"),
        ({"promised_day": "", "promised_hour": "17"}, "on which day"),
        ({"limit_gross": "about 900"}, "is not an amount"),
        ({"limit_gross": "900.005"}, "at most two decimals"),
        ({"limit_gross": "999999999"}, "up to 99,999,999"),
        ({"meter": "598 kg"}, "“kg” is not a unit of distance"),
        ({"vehicle_description": ""}, "needs the vehicle"),
        ({"vehicle": "99"}, "Select a valid choice"),
        ({"new_phone": "call me"}, "is no phone number"),
        ({"new_email": "pit"}, "is no e-mail address"),
        ({"act_key": ""}, "was not complete"),
        ({"comes_by": "drone"}, "Select a valid choice"),
        ({"terms_accepted": "on"}, "how the terms were accepted"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_and_the_sheet_is_kept(
    client: Client, sheet: dict[str, str], model: DamperModel, change: dict[str, str], sentence: str
) -> None:
    yesterday = (timezone.localdate() - dt.timedelta(days=1)).isoformat()
    change = {k: {"yesterday": yesterday, "same": str(model.pk)}.get(v, v) for k, v in change.items()}
    response = client.post(URL, sheet | change)
    assert response.status_code == 422
    assert sentence in said(response)
    assert "data-error-slip" in response.content.decode()
    assert "Tops out." in response.content.decode()
    assert not WorkOrder.objects.exists() and not Customer.objects.exists()


def test_terms_are_accepted_with_how(client: Client, sheet: dict[str, str], std: dict[str, Any]) -> None:
    orders.issue_terms(text="Pay on collection.", since=dt.date(2026, 1, 1), call=Call.fresh(), **std)
    assert "Pay on collection." in said(client.get(URL))
    accepted = {"terms_accepted": "on", "terms_how": "signed on paper"}
    assert client.post(URL, sheet | accepted).status_code == 302
    order = WorkOrder.objects.select_related("terms").get()
    assert (order.terms.version, order.terms_accepted_how) == (1, "signed on paper")


def _once_a_kind(sheet: dict[str, str]) -> list[str]:
    """Give the entries of the sheet with one damper row: the other five rows are the same six entries again."""
    return [name for name in sheet if not re.match(r"r[2-6]_", name)]


@pytest.mark.parametrize("what", drawn(list(HOSTILE), 4))
def test_hostile_text_in_every_entry_is_kept_or_refused_never_a_fault(
    client: Client, sheet: dict[str, str], what: str
) -> None:
    text = HOSTILE[what]
    stored = ""
    for name in _once_a_kind(sheet):
        asked = sheet | {"act_key": new_key(), "r1_tag": new_key(), "vehicle_vin": "", name: text}
        response = client.post(URL, asked)
        assert response.status_code in (302, 422), name
        assert b"<script>alert" not in response.content
        stored = response["Location"] if response.status_code == 302 else stored
    if stored:
        page = client.get(stored)
        assert page.status_code == 200
        assert b"<script>alert" not in page.content
    everywhere = dict.fromkeys(sheet, text[:10_000]) | {"look_up": "1"}
    assert client.post(URL, everywhere).status_code == 200
    for url in ("/desk", "/orders/", "/customers/", "/dampers/"):
        page = client.get(url)
        assert page.status_code == 200
        assert b"<script>alert" not in page.content


def test_a_lone_surrogate_in_every_entry_is_never_a_fault(client: Client, sheet: dict[str, str]) -> None:
    for name in _once_a_kind(sheet):
        body = encoded(sheet | {"act_key": new_key(), "r1_tag": new_key()}, name)
        response = client.generic("POST", URL, body, content_type=FORM)
        assert response.status_code in (302, 422), name
    assert client.get("/orders/").status_code == 200


def test_a_hostile_customer_in_the_address_is_no_fault(client: Client) -> None:
    for text in ("1e9", "9" * 40, "-1", "x", "٣", "' OR 1=1"):
        assert client.get(URL, {"customer": text}).status_code == 200


@pytest.mark.parametrize(
    ("typed", "at"),
    [
        (None, "customer_text"),
        ("nobody of this name", "new_phone"),
        ("555-0199", "new_name"),
        ("wyn", "vehicle"),
        ("an", "customer"),
    ],
)
def test_the_keyboard_goes_on_where_the_sheet_asks_next(
    client: Client, sheet: dict[str, str], wyn: Customer, desk: Person, typed: str | None, at: str
) -> None:
    """Seen to fail while a look-up left the focus at the top of the page."""
    customers.add_customer(name="Andrea Post", by=desk, at=timezone.now(), call=Call.fresh())
    customers.add_customer(name="Anders Pole", by=desk, at=timezone.now(), call=Call.fresh())
    if typed is None:
        page = client.get(URL).content.decode()
    else:
        asked = sheet | {"new_name": "", "customer_text": typed, "look_up": "1"}
        page = client.post(URL, asked).content.decode()
    named = {re.search(r'name="(\w+)"', tag)[1] for tag in re.findall(r"<\w+ [^>]*\bautofocus\b[^>]*>", page)}  # type: ignore[index]
    assert named == {at}


def test_a_new_damper_is_named_as_what_it_becomes(
    client: Client, sheet: dict[str, str], model: DamperModel
) -> None:
    page = said(client.post(URL, sheet | {"look_up": "1"}))
    assert f"not known: a new {model}" in page
    page = said(client.post(URL, sheet | {"look_up": "1", "r1_model": ""}))
    assert "not known: choose its model" in page
