"""Once means once: the act is stored with the change, a repeat has no effect."""

from __future__ import annotations

import datetime as dt

import pytest

from shopapp.people.models import Person
from shopapp.shop.models import Act, Counter
from shopapp.shop.services import acts
from shopapp.shop.services.acts import AlreadyDone, Call, DoneDifferently, Refused
from shopapp.shop.services.counters import next_number

pytestmark = pytest.mark.django_db


def give_number(by: Person, at: dt.datetime, call: Call, *, refuse: bool = False) -> int:
    with acts.doing("give_number", call=call, by=by, at=at) as act:
        number = next_number("test")
        if refuse:
            raise Refused("No.")
        act.about("number", number)
        act.result = {"number": number}
        return number


def test_works(desk: Person, now: dt.datetime) -> None:
    number = give_number(desk, now, Call("k1", request_hash="h"))
    act = Act.objects.get(key="k1")
    assert (act.verb, act.by, act.at, act.subject_kind, act.subject_id, act.result) == (
        "give_number", desk, now, "number", str(number), {"number": number},
    )  # fmt: skip


def test_done_twice_is_led_to_the_first_result(desk: Person, now: dt.datetime) -> None:
    give_number(desk, now, Call("k1", request_hash="h"))
    with pytest.raises(AlreadyDone) as done:
        give_number(desk, now, Call("k1", request_hash="h"))
    assert done.value.act.result == {"number": 1}
    assert Counter.objects.get(series="test").last == 1


@pytest.mark.parametrize("what", ["body", "person"])
def test_same_key_with_another_body_or_person_is_refused(
    desk: Person, owner: Person, now: dt.datetime, what: str
) -> None:
    give_number(desk, now, Call("k1", request_hash="h"))
    with pytest.raises(DoneDifferently):
        give_number(
            owner if what == "person" else desk, now, Call("k1", request_hash="x" if what == "body" else "h")
        )
    assert Counter.objects.get(series="test").last == 1


def test_a_refused_act_stores_nothing_and_keeps_its_key(desk: Person, now: dt.datetime) -> None:
    with pytest.raises(Refused):
        give_number(desk, now, Call("k1"), refuse=True)
    assert not Act.objects.filter(key="k1").exists()
    assert not Counter.objects.filter(series="test").exists()
    assert give_number(desk, now, Call("k1")) == 1


def test_changed_fields_leave_personal_values_out(desk: Person, now: dt.datetime) -> None:
    with acts.doing("change", call=Call("k2"), by=desk, at=now) as act:
        act.change("limit", 100, 200)
        act.change("phone", "555-0101", "555-0102", personal=True)
        act.change("same", 1, 1)
    assert Act.objects.get(key="k2").changed == [
        {"field": "limit", "old": "100", "new": "200"},
        {"field": "phone"},
    ]


def test_two_people_at_one_row(desk: Person, now: dt.datetime) -> None:
    acts.raise_revision(desk, 1, what="Pia")
    with pytest.raises(acts.Stale):
        acts.raise_revision(Person.objects.get(pk=desk.pk), 1, what="Pia")
