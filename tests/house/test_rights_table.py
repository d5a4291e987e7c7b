"""Every URL × person × kind of session × method answers as the table of rights says."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client

from shopapp.people import rights
from shopapp.people.models import Device, Person
from shopapp.people.services import devices
from tests.conftest import NOW, make_person
from tests.house.addresses import addresses

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE")
ADDRESSES = addresses()
BACKEND = "django.contrib.auth.backends.ModelBackend"
WHO = ("nobody", "desk", "technician", "owner", "no role", "has left", "device revoked")
LET_IN, SIGN_IN, NO_RIGHT, NO_METHOD = "let in", "asked to sign in", "403", "405"

pytestmark = pytest.mark.django_db


def person_of(who: str) -> Person | None:
    """Make the person who asks."""
    if who == "nobody":
        return None
    roles = {"no role": (), "has left": ("owner",), "device revoked": ("owner",)}.get(who, (who,))
    person = make_person("somebody", *roles)
    if who == "has left":
        Person.objects.filter(pk=person.pk).update(is_active=False)
    return person


def client_of(who: str) -> Client:
    """Make the client of who asks: signed in before they left or their device was revoked."""
    client = Client()
    person = person_of(who)
    if person is not None:
        client.force_login(person, backend=BACKEND)
    if who == "device revoked":
        device, cookie = devices.know_device(cookie="", at=NOW)
        Device.objects.filter(pk=device.pk).update(revoked_at=NOW)
        client.cookies[devices.COOKIE] = cookie
    return client


def expected(name: str, who: str, method: str) -> str:
    """Read the table: what this person must get."""
    right = rights.RIGHTS[name]
    if right.session == "log-in":
        if who in ("nobody", "has left", "device revoked"):
            return SIGN_IN
        if who not in right.roles:
            return NO_RIGHT
    return LET_IN if ("GET" if method == "HEAD" else method) in right.methods else NO_METHOD


def got(response: HttpResponse) -> str:
    """Name what came: being let in is any answer of the view itself."""
    if response.status_code == 302 and response["Location"].split("?")[0] == "/sign-in":
        return SIGN_IN
    assert response.status_code < 500, response.status_code
    return {403: NO_RIGHT, 405: NO_METHOD}.get(response.status_code, LET_IN)


@pytest.mark.parametrize("who", WHO)
def test_the_table_holds(shop: Any, who: str) -> None:
    client = client_of(who)
    wrong = []
    for name, path in sorted(ADDRESSES.items()):
        if name == "sign-out":
            continue  # it ends the session; below
        for method in METHODS:
            answer = got(client.generic(method, path))
            if answer != expected(name, who, method):
                wrong.append(f"{method} {name}: {answer}, the table says {expected(name, who, method)}")
    assert wrong == []


@pytest.mark.parametrize("who", ["desk", "technician", "owner"])
def test_signing_out_is_a_post(shop: Any, who: str) -> None:
    client = client_of(who)
    assert client.get("/sign-out").status_code == 405
    assert client.get("/me").status_code == 200
    response = client.post("/sign-out")
    assert (response.status_code, response["Location"]) == (302, "/sign-in")
    assert got(client.get("/me")) == SIGN_IN
    assert got(client.post("/sign-out")) == SIGN_IN


FILES_OF_ROWS = {"owner-shelf-labels-file"}
"""A file of all rows of a kind: without any there is no file."""


@pytest.mark.parametrize("who", ["desk", "technician", "owner"])
def test_a_page_that_names_no_row_opens(shop: Any, who: str) -> None:
    """In a shop where nothing was entered yet, each page of the role says so and stands."""
    client = client_of(who)
    opened = []
    for name, path in sorted(ADDRESSES.items()):
        if (
            expected(name, who, "GET") != LET_IN
            or "nothing-here" in path
            or "999983" in path
            or "5d0c3f1e" in path
            or name in FILES_OF_ROWS
        ):
            continue
        response = client.get(path)
        assert response.status_code in (200, 302), f"{name}: {response.status_code}"
        opened.append(name)
    assert len(opened) >= 5


@pytest.mark.parametrize("who", ["nobody", "desk", "technician", "owner"])
def test_a_get_writes_nothing(shop: Any, who: str) -> None:
    client = client_of(who)
    client.get("/me")
    writing: list[str] = []

    def watch(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        if sql.lstrip().split(" ", 1)[0].upper() in ("INSERT", "UPDATE", "DELETE"):
            writing.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(watch):
        for path in ADDRESSES.values():
            client.get(path)
    assert writing == []


def test_a_post_from_elsewhere_is_refused(shop: Any) -> None:
    """Without the token of a page of ours nothing is carried out, whoever is signed in."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(make_person("all", "desk", "technician", "owner"), backend=BACKEND)
    posted = [name for name in ADDRESSES if "POST" in rights.RIGHTS[name].methods]
    assert len(posted) > 3
    assert {name: client.post(ADDRESSES[name]).status_code for name in posted} == dict.fromkeys(posted, 403)
