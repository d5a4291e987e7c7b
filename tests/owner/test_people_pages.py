"""The owner's pages of people: one is added and changed once, by an owner alone, and no password is written down.

Seen red: with each entry left out of what `_add_person` and `_change_person` hand on, with the revision of the row in
place of the one that was read, with the password put into the act's changes, with a fresh key for each call, without
the look for a name that is taken, with desk and technician let in by the table of
rights, and with other methods let through by it and by the views.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from tests.conftest import PASSWORD
from tests.web.test_both_versions import again, opened, said

pytestmark = pytest.mark.django_db
NEW = "/owner/people/new"
OTHER = "birch-ladle-and-fog"


@pytest.fixture
def page(owner: Person, client_as: Any) -> Client:
    return client_as(owner)


def entries(**more: Any) -> dict[str, Any]:
    """Give a new person as the page sends it."""
    return {
        "act_key": new_key(), "login_name": "  Zoe ", "name": "Zoe Marrick", "initials": "ZM",
        "email": "zoe@example.com", "roles": ["desk", "technician"], "skills": ["charging", "bladders"],
        "countersign_needed": "on", "password": PASSWORD, **more,
    }  # fmt: skip


def whole(person: Person) -> dict[str, Any]:
    """Read a person as the table has them."""
    row = Person.objects.get(pk=person.pk)
    names = ("login_name", "name", "initials", "email", "skills", "countersign_needed", "is_active")
    return {**{name: getattr(row, name) for name in names}, "roles": sorted(row.roles)}


def opened_with_lists(client: Client, person: Person, **typed: Any) -> dict[str, Any]:
    """Open the form of somebody as a browser would, with each list of ticks whole."""
    address = reverse("owner-people-change", args=[person.pk])
    form = client.get(address).context["form"]
    return {
        **opened(client, address),
        "roles": form["roles"].value(),
        "skills": form["skills"].value(),
        **typed,
    }


def test_somebody_is_added_once_with_every_entry(page: Client) -> None:
    sent = entries()
    for _time in range(2):
        answer = page.post(NEW, sent)
        assert (answer.status_code, answer.headers["Location"]) == (302, "/owner/people/")
    person = Person.objects.get(login_name="zoe")
    assert whole(person) == {
        "login_name": "zoe", "name": "Zoe Marrick", "initials": "ZM", "email": "zoe@example.com",
        "skills": ["charging", "bladders"], "countersign_needed": True, "is_active": True,
        "roles": ["desk", "technician"],
    }  # fmt: skip
    assert person.check_password(PASSWORD)
    assert "Zoe Marrick" in page.get("/owner/people/").content.decode()
    other = page.post(NEW, {**sent, "login_name": "zara", "initials": "ZA"})
    assert other.status_code == 422 and "stored already" in other.content.decode()
    assert Act.objects.filter(verb="add_person", result={"person": person.pk}).count() == 1
    assert not Person.objects.filter(login_name="zara").exists()


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"login_name": "PIA"}, "login_name", "The log-in name pia is taken. Choose another."),
        ({"initials": "PV"}, "initials", "The initials PV are taken. Choose others."),
        ({"password": "qx7-brim"}, "password", "too short"),
        ({"roles": []}, "roles", "required"),
    ],
)
def test_what_cannot_be_is_said_at_its_entry_and_the_form_is_kept(
    page: Client, desk: Person, more: dict[str, Any], field: str, words: str
) -> None:
    sent = entries(**more)
    answer = page.post(NEW, sent)
    assert answer.status_code == 422
    assert words in " ".join(answer.context["form"].errors[field])
    text = answer.content.decode()
    assert 'value="Zoe Marrick"' in text and sent["act_key"] in text
    assert sent["password"] not in text, "a password is typed again, never sent back"
    assert not Person.objects.filter(name="Zoe Marrick").exists()


def test_somebody_is_changed_once_and_leaves(page: Client, desk: Person) -> None:
    address = reverse("owner-people-change", args=[desk.pk])
    sent = opened_with_lists(
        page, desk, name="Pia Vane", initials="PX", email="pia@example.com", roles=["technician"],
        skills=["final check"], countersign_needed="on", password=OTHER,
    )  # fmt: skip
    del sent["is_active"]
    for _time in range(2):
        answer = page.post(address, sent)
        assert (answer.status_code, answer.headers["Location"]) == (302, "/owner/people/")
    assert whole(desk) == {
        "login_name": "pia", "name": "Pia Vane", "initials": "PX", "email": "pia@example.com",
        "skills": ["final check"], "countersign_needed": True, "is_active": False, "roles": ["technician"],
    }  # fmt: skip
    row = Person.objects.get(pk=desk.pk)
    assert (row.revision, row.check_password(OTHER)) == (2, True)
    assert Act.objects.filter(verb="change_person").count() == 1


def test_an_empty_password_leaves_the_old_one(page: Client, desk: Person) -> None:
    """Seen red with an empty password set like any other."""
    sent = opened_with_lists(page, desk, name="Pia Vane", login_name="boss")
    assert page.post(reverse("owner-people-change", args=[desk.pk]), sent).status_code == 302
    row = Person.objects.get(pk=desk.pk)
    assert (row.name, row.login_name, row.check_password(PASSWORD)) == ("Pia Vane", "pia", True)


def test_no_password_is_written_into_an_act(page: Client, desk: Person) -> None:
    assert page.post(NEW, entries(password=OTHER + "-new")).status_code == 302
    sent = opened_with_lists(page, desk, password=OTHER)
    assert page.post(reverse("owner-people-change", args=[desk.pk]), sent).status_code == 302
    act = Act.objects.get(verb="change_person")
    assert [entry["field"] for entry in act.changed] == ["password"]
    for row in Act.objects.all():
        assert OTHER not in f"{row.changed}{row.result}{row.key}{row.request_hash}"
        assert "md5" not in f"{row.changed}{row.result}"


def test_of_two_owners_the_second_sees_both_versions(page: Client, desk: Person) -> None:
    address = reverse("owner-people-change", args=[desk.pk])
    mine = opened_with_lists(page, desk, name="Pia Vanterpool", password=OTHER)
    theirs = opened_with_lists(page, desk, name="Pia Vane", email="pia@example.com", skills=["charging"])
    assert page.post(address, theirs).status_code == 302
    refused = page.post(address, mine)
    assert refused.status_code == 422
    words = said(refused)
    assert "Pia Vane was changed by somebody else while you had it open." in words
    assert "Taken over, because you had not touched it: E-mail, Skills." in words
    assert "Now it says “Pia Vane”. What you wrote stands in the entry." in words
    assert again(refused, "name") == "Pia Vanterpool"
    form = refused.context["form"]
    assert (form["email"].value(), form["skills"].value()) == ("pia@example.com", ["charging"])
    row = Person.objects.get(pk=desk.pk)
    assert (row.name, row.revision, row.check_password(PASSWORD)) == ("Pia Vane", 2, True)
    assert OTHER not in refused.content.decode()
    taken = {name: form[name].value() for name in form.fields if form[name].value() not in (None, False, "")}
    assert page.post(address, {**taken, "password": OTHER}).status_code == 302
    row.refresh_from_db()
    assert (row.name, row.email, row.check_password(OTHER)) == ("Pia Vanterpool", "pia@example.com", True)


@pytest.mark.parametrize("who", ["desk", "technician"])
def test_nobody_but_an_owner_adds_or_changes_people(
    client_as: Any, desk: Person, technician: Person, who: str
) -> None:
    client, change = client_as({"desk": desk, "technician": technician}[who]), f"/owner/people/{desk.pk}"
    for address in (NEW, change):
        assert client.get(address).status_code == 403
        assert client.post(address, entries(revision="1", roles=["owner"])).status_code == 403
        assert Client().post(address, entries()).status_code == 302
    assert Person.objects.count() == 2 and whole(desk)["roles"] == ["desk"]


def test_other_methods_and_nobody_of_that_number(page: Client, desk: Person) -> None:
    for address in (NEW, f"/owner/people/{desk.pk}"):
        for method in ("put", "patch", "delete"):
            assert getattr(page, method)(address).status_code == 405
    assert page.get("/owner/people/999999").status_code == 404
    assert page.post("/owner/people/999999", entries()).status_code == 404
