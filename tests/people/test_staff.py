"""Adding and changing people: folded names, roles, the last owner, two at one row."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import IntegrityError, transaction

from shopapp.people import queries
from shopapp.people.models import Person
from shopapp.people.services import devices, staff
from shopapp.shop.models import Act, Shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Refused, Stale
from tests.conftest import PASSWORD, make_person

pytestmark = pytest.mark.django_db


def change(person: Person, by: Person, at: dt.datetime, **given: object) -> Person:
    wanted = {
        "revision": person.revision, "name": person.name, "initials": person.initials,
        "roles": sorted(person.groups.values_list("name", flat=True)), "is_active": True,
    }  # fmt: skip
    return staff.change_person(person=person, by=by, at=at, call=Call.fresh(), **{**wanted, **given})  # type: ignore[arg-type]


def test_a_name_is_kept_folded(shop: object) -> None:
    person = make_person("  Straße ", "desk", initials=" SB ")
    assert (person.login_name, person.initials) == ("strasse", "SB")


@pytest.mark.parametrize(
    ("name", "initials", "field"), [("PIA", "ZZ", "login_name"), ("zoe", "PV", "initials")]
)
def test_taken_is_said_at_its_field(desk: Person, name: str, initials: str, field: str) -> None:
    with pytest.raises(Refused, match="taken") as refused:
        make_person(name, "desk", initials=initials)
    assert refused.value.field == field
    assert Person.objects.count() == 1


def test_the_database_holds_it_too(desk: Person) -> None:
    for wrong in ({"login_name": "UPPER", "initials": "UP"}, {"login_name": "empty", "initials": ""}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Person.objects.create(name="x", **wrong)


def test_without_a_password_nobody_signs_in(owner: Person, now: dt.datetime) -> None:
    person = staff.add_person(
        login_name="new", name="New", initials="NW", roles=["desk"], by=owner, at=now, call=Call.fresh()
    )
    assert not person.has_usable_password()
    assert not person.check_password("")


def test_changes_are_noted_without_what_is_personal(owner: Person, desk: Person, now: dt.datetime) -> None:
    change(desk, owner, now, roles=["desk", "technician"], password=PASSWORD + "-2", name="Pia Vane")
    changed = {entry["field"]: entry for entry in Act.objects.get(verb="change_person").changed}
    assert changed["roles"]["new"] == "['desk', 'technician']"
    assert changed["password"] == {"field": "password"}
    change(
        Person.objects.get(pk=desk.pk), owner, now, email="pia@example.com", skills=["charging"],
        countersign_needed=True,
    )  # fmt: skip
    acts = Act.objects.filter(verb="change_person")
    changed = {entry["field"]: entry for act in acts for entry in act.changed}
    assert changed["email"] == {"field": "email"}
    assert changed["skills"] == {"field": "skills", "old": "[]", "new": "['charging']"}
    assert (changed["countersign_needed"]["old"], changed["countersign_needed"]["new"]) == ("False", "True")
    assert Person.objects.get(pk=desk.pk).roles == {"desk", "technician"}


def test_the_last_owner_stays(owner: Person, desk: Person, now: dt.datetime) -> None:
    for given in ({"roles": ["desk"]}, {"is_active": False}):
        with pytest.raises(Refused, match="needs one owner"):
            change(Person.objects.get(pk=owner.pk), owner, now, **given)
    assert queries.owner_exists()
    change(desk, owner, now, roles=["owner"])
    change(Person.objects.get(pk=owner.pk), owner, now, roles=["desk"])
    assert Person.objects.get(pk=owner.pk).roles == {"desk"}


def test_two_at_one_person_lose_nothing(owner: Person, desk: Person, now: dt.datetime) -> None:
    seen_by_another = Person.objects.get(pk=desk.pk)
    change(desk, owner, now, name="First")
    with pytest.raises(Stale):
        change(seen_by_another, owner, now, name="Second")
    assert Person.objects.get(pk=desk.pk).name == "First"


def test_people_are_listed_with_who_left_last(owner: Person, desk: Person) -> None:
    Person.objects.filter(login_name="ada").update(is_active=False)
    assert [person.login_name for person in queries.people()] == ["pia", "ada"]


def test_a_device_is_found_by_its_own_cookie_alone(now: dt.datetime) -> None:
    device, cookie = devices.know_device(cookie="", at=now, name="x" * 200)
    assert devices.find(cookie) == device
    assert devices.know_device(cookie=cookie, at=now) == (device, "")
    assert [devices.find(text) for text in ("", cookie + "x", device.cookie_hash, "x" * 101, "\ud800")] == [
        None
    ] * 5


def test_a_service_called_within_another_writes_no_act_of_its_own(
    owner: Person, desk: Person, now: dt.datetime, shop: Shop
) -> None:
    before = Act.objects.count()
    call = Call.fresh()
    with acts.doing("both", call=call, by=owner, at=now) as act:
        change(desk, owner, now, name="Pia Vane", within=act)
        staff.change_own_password(
            person=owner, old=PASSWORD, password=PASSWORD + "-2", at=now, call=call, within=act
        )
        act.about("shop", 1)
    written = Act.objects.get(verb="both")
    assert Act.objects.count() == before + 1 and (written.subject_kind, written.result) == ("shop", {})
    assert {entry["field"] for entry in written.changed} == {"name", "password"}
