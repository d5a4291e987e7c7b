"""The day, the find box, the lists and the pages of a customer and a damper."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shopapp.customers import services as customers
from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.services import NewContact
from shopapp.dampers.models import Damper
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.orders.services import DamperIn
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.services.acts import Call
from tests.conftest import drawn
from tests.web.hostile import FORM, HOSTILE, encoded

pytestmark = pytest.mark.django_db
Receive = Callable[..., WorkOrder]


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


def said(response: Any) -> str:
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))
    return text.replace("&#x27;", "'")


def parts(client: Client) -> dict[str, str]:
    """Give the text of each part of the day by its name."""
    page = client.get("/desk").content.decode()
    bodies = re.findall(r"<tbody>(.*?)</tbody>", page, re.DOTALL)
    texts = [re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", body)).strip() for body in bodies]
    names = ("At the desk now", "In the bays", "Waiting")
    assert [text.startswith(name) for text, name in zip(texts, names, strict=True)] == [True] * 3
    return {name: text.removeprefix(name).strip() for name, text in zip(names, texts, strict=True)}


def set_state(order: WorkOrder, **fields: Any) -> None:
    Job.objects.filter(order=order).update(**fields)


def test_an_empty_day_says_so(client: Client) -> None:
    assert parts(client) == {"At the desk now": "Nothing.", "In the bays": "Nothing.", "Waiting": "Nothing."}


def test_each_order_stands_where_it_waits(client: Client, receive: Receive, technician: Person) -> None:
    now = timezone.now()
    receive("1", "2")
    set_state(receive("3"), technician=technician)
    set_state(
        receive("4", promised=now + dt.timedelta(days=1)),
        state="in work",
        stage="charge",
        technician=technician,
    )
    set_state(receive("5"), state="stopped")
    set_state(receive("6"), state="done", outcome="done", closed_at=now, shelf_body="rack 3, A")
    receive("7", limit_gross=Decimal(100), comes_by="parcel")
    set_state(receive("8"), state="done", outcome="done", closed_at=now, handed_over_at=now, is_open=False)
    day = parts(client)
    desk = day["At the desk now"]
    for text in (
        "received 1001 no day Wyn Dallimore loose 2 Keldmark K25 Give 2 dampers to a technician",
        "stopped unsafe 1004", "Tell the owner: Keldmark 5 is stopped unsafe Set aside, tagged DO NOT OPEN",
        "ready 1005", "Hand over 1, take $186.00 invoice not issued yet; body rack 3, A",
        "wants a yes 1006", "Ask for a yes to $186.00 Past the limit of $100.00", "parcel here 1006",
    ):  # fmt: skip
        assert text in desk, text
    assert "charge 1003" in day["In the bays"] and "Nothing to do Mo" in day["In the bays"]
    assert "planned 1002" in day["Waiting"] and "Mo begins it" in day["Waiting"]
    assert "1007" not in "".join(day.values())


def test_a_late_order_has_its_flag_with_days(client: Client, receive: Receive, technician: Person) -> None:
    late = receive("1", promised=timezone.now() - dt.timedelta(days=2))
    set_state(late, state="in work", stage="charge", technician=technician)
    receive("2", promised=timezone.now() + dt.timedelta(days=2))
    bays = parts(client)["In the bays"]
    assert "2 days late" in bays and "Tell the customer: it will be late" in bays
    assert client.get("/desk").content.decode().count('class="late"') == 1
    listed = said(client.get("/orders/?state=late"))
    assert "1001" in listed and "1002" not in listed


def many(receive: Receive, std: dict[str, Any], count: int, technician: Person) -> None:
    """Receive `count` more orders in every state, each with a customer, vehicle and damper of its own."""
    states = [
        {},
        {"technician": technician},
        {"state": "in work", "technician": technician},
        {"state": "stopped"},
    ]
    for n in range(count):
        contacts = [NewContact("phone", f"555-01{n:02d}"), NewContact("email", f"q{n}@example.com")]
        owner = customers.add_customer(name=f"Quill {new_key()}", contacts=contacts, call=Call.fresh(), **std)
        vehicle = customers.add_vehicle(
            customer=owner, description="quad", plate=f"QQ {n}", call=Call.fresh(), **std
        )
        order = receive(f"Q-{new_key()}", limit_gross=Decimal(100), promised=std["at"])
        WorkOrder.objects.filter(pk=order.pk).update(customer=owner, vehicle=vehicle)
        damper = order.jobs.get().damper
        damper.ownerships.update(customer=owner)
        damper.fittings.create(vehicle=vehicle, place="seat")
        set_state(order, **states[n % 4])


@pytest.mark.parametrize(
    "url",
    [
        "/desk",
        "/orders/",
        "/orders/?q=quill&state=open",
        "/customers/",
        "/customers/?q=quill",
        "/dampers/",
        "/find?q=q",
    ],
)
def test_twenty_rows_take_as_many_queries_as_ten(
    client: Client, receive: Receive, std: dict[str, Any], technician: Person, url: str
) -> None:
    many(receive, std, 10, technician)
    client.get(url)
    with CaptureQueriesContext(connection) as ten:
        assert client.get(url).status_code == 200
    many(receive, std, 10, technician)
    with CaptureQueriesContext(connection) as twenty:
        assert client.get(url).status_code == 200
    assert len(ten) > 3
    assert len(twenty) == len(ten), [query["sql"] for query in twenty.captured_queries]


def test_a_customers_and_a_dampers_page_take_the_same_queries_whatever_they_hold(
    client: Client, receive: Receive, wyn: Customer, rebuild: WorkType, std: dict[str, Any]
) -> None:
    def measure(damper: Damper) -> tuple[int, int]:
        found = []
        for url in (f"/customers/{wyn.pk}", f"/dampers/{damper.pk}"):
            client.get(url)
            with CaptureQueriesContext(connection) as asked:
                assert client.get(url).status_code == 200
            found.append(len(asked))
        return found[0], found[1]

    def again(damper: Damper) -> None:
        now = std["at"]
        Job.objects.update(state="done", outcome="done", closed_at=now, handed_over_at=now, is_open=False)
        rows = [DamperIn(damper=damper, work_type=rebuild)]
        orders.receive_order(customer=wyn, dampers=rows, call=Call.fresh(), **std)
        customers.add_vehicle(customer=wyn, description="kart", call=Call.fresh(), **std)

    damper = receive("1").jobs.get().damper
    again(damper)
    before = measure(damper)
    for _time in range(10):
        again(damper)
    assert measure(damper) == before


@pytest.mark.parametrize("what", drawn(list(HOSTILE), 4))
def test_hostile_text_in_each_find_box_is_no_fault(client: Client, wyn: Customer, what: str) -> None:
    for url in ("/find", "/orders/", "/customers/", "/dampers/"):
        for asked in (
            {"q": HOSTILE[what][:3000]},
            {"page": HOSTILE[what][:3000]},
            {"state": HOSTILE[what][:3000]},
        ):
            response = client.get(url, asked)
            assert response.status_code in ((200,) if "\0" not in HOSTILE[what] else (400,)), (url, asked)
            assert b"<script>alert" not in response.content
        assert client.get(url + "?q=%ED%A0%80").status_code == 200


def test_a_tag_opens_the_page_in_the_office_and_the_sheet_at_the_bench(
    client: Client, client_as: Callable[[Person], Client], technician: Person, owner: Person, receive: Receive
) -> None:
    order = receive("1")
    job = order.jobs.get()
    url = f"/D/{job.damper.tag}"
    assert client.get(url)["Location"] == client_as(owner).get(url)["Location"] == f"/dampers/{job.damper_id}"
    bench = client_as(technician)
    assert bench.get(url)["Location"] == f"/bench/sheets/{job.pk}"
    set_state(order, state="void", is_open=False)
    assert bench.get(url)["Location"] == "/bench/"
    assert "is in no open order" in said(bench.get("/bench/"))
    assert bench.get("/D/40822170")["Location"] == "/bench/"
    assert "No damper has this tag" in said(bench.get("/bench/"))
    assert client.get("/D/40822170").status_code == 404
    assert client.post(url).status_code == 405
    for text in ("%ED%A0%80", "x" * 3000, "{{7*7}}", "٤٠٨٢٢١٧١"):
        assert client.get(f"/D/{text}").status_code == 404
        assert bench.get(f"/D/{text}").status_code == 302


def customer_form(**other: str) -> dict[str, str]:
    return {
        "act_key": new_key(), "kind": "firm", "name": "Bramwell Hay and Feed", "phones": "555-0140; yard\n555-0141",
        "emails": "hay@example.com", "people": "J. Bram; books", "posts": "", "bill_to": "Gull Lane 4", "tax_id": "T1",
        "language": "en", "letters": "yes", "letters_how": "at the counter", "note": "",
    } | other  # fmt: skip


def vehicle_form(**other: str) -> dict[str, str]:
    return {
        "act_key": new_key(), "description": "two-axle trailer", "plate": "TR 1", "vin": "", "use": "hay",
        "counts_distance": "on", "meter": "120 km", "meter_kind": "reading",
    } | other  # fmt: skip


def test_a_customer_is_added_and_changed_once(client: Client) -> None:
    asked = customer_form()
    for _time in range(2):
        response = client.post("/customers/new", asked)
        assert response.status_code == 302
    customer = Customer.objects.get()
    assert response["Location"] == f"/customers/{customer.pk}"
    page = said(client.get(response["Location"]))
    for text in (
        "555-0140 · yard",
        "555-0141",
        "hay@example.com",
        "J. Bram · books",
        "Gull Lane 4",
        "yes, at the counter",
    ):
        assert text in page, text
    url = f"/customers/{customer.pk}/change"
    assert "555-0140; yard\n555-0141" in client.get(url).content.decode()
    changed = customer_form(revision="1", name="Bramwell", phones="555-0142", letters="no")
    assert client.post(url, changed).status_code == 302
    stale = client.post(url, customer_form(revision="1", name="Mine"))
    assert stale.status_code == 422
    assert "was changed by Pia on" in said(stale) and "Mine" in stale.content.decode()
    assert Customer.objects.get().name == "Bramwell"
    assert "no, at the counter" in said(client.get(f"/customers/{customer.pk}"))


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"name": ""}, "required"),
        ({"phones": "call"}, "is no phone number"),
        ({"emails": "a@b\nhay"}, "is no e-mail address"),
        ({"letters_how": ""}, "how the answer was given"),
        ({"kind": "club"}, "valid choice"),
        ({"phones": "\n".join(["555-0140"] * 11)}, "at most 10"),
    ],
)
def test_a_customer_that_is_wrong_is_said(client: Client, wrong: dict[str, str], sentence: str) -> None:
    response = client.post("/customers/new", customer_form(**wrong))
    assert response.status_code == 422
    assert sentence in said(response)
    assert not Customer.objects.exists()


def test_a_vehicle_is_added_changed_and_its_meter_read(client: Client, wyn: Customer) -> None:
    url = f"/customers/{wyn.pk}/vehicles/new"
    asked = vehicle_form()
    for _time in range(2):
        assert client.post(url, asked)["Location"] == f"/customers/{wyn.pk}"
    vehicle = Vehicle.objects.get()
    change = f"/vehicles/{vehicle.pk}/change"
    back = client.post(change, vehicle_form(revision="1", meter="12 km", description="trailer"))
    assert back.status_code == 422
    assert "12 km is less than the 120 km" in said(back) and 'value="12 km"' in back.content.decode()
    assert Vehicle.objects.get().description == "two-axle trailer"
    assert (
        client.post(change, vehicle_form(revision="1", meter="150 km", description="trailer")).status_code
        == 302
    )
    assert client.post(change, vehicle_form(revision="1", meter="")).status_code == 422
    page = said(client.get(f"/customers/{wyn.pk}"))
    assert "150 km" in page and "trailer · TR 1 · hay" in page
    hours = vehicle_form(counts_distance="", counts_hours="on", meter="412", description="kart")
    assert client.post(url, hours).status_code == 302
    assert Vehicle.objects.get(description="kart").readings.get().running_unit == "h"


def test_wrong_method_and_wrong_person(
    client: Client, client_as: Callable[[Person], Client], technician: Person, wyn: Customer, receive: Receive
) -> None:
    damper = receive("1").jobs.get().damper
    bench = client_as(technician)
    pages = [
        "/desk",
        "/find",
        "/orders/",
        "/customers/",
        f"/customers/{wyn.pk}",
        "/dampers/",
        f"/dampers/{damper.pk}",
    ]
    forms = ["/customers/new", f"/customers/{wyn.pk}/change", f"/customers/{wyn.pk}/vehicles/new"]
    for url in pages:
        assert client.post(url).status_code == 405, url
    for url in [*pages, *forms]:
        assert bench.get(url).status_code == 403, url
        assert Client().get(url).status_code == 302, url
        assert client.head(url).status_code == 200, url
    for url in forms:
        assert bench.post(url, customer_form()).status_code == 403, url
        assert client.put(url).status_code == 405, url
    for url in (
        "/customers/999",
        "/customers/999/change",
        "/vehicles/999/change",
        "/dampers/999",
        "/dampers/" + "9" * 25,
    ):
        assert client.get(url).status_code == 404, url


@pytest.mark.parametrize("what", drawn(list(HOSTILE), 4))
def test_hostile_text_in_every_entry_is_never_a_fault(client: Client, wyn: Customer, what: str) -> None:
    text = HOSTILE[what]
    for url, make in {
        "/customers/new": customer_form,
        f"/customers/{wyn.pk}/vehicles/new": vehicle_form,
    }.items():
        for name in make():
            response = client.post(url, make(**{name: text}))
            assert response.status_code in (302, 422), (url, name)
            assert b"<script>alert" not in response.content, (url, name)
            surrogate = client.generic("POST", url, encoded(make(), name), content_type=FORM)
            assert surrogate.status_code in (302, 422), (url, name)
    for url in ("/customers/", f"/customers/{wyn.pk}"):
        page = client.get(url)
        assert page.status_code == 200
        assert b"<script>alert" not in page.content
    found = client.get("/find", {"q": text[:60].replace("\0", "")})
    assert found.status_code == 200
    assert b"<img src=x" not in found.content
    if what == "markup":
        assert "by name" in said(found)
