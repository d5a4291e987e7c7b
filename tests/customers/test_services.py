"""Customers, vehicles and meters: kept as typed, found again, never backwards."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.customers.models import Contact, Customer, MeterReading, Vehicle
from shopapp.customers.queries import customers as list_customers
from shopapp.customers.services import NewContact
from shopapp.customers.services.customers import normalised
from shopapp.people.models import Person
from shopapp.shop.models import Act, SearchTerm
from shopapp.shop.services.acts import AlreadyDone, Call, Refused, Stale

pytestmark = pytest.mark.django_db


@pytest.fixture
def std(desk: Person, now: dt.datetime) -> dict[str, Any]:
    return {"by": desk, "at": now}


@pytest.fixture
def wyn(std: dict[str, Any]) -> Customer:
    contacts = [NewContact("phone", "555-0118"), NewContact("email", "Wyn@Example.com")]
    return customers.add_customer(name=" Wyn Dállimore ", contacts=contacts, call=Call.fresh(), **std)


@pytest.fixture
def buggy(wyn: Customer, std: dict[str, Any]) -> Vehicle:
    return customers.add_vehicle(
        customer=wyn, description="long-travel buggy", plate="7K 204", call=Call.fresh(), **std
    )


def miles(text: str) -> units.Measurement:
    return units.parse(text, "distance", "mile")


def read(vehicle: Vehicle, text: str, on: dt.date, std: dict[str, Any], **kwargs: Any) -> MeterReading:
    return customers.record_meter(
        vehicle=vehicle, distance=miles(text), on=on, source="desk", call=Call.fresh(), **std, **kwargs
    )


def test_a_customer_is_kept_as_typed_and_found_by_each_word_and_number(wyn: Customer) -> None:
    assert wyn.name == "Wyn Dállimore"
    assert Contact.objects.get(kind="email").normalised == "wyn@example.com"
    for text in ("dallimore", "WYN dal", "555-01", "5550118", "0118", "wyn@ex"):
        assert list(list_customers(text)) == [wyn], text
    for text in ("li", "wyn pereira", "18", "%", "_", "\\"):
        assert list(list_customers(text)) == [], text
    for text in ("allimore", "118"):  # parts of words: see shop/trigrams.py
        assert list(list_customers(text)) == [wyn], text


def test_a_customer_without_a_name_is_refused(std: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="needs a name"):
        customers.add_customer(name="  ", call=Call.fresh(), **std)
    assert not Customer.objects.exists()
    assert not Act.objects.filter(verb="add_customer").exists()


def test_the_same_call_adds_once(std: dict[str, Any]) -> None:
    call = Call.once("one form")
    customers.add_customer(name="O. Pereira", call=call, **std)
    with pytest.raises(AlreadyDone) as done:
        customers.add_customer(name="O. Pereira", call=call, **std)
    assert done.value.act.result == {"customer": Customer.objects.get().pk}


def test_a_phone_with_a_country_is_normalised_and_another_keeps_its_digits() -> None:
    assert normalised("phone", "+1 (202) 555-0118") == "+12025550118"
    assert normalised("phone", "555-0118") == "5550118"


def test_a_change_stops_old_contacts_and_notes_no_personal_values(wyn: Customer, std: dict[str, Any]) -> None:
    customers.change_customer(
        customer=wyn, revision=1, kind="firm", name="Dallimore Hay", contacts=[NewContact("phone", "555-0119")],
        call=Call.fresh(), **std,
    )  # fmt: skip
    assert {(c.value, c.stopped_at is None) for c in wyn.contacts.all()} == {
        ("555-0118", False), ("Wyn@Example.com", False), ("555-0119", True),
    }  # fmt: skip
    assert list(list_customers("555-0118")) == []
    changed = Act.objects.get(verb="change_customer").changed
    assert {"field": "kind", "old": "person", "new": "firm"} in changed
    assert {"field": "name"} in changed
    assert "Dallimore" not in str(changed)


def test_two_people_at_one_customer_lose_nothing(wyn: Customer, std: dict[str, Any]) -> None:
    other = Customer.objects.get(pk=wyn.pk)
    customers.change_customer(
        customer=wyn, revision=1, kind="person", name="Wyn D.", contacts=[], call=Call.fresh(), **std
    )
    with pytest.raises(Stale, match="Wyn"):
        customers.change_customer(
            customer=other, revision=1, kind="person", name="W. D.", contacts=[], call=Call.fresh(), **std
        )
    assert Customer.objects.get().name == "Wyn D."


def test_one_valid_vin_is_one_vehicle_and_a_bad_one_is_kept_as_typed(
    wyn: Customer, std: dict[str, Any]
) -> None:
    first = customers.add_vehicle(
        customer=wyn, description="crew-cab truck", vin="1m8gdm9a-xkp042788", call=Call.fresh(), **std
    )
    assert (first.vin, first.vin_valid) == ("1M8GDM9AXKP042788", True)
    with pytest.raises(Refused, match="belongs to crew-cab truck of Wyn"):
        customers.add_vehicle(
            customer=wyn, description="truck", vin="1M8GDM9AXKP042788", call=Call.fresh(), **std
        )
    kart = customers.add_vehicle(customer=wyn, description="kart", vin="frame 12", call=Call.fresh(), **std)
    assert (kart.vin, kart.vin_valid) == ("frame 12", False)
    customers.add_vehicle(customer=wyn, description="kart", vin="frame 12", call=Call.fresh(), **std)


def test_a_vehicle_says_what_it_is(wyn: Customer, buggy: Vehicle, std: dict[str, Any]) -> None:
    """Seen red without the refusal, and with blanks taken for words."""
    for blank in ("", " \t"):
        with pytest.raises(Refused, match="Say what vehicle it is") as no:
            customers.add_vehicle(customer=wyn, description=blank, plate="X 1", call=Call.fresh(), **std)
        assert no.value.field == "description"
        with pytest.raises(Refused, match="Say what vehicle it is"):
            customers.change_vehicle(vehicle=buggy, revision=1, description=blank, call=Call.fresh(), **std)
    kept = Vehicle.objects.get()
    assert (kept.description, kept.plate, kept.revision) == ("long-travel buggy", "7K 204", 1)


def test_a_vehicle_is_found_by_its_plate_and_a_change_moves_it(buggy: Vehicle, std: dict[str, Any]) -> None:
    assert SearchTerm.objects.filter(key="7k204", kind="plate", target_id=buggy.pk).exists()
    customers.change_vehicle(
        vehicle=buggy, revision=1, description="buggy", plate="8K 205", call=Call.fresh(), **std
    )
    assert not SearchTerm.objects.filter(key="7k204").exists()
    with pytest.raises(Stale):
        customers.change_vehicle(vehicle=buggy, revision=1, description="x", call=Call.fresh(), **std)


def test_a_meter_never_runs_backwards_and_the_likely_meaning_is_said(
    buggy: Vehicle, std: dict[str, Any]
) -> None:
    read(buggy, "5412 mi", dt.date(2026, 8, 3), std)
    day = dt.date(2026, 11, 25)
    with pytest.raises(Refused) as no:
        read(buggy, "598 mi", day, std)
    assert no.value.sentence.startswith(
        "598 mi is less than the 5,412 mi of 3 August 2026. Did you mean 5,980 mi?"
    )
    with pytest.raises(Refused, match="Look at the meter again"):
        read(buggy, "12 mi", day, std)
    read(buggy, "5,980 mi", day, std)
    assert MeterReading.objects.count() == 2


def test_kilometres_typed_for_miles_are_said(buggy: Vehicle, std: dict[str, Any]) -> None:
    read(buggy, "5412 mi", dt.date(2026, 8, 3), std)
    with pytest.raises(Refused, match=r"6,000 km is less .* Did you mean 6,000 mi"):
        read(buggy, "6000 km", dt.date(2026, 11, 25), std)


def test_a_replaced_meter_begins_anew_and_a_reading_between_must_fit(
    buggy: Vehicle, std: dict[str, Any]
) -> None:
    read(buggy, "5412 mi", dt.date(2026, 8, 3), std)
    read(buggy, "6000 mi", dt.date(2026, 9, 3), std)
    with pytest.raises(Refused, match="is more than the 6,000 mi of 3 September 2026"):
        read(buggy, "7000 mi", dt.date(2026, 8, 20), std)
    read(buggy, "10 mi", dt.date(2026, 10, 3), std, kind="replaced")
    read(buggy, "7000 mi", dt.date(2026, 9, 20), std)
    read(buggy, "20 mi", dt.date(2026, 11, 3), std)
    assert MeterReading.objects.count() == 5


def test_a_reading_is_corrected_once(buggy: Vehicle, std: dict[str, Any]) -> None:
    wrong = read(buggy, "54120 mi", dt.date(2026, 8, 3), std)
    read(buggy, "5412 mi", dt.date(2026, 8, 3), std, replaces=wrong)
    with pytest.raises(Refused, match="corrected already"):
        read(buggy, "5413 mi", dt.date(2026, 8, 3), std, replaces=wrong)
    read(buggy, "5500 mi", dt.date(2026, 9, 3), std)


@pytest.mark.parametrize("text", ["1e30 mi", "99999999999 mi"])
def test_more_than_any_meter_shows_is_refused(buggy: Vehicle, std: dict[str, Any], text: str) -> None:
    with pytest.raises(Refused, match="more than any meter"):
        read(buggy, text, dt.date(2026, 8, 3), std)


def test_a_consent_names_its_channel_and_how(wyn: Customer, std: dict[str, Any]) -> None:
    yes = customers.record_contact_consent(
        customer=wyn, channel="email", yes=True, how="at the counter", call=Call.fresh(), **std
    )
    assert (yes.yes, yes.by) == (True, std["by"])
    for bad in ({"channel": "owl", "how": "told"}, {"channel": "email", "how": " "}):
        with pytest.raises(Refused):
            customers.record_contact_consent(customer=wyn, yes=True, call=Call.fresh(), **bad, **std)
