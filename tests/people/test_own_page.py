"""One's own page: changing one's own password."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.people.models import Person
from shopapp.shop.models import Act
from tests.conftest import PASSWORD

pytestmark = pytest.mark.django_db

NEW = "harbour-lamp-and-rope"


def change(client: Client, **given: str) -> Any:
    key = client.get("/me").context["form"]["act_key"].value()
    return client.post("/me", {"act_key": key, "old": PASSWORD, "password": NEW, "again": NEW, **given})


def test_works_and_keeps_one_signed_in(desk: Person, client_as: Callable[[Person], Client]) -> None:
    client = client_as(desk)
    assert change(client)["Location"] == "/me"
    desk.refresh_from_db()
    assert desk.check_password(NEW)
    assert client.get("/me").status_code == 200
    act = Act.objects.get(verb="change_own_password")
    assert (act.by, act.changed, act.result) == (desk, [{"field": "password"}], {"person": desk.pk})


def test_ends_the_other_sessions(desk: Person, client_as: Callable[[Person], Client]) -> None:
    here, there = client_as(desk), client_as(desk)
    change(here)
    assert there.get("/me").status_code == 302


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"old": "not-it"}, "old", "This is not your password now"),
        ({"again": NEW + "x"}, "again", "not the same"),
        ({"password": "short", "again": "short"}, "password", "at least 10"),
        ({"password": "1234567890", "again": "1234567890"}, "password", "common|numeric"),
        ({"old": ""}, "old", "required"),
        ({"password": "", "again": ""}, "password", "required"),
    ],
)
def test_refused(
    desk: Person, client_as: Callable[[Person], Client], given: dict[str, str], field: str, words: str
) -> None:
    import re

    response = change(client_as(desk), **given)
    assert response.status_code == 422
    assert re.search(words, " ".join(response.context["form"].errors[field]))
    desk.refresh_from_db()
    assert desk.check_password(PASSWORD)
    assert NEW.encode() not in response.content, "what was typed is not sent back"


def test_done_twice_changes_once(desk: Person, client_as: Callable[[Person], Client]) -> None:
    client = client_as(desk)
    key = client.get("/me").context["form"]["act_key"].value()
    data = {"act_key": key, "old": PASSWORD, "password": NEW, "again": NEW}
    assert client.post("/me", data).status_code == client.post("/me", data).status_code == 302
    assert Act.objects.filter(verb="change_own_password").count() == 1


def test_without_the_forms_key_nothing_is_stored(desk: Person, client_as: Callable[[Person], Client]) -> None:
    response = change(client_as(desk), act_key="")
    assert response.status_code == 422
    assert "Load it again" in response.content.decode()


def test_each_role_has_it(shop: Any, desk: Person, technician: Person, owner: Person, client_as: Any) -> None:
    for person in (desk, technician, owner):
        page = client_as(person).get("/me").content.decode()
        assert person.name in page and person.login_name in page
