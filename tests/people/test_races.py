"""Two at once in the people's services, with real commits: the last owner stays, tries to sign in are all counted."""

from __future__ import annotations

import contextlib
import datetime as dt
import threading
from collections.abc import Callable
from typing import Any

import pytest

from shopapp.people import queries
from shopapp.people.models import Device, Person, SignInAttempt
from shopapp.people.services import devices, signing_in, staff
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call, Refused
from tests.conftest import NOW, PASSWORD, make_person
from tests.faults.racing import race

pytestmark = pytest.mark.django_db(transaction=True)
AT_ONCE = 16


def demote(name: str, by: str) -> Callable[[], Person]:
    def attempt() -> Person:
        person = Person.objects.get(login_name=name)
        return staff.change_person(
            person=person, revision=person.revision, name=person.name, initials=person.initials, roles=["desk"],
            is_active=True, by=Person.objects.get(login_name=by), at=NOW, call=Call.fresh(),
        )  # fmt: skip

    return attempt


@pytest.fixture
def both_look_before_either_commits(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let each wait, before it looks for an owner, until the other has come as far, or a second has gone.

    Where the lock is real the other cannot come as far before the first has committed.
    """
    both, real = threading.Barrier(2), staff.owner_exists

    def look() -> bool:
        with contextlib.suppress(threading.BrokenBarrierError):
            both.wait(timeout=1.0)
        return real()

    monkeypatch.setattr(staff, "owner_exists", look)


@pytest.mark.usefixtures("both_look_before_either_commits")
def test_two_owners_who_demote_each_other_leave_one(shop: Shop) -> None:
    """Seen to fail on PostgreSQL without the UPDATE on the shop's row: then nobody is owner."""
    make_person("ada", "owner")
    make_person("bea", "owner")
    ends = race([demote("ada", "bea"), demote("bea", "ada")])
    assert sorted(type(end).__name__ for end in ends) == ["Person", "Refused"], ends
    refused = next(end for end in ends if isinstance(end, Refused))
    assert "needs one owner" in refused.sentence
    assert queries.owner_exists()


def test_of_two_who_take_one_name_at_once_the_second_is_told(
    owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seen red on PostgreSQL without the UPDATE on the shop's row: the second ended in a fault of the database."""
    both, real = threading.Barrier(2), staff._refuse_taken

    def look(**asked: Any) -> None:
        real(**asked)
        with contextlib.suppress(threading.BrokenBarrierError):
            both.wait(timeout=1.0)

    monkeypatch.setattr(staff, "_refuse_taken", look)

    def add(initials: str) -> Callable[[], Person]:
        return lambda: staff.add_person(
            login_name="zoe",
            name="Zoe",
            initials=initials,
            roles=["desk"],
            by=owner,
            at=NOW,
            call=Call.fresh(),
        )

    ends = race([add("Z1"), add("Z2")])
    assert sorted(type(end).__name__ for end in ends) == ["Person", "Refused"], ends
    refused = next(end for end in ends if isinstance(end, Refused))
    assert (refused.field, "zoe is taken" in refused.sentence) == ("login_name", True)
    assert Person.objects.filter(login_name="zoe").count() == 1


def attempt(name: str, password: str, device: Device | None = None) -> Callable[[], signing_in.SignIn]:
    return lambda: signing_in.check_sign_in(login_name=name, password=password, device=device, at=NOW)


def test_of_many_tries_at_once_no_more_are_heard_than_the_limit(shop: Shop) -> None:
    """Seen to fail on PostgreSQL without the turn (the write of one row first): all were heard, at one name too."""
    make_person("ada", "owner")
    ends = race([attempt("ada", "wrong")] * AT_ONCE)
    heard = [end for end in ends if not end.locked]
    assert len(heard) == signing_in.MOST_PER_LOGIN
    assert SignInAttempt.objects.count() == AT_ONCE
    assert attempt("ada", PASSWORD)().person is None


def test_of_many_names_tried_at_once_from_one_device_no_more_are_heard(shop: Shop) -> None:
    """Seen to fail on PostgreSQL without the turn."""
    make_person("ada", "owner")
    device, _new = devices.know_device(cookie="", at=NOW, name="guessing")
    for number in range(signing_in.MOST_PER_DEVICE - 4):
        attempt(f"guess-{number}", "wrong", device)()
    ends = race([attempt(f"more-{number}", "wrong", device) for number in range(AT_ONCE)])
    assert len([end for end in ends if not end.locked]) == 4
    assert attempt("ada", PASSWORD, device)().locked
    assert attempt("ada", PASSWORD)().person is not None, "another device"


def test_a_try_waits_for_its_turn_only_until_the_window_is_over(shop: Shop) -> None:
    make_person("ada", "owner")
    race([attempt("ada", "wrong")] * AT_ONCE)
    later = NOW + signing_in.WINDOW * 2 + dt.timedelta(seconds=1)
    end = signing_in.check_sign_in(login_name="ada", password=PASSWORD, device=None, at=later)
    assert end.person is not None
